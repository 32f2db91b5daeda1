//! Sheets: what was measured, what comes of it, and how, line by line.

use crate::device::paper;
use crate::engine::takeoff::{Quantity, SumLine};
use crate::job::command;
use crate::job::event::{Body, Id};
use crate::job::settings::Settings;
use crate::job::sheet::{self, Ask, Field, Item, Origin, Sheet};
use crate::trade::model::{Dimension, Measure};
use crate::ui::overlay::{Overlays, Why, use_overlays};
use crate::ui::pad::Pad;
use crate::ui::parts::{live, shown, tap};
use crate::ui::prelude::*;
use crate::ui::route::Route;
use crate::ui::store::{Store, use_store};
use crate::ui::words;

/// The name over a sheet: its job's, or the shop.
pub fn crumb(store: Store, job: Option<Id>, route: Route) -> Node {
    let name = move || {
        job.map_or_else(
            || "The shop".to_owned(),
            |job| {
                store
                    .state
                    .with(|s| {
                        let mould = || s.record.moulds.get(&job).map(|mould| &mould.name);
                        s.jobs.get(&job).map(|job| &job.name).or_else(mould).cloned()
                    })
                    .unwrap_or_default()
            },
        )
    };
    view! { <p class="crumb"><a href=route.to_string()>{live(name)}</a></p> }
}

/// All sheets of a job, or of the shop.
#[component]
pub fn SheetsScreen(job: Option<Id>) -> Node {
    let store = use_store();
    let back = job.map_or(Route::Jobs, Route::Job);
    view! {
        {crumb(store, job, back)}
        <h1>"Take-off"</h1>
        <p>"Measure the piece, see the sum, take what comes of it into the job."</p>
        <a class="big" href=Route::Scan(job).to_string()>"Open a scan"</a>
        <ul class="ladder">
            {sheet::SHEETS
                .iter()
                .map(|one| {
                    let filled = move || {
                        store.state.with(|state| {
                            let entries = state.sheets.get(&(job, one.id.to_owned()));
                            entries.is_some_and(|entries| !entries.is_empty())
                        })
                    };
                    view! {
                        <li>
                            <a href=Route::Sheet(job, one.id.into()).to_string()>
                                <span class="rung-mark" aria-hidden="true">
                                    {live(move || if filled() { "✓" } else { "○" })}
                                </span>
                                <span class="rung-title">
                                    {one.title}
                                    <span class="hint">" " {one.about}</span>
                                </span>
                                <span class="rung-word">{live(move || if filled() { "filled in" } else { "" })}</span>
                            </a>
                        </li>
                    }
                })
                .collect_view()}
        </ul>
    }
}

/// One sheet.
#[component]
pub fn SheetScreen(job: Option<Id>, id: String) -> Node {
    let store = use_store();
    let Some(found) = sheet::find(&id) else {
        return view! {
            <h1>"Take-off"</h1>
            <p class="card">"There is no such sheet here."</p>
            <a class="big" href=Route::Sheets(job).to_string()>"To the sheets"</a>
        };
    };
    let back = match (found.id, job) {
        (sheet::MOULD, Some(mould)) => Route::Mould(mould),
        (sheet::EMERGENCY, _) => Route::Shop,
        _ => Route::Sheets(job),
    };
    view! {
        {crumb(store, job, back)}
        <h1>{found.title}</h1>
        <p class="hint">{found.about}</p>
        {lines_of(job, found)}
    }
}

/// The lines of a sheet, with its keys below them.
pub fn lines_of(job: Option<Id>, found: &'static Sheet) -> Node {
    let store = use_store();
    let items = move || store.state.with(|state| sheet::work(store.rules(), state, job, found));
    let filled = move || items().iter().any(is_entered);
    let clear = move |_| {
        let bodies = untrack(items).into_iter().filter(is_entered).filter_map(|item| match item {
            Item::Field(field) => Some(sheet::fill(job, &field, None)),
            _ => None,
        });
        store.append(bodies.collect(), "Cleared".into(), || {});
    };
    // A card is complete without results, and has a print of its own.
    let card = found.id == sheet::MOULD || found.id == sheet::CAST;
    view! {
        {lines(job, found, Box::new(items))}
        {shown(move || !card && items().iter().any(is_open), || view! {
            <p class="card empty">"Enter what is open. What comes of it stands here, with its sum."</p>
        })}
        {(!card).then(|| view! { <button class="big quiet" on:click=tap(|_| paper::print())>"Print"</button> })}
        {shown(filled, move || view! {
            <button class="big quiet" on:click=tap(clear)>"Clear this sheet"</button>
        })}
    }
}

