//! How much may be mixed at once, and how hot a pot gets: the effect of mass.
//!
//! Where the family's heat is known well enough, by the heat balance of
//! [`crate::engine::exotherm`], made as fast as the card's own pot life; else by
//! the trade's simple rule of mass, labelled so. Either is a caution, and never
//! a permission: the tin's data sheet may allow less.

pub use crate::engine::exotherm::Vessel;
use crate::engine::exotherm::{
    Conditions, Contents, Cup, NoExotherm, ON_A_FORM, OPEN_SURFACE, Reaction, Slab, calibrated,
    cup, pot_life_against_mass, slab,
};
use crate::engine::maths::Maths;
use crate::engine::mix::GramsPerMinute;
use crate::engine::quantity::{
    Celsius, Grams, GramsPerMillilitre, JoulesPerGram, JoulesPerGramKelvin, KilojoulesPerMole,
    Millimetres, Minutes, PerMinute, Percent, Span, WattsPerMetreKelvin,
};
use crate::trade::model::{Family, Heat, Rules};
use std::fmt;

use super::card::{Card, grams};

/// Above this a pot smokes and splits its tub: what is mixed should be used up
/// or spread out long before (common practice).
pub const HOT: Celsius = Celsius(100.0);

/// Masses of the picture, and how many points.
const FROM: Grams = Grams(50.0);
const TO: Grams = Grams(5000.0);
const POINTS: usize = 13;

/// What pot lives against mass stand on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum By {
    /// The heat balance.
    HeatBalance,
    /// The simple rule of mass.
    SimpleRule,
}

impl fmt::Display for By {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::HeatBalance => {
                "By a heat balance as fast as the card's pot life. It takes the tub as one \
                 temperature throughout, its middle is hotter, and its figures are family values, \
                 some from memory. A caution, never a permission: the data sheet rules."
            }
            Self::SimpleRule => {
                "By the simple rule of mass, not measured for this family. A caution, never a \
                 permission: the data sheet rules."
            }
        })
    }
}

/// Pot life, and peak where known, of a mass.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pot {
    /// The mass.
    pub mass: Grams,
    /// Its pot life: short end, likely, long end.
    pub life: Span<Minutes>,
    /// The hottest that it gets when it is left in the tub.
    pub peak: Option<Celsius>,
}

/// Pot life against mass.
#[derive(Clone, Debug, PartialEq)]
pub struct MassEffect {
    /// What it stands on.
    pub by: By,
    /// Pots of rising mass.
    pub pots: Vec<Pot>,
    /// The pot asked for.
    pub chosen: Option<Pot>,
    /// The largest tub that is used up within its pot life, by the short end of
    /// it; none when even a small one is not, or where nobody knows how fast it
    /// is used.
    pub largest: Option<Grams>,
}

/// What is mixed and how it will be used.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Use {
    /// Temperature of the tub and of the air around it.
    pub at: Celsius,
    /// Catalyst level, for families cured by peroxide.
    pub level: Option<Percent>,
    /// The mass to be mixed.
    pub mass: Option<Grams>,
    /// How fast a tub is used up; none where nobody knows.
    pub rate: Option<GramsPerMinute>,
    /// What it is mixed in.
    pub vessel: Vessel,
    /// The largest tub that common practice mixes, whatever the arithmetic says.
    pub most: Option<Grams>,
}

/// Pot life against mass for a pot's card; none for a clock that is no pot.
pub fn mass_effect(rules: &Rules, card: &Card, of: Use) -> Option<MassEffect> {
    let stated = pot_life(card)?;
    let mass = grams(card.profile.mass.as_ref()?);
    let speed = card.speed(rules, of.level, None);
    let modelled = card.family.heat.as_ref().and_then(|heat| {
        let contents = contents(card.family, heat);
        // A sheet's pot life is that of a tub, whatever is mixed in now.
        let tub = Cup { mass, contents, vessel: Vessel::Tub };
        let reaction = reaction(card, heat, &tub, stated.likely).ok()?;
        by_heat(&reaction, &Cup { vessel: of.vessel, ..tub }, stated, speed, of).ok()
    });
    modelled.or_else(|| by_rule(rules, card, stated, of))
}

/// The card's pot life at reference, as far as learned of the tin.
fn pot_life(card: &Card) -> Option<Span<Minutes>> {
    let time = card.times.first()?.spec.time;
    let slower = card.learning.as_ref().map_or(1.0, |l| l.belief.slowness().likely);
    Some(time.map(|end| end * slower))
}

