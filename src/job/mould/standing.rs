//! Where a mould stands: how often it was cast from, what is due, whether it
//! may be cast from now, and what its casts say of it.

use super::{Judged, casts, face, fault, limit, material, number, weight};
use crate::engine::quantity::{Grams, Instant, Minutes, Percent};
use crate::engine::takeoff::{Quantity, Sum};
use crate::engine::trend::{self, ENDS, LEAST};
use crate::job::card;
use crate::job::event::{Finding, Id};
use crate::job::record::{Cast, Mould};
use crate::job::sheet::Item;
use crate::job::state::State;
use crate::trade::model::{Family, Figure, Kind, Rules};

/// A day.
const DAY: Minutes = Minutes(24.0 * 60.0);
/// A month, as a twelfth of 365.25 days.
const MONTH: Minutes = Minutes(DAY.value() * 365.25 / 12.0);

/// How a mould stands, in a word.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Word {
    /// Given up.
    Retired,
    /// As many casts as it was meant for, or as are allowed.
    Done,
    /// It wants to be looked after first.
    ServiceDue,
    /// It has to lie open before resin.
    Rests,
    /// It can be cast from.
    InUse,
}

impl Word {
    /// For the screen.
    pub fn words(self) -> &'static str {
        match self {
            Self::Retired => "given up",
            Self::Done => "no more casts",
            Self::ServiceDue => "service due",
            Self::Rests => "rests before resin",
            Self::InUse => "in use",
        }
    }
}

/// What is counted of a mould's casts.
struct Counts {
    all: u32,
    /// In the order of [`Judged::ALL`].
    judged: [u32; 4],
    since_service: u32,
}

impl Counts {
    fn of(state: &State, mould: &Mould, casts: &[(Id, &Cast)]) -> Self {
        let service = mould.serviced.last().map(|(at, _)| *at);
        let mut counts = Self { all: 0, judged: [0; 4], since_service: 0 };
        for (id, cast) in casts {
            counts.all += 1;
            counts.judged[Judged::of(state, *id) as usize] += 1;
            counts.since_service += u32::from(service.is_none_or(|at| cast.made > at));
        }
        counts
    }

    fn number(&self, of: Judged) -> u32 {
        self.judged[of as usize]
    }

    /// Casts that went out: passed or repaired.
    fn good(&self) -> u32 {
        self.number(Judged::Passed) + self.number(Judged::Repaired)
    }
}

/// How a mould stands, in a word.
pub fn word(rules: &'static Rules, state: &State, id: Id, now: Instant) -> Option<Word> {
    let mould = state.record.moulds.get(&id)?;
    let casts = casts(state, id);
    let counts = Counts::of(state, mould, &casts);
    let reached = |field, count| limit(state, id, field).is_some_and(|most| count >= most);
    Some(if mould.retired.is_some() {
        Word::Retired
    } else if reached("retire-at", counts.all) || reached("licence", counts.good()) {
        Word::Done
    } else if reached("service-every", counts.since_service) {
        Word::ServiceDue
    } else if rest(rules, state, id, now).is_some_and(|rest| rest.left.value() > 0.0) {
        Word::Rests
    } else {
        Word::InUse
    })
}

/// All that can be said of a mould, most pressing first.
pub fn standing(rules: &'static Rules, state: &State, id: Id, now: Instant) -> Vec<Item> {
    let Some(mould) = state.record.moulds.get(&id) else { return Vec::new() };
    let casts = casts(state, id);
    let counts = Counts::of(state, mould, &casts);
    let mut items = Vec::new();
    match &mould.retired {
        Some((_, why)) => items.push(Item::Stop(format!("Given up: {why}"))),
        None => {
            items.extend(licence(state, id, &counts));
            items.extend(due(state, id, &counts));
            items.extend(rest(rules, state, id, now).map(|rest| rest.item()));
            items.extend(life(rules, state, id, now));
        }
    }
    items.push(counted(mould, &counts));
    items.extend(scrap(rules, state, &casts, &counts));
    weights(rules, state, id, &casts, &mut items);
    items
}

fn licence(state: &State, id: Id, counts: &Counts) -> Option<Item> {
    let allowed = limit(state, id, "licence")?;
    let good = counts.good();
    let said = format!(
        "{allowed} casts are allowed; {good} passed or repaired. Scrap does not count: destroy it."
    );
    Some(if good >= allowed { Item::Stop(said) } else { Item::Note(said) })
}

/// Service and the end of its days, by casts.
fn due(state: &State, id: Id, counts: &Counts) -> Vec<Item> {
    let says = |field, count: u32, over: fn(u32, u32) -> String, left: fn(u32) -> String| {
        let most = limit(state, id, field)?;
        Some(if count >= most {
            Item::Warning(over(count, most))
        } else {
            Item::Note(left(most - count))
        })
    };
    let service = says(
        "service-every",
        counts.since_service,
        |n, most| {
            format!("Service is due: {n} casts since the last one, every {most} it is meant.")
        },
        |left| format!("Service in {left} more casts."),
    );
    let retire = says(
        "retire-at",
        counts.all,
        |n, most| format!("Meant for {most} casts; {n} came out. Look whether it should go on."),
        |left| format!("Meant for {left} more casts."),
    );
    service.into_iter().chain(retire).collect()
}

