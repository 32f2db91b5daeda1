//! The card in force: which numbers a cure runs on, and where they come from.
//!
//! Order of authority: the tin's own data sheet, then what the shop accepted to
//! have learned of the tin, before the family's starting value. Two numbers off
//! a sheet (a time and its temperature) make a card. A time that the sheet does
//! not give is scaled with those that it does, and is labelled so. Learning
//! never replaces the sheet's numbers: it says how this tin differs from them.

use crate::engine::cure::{Effect, Limits, MilestoneSpec, Phase};
use crate::engine::kinetics::{CatalystLaw, CatalystRange, MassLaw, TemperatureLaw};
use crate::engine::learning::Conditions;
use crate::engine::maths::Maths;
use crate::engine::mix::{ByVolume, Densities, MixError, by_weight};
use crate::engine::quantity::{
    Celsius, Grams, GramsPerMillilitre, Instant, Kelvins, Minutes, Money, Percent, Span,
};
use crate::trade::model::{self, Family, Figure, Mixing, Profile, Rules, Status, Unit};
use std::fmt;

use super::event::{Id, Material};
use super::learning::Learning;
use super::state::State;

/// A time as a data sheet states it.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetTime {
    /// Profile of the family.
    pub profile: String,
    /// Milestone of the profile.
    pub milestone: String,
    /// The stated time.
    pub time: Minutes,
    /// The stated temperature.
    pub temperature: Celsius,
    /// The stated catalyst level, if any.
    pub catalyst: Option<Percent>,
}

crate::stored_record!(SheetTime { profile, milestone, time, temperature, catalyst });

/// A two-part ratio by mass, as a data sheet states it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ratio {
    /// Parts of A.
    pub a: f64,
    /// Parts of B.
    pub b: f64,
}

crate::stored_record!(Ratio { a, b });

/// Densities of the two parts, as a data sheet states them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PartDensities {
    /// Of part A.
    pub a: GramsPerMillilitre,
    /// Of part B.
    pub b: GramsPerMillilitre,
}

crate::stored_record!(PartDensities { a, b });

/// A ratio that a sheet states by volume, as one by mass.
///
/// # Errors
/// [`MixError`] when a side of it or a density is not above 0.
pub fn ratio_by_volume(volume: Ratio, of: PartDensities) -> Result<Ratio, MixError> {
    let densities = Densities { a: of.a, b: of.b };
    let found = by_weight(ByVolume { a: volume.a, b: volume.b }, densities)?.result;
    Ok(Ratio { a: found.a, b: found.b })
}

/// A tin of the shop with what its own sheet says.
#[derive(Clone, Debug, PartialEq)]
pub struct TinCard {
    /// What the shop calls it.
    pub name: String,
    /// The generic family it belongs to.
    pub family: String,
    /// Batch number on the tin.
    pub batch: Option<String>,
    /// The tin that this one replaces: what was learned of it is a start.
    pub follows: Option<Id>,
    /// Times off the sheet.
    pub times: Vec<SheetTime>,
    /// Mixing ratio off the sheet.
    pub ratio: Option<Ratio>,
    /// Permitted error of the second part off the sheet, in per cent of itself.
    pub tolerance: Option<Percent>,
    /// Densities of the two parts off the sheet.
    pub densities: Option<PartDensities>,
}

crate::stored_record!(TinCard { name, family, batch, follows, times, ratio, tolerance, densities });

/// What there is of a tin. Counted in full tins of one size.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Stock {
    /// What a full tin holds (all its parts together).
    pub full: Option<Grams>,
    /// What is left, all tins of this batch together, when it was noted.
    pub left: Option<Grams>,
    /// Price of a full tin, in the shop's own money.
    pub price: Option<Money>,
}

crate::stored_record!(Stock { full, left, price });

/// Where a number comes from. Shown beside every computed time.
#[derive(Clone, Debug, PartialEq)]
pub enum Origin {
    /// Off the tin's own data sheet.
    Sheet {
        /// The tin.
        tin: String,
    },
    /// Scaled from another time of the same sheet.
    Scaled {
        /// The tin.
        tin: String,
    },
    /// Its card, as the shop learned that this tin differs from it.
    Learnt {
        /// The tin.
        tin: String,
        /// Findings that it was learned from.
        findings: u32,
    },
    /// The family's starting value.
    Family {
        /// Its status.
        status: Status,
    },
}

