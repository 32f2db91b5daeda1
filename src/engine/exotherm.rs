//! The heat that a pot or a thick pour makes for itself.
//!
//! A cup is not a film: what it can't shed warms it, and warmth makes it react
//! faster, until it goes off. Here is a heat balance with autocatalytic cure
//! that gives pot life and peak temperature for a vessel or a slab. What it
//! gives is a caution and never a permission.
//!
//! Sources: rate `da/dt = (k1 + k2 a^m)(1 - a)^n` (Kamal and Sourour, Polym.
//! Eng. Sci. 13:59, 1973, from memory); each k by Arrhenius from its value at a
//! reference temperature; heat `cp dT/dt = share H da/dt - losses`.
//!
//! What it leaves out, so that nobody takes it for more: a cup is one
//! temperature throughout (its core is hotter than that, and the more so the
//! larger it is: above about half a kilogram loss and conduction are of one
//! order, Biot number `h V / (A k)` near 1); the reaction does not stop short in
//! the glassy state; there is no boiling, no scorching, no inhibitor that is
//! used up first; vessel and form are not warmed, so that a layer thinner than
//! about 5 mm on a heavy form is shown too hot. In a thick pour that goes off at
//! one spot first, a front runs through and gets hotter than the mesh can show.

use super::quantity::{
    Celsius, Grams, GramsPerMillilitre, JoulesPerGram, JoulesPerGramKelvin, KilojoulesPerMole,
    Millimetres, Minutes, PerMinute, WattsPerMetreKelvin, WattsPerSquareMetreKelvin,
};
use crate::engine::maths::Maths;
use std::f64::consts::PI;
use std::fmt;

mod batch;
mod solve;

pub use batch::{MassPoint, calibrated, largest_cup, pot_life_against_mass};
use solve::{Body, Rates};

/// A cure and the heat of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reaction {
    /// Temperature at which the two rates hold.
    pub reference: Celsius,
    /// Rate without any product yet; more than 0, or nothing ever starts.
    pub k1: PerMinute,
    /// Rate that the product adds; 0 for a cure that does not speed itself up.
    pub k2: PerMinute,
    /// Activation energy of the first rate, 0 to 200 kJ/mol.
    pub energy1: KilojoulesPerMole,
    /// Activation energy of the second rate, 0 to 200 kJ/mol.
    pub energy2: KilojoulesPerMole,
    /// Power of what has reacted, 0 to 5.
    pub m: f64,
    /// Power of what is left, 1 to 5: with less than 1 it would end at a stroke,
    /// which no resin does and no step of the solver meets.
    pub n: f64,
    /// Heat of the whole reaction per gram of what reacts, 0 to 2000 J/g.
    pub heat: JoulesPerGram,
    /// Share reacted at which it no longer flows, above 0 and below 1.
    pub gel_conversion: f64,
}

/// What is in the vessel, as far as heat goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contents {
    /// Density of the mix, fillers included.
    pub density: GramsPerMillilitre,
    /// Specific heat of the mix, fillers included.
    pub specific_heat: JoulesPerGramKelvin,
    /// Conductivity of the mix; a cup does not ask for it.
    pub conductivity: WattsPerMetreKelvin,
    /// Share of the mass that reacts: 1 when there is no filler or glass.
    pub reacting: f64,
}

/// What the mix stands in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Vessel {
    /// A plastic tub, filled as deep as it is wide.
    Tub,
    /// A bright metal tin, filled as deep as it is wide.
    Tin,
    /// A wide tray, filled 15 mm deep.
    Tray,
}

/// Heat given off by a free, level or upright, surface: about 5 W/(m² K) by
/// radiation (Stefan-Boltzmann law, emissivity 0.9, near 20 °C) and about as much by
/// still air (natural convection, 3 to 6 W/(m² K), handbooks, from memory).
pub const OPEN_SURFACE: WattsPerSquareMetreKelvin = WattsPerSquareMetreKelvin(10.0);
/// Heat given off through a plastic wall: a free surface behind a millimetre or
/// two of plastic (from memory).
const PLASTIC_WALL: f64 = 9.0;
/// Heat given off by bright metal, which hardly radiates (from memory).
const METAL_WALL: f64 = 5.0;
/// Heat given off to a wooden bench (from memory).
const BENCH: f64 = 4.0;
/// Heat given off to a thick form of plaster or rubber, as it is after about twenty
/// minutes: `e / sqrt(pi t)` into a deep solid (Carslaw and Jaeger, from memory)
/// with `e = sqrt(conductivity x density x specific heat)` about 600 W s^0.5/(m² K)
/// (from memory). Sooner it is more, into damp clay or metal far more, into foam
/// less.
pub const ON_A_FORM: WattsPerSquareMetreKelvin = WattsPerSquareMetreKelvin(10.0);
/// Depth in a tray, in millimetres.
const TRAY_DEPTH: f64 = 15.0;

