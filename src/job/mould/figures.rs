//! What the casts of a mould say of it: how many, how many are scrap and why,
//! what they weigh, and whether that drifts.

use super::standing::Counts;
use super::{Judged, fault, material, number, weight};
use crate::engine::quantity::{Grams, Percent};
use crate::engine::sorting::sort_by_key;
use crate::engine::takeoff::{Quantity, Sum};
use crate::engine::trend::{self, ENDS, LEAST};
use crate::job::event::Id;
use crate::job::record::{Cast, Mould};
use crate::job::sheet::Item;
use crate::job::state::State;
use crate::trade::model::Rules;

/// Casts, by how they were judged.
pub(super) fn counted(mould: &Mould, counts: &Counts) -> Item {
    let mut sum = Sum::default();
    for (judged, _, words) in Judged::ALL {
        sum = sum.with(words, Quantity::Count(counts.number(judged)));
    }
    let since = if mould.serviced.is_empty() { "Since it was made" } else { "Since its service" };
    let sum = sum.with(since, Quantity::Count(counts.since_service));
    Item::Result {
        text: "Casts out of it".into(),
        value: Quantity::Count(counts.all),
        sum: sum.lines,
    }
}

/// Scrap in per cent of what was judged, and which faults made it.
pub(super) fn scrap(
    rules: &'static Rules,
    state: &State,
    casts: &[(Id, &Cast)],
    counts: &Counts,
) -> Option<Item> {
    let judged = counts.all - counts.number(Judged::Open);
    let scrapped = counts.number(Judged::Scrapped);
    let mut sum = Sum::default()
        .with("Judged", Quantity::Count(judged))
        .with("Scrap", Quantity::Count(scrapped));
    for (text, count) in faults(rules, state, casts) {
        sum = sum.with(text, Quantity::Count(count));
    }
    let share = Percent(f64::from(scrapped) / f64::from(judged.max(1)) * 100.0);
    (judged > 0).then(|| Item::Result {
        text: "Scrap".into(),
        value: Quantity::Percent(share),
        sum: sum.lines,
    })
}

/// The faults of scrapped casts, each with how many it cost.
fn faults(rules: &'static Rules, state: &State, casts: &[(Id, &Cast)]) -> Vec<(String, u32)> {
    let mut found: Vec<(String, u32)> = Vec::new();
    for (id, _) in casts {
        if Judged::of(state, *id) != Judged::Scrapped {
            continue;
        }
        let text = fault(rules, state, *id).unwrap_or("Fault not said");
        match found.iter_mut().find(|(known, _)| known == text) {
            Some((_, count)) => *count += 1,
            None => found.push((text.to_owned(), 1)),
        }
    }
    sort_by_key(&mut found, |(_, count)| std::cmp::Reverse(*count));
    found
}

/// Mean weights by material, and whether the latest material drifts.
pub(super) fn weights(
    rules: &'static Rules,
    state: &State,
    id: Id,
    casts: &[(Id, &Cast)],
    items: &mut Vec<Item>,
) {
    let mut groups: Vec<(String, Vec<(u32, Grams)>)> = Vec::new();
    for (cast, record) in casts {
        let Some(weight) = weight(state, *cast) else { continue };
        if Judged::of(state, *cast) == Judged::Scrapped {
            continue;
        }
        let name = material(rules, state, *cast).map_or("material not said", |f| &f.short);
        let point = (record.number, weight);
        match groups.iter().position(|(known, _)| known == name) {
            // The one that was cast last stands last.
            Some(at) => {
                let mut group = groups.remove(at);
                group.1.push(point);
                groups.push(group);
            }
            None => groups.push((name.to_owned(), vec![point])),
        }
    }
    let good = number(state, id, "target").map(Grams);
    for (name, points) in &groups {
        let masses: Vec<Grams> = points.iter().map(|(_, mass)| *mass).collect();
        let Some(mean) = trend::mean(&masses) else { continue };
        let least = masses.iter().fold(mean, |least, mass| least.min(*mass));
        let most = masses.iter().fold(mean, |most, mass| most.max(*mass));
        let mut sum = Sum::default()
            .with("Weighed, no scrap", Quantity::Count(masses.len() as u32))
            .with("Lightest", Quantity::Mass(least))
            .with("Heaviest", Quantity::Mass(most));
        if let Some(good) = good {
            sum = sum.with("A good one, by the card", Quantity::Mass(good));
        }
        let text = format!("Mean weight, {name}");
        items.push(Item::Result { text, value: Quantity::Mass(mean), sum: sum.lines });
    }
    if let Some((_, points)) = groups.last() {
        drift(points, items);
    }
}

fn drift(points: &[(u32, Grams)], items: &mut Vec<Item>) {
    let Some(found) = trend::trend(points) else {
        let count = points.len();
        items.push(Item::Note(format!(
            "Whether weights drift shows from {LEAST} weighed casts of one material on; {count} so far."
        )));
        return;
    };
    let per_ten = |mass: Grams| Quantity::Mass(mass * 10.0);
    let sum = Sum::default()
        .with(format!("Mean of the first {ENDS}"), Quantity::Mass(found.first))
        .with(format!("Mean of the last {ENDS}"), Quantity::Mass(found.latest))
        .with("Weighed", Quantity::Count(found.count as u32))
        .with("Over ten casts", per_ten(found.each))
        .with("Give or take, 19 times of 20", per_ten(found.margin()));
    let text = "Drift of the weight, over ten casts".to_owned();
    items.push(Item::Result { text, value: per_ten(found.each), sum: sum.lines });
    items.push(match (found.is_certain(), found.each.value() > 0.0) {
        (false, _) => Item::Note("No more than the weights scatter.".into()),
        (true, true) => Item::Warning(
            "Casts get heavier: the rubber gives, or the jacket opens. Look at bolts and keys."
                .into(),
        ),
        (true, false) => Item::Warning(
            "Casts get lighter: the rubber swells, or air stays. Look at vents and face.".into(),
        ),
    });
}
