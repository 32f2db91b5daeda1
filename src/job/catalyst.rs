//! The catalyst level for what is about to be mixed, both ways: what a level
//! gives at the film's temperature now, and what level a wanted time takes.

use crate::engine::kinetics::solver::{LevelAdvice, LevelError, Miss, Setting, level_for, time_at};
use crate::engine::kinetics::{self, CatalystAdvice, CatalystLaw, CatalystRange, TemperatureLaw};
use crate::engine::quantity::{Celsius, Instant, Minutes, Percent, Span};
use crate::trade::model::{Driver, Family, Profile, Rules, StateWord};

use super::card::{self, Card};
use super::event::{Id, Material, Place};
use super::live::NoTime;
use super::state::State;
use super::temperature::{self, Basis};

/// What a catalyst level acts on: one milestone of one clock, at a temperature.
#[derive(Clone, Debug)]
pub struct Film {
    /// Title of the milestone: "film gels".
    pub toward: &'static str,
    /// The temperature that it goes by now.
    pub at: Celsius,
    /// What that stands on.
    pub basis: Basis,
    /// The least and the most that the card allows while wet.
    least: Celsius,
    most: Celsius,
    law: TemperatureLaw,
    catalyst: CatalystLaw,
    range: CatalystRange,
    time: Span<Minutes>,
}

impl Film {
    /// The film that a material makes at a job's place, as it is now; none for
    /// a material that peroxide does not cure.
    pub fn of(
        rules: &'static Rules,
        state: &State,
        material: &Material,
        job: Option<Id>,
        now: Instant,
    ) -> Option<Self> {
        let (family, _) = card::resolve(rules, state, material).ok()?;
        let profile = film_of(family)?;
        let card = Card::in_force(rules, state, material, &profile.id).ok()?;
        let gelled = profile.milestones.iter().position(|m| m.word == Some(StateWord::Gelled));
        let index = gelled.unwrap_or(0);
        let slower = card.learning.as_ref().map_or(1.0, |l| l.belief.slowness().likely);
        let place = job.and_then(|job| state.jobs.get(&job)).map_or(Place::Bench, |job| job.place);
        let reference = card.law.reference();
        let driving =
            temperature::driving(rules, state, (place, job), profile.driver, reference, now);
        Some(Self {
            toward: &profile.milestones.get(index)?.title,
            at: driving.at(now),
            basis: driving.basis,
            least: card.limits.wet_min,
            most: card.limits.max,
            law: card.law,
            catalyst: card.catalyst_law()?,
            range: card::catalyst_range(family)?,
            time: card.times.get(index)?.spec.time.map(|end| end * slower),
        })
    }

    fn setting(&self) -> Setting<'_> {
        let Self { law, catalyst, range, time, .. } = self;
        Setting { law, catalyst, range, time: *time }
    }

    /// Why no time is true at the film's temperature, if it lies outside the card.
    pub fn no_time(&self) -> Option<NoTime> {
        if self.at < self.least {
            Some(NoTime::TooCold { now: self.at, least: self.least })
        } else if self.at > self.most {
            Some(NoTime::TooHot { now: self.at, most: self.most })
        } else {
            None
        }
    }

    /// The time that a level gives.
    pub fn gives(&self, level: Percent) -> Span<Minutes> {
        time_at(&self.setting(), level, self.at)
    }

    /// The level for a wanted time. A temperature that would do is only named
    /// where the card allows it.
    ///
    /// # Errors
    /// [`LevelError`] for a time that can't be.
    pub fn level_for(&self, wanted: Minutes) -> Result<LevelAdvice, LevelError> {
        let mut advice = level_for(&self.setting(), wanted, self.at)?;
        match &mut advice.miss {
            Some(Miss::Late { warm_to, .. }) => *warm_to = warm_to.filter(|t| *t <= self.most),
            Some(Miss::Early { cool_to, .. }) => *cool_to = cool_to.filter(|t| *t >= self.least),
            None => {}
        }
        Ok(advice)
    }

    /// The level that keeps the speed of the card's own temperature and level;
    /// none where no temperature was read.
    pub fn same_speed(&self) -> Option<CatalystAdvice> {
        if matches!(self.basis, Basis::Assumed(_)) {
            return None;
        }
        let Self { law, catalyst, range, at, .. } = self;
        Some(kinetics::match_speed(law, catalyst, range, law.reference(), *at))
    }
}

/// The clock that a catalyst level is chosen by: the film's, else the first
/// that catalyst moves.
fn film_of(family: &Family) -> Option<&Profile> {
    let catalysed = || family.profiles.iter().filter(|profile| profile.catalysed);
    catalysed().find(|profile| profile.driver == Driver::Surface).or(catalysed().next())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::event::{Body, Event};
    use crate::trade::rules;

    const NOW: Instant = Instant(1_700_000_000_000);

    fn film(surface: f64) -> Film {
        let reading = Body::ReadingTaken {
            place: Place::Bench,
            job: None,
            air: Some(Celsius(17.0)),
            humidity: None,
            surface: Some(Celsius(surface)),
            water: None,
            taken: NOW,
        };
        let event = Event { id: Id::new(NOW, [1; 10]), seq: 1, at: NOW, body: reading };
        let material = Material::Family("UP-GEL".into());
        Film::of(rules(), &State::fold(&[event]), &material, None, NOW).unwrap()
    }

    #[test]
    fn the_worked_example_of_the_catalyst_helper_comes_out() {
        // Trade reference 3.2: the speed of 2.0 % at 20 degrees C on a form of 17.5
        // is matched by 2.4 %.
        assert!((film(17.5).same_speed().unwrap().level.value() - 2.4).abs() < 1e-9);
    }

    #[test]
    fn both_ways_agree_within_the_rounding_of_the_level() {
        let film = film(17.5);
        let wanted = film.gives(Percent(2.2)).likely;
        let advice = film.level_for(wanted).unwrap();
        assert!((advice.level.value() - 2.2).abs() < 1e-9 && advice.miss.is_none(), "{advice:?}");
    }

    #[test]
    fn a_time_out_of_reach_names_only_a_temperature_that_the_card_allows() {
        let film = film(15.0);
        let reachable = film.level_for(Minutes(24.0)).unwrap();
        assert!(
            matches!(reachable.miss, Some(Miss::Late { warm_to: Some(warm), .. }) if warm.value() < 20.0),
            "{reachable:?}"
        );
        let hopeless = film.level_for(Minutes(2.0)).unwrap();
        assert!(matches!(hopeless.miss, Some(Miss::Late { warm_to: None, .. })), "{hopeless:?}");
        assert!(film.level_for(Minutes(f64::NAN)).is_err());
    }

    #[test]
    fn outside_the_card_there_is_no_time_and_no_advice_leads_there() {
        assert!(matches!(film(8.0).no_time(), Some(NoTime::TooCold { .. })));
        assert!(matches!(film(38.0).no_time(), Some(NoTime::TooHot { .. })));
        assert_eq!(film(20.0).no_time(), None);
        let slow = film(20.0).level_for(Minutes(200.0)).unwrap();
        assert!(matches!(slow.miss, Some(Miss::Early { cool_to: None, .. })), "{slow:?}");
    }

    #[test]
    fn a_rubber_has_no_level_to_choose() {
        let material = Material::Family("SI-TIN".into());
        assert!(Film::of(rules(), &State::default(), &material, None, NOW).is_none());
    }
}
