//! A cure to look at: how far it has come against its window, over the
//! temperature that drives it; and where it stands.

use crate::device::clock;
use crate::engine::quantity::{Instant, Minutes};
use crate::job::command;
use crate::job::course::course;
use crate::job::event::{Finding, Id, Place};
use crate::job::live::{LiveCure, LiveWindow, WindowState};
use crate::trade::model::Driver;
use crate::ui::chart::{self, Band, Progress};
use crate::ui::parts::{live, tap};
use crate::ui::prelude::*;
use crate::ui::store::{MORNING, use_store};
use crate::ui::words;

/// The picture of a running cure, drawn anew every minute.
#[component]
pub fn CourseCard(id: Id) -> Node {
    let store = use_store();
    let minute = Memo::new(move |_| store.now.get().millis() / 60_000);
    let picture = move || {
        minute.with(|_| ());
        let now = store.now.get_untracked();
        store.state.with(|state| {
            let record = state.cures.get(&id)?;
            let course = course(store.rules(), state, record, now).ok()?;
            let bands: Vec<Band> = course
                .cure
                .windows
                .iter()
                .filter(|w| w.opens.is_some() || w.closes.is_some())
                .filter(|w| w.opens.is_none_or(|opens| opens.low < course.until))
                .map(|w| Band { label: &w.window.title, opens: w.opens, closes: w.closes })
                .collect();
            let marks: Vec<(Instant, &str)> = record
                .seen
                .iter()
                .filter_map(|seen| Some((seen.seen, mark(seen.finding)?)))
                .collect();
            let driver = match course.driver {
                Driver::Room => "Air",
                Driver::Mix => "Mix",
                Driver::Surface => "Surface",
            };
            Some(chart::progress(&Progress {
                id: "course",
                title: &course.cure.name(),
                toward: course.toward,
                started: course.cure.started,
                now,
                until: course.until,
                offset: clock::offset(now),
                share: &course.share,
                windows: &bands,
                marks: &marks,
                temperature: &course.temperature,
                measured_to: course.measured_to,
                driver,
                limit: Some((course.least, "too cold")),
                unit: state.settings.units.temperature,
            }))
        })
    };
    view! {
        <section class="card">
            <h2>"Its course"</h2>
            <div class="chart-place" inner_html=picture></div>
            <p class="hint">
                "Dashed: not measured yet. Hatched: it may or may not have opened or closed. Four times out of five it happens within."
            </p>
        </section>
    }
}

fn mark(finding: Finding) -> Option<&'static str> {
    match finding {
        Finding::Gelled => Some("gelled"),
        Finding::Ready => Some("ready"),
        Finding::Gone => Some("gone"),
        Finding::Done => Some("done"),
        Finding::NotYet { .. } => None,
    }
}

/// The shop thinks of the next morning from this long before it.
const EVENING: Minutes = Minutes(18.0 * 60.0);
/// What comes later than this after the morning was not hoped for by then.
const HOPED: Minutes = Minutes(24.0 * 60.0);

/// What a cure waits for next, where that comes only after the night, or never
/// as things stand.
pub fn not_before_morning(cure: &LiveCure, now: Instant) -> Option<String> {
    let waits = |w: &&LiveWindow| matches!(w.state, WindowState::Wait | WindowState::NoTime);
    let next = cure.windows.iter().find(waits)?;
    let title = &next.window.title;
    match (next.no_time, next.opens) {
        // What matters now says so itself.
        (Some(why), _) if cure.window().is_some_and(|w| w.no_time.is_none()) => {
            Some(format!("{title}: {why}"))
        }
        (None, Some(opens)) => {
            let morning = clock::next_at(MORNING, now);
            // Said towards the evening, of what might be hoped for by then.
            if morning.since(now) > EVENING || opens.likely.since(morning) > HOPED {
                return None;
            }
            let how = match (opens.low > morning, opens.likely > morning) {
                (true, _) => "it will not get there before morning",
                (false, true) => "likely not before morning",
                (false, false) => return None,
            };
            Some(format!("{title}: {how}."))
        }
        _ => None,
    }
}

/// Where a piece is, and the key that carries it to the other place.
#[component]
pub fn WhereItIs(id: Id) -> Node {
    let store = use_store();
    let place = move || {
        store.state.with(|state| {
            let record = state.cures.get(&id)?;
            Some(record.moves.last().map_or(record.place, |(_, place)| *place))
        })
    };
    view! {
        {live(move || {
            let to = match place()? {
                Place::Bench => Place::Cabinet,
                Place::Cabinet => Place::Bench,
                Place::Demo | Place::Outside => return None,
            };
            let label = match to {
                Place::Cabinet => "Carried into the warm cabinet",
                _ => "Back on the bench",
            };
            let carry = move |_| {
                let now = clock::now();
                let body =
                    store.state.with_untracked(|state| command::carry(state, id, to, now));
                match body {
                    Ok(body) => store.append_moving(vec![body], &format!("Now at: {}", words::place(to))),
                    Err(refusal) => store.refuse(refusal.to_string()),
                }
            };
            Some(view! { <button class="big quiet" on:click=tap(carry)>{label}</button> })
        })}
    }
}
