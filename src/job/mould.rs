//! Moulds and casts: what may be done with them, and what is taken over from
//! the job that they come out of. What their numbers say is in `standing`.

mod figures;
mod standing;

use crate::engine::quantity::{Grams, Percent};
use crate::engine::units::{self, MassUnit};
use crate::trade::model::{
    Family, Fault, Makes, Method, MouldMaterial, Question, Rules, Verdict, casting_row,
};

use super::card;
use super::command::{self, Refusal};
use super::event::{Body, Id, Material};
use super::record::{Cast, Mould};
use super::sheet::{self, CAST, MOULD};
use super::stage;
use super::state::{Job, State};

pub use standing::{Word, habits, standing, word};

/// The field of a casting job's sheet "cast" that names its mould.
const CHOSEN: &str = "mould";

/// What was made of a cast.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Judged {
    /// Nobody has judged it yet.
    Open,
    /// It is good.
    Passed,
    /// It is good after a repair.
    Repaired,
    /// It is not.
    Scrapped,
}

impl Judged {
    /// All, with their words in the journal and at the bench.
    pub const ALL: [(Self, &'static str, &'static str); 4] = [
        (Self::Open, "open", "not judged yet"),
        (Self::Passed, "pass", "passed"),
        (Self::Repaired, "repair", "repaired"),
        (Self::Scrapped, "scrap", "scrap"),
    ];

    /// How a cast was judged.
    pub fn of(state: &State, cast: Id) -> Self {
        let word = sheet::entry(state, Some(cast), CAST, "verdict");
        let found = Self::ALL.iter().find(|(_, id, _)| Some(*id) == word);
        found.map_or(Self::Open, |(judged, ..)| *judged)
    }

    /// In a word.
    pub fn words(self) -> &'static str {
        Self::ALL.iter().find(|(judged, ..)| *judged == self).map_or("", |(.., words)| words)
    }
}

/// A number of a mould's card.
pub fn number(state: &State, mould: Id, field: &str) -> Option<f64> {
    sheet::number(state, Some(mould), MOULD, field)
}

/// A number of a mould's card that stands for none when it is 0.
pub fn limit(state: &State, mould: Id, field: &str) -> Option<u32> {
    number(state, mould, field).map(|value| value.round() as u32).filter(|value| *value > 0)
}

/// What a cast weighs.
pub fn weight(state: &State, cast: Id) -> Option<Grams> {
    sheet::number(state, Some(cast), CAST, "weight").map(Grams)
}

/// What a cast is made of, as a family.
pub fn material<'r>(rules: &'r Rules, state: &State, cast: Id) -> Option<&'r Family> {
    rules.family(sheet::entry(state, Some(cast), CAST, "material")?)
}

/// The fault of a cast.
pub fn fault(rules: &'static Rules, state: &State, cast: Id) -> Option<&'static Fault> {
    let id: u8 = sheet::entry(state, Some(cast), CAST, "fault")?.parse().ok()?;
    rules.faults.iter().find(|fault| fault.id == id)
}

/// What a mould's face is made of, as a family.
pub fn face<'r>(rules: &'r Rules, state: &State, mould: Id) -> Option<&'r Family> {
    rules.family(sheet::entry(state, Some(mould), MOULD, "face")?)
}

/// What is cast in a mould with one of these verdicts by the table, in words.
pub fn goes(rules: &Rules, state: &State, mould: Id, verdicts: &[Verdict]) -> String {
    let face = face(rules, state, mould).and_then(MouldMaterial::of);
    let at = MouldMaterial::ALL.iter().position(|(one, ..)| Some(*one) == face);
    let casts = rules.pairings.iter().filter(|row| row.kind == Question::Cast);
    let fits = casts.filter(|row| {
        let cell = at.and_then(|at| row.cells.get(at));
        cell.is_some_and(|cell| verdicts.contains(&cell.verdict))
    });
    fits.map(|row| row.title.clone()).collect::<Vec<_>>().join(", ")
}

/// The casts of a mould, as they came.
pub fn casts(state: &State, mould: Id) -> Vec<(Id, &Cast)> {
    let of = state.record.casts.iter().filter(|(_, cast)| cast.mould == mould);
    of.map(|(id, cast)| (*id, cast)).collect()
}

/// The greatest number of a mould's casts; 0 before the first.
pub fn last_number(state: &State, mould: Id) -> u32 {
    casts(state, mould).iter().fold(0, |last, (_, cast)| last.max(cast.number))
}

/// The moulds: those in use first, the newest at the top.
pub fn all(state: &State) -> Vec<(Id, &Mould)> {
    let mut moulds = Vec::new();
    for given_up in [false, true] {
        let all = state.record.moulds.iter().rev();
        let some = all.filter(|(_, mould)| mould.retired.is_some() == given_up);
        moulds.extend(some.map(|(id, mould)| (*id, mould)));
    }
    moulds
}

