//! Bolts along a joint: what each carries, how many, how far apart.
//!
//! Metric strengths are those of ISO 898-1 (areas and ultimate loads read in a
//! copy of its table; the proof stresses of classes 4.6 and 5.8 from memory),
//! inch ones those of SAE J429 (read in a copy).
//!
//! The bolt is hardly ever what gives: a glass-fibre flange crushes under the
//! washer or tears at its holes long before even a soft M6. So the load for a
//! bolt is a bound from above, and wide washers and close spacing count for
//! more than a better bolt.

use super::{Newtons, not_negative, positive};
use crate::engine::quantity::{Millimetres, Percent};
use crate::engine::takeoff::{KilogramsForce, Quantity, Run, Sum, TakeoffError, Worked, bolts};

/// The caution to be shown wherever a load on a bolt is.
pub const FLANGE_CAUTION: &str = "This is about the bolt alone. A glass-fibre flange crushes or \
    tears at its holes long before the bolt does: use wide washers, and more bolts rather than \
    stronger ones.";

/// The most bolts that a joint may have; beyond it an entry is mistaken.
const MOST_BOLTS: f64 = 10_000.0;

/// A pound-force per square inch in megapascals (NIST SP 811).
const PSI: f64 = 0.006_894_757;

/// A square inch in square millimetres (exact).
const SQUARE_INCH: f64 = 645.16;

/// A bolt's thread: metric coarse, or inch coarse (UNC).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Thread {
    /// M4.
    M4,
    /// M5.
    M5,
    /// M6, the usual one on a jacket.
    M6,
    /// M8.
    M8,
    /// M10.
    M10,
    /// 1/4 inch, 20 to the inch.
    Quarter,
    /// 5/16 inch, 18 to the inch.
    FiveSixteenths,
    /// 3/8 inch, 16 to the inch.
    ThreeEighths,
}

impl Thread {
    /// All, to choose from.
    pub const ALL: [Self; 8] = [
        Self::M4,
        Self::M5,
        Self::M6,
        Self::M8,
        Self::M10,
        Self::Quarter,
        Self::FiveSixteenths,
        Self::ThreeEighths,
    ];

    /// Its name as sold.
    pub const fn name(self) -> &'static str {
        match self {
            Self::M4 => "M4",
            Self::M5 => "M5",
            Self::M6 => "M6",
            Self::M8 => "M8",
            Self::M10 => "M10",
            Self::Quarter => "1/4 in",
            Self::FiveSixteenths => "5/16 in",
            Self::ThreeEighths => "3/8 in",
        }
    }

    /// Nominal stress area in mm²: ISO 898-1; inch threads from the clamping
    /// forces that go with SAE J429.
    const fn stress_area(self) -> f64 {
        match self {
            Self::M4 => 8.78,
            Self::M5 => 14.2,
            Self::M6 => 20.1,
            Self::M8 => 36.6,
            Self::M10 => 58.0,
            Self::Quarter => 0.0318 * SQUARE_INCH,
            Self::FiveSixteenths => 0.0524 * SQUARE_INCH,
            Self::ThreeEighths => 0.0775 * SQUARE_INCH,
        }
    }
}

/// How strong a bolt is, as marked on its head. Take an unmarked metric bolt
/// as class 4.6 and an unmarked inch one as grade 2.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Grade {
    /// Class 4.6.
    Class46,
    /// Class 4.8.
    Class48,
    /// Class 5.8.
    Class58,
    /// Class 8.8.
    Class88,
    /// Class 10.9.
    Class109,
    /// Class 12.9.
    Class129,
    /// Inch grade 2.
    Grade2,
    /// Inch grade 5.
    Grade5,
    /// Inch grade 8.
    Grade8,
}

impl Grade {
    /// All, to choose from.
    pub const ALL: [Self; 9] = [
        Self::Class46,
        Self::Class48,
        Self::Class58,
        Self::Class88,
        Self::Class109,
        Self::Class129,
        Self::Grade2,
        Self::Grade5,
        Self::Grade8,
    ];

    /// Its name as marked.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Class46 => "4.6",
            Self::Class48 => "4.8",
            Self::Class58 => "5.8",
            Self::Class88 => "8.8",
            Self::Class109 => "10.9",
            Self::Class129 => "12.9",
            Self::Grade2 => "grade 2",
            Self::Grade5 => "grade 5",
            Self::Grade8 => "grade 8",
        }
    }

    /// Proof stress and minimum tensile strength in MPa.
    const fn stresses(self) -> (f64, f64) {
        match self {
            Self::Class46 => (225.0, 400.0),
            Self::Class48 => (310.0, 420.0),
            Self::Class58 => (380.0, 520.0),
            Self::Class88 => (580.0, 800.0),
            Self::Class109 => (830.0, 1040.0),
            Self::Class129 => (970.0, 1220.0),
            Self::Grade2 => (55_000.0 * PSI, 74_000.0 * PSI),
            Self::Grade5 => (85_000.0 * PSI, 120_000.0 * PSI),
            Self::Grade8 => (120_000.0 * PSI, 150_000.0 * PSI),
        }
    }
}

