//! One job out of the journal, with everything that it leans on.
//!
//! What a line is about is told by the ids in its stored form, so that a kind of
//! line that is added later is found as well. A line belongs to the job when it
//! names the job or something that came of it (a cure, a batch, a cast, a note).
//! What these lean on goes along without its other history: tins with what was
//! learned of them, moulds with their cards and service, own methods. And the
//! readings of the job's places, from a day before it until two weeks after.

use crate::engine::quantity::{Instant, Minutes};
use crate::engine::sorting::sort_by_key;
use crate::engine::table::Table;

use crate::job::event::{Body, Event, Id, Place};

const BEFORE: Minutes = Minutes(24.0 * 60.0);
/// As far ahead as a temperature may be stated.
const AFTER: Minutes = Minutes(14.0 * 24.0 * 60.0);
/// Letters of an id.
const LETTERS: usize = 36;

/// Ids.
type Known = Table<Id, ()>;

/// The lines of one job and of what it leans on, in order.
pub fn of_job(events: &[Event], job: Id) -> Vec<Event> {
    let mut ordered: Vec<&Event> = events.iter().collect();
    sort_by_key(&mut ordered, |event| event.order());
    let named: Vec<Vec<Id>> = ordered.iter().map(|event| ids(event)).collect();
    let lines = || ordered.iter().zip(&named);

    // What comes of it: each line stands after those that it names.
    let mut own = Known::from([(job, ())]);
    let mut leans = Known::new();
    let (mut places, mut first, mut last) = (Vec::new(), None::<Instant>, Instant(i64::MIN));
    for (event, named) in lines() {
        if event.id != job && !named.iter().any(|id| own.contains_key(id)) {
            continue;
        }
        own.insert(event.id, ());
        leans.extend(named.iter().map(|id| (*id, ())));
        first.get_or_insert(event.at);
        last = last.max(event.at);
        if let Body::JobOpened { place, .. }
        | Body::CureStarted { place, .. }
        | Body::CureMoved { place, .. } = event.body
        {
            places.push(place);
        }
    }
    let Some(first) = first else { return Vec::new() };

    // What that leans on, and what those lean on (a tin that follows another).
    for (event, named) in lines().rev() {
        if leans.contains_key(&event.id) && !own.contains_key(&event.id) {
            leans.extend(named.iter().map(|id| (*id, ())));
        }
    }
    let near = |place: &Place, at: Instant| {
        places.contains(place) && at >= first - BEFORE && at <= last + AFTER
    };
    let mut kept = Known::new();
    for (event, named) in lines() {
        let names = |of: &Known| named.iter().any(|id| of.contains_key(id));
        let goes = own.contains_key(&event.id)
            || match &event.body {
                Body::TinAdded { .. } | Body::MouldMade { .. } | Body::MethodKept { .. } => {
                    leans.contains_key(&event.id)
                }
                Body::TinStocked { .. }
                | Body::TinRetired { .. }
                | Body::LearningAccepted { .. }
                | Body::LearningReset { .. }
                | Body::MouldServiced { .. }
                | Body::MouldRetired { .. }
                | Body::MethodDropped { .. }
                | Body::SheetFilled { .. }
                | Body::Undone { .. } => names(&kept),
                Body::ReadingTaken { place, job: None, taken, .. } => near(place, *taken),
                Body::OutlookStated { place, .. } => near(place, event.at),
                _ => false,
            };
        if goes {
            kept.insert(event.id, ());
        }
    }
    ordered.retain(|event| kept.contains_key(&event.id));
    ordered.into_iter().cloned().collect()
}

/// All ids that stand in a line, but for its own.
fn ids(event: &Event) -> Vec<Id> {
    let text = event.to_json();
    let letters = text.as_bytes();
    let mut found = Vec::new();
    for (at, letter) in letters.iter().enumerate() {
        // The first of four hyphens stands eight letters in.
        if *letter != b'-' || letters.get(at + 5) != Some(&b'-') || at < 8 {
            continue;
        }
        let id = text.get(at - 8..at - 8 + LETTERS).and_then(Id::parse);
        found.extend(id.filter(|id| *id != event.id));
    }
    found
}