impl fmt::Display for Origin {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Sheet { tin } => write!(f, "{tin}: off its data sheet"),
            Self::Scaled { tin } => write!(f, "{tin}: scaled from its data sheet"),
            Self::Learnt { tin, findings: 1 } => write!(f, "{tin}: learned from 1 finding"),
            Self::Learnt { tin, findings } => {
                write!(f, "{tin}: learned from {findings} findings")
            }
            Self::Family { status } => write!(f, "family starting value, {}", status.words()),
        }
    }
}

/// Half width of an interval of 80 % in standard deviations of a normal.
const EIGHTY: f64 = 1.281_551_6;

/// What a cure's temperature is known by, for the width of its times.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seen {
    /// The temperature that it has and will have, in the mean.
    pub temperature: Celsius,
    /// Catalyst level over the reference level, where there is one.
    pub level_ratio: Option<f64>,
    /// When it was mixed.
    pub started: Instant,
    /// The last reading; none where the temperature is assumed.
    pub read: Option<Instant>,
    /// Whether somebody stated what comes after that.
    pub stated: bool,
}

impl Seen {
    /// Doubt about the mean temperature over a time from mixing on, as a
    /// standard deviation. Working rules: after the last reading a room strays
    /// by up to 1.5 K, little in the first hours and in full by the next day, by half of that where its course was stated;
    /// 3 K without any reading. What a workshop thermometer is off by counts
    /// already: a card's band allows for it, and what was learned was learned
    /// with it.
    fn doubt(&self, takes: Minutes) -> Kelvins {
        let Some(read) = self.read else { return Kelvins(3.0) };
        let ahead = (self.started + takes).since(read).max(Minutes(0.0)).min(takes);
        if !(takes > Minutes(0.0) && takes.is_finite()) {
            return Kelvins(0.0);
        }
        let stray = if self.stated { 0.75 } else { 1.5 };
        let hours = ahead / Minutes(360.0);
        Kelvins(stray * (1.0 - (-hours * hours).exponential()) * (ahead / takes))
    }
}

/// A milestone ready for the engine, with its origin.
#[derive(Clone, Debug, PartialEq)]
pub struct CardTime {
    /// The engine's form.
    pub spec: MilestoneSpec,
    /// Where the time comes from.
    pub origin: Origin,
}

/// The card of one clock of one material.
#[derive(Clone, Debug)]
pub struct Card {
    /// The family.
    pub family: &'static Family,
    /// The clock.
    pub profile: &'static Profile,
    /// The tin, when it is one of the shop's.
    pub tin: Option<TinCard>,
    /// What was learned of the tin and takes effect.
    pub learning: Option<Learning>,
    /// The law of temperature.
    pub law: TemperatureLaw,
    /// Temperatures outside which no time is given.
    pub limits: Limits,
    /// A time for each milestone of the profile, in its order.
    pub times: Vec<CardTime>,
}

/// Why there is no card.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoCard {
    /// The family is not in this build's table.
    UnknownFamily(String),
    /// The tin is not on this phone.
    UnknownTin,
    /// The family has no such clock.
    UnknownProfile(String),
    /// The family lacks a temperature, a factor or limits.
    Incomplete(String),
}

impl fmt::Display for NoCard {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::UnknownFamily(id) => {
                write!(f, "The material {id} is not known here. Update the app.")
            }
            Self::UnknownTin => write!(f, "This tin's card is not on this phone."),
            Self::UnknownProfile(id) => {
                write!(f, "There is no {id} clock for this material. Update the app.")
            }
            Self::Incomplete(id) => write!(f, "The card of {id} gives no time. Go by the sheet."),
        }
    }
}

/// The span of time of a figure.
pub fn minutes(figure: &Figure) -> Minutes {
    let per_unit = match figure.unit {
        Unit::Hour => 60.0,
        Unit::Day => 24.0 * 60.0,
        _ => 1.0,
    };
    Minutes(figure.likely * per_unit)
}

