//! What is stirred in besides: chosen from what the family takes, in per cent.

use crate::engine::mix::Limit;
use crate::engine::quantity::Percent;
use crate::job::batch::{Extra, into, limit, offers, plain};
use crate::trade::model::{Family, Property};
use crate::ui::overlay::use_overlays;
use crate::ui::pad::Pad;
use crate::ui::parts::{live, tap};
use crate::ui::prelude::*;
use crate::ui::store::use_store;
use crate::ui::words;

/// Pigment, thickener, filler, thinner.
#[component]
pub fn Extras(family: &'static Family, extras: RwSignal<Vec<Extra>>) -> Node {
    let store = use_store();
    let overlays = use_overlays();
    let offers = offers(family);
    if offers.is_empty() {
        return Node::Nothing;
    }
    let open = RwSignal::new(false);
    // What is over its limit waits for a yes.
    let asked = RwSignal::new(None::<(Extra, &'static Property)>);
    let take = move |extra: Extra| {
        asked.set(None);
        open.set(false);
        extras.update(|extras| {
            extras.retain(|other| other.id != extra.id);
            extras.push(extra);
        });
    };
    let ask = move |of: &'static Property| {
        let settings = store.state.with_untracked(|state| state.settings.clone());
        overlays.pad.set(Some(Pad {
            title: format!("{}, in per cent of {}", plain(&of.id), into(family)),
            hint: format!(
                "{}: {}, {}. Your tin's sheet comes first.",
                of.title,
                words::figure(&settings, &of.figure),
                words::trust(&of.figure)
            ),
            start: words::number(of.figure.likely),
            units: vec!["%"],
            done: Callback::new(move |entry: String| {
                let extra = Extra { id: of.id.clone(), share: words::read_percent(&entry)? };
                if extra.share <= Percent(0.0) {
                    return Err("Enter more than nothing, or go back.".into());
                }
                match limit(family, &extra) {
                    Some(Limit::Between) | None => take(extra),
                    Some(Limit::Below | Limit::Above) => asked.set(Some((extra, of))),
                }
                Ok(())
            }),
        }));
    };
    let chosen = move || {
        let line = |extra: Extra| {
            let words =
                format!("{} {} of {}", plain(&extra.id), words::percent(extra.share), into(family));
            let id = extra.id.clone();
            let out = move |_| extras.update(|extras| extras.retain(|other| other.id != id));
            view! {
                <li>
                    <span>{words}</span>
                    <button class="plain" on:click=tap(out)>"Leave out"</button>
                </li>
            }
        };
        extras.get().into_iter().map(line).collect_view()
    };
    let doubt = move || {
        let (extra, of) = asked.get()?;
        let settings = store.settings();
        let above = limit(family, &extra) == Some(Limit::Above);
        let words = format!(
            "{} {} is {} than is usual: {} ({}). Only your tin's sheet can allow it.",
            plain(&extra.id),
            words::percent(extra.share),
            if above { "more" } else { "less" },
            words::figure(&settings, &of.figure),
            words::trust(&of.figure)
        );
        let yes = move |_| take(extra.clone());
        Some(view! {
            <section class="card warn" role="alert">
                <p>{words}</p>
                <div class="stack">
                    <button class="big" on:click=tap(yes)>"The sheet allows it"</button>
                    <button class="big quiet" on:click=tap(move |_| asked.set(None))>"Leave it out"</button>
                </div>
            </section>
        })
    };
    view! {
        <ul class="readings" data-extras="">{live(chosen)}</ul>
        {live(doubt)}
        {live(move || if open.get() {
            let offers = offers.clone().into_iter();
            let tiles = offers.map(|of| view! {
                <button class="tile" on:click=tap(move |_| ask(of))>
                    <b>{plain(&of.id)}</b>
                    <span class="hint">{of.title.clone()}</span>
                </button>
            });
            view! { <div class="tiles">{tiles.collect_view()}</div> }
        } else {
            view! {
                <button class="big quiet" on:click=tap(move |_| open.set(true))>
                    "+ addition"
                </button>
            }
        })}
    }
}
