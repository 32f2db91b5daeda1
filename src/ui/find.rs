//! Answers from the record: a field, keys that narrow, seven questions, rows.

use crate::device::{clock, look};
use crate::engine::quantity::{Celsius, Instant, Minutes};
use crate::job::event::Material;
use crate::job::find::answer::{Question, answer};
use crate::job::find::{Filter, Kind, Row, To, find, materials, time_of_day};
use crate::trade::model::Dimension;
use crate::ui::overlay::{Overlays, use_overlays};
use crate::ui::pad::Pad;
use crate::ui::parts::{live, tap, typed};
use crate::ui::prelude::*;
use crate::ui::route::Route;
use crate::ui::stock::value_key;
use crate::ui::store::{Store, use_store};
use crate::ui::words;

/// Rows at a time.
const ROWS: usize = 50;
/// How long typing must pause before it is looked for.
const PAUSE: i32 = 300;
/// Periods, with their length in days; none of them is for ever.
const PERIODS: [(&str, f64); 5] =
    [("Ever", 0.0), ("A day", 1.0), ("A week", 7.0), ("A month", 31.0), ("A year", 366.0)];

/// A day.
const DAY: Minutes = Minutes(24.0 * 60.0);

/// What the screen stands on.
#[derive(Clone, Copy)]
struct At {
    store: Store,
    overlays: Overlays,
    filter: RwSignal<Filter>,
    question: RwSignal<Option<Question>>,
    period: RwSignal<usize>,
    most: RwSignal<usize>,
}

/// The screen.
#[component]
pub fn FindScreen() -> Node {
    let at = At {
        store: use_store(),
        overlays: use_overlays(),
        filter: RwSignal::new(Filter::default()),
        question: RwSignal::new(None),
        period: RwSignal::new(0),
        most: RwSignal::new(ROWS),
    };
    // The last that was typed is looked for, once no more comes.
    let wanted = StoredValue::new((0_u32, String::new()));
    let type_it = move |event: web_sys::Event| {
        let text = typed(&event);
        wanted.update_value(|(times, last)| (*times, *last) = (*times + 1, text));
        let times = wanted.get_value().0;
        look::later(PAUSE, move || {
            let (now, text) = wanted.get_value();
            if now == times {
                at.narrow(|filter| filter.text = text);
            }
        });
    };
    view! {
        <p class="crumb"><a href=Route::Jobs.to_string()>"Jobs"</a></p>
        <h1>"Find in the record"</h1>
        <label class="field">
            "Words: a job, a mould, a tin, a note"
            <input type="search" autocomplete="off" on:input=tap(type_it) />
        </label>
        <div class="row pick" role="group" aria-label="Kind">{live(move || kinds(at))}</div>
        <div class="row pick" role="group" aria-label="Period">{live(move || periods(at))}</div>
        <details class="card">
            <summary>"Material, temperature, time of day"</summary>
            {live(move || narrow_keys(at))}
        </details>
        {live(move || narrowed(at))}
        {live(move || answered(at))}
        {live(move || rows(at))}
    }
}

impl At {
    fn narrow(self, change: impl FnOnce(&mut Filter)) {
        self.most.set(ROWS);
        self.filter.update(change);
    }
}

fn chip(name: String, pressed: bool, act: impl Fn() + 'static) -> Node {
    view! { <button class="chip" aria-pressed=pressed.to_string() on:click=tap(move |_| act())>{name}</button> }
}

fn kinds(at: At) -> Node {
    let chosen = at.filter.with(|filter| filter.kind);
    let all = std::iter::once((None, "All"));
    let kinds = Kind::ALL.into_iter().map(|(kind, name)| (Some(kind), name));
    let keys = all.chain(kinds).map(|(kind, name)| {
        chip(name.to_owned(), kind == chosen, move || at.narrow(|filter| filter.kind = kind))
    });
    keys.collect::<Vec<_>>().into_iter().collect_view()
}

fn periods(at: At) -> Node {
    let chosen = at.period.get();
    let keys = PERIODS.into_iter().enumerate().map(|(index, (name, days))| {
        chip(name.to_owned(), index == chosen, move || {
            at.period.set(index);
            let from = clock::now() - DAY * days;
            at.narrow(|filter| filter.from = (index > 0).then_some(from));
        })
    });
    keys.collect::<Vec<_>>().into_iter().collect_view()
}

/// Material, temperature and time of day, each as a key.
fn narrow_keys(at: At) -> Node {
    let At { store, overlays, .. } = at;
    let settings = store.settings();
    let filter = at.filter.get();
    let any = || Some("any".to_owned());
    let name = filter
        .material
        .as_ref()
        .map(|material| store.state.with(|state| words::material(state, material)));
    let material = tap(move |_| {
        let all = store.state.with_untracked(|state| materials(store.rules(), state));
        let names =
            std::iter::once("Any".to_owned()).chain(all.iter().map(|(_, name)| name.clone()));
        let names = names.collect();
        let chose = move |chosen: usize| {
            let material = chosen.checked_sub(1).and_then(|chosen| all.get(chosen));
            let material: Option<Material> = material.map(|(material, _)| material.clone());
            at.narrow(|filter| filter.material = material);
        };
        overlays.choose("Which material?", names, Box::new(chose));
    });
    let near = filter.near.map(|near| words::temperature(&settings, near));
    let until = filter.until.map(|until| words::clock(until, clock::now()));
    view! {
        {value_key("Material".into(), String::new(), name.or_else(any), material)}
        {value_key("At about".into(), "within 2 °C".into(), near.or_else(any), tap(move |_| ask_near(at)))}
        {value_key("Until".into(), "a time of day".into(), until.or_else(any), tap(move |_| ask_time(at)))}
    }
}

