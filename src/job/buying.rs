//! The buying list of a job or several: what the stages to come need of each
//! material, what is on the Shelf of it, and how many full tins that leaves to
//! buy. What can't be said yet is listed with what has to be measured first.

use crate::engine::quantity::{Grams, Money};
use crate::engine::table::Table;
use crate::engine::takeoff::{Quantity, Sum, SumLine};
use crate::trade::amounts::{Amount, AmountError};
use crate::trade::model::{Family, MaterialUse, Measure, Mixing, Rules};

use super::amount;
use super::card;
use super::command::{self, At};
use super::event::{Id, Material};
use super::stage;
use super::state::{State, Tin};
use super::stock::{self, Whole};
use super::used;

/// Rules whose amount is nothing that can be bought: a force, a number of pours.
const NOT_BOUGHT: [&str; 2] = ["K-UPLIFT", "K-LAYER"];

/// What a line of the list is about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum What {
    /// A tin or a family.
    Material(Material),
    /// The peroxide of all catalysed resins together.
    Catalyst,
    /// What is counted and no material: bolts, strips.
    Thing(String),
}

impl What {
    /// Its name.
    pub fn name(&self, rules: &Rules, state: &State) -> String {
        match self {
            Self::Material(Material::Tin(id)) => {
                state.tins.get(id).map(|tin| tin.card.name.clone()).unwrap_or_default()
            }
            Self::Material(Material::Family(id)) => {
                rules.family(id).map_or_else(|| id.clone(), |family| family.title.clone())
            }
            Self::Catalyst => "Peroxide catalyst".into(),
            Self::Thing(name) => {
                let mut letters = name.chars();
                let first = letters.next().map(|first| first.to_ascii_uppercase().to_string());
                first.unwrap_or_default() + letters.as_str()
            }
        }
    }
}

/// One stage's need.
#[derive(Clone, Debug, PartialEq)]
pub struct Use {
    /// Job and material, in words.
    pub text: String,
    /// How much of it is still needed.
    pub value: Quantity,
    /// How that comes about.
    pub sum: Vec<SumLine>,
}

/// A line of the list.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// What it is about.
    pub what: What,
    /// What is needed of it.
    pub need: Quantity,
    /// What that is made up of, where it comes in two parts.
    pub parts: Vec<(String, Quantity)>,
    /// The stages that need it.
    pub uses: Vec<Use>,
    /// What there is of it on the Shelf; none where nothing was noted.
    pub have: Option<Grams>,
    /// What is short of the need.
    pub short: Quantity,
    /// The full tins that cover what is short; none while no size is known.
    pub tins: Option<Whole>,
    /// The tin whose size and price count, or at which they can be noted.
    pub tin: Option<Id>,
    /// What the full tins cost, where a price is known.
    pub cost: Option<Money>,
    /// What the needed part of a tin is worth, where a price is known.
    pub worth: Option<Money>,
    /// From the need to the cost, line by line.
    pub sum: Sum,
}

impl Line {
    /// Whether something of it has to be bought.
    pub fn is_short(&self) -> bool {
        size(&self.short) > 0.0
    }
}

/// A measure that somebody has to take before the list is whole.
#[derive(Clone, Debug, PartialEq)]
pub struct Waiting {
    /// The job.
    pub job: Id,
    /// A stage that needs it.
    pub stage: String,
    /// The measure.
    pub measure: &'static Measure,
    /// What waits for it.
    pub titles: Vec<String>,
}

/// Which stages a list is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stages {
    /// Those to come, less what was weighed for them already.
    Open,
    /// All, as if nothing had been done.
    All,
}

/// The list.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct List {
    /// What is needed, in the order of the work.
    pub lines: Vec<Line>,
    /// What has to be measured first.
    pub waiting: Vec<Waiting>,
    /// What can't be worked out, and why.
    pub troubles: Vec<(String, AmountError)>,
    /// What no rule gives an amount of.
    pub by_eye: Vec<String>,
}

