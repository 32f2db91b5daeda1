//! The shapes that the trade's data takes.
//!
//! Everything a mould maker would look up lives in `trade/**/*.toml` at the
//! root of the project. `build.rs` reads those files into these types and packs
//! them; the app unpacks them at start. Numbers here are bare because each
//! carries its unit as data: see [`Figure`].

use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// How far a value can be trusted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Status {
    /// Published; the source is named.
    Published,
    /// What workshops commonly do; no single source.
    CommonPractice,
    /// Remembered and plausible, not checked.
    FromMemory,
    /// A working rule of this app, to be tuned from logs.
    WorkingRule,
    /// Worked out from other figures.
    Calculated,
}

impl Status {
    /// The status in plain words for the screen.
    pub fn words(self) -> &'static str {
        match self {
            Status::Published => "published",
            Status::CommonPractice => "common practice",
            Status::FromMemory => "from memory",
            Status::WorkingRule => "working rule",
            Status::Calculated => "calculated",
        }
    }
}

/// The unit of a figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Unit {
    /// Minutes of time.
    #[serde(rename = "min")]
    Minute,
    /// Hours of time.
    #[serde(rename = "h")]
    Hour,
    /// Days of time.
    #[serde(rename = "d")]
    Day,
    /// Months of time (shelf life).
    #[serde(rename = "month")]
    Month,
    /// Years of time (mould life).
    #[serde(rename = "year")]
    Year,
    /// Degrees Celsius.
    #[serde(rename = "C")]
    Celsius,
    /// Per cent.
    #[serde(rename = "%")]
    Percent,
    /// Grams.
    #[serde(rename = "g")]
    Gram,
    /// Kilograms.
    #[serde(rename = "kg")]
    Kilogram,
    /// Millimetres.
    #[serde(rename = "mm")]
    Millimetre,
    /// Metres.
    #[serde(rename = "m")]
    Metre,
    /// Square metres.
    #[serde(rename = "m2")]
    SquareMetre,
    /// Grams per millilitre.
    #[serde(rename = "g/ml")]
    GramPerMillilitre,
    /// Kilograms per square metre.
    #[serde(rename = "kg/m2")]
    KilogramPerSquareMetre,
    /// Grams per square metre.
    #[serde(rename = "g/m2")]
    GramPerSquareMetre,
    /// Litres.
    #[serde(rename = "l")]
    Litre,
    /// A bare ratio or factor.
    #[serde(rename = "x")]
    Factor,
    /// Parts of water per hundred of powder, by mass.
    #[serde(rename = "per100")]
    PerHundred,
    /// A whole number of things (coats, plies, bolts).
    #[serde(rename = "count")]
    Count,
    /// Indentation hardness, Shore A.
    #[serde(rename = "shoreA")]
    ShoreA,
}

/// A value with its range, unit, status and source.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Figure {
    /// The low end across the family; equal to `likely` when absent.
    #[serde(default)]
    pub low: Option<f64>,
    /// The value used.
    pub likely: f64,
    /// The high end across the family; equal to `likely` when absent.
    #[serde(default)]
    pub high: Option<f64>,
    /// The unit of all three.
    pub unit: Unit,
    /// How far it can be trusted.
    pub status: Status,
    /// Code or words of the source; required when published.
    #[serde(default)]
    pub source: Option<String>,
}

/// Which temperature drives a cure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Driver {
    /// The air of the room: pots and air-cured masses.
    Room,
    /// The surface that a thin film lies on.
    Surface,
    /// The mixing water (with the room): gypsum, alginate, bandage.
    Mix,
}

/// Which minimum temperature applies to a milestone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Phase {
    /// From mixing until gelled or firm.
    Wet,
    /// After firm.
    Harden,
}

/// Which way it is safe to be wrong about a milestone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Effect {
    /// Something must be finished by it: the short end of the interval counts.
    FinishBy,
    /// Something must not start before it: the long end counts.
    NotBefore,
}

/// The trade's word for the state of a cure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum StateWord {
    /// Liquid or smearing.
    Wet,
    /// Turned to jelly.
    Gelled,
    /// Pulls at a glove and leaves nothing on it.
    Tacky,
    /// Rubbery: a knife cuts it.
    Green,
    /// Stands handling.
    Hard,
    /// Fully cured.
    Cured,
}

