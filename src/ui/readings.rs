//! Entering a reading: air, humidity, surface, water. Each is one tap and the
//! number pad; entered together or one by one.

use crate::device::clock;
use crate::job::command::{self, NewReading};
use crate::job::event::{Id, Place};
use crate::job::state::State;
use crate::ui::overlay::use_overlays;
use crate::ui::pad::Pad;
use crate::ui::parts::{live, tap};
use crate::ui::prelude::*;
use crate::ui::store::{Store, use_store};
use crate::ui::words;

/// What a key reads.
#[derive(Clone, Copy, PartialEq)]
enum Kind {
    Air,
    Humidity,
    Surface,
    Water,
}

impl Kind {
    fn title(self) -> &'static str {
        match self {
            Self::Air => "Air",
            Self::Humidity => "Humidity",
            Self::Surface => "Surface",
            Self::Water => "Water",
        }
    }
}

/// Keys for a new reading. With a job, the surface is that job's.
#[component]
pub fn ReadingEntry(
    /// The job whose surface is read; none for a whole place.
    job: Option<Id>,
    /// The place, without a job.
    place: Place,
) -> Node {
    let kinds: &[Kind] = match (job, place) {
        (Some(_), _) => &[Kind::Surface, Kind::Air, Kind::Humidity],
        (None, Place::Outside) => &[Kind::Air, Kind::Humidity],
        (None, _) => &[Kind::Air, Kind::Humidity, Kind::Surface, Kind::Water],
    };
    view! {
        <div class="keys-row" role="group" aria-label="New reading">
            {kinds.iter().map(|kind| view! { <ReadingKey job=job place=place kind=*kind /> }).collect_view()}
        </div>
    }
}

#[component]
fn ReadingKey(job: Option<Id>, place: Place, kind: Kind) -> Node {
    let store = use_store();
    let overlays = use_overlays();
    let shown = move || {
        let now = store.now.get();
        store.state.with(|state| {
            let place = place_of(state, job, place);
            let (taken, text) = match kind {
                Kind::Air => words::newest_air(state, place),
                Kind::Humidity => words::newest_humidity(state, place),
                Kind::Surface => words::newest_surface(state, place, job),
                Kind::Water => words::newest_water(state, place),
            }?;
            Some((text, words::age(now.since(taken))))
        })
    };
    let open = move |_| {
        let settings = store.state.with_untracked(|state| state.settings.clone());
        let temperature = kind != Kind::Humidity;
        overlays.pad.set(Some(Pad {
            title: format!("{} now", kind.title()),
            hint: "Read the thermometer, not the memory.".into(),
            start: untrack(shown).map(|(text, _)| words::leading_number(&text)).unwrap_or_default(),
            units: if temperature { words::temperature_units(&settings) } else { vec!["%"] },
            done: Callback::new(move |entry: String| {
                let outcome = read(store, (job, place), kind, &entry)?;
                store.append_moving(vec![outcome], "Reading noted");
                Ok(())
            }),
        }));
    };
    view! {
        <button class="reading" on:click=tap(open)>
            <span class="reading-name">{kind.title()}</span>
            <span class="reading-value">
                {live(move || shown().map_or_else(|| "not read".into(), |(text, _)| text))}
            </span>
            <span class="hint">{live(move || shown().map(|(_, age)| age))}</span>
        </button>
    }
}

/// The place of a job, or the one given.
fn place_of(state: &State, job: Option<Id>, place: Place) -> Place {
    job.and_then(|job| state.jobs.get(&job)).map_or(place, |job| job.place)
}

fn read(
    store: Store,
    (job, place): (Option<Id>, Place),
    kind: Kind,
    entry: &str,
) -> Result<crate::job::event::Body, String> {
    let settings = store.state.with_untracked(|state| state.settings.clone());
    let place = store.state.with_untracked(|state| place_of(state, job, place));
    let mut reading = NewReading { place, ..NewReading::default() };
    let temperature = || words::read_temperature(&settings, entry);
    match kind {
        Kind::Air => reading.air = Some(temperature()?),
        Kind::Surface => {
            reading.surface = Some(temperature()?);
            reading.job = job;
        }
        Kind::Water => reading.water = Some(temperature()?),
        Kind::Humidity => {
            reading.humidity = Some(words::read_percent(entry)?);
            // A humidity belongs to the air that it was read with.
            reading.air = store.state.with_untracked(|state| {
                crate::job::temperature::newest(state, place, |r| r.air).map(|(_, air)| air)
            });
            if reading.air.is_none() {
                return Err("Enter the air temperature first.".into());
            }
        }
    }
    let now = clock::now();
    command::reading(reading, now, now).map_err(|refusal| refusal.to_string())
}

/// The readings so far, newest first, each with its undo.
#[component]
pub fn ReadingList() -> Node {
    let store = use_store();
    let list = move || {
        let now = store.now.get_untracked();
        store.state.with(|state| {
            state
                .readings
                .iter()
                .rev()
                .take(12)
                .map(|reading| (reading.id, words::reading(state, reading, now)))
                .collect::<Vec<_>>()
        })
    };
    view! {
        <ul class="readings">
            {live(move || {
                list()
                    .into_iter()
                    .map(|line| {
                        view! {
                <li>
                    <span>{line.1}</span>
                    <button class="waive" on:click=tap(move |_| store.undo(&[line.0], "Reading taken back"))>
                        "Take back"
                    </button>
                </li>
                        }
                    })
                    .collect_view()
            })}
        </ul>
    }
}