/// The mould of an id, if it can still be cast from.
fn in_use(state: &State, mould: Id) -> Result<&Mould, Refusal> {
    let found = state.record.moulds.get(&mould).ok_or(Refusal::NoSuchMould)?;
    if found.retired.is_some() { Err(Refusal::MouldRetired) } else { Ok(found) }
}

/// Puts a mould on record that was made elsewhere or before.
///
/// # Errors
/// [`Refusal`] without a name that can be read.
pub fn keep(name: &str) -> Result<Body, Refusal> {
    Ok(Body::MouldMade { job: None, name: command::name(name)? })
}

/// Notes that a mould was looked after.
///
/// # Errors
/// [`Refusal`] for one that is not there or given up, or without a word on what was done.
pub fn service(state: &State, mould: Id, note: &str) -> Result<Body, Refusal> {
    in_use(state, mould)?;
    Ok(Body::MouldServiced { mould, note: command::reason(note)? })
}

/// Gives a mould up.
///
/// # Errors
/// [`Refusal`] for one that is not there or given up already, or without a reason.
pub fn retire(state: &State, mould: Id, why: &str) -> Result<Body, Refusal> {
    in_use(state, mould)?;
    Ok(Body::MouldRetired { mould, reason: command::reason(why)? })
}

/// The mould that a job made.
pub fn of_job(state: &State, job: Id) -> Option<Id> {
    state.record.moulds.iter().find(|(_, mould)| mould.job == Some(job)).map(|(id, _)| *id)
}

/// Whether a job has a mould to show that is cast from again: most of its
/// stages are done, since the card is written before the last of them.
pub fn is_near(method: &Method, job: &Job) -> bool {
    let (done, all) = stage::progress(method, job);
    method.makes == Makes::Mould && done * 6 >= all * 5
}

/// Makes a mould of a job: the events that put it on record under an id, with
/// what the job knows on its card.
///
/// # Errors
/// [`Refusal`] for a job that is not there, or whose method leaves no mould.
pub fn from_job(
    rules: &'static Rules,
    state: &State,
    job: Id,
    mould: Id,
) -> Result<Vec<Body>, Refusal> {
    let job = state.jobs.get(&job).filter(|job| !job.discarded).ok_or(Refusal::NoSuchJob)?;
    let method = state
        .method(rules, &job.method)
        .ok_or_else(|| Refusal::NoSuchMethod(job.method.clone()))?;
    if method.makes != Makes::Mould {
        return Err(Refusal::LeavesNoMould);
    }
    let mut taken = Taken { of: mould, sheet: MOULD, bodies: Vec::new() };
    taken.bodies.push(Body::MouldMade { job: Some(job.id), name: job.name.clone() });
    taken.put("original", Some(job.name.clone()));
    taken.put("method", Some(method.title.clone()));
    taken.measures(job, &TO_MOULD);
    taken.put("jacket", option(method, job, "jacket"));
    taken.put("recipe", recipe(job));
    let face = face_of(rules, state, method, job);
    if let Some((family, material)) = face {
        taken.put("face", Some(family.id.clone()));
        if let Material::Tin(tin) = &material {
            let card = state.tins.get(tin).map(|tin| &tin.card);
            let batch = card.map(|card| {
                card.batch.as_ref().map_or(card.name.clone(), |no| format!("{}, {no}", card.name))
            });
            taken.put("batch", batch);
        }
        taken.put("ratio", weighed(state, job.id, &material));
    }
    Ok(taken.bodies)
}

/// Measures of methods that are fields of the card; the first one known counts.
const TO_MOULD: [(&str, &str); 15] = [
    ("pieces", "pieces"),
    ("jacket-pieces", "pieces"),
    ("bolt-count", "bolts"),
    ("vent-count", "vents"),
    ("cast-volume", "cast-volume"),
    ("cast-mass", "target"),
    ("rubber-mass", "rubber-mass"),
    ("mould-mass", "rubber-mass"),
    ("jacket-mass", "jacket-mass"),
    ("blanket-thickness", "wall"),
    ("thickness-min", "wall"),
    ("mould-thickness", "wall"),
    ("piece-thickness", "wall"),
    ("edge-thickness", "wall"),
    ("water-temp", "recipe-temp"),
];

/// Measures of casting methods that are fields of a cast.
const TO_CAST: [(&str, &str); 3] =
    [("cast-mass", "weight"), ("water-temp", "temp"), ("wall-min", "wall")];

/// What is taken over from a job, as entries of a sheet.
struct Taken {
    of: Id,
    sheet: &'static str,
    bodies: Vec<Body>,
}

impl Taken {
    fn put(&mut self, field: &str, entry: Option<String>) {
        if entry.is_some() {
            self.bodies.push(fill(self.of, self.sheet, field, entry));
        }
    }

    fn measures(&mut self, job: &Job, table: &[(&str, &str)]) {
        let mut last = "";
        for (measure, field) in table {
            let value = job.measures.get(*measure).filter(|_| last != *field);
            if let Some(value) = value {
                self.put(field, Some(value.to_string()));
                last = field;
            }
        }
    }
}