/// Half width of an interval as a share, from the table's constants.
fn band(rules: &Rules, id: &str, otherwise: f64) -> f64 {
    rules.constant(id).map_or(otherwise, |constant| constant.figure.likely / 100.0)
}

fn spread(time: Minutes, band: f64) -> Span<Minutes> {
    Span { low: time * (1.0 - band), likely: time, high: time * (1.0 + band) }
}

/// The family and tin that a material stands for.
///
/// # Errors
/// [`NoCard`] when either is not known here.
pub fn resolve(
    rules: &'static Rules,
    state: &State,
    material: &Material,
) -> Result<(&'static Family, Option<TinCard>), NoCard> {
    let (family, tin) = match material {
        Material::Family(id) => (id.clone(), None),
        Material::Tin(id) => {
            let tin = state.tins.get(id).ok_or(NoCard::UnknownTin)?;
            (tin.card.family.clone(), Some(tin.card.clone()))
        }
    };
    let family = rules.family(&family).ok_or(NoCard::UnknownFamily(family))?;
    Ok((family, tin))
}

impl Card {
    /// The card in force for one clock of a material.
    ///
    /// # Errors
    /// [`NoCard`] when the material or its clock is not known.
    pub fn in_force(
        rules: &'static Rules,
        state: &State,
        material: &Material,
        profile: &str,
    ) -> Result<Self, NoCard> {
        let (family, tin) = resolve(rules, state, material)?;
        let mut card = Self::build(rules, family, tin, profile)?;
        // A clock with a factor of its own does not cure as the rest does.
        if let Material::Tin(id) = material
            && card.profile.per_ten.is_none()
            && let Some(learning) = state.tins.get(id).and_then(|tin| tin.learning.clone())
        {
            card.law = learning.belief.law();
            card.learning = Some(learning);
        }
        Ok(card)
    }

    /// The times of one cure as the engine solves them: the card's, as far as
    /// learned, widened by how well its temperature is known.
    ///
    /// A card's band and what was learned are intervals of 80 %; the doubt about
    /// the temperature is added to them in quadrature, as logarithms of a time.
    pub fn milestones(&self, speed: f64, seen: &Seen) -> Vec<MilestoneSpec> {
        let learned = self.learning.as_ref().map(|learning| {
            let over = Conditions { temperature: seen.temperature, level_ratio: seen.level_ratio };
            learning.belief.reference_factor(over)
        });
        let half_kelvin = Kelvins(0.5);
        let (warmer, colder) = (seen.temperature + half_kelvin, seen.temperature - half_kelvin);
        let steepness = (self.law.rate(warmer) / self.law.rate(colder)).logarithm();
        let pace = speed * self.law.rate(seen.temperature);
        let widened = |spec: &MilestoneSpec| {
            let likely = spec.time.likely;
            let time = match learned {
                Some(factor) => factor.map(|factor| likely * factor),
                None => spec.time,
            };
            let doubt = seen.doubt(time.likely / pace).value() * steepness * EIGHTY;
            let wider =
                |end: Minutes| (end / time.likely).logarithm().abs().hypot(doubt).exponential();
            MilestoneSpec {
                time: Span {
                    low: time.likely / wider(time.low),
                    likely: time.likely,
                    high: time.likely * wider(time.high),
                },
                ..*spec
            }
        };
        self.times.iter().map(|time| widened(&time.spec)).collect()
    }