/// What the keys of the folded card leave in, and a key that drops it.
fn narrowed(at: At) -> Option<Node> {
    let filter = at.filter.get();
    let material = filter
        .material
        .as_ref()
        .map(|material| at.store.state.with(|state| words::material(state, material)));
    let near = filter.near.map(|near| words::temperature(&at.store.settings(), near));
    let until = filter.until.map(|until| words::clock(until, clock::now()));
    let set: Vec<String> = [material, near, until].into_iter().flatten().collect();
    let drop = move |_| {
        at.narrow(|filter| (filter.material, filter.near, filter.until) = (None, None, None));
    };
    let earlier = filter.until.map(|until| {
        let back = move |_| at.narrow(|filter| filter.until = Some(until - DAY));
        view! { <button class="big" on:click=tap(back)>"A day earlier"</button> }
    });
    (!set.is_empty()).then(|| view! {
        <button class="big quiet" on:click=tap(drop)>{["Not only: ", &set.join(", ")].concat()}</button>
        {earlier}
    })
}

fn ask_near(at: At) {
    let settings = at.store.state.with_untracked(|state| state.settings.clone());
    let near = at.filter.with_untracked(|filter| filter.near).unwrap_or(Celsius(15.0));
    at.overlays.pad.set(Some(Pad {
        title: "At about which temperature?".into(),
        hint: String::new(),
        start: words::bare_number(&settings, Dimension::Temperature, near.value()),
        units: words::temperature_units(&settings),
        done: Callback::new(move |entry: String| {
            let near = words::read_temperature(&settings, &entry)?;
            at.narrow(|filter| filter.near = Some(near));
            Ok(())
        }),
    }));
}

/// Asks for a time of day; it is the last such time that has been.
fn ask_time(at: At) {
    at.overlays.pad.set(Some(Pad {
        title: "At what time?".into(),
        hint: "Hours and minutes: 10.20".into(),
        start: String::new(),
        units: Vec::new(),
        done: Callback::new(move |entry: String| {
            let time = time_of_day(&entry).ok_or("Enter hours and minutes: 10.20")?;
            let at_last = clock::next_at(time, clock::now()) - DAY;
            at.narrow(|filter| filter.until = Some(at_last));
            Ok(())
        }),
    }));
}

fn questions(at: At) -> Node {
    let keys = Question::ALL.into_iter().map(|(question, text)| {
        let ask = move |_| {
            at.question.set(Some(question));
            let kind = question.kind();
            at.narrow(|filter| filter.kind = kind);
            match question {
                Question::Took if at.filter.with_untracked(|f| f.near.is_none()) => ask_near(at),
                Question::Where => ask_time(at),
                _ => {}
            }
        };
        view! { <button class="big" on:click=tap(ask)>{text}</button> }
    });
    keys.collect::<Vec<_>>().into_iter().collect_view()
}

/// The questions, or the answer to one.
fn answered(at: At) -> Node {
    let Some(question) = at.question.get() else {
        return view! {
            <details class="card">
                <summary>"Ask a question"</summary>
                <div class="stack">{questions(at)}</div>
            </details>
        };
    };
    let filter = at.filter.get();
    let lines = at.store.state.with(|state| answer(question, at.store.rules(), state, &filter));
    let now = clock::now();
    let said = lines.into_iter().map(|(when, text)| {
        let when = when.map(|when| [&words::clock(when, now), ". "].concat());
        view! { <p>{when.unwrap_or_default()} {text}</p> }
    });
    let title = Question::ALL.iter().find(|(one, _)| *one == question).map_or("", |(_, text)| text);
    let other = move |_| at.question.set(None);
    view! {
        <section class="card" role="status" data-answer="">
            <h2>{title}</h2>
            {said.collect::<Vec<_>>()}
            <p class="hint">"Of what the words and keys above leave in."</p>
            <button class="big quiet" on:click=tap(other)>"Ask something else"</button>
        </section>
    }
}

fn rows(at: At) -> Node {
    let (filter, most) = (at.filter.get(), at.most.get());
    let found = at.store.state.with(|state| find(at.store.rules(), state, &filter, most));
    let now = clock::now();
    let shown = found.rows.len();
    let more = move |_| at.most.update(|most| *most += ROWS);
    let rows = found.rows.into_iter().map(|row| line(row, now));
    view! {
        <p class="hint" data-found=found.all.to_string()>
            {match found.all {
                0 => "Nothing on record fits. Take a word or a key away.".to_owned(),
                all => format!("{shown} of {all}, the newest first"),
            }}
        </p>
        <div class="rows">{rows.collect::<Vec<_>>().into_iter().collect_view()}</div>
        {(shown < found.all).then(|| view! { <button class="big" on:click=tap(more)>"More"</button> })}
    }
}

fn line(row: Row, now: Instant) -> Node {
    let to = match row.to {
        To::Job(job) => Route::Job(job),
        To::Stage(job, stage) => Route::Stage(job, stage),
        To::Cure(cure) => Route::Cure(cure),
        To::Readings => Route::Shop,
        To::Cast(cast) => Route::Cast(cast),
        To::Nowhere => Route::Jobs,
    };
    view! {
        <a class="card job-line" href=to.to_string()>
            <span class="by-trade">{words::clock(row.at, now)} " " {row.job}</span>
            <b>{row.text}</b>
            <span>{row.facts}</span>
        </a>
    }
}
