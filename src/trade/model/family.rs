//! Material families: their clocks, conditions, mixing and further values.

use super::{Figure, Status};
use serde::{Deserialize, Serialize};

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

/// What is known of the heat that a cure makes, for the caution about pots.
///
/// No complete set is published for a room temperature cure, so its speed is no
/// datum: it follows from the family's own pot life.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Heat {
    /// Activation energy.
    pub energy: Figure,
    /// Rate at the start over the rate that the product adds; zero for a cure
    /// that does not speed itself up.
    pub start_ratio: Figure,
    /// Power of what has reacted.
    pub power_done: Figure,
    /// Power of what is left.
    pub power_left: Figure,
    /// Heat of the whole reaction per mass of what reacts.
    pub heat: Figure,
    /// Specific heat of the mix.
    pub specific_heat: Figure,
    /// Conductivity of the mix.
    pub conductivity: Figure,
    /// Share of the mass that reacts.
    pub reacting: Figure,
    /// Share reacted at which a pot is over.
    pub gel: Figure,
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
    /// The heat of its cure, where enough is known.
    #[serde(default)]
    pub heat: Option<Heat>,
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