/// The rest in the open before resin.
struct Rest {
    /// What is left of the long end; 0 or less when it is surely over.
    left: Minutes,
    /// Whether not even the short end is over.
    early: bool,
    /// Since when, and how long, in words.
    why: String,
}

impl Rest {
    fn item(self) -> Item {
        let Self { left, early, why } = self;
        if left.value() <= 0.0 {
            return Item::Note(format!("Its rest before resin is over ({why})."));
        }
        let left = crate::engine::units::show_minutes(Minutes(left.value().ceil()));
        if early {
            Item::Warning(format!("No resin in it yet: surely rested in {left} ({why})."))
        } else {
            Item::Warning(format!(
                "Rested perhaps, surely in {left} ({why}). Before resin: no smell, and a drop of \
                 it on an offcut sets hard."
            ))
        }
    }
}

/// What rests now: a tin-cure mould after its demould, or rubber after a
/// polyester cast, whichever takes longer.
fn rest(rules: &'static Rules, state: &State, id: Id, now: Instant) -> Option<Rest> {
    let mould = state.record.moulds.get(&id)?;
    let face = face(rules, state, id)?;
    let ends = |figure: &Figure, own: Option<f64>| {
        let own = own.map(|days| DAY * days);
        let end = |value: f64| {
            own.unwrap_or_else(|| card::minutes(&Figure { likely: value, ..figure.clone() }))
        };
        (end(figure.low.unwrap_or(figure.likely)), end(figure.high.unwrap_or(figure.likely)))
    };
    let since = |from: Instant, (low, high): (Minutes, Minutes), why: String| {
        let passed = now.since(from);
        Rest { left: high - passed, early: passed < low, why }
    };
    let own = number(state, id, "rest");
    let first = face.property("rest").map(|figure| {
        let whose = if own.is_some() { "off your tin's sheet" } else { figure.status.words() };
        let why = format!("{}, {whose}", days(ends(figure, own)));
        since(opened(rules, state, mould), ends(figure, own), why)
    });
    let resin = |cast: &Id| material(rules, state, *cast).map(|f| f.kind) == Some(Kind::Polyester);
    let last = casts(state, id).into_iter().rev().find(|(cast, _)| resin(cast));
    let again = rules
        .constant("rest-after-resin")
        .zip(last)
        .filter(|_| matches!(face.kind, Kind::Silicone | Kind::Polyurethane));
    let again = again.map(|(constant, (_, cast))| {
        let figure = &constant.figure;
        let why = format!(
            "{} after the polyester of cast {}, {}",
            days(ends(figure, None)),
            cast.number,
            figure.status.words()
        );
        since(cast.made, ends(figure, None), why)
    });
    match (first, again) {
        (Some(first), Some(again)) => {
            Some(if again.left.value() > first.left.value() { again } else { first })
        }
        (first, again) => first.or(again),
    }
}

fn days((low, high): (Minutes, Minutes)) -> String {
    let show = crate::engine::units::show_minutes;
    if low == high { show(low) } else { format!("{} to {}", show(low), show(high)) }
}

/// Since when a mould is open: found so at its rubber, else when it came on record.
fn opened(rules: &'static Rules, state: &State, mould: &Mould) -> Instant {
    let of_job = state.cures.values().filter(|cure| mould.job.is_some() && cure.job == mould.job);
    let rubber = of_job.filter(|cure| {
        card::resolve(rules, state, &cure.material)
            .is_ok_and(|(family, _)| family.kind == Kind::Silicone)
    });
    let found = rubber.flat_map(|cure| &cure.seen).filter(|seen| {
        seen.window == "demould" && matches!(seen.finding, Finding::Ready | Finding::Done)
    });
    found.map(|seen| seen.seen).max().unwrap_or(mould.made)
}

/// How long a mould of its family keeps, and how old it is.
fn life(rules: &Rules, state: &State, id: Id, now: Instant) -> Option<Item> {
    let mould = state.record.moulds.get(&id)?;
    let family: &Family = face(rules, state, id)?;
    let figure = family.property("mould-life")?;
    let months = |years: f64| (years * 12.0).round() as i64;
    let (low, high) = (figure.low.unwrap_or(figure.likely), figure.high.unwrap_or(figure.likely));
    let age = (now.since(mould.made) / MONTH).floor().max(0.0) as i64;
    let left = months(figure.likely) - age;
    let usual = format!(
        "{low} to {high} years for {}, {}; it is {age} months on record",
        family.short,
        figure.status.words()
    );
    Some(if left > 0 {
        Item::Note(format!("Keeps about {left} months more ({usual})."))
    } else {
        Item::Warning(format!(
            "Past its usual life ({usual}). Bend and pull it before you pour: stiff or torn is done."
        ))
    })
}

fn counted(mould: &Mould, counts: &Counts) -> Item {
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
fn scrap(
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
pub(super) fn faults(
    rules: &'static Rules,
    state: &State,
    casts: &[(Id, &Cast)],
) -> Vec<(String, u32)> {
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
    crate::engine::sorting::sort_by_key(&mut found, |(_, count)| std::cmp::Reverse(*count));
    found
}

/// Mean weights by material, and whether the latest material drifts.
fn weights(
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
