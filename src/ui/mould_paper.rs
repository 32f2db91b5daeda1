//! The mould card and the casting log, as they leave the printer.

use crate::device::paper;
use crate::job::event::Id;
use crate::job::mould::{self, Judged};
use crate::job::mould_card;
use crate::job::sheet::{self, Ask, Item, Origin};
use crate::job::state::State;
use crate::ui::chart;
use crate::ui::parts::{either, live, tap};
use crate::ui::photos::as_drawn_on;
use crate::ui::prelude::*;
use crate::ui::route::Route;
use crate::ui::sheet::{lines, shown_value};
use crate::ui::store::{Store, use_store};
use crate::ui::words;

/// What can be printed: its name on the key, its paper, whether it is the log.
const PRINTS: [(&str, &str, bool); 5] = [
    ("Card, A6", "a6", false),
    ("Card, A4", "a4", false),
    ("Card, Letter", "letter", false),
    ("Log, A4", "a4", true),
    ("Log, Letter", "letter", true),
];

/// Boxes of the tally.
const BOXES: usize = 50;

/// The card or the log of a mould, and the key that prints it.
#[component]
pub fn PaperScreen(id: Id) -> Node {
    let store = use_store();
    let chosen = RwSignal::new(0_usize);
    let keys = PRINTS.iter().enumerate().map(|(at, (name, ..))| {
        let pressed = move || (chosen.get() == at).to_string();
        view! {
            <button class="chip" aria-pressed=pressed on:click=tap(move |_| chosen.set(at))>{*name}</button>
        }
    });
    let known = move || store.state.with(|state| state.record.moulds.contains_key(&id));
    view! {
        <p class="crumb"><a href=Route::Mould(id).to_string()>"To the mould"</a></p>
        <div class="row pick" role="group" aria-label="What to print">{keys.collect_view()}</div>
        <button class="big main" on:click=tap(|_| paper::print())>"Print"</button>
        {either(known, move || live(move || sheet_of_paper(store, id, chosen.get())), || view! {
            <p class="card empty">"This mould is not on this phone."</p>
        })}
    }
}

fn sheet_of_paper(store: Store, id: Id, chosen: usize) -> Option<Node> {
    let (_, size, log) = PRINTS.get(chosen)?;
    let (name, made) = store
        .state
        .with(|state| state.record.moulds.get(&id).map(|mould| (mould.name.clone(), mould.made)))?;
    let inside = if *log { casting_log(store, id) } else { card(store, id)? };
    Some(view! {
        <article class="paper" data-size=*size>
            <h2>{name}</h2>
            <p class="paper-id">{format!("On record {}. {id}", words::day(made))}</p>
            {inside}
        </article>
    })
}

/// The points of the card: heading and words, in the order of the sheet.
fn points(store: Store, state: &State, id: Id) -> Option<Vec<(String, Vec<String>)>> {
    let mut items = sheet::work(store.rules(), state, Some(id), sheet::find(sheet::MOULD)?);
    items.push(Item::Heading("So far".into()));
    items.extend(figures(store, state, id));
    let mut points: Vec<(String, Vec<String>)> = Vec::new();
    for item in items {
        let text = match item {
            Item::Heading(text) => {
                points.push((text, Vec::new()));
                continue;
            }
            Item::Field(field) if field.origin == Origin::Entered => {
                let value = shown_value(&state.settings, &field);
                // What stands behind a comma tells how to fill it in.
                let name = field.text.split(',').next().unwrap_or_default();
                if matches!(field.ask, Ask::Choice(_)) { value } else { format!("{name}: {value}") }
            }
            Item::Note(text) => text.trim_end_matches('.').to_owned(),
            Item::Result { text, value, .. } => {
                format!("{text}: {}", words::quantity(&state.settings, &value))
            }
            _ => continue,
        };
        points.last_mut()?.1.push(text);
    }
    points.retain(|(_, texts)| !texts.is_empty());
    Some(points)
}

/// What the casts say of the mould; what is due passes, and is not for paper.
fn figures(store: Store, state: &State, id: Id) -> Vec<Item> {
    let mut items = mould::standing(store.rules(), state, id, store.now.get_untracked());
    items.retain(|item| matches!(item, Item::Result { .. }));
    items
}

fn card(store: Store, id: Id) -> Option<Node> {
    let (points, count, code, photo) = store.state.with(|state| {
        let mut photos = state.record.photos.iter().rev();
        let photo = photos.find(|(_, photo)| photo.about.mould == Some(id));
        let photo = photo.map(|(id, photo)| (*id, photo.clone()));
        let code = chart::code(&mould_card::facts(state, id)).unwrap_or_default();
        Some((points(store, state, id)?, mould::casts(state, id).len(), code, photo))
    })?;
    let points = points.into_iter().map(|(heading, texts)| {
        view! { <p><b>{heading}</b> " " {texts.join("; ")}</p> }
    });
    // A mould of more casts goes on with the next fifty boxes.
    let first = count.saturating_sub(1) / BOXES * BOXES;
    let boxes = (first + 1..=first + BOXES).map(|number| {
        let done = (number <= count).then_some("yes");
        view! { <span class="tally" data-done=done>{number.to_string()}</span> }
    });
    Some(view! {
        <div class="paper-head">
            {match photo {
                Some((id, photo)) => view! {
                    <div class="paper-outline paper-photo">{as_drawn_on(store, id, &photo)}</div>
                },
                None => view! {
                    <div class="paper-outline">
                        "Outline: number the pieces; arrows, spout, chase lines"
                    </div>
                },
            }}
            <div class="paper-code" inner_html=code></div>
        </div>
        {points.collect_view()}
        <p class="tallies"><b>"Casts"</b> {boxes.collect_view()}</p>
    })
}

fn casting_log(store: Store, id: Id) -> Node {
    let heads = ["No.", "Date", "Weight", "Judged", "Cast in", "On its back", "To whom"];
    let heads = heads.iter().map(|head| view! { <th scope="col">{*head}</th> });
    let rows = store.state.with(|state| {
        let casts = mould::casts(state, id).into_iter();
        casts
            .map(|(id, cast)| {
                let judged = Judged::of(state, id);
                let fault = mould::fault(store.rules(), state, id);
                let fault = fault.map(|one| format!(": {}", one.title)).unwrap_or_default();
                let words_of = |field| {
                    sheet::entry(state, Some(id), sheet::CAST, field).unwrap_or_default().to_owned()
                };
                let weight = mould::weight(state, id);
                let cells = [
                    cast.number.to_string(),
                    words::day(cast.made),
                    weight.map(|w| words::mass(&state.settings, w)).unwrap_or_default(),
                    format!("{}{fault}", judged.words()),
                    mould::material(store.rules(), state, id)
                        .map(|f| f.short.clone())
                        .unwrap_or_default(),
                    words_of("serial"),
                    words_of("to"),
                ];
                let cells = cells.into_iter().map(|cell| view! { <td>{cell}</td> });
                view! { <tr>{cells.collect_view()}</tr> }
            })
            .collect::<Vec<_>>()
    });
    if rows.is_empty() {
        return view! { <p>"No casts yet."</p> };
    }
    let figures = move || store.state.with(|state| figures(store, state, id));
    let figures = sheet::find(sheet::MOULD).map(|card| lines(Some(id), card, Box::new(figures)));
    view! {
        <table>
            <thead><tr>{heads.collect_view()}</tr></thead>
            <tbody>{rows}</tbody>
        </table>
        {figures}
    }
}