/// Lines as a sheet shows them.
pub fn lines(job: Option<Id>, of: &'static Sheet, items: Box<dyn Fn() -> Vec<Item>>) -> Node {
    let overlays = use_overlays();
    let at = At { store: use_store(), overlays, job, of, open: RwSignal::new(None::<String>) };
    live(move || items().into_iter().map(|item| line(at, item)).collect_view())
}

fn is_open(item: &Item) -> bool {
    matches!(item, Item::Field(field) if field.value.is_none() && !matches!(field.ask, Ask::Text(_)))
}

fn is_entered(item: &Item) -> bool {
    matches!(item, Item::Field(field) if field.origin == Origin::Entered)
}

/// Where a line stands.
#[derive(Clone, Copy)]
struct At {
    store: Store,
    overlays: Overlays,
    job: Option<Id>,
    of: &'static Sheet,
    /// The field whose list of words is open.
    open: RwSignal<Option<String>>,
}

/// One line of a sheet.
fn line(at: At, item: Item) -> Node {
    match item {
        Item::Heading(text) => view! { <h2>{text}</h2> },
        Item::Note(text) => view! { <p class="hint">{text}</p> },
        Item::Warning(text) => view! { <p class="card warn" role="status">{text}</p> },
        Item::Stop(text) => view! { <p class="card stop" role="alert">{text}</p> },
        Item::Field(field) => field_line(at, field),
        Item::Result { text, value, sum } => result_line(at, text, value, sum),
    }
}

/// A value as a field shows it.
pub fn shown_value(settings: &Settings, field: &Field) -> String {
    match (&field.ask, field.value) {
        (Ask::Text(words), Some(_)) => words.clone(),
        (Ask::Text(_), None) => "write".into(),
        (Ask::Choice(options), Some(at)) => {
            options.get(at as usize).map(|(_, text)| text.clone()).unwrap_or_default()
        }
        (_, None) => "enter".into(),
        (Ask::Of(dimension), Some(value)) => words::value_of(settings, *dimension, value),
        (Ask::Plain(unit), Some(value)) => format!("{} {unit}", words::number(value)),
    }
}

/// Where a field's value comes from, in a word.
fn origin(field: &Field) -> &'static str {
    match field.origin {
        Origin::Entered => "entered",
        Origin::Sheet(_) => "from the scan",
        Origin::Start if !matches!(field.ask, Ask::Choice(_)) => "to start with",
        Origin::Start | Origin::Open => "",
    }
}

fn field_line(at: At, field: Field) -> Node {
    let At { store, overlays, job, open, .. } = at;
    let value = shown_value(&store.settings(), &field);
    let key = format!("{} {}", field.sheet, field.id);
    let name = field.text.clone();
    let whence = origin(&field);
    let missing = field.value.is_none();
    let choice = matches!(field.ask, Ask::Choice(_));
    let is_open = {
        let key = key.clone();
        move || open.with(|open| open.as_ref() == Some(&key))
    };
    let options = match &field.ask {
        Ask::Choice(options) if is_open() => options.clone(),
        _ => Vec::new(),
    };
    let chosen = field.value;
    let for_options = field.clone();
    let press = move |_| {
        if choice {
            let key = key.clone();
            open.update(|open| *open = if open.as_ref() == Some(&key) { None } else { Some(key) });
        } else {
            enter(store, overlays, job, field.clone());
        }
    };
    view! {
        <button class="reading wide" data-missing=missing.then_some("yes") aria-expanded=choice.then(|| (!options.is_empty()).to_string()) on:click=tap(press)>
            <span class="reading-name whence"><span>{name}</span> <span class="hint">{whence}</span></span>
            <span class="reading-value">{value}</span>
        </button>
        {(!options.is_empty()).then(|| view! {
            <div class="row units" role="group">
                {options
                    .into_iter()
                    .enumerate()
                    .map(|(at, (word, text))| {
                        let field = for_options.clone();
                        view! {
                            <button
                                class="chip"
                                aria-pressed=(chosen == Some(at as f64)).to_string()
                                on:click=tap(move |_| {
                                    open.set(None);
                                    let body = sheet::fill(job, &field, Some(word.clone()));
                                    store.append(vec![body], "Entered".into(), || {});
                                })
                            >
                                {text}
                            </button>
                        }
                    })
                    .collect_view()}
            </div>
        })}
    }
}

