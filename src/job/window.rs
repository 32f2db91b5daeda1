//! One window of a running cure: its instants, its state, what a person may
//! answer to its test, and how urgent it is.
//!
//! An opening counts from the long end of its interval ("not before"), a
//! closing from the short end ("finish by"). What a person saw at the bench
//! beats what was computed.

use crate::engine::cure::Forecast;
use crate::engine::quantity::{Celsius, Instant, Minutes, Span};
use crate::trade::model::{Lateness, Rules, Window};
use std::fmt;

use super::event::Finding;
use super::state::CureRecord;

/// State of a window at an instant. The words are the bench's.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum WindowState {
    /// Too early.
    Wait,
    /// It may be ready: go and test it.
    Look,
    /// Do it now.
    Best,
    /// Three quarters of the window are gone.
    LastCall,
    /// The short end of its closing is past.
    Missed,
    /// It was done.
    Done,
    /// No time can be given.
    NoTime,
}

impl WindowState {
    /// The state's name in attributes.
    pub fn slug(self) -> &'static str {
        match self {
            Self::Wait => "wait",
            Self::Look => "look",
            Self::Best => "best",
            Self::LastCall => "last-call",
            Self::Missed => "missed",
            Self::Done => "done",
            Self::NoTime => "no-time",
        }
    }

    /// The word shown for the state.
    pub fn word(self) -> &'static str {
        match self {
            Self::Wait => "Wait",
            Self::Look => "Look",
            Self::Best => "Best now",
            Self::LastCall => "Last call",
            Self::Missed => "Missed",
            Self::Done => "Done",
            Self::NoTime => "No time",
        }
    }
}

/// Why no time is given.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NoTime {
    /// Below the least temperature while wet.
    TooCold {
        /// The driving temperature now.
        now: Celsius,
        /// The least.
        least: Celsius,
    },
    /// Above the greatest temperature.
    TooHot {
        /// The driving temperature now.
        now: Celsius,
        /// The greatest.
        most: Celsius,
    },
    /// It will not get there at the temperature that it has.
    Never,
}

impl fmt::Display for NoTime {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooCold { .. } => f.write_str(
                "Too cold to predict; it may not cure properly. Warm it, and enter a new reading.",
            ),
            Self::TooHot { .. } => f.write_str(
                "Too hot to predict; it may run hot and crack. Cool it, and enter a new reading.",
            ),
            Self::Never => {
                f.write_str("It will not get there at this temperature. Warm the room first.")
            }
        }
    }
}

/// A window of a running cure with its instants.
#[derive(Clone, Debug, PartialEq)]
pub struct LiveWindow {
    /// The window's data.
    pub window: &'static Window,
    /// When a first look is worth it.
    pub look: Option<Instant>,
    /// When it opens: short end, likely, long end.
    pub opens: Option<Span<Instant>>,
    /// When it is best.
    pub ideal: Option<Instant>,
    /// When it closes: short end, likely, long end.
    pub closes: Option<Span<Instant>>,
    /// From when it counts as open: the long end, or when somebody found it ready.
    pub open_from: Option<Instant>,
    /// By when it must be done: the short end.
    pub close_by: Option<Instant>,
    /// When three quarters of it are gone.
    pub last_call: Option<Instant>,
    /// A further look was asked for at this instant.
    pub look_again: Option<Instant>,
    /// Somebody found it ready.
    pub found_ready: bool,
    /// Somebody found it gone, or the pot gelled: nothing is left to do in it.
    pub gone: bool,
    /// Its state.
    pub state: WindowState,
    /// Why no time is given.
    pub no_time: Option<NoTime>,
}

/// At which shares of a pot life or a window an alarm rings, from the table's constants.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shares {
    /// First warning of a pot.
    pub pot_first: f64,
    /// Last warning of a pot.
    pub pot_last: f64,
    /// Last call of a window.
    pub window_last: f64,
}

impl Shares {
    /// The shares that the rule table states.
    pub fn of(rules: &Rules) -> Self {
        let share = |id: &str, otherwise: f64| {
            rules.constant(id).map_or(otherwise, |constant| constant.figure.likely / 100.0)
        };
        Self {
            pot_first: share("pot-alarm-1", 0.60),
            pot_last: share("pot-alarm-2", 0.85),
            window_last: share("window-last-call", 0.75),
        }
    }
}