/// The heat balance's reaction for a card: as fast as its pot life says.
fn reaction(
    card: &Card,
    heat: &Heat,
    like: &Cup,
    pot_life: Minutes,
) -> Result<Reaction, NoExotherm> {
    let energy = KilojoulesPerMole(heat.energy.likely);
    // Only the ratio of the rates counts here: the speed follows below.
    let (k1, k2) = match heat.start_ratio.likely {
        ratio if ratio > 0.0 => (ratio, 1.0),
        _ => (1.0, 0.0),
    };
    let reference = card.law.reference();
    let shape = Reaction {
        reference,
        k1: PerMinute(0.1 * k1),
        k2: PerMinute(0.1 * k2),
        energy1: energy,
        energy2: energy,
        m: heat.power_done.likely,
        n: heat.power_left.likely,
        heat: JoulesPerGram(heat.heat.likely),
        gel_conversion: heat.gel.likely,
    };
    calibrated(&shape, like, reference, pot_life)
}

fn contents(family: &Family, heat: &Heat) -> Contents {
    Contents {
        density: GramsPerMillilitre(family.property("density").map_or(1.1, |d| d.likely)),
        specific_heat: JoulesPerGramKelvin(heat.specific_heat.likely),
        conductivity: WattsPerMetreKelvin(heat.conductivity.likely),
        reacting: heat.reacting.likely,
    }
}

fn by_heat(
    reaction: &Reaction,
    like: &Cup,
    stated: Span<Minutes>,
    speed: f64,
    of: Use,
) -> Result<MassEffect, NoExotherm> {
    let conditions = Conditions { start: of.at, air: of.at, speed };
    // The card's band about its likely time holds for every mass.
    let band = |life: Minutes| Span {
        low: life * (stated.low / stated.likely),
        likely: life,
        high: life * (stated.high / stated.likely),
    };
    let pot = |mass: Grams| -> Result<Option<Pot>, NoExotherm> {
        let run = cup(reaction, &Cup { mass, ..*like }, &conditions)?;
        Ok(run.gel.map(|gel| Pot { mass, life: band(gel.at), peak: Some(run.peak) }))
    };
    let points = pot_life_against_mass(reaction, like, &conditions, (FROM, TO), POINTS)?;
    let pots = points
        .into_iter()
        .filter_map(|point| {
            let life = band(point.pot_life?);
            Some(Pot { mass: point.mass, life, peak: Some(point.peak) })
        })
        .collect();
    let usable = |mass| pot(mass).ok().flatten().map(|pot| pot.life.low);
    Ok(MassEffect {
        by: By::HeatBalance,
        pots,
        chosen: of.mass.map(pot).transpose()?.flatten(),
        largest: largest(of, &usable),
    })
}

/// The largest tub, 20 g to 20 kg, that is used up within its pot life.
fn largest(of: Use, usable: &dyn Fn(Grams) -> Option<Minutes>) -> Option<Grams> {
    let rate = of.rate?;
    let most = of.most.unwrap_or(Grams(20_000.0));
    let fits = |ln_mass: f64| {
        let mass = ln_mass.exponential();
        usable(Grams(mass)).is_some_and(|life| life.value() * rate.0 >= mass)
    };
    let (mut good, mut bad) = (20.0_f64.logarithm(), most.value().logarithm());
    if !fits(good) {
        return None;
    }
    if fits(bad) {
        return Some(most);
    }
    // To a hundredth: nobody weighs advice.
    while bad - good > 0.01 {
        let middle = 0.5 * (good + bad);
        if fits(middle) { good = middle } else { bad = middle }
    }
    Some(Grams(good.exponential()))
}

fn by_rule(rules: &Rules, card: &Card, stated: Span<Minutes>, of: Use) -> Option<MassEffect> {
    let rate = card.law.rate(of.at);
    let pot = |mass: Grams| {
        let pace = rate * card.speed(rules, of.level, Some(mass));
        Pot { mass, life: stated.map(|time| time / pace), peak: None }
    };
    let share = |index: usize| index as f64 / (POINTS - 1) as f64;
    let masses = (0..POINTS).map(|index| FROM * (TO / FROM).to_power(share(index)));
    let pots: Vec<Pot> = masses.map(pot).collect();
    let largest = largest(of, &|mass| Some(pot(mass).life.low));
    Some(MassEffect { by: By::SimpleRule, pots, chosen: of.mass.map(pot), largest })
}