/// Opens the pad for a field.
pub fn enter(store: Store, overlays: Overlays, job: Option<Id>, field: Field) {
    if let Ask::Text(words) = &field.ask {
        overlays.why.set(Some(Why {
            title: field.text.clone(),
            text: words.clone(),
            offers: Vec::new(),
            words: ["In your words", "Write it down"],
            done: Callback::new(move |entry: String| {
                store.append(
                    vec![sheet::fill(job, &field, Some(entry))],
                    "Written down".into(),
                    || {},
                );
            }),
        }));
        return;
    }
    let settings = store.state.with_untracked(|state| state.settings.clone());
    let (start, units) = match &field.ask {
        Ask::Of(dimension) => (
            field.value.map(|value| words::bare_number(&settings, *dimension, value)),
            words::units(&settings, *dimension),
        ),
        _ => (field.value.map(words::number), Vec::new()),
    };
    let hint = match &field.ask {
        Ask::Of(dimension) => {
            let (least, most) = field.range;
            let shown = |value| words::value_of(&settings, *dimension, value);
            if most < 1e6 && least > 0.01 {
                format!("{} to {}", shown(least), shown(most))
            } else {
                String::new()
            }
        }
        Ask::Plain(unit) => (*unit).to_owned(),
        Ask::Choice(_) | Ask::Text(_) => String::new(),
    };
    let title = field.text.clone();
    let done = Callback::new(move |entry: String| {
        let value = match &field.ask {
            Ask::Of(dimension) => words::read_number(&settings, *dimension, &entry)?,
            _ => words::read_number(&settings, Dimension::Percent, &entry)?,
        };
        let body = sheet::enter(job, &field, value).map_err(|refused| refused.to_string())?;
        store.append(vec![body], "Entered".into(), || {});
        Ok(())
    });
    overlays.pad.set(Some(Pad { title, hint, start: start.unwrap_or_default(), units, done }));
}

/// The lines of a sum.
pub fn sum_lines(store: Store, sum: Vec<SumLine>) -> Node {
    let settings = store.settings();
    let lines = sum.into_iter().map(|line| {
        let value = words::quantity(&settings, &line.value);
        view! { <dt>{line.text}</dt> <dd>{value}</dd> }
    });
    view! { <dl class="sum">{lines.collect_view()}</dl> }
}

/// The measures of a job's method that a result can stand for.
fn measures(store: Store, job: Id, value: &Quantity) -> Vec<(&'static Measure, f64)> {
    let found = match value {
        Quantity::Mass(mass) => (Dimension::Mass, mass.value()),
        Quantity::Volume(volume) => (Dimension::Volume, volume.value()),
        Quantity::Length(length) => (Dimension::Length, length.value()),
        Quantity::Area(area) => (Dimension::Area, area.value()),
        Quantity::Density(density) => (Dimension::Density, density.value()),
        _ => return Vec::new(),
    };
    let method = store
        .state
        .with_untracked(|s| s.jobs.get(&job).and_then(|job| s.method(store.rules(), &job.method)));
    let measures = method.map(|method| method.measures.iter()).into_iter().flatten();
    measures
        .filter(|measure| measure.dimension == found.0)
        .map(|measure| (measure, found.1))
        .collect()
}

fn result_line(at: At, text: String, value: Quantity, sum: Vec<SumLine>) -> Node {
    let At { store, job, of, .. } = at;
    let shown = words::quantity(&store.settings(), &value);
    let uses = job.map(|job| (job, measures(store, job, &value)));
    let use_key = move |job: Id, (measure, value): (&'static Measure, f64)| {
        let take = move |_| {
            let body = command::within(measure, value).map(|()| Body::MeasureEntered {
                job,
                measure: measure.id.clone(),
                value,
            });
            store.act(body, format!("{}: taken from “{}”", measure.title, of.title));
        };
        view! { <button class="chip" on:click=tap(take)>{measure.title.clone()}</button> }
    };
    let keys = uses.filter(|(_, uses)| !uses.is_empty()).map(|(job, uses)| {
        let keys = uses.into_iter().map(|one| use_key(job, one)).collect_view();
        view! {
            <p class="hint">"Take it into the job as:"</p>
            <div class="row units">{keys}</div>
        }
    });
    view! {
        <details class="card result">
            <summary>
                <span>{text}</span>
                <b class="amount">{shown}</b>
            </summary>
            {sum_lines(store, sum)}
            {keys}
        </details>
    }
}
