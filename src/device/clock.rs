//! Wall clock and clock times as the phone shows them.

use crate::engine::quantity::{Instant, Minutes};
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;

/// The instant now, by the phone's clock.
pub fn now() -> Instant {
    Instant(js_sys::Date::now() as i64)
}

fn date(instant: Instant) -> js_sys::Date {
    js_sys::Date::new(&wasm_bindgen::JsValue::from_f64(instant.millis() as f64))
}

/// Clock time of an instant where the phone is: "10:45", with the day in front
/// when it is not today: "tomorrow 08:45", "Fri 27 Nov 08:45".
pub fn clock_time(instant: Instant, now: Instant) -> String {
    let then = date(instant);
    let time = format!("{:02}:{:02}", then.get_hours(), then.get_minutes());
    match days_apart(instant, now) {
        0 => time,
        1 => format!("tomorrow {time}"),
        -1 => format!("yesterday {time}"),
        _ => format!("{} {time}", day(&then)),
    }
}

fn day(date: &js_sys::Date) -> String {
    const DAYS: [&str; 7] = ["Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"];
    const MONTHS: [&str; 12] =
        ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
    let of = |list: &[&'static str], index: u32| list.get(index as usize).copied().unwrap_or("");
    format!("{} {} {}", of(&DAYS, date.get_day()), date.get_date(), of(&MONTHS, date.get_month()))
}

/// Calendar days from `now` to `instant` where the phone is.
fn days_apart(instant: Instant, now: Instant) -> i64 {
    let midnight = |instant: Instant| {
        let date = date(instant);
        date.set_hours(0);
        date.set_minutes(0);
        date.set_seconds(0);
        date.set_milliseconds(0);
        date.get_time()
    };
    ((midnight(instant) - midnight(now)) / 86_400_000.0).round() as i64
}

/// When a clock time where the phone is comes next: 8:00 at 20:00 is tomorrow's.
pub fn next_at(minutes_of_day: Minutes, now: Instant) -> Instant {
    let date = date(now);
    date.set_hours(0);
    date.set_minutes(minutes_of_day.value() as u32);
    date.set_seconds(0);
    date.set_milliseconds(0);
    if date.get_time() <= now.millis() as f64 {
        date.set_date(date.get_date() + 1);
    }
    Instant(date.get_time() as i64)
}

/// What the phone's wall clock is ahead of UTC at an instant.
pub fn offset(instant: Instant) -> Minutes {
    Minutes(-date(instant).get_timezone_offset())
}

/// Date and time in the form used in file names: "2026-11-25-1045".
pub fn stamp(instant: Instant) -> String {
    dated(instant, "-", "")
}

/// Date and time in UTC, for tables: "2026-11-25T10:45:00.000Z". Empty for what
/// no calendar has.
pub fn in_utc(instant: Instant) -> String {
    let date = date(instant);
    if date.get_time().is_nan() { String::new() } else { date.to_iso_string().into() }
}

/// Date and time where the phone is: "2026-11-25 10:45".
pub fn date_time(instant: Instant) -> String {
    dated(instant, " ", ":")
}

fn dated(instant: Instant, gap: &str, colon: &str) -> String {
    let date = date(instant);
    format!(
        "{}-{:02}-{:02}{gap}{:02}{colon}{:02}",
        date.get_full_year(),
        date.get_month() + 1,
        date.get_date(),
        date.get_hours(),
        date.get_minutes()
    )
}

/// The one clock of the app: calls `tick` with the instant once a second, and at
/// once when the page comes back into view. It compares instants and never counts
/// ticks, since browsers slow timers down in hidden pages.
pub fn every_second(mut tick: impl FnMut(Instant) + Clone + 'static) {
    let Some(window) = super::window() else { return };
    let mut on_show = tick.clone();
    let closure = Closure::<dyn FnMut()>::new(move || tick(now()));
    let started = window.set_interval_with_callback_and_timeout_and_arguments_0(
        closure.as_ref().unchecked_ref(),
        1000,
    );
    if started.is_ok() {
        closure.forget();
    }
    if let Some(document) = window.document() {
        super::listen(&document, "visibilitychange", move |_| on_show(now()));
    }
}

/// Whether the phone's clock jumped between two ticks: forward by more than a
/// pause of the page can explain is not detectable, but back is.
pub fn went_back(before: Instant, after: Instant) -> Option<Minutes> {
    let back = before.since(after);
    (back > Minutes(0.5)).then_some(back)
}
