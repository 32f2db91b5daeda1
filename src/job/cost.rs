//! What a cast costs (rule K-COST of the trade reference): the mould's cost
//! over the casts expected of it, the material of a cast, and minutes times
//! their rate. Material counts with the part of a tin that it takes, not with
//! the full tins that were bought; the minutes are the table's typical ones.

use crate::engine::quantity::{Minutes, Money};
use crate::engine::takeoff::{Quantity, Sum};
use crate::trade::model::{Dimension, Makes, Rules};

use super::buying::{self, Stages};
use super::card;
use super::event::Id;
use super::sheet::{self, Ask, Field, Origin};
use super::stage;
use super::state::{Job, State};

/// The sheet in the journal that holds what is asked here.
const SHEET: &str = "buying";
/// The measure that says how many good casts a pour gave.
const GOOD_CASTS: &str = "good-casts";

/// Casts expected of the mould, as entered for a job or for none.
pub fn casts(state: &State, job: Option<Id>) -> Field {
    let range = (1.0, 100_000.0);
    field(state, job, "casts", "Casts expected", Ask::Of(Dimension::Count), range)
}

/// What a minute of work costs in this shop.
pub fn minute_rate(state: &State) -> Field {
    let ask = Ask::Plain("");
    field(state, None, "minute-rate", "A minute of work", ask, (0.0, 10_000.0))
}

fn field(
    state: &State,
    job: Option<Id>,
    id: &str,
    text: &str,
    ask: Ask,
    range: (f64, f64),
) -> Field {
    let value = sheet::number(state, job, SHEET, id);
    let origin = if value.is_some() { Origin::Entered } else { Origin::Open };
    Field { sheet: SHEET, id: id.into(), text: text.into(), ask, value, origin, range }
}

/// A cost with its sum.
#[derive(Clone, Debug, PartialEq)]
pub struct Cost {
    /// Of what.
    pub text: &'static str,
    /// How much.
    pub money: Money,
    /// How.
    pub sum: Sum,
}

/// Costs, and what is not in them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Costs {
    /// The mould, the casts and one cast, as far as they can be said.
    pub costs: Vec<Cost>,
    /// Materials that no price is known of, by name.
    pub unpriced: Vec<String>,
    /// Whether something can't be worked out yet.
    pub incomplete: bool,
}

/// What mould and casts cost, over all stages of these jobs. `of` is the job
/// that the expected casts were entered for.
pub fn costs(rules: &'static Rules, state: &State, of: Option<Id>, jobs: &[Id]) -> Costs {
    let mut costs = Costs::default();
    let rate = minute_rate(state).value.map(Money);
    let makes = |casts: bool| -> Vec<&Job> {
        let known = jobs.iter().filter_map(|id| state.jobs.get(id));
        let wanted = |makes: Makes| (makes == Makes::Casts) == casts;
        known.filter(|j| state.method(rules, &j.method).is_some_and(|m| wanted(m.makes))).collect()
    };
    let moulds = makes(false);
    let pours = makes(true);
    let mould = whole(rules, state, &moulds, rate, &mut costs);
    let pour = whole(rules, state, &pours, rate, &mut costs);
    let good: f64 = pours.iter().map(|job| job.measures.get(GOOD_CASTS).unwrap_or(&1.0)).sum();
    let each = pour.filter(|_| good > 0.0).map(|(money, sum)| {
        let each = money / good;
        let sum = sum
            .with("Good casts of it", Quantity::Count(good as u32))
            .with("Material and work of a cast", Quantity::Money(each));
        (each, sum)
    });
    let casts = casts(state, of).value.filter(|casts| *casts >= 1.0);
    if let (Some((mould, _)), Some(casts)) = (&mould, casts) {
        let share = *mould / casts;
        let mut sum = Sum::default()
            .with("The mould", Quantity::Money(*mould))
            .with("Casts expected", Quantity::Count(casts as u32))
            .with("The mould, for each", Quantity::Money(share));
        let mut money = share;
        if let Some((each, _)) = &each {
            money = money + *each;
            sum = sum.with("Material and work of a cast", Quantity::Money(*each));
        }
        let sum = sum.with("A cast", Quantity::Money(money));
        costs.costs.push(Cost { text: "A cast", money, sum });
    }
    let all = [("The mould", mould), ("Material and work of a cast", each)];
    let known = all
        .into_iter()
        .filter_map(|(text, found)| found.map(|(money, sum)| Cost { text, money, sum }));
    costs.costs.extend(known);
    costs
}

/// What jobs cost from their first stage to their last; none where neither a
/// price nor a rate is known.
fn whole(
    rules: &'static Rules,
    state: &State,
    jobs: &[&Job],
    rate: Option<Money>,
    costs: &mut Costs,
) -> Option<(Money, Sum)> {
    let ids: Vec<Id> = jobs.iter().map(|job| job.id).collect();
    let mut sum = Sum::default();
    let mut total = None;
    let list = buying::list(rules, state, &ids, Stages::All);
    costs.incomplete |= !(list.waiting.is_empty() && list.troubles.is_empty());
    for line in list.lines {
        let name = line.what.name(rules, state);
        match line.worth {
            Some(worth) => {
                sum = sum.with(name.clone(), line.need).with(name, Quantity::Money(worth));
                total = Some(total.unwrap_or(Money(0.0)) + worth);
            }
            None if costs.unpriced.contains(&name) => {}
            None => costs.unpriced.push(name),
        }
    }
    if let Some(rate) = rate.filter(|_| !jobs.is_empty()) {
        let minutes = jobs.iter().fold(Minutes(0.0), |sum, job| sum + hands_on(rules, state, job));
        let work = rate * minutes.value();
        sum = sum
            .with("Hands-on work, typical", Quantity::Time(minutes))
            .with("A minute of it", Quantity::Money(rate))
            .with("Work", Quantity::Money(work));
        total = Some(total.unwrap_or(Money(0.0)) + work);
    }
    total.map(|total| (total, sum.with("Together", Quantity::Money(total))))
}

/// Typical hands-on time of all stages of a job.
fn hands_on(rules: &'static Rules, state: &State, job: &Job) -> Minutes {
    let Some(method) = state.method(rules, &job.method) else { return Minutes(0.0) };
    let stages = stage::stages(method, job).into_iter();
    stages.fold(Minutes(0.0), |sum, stage| sum + card::minutes(&stage.minutes))
}
