//! Pour and hold: what a liquid does to the mould that it is poured into.
//!
//! A closed mould is opened by its flanges and lifted off its board by nothing
//! but the height of the liquid, and it lets go when both hands hold a bucket.
//! So the forces are worked out before the pour: on the flanges, on a core, on
//! the whole jacket, on each bolt; and the time that the pour takes.
//!
//! Figures here are for planning. None of them says that a mould will hold: a
//! glass-fibre flange crushes or tears at its holes long before a steel bolt
//! does, and nothing here computes the flange.

mod bolts;
#[cfg(test)]
mod laws;
mod time;

pub use bolts::{
    Bolt, BoltLoad, Bolting, FLANGE_CAUTION, Grade, Joint, Thread, bolt_load, bolting,
};
pub use time::{Pour, PourTime, Seam, pour_time, seam};

use super::quantity::{
    Grams, GramsPerMillilitre, Kilopascals, Millilitres, Millimetres, SquareMetres,
};
use super::takeoff::{
    Float, KilogramsForce, Quantity, Sum, TakeoffError, Worked, not_negative, positive, uplift,
};

/// Standard gravity in m/s² (CGPM 1901, exact), which also defines the kgf.
const GRAVITY: f64 = 9.80665;

/// A force in newtons, as the standards for bolts state it.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Newtons(pub f64);

impl Newtons {
    /// The unit's symbol as printed after a number.
    pub const SYMBOL: &'static str = "N";

    /// The bare number of newtons.
    pub const fn value(self) -> f64 {
        self.0
    }

    /// The same force in kilograms-force, exactly 9.80665 N each.
    pub fn kilograms(self) -> KilogramsForce {
        KilogramsForce(self.0 / GRAVITY)
    }
}

impl From<KilogramsForce> for Newtons {
    fn from(force: KilogramsForce) -> Self {
        Self(force.value() * GRAVITY)
    }
}

/// Pressure at a depth below the level: density x gravity x depth. With a
/// spout or riser, the level is that of the liquid in it.
///
/// # Errors
/// [`TakeoffError`] when the depth is below 0 or the density not above 0.
pub fn head_pressure(
    depth: Millimetres,
    density: GramsPerMillilitre,
) -> Result<Worked<Kilopascals>, TakeoffError> {
    not_negative("The depth", depth.value())?;
    positive("The density", density.value())?;
    let pressure = Kilopascals(density.value() * GRAVITY * depth.value() / 1000.0);
    let sum = Sum::default()
        .with("Depth below the level", Quantity::Length(depth))
        .with("Density of the liquid", Quantity::Density(density))
        .with("Pressure there", Quantity::Pressure(pressure));
    Ok(Worked { result: pressure, sum })
}

/// The upright outline of the liquid as the joint sees it: what is inside the
/// flanges, looking square at them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Outline {
    /// A panel with level edges.
    Rectangle {
        /// Its width.
        width: Millimetres,
        /// Its height.
        height: Millimetres,
    },
    /// An ellipse; a circle when width and height are equal.
    Ellipse {
        /// Its width.
        width: Millimetres,
        /// Its height.
        height: Millimetres,
    },
    /// An area off a scan or a weighed paper pattern. Its force is exact when
    /// the depth of its middle is that of its centroid; where it acts is taken
    /// as for an ellipse of that height.
    Seen {
        /// Its area.
        area: SquareMetres,
        /// Its height.
        height: Millimetres,
    },
}

impl Outline {
    fn height(self) -> Millimetres {
        match self {
            Self::Rectangle { height, .. }
            | Self::Ellipse { height, .. }
            | Self::Seen { height, .. } => height,
        }
    }

    fn area(self) -> SquareMetres {
        let box_of = |width: Millimetres, height: Millimetres| {
            SquareMetres(width.value() * height.value() / 1e6)
        };
        match self {
            Self::Rectangle { width, height } => box_of(width, height),
            Self::Ellipse { width, height } => box_of(width, height) * std::f64::consts::FRAC_PI_4,
            Self::Seen { area, .. } => area,
        }
    }

    /// The second moment of area about its middle, over area and height².
    fn gyration(self) -> f64 {
        match self {
            Self::Rectangle { .. } => 1.0 / 12.0,
            Self::Ellipse { .. } | Self::Seen { .. } => 1.0 / 16.0,
        }
    }
}

/// A sideways force of a liquid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Thrust {
    /// The force.
    pub force: KilogramsForce,
    /// How deep below the level it acts.
    pub depth: Millimetres,
    /// Pressure at the lowest edge over the mean, from 1 to 2: by how much
    /// more the lowest bolts carry than the others.
    pub peak: f64,
}

