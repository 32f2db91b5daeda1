//! What the casts of a mould say of it: how many, how many are scrap and why,
//! what they weigh, and whether that drifts.

use super::standing::Counts;
use super::{Judged, fault, material, number, weight};
use crate::engine::quantity::{Grams, Percent};
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
    let mut unsaid = scrapped;
    for one in &rules.faults {
        let by_it = casts.iter().filter(|(id, _)| {
            Judged::of(state, *id) == Judged::Scrapped
                && fault(rules, state, *id).is_some_and(|fault| fault.id == one.id)
        });
        let count = by_it.count() as u32;
        unsaid -= count;
        if count > 0 {
            sum = sum.with(one.title.clone(), Quantity::Count(count));
        }
    }
    if unsaid > 0 {
        sum = sum.with("Fault not said", Quantity::Count(unsaid));
    }
    let share = Percent(f64::from(scrapped) / f64::from(judged.max(1)) * 100.0);
    (judged > 0).then(|| Item::Result {
        text: "Scrap".into(),
        value: Quantity::Percent(share),
        sum: sum.lines,
    })
}

/// Mean weights by material, and whether the material cast last drifts.
pub(super) fn weights(
    rules: &'static Rules,
    state: &State,
    id: Id,
    casts: &[(Id, &Cast)],
    items: &mut Vec<Item>,
) {
    let good = number(state, id, "target").map(Grams);
    let name =
        |cast: Id| material(rules, state, cast).map_or("material not said", |family| &family.short);
    let counts =
        |cast: Id| weight(state, cast).filter(|_| Judged::of(state, cast) != Judged::Scrapped);
    let mut names: Vec<String> = Vec::new();
    for (cast, _) in casts.iter().rev() {
        let name = name(*cast);
        if counts(*cast).is_some() && !names.iter().any(|known| known == name) {
            names.push(name.to_owned());
        }
    }
    for (place, of) in names.into_iter().enumerate() {
        let points = casts.iter().filter(|(cast, _)| name(*cast) == of);
        let points = points.filter_map(|(cast, record)| Some((record.number, counts(*cast)?)));
        let points: Vec<(u32, Grams)> = points.collect();
        let Some(mean) = trend::mean(&points) else { continue };
        let least = points.iter().fold(mean, |least, (_, mass)| least.min(*mass));
        let most = points.iter().fold(mean, |most, (_, mass)| most.max(*mass));
        let mut sum = Sum::default()
            .with("Weighed, no scrap", Quantity::Count(points.len() as u32))
            .with("Lightest", Quantity::Mass(least))
            .with("Heaviest", Quantity::Mass(most));
        if let Some(good) = good {
            sum = sum.with("A good one, by the card", Quantity::Mass(good));
        }
        let text = format!("Mean weight, {of}");
        items.push(Item::Result { text, value: Quantity::Mass(mean), sum: sum.lines });
        if place == 0 {
            drift(&points, items);
        }
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