/// A batch in a vessel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cup {
    /// Mass of the batch, at most a tonne.
    pub mass: Grams,
    /// What it is.
    pub contents: Contents,
    /// What it stands in.
    pub vessel: Vessel,
}

/// A layer so wide that its edges don't matter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slab {
    /// Thickness, 0.1 mm to 1 m.
    pub thickness: Millimetres,
    /// What it is.
    pub contents: Contents,
    /// Heat given off by the side to the air; [`OPEN_SURFACE`] unless known
    /// better. Infinite holds the face at the temperature around it.
    pub open: WattsPerSquareMetreKelvin,
    /// Heat given off by the side on the form; [`ON_A_FORM`] unless known better.
    pub form: WattsPerSquareMetreKelvin,
}

/// The circumstances of a run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Conditions {
    /// Temperature of the mix at time 0.
    pub start: Celsius,
    /// Temperature around it, the form's included.
    pub air: Celsius,
    /// How many times faster than the reaction as given: the catalyst's factor,
    /// 0 to 1000.
    pub speed: f64,
}

/// One point of the course of a run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moment {
    /// Time since the start.
    pub at: Minutes,
    /// Temperature: of a slab, in the middle.
    pub temperature: Celsius,
    /// Share reacted, 0 to 1: of a slab, in the middle.
    pub conversion: f64,
}

/// What a run did.
#[derive(Clone, Debug, PartialEq)]
pub struct Exotherm {
    /// When it gelled: of a slab, right through. None when not within 48 hours.
    pub gel: Option<Moment>,
    /// The highest temperature anywhere in it.
    pub peak: Celsius,
    /// When it was that hot.
    pub peak_at: Minutes,
    /// The course from the start until it has cooled, or for 48 hours: at most
    /// 60 points, close where much happens.
    pub course: Vec<Moment>,
}

/// Why there is no run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoExotherm {
    /// A figure of the reaction is out of its range.
    Reaction,
    /// A figure of the contents is out of its range.
    Contents,
    /// The mass or the thickness is out of its range.
    Size,
    /// A temperature or the speed is out of its range.
    Conditions,
    /// The wanted pot life is not above zero or can't be had.
    PotLife,
    /// The balance could not be solved in the steps allowed.
    Unsolved,
}

impl fmt::Display for NoExotherm {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Reaction => {
                "The figures of this cure give no heat balance. Go by the tin's data sheet."
            }
            Self::Contents => {
                "Density or specific heat can't be right. Check the figures of the mix."
            }
            Self::Size => "This mass or thickness can't be worked out. Check it.",
            Self::Conditions => {
                "A temperature here is outside -20 to 150 °C, or the catalyst level can't be \
                 right. Check them."
            }
            Self::PotLife => {
                "This pot life does not fit the material. Check it on the tin's data sheet."
            }
            Self::Unsolved => {
                "The heat of this batch could not be worked out. Go by the tin's data sheet and \
                 mix little."
            }
        })
    }
}

fn within(x: f64, low: f64, high: f64) -> bool {
    (low..=high).contains(&x)
}

impl Reaction {
    fn check(&self) -> Result<(), NoExotherm> {
        let fine = within(self.k1.value(), 0.0, 1e4)
            && within(self.k2.value(), 0.0, 1e4)
            && within(self.reference.value(), -20.0, 250.0)
            && within(self.energy1.value(), 0.0, 200.0)
            && within(self.energy2.value(), 0.0, 200.0)
            && within(self.m, 0.0, 5.0)
            && within(self.n, 1.0, 5.0)
            && within(self.heat.value(), 0.0, 2000.0)
            && within(self.gel_conversion, 1e-6, 1.0 - 1e-6);
        if fine { Ok(()) } else { Err(NoExotherm::Reaction) }
    }
}

