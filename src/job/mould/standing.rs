//! Where a mould stands: how often it was cast from, what is due, whether it
//! may be cast from now, and what its casts say of it.

use super::figures::{counted, scrap, weights};
use super::{Judged, casts, face, limit, material, number};
use crate::engine::quantity::{Instant, Minutes};
use crate::engine::units::show_minutes;
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
pub(super) struct Counts {
    pub(super) all: u32,
    /// In the order of [`Judged::ALL`].
    judged: [u32; 4],
    pub(super) since_service: u32,
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

    pub(super) fn number(&self, of: Judged) -> u32 {
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
        let left = show_minutes(Minutes(left.value().ceil()));
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
    let since = |from: Instant, (low, high): (Minutes, Minutes), why: String| {
        let passed = now.since(from);
        Rest { left: high - passed, early: passed < low, why }
    };
    // One that was old when it came on record has rested.
    let new = number(state, id, "age").is_none_or(|years| years <= 0.0);
    let first = tin_rest(rules, state, id).filter(|_| new);
    let first = first.map(|(span, why)| since(opened(rules, state, mould), span, why));
    let resin = |cast: &Id| material(rules, state, *cast).map(|f| f.kind) == Some(Kind::Polyester);
    let last = casts(state, id).into_iter().rev().find(|(cast, _)| resin(cast));
    let again = rules
        .constant("rest-after-resin")
        .zip(last)
        .filter(|_| matches!(face.kind, Kind::Silicone | Kind::Polyurethane));
    let again = again.map(|(constant, (_, cast))| {
        let figure = &constant.figure;
        let status = figure.status.words();
        let why =
            format!("{} after the polyester of cast {}, {status}", days(ends(figure)), cast.number);
        since(cast.made, ends(figure), why)
    });
    match (first, again) {
        (Some(first), Some(again)) => {
            Some(if again.left.value() > first.left.value() { again } else { first })
        }
        (first, again) => first.or(again),
    }
}

/// The ends of a figure of time.
fn ends(figure: &Figure) -> (Minutes, Minutes) {
    let end = |value: Option<f64>| {
        let likely = value.unwrap_or(figure.likely);
        card::minutes(&Figure { likely, ..figure.clone() })
    };
    (end(figure.low), end(figure.high))
}

fn days((low, high): (Minutes, Minutes)) -> String {
    if low == high {
        show_minutes(low)
    } else {
        format!("{} to {}", show_minutes(low), show_minutes(high))
    }
}

/// The rest of a tin-cure mould: the sheet's, else the family's; in words too.
fn tin_rest(rules: &Rules, state: &State, id: Id) -> Option<((Minutes, Minutes), String)> {
    let figure = face(rules, state, id)?.property("rest")?;
    Some(match number(state, id, "rest") {
        Some(own) => {
            ((DAY * own, DAY * own), format!("{}, off its sheet", show_minutes(DAY * own)))
        }
        None => (ends(figure), format!("{}, {}", days(ends(figure)), figure.status.words())),
    })
}

/// How long a mould of this family keeps, in words.
fn usual_life(family: &Family) -> Option<(&Figure, String)> {
    let figure = family.property("mould-life")?;
    let (low, high) = (figure.low.unwrap_or(figure.likely), figure.high.unwrap_or(figure.likely));
    let words = format!("{low} to {high} years for {}, {}", family.short, figure.status.words());
    Some((figure, words))
}

/// What holds of such a mould for years, for its card.
pub fn habits(rules: &Rules, state: &State, id: Id) -> Vec<String> {
    let rest = tin_rest(rules, state, id).map(|(_, why)| format!("Rest before resin: {why}."));
    let life = face(rules, state, id).and_then(usual_life);
    rest.into_iter().chain(life.map(|(_, words)| format!("Keeps {words}."))).collect()
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
    let (figure, usual) = usual_life(face(rules, state, id)?)?;
    let months = |years: f64| (years * 12.0).round() as i64;
    let on_record = (now.since(mould.made) / MONTH).floor().max(0.0) as i64;
    let age = months(number(state, id, "age").unwrap_or(0.0)) + on_record;
    let left = months(figure.likely) - age;
    Some(if left > 0 {
        Item::Note(format!("{age} months old. Keeps about {left} more: {usual}."))
    } else {
        Item::Warning(format!(
            "{age} months old, past its usual life: {usual}. Bend and pull it before you pour: \
             stiff or torn is done."
        ))
    })
}