    /// The card of a family, with a tin's sheet over it.
    ///
    /// # Errors
    /// [`NoCard`] when the family has no such clock or lacks reference conditions.
    pub fn build(
        rules: &'static Rules,
        family: &'static Family,
        tin: Option<TinCard>,
        profile: &str,
    ) -> Result<Self, NoCard> {
        let profile =
            family.profile(profile).ok_or_else(|| NoCard::UnknownProfile(profile.to_owned()))?;
        let incomplete = || NoCard::Incomplete(family.title.clone());
        let reference = family.reference.as_ref().ok_or_else(incomplete)?;
        let factor = profile.per_ten.as_ref().or(family.per_ten.as_ref()).ok_or_else(incomplete)?;
        let limits = family.limits.as_ref().ok_or_else(incomplete)?;
        let law = TemperatureLaw::PerTen {
            factor: factor.likely,
            reference: Celsius(reference.temperature.likely),
        };
        let family_band = band(rules, "band-family", 0.30);
        let sheet_band = band(rules, "band-sheet", 0.20);
        let scale = tin.as_ref().and_then(|tin| sheet_scale(family, tin, &law));
        let times = profile
            .milestones
            .iter()
            .map(|milestone| {
                let stated = tin.as_ref().and_then(|tin| {
                    let time = tin
                        .times
                        .iter()
                        .find(|t| t.profile == profile.id && t.milestone == milestone.id)?;
                    Some((tin.name.clone(), at_reference(family, profile, time, &law)))
                });
                let (time, origin) = match (stated, &tin, scale) {
                    (Some((tin, time)), _, _) => (spread(time, sheet_band), Origin::Sheet { tin }),
                    (None, Some(tin), Some(scale)) => (
                        spread(minutes(&milestone.time) * scale, family_band),
                        Origin::Scaled { tin: tin.name.clone() },
                    ),
                    _ => (
                        spread(minutes(&milestone.time), family_band),
                        Origin::Family { status: milestone.time.status },
                    ),
                };
                let phase = match milestone.phase {
                    model::Phase::Wet => Phase::Wet,
                    model::Phase::Harden => Phase::Harden,
                };
                let effect = match milestone.effect {
                    model::Effect::FinishBy => Effect::FinishBy,
                    model::Effect::NotBefore => Effect::NotBefore,
                };
                CardTime {
                    spec: MilestoneSpec { time, phase, effect, firm: milestone.firm },
                    origin,
                }
            })
            .collect();
        let limits = Limits {
            wet_min: Celsius(limits.wet_min.likely),
            harden_min: Celsius(limits.harden_min.likely),
            max: Celsius(limits.max.likely),
        };
        Ok(Self { family, profile, tin, learning: None, law, limits, times })
    }

    /// How much faster than at reference this batch runs for its catalyst and mass.
    pub fn speed(&self, rules: &Rules, catalyst: Option<Percent>, mass: Option<Grams>) -> f64 {
        let mut speed = 1.0;
        if let (Some(law), Some(level)) = (self.catalyst_law(), catalyst)
            && level.value() > 0.0
        {
            speed *= law.rate(level);
        }
        if let (Some(reference), Some(mass)) = (&self.profile.mass, mass)
            && mass.value() > 0.0
        {
            speed /= mass_law(rules, grams(reference)).time_factor(mass);
        }
        speed
    }

    /// The peroxide law of this clock, with the exponent that was learned; none
    /// for a clock that catalyst does not move.
    pub fn catalyst_law(&self) -> Option<CatalystLaw> {
        let law = catalyst_law(self.family).filter(|_| self.profile.catalysed)?;
        Some(match &self.learning {
            Some(learning) => {
                CatalystLaw { exponent: learning.belief.exponent().likely.max(0.0), ..law }
            }
            None => law,
        })
    }

    /// A catalyst level over the reference level; none where there is none.
    pub fn level_ratio(&self, level: Option<Percent>) -> Option<f64> {
        Some(level? / self.catalyst_law()?.reference)
    }

    /// Half width of the card's times as a share, before anything was learned:
    /// the sheet's where it gives a time, else the family's.
    pub fn band(&self, rules: &Rules) -> f64 {
        match self.tin.as_ref().is_some_and(|tin| !tin.times.is_empty()) {
            true => band(rules, "band-sheet", 0.20),
            false => band(rules, "band-family", 0.30),
        }
    }

    /// Which of the origins this clock mostly stands on, for a one-line label.
    pub fn origin(&self) -> Origin {
        if let (Some(learning), Some(tin)) = (&self.learning, &self.tin) {
            return Origin::Learnt { tin: tin.name.clone(), findings: learning.findings };
        }
        self.times
            .iter()
            .map(|time| &time.origin)
            .find(|origin| !matches!(origin, Origin::Family { .. }))
            .or(self.times.first().map(|time| &time.origin))
            .cloned()
            .unwrap_or(Origin::Family { status: Status::FromMemory })
    }
}

