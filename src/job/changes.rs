//! What a new reading or outlook changed and why, for "opens 11:08, was 10:45".

use crate::engine::quantity::Instant;

use super::live::{LiveCure, LiveWindow, WindowState};

/// A cure whose next event moved, for "what changed".
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// Job and stage.
    pub name: String,
    /// The window.
    pub window: &'static str,
    /// "opens" or "closes".
    pub label: &'static str,
    /// Where it was.
    pub was: Option<Instant>,
    /// Where it is now; none when no time can be given any more.
    pub now: Option<Instant>,
    /// What moved it: "air 14.0 °C".
    pub why: String,
}

/// What a new reading changed: for each cure the next opening or closing that
/// moved by a minute or more, or that appeared or went. The window that matters
/// now goes first, then the others in their order.
pub fn changes(before: &[LiveCure], after: &[LiveCure], why: &str) -> Vec<Change> {
    let mut changes = Vec::new();
    for new in after {
        let Some(old) = before.iter().find(|cure| cure.id == new.id) else { continue };
        let ahead = new.windows.iter().filter(|window| {
            !window.gone && !matches!(window.state, WindowState::Done | WindowState::Missed)
        });
        let windows = new.window().into_iter().chain(ahead);
        changes.extend(windows.filter_map(|window| moved(old, new, window, why)).next());
    }
    changes
}

/// How one window of a cure moved, if it did.
fn moved(old: &LiveCure, new: &LiveCure, window: &LiveWindow, why: &str) -> Option<Change> {
    let was = old.windows.iter().find(|w| w.window.id == window.window.id)?;
    let opening = window.window.opens.is_some()
        && matches!(window.state, WindowState::Wait | WindowState::Look | WindowState::NoTime);
    let (label, old_at, new_at) = if opening {
        ("opens", was.open_from, window.open_from)
    } else {
        ("closes", was.close_by, window.close_by)
    };
    let moved = match (old_at, new_at) {
        (Some(old), Some(new)) => new.since(old).value().abs() >= 1.0,
        (None, None) => false,
        _ => true,
    };
    moved.then(|| Change {
        name: new.name(),
        window: &window.window.title,
        label,
        was: old_at,
        now: new_at,
        why: why.to_owned(),
    })
}

/// Adds what a further reading changed to what nobody has looked at yet: what
/// moved twice moved from where it was first.
pub fn merge_changes(unseen: &mut Vec<Change>, new: Vec<Change>) {
    for change in new {
        let same = |old: &&mut Change| {
            old.name == change.name && old.window == change.window && old.label == change.label
        };
        match unseen.iter_mut().find(same) {
            Some(old) => (old.now, old.why) = (change.now, change.why),
            None => unseen.push(change),
        }
    }
}
