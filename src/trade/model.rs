//! The shapes that the trade's data takes.
//!
//! Everything a mould maker would look up lives in `trade/**/*.toml` at the
//! root of the project. `build.rs` reads those files into these types and packs
//! them; the app unpacks them at start. Numbers here are bare because each
//! carries its unit as data: see [`Figure`].

use serde::{Deserialize, Serialize};

pub use family::*;
pub use method::*;
pub use pairing::*;

// Named by path, so that build.rs finds them too.
#[path = "model/family.rs"]
mod family;
#[path = "model/method.rs"]
mod method;
#[path = "model/packed.rs"]
pub mod packed;
#[path = "model/pairing.rs"]
mod pairing;

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
    /// Kilojoules per mole.
    #[serde(rename = "kJ/mol")]
    KilojoulePerMole,
    /// Joules per gram.
    #[serde(rename = "J/g")]
    JoulePerGram,
    /// Joules per gram and kelvin.
    #[serde(rename = "J/(g K)")]
    JoulePerGramKelvin,
    /// Watts per metre and kelvin.
    #[serde(rename = "W/(m K)")]
    WattPerMetreKelvin,
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
    /// What goes with what.
    pub pairings: Vec<Pairing>,
}