impl Contents {
    fn check(&self) -> Result<(), NoExotherm> {
        let fine = within(self.density.value(), 0.05, 20.0)
            && within(self.specific_heat.value(), 0.1, 10.0)
            && within(self.conductivity.value(), 0.005, 500.0)
            && within(self.reacting, 0.0, 1.0);
        if fine { Ok(()) } else { Err(NoExotherm::Contents) }
    }

    /// Kelvins that it would warm by if it reacted at once and lost nothing.
    fn rise(&self, reaction: &Reaction) -> f64 {
        self.reacting * reaction.heat.value() / self.specific_heat.value()
    }
}

impl Conditions {
    fn check(&self) -> Result<(), NoExotherm> {
        let fine = within(self.start.value(), -20.0, 150.0)
            && within(self.air.value(), -20.0, 150.0)
            && within(self.speed, 0.0, 1000.0);
        if fine { Ok(()) } else { Err(NoExotherm::Conditions) }
    }
}

impl Cup {
    /// Share of the difference from the air that is lost in each second.
    fn loss(&self) -> f64 {
        // Metres and cubic metres from here on.
        let volume = (self.mass / self.contents.density).value() * 1e-6;
        let (wall, base, depth) = match self.vessel {
            Vessel::Tub => (PLASTIC_WALL, BENCH, None),
            Vessel::Tin => (METAL_WALL, BENCH, None),
            Vessel::Tray => (PLASTIC_WALL, BENCH, Some(TRAY_DEPTH / 1000.0)),
        };
        let depth = depth.unwrap_or_else(|| (4.0 * volume / PI).cube_root());
        let area = volume / depth;
        let around = 2.0 * (PI * area).sqrt() * depth;
        let watts_per_kelvin = area * (OPEN_SURFACE.value() + base) + around * wall;
        watts_per_kelvin / (self.mass.value() * self.contents.specific_heat.value())
    }

    fn body(&self, reaction: &Reaction) -> Result<Body, NoExotherm> {
        self.contents.check()?;
        if !within(self.mass.value(), 0.01, 1e6) {
            return Err(NoExotherm::Size);
        }
        let loss = self.loss();
        Ok(Body { cells: 1, link: 0.0, first: loss, last: 0.0, rise: self.contents.rise(reaction) })
    }
}

impl Slab {
    /// Cut into an odd number of cells, so that one is in the middle: about a
    /// millimetre each, and not more than [`solve::MOST_CELLS`].
    fn body(&self, reaction: &Reaction) -> Result<Body, NoExotherm> {
        self.contents.check()?;
        let thickness = self.thickness.value();
        let sides = self.open.value() >= 0.0 && self.form.value() >= 0.0;
        if !within(thickness, 0.1, 1000.0) || !sides {
            return Err(NoExotherm::Size);
        }
        let half = ((thickness / 2.0) as usize).clamp(2, solve::MOST_CELLS / 2);
        let cells = 2 * half + 1;
        let width = thickness / 1000.0 / cells as f64;
        let conductivity = self.contents.conductivity.value();
        // J/(m² K) of one cell; a millilitre holds a millionth of a cubic metre.
        let held =
            self.contents.density.value() * 1e6 * self.contents.specific_heat.value() * width;
        // From the middle of the outermost cell: half a cell, then the surface.
        let side = |surface: WattsPerSquareMetreKelvin| {
            1.0 / (width / (2.0 * conductivity) + 1.0 / surface.value()) / held
        };
        Ok(Body {
            cells,
            link: conductivity / width / held,
            first: side(self.open),
            last: side(self.form),
            rise: self.contents.rise(reaction),
        })
    }
}

/// The run of a batch in a vessel.
///
/// # Errors
/// [`NoExotherm`] when a figure is out of the range that its field states.
pub fn cup(
    reaction: &Reaction,
    cup: &Cup,
    conditions: &Conditions,
) -> Result<Exotherm, NoExotherm> {
    reaction.check()?;
    conditions.check()?;
    let rates = Rates::new(reaction, conditions.speed);
    cup.body(reaction)?.run(&rates, conditions)
}

/// The run of a layer on a form.
///
/// # Errors
/// [`NoExotherm`] when a figure is out of the range that its field states.
pub fn slab(
    reaction: &Reaction,
    slab: &Slab,
    conditions: &Conditions,
) -> Result<Exotherm, NoExotherm> {
    reaction.check()?;
    conditions.check()?;
    let rates = Rates::new(reaction, conditions.speed);
    slab.body(reaction)?.run(&rates, conditions)
}

#[cfg(test)]
mod tests;
