//! The condition gate before a stage: what the newest readings and the stated
//! outlook mean for what is about to be done.

use crate::engine::air::{self, GateLimits, GateReason, GateVerdict, RelativeHumidity};
use crate::engine::cure::{MilestoneSpec, equivalent_age};
use crate::engine::outlook;
use crate::engine::quantity::{Celsius, Instant, Kelvins, Minutes, Percent, Span};
use crate::trade::model::{Family, Gate, Kind, Rules};

use super::card::{self, Card};
use super::command::At;
use super::sheet;
use super::stage;
use super::state::State;
use super::temperature::{self, Climate};

/// Judges the newest readings for a stage's gate, by the limits of the material
/// that the stage is about, and the stated outlook until `morning`. Without a
/// fresh reading it warns. None for a stage without a gate.
pub fn judge(
    rules: &'static Rules,
    state: &State,
    at: &At<'_>,
    now: Instant,
    morning: Instant,
) -> Option<GateVerdict> {
    let gate = at.stage.gate?;
    let place = at.job.place;
    let stale = rules.constant("gate-valid").map_or(Minutes(30.0), |c| card::minutes(&c.figure));
    // One that lies ahead was taken before the clock was set back, nobody knows
    // how long ago.
    let fresh = |taken: Instant| taken <= now && now.since(taken) <= stale;
    let air = temperature::newest(state, place, |r| r.air).filter(|(taken, _)| fresh(*taken));
    let humidity = temperature::newest(state, place, |r| r.humidity)
        .filter(|(taken, _)| fresh(*taken))
        .and_then(|(_, humidity)| RelativeHumidity::new(humidity.value()).ok());
    let pairing = match gate {
        Gate::Rubber => sheet::against(rules, state, at.job.id),
        Gate::ResinFilm => Vec::new(),
    };
    let Some((_, air)) = air else {
        let verdict = GateVerdict::Pass.and(GateReason::NoFreshReading);
        return Some(pairing.into_iter().fold(verdict, GateVerdict::and));
    };
    let limits = limits(rules, family(rules, state, at, gate)?)?;
    let verdict = match gate {
        Gate::ResinFilm => {
            let surface = temperature::newest_surface(state, place, Some(at.job.id))
                .filter(|(taken, _)| fresh(*taken))
                .map(|(_, surface)| surface);
            air::resin_film_gate(air, humidity, surface, &limits)
        }
        // A pour has no film: neither a surface nor its dew point matters.
        Gate::Rubber => air::pour_gate(air, humidity, &limits),
    };
    let more = night(rules, state, at, now, morning).into_iter().chain(pairing);
    Some(more.fold(verdict, GateVerdict::and))
}

/// What a film meets now: its surface and the dew point of the air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Meets {
    /// The air's dew point.
    pub dew_point: Celsius,
    /// The surface: as measured, or between the ends that a damp one may have.
    pub surface: Span<Celsius>,
    /// Whether the surface was measured; otherwise it is an estimate.
    pub measured: bool,
}

/// What a film of a job would meet by the newest readings; none without air and
/// humidity.
pub fn meets(state: &State, at: &At<'_>) -> Option<Meets> {
    let place = at.job.place;
    let (_, air) = temperature::newest(state, place, |r| r.air)?;
    let (_, humidity) = temperature::newest(state, place, |r| r.humidity)?;
    let humidity = RelativeHumidity::new(humidity.value()).ok()?;
    let measured = temperature::newest_surface(state, place, Some(at.job.id));
    Some(Meets {
        dew_point: air::dew_point(air, humidity),
        surface: match measured {
            Some((_, surface)) => Span::exact(surface),
            None => air::surface_estimate(air, humidity, state.settings.pressure()),
        },
        measured: measured.is_some(),
    })
}

/// Hardening by morning under this share of what is needed is short or only just
/// enough (trade reference 3.10: within 20 %).
const ENOUGH: f64 = 1.2;

/// What hardens within this is overnight's business.
const OVERNIGHT: Minutes = Minutes(48.0 * 60.0);
/// What hardens within this needs no night.
const SHORT: Minutes = Minutes(8.0 * 60.0);