fn fill(of: Id, sheet: &str, field: &str, entry: Option<String>) -> Body {
    Body::SheetFilled { job: Some(of), sheet: sheet.to_owned(), field: field.to_owned(), entry }
}

/// The title of the option that a job chose, if its method has the switch.
fn option(method: &Method, job: &Job, switch: &str) -> Option<String> {
    let switch = method.switches.iter().find(|one| one.id == switch)?;
    let chosen = job.switches.get(&switch.id).unwrap_or(&switch.default);
    switch.options.iter().find(|one| one.id == *chosen).map(|one| one.title.clone())
}

/// Water and plaster as weighed for a job.
fn recipe(job: &Job) -> Option<String> {
    let (water, plaster) = (job.measures.get("water-mass")?, job.measures.get("plaster-mass")?);
    let show = |grams: &f64| units::show_mass(Grams(*grams), MassUnit::Gram);
    Some(format!("water {}, plaster {}", show(water), show(plaster)))
}

/// What a job's mould is faced with: its rubber, else its face or gel coat,
/// else the latex that its stages name.
fn face_of(
    rules: &'static Rules,
    state: &State,
    method: &Method,
    job: &Job,
) -> Option<(&'static Family, Material)> {
    let of = |material: Material| {
        let (family, _) = card::resolve(rules, state, &material).ok()?;
        MouldMaterial::of(family).map(|_| (family, material))
    };
    let roles = ["rubber", "mould", "gel"].into_iter();
    let mut roles = roles.filter(|id| method.roles.iter().any(|role| role.id == *id));
    if let Some(role) = roles.next() {
        return stage::material(method, job, Some(role), None).and_then(of);
    }
    let uses = method.stages.iter().flat_map(|stage| &stage.materials);
    let mut named = uses.filter_map(|used| of(Material::Family(used.family.clone()?)));
    named.find(|(family, _)| MouldMaterial::of(family) == Some(MouldMaterial::Latex))
}

/// What a casting job casts: the first material of its stages that is cast.
fn cast_of(rules: &'static Rules, state: &State, job: &Job) -> Option<(&'static Family, Material)> {
    let method = state.method(rules, &job.method)?;
    let stages = stage::stages(method, job).into_iter();
    let mut uses = stages.flat_map(|stage| stage::materials(method, job, stage));
    uses.find_map(|used| {
        let material = stage::material(method, job, used.role.as_deref(), used.family.as_deref())?;
        let (family, _) = card::resolve(rules, state, &material).ok()?;
        casting_row(family).map(|_| (family, material))
    })
}

/// The ratio of a job's batches of a material, as it was really weighed.
fn weighed(state: &State, job: Id, of: &Material) -> Option<String> {
    let batches = state.batches.values();
    let mut batches = batches.filter(|one| one.job == Some(job) && one.material == *of);
    let first = batches.next()?;
    let (a, b) = (first.parts.first()?, first.parts.get(1)?);
    let mut sums = [Grams(0.0); 2];
    for batch in std::iter::once(first).chain(batches) {
        for (sum, part) in sums.iter_mut().zip(&batch.parts) {
            *sum = *sum + part.actual.unwrap_or(part.target);
        }
    }
    let share = units::show_percent(Percent(sums[1] / sums[0] * 100.0));
    Some(format!("{}, {share} of {}", b.name, a.name))
}

/// The mould that a casting job is to be cast in: chosen, else that of its last cast.
pub fn chosen(state: &State, job: Id) -> Option<Id> {
    let word = sheet::entry(state, Some(job), CAST, CHOSEN).and_then(Id::parse);
    word.filter(|mould| state.record.moulds.contains_key(mould))
}

/// Chooses the mould of a casting job.
pub fn choose(job: Id, mould: Option<Id>) -> Body {
    fill(job, CAST, CHOSEN, mould.map(|mould| mould.to_string()))
}

/// A cast came out: the events that put it on record under an id, with what its
/// job knows.
///
/// # Errors
/// [`Refusal`] for a mould that is not there or given up.
pub fn cast(
    rules: &'static Rules,
    state: &State,
    mould: Id,
    job: Option<Id>,
    cast: Id,
) -> Result<Vec<Body>, Refusal> {
    in_use(state, mould)?;
    let number = last_number(state, mould).saturating_add(1);
    let mut taken = Taken { of: cast, sheet: CAST, bodies: Vec::new() };
    taken.bodies.push(Body::CastMade { mould, job, number });
    if let Some(job) = job.and_then(|job| state.jobs.get(&job)) {
        taken.measures(job, &TO_CAST);
        let cast = cast_of(rules, state, job);
        let ratio = || weighed(state, job.id, &cast.as_ref()?.1);
        taken.put("mix", recipe(job).or_else(ratio));
        taken.put("material", cast.as_ref().map(|(family, _)| family.id.clone()));
    } else if let Some((before, _)) = casts(state, mould).last() {
        // One after the other they are mostly of one material.
        let before = sheet::entry(state, Some(*before), CAST, "material");
        taken.put("material", before.map(str::to_owned));
    }
    Ok(taken.bodies)
}
