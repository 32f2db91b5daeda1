//! What leaves the phone and comes back: the report of a job, files of a job,
//! tables, and the code on a printed card.

use crate::device::{clock, files, paper, picture};
use crate::engine::code;
use crate::job::card_text::{self, CardText};
use crate::job::csv::{self, TABLES};
use crate::job::demo::Draft;
use crate::job::event::Id;
use crate::job::report::{self, Say, Section};
use crate::ui::parts::{live, tap};
use crate::ui::prelude::*;
use crate::ui::route::Route;
use crate::ui::store::{Store, use_store};
use crate::ui::words;
use wasm_bindgen_futures::spawn_local;

/// Saves a text as a file named by the moment, and says so.
pub fn save(outcome: RwSignal<Option<String>>, name: &str, mime: &str, text: &str) {
    let (stem, ending) = name.split_once('.').unwrap_or((name, "txt"));
    let name = ["benchtide-", stem, &clock::stamp(clock::now()), ".", ending].concat();
    let said = match files::save(&name, mime, text) {
        Ok(()) => ["Saved as ", &name, ". Keep a copy off this phone."].concat(),
        Err(sentence) => sentence,
    };
    outcome.set(Some(said));
}

/// The ways out of a job: its report, and its file.
#[component]
pub fn JobPapers(id: Id) -> Node {
    let store = use_store();
    let outcome = RwSignal::new(None::<String>);
    let file = move |_| save(outcome, "job-.json", "application/json", &store.backup(Some(id)));
    view! {
        <a class="big" href=Route::Report(id).to_string()>"Report, to print"</a>
        <button class="big quiet" on:click=tap(file)>"Save this job to a file"</button>
        <p role="status">{live(move || outcome.get())}</p>
    }
}

/// The tables for other programs.
#[component]
pub fn Tables() -> Node {
    let store = use_store();
    let outcome = RwSignal::new(None::<String>);
    let keys = TABLES.into_iter().map(|(id, name)| {
        let write = move |_| {
            let table = store
                .state
                .with_untracked(|state| csv::write(store.rules(), state, id, &clock::in_utc));
            save(outcome, &[id, "-.csv"].concat(), "text/csv", &table);
        };
        view! { <button class="big" on:click=tap(write)>{name}</button> }
    });
    view! {
        <section class="card">
            <h2>"Tables"</h2>
            <p class="hint">"For a spreadsheet (CSV). Times are UTC."</p>
            <div class="stack">{keys.collect_view()}</div>
            <p role="status">{live(move || outcome.get())}</p>
        </section>
    }
}

/// The report of a job.
#[component]
pub fn ReportScreen(job: Id) -> Node {
    let store = use_store();
    let (name, sections) = store.state.with_untracked(|state| {
        let value = |dimension, value| words::value_of(&state.settings, dimension, value);
        let say = Say { when: &clock::date_time, value: &value };
        let name = state.jobs.get(&job).map(|job| job.name.clone()).unwrap_or_default();
        (name, report::of(store.rules(), state, job, &say))
    });
    if sections.is_empty() {
        return view! {
            <h1>"Report"</h1>
            <p class="card empty">"This job is not on this phone."</p>
        };
    }
    view! {
        <p class="crumb"><a href=Route::Job(job).to_string()>"To the job"</a></p>
        <h1>{name}</h1>
        <button class="big main" on:click=tap(|_| paper::print())>"Print"</button>
        {sections.into_iter().map(section).collect_view()}
        <p class="hint">{["Printed ", &clock::date_time(clock::now()), " from the workshop's own record."].concat()}</p>
    }
}

fn section(section: Section) -> Node {
    let rows = section.rows.into_iter().map(|(what, said)| {
        view! { <tr><th scope="row">{what}</th><td>{said}</td></tr> }
    });
    let rows = rows.collect_view();
    view! {
        <section class="card report">
            <h2>{section.title}</h2>
            <table><tbody>{rows}</tbody></table>
        </section>
    }
}

/// Reads the code on a card out of a picture.
#[component]
pub fn ReadScreen() -> Node {
    let store = use_store();
    let said = RwSignal::new(None::<Result<String, String>>);
    let look = move |event: web_sys::Event| {
        let Some(file) = files::picked(&event) else { return };
        said.set(Some(Err("Looking…".into())));
        spawn_local(async move {
            let found = picture::brightness(file).await.and_then(|(luma, width, height)| {
                code::read(&luma, width, height).map_err(|error| error.to_string())
            });
            said.set(Some(found));
        });
    };
    view! {
        <p class="crumb"><a href=Route::Jobs.to_string()>"Jobs"</a></p>
        <h1>"Read a card"</h1>
        <p class="hint">"The square code on a mould's card. Lay it flat; let the square fill half of the picture."</p>
        <div class="stack">
            <label class="big main file">
                "Take a picture"
                <input type="file" accept="image/*" capture="environment" on:change=tap(look) />
            </label>
            <label class="big file">
                "Choose a picture"
                <input type="file" accept="image/*" on:change=tap(look) />
            </label>
        </div>
        <div role="status">
            {live(move || match said.get() {
                None => Node::Nothing,
                Some(Err(sentence)) => view! { <p class="card">{sentence}</p> },
                Some(Ok(text)) => found(store, text),
            })}
        </div>
    }
}

/// What a code said, and what can be done with it.
fn found(store: Store, text: String) -> Node {
    let card = card_text::understand(&text);
    let known =
        card.as_ref().and_then(|card| store.state.with(|state| card_text::known(state, card)));
    let lines = text.lines().map(|line| view! { <p>{line.to_owned()}</p> });
    let lines = lines.collect_view();
    let next = match (card, known) {
        (_, Some(id)) => view! {
            <a class="big main" href=Route::Mould(id).to_string()>"To this mould"</a>
        },
        (Some(card), None) => view! {
            <p class="hint">"This mould is not on this phone."</p>
            <button class="big main" on:click=tap(move |_| keep(store, &card))>"Keep it as a mould"</button>
        },
        (None, None) => {
            view! { <p class="hint">"This is not a mould's card. It can't be kept."</p> }
        }
    };
    view! {
        <section class="card">
            <h2>"It says"</h2>
            {lines}
        </section>
        {next}
    }
}

fn keep(store: Store, card: &CardText) {
    let at = clock::now();
    let first = store.new_id(at);
    let bodies = card_text::keep(card, first).into_iter().enumerate();
    let drafts = bodies.map(|(index, body)| {
        let id = if index == 0 { first } else { store.new_id(at) };
        Draft { id, at, body }
    });
    store.append_drafts(drafts.collect(), "Mould kept".into(), || {});
}