/// An instant in the life of a cure.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Milestone {
    /// Unique within its profile.
    pub id: String,
    /// Short title, e.g. "tacky, no transfer".
    pub title: String,
    /// Time from the start of the profile at reference conditions.
    pub time: Figure,
    /// Which minimum temperature applies.
    pub phase: Phase,
    /// Which way it is safe to be wrong.
    pub effect: Effect,
    /// Whether reaching it ends the wet phase of this profile.
    #[serde(default)]
    pub firm: bool,
    /// The state word from this milestone on, if it changes.
    #[serde(default)]
    pub word: Option<StateWord>,
}

/// How a window ends, which sets its urgency (trade.md section 8).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Lateness {
    /// A person may come to harm or discomfort.
    Person,
    /// Being late ruins work.
    Ruins,
    /// Being late costs work.
    Costs,
    /// Being late costs nothing.
    None,
}

/// The time between two milestones in which a thing may be done.
///
/// A window without `opens` is open from the start of the profile: a pot.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Window {
    /// Unique within its profile, e.g. "overcoat", "trim", "pot".
    pub id: String,
    /// Short title, e.g. "Overcoat".
    pub title: String,
    /// Milestone from which a first look is worth it, if earlier than opening.
    #[serde(default)]
    pub look: Option<String>,
    /// Milestone that opens it.
    #[serde(default)]
    pub opens: Option<String>,
    /// Milestone at which it is best.
    #[serde(default)]
    pub ideal: Option<String>,
    /// Milestone that closes it.
    #[serde(default)]
    pub closes: Option<String>,
    /// The touch test, in bench English.
    pub test: String,
    /// What to do in this window, as a short imperative ("Lay the next coat").
    pub act: String,
    /// What it costs to be late, and what to do then.
    pub missed: String,
    /// How bad lateness is.
    pub late: Lateness,
}

/// One clock of a family: the life of a pot, a film or a cast.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Profile {
    /// Unique within its family: "pot", "film", "cast"...
    pub id: String,
    /// Short title for the Bench, e.g. "gel coat film".
    pub title: String,
    /// The act that starts it, as a tap: "Catalyst in", "Last layer on".
    pub starts: String,
    /// Which temperature drives it.
    pub driver: Driver,
    /// Mass at reference conditions, when mass changes the time (pots only).
    #[serde(default)]
    pub mass: Option<Figure>,
    /// Factor of rate per ten degrees of this clock, where it differs from the
    /// family's: an alginate mould loses water, it does not cure.
    #[serde(default)]
    pub per_ten: Option<Figure>,
    /// Whether catalyst level changes its times.
    #[serde(default)]
    pub catalysed: bool,
    /// Its instants, in order of time.
    pub milestones: Vec<Milestone>,
    /// Its windows, in order of opening.
    pub windows: Vec<Window>,
}

/// Conditions at which a family's times are given.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Reference {
    /// Reference temperature.
    pub temperature: Figure,
    /// Reference relative humidity, where it matters.
    #[serde(default)]
    pub humidity: Option<Figure>,
}

/// Peroxide level and its bounds.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Catalyst {
    /// Reference level with the recommended range as low and high.
    pub level: Figure,
    /// Above this a warning is shown.
    pub warn_above: Figure,
    /// Above this it is refused.
    pub block_above: Figure,
    /// Below this it is refused.
    pub block_below: Figure,
    /// Exponent n of the catalyst law.
    pub exponent: Figure,
    /// Density of the catalyst.
    pub density: Figure,
}

/// Temperatures outside which no time is given.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Limits {
    /// From mixing until firm.
    pub wet_min: Figure,
    /// After firm: colder time counts nothing.
    pub harden_min: Figure,
    /// Above this: "too hot to predict; may exotherm".
    pub max: Figure,
}