/// How urgent a cure is: the smaller, the more urgent (trade.md section 8).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Urgency {
    /// A person is concerned.
    Person,
    /// Closes within ten minutes, or is past, and that ruins or costs work.
    Now,
    /// Closes within the hour.
    Soon,
    /// Open, and no hurry.
    Open,
    /// Nothing to do yet.
    Information,
}

/// What a person may answer to a window's test, the likeliest first.
pub fn answers(window: &LiveWindow) -> Vec<(String, Finding)> {
    let not_yet = ("Not yet, 5 minutes".to_owned(), Finding::NotYet { again: Minutes(5.0) });
    let gone = ("Gone".to_owned(), Finding::Gone);
    if window.window.opens.is_none() {
        return vec![
            ("Tub is empty".to_owned(), Finding::Done),
            ("It has gelled".to_owned(), Finding::Gelled),
        ];
    }
    let done = || (format!("Done: {}", window.window.act.trim_end_matches('.')), Finding::Done);
    match window.state {
        WindowState::Wait => vec![
            ("Ready already".to_owned(), Finding::Ready),
            ("It has gelled".to_owned(), Finding::Gelled),
        ],
        WindowState::Look | WindowState::NoTime => {
            vec![("Ready".to_owned(), Finding::Ready), not_yet, gone]
        }
        WindowState::Best | WindowState::LastCall if window.found_ready => vec![done(), gone],
        WindowState::Best | WindowState::LastCall => {
            vec![done(), ("Ready".to_owned(), Finding::Ready), not_yet, gone]
        }
        WindowState::Missed => vec![("Done all the same".to_owned(), Finding::Done), gone],
        WindowState::Done => Vec::new(),
    }
}

/// The next thing that happens to a cure.
#[derive(Clone, Debug, PartialEq)]
pub struct Next {
    /// What happens then, in a word or two ("opens", "closes").
    pub label: &'static str,
    /// When.
    pub at: Instant,
}

/// Solves one window. `forecast` gives the forecast of a milestone of its profile.
pub(super) fn live_window(
    window: &'static Window,
    forecast: &dyn Fn(&Option<String>) -> Option<Forecast>,
    record: &CureRecord,
    stage_done: bool,
    shares: Shares,
    now: Instant,
) -> LiveWindow {
    let seen = || record.seen.iter().filter(|o| o.window == window.id);
    let done = stage_done || seen().any(|o| matches!(o.finding, Finding::Done));
    let gone = seen().any(|o| matches!(o.finding, Finding::Gone));
    let ready = seen().rev().find(|o| matches!(o.finding, Finding::Ready)).map(|o| o.seen);
    let gelled = seen().any(|o| matches!(o.finding, Finding::Gelled));
    let look_again = seen().rev().find_map(|o| match o.finding {
        Finding::NotYet { again } => Some(o.seen + again),
        _ => None,
    });
    let forecasts = [&window.opens, &window.closes].map(forecast);
    let [opening, closing] = &forecasts;
    let no_time = match (opening, closing) {
        // What never closes is open all the longer.
        (Some(opening), Some(Forecast::Never)) => no_time(opening),
        _ => forecasts.iter().flatten().find_map(no_time),
    };
    let at = |id: &Option<String>| forecast(id).as_ref().and_then(span);
    let opens = at(&window.opens);
    let closes = at(&window.closes);
    let look = at(&window.look).map(|s| s.likely).or(opens.map(|s| s.likely));
    let close_by = closes.map(|s| s.low);
    // Where the bands overlap so far that it may close before the likely opening,
    // a first look is worth it from the short end on.
    let look = match (look, close_by, opens) {
        (Some(look), Some(close), Some(opens)) if close <= look => Some(opens.low),
        _ => look,
    };
    let open_from = match (&window.opens, ready) {
        (_, Some(ready)) => Some(ready),
        (Some(_), None) => opens.map(|s| s.high),
        (None, None) => Some(record.started),
    };
    let ideal = at(&window.ideal).map(|s| s.likely).filter(|i| open_from.is_none_or(|o| *i > o));
    let last_call = match (open_from, close_by) {
        (Some(open), Some(close)) if close > open => {
            let share = if window.opens.is_none() { shares.pot_last } else { shares.window_last };
            Some(open + close.since(open) * share)
        }
        (_, Some(close)) => {
            look.map(|look| look + (close.since(look) * shares.window_last).max(Minutes(0.0)))
        }
        _ => None,
    };
    let mut live = LiveWindow {
        window,
        look,
        opens,
        ideal,
        closes,
        open_from,
        close_by,
        last_call,
        look_again,
        found_ready: ready.is_some(),
        gone: gone || (gelled && window.opens.is_none()),
        state: WindowState::Wait,
        no_time,
    };
    live.state = if done {
        WindowState::Done
    } else if live.gone {
        WindowState::Missed
    } else {
        state_at(&live, now)
    };
    live
}

