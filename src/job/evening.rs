//! The round before the shop is locked: tubs, rags, peroxide. What goes wrong with
//! them goes wrong at night, with nobody there.

use super::event::{Body, Place};
use super::sheet;
use super::state::State;
use crate::engine::decimals;
use crate::engine::quantity::{Instant, Minutes};
use crate::trade::model::{Hazard, Rules};

/// When an evening begins, counted from midnight: a working rule.
pub const BEGINS: Minutes = Minutes(16.0 * 60.0);
/// A day.
pub const DAY: Minutes = Minutes(24.0 * 60.0);
/// The hazard of the rule table whose lines are asked.
const HAZARD: &str = "HZ17";
/// The sheet of the shop that remembers the last round, and its field.
const SHEET: &str = "evening";
const FIELD: &str = "round";

/// What is asked this evening, which began at an instant; none when nothing was mixed
/// since the last round, and in the day.
pub fn due<'r>(
    rules: &'r Rules,
    state: &State,
    began: Instant,
    now: Instant,
) -> Option<&'r Hazard> {
    let mixed = state.batches.values();
    // The demo's batches are invented like its jobs.
    let real = mixed
        .filter(|b| b.job.and_then(|job| state.jobs.get(&job)).is_none_or(|job| !job.invented));
    let started = state.cures.values().filter(|cure| cure.place != Place::Demo);
    let work = real.map(|batch| batch.at).chain(started.map(|cure| cure.started)).max()?;
    let round = sheet::entry(state, None, SHEET, FIELD).and_then(decimals::read);
    let is_open = round.is_none_or(|round| work.millis() as f64 > round);
    let today = began.since(work) <= BEGINS && work <= now;
    let evening = now >= began && now.since(began) + BEGINS < DAY;
    (evening && today && is_open).then(|| rules.hazard(HAZARD)).flatten()
}

/// The round was made.
pub fn done(now: Instant) -> Body {
    let entry = Some(now.millis().to_string());
    Body::SheetFilled { job: None, sheet: SHEET.into(), field: FIELD.into(), entry }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::event::{Event, Id, Material};
    use crate::trade::rules;

    const MIDNIGHT: Instant = Instant(1_700_000_000_000);

    fn at(hour: f64) -> Instant {
        MIDNIGHT + Minutes(hour * 60.0)
    }

    fn event(seq: u64, at: Instant, body: Body) -> Event {
        Event { id: Id::new(at, [seq as u8; 10]), seq, at, body }
    }

    fn mixed(seq: u64, hour: f64) -> Event {
        let body = Body::BatchMixed {
            job: None,
            stage: None,
            title: "laminate".into(),
            material: Material::Family("UP-LAM".into()),
            parts: Vec::new(),
            catalyst: None,
        };
        event(seq, at(hour), body)
    }

    #[test]
    fn it_is_asked_in_the_evening_after_work_and_once() {
        let asked = |events: &[Event], hour: f64| {
            due(rules(), &State::fold(events), at(16.0), at(hour)).is_some()
        };
        assert!(!asked(&[], 18.0), "nothing was mixed");
        assert!(!asked(&[mixed(1, 10.0)], 15.0), "it is day");
        assert!(asked(&[mixed(1, 10.0)], 16.5));
        assert!(!asked(&[mixed(1, 10.0)], 32.0), "that evening is over");
        assert!(!asked(&[mixed(1, -3.0)], 18.0), "that was yesterday");
        let round = event(2, at(17.0), done(at(17.0)));
        assert!(!asked(&[mixed(1, 10.0), round.clone()], 18.0), "it was made");
        assert!(asked(&[mixed(1, 10.0), round, mixed(3, 19.0)], 19.5), "mixed again since");
    }

    #[test]
    fn it_asks_for_tubs_rags_and_peroxide() {
        // Source: trade reference 6, "end of day".
        let state = State::fold(&[mixed(1, 10.0)]);
        let asked = due(rules(), &state, at(16.0), at(17.0)).unwrap().controls.join(" ");
        for word in ["Tubs", "cold", "Rags", "Peroxide", "shut"] {
            assert!(asked.contains(word), "{asked}");
        }
    }
}