/// How a family is mixed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Mixing {
    /// Resin and a small percentage of peroxide (see [`Family::catalyst`]).
    Catalysed,
    /// Two parts in a fixed ratio by mass.
    TwoPart {
        /// Name of part A, e.g. "base".
        part_a: String,
        /// Name of part B, e.g. "catalyst".
        part_b: String,
        /// Parts of A by mass.
        a: Figure,
        /// Parts of B by mass.
        b: Figure,
        /// Permitted error of part B, in per cent of that part.
        tolerance: Figure,
    },
    /// Powder into water: parts of water per hundred of powder.
    Water {
        /// Water per 100 powder by mass.
        water: Figure,
        /// True density of the dry powder.
        powder_density: Figure,
    },
    /// The ratio must come from the tin's own sheet; there is no default.
    BySheet {
        /// Name of part A.
        part_a: String,
        /// Name of part B.
        part_b: String,
        /// Permitted error of part B, in per cent of that part.
        tolerance: Figure,
    },
    /// Used as it comes.
    AsSupplied,
}

/// A further value of a family.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Property {
    /// Unique within its family, e.g. "density", "coverage".
    pub id: String,
    /// What it is, in words.
    pub title: String,
    /// Its value.
    pub figure: Figure,
}

/// A remark of a family that is words and not a number.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Note {
    /// What to know, one idea.
    pub text: String,
    /// How far it can be trusted.
    pub status: Status,
    /// Source, when published.
    #[serde(default)]
    pub source: Option<String>,
}

/// The kind of material, for grouping on the Shelf.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// Polyester and vinyl ester.
    Polyester,
    /// Epoxy.
    Epoxy,
    /// Silicone rubber.
    Silicone,
    /// Polyurethane rubber and resin.
    Polyurethane,
    /// Plaster and stone.
    Gypsum,
    /// Alginate.
    Alginate,
    /// Plaster bandage.
    Bandage,
    /// Latex.
    Latex,
    /// Modelling clay.
    Clay,
    /// Glass reinforcement.
    Glass,
    /// Release agent.
    Release,
    /// Sealer or barrier.
    Sealer,
}

/// A generic family of materials with its starting values.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Family {
    /// Code used by methods, e.g. "UP-GEL".
    pub id: String,
    /// Plain title, e.g. "Polyester gel coat".
    pub title: String,
    /// Two or three words for a Bench row, e.g. "gel coat".
    pub short: String,
    /// Kind, for grouping.
    pub kind: Kind,
    /// Conditions of its times; required when it has profiles.
    #[serde(default)]
    pub reference: Option<Reference>,
    /// Factor of rate per ten degrees; required when it has profiles.
    #[serde(default)]
    pub per_ten: Option<Figure>,
    /// Peroxide level, for families cured by it.
    #[serde(default)]
    pub catalyst: Option<Catalyst>,
    /// Temperature limits; required when it has profiles.
    #[serde(default)]
    pub limits: Option<Limits>,
    /// How it is mixed.
    pub mixing: Mixing,
    /// Its clocks.
    #[serde(default)]
    pub profiles: Vec<Profile>,
    /// Further values (density, coverage, shrinkage, shelf life...).
    #[serde(default)]
    pub properties: Vec<Property>,
    /// Remarks.
    #[serde(default)]
    pub notes: Vec<Note>,
    /// Codes of hazards.
    #[serde(default)]
    pub hazards: Vec<String>,
    /// Letters of PPE sets.
    #[serde(default)]
    pub ppe: Vec<String>,
}

/// A hazard with what to do about it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Hazard {
    /// Code, e.g. "HZ2".
    pub id: String,
    /// What it is.
    pub title: String,
    /// The main dangers, one line.
    pub dangers: String,
    /// Controls to show, one a line.
    pub controls: Vec<String>,
    /// How far it can be trusted.
    pub status: Status,
    /// Sources.
    #[serde(default)]
    pub source: Option<String>,
}

/// A set of protective equipment.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Ppe {
    /// Letter, e.g. "B".
    pub id: String,
    /// What it is for.
    pub title: String,
    /// What to wear, one line.
    pub wear: String,
}

/// A way that work fails, and how to see it coming (table 1.5 of the brief).
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fault {
    /// Number in the table.
    pub id: u8,
    /// What goes wrong.
    pub title: String,
    /// Early sign at the bench.
    pub sign: String,
    /// How to prevent it.
    pub prevent: String,
}

