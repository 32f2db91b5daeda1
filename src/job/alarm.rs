//! When to ring, for what, and what is still unanswered.
//!
//! An alarm is an instant worked out from a solved cure, never a counter: a
//! killed tab or a locked phone can't shift one, and one that came while the
//! app was closed is still there on return. An answer given before an alarm
//! was due does not silence it, so a cure that moved later rings again.

use crate::engine::quantity::Instant;
use crate::engine::sorting::{sort_by, sort_by_key};
use crate::trade::model::{Lateness, Rules};

use super::event::{Finding, Id};
use super::live::{LiveCure, LiveWindow, Shares, Urgency, WindowState};
use super::state::State;

/// Two sounds: one where minutes count, one for "ready, come when you can".
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Class {
    /// Being late ruins or costs work.
    Minutes,
    /// Something has become ready.
    Ready,
}

/// An alarm.
#[derive(Clone, Debug, PartialEq)]
pub struct Alarm {
    /// The cure.
    pub cure: Id,
    /// Key of the alarm within its cure.
    pub key: String,
    /// When it rings.
    pub at: Instant,
    /// Which sound.
    pub class: Class,
    /// Job and stage.
    pub name: String,
    /// What to do, in a few words.
    pub act: String,
    /// How urgent its cure is now.
    pub urgency: Urgency,
}

impl Alarm {
    /// One sentence for the notification and the spoken alarm.
    pub fn sentence(&self) -> String {
        format!("{}: {}", self.name, self.act)
    }
}

/// Every alarm of a cure, past and to come, in order of time.
pub fn of_cure(rules: &Rules, cure: &LiveCure) -> Vec<Alarm> {
    let shares = Shares::of(rules);
    let mut alarms: Vec<Alarm> = cure
        .windows
        .iter()
        .filter(|window| window.state != WindowState::Done && !window.gone)
        .flat_map(|window| of_window(cure, window, shares))
        .collect();
    sort_by(&mut alarms, |a, b| (a.at, &a.key).cmp(&(b.at, &b.key)));
    alarms
}

fn of_window(cure: &LiveCure, window: &LiveWindow, shares: Shares) -> Vec<Alarm> {
    let class = match window.window.late {
        Lateness::None => Class::Ready,
        _ => Class::Minutes,
    };
    let mut alarms = Vec::new();
    let mut ring = |kind: &str, at: Option<Instant>, class: Class, act: String| {
        if let Some(at) = at {
            alarms.push(Alarm {
                cure: cure.id,
                key: format!("{}:{kind}", window.window.id),
                at,
                class,
                name: cure.name(),
                act,
                urgency: cure.urgency,
            });
        }
    };
    let test = &window.window.test;
    let title = &window.window.title;
    if window.window.opens.is_none() {
        let first = window
            .close_by
            .map(|close| cure.started + close.since(cure.started) * shares.pot_first);
        ring("first", first, class, format!("{title}: more than half gone"));
        ring("last", window.last_call, class, format!("{title}: last of it, use it up"));
        ring("over", window.close_by, class, format!("{title}: over. {}", window.window.missed));
        return alarms;
    }
    if !window.found_ready {
        ring("look", window.look, Class::Ready, format!("First look. {test}"));
        ring("open", window.open_from, class, format!("{title}: open now. {test}"));
    }
    if let Some(again) = window.look_again {
        let key = format!("again-{}", again.millis());
        ring(&key, Some(again), class, format!("Look again. {test}"));
    }
    ring("ideal", window.ideal, Class::Ready, format!("{title}: best now"));
    ring("last", window.last_call, class, format!("{title}: last call"));
    ring("close", window.close_by, class, format!("{title}: closing. {}", window.window.missed));
    alarms
}

/// Alarms that are due and unanswered: at most one a cure (the newest), the
/// most urgent first.
pub fn ringing(rules: &Rules, state: &State, bench: &[LiveCure], now: Instant) -> Vec<Alarm> {
    let mut ringing: Vec<Alarm> = bench
        .iter()
        .filter_map(|cure| {
            of_cure(rules, cure)
                .into_iter()
                .rfind(|alarm| alarm.at <= now && !is_answered(state, alarm))
        })
        .collect();
    sort_by_key(&mut ringing, |alarm| (alarm.urgency, alarm.class, alarm.at));
    ringing
}

/// The next alarm of the whole bench, if any.
pub fn next(rules: &Rules, bench: &[LiveCure], now: Instant) -> Option<Alarm> {
    bench
        .iter()
        .flat_map(|cure| of_cure(rules, cure))
        .filter(|alarm| alarm.at > now)
        .min_by_key(|alarm| alarm.at)
}

/// Whether an alarm was answered: by a tap on it, on a later one of its cure, or
/// by an observation of its window, in each case after it was due.
fn is_answered(state: &State, alarm: &Alarm) -> bool {
    let Some(cure) = state.cures.get(&alarm.cure) else { return true };
    let by_tap = cure.answered.values().any(|answered| *answered >= alarm.at);
    let window = alarm.key.split(':').next().unwrap_or_default();
    let by_test = cure.seen.iter().any(|o| {
        let until = match o.finding {
            // "Not yet" silences the window until its next look.
            Finding::NotYet { again } => Instant((o.seen + again).millis() - 1),
            _ => o.seen,
        };
        o.window == window && until >= alarm.at && o.seen <= until
    });
    by_tap || by_test
}