/// How hot a layer of a thickness gets in its middle, laid on a form; none for a
/// family whose heat is not known, or a thickness under 5 mm, where the form
/// takes up most of it.
pub fn layer(
    rules: &Rules,
    card: &Card,
    of: Use,
    thickness: Millimetres,
) -> Option<(Celsius, Option<Minutes>)> {
    let heat = card.family.heat.as_ref().filter(|_| thickness >= Millimetres(5.0))?;
    let contents = contents(card.family, heat);
    let mass = grams(card.profile.mass.as_ref()?);
    let like = Cup { mass, contents, vessel: Vessel::Tub };
    let reaction = reaction(card, heat, &like, pot_life(card)?.likely).ok()?;
    let speed = card.speed(rules, of.level, None);
    let conditions = Conditions { start: of.at, air: of.at, speed };
    let layer = Slab { thickness, contents, open: OPEN_SURFACE, form: ON_A_FORM };
    let run = slab(&reaction, &layer, &conditions).ok()?;
    Some((run.peak, run.gel.map(|gel| gel.at)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::event::Material;
    use crate::job::state::State;
    use crate::trade::rules;

    fn pot_card(family: &str) -> Card {
        let material = Material::Family(family.into());
        Card::in_force(rules(), &State::default(), &material, "pot").unwrap()
    }

    fn used(at: f64, mass: f64, rate: f64, level: Option<f64>) -> Use {
        Use {
            at: Celsius(at),
            level: level.map(Percent),
            mass: Some(Grams(mass)),
            rate: Some(GramsPerMinute(rate)),
            vessel: Vessel::Tub,
            most: None,
        }
    }

    #[test]
    fn at_the_cards_own_mass_and_temperature_the_balance_gives_its_pot_life() {
        // Trade reference 3.3 and 3.4: 18 min for 0.5 kg at 20 degrees C and 2 %, 70
        // min for 150 g of slow epoxy (both from memory).
        for (family, mass, level, minutes) in
            [("UP-LAM", 500.0, Some(2.0), 18.0), ("EP-SLOW", 150.0, None, 70.0)]
        {
            let of = used(20.0, mass, 1.0, level);
            let effect = mass_effect(rules(), &pot_card(family), of).unwrap();
            assert_eq!(effect.by, By::HeatBalance);
            let pot = effect.chosen.unwrap();
            assert!((pot.life.likely.value() - minutes).abs() < 0.05, "{family} {pot:?}");
            assert!(pot.peak.unwrap() > Celsius(60.0), "{family} {pot:?}");
        }
    }

    #[test]
    fn more_warmth_catalyst_and_mass_all_shorten_a_pot() {
        let life = |at, mass, level| {
            let of = used(at, mass, 1.0, Some(level));
            let effect = mass_effect(rules(), &pot_card("UP-LAM"), of).unwrap();
            effect.chosen.unwrap().life.likely
        };
        let plain = life(20.0, 500.0, 2.0);
        assert!(life(25.0, 500.0, 2.0) < plain);
        assert!(life(20.0, 500.0, 2.5) < plain);
        assert!(life(20.0, 3000.0, 2.0) < plain);
    }

    #[test]
    fn a_tray_lasts_longer_and_stays_cooler_than_a_tub() {
        let pot = |vessel| {
            let of = Use { vessel, ..used(20.0, 1000.0, 1.0, None) };
            mass_effect(rules(), &pot_card("EP-SLOW"), of).unwrap().chosen.unwrap()
        };
        let (tub, tray) = (pot(Vessel::Tub), pot(Vessel::Tray));
        assert!(tray.life.likely > tub.life.likely, "{tray:?} {tub:?}");
        assert!(tray.peak < tub.peak, "{tray:?} {tub:?}");
    }

    #[test]
    fn the_largest_tub_is_just_used_up_in_its_pot_life_and_a_slow_hand_gets_a_smaller_one() {
        let largest = |rate| {
            let of = used(20.0, 300.0, rate, None);
            mass_effect(rules(), &pot_card("EP-SLOW"), of).unwrap().largest.unwrap()
        };
        let (quick, slow) = (largest(50.0), largest(5.0));
        assert!(slow < quick, "{slow:?} {quick:?}");
        let of = used(20.0, quick.value(), 50.0, None);
        let pot = mass_effect(rules(), &pot_card("EP-SLOW"), of).unwrap().chosen.unwrap();
        let takes = quick.value() / 50.0;
        assert!((pot.life.low.value() / takes - 1.0).abs() < 0.02, "{pot:?} for {takes} min");
        let glacial = used(20.0, 300.0, 0.01, None);
        assert_eq!(mass_effect(rules(), &pot_card("EP-SLOW"), glacial).unwrap().largest, None);
    }

    #[test]
    fn a_family_without_a_known_heat_gets_the_simple_rule_labelled() {
        let without: Vec<&str> = rules()
            .families
            .iter()
            .filter(|family| family.heat.is_none())
            .filter(|family| family.profile("pot").is_some_and(|pot| pot.mass.is_some()))
            .map(|family| family.id.as_str())
            .collect();
        assert!(!without.is_empty());
        for family in without {
            let effect = mass_effect(rules(), &pot_card(family), used(20.0, 500.0, 1.0, None));
            let effect = effect.unwrap();
            assert_eq!(effect.by, By::SimpleRule, "{family}");
            assert!(effect.by.to_string().contains("simple rule"));
            assert!(effect.pots.iter().all(|pot| pot.peak.is_none()));
        }
    }

    #[test]
    fn a_thick_layer_gets_hotter_than_a_thinner_one() {
        let of = used(20.0, 500.0, 1.0, Some(1.0));
        let peak = |mm| layer(rules(), &pot_card("UP-CAST"), of, Millimetres(mm)).unwrap().0;
        assert!(peak(40.0) > peak(10.0));
        assert!(layer(rules(), &pot_card("UP-CAST"), of, Millimetres(2.0)).is_none());
    }
}