/// A published source.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Source {
    /// Code, e.g. "P9".
    pub id: String,
    /// What it is, in words.
    pub title: String,
}

/// A variant switch of a method.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Switch {
    /// Unique within its method, e.g. "front".
    pub id: String,
    /// The question it answers.
    pub title: String,
    /// Option chosen at first.
    pub default: String,
    /// The options.
    pub options: Vec<SwitchOption>,
}

/// One option of a switch.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SwitchOption {
    /// Unique within its switch.
    pub id: String,
    /// Short title.
    pub title: String,
    /// What it means for the work.
    pub note: String,
}

/// A material that a method needs by its role, with the families that can play it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Role {
    /// Unique within its method, e.g. "rubber".
    pub id: String,
    /// Title, e.g. "Rubber".
    pub title: String,
    /// Families that can play it.
    pub families: Vec<String>,
    /// Family chosen at first.
    pub default: String,
}

/// What kind of quantity a measure is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Dimension {
    /// Mass, stored in grams.
    Mass,
    /// Length, stored in millimetres.
    Length,
    /// Area, stored in square metres.
    Area,
    /// Volume, stored in millilitres.
    Volume,
    /// Temperature, stored in °C.
    Temperature,
    /// Density, stored in g/ml.
    Density,
    /// Per cent.
    Percent,
    /// Minutes.
    Time,
    /// A whole number.
    Count,
}

/// A value of the job that a person can measure and a computation can use.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Measure {
    /// Unique within its method, e.g. "clay-mass".
    pub id: String,
    /// What to measure, in words.
    pub title: String,
    /// Its dimension.
    pub dimension: Dimension,
    /// Least sensible value, in the stored unit.
    pub least: f64,
    /// Greatest sensible value, in the stored unit.
    pub most: f64,
    /// Value offered at first, in the stored unit, if there is a sensible one.
    #[serde(default)]
    pub start: Option<f64>,
}

/// One line to tick.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Check {
    /// Unique within its stage.
    pub id: String,
    /// The line, one idea.
    pub text: String,
    /// Must be ticked, or waived with a reason.
    #[serde(default)]
    pub must: bool,
    /// Measures asked with the tick.
    #[serde(default)]
    pub ask: Vec<String>,
    /// Conditions "switch=option" that must all hold; shown always when empty.
    #[serde(default)]
    pub when: Vec<String>,
}

/// What a stage waits for: a window of a cure started earlier in the job.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Wait {
    /// Cure slot of an earlier stage.
    pub cure: String,
    /// Window of that cure's profile that must be open.
    pub window: String,
}

/// A cure that a stage starts.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CureSlot {
    /// Unique within the method, e.g. "gel-1".
    pub id: String,
    /// Two or three words for the Bench, e.g. "gel coat 1".
    pub title: String,
    /// Role whose family cures...
    #[serde(default)]
    pub role: Option<String>,
    /// ...or the family itself.
    #[serde(default)]
    pub family: Option<String>,
    /// Profile of the family.
    pub profile: String,
    /// Conditions "switch=option".
    #[serde(default)]
    pub when: Vec<String>,
    /// May be started several times (tub 1, 2, 3).
    #[serde(default)]
    pub repeats: bool,
}

/// A material that a stage uses, with the rule for its amount.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MaterialUse {
    /// What it is for, e.g. "gel coat, piece 1".
    pub title: String,
    /// Role that plays it...
    #[serde(default)]
    pub role: Option<String>,
    /// ...or the family itself, when it is one of the Shelf.
    #[serde(default)]
    pub family: Option<String>,
    /// Amount rule (see [`super::amounts`]); none for consumables counted by eye.
    #[serde(default)]
    pub rule: Option<String>,
    /// Rule input -> measure of the job.
    #[serde(default)]
    pub inputs: BTreeMap<String, String>,
    /// Rule input -> fixed number (plies, coats), in the input's stored unit.
    #[serde(default)]
    pub fixed: BTreeMap<String, f64>,
    /// Share of the whole that this stage uses (0 to 1).
    #[serde(default = "one")]
    pub share: f64,
    /// Whether it is mixed at this stage: offers a batch card.
    #[serde(default)]
    pub batch: bool,
    /// Conditions "switch=option".
    #[serde(default)]
    pub when: Vec<String>,
}