/// A bolt.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bolt {
    /// Its thread.
    pub thread: Thread,
    /// Its strength.
    pub grade: Grade,
}

impl Bolt {
    /// The load that it must bear without stretching for good.
    pub fn proof(self) -> Newtons {
        Newtons(self.grade.stresses().0 * self.thread.stress_area())
    }

    /// The load below which it must not break.
    pub fn ultimate(self) -> Newtons {
        Newtons(self.grade.stresses().1 * self.thread.stress_area())
    }

    /// What a joint may ask of it: its proof load over a safety factor. See
    /// [`FLANGE_CAUTION`] for what this leaves out.
    ///
    /// # Errors
    /// [`TakeoffError`] when the factor is not above 0.
    pub fn allowable(self, safety: f64) -> Result<Newtons, TakeoffError> {
        positive("The safety factor", safety)?;
        Ok(Newtons(self.proof().value() / safety))
    }
}

/// What a bolt carries.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BoltLoad {
    /// The load on the bolt that carries the most.
    pub each: KilogramsForce,
    /// What may be asked of the bolt itself.
    pub allowable: KilogramsForce,
    /// The one as a share of the other.
    pub used: Percent,
    /// Whether the bolt itself is asked too much. When it isn't, the flange
    /// may be: see [`FLANGE_CAUTION`].
    pub over: bool,
}

/// The load on each of `count` bolts that share a force, against what may be
/// asked of them. `peak` is [`super::Thrust::peak`] where the force grows with
/// the depth, and 1 where all carry alike, as under a lift.
///
/// # Errors
/// [`TakeoffError`] when the force is below 0, the peak below 1, or another
/// value not above 0.
pub fn bolt_load(
    force: KilogramsForce,
    peak: f64,
    count: u32,
    bolt: Bolt,
    safety: f64,
) -> Result<Worked<BoltLoad>, TakeoffError> {
    not_negative("The force", force.value())?;
    not_negative("What the lowest bolts carry more", peak - 1.0)?;
    positive("The number of bolts", f64::from(count))?;
    let allowable = bolt.allowable(safety)?.kilograms();
    let each = KilogramsForce(force.value() * peak / f64::from(count));
    let used = Percent(each.value() / allowable.value() * 100.0);
    let bolt_name = format!("{} {} bears, over its safety", bolt.thread.name(), bolt.grade.name());
    let sum = Sum::default()
        .with("Force on the joint", Quantity::Force(force))
        .with("The lowest carry, of the mean", Quantity::Factor(peak))
        .with("Bolts", Quantity::Count(count))
        .with("Each carries, at most", Quantity::Force(each))
        .with("Safety factor", Quantity::Factor(safety))
        .with(bolt_name, Quantity::Force(allowable))
        .with("That is, of the bolt alone", Quantity::Percent(used));
    Ok(Worked { result: BoltLoad { each, allowable, used, over: used.value() > 100.0 }, sum })
}

/// A joint to be bolted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Joint {
    /// The force that opens it.
    pub force: KilogramsForce,
    /// By how much more the lowest bolts carry: see [`bolt_load`].
    pub peak: f64,
    /// Length of the flange.
    pub length: Millimetres,
    /// How the flange runs.
    pub run: Run,
    /// The widest spacing that keeps the flange shut.
    pub spacing: Millimetres,
    /// More bolts near corners, ends and spouts. They are not counted on for
    /// the load.
    pub extra: u32,
}

/// The bolts of a joint.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bolting {
    /// How many, additional ones included.
    pub count: u32,
    /// How far apart the even ones stand.
    pub spacing: Millimetres,
    /// Whether the load asks for more than the spacing does.
    pub by_load: bool,
    /// What each carries.
    pub load: BoltLoad,
}

/// Number and spacing of bolts along a joint: as many as the widest spacing
/// asks for (K-BOLT), or more where the bolts themselves need it.
///
/// # Errors
/// [`TakeoffError`] as for [`bolt_load`] and [`bolts`].
pub fn bolting(joint: &Joint, bolt: Bolt, safety: f64) -> Result<Worked<Bolting>, TakeoffError> {
    let spaced = bolts(joint.length, joint.spacing, joint.run, 0)?;
    let one = bolt_load(joint.force, joint.peak, 1, bolt, safety)?.result;
    let needed = (one.used.value() / 100.0 - 1e-9).ceil();
    if needed > MOST_BOLTS {
        return Err(TakeoffError::TooMany { what: "bolts" });
    }
    let by_load = needed > f64::from(spaced.result);
    let even = if by_load { needed as u32 } else { spaced.result };
    let gaps = match joint.run {
        Run::ClosedLoop => even,
        Run::Open => even - 1,
    };
    let spacing = joint.length / f64::from(gaps);
    let load = bolt_load(joint.force, joint.peak, even, bolt, safety)?;
    let count = even.saturating_add(joint.extra);
    let sum = spaced
        .sum
        .then(load.sum)
        .with("Spacing of the bolts", Quantity::Length(spacing))
        .with("Bolts with those at corners, ends and spout", Quantity::Count(count));
    Ok(Worked { result: Bolting { count, spacing, by_load, load: load.result }, sum })
}
