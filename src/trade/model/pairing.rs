//! What goes with what: mould materials on surfaces, casting materials in moulds.

use super::{Family, Kind};
use serde::{Deserialize, Serialize};

/// Which question a pairing answers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Question {
    /// A mould material on an original's surface.
    Surface,
    /// A casting material in a mould.
    Cast,
}

/// How two materials get on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// They do.
    Ok,
    /// With a sealer between.
    Seal,
    /// With a release between.
    Release,
    /// Nobody can tell without a test patch.
    Test,
    /// They become one.
    Bonds,
    /// They don't.
    No,
}

impl Verdict {
    /// The verdict in a word or two.
    pub fn words(self) -> &'static str {
        match self {
            Self::Ok => "goes",
            Self::Seal => "seal first",
            Self::Release => "release first",
            Self::Test => "test first",
            Self::Bonds => "bonds",
            Self::No => "no",
        }
    }
}

/// One field of the table.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cell {
    /// How they get on.
    pub verdict: Verdict,
    /// What to do, or why.
    pub note: String,
    /// Code of the source where it is published; otherwise common practice.
    #[serde(default)]
    pub source: Option<String>,
}

/// A row of the table: one surface or casting material against every mould
/// material, in the order of [`MouldMaterial`].
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pairing {
    /// Unique within its question, e.g. "water-clay".
    pub id: String,
    /// What it is, in words.
    pub title: String,
    /// Which question it belongs to.
    pub kind: Question,
    /// Its cells.
    pub cells: Vec<Cell>,
}

/// What a mould's working face is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MouldMaterial {
    /// Tin-cured silicone.
    Tin,
    /// Platinum-cured silicone.
    Platinum,
    /// Polyurethane rubber.
    Urethane,
    /// Latex.
    Latex,
    /// Polyester or epoxy laminate.
    Laminate,
    /// Plaster.
    Plaster,
}

impl MouldMaterial {
    /// All, in the order of the table's columns, with their words in the journal
    /// and at the bench.
    pub const ALL: [(Self, &'static str, &'static str); 6] = [
        (Self::Tin, "tin", "Tin silicone"),
        (Self::Platinum, "platinum", "Platinum silicone"),
        (Self::Urethane, "urethane", "Polyurethane rubber"),
        (Self::Latex, "latex", "Latex"),
        (Self::Laminate, "laminate", "Glass and resin"),
        (Self::Plaster, "plaster", "Plaster"),
    ];

    /// What a family makes a face of; none for one that makes none.
    pub fn of(family: &Family) -> Option<Self> {
        Some(match family.kind {
            Kind::Silicone if family.id.starts_with("SI-PT") => Self::Platinum,
            Kind::Silicone => Self::Tin,
            Kind::Polyurethane if family.id == "PU-R" => Self::Urethane,
            Kind::Latex => Self::Latex,
            Kind::Polyester | Kind::Epoxy => Self::Laminate,
            Kind::Gypsum => Self::Plaster,
            _ => return None,
        })
    }
}

/// The row of the table that a family is as a casting material.
pub fn casting_row(family: &Family) -> Option<&'static str> {
    Some(match family.kind {
        Kind::Gypsum => "gypsum",
        Kind::Polyester => "polyester",
        Kind::Epoxy => "epoxy",
        Kind::Polyurethane if family.id == "PU-FC" => "fast-cast",
        _ => return None,
    })
}