impl List {
    /// What all full tins cost, with its sum; none while no price is known.
    pub fn cost(&self, rules: &Rules, state: &State) -> Option<(Money, Sum)> {
        let mut sum = Sum::default();
        let mut total = None;
        for line in &self.lines {
            let Some(cost) = line.cost else { continue };
            sum = sum.with(line.what.name(rules, state), Quantity::Money(cost));
            total = Some(total.unwrap_or(Money(0.0)) + cost);
        }
        total.map(|total| (total, sum.with("Together", Quantity::Money(total))))
    }

    /// What has to be bought and has no price, by name.
    pub fn unpriced(&self, rules: &Rules, state: &State) -> Vec<String> {
        let without = self.lines.iter().filter(|line| line.is_short() && line.cost.is_none());
        without.map(|line| line.what.name(rules, state)).collect()
    }
}

/// The buying list of these jobs.
pub fn list(rules: &'static Rules, state: &State, jobs: &[Id], which: Stages) -> List {
    let mut list = List::default();
    for id in jobs {
        let Some(job) = state.jobs.get(id).filter(|job| !job.discarded) else { continue };
        let Some(method) = state.method(rules, &job.method) else { continue };
        for stage in stage::stages(method, job) {
            if which == Stages::Open && job.finished.contains_key(&stage.id) {
                continue;
            }
            for used in stage::materials(method, job, stage) {
                need(&mut list, rules, state, &At { job, method, stage }, used, which);
            }
        }
    }
    against_shelf(&mut list, rules, state);
    list
}

/// Adds what one stage needs of one material.
fn need(
    list: &mut List,
    rules: &'static Rules,
    state: &State,
    at: &At<'_>,
    used: &'static MaterialUse,
    which: Stages,
) {
    let text = format!("{}: {}", at.job.name, used.title);
    let Some(rule) = used.rule.as_deref() else {
        if !list.by_eye.contains(&used.title) {
            list.by_eye.push(used.title.clone());
        }
        return;
    };
    if NOT_BOUGHT.contains(&rule) {
        return;
    }
    let material = amount::material(at, used);
    let family = material.as_ref().and_then(|m| card::resolve(rules, state, m).ok());
    let family = family.map(|(family, _)| family);
    match amount::work(rules, state, at, used, true) {
        Ok(mut found) => {
            let value = amount::of_material(family, &found);
            let left = match (which, family) {
                (Stages::Open, Some(family)) => {
                    still_to_weigh(rules, state, at, family, &mut found)
                }
                _ => 1.0,
            };
            if left > 0.0 {
                let value = scaled(&value, left);
                let found = Found { text, value, amount: found, left };
                shares(list, material, family, used, found);
            }
        }
        Err(AmountError::Missing { measures }) => {
            for id in to_measure(at, used, measures) {
                wait(list, at, &id, &used.title);
            }
        }
        Err(error) => list.troubles.push((text, error)),
    }
}

/// The share of an amount that was not weighed yet; says so in its sum.
fn still_to_weigh(
    rules: &'static Rules,
    state: &State,
    at: &At<'_>,
    family: &Family,
    found: &mut Amount,
) -> f64 {
    let Quantity::Mass(planned) = found.main else { return 1.0 };
    let (weighed, _) = used::weighed(rules, state, at, family);
    if !(weighed > Grams(0.0) && planned > Grams(0.0)) {
        return 1.0;
    }
    let left = (planned - weighed).max(Grams(0.0));
    let more = Sum { lines: std::mem::take(&mut found.sum) }
        .with("Weighed for it already", Quantity::Mass(weighed))
        .with("Still to weigh", Quantity::Mass(left));
    found.sum = more.lines;
    left / planned
}

/// What one stage needs of one material.
struct Found {
    text: String,
    /// Of the material itself.
    value: Quantity,
    amount: Amount,
    /// The share that was not weighed yet.
    left: f64,
}