/// What a stated outlook means for what the stage would start now.
fn night(
    rules: &'static Rules,
    state: &State,
    at: &At<'_>,
    now: Instant,
    morning: Instant,
) -> Option<GateReason> {
    let place = at.job.place;
    if state.outlooks.get(&place).is_none_or(|ahead| ahead.iter().all(|stated| stated.at <= now)) {
        return None;
    }
    let climate = Climate::of(rules, state, now);
    stage::slots(at.method, at.job, at.stage).into_iter().find_map(|slot| {
        let material =
            stage::material(at.method, at.job, slot.role.as_deref(), slot.family.as_deref())?;
        let card = Card::in_force(rules, state, &material, &slot.profile).ok()?;
        let reference = card.law.reference();
        let driving = climate.driving(place, Some(at.job.id), card.profile.driver, reference);
        let likely = &driving.history.likely;
        let wet_takes = |spec: &MilestoneSpec| spec.firm.then_some(spec.time.likely);
        let wet = card.times.iter().filter_map(|time| wet_takes(&time.spec)).reduce(Minutes::min);
        let least = card.limits.wet_min;
        if let Some(wet) = wet
            && let Some(cold) = outlook::reaches_below(likely, now, least)
            && equivalent_age(&card.law, likely, now, cold) < wet
        {
            let coming = likely.points().iter().filter(|(at, _)| *at > now).map(|(_, t)| *t);
            let coming = coming.reduce(Celsius::min).unwrap_or(least);
            return Some(GateReason::ColdAhead { coming, least });
        }
        // What it is left overnight for: the last thing that may be done within two days.
        let needed = card
            .profile
            .windows
            .iter()
            .rev()
            .filter_map(|window| {
                let id = window.opens.as_ref()?;
                let index = card.profile.milestones.iter().position(|m| m.id == *id)?;
                Some(card.times.get(index)?.spec.time.likely)
            })
            .find(|time| *time <= OVERNIGHT)
            .filter(|time| *time >= SHORT)?;
        let hardened = equivalent_age(&card.law, likely, now, morning);
        (hardened < needed * ENOUGH).then_some(GateReason::ShortNight { hardened, needed })
    })
}

/// The family whose limits a gate goes by: that of the stage's own cures, else
/// the gel coat or the rubber that the stage prepares for.
fn family(
    rules: &'static Rules,
    state: &State,
    at: &At<'_>,
    gate: Gate,
) -> Option<&'static Family> {
    let fits = |family: &Family| match gate {
        Gate::ResinFilm => matches!(family.kind, Kind::Polyester | Kind::Epoxy),
        Gate::Rubber => matches!(family.kind, Kind::Silicone | Kind::Polyurethane),
    };
    let of_slots = stage::slots(at.method, at.job, at.stage).into_iter();
    let own = of_slots.map(|slot| (slot.role.as_deref(), slot.family.as_deref()));
    let roles = at.method.roles.iter().map(|role| (Some(role.id.as_str()), None));
    own.chain(roles)
        .filter_map(|(role, family)| stage::material(at.method, at.job, role, family))
        .filter_map(|material| card::resolve(rules, state, &material).ok())
        .map(|(family, _)| family)
        .find(|family| fits(family))
}

/// The gate's limits from a family (trade reference 3.10); none when it states none.
fn limits(rules: &Rules, family: &Family) -> Option<GateLimits> {
    let bounds = family.limits.as_ref()?;
    let ideal = family.property("temperature-ideal");
    let dew = |id: &str, otherwise: f64| {
        Kelvins(rules.constant(id).map_or(otherwise, |constant| constant.figure.likely))
    };
    let humidity = |id: &str| Percent(family.property(id).map_or(100.0, |figure| figure.likely));
    let stop_below = Celsius(bounds.wet_min.likely);
    let stop_above = Celsius(bounds.max.likely);
    Some(GateLimits {
        stop_below,
        warn_below: ideal.and_then(|f| f.low).map_or(stop_below, Celsius),
        warn_above: ideal.and_then(|f| f.high).map_or(stop_above, Celsius),
        stop_above,
        dew_stop: dew("dew-margin-stop", 3.0),
        dew_warn: dew("dew-margin-warn", 5.0),
        rh_warn: humidity("humidity-pass").min(humidity("humidity-max")),
        rh_stop: humidity("humidity-max"),
    })
}