fn one() -> f64 {
    1.0
}

/// Whether hands are needed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Mode {
    /// Hands on all the time.
    HandsOn,
    /// Nobody needed.
    Unattended,
    /// Now and then.
    Mixed,
}

/// A condition gate to look at before a stage.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Gate {
    /// Resin film: surface temperature and dew margin.
    ResinFilm,
    /// Silicone: room temperature.
    Rubber,
}

/// A step of a method.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stage {
    /// Unique within its method, e.g. "M1.12".
    pub id: String,
    /// Short imperative, e.g. "Gel coat, piece 1".
    pub title: String,
    /// Two or three words for the Bench and the ladder.
    pub short: String,
    /// How to do it and why, one idea a line.
    #[serde(default)]
    pub how: Vec<String>,
    /// Whether hands are needed.
    pub mode: Mode,
    /// Typical hands-on minutes for a head-sized piece.
    pub minutes: Figure,
    /// Stages that must be done first. A needed stage that the switches leave
    /// out counts as done.
    #[serde(default)]
    pub needs: Vec<String>,
    /// Conditions "switch=option" that must all hold.
    #[serde(default)]
    pub when: Vec<String>,
    /// Windows of earlier cures that must be open.
    #[serde(default)]
    pub waits: Vec<Wait>,
    /// Condition gate to look at first.
    #[serde(default)]
    pub gate: Option<Gate>,
    /// Lines to tick.
    #[serde(default)]
    pub checks: Vec<Check>,
    /// Tools.
    #[serde(default)]
    pub tools: Vec<String>,
    /// Materials with their amounts.
    #[serde(default)]
    pub materials: Vec<MaterialUse>,
    /// Cures that it starts.
    #[serde(default)]
    pub cures: Vec<CureSlot>,
    /// Cautions in the form of a question at the moment of danger ("Goggles on?").
    #[serde(default)]
    pub cautions: Vec<String>,
    /// Codes of hazards.
    #[serde(default)]
    pub hazards: Vec<String>,
    /// Letters of PPE sets.
    #[serde(default)]
    pub ppe: Vec<String>,
    /// Numbers of faults it guards against.
    #[serde(default)]
    pub faults: Vec<u8>,
}

/// What a method makes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Makes {
    /// A mould.
    Mould,
    /// Casts from a mould.
    Casts,
}

/// A construction or casting procedure as a graph of stages.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Method {
    /// Code, e.g. "M1".
    pub id: String,
    /// Title.
    pub title: String,
    /// What it makes.
    pub makes: Makes,
    /// The idea in two or three sentences.
    pub idea: String,
    /// When to choose it.
    pub suits: String,
    /// What can go wrong, for the first screen.
    #[serde(default)]
    pub goes_wrong: Vec<String>,
    /// Variant switches.
    #[serde(default)]
    pub switches: Vec<Switch>,
    /// Materials by role.
    #[serde(default)]
    pub roles: Vec<Role>,
    /// Values that checks ask for.
    #[serde(default)]
    pub measures: Vec<Measure>,
    /// Its steps, in working order.
    #[serde(default)]
    pub stages: Vec<Stage>,
}

/// A constant of the amount rules (waste factors, use rates, bands).
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Constant {
    /// Code, e.g. "waste-silicone-poured".
    pub id: String,
    /// What it is.
    pub title: String,
    /// Its value.
    pub figure: Figure,
}

/// The whole rule table.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rules {
    /// Material families.
    pub families: Vec<Family>,
    /// Methods.
    pub methods: Vec<Method>,
    /// Hazards.
    pub hazards: Vec<Hazard>,
    /// PPE sets.
    pub ppe: Vec<Ppe>,
    /// Faults.
    pub faults: Vec<Fault>,
    /// Published sources.
    pub sources: Vec<Source>,
    /// Constants of the amount rules.
    pub constants: Vec<Constant>,
}