/// Puts an amount onto the lines of what it is made up of.
fn shares(
    list: &mut List,
    material: Option<Material>,
    family: Option<&Family>,
    used: &MaterialUse,
    found: Found,
) {
    let Found { text, value, amount, left } = found;
    let parts = amount.parts.iter().map(|(name, value)| (name.clone(), scaled(value, left)));
    let mut parts = parts.collect::<Vec<_>>();
    let mut put = |what: What, value: Quantity, parts: Vec<(String, Quantity)>| {
        add(list, what, Use { text: text.clone(), value, sum: amount.sum.clone() }, parts);
    };
    let Some(material) = material else {
        if parts.is_empty() {
            put(What::Thing(used.title.clone()), value, parts);
        } else {
            for (name, value) in parts {
                put(What::Thing(name), value, Vec::new());
            }
        }
        return;
    };
    match family.map(|family| &family.mixing) {
        Some(Mixing::Catalysed) => {
            let mut catalyst = parts.split_off(parts.len().min(1)).into_iter();
            put(What::Material(material), value, Vec::new());
            if let Some((_, mass)) = catalyst.next() {
                put(What::Catalyst, mass, catalyst.collect());
            }
        }
        // Water comes from the tap.
        Some(Mixing::Water { .. }) => put(What::Material(material), value, Vec::new()),
        _ => put(What::Material(material), value, parts),
    }
}

fn add(list: &mut List, what: What, one: Use, parts: Vec<(String, Quantity)>) {
    let same = |line: &&mut Line| line.what == what && together(&line.need, &one.value).is_some();
    if let Some(line) = list.lines.iter_mut().find(same) {
        line.need = together(&line.need, &one.value).unwrap_or(line.need);
        for (name, value) in parts {
            match line.parts.iter_mut().find(|(other, _)| *other == name) {
                Some((_, sum)) => *sum = together(sum, &value).unwrap_or(*sum),
                None => line.parts.push((name, value)),
            }
        }
        line.uses.push(one);
        return;
    }
    list.lines.push(Line {
        what,
        need: one.value,
        parts,
        short: one.value,
        uses: vec![one],
        have: None,
        tins: None,
        tin: None,
        cost: None,
        worth: None,
        sum: Sum::default(),
    });
}

/// The measures that a use waits for, as a buyer can take them.
fn to_measure(at: &At<'_>, used: &MaterialUse, measures: Vec<String>) -> Vec<String> {
    // The clay of a blanket is weighed when it comes out. A list is wanted long
    // before that, and area and thickness give it.
    let early: Vec<String> = ["area", "thickness"]
        .iter()
        .filter_map(|input| used.inputs.get(*input))
        .filter(|id| !at.job.measures.contains_key(*id))
        .filter(|id| command::measure(at.method, id).is_some_and(|m| m.start.is_none()))
        .cloned()
        .collect();
    if early.is_empty() || used.rule.as_deref() != Some("K-SI") { measures } else { early }
}

fn wait(list: &mut List, at: &At<'_>, id: &str, title: &str) {
    let Some(measure) = command::measure(at.method, id) else { return };
    let same = |one: &&mut Waiting| one.job == at.job.id && one.measure.id == id;
    match list.waiting.iter_mut().find(same) {
        Some(waiting) if waiting.titles.iter().any(|other| other == title) => {}
        Some(waiting) => waiting.titles.push(title.to_owned()),
        None => list.waiting.push(Waiting {
            job: at.job.id,
            stage: at.stage.id.clone(),
            measure,
            titles: vec![title.to_owned()],
        }),
    }
}

/// Holds every line against the Shelf. A tin's own lines draw on it before
/// those that any tin of the family would do for.
fn against_shelf(list: &mut List, rules: &Rules, state: &State) {
    let mut drawn = Table::new();
    for of_tins in [true, false] {
        for line in &mut list.lines {
            if matches!(line.what, What::Material(Material::Tin(_))) == of_tins {
                line.sum = Sum::default().with("Needed", line.need);
                line.short = line.need;
                hold(line, rules, state, &mut drawn);
            }
        }
    }
}

