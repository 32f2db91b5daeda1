//! What there is of a tin: three keys on its page.

use crate::engine::quantity::Grams;
use crate::engine::takeoff::{Quantity, Sum, Worked};
use crate::job::card::Stock;
use crate::job::event::Id;
use crate::job::stock::{self, Note};
use crate::trade::model::Dimension;
use crate::ui::overlay::{Overlays, use_overlays};
use crate::ui::pad::Pad;
use crate::ui::parts::{live, tap};
use crate::ui::prelude::*;
use crate::ui::sheet::sum_lines;
use crate::ui::store::{Store, use_store};
use crate::ui::words;

/// A key that shows a value and opens a pad for it.
pub fn value_key(name: String, hint: String, value: Option<String>, press: Node) -> Node {
    let missing = value.is_none().then_some("yes");
    view! {
        <button class="reading wide" data-missing=missing on:click=press>
            <span class="reading-name whence"><span>{name}</span> <span class="hint">{hint}</span></span>
            <span class="reading-value">{value.unwrap_or_else(|| "enter".into())}</span>
        </button>
    }
}

/// The stock of a tin.
#[component]
pub fn StockCard(id: Id) -> Node {
    let store = use_store();
    let overlays = use_overlays();
    view! {
        <section class="card">
            <h2>"Stock"</h2>
            {live(move || keys(store, overlays, id))}
            <p class="hint">
                "Count all tins of this batch together, every part of them. Batches that are weighed from it are taken off by themselves. The price is in your money."
            </p>
        </section>
    }
}

fn keys(store: Store, overlays: Overlays, id: Id) -> Node {
    let (known, left) = store.state.with(|state| {
        let tin = state.tins.get(&id);
        let known: Stock = tin.and_then(|tin| tin.stock).map(|(_, s)| s).unwrap_or_default();
        (known, tin.and_then(|tin| stock::left(store.rules(), state, tin)))
    });
    let (left, sum) = match left {
        Some(Worked { result, sum }) => (Some(result), sum),
        None => (None, Sum::default()),
    };
    let mass = |mass: Option<Grams>| mass.map(|mass| words::mass(&store.settings(), mass));
    let price =
        known.price.map(|price| words::quantity(&store.settings(), &Quantity::Money(price)));
    let weigh = |title: &'static str, value: Option<Grams>, note: fn(Grams) -> Note| {
        tap(move |_| ask_mass(store, overlays, id, title, value, note))
    };
    let full = weigh("A full tin holds", known.full, Note::Full);
    let rest = weigh("Left now", left, Note::Left);
    let start = price.clone();
    let pay = tap(move |_| {
        overlays.pad.set(Some(Pad {
            title: "Price of a full tin".into(),
            hint: "In your money.".into(),
            start: start.clone().unwrap_or_default(),
            units: Vec::new(),
            done: Callback::new(move |entry: String| {
                note(store, id, Note::Price(words::read_money(&entry)?))
            }),
        }));
    });
    view! {
        {value_key("A full tin holds".into(), String::new(), mass(known.full), full)}
        {value_key("Left now".into(), String::new(), mass(left), rest)}
        {value_key("Price of a full tin".into(), String::new(), price, pay)}
        {left.is_some().then(|| view! {
            <details>
                <summary>"The sum"</summary>
                {sum_lines(store, sum.lines)}
            </details>
        })}
    }
}

fn ask_mass(
    store: Store,
    overlays: Overlays,
    id: Id,
    title: &str,
    value: Option<Grams>,
    noted: fn(Grams) -> Note,
) {
    let settings = store.state.with_untracked(|state| state.settings.clone());
    overlays.pad.set(Some(Pad {
        title: title.to_owned(),
        hint: String::new(),
        start: value
            .map(|mass| words::bare_number(&settings, Dimension::Mass, mass.value()))
            .unwrap_or_default(),
        units: words::mass_units(&settings),
        done: Callback::new(move |entry: String| {
            note(store, id, noted(words::read_mass(&settings, &entry)?))
        }),
    }));
}

fn note(store: Store, id: Id, of: Note) -> Result<(), String> {
    let noted = store.state.with_untracked(|state| stock::note(store.rules(), state, id, of));
    let body = noted.map_err(|refusal| refusal.to_string())?;
    store.append(vec![body], "Stock noted".into(), || {});
    Ok(())
}