/// The peroxide law of a family, if it has one.
pub fn catalyst_law(family: &Family) -> Option<CatalystLaw> {
    let catalyst = family.catalyst.as_ref()?;
    Some(CatalystLaw {
        reference: Percent(catalyst.level.likely),
        exponent: catalyst.exponent.likely,
    })
}

/// The bounds of a family's peroxide level, if it has one.
pub fn catalyst_range(family: &Family) -> Option<CatalystRange> {
    let catalyst = family.catalyst.as_ref()?;
    let level = &catalyst.level;
    Some(CatalystRange {
        low: Percent(level.low.unwrap_or(level.likely)),
        high: Percent(level.high.unwrap_or(level.likely)),
        warn_above: Percent(catalyst.warn_above.likely),
        block_above: Percent(catalyst.block_above.likely),
        block_below: Percent(catalyst.block_below.likely),
    })
}

/// The mass of a figure in g or kg.
pub fn grams(figure: &Figure) -> Grams {
    match figure.unit {
        Unit::Kilogram => Grams(figure.likely * 1000.0),
        _ => Grams(figure.likely),
    }
}

fn mass_law(rules: &Rules, reference: Grams) -> MassLaw {
    let value = |id: &str, otherwise: f64| {
        rules.constant(id).map_or(otherwise, |constant| constant.figure.likely)
    };
    MassLaw {
        reference,
        exponent: value("mass-exponent", -0.2),
        least: value("mass-clamp-low", 0.5),
        most: value("mass-clamp-high", 1.4),
    }
}

/// A sheet's time brought to the family's reference temperature and catalyst level.
fn at_reference(
    family: &Family,
    profile: &Profile,
    time: &SheetTime,
    law: &TemperatureLaw,
) -> Minutes {
    let mut rate = law.rate(time.temperature);
    if profile.catalysed
        && let (Some(catalyst), Some(level)) = (catalyst_law(family), time.catalyst)
        && level.value() > 0.0
    {
        rate *= catalyst.rate(level);
    }
    time.time * rate
}

/// How much slower than its family a tin is: the geometric mean over its stated times.
fn sheet_scale(family: &Family, tin: &TinCard, law: &TemperatureLaw) -> Option<f64> {
    let logs: Vec<f64> = tin
        .times
        .iter()
        .filter_map(|time| {
            let profile = family.profile(&time.profile)?;
            let milestone = profile.milestones.iter().find(|m| m.id == time.milestone)?;
            let ratio = at_reference(family, profile, time, law) / minutes(&milestone.time);
            (ratio.is_finite() && ratio > 0.0).then(|| ratio.logarithm())
        })
        .collect();
    if logs.is_empty() {
        return None;
    }
    Some((logs.iter().sum::<f64>() / logs.len() as f64).exponential())
}

/// Source of a figure that a tin's own sheet states.
pub const SHEET: &str = "the tin's own data sheet";

/// The family as this tin changes it: its own ratio and tolerance in place of
/// the family's.
///
/// Amounts and batch cards use this, so that what is off the sheet takes precedence.
pub fn with_tin_ratio(family: &Family, tin: Option<&TinCard>) -> Family {
    let mut family = family.clone();
    let Some(tin) = tin else { return family };
    let stated = |value: f64, unit: Unit| Figure {
        low: None,
        likely: value,
        high: None,
        unit,
        status: Status::FromMemory,
        source: Some(SHEET.into()),
    };
    if let Mixing::TwoPart { tolerance, .. } | Mixing::BySheet { tolerance, .. } =
        &mut family.mixing
        && let Some(own) = tin.tolerance
    {
        *tolerance = stated(own.value(), Unit::Percent);
    }
    if let Mixing::TwoPart { part_a, part_b, tolerance, .. }
    | Mixing::BySheet { part_a, part_b, tolerance } = &family.mixing
        && let Some(ratio) = tin.ratio
    {
        family.mixing = Mixing::TwoPart {
            part_a: part_a.clone(),
            part_b: part_b.clone(),
            a: stated(ratio.a, Unit::Factor),
            b: stated(ratio.b, Unit::Factor),
            tolerance: tolerance.clone(),
        };
    }
    family
}
