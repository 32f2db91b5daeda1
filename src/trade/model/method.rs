//! Methods as graphs of stages: checks, waits, cures, materials.

use super::Figure;
use crate::engine::table::Table;
use serde::{Deserialize, Serialize};

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
    /// Amount rule (see [`crate::trade::amounts`]); none for consumables counted by eye.
    #[serde(default)]
    pub rule: Option<String>,
    /// Rule input -> measure of the job.
    #[serde(default)]
    pub inputs: Table<String, String>,
    /// Rule input -> fixed number (plies, coats), in the input's stored unit.
    #[serde(default)]
    pub fixed: Table<String, f64>,
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
    /// A mould that is spent on its one cast.
    SpentMould,
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