/// State of a window by its instants alone.
fn state_at(window: &LiveWindow, now: Instant) -> WindowState {
    let past = |instant: Option<Instant>| instant.is_some_and(|instant| now >= instant);
    if window.no_time.is_some() && !window.found_ready {
        // A time that was passed before the cold came still holds.
        let known = window.closes.is_some() || window.opens.is_some();
        return if past(window.open_from) && !past(window.close_by) && known {
            WindowState::Best
        } else {
            WindowState::NoTime
        };
    }
    if past(window.close_by) {
        WindowState::Missed
    } else if past(window.last_call) {
        WindowState::LastCall
    } else if past(window.open_from) {
        WindowState::Best
    } else if past(window.look) || past(window.look_again) {
        WindowState::Look
    } else {
        WindowState::Wait
    }
}

pub(super) fn span(forecast: &Forecast) -> Option<Span<Instant>> {
    match forecast {
        Forecast::At(span) => Some(*span),
        _ => None,
    }
}

fn no_time(forecast: &Forecast) -> Option<NoTime> {
    match forecast {
        Forecast::At(_) => None,
        Forecast::TooCold { now, least } => Some(NoTime::TooCold { now: *now, least: *least }),
        Forecast::TooHot { now, most } => Some(NoTime::TooHot { now: *now, most: *most }),
        Forecast::Never => Some(NoTime::Never),
    }
}

/// The window that matters: the most urgent one that is not done. An open
/// window whose lateness costs nothing gives way to a later one that is open too.
pub(super) fn current(windows: &[LiveWindow], now: Instant) -> Option<usize> {
    let last_free = windows
        .iter()
        .rposition(|w| w.window.late == Lateness::None && w.state == WindowState::Best);
    windows
        .iter()
        .enumerate()
        .filter(|(index, w)| {
            let overtaken = w.window.late == Lateness::None
                && w.state == WindowState::Best
                && last_free.is_some_and(|last| *index < last);
            w.state != WindowState::Done && !w.gone && !overtaken
        })
        .min_by_key(|(index, w)| (urgency(w, now), *index))
        .map(|(index, _)| index)
}

/// Urgency of a window at an instant.
pub(super) fn urgency(window: &LiveWindow, now: Instant) -> Urgency {
    let open = matches!(
        window.state,
        WindowState::Look | WindowState::Best | WindowState::LastCall | WindowState::Missed
    );
    let late = window.window.late;
    match window.no_time.filter(|_| window.state == WindowState::NoTime) {
        // Nothing spoils while it waits for warmth.
        Some(NoTime::Never) => return Urgency::Information,
        Some(NoTime::TooCold { .. } | NoTime::TooHot { .. }) => return Urgency::Now,
        None => {}
    }
    if !open {
        return Urgency::Information;
    }
    if late == Lateness::Person {
        return Urgency::Person;
    }
    let closes_in = window.close_by.map(|close| close.since(now));
    match closes_in {
        Some(left) if left <= Minutes(10.0) && late != Lateness::None => Urgency::Now,
        Some(left) if left <= Minutes(60.0) && late != Lateness::None => Urgency::Soon,
        _ if window.state == WindowState::Missed => Urgency::Now,
        _ => Urgency::Open,
    }
}

/// What happens next to a window.
pub(super) fn next(window: &LiveWindow, now: Instant) -> Option<Next> {
    let ahead = |label: &'static str, at: Option<Instant>| {
        at.filter(|at| *at > now).map(|at| Next { label, at })
    };
    match window.state {
        WindowState::Wait => ahead("first look", window.look).or(ahead("opens", window.open_from)),
        // Where the bands overlap, the end may come before it is surely open.
        WindowState::Look => [
            ahead("look again", window.look_again),
            ahead("surely open", window.open_from),
            ahead("closes", window.close_by),
        ]
        .into_iter()
        .flatten()
        .min_by_key(|next| next.at),
        WindowState::Best => ahead("best", window.ideal).or(ahead(
            if window.window.opens.is_none() { "use by" } else { "closes" },
            window.close_by,
        )),
        WindowState::LastCall => {
            ahead(if window.window.opens.is_none() { "use by" } else { "closes" }, window.close_by)
        }
        WindowState::Missed | WindowState::Done | WindowState::NoTime => None,
    }
}