/// The force that opens a joint or pushes out a wall: pressure at the middle of
/// the outline x its area, whatever the form behind it. It acts at
/// y + k h² / y below the level, k being the outline's second moment of area
/// (1/12 for a rectangle, 1/16 for an ellipse; handbook hydrostatics).
///
/// `middle` is the depth of the outline's middle below the level.
///
/// # Errors
/// [`TakeoffError`] when a size or the density is not above 0, or the outline
/// stands out above the level.
pub fn opening_force(
    outline: Outline,
    middle: Millimetres,
    density: GramsPerMillilitre,
) -> Result<Worked<Thrust>, TakeoffError> {
    let (area, height) = (outline.area(), outline.height().value());
    positive("The height", height)?;
    positive("The area", area.value())?;
    // A hair's breadth lets an outline end just at the level.
    let top = middle.value() - height / 2.0;
    not_negative("The depth of the top edge", if top.abs() < 1e-6 { 0.0 } else { top })?;
    let mean = head_pressure(middle, density)?;
    let force = Newtons(mean.result.value() * 1000.0 * area.value()).kilograms();
    let depth = Millimetres(middle.value() + outline.gyration() * height * height / middle.value());
    let peak = 1.0 + height / 2.0 / middle.value();
    let sum = mean
        .sum
        .with("Area inside the flanges", Quantity::Area(area))
        .with("Opening force", Quantity::Force(force))
        .with("It acts this far below the level", Quantity::Length(depth))
        .with("The lowest edge carries, of the mean", Quantity::Factor(peak));
    Ok(Worked { result: Thrust { force, depth, peak }, sum })
}

/// A jacket that is filled on its board.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Jacket {
    /// Level of the liquid above the board, riser included.
    pub level: Millimetres,
    /// Area on the board that the liquid reaches, seen from above.
    pub area: SquareMetres,
    /// All that the jacket encloses up to the level, riser and core included;
    /// 0 when unknown, which gives the most that any shape can have.
    pub held: Millilitres,
    /// Weight of the jacket.
    pub weight: Grams,
    /// A core or object that liquid may get under.
    pub core: Option<Float>,
}

/// What must be held down before a pour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hold {
    /// Pressure at the board.
    pub pressure: Kilopascals,
    /// How the liquid lifts the jacket.
    pub lift: KilogramsForce,
    /// That less the jacket's weight, 0 when it is heavier.
    pub net: KilogramsForce,
    /// How the core wants to float, 0 when it doesn't.
    pub float: KilogramsForce,
    /// Mass to lay on the jacket: its lift with the safety factor, less what it
    /// weighs.
    pub jacket: Grams,
    /// Mass to hold the core with, with the safety factor.
    pub core: Grams,
}

/// Lift of a liquid under a jacket and its core. The vertical push on any
/// shape is density x (area x level - what it encloses), the weight of the
/// liquid that is missing above it (handbook hydrostatics); a core floats with
/// the weight that it displaces (Archimedes).
///
/// A jacket that gets wider upwards is pressed down instead: its lift is 0.
///
/// The factor is on the lift itself, and not on what the jacket's weight leaves
/// of it: a level a little too high would soon eat up a share of the rest.
///
/// # Errors
/// [`TakeoffError`] when the density or `safety` is not above 0, or another
/// value is below 0.
pub fn hold(
    jacket: &Jacket,
    density: GramsPerMillilitre,
    safety: f64,
) -> Result<Worked<Hold>, TakeoffError> {
    not_negative("What the jacket holds", jacket.held.value())?;
    not_negative("The weight of the jacket", jacket.weight.value())?;
    let most = uplift(jacket.level, density, jacket.area, jacket.core, safety)?;
    let (pressure, float) = (most.result.pressure, most.result.float);
    let inside = (density * jacket.held).value() / 1000.0;
    let lift = KilogramsForce((most.result.force.value() - inside).max(0.0));
    let weight = jacket.weight.value() / 1000.0;
    let net = KilogramsForce((lift.value() - weight).max(0.0));
    // A kilogram weighs one kilogram-force under standard gravity.
    let mass = |force: KilogramsForce| Grams(force.value() * safety * 1000.0);
    let laid = Grams((mass(lift) - jacket.weight).value().max(0.0));
    let result = Hold { pressure, lift, net, float, jacket: laid, core: mass(float) };
    let mut sum = Sum::default()
        .with("Level above the board", Quantity::Length(jacket.level))
        .with("Density of the liquid", Quantity::Density(density))
        .with("Pressure at the board", Quantity::Pressure(pressure))
        .with("Area seen from above", Quantity::Area(jacket.area))
        .with("Enclosed up to the level", Quantity::Volume(jacket.held))
        .with("Lift under the jacket", Quantity::Force(lift))
        .with("Weight of the jacket", Quantity::Mass(jacket.weight))
        .with("Left to hold", Quantity::Force(net))
        .with("Held down against this times the lift", Quantity::Factor(safety))
        .with("Lay on the jacket, its own weight taken off", Quantity::Mass(result.jacket));
    if jacket.core.is_some() {
        sum = sum
            .with("The core floats with", Quantity::Force(float))
            .with("Hold the core with", Quantity::Mass(result.core));
    }
    Ok(Worked { result, sum })
}