fn hold(line: &mut Line, rules: &Rules, state: &State, drawn: &mut Table<Id, Grams>) {
    let (What::Material(material), Quantity::Mass(need)) = (&line.what, line.need) else { return };
    let tins = stock::tins(state, material);
    let mut sum = std::mem::take(&mut line.sum);
    let mut open = need;
    for tin in &tins {
        let Some(left) = stock::left(rules, state, tin) else { continue };
        let before = drawn.get(&tin.id).copied().unwrap_or(Grams(0.0));
        let free = (left.result - before).max(Grams(0.0));
        sum = sum.then(left.sum);
        if before > Grams(0.0) {
            sum = sum.with("Of that, for other lines", Quantity::Mass(before));
        }
        let draws = open.min(free);
        drawn.insert(tin.id, before + draws);
        open = open - draws;
        line.have = Some(line.have.unwrap_or(Grams(0.0)) + free);
    }
    // No scale of a shop tells a hundredth of a gram.
    let short = Grams((open.value() * 100.0).round() / 100.0);
    line.short = Quantity::Mass(short);
    sum = sum.with("Short of", line.short);
    let tin = sized(&tins).or_else(|| match material {
        Material::Tin(id) => state.tins.get(id),
        Material::Family(_) => None,
    });
    line.tin = tin.map(|tin| tin.id);
    let stock = tin.and_then(|tin| tin.stock).map(|(_, stock)| stock).unwrap_or_default();
    if let Some(full) = stock.full {
        sum = sum.with("A full tin holds", Quantity::Mass(full));
        line.tins = stock::whole_tins(short, full);
        if let Some(whole) = line.tins {
            sum = sum.with("Full tins to buy", Quantity::Count(whole.count));
            if let Some(price) = stock.price {
                let cost = price * f64::from(whole.count);
                sum = sum
                    .with("A full tin costs", Quantity::Money(price))
                    .with("Together", Quantity::Money(cost));
                line.cost = Some(cost);
                line.worth = Some(price * (need / full));
            }
        }
    }
    line.sum = sum;
}

/// Of several tins, the one whose size was noted last; else any.
fn sized<'s>(tins: &[&'s Tin]) -> Option<&'s Tin> {
    let known = |tin: &&&Tin| tin.stock.is_some_and(|(_, stock)| stock.full.is_some());
    let newest = tins.iter().filter(known).max_by_key(|tin| tin.stock.map(|(at, _)| at));
    newest.or(tins.first()).copied()
}

/// The bare size of what can stand on a line.
fn size(quantity: &Quantity) -> f64 {
    match quantity {
        Quantity::Mass(mass) => mass.value(),
        Quantity::Area(area) => area.value(),
        Quantity::Volume(volume) => volume.value(),
        Quantity::Count(count) => f64::from(*count),
        _ => 0.0,
    }
}

fn scaled(quantity: &Quantity, share: f64) -> Quantity {
    match quantity {
        Quantity::Mass(mass) => Quantity::Mass(*mass * share),
        Quantity::Area(area) => Quantity::Area(*area * share),
        Quantity::Volume(volume) => Quantity::Volume(*volume * share),
        other => *other,
    }
}

/// Two quantities of a kind together; none of two kinds.
fn together(one: &Quantity, other: &Quantity) -> Option<Quantity> {
    Some(match (one, other) {
        (Quantity::Mass(a), Quantity::Mass(b)) => Quantity::Mass(*a + *b),
        (Quantity::Area(a), Quantity::Area(b)) => Quantity::Area(*a + *b),
        (Quantity::Volume(a), Quantity::Volume(b)) => Quantity::Volume(*a + *b),
        (Quantity::Count(a), Quantity::Count(b)) => Quantity::Count(a.saturating_add(*b)),
        _ => return None,
    })
}
