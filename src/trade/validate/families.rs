//! Checks of material families and their clocks.

use super::{
    AREAL_MASS, CONDUCTIVITY, Checker, DENSITY, FACTOR, HEAT, LENGTH, MASS, MOLAR_ENERGY, MONTHS,
    PER_HUNDRED, PERCENT, Problem, SPECIFIC_HEAT, TEMPERATURE, TIME, Wanted,
};
use crate::trade::model::{
    Catalyst, Effect, Family, Figure, Heat, Kind, Limits, Milestone, Mixing, Phase, Profile, Unit,
    Window,
};

/// Kinds that are sold by weight and used by volume, so need a density.
const NEED_DENSITY: [Kind; 5] =
    [Kind::Polyester, Kind::Epoxy, Kind::Silicone, Kind::Polyurethane, Kind::Clay];

/// A time in minutes, for comparing; 0 for a unit that is no time, which is
/// reported on its own.
fn minutes(figure: &Figure) -> f64 {
    figure.likely
        * match figure.unit {
            Unit::Minute => 1.0,
            Unit::Hour => 60.0,
            Unit::Day => 24.0 * 60.0,
            _ => 0.0,
        }
}

fn wanted_of(property: &str) -> Wanted {
    match property {
        "areal-mass" => AREAL_MASS,
        "film-thickness" => LENGTH,
        id if id.starts_with("density") || id == "slurry-density" => DENSITY,
        id if id.starts_with("shelf-life") => MONTHS,
        id if id.starts_with("temperature") => TEMPERATURE,
        id if ["humidity", "waste", "shrinkage", "expansion"]
            .iter()
            .chain(&["pigment", "thixotrope", "filler", "thinner"])
            .any(|start| id.starts_with(start)) =>
        {
            PERCENT
        }
        _ => super::ANY,
    }
}

impl Checker<'_> {
    pub(super) fn family(&mut self, family: &Family) {
        let at = format!("family {}", family.id);
        self.filled(&at, "title", &family.title);
        self.filled(&at, "short title", &family.short);
        self.safety_codes(&at, &family.hazards, &family.ppe);
        self.mixing(&at, family);
        if let Some(catalyst) = &family.catalyst {
            self.catalyst(&at, catalyst);
        }
        if let Some(reference) = &family.reference {
            let at = format!("{at}, reference");
            self.figure(&at, &reference.temperature, &TEMPERATURE);
            if let Some(humidity) = &reference.humidity {
                self.figure(&at, humidity, &PERCENT);
            }
        }
        if let Some(factor) = &family.per_ten {
            self.per_ten(&at, factor);
        }
        if let Some(limits) = &family.limits {
            self.limits(&at, limits);
        }
        if let Some(heat) = &family.heat {
            self.heat(&at, heat);
        }
        self.unique(&format!("{at}, properties"), family.properties.iter().map(|p| p.id.as_str()));
        for property in &family.properties {
            let at = format!("{at}, property {}", property.id);
            self.filled(&at, "title", &property.title);
            self.figure(&at, &property.figure, &wanted_of(&property.id));
        }
        if NEED_DENSITY.contains(&family.kind) && family.property("density").is_none() {
            self.add(Problem::Lacks { at: at.clone(), what: "property \"density\"".into() });
        }
        for note in &family.notes {
            let at = format!("{at}, note");
            self.filled(&at, "text", &note.text);
            self.sourced(&at, note.status, note.source.as_deref());
        }
        self.unique(&format!("{at}, profiles"), family.profiles.iter().map(|p| p.id.as_str()));
        for profile in &family.profiles {
            self.profile(&at, family, profile);
        }
    }

    fn mixing(&mut self, at: &str, family: &Family) {
        let at = format!("{at}, mixing");
        match &family.mixing {
            Mixing::Catalysed => {
                if family.catalyst.is_none() {
                    self.add(Problem::Lacks { at, what: "catalyst level".into() });
                }
            }
            Mixing::TwoPart { part_a, part_b, a, b, tolerance } => {
                self.filled(&at, "name of part A", part_a);
                self.filled(&at, "name of part B", part_b);
                self.figure(&at, a, &FACTOR);
                self.figure(&at, b, &FACTOR);
                self.figure(&at, tolerance, &PERCENT);
                if a.likely <= 0.0 || b.likely <= 0.0 {
                    self.add(Problem::OutOfRange { at, rule: "both parts must be above 0" });
                }
            }
            Mixing::Water { water, powder_density } => {
                self.figure(&at, water, &PER_HUNDRED);
                self.figure(&at, powder_density, &DENSITY);
            }
            Mixing::BySheet { part_a, part_b, tolerance } => {
                self.filled(&at, "name of part A", part_a);
                self.filled(&at, "name of part B", part_b);
                self.figure(&at, tolerance, &PERCENT);
            }
            Mixing::AsSupplied => {}
        }
    }

    fn catalyst(&mut self, at: &str, catalyst: &Catalyst) {
        let at = format!("{at}, catalyst");
        let Catalyst { level, warn_above, block_above, block_below, exponent, density } = catalyst;
        for figure in [level, warn_above, block_above, block_below] {
            self.figure(&at, figure, &PERCENT);
        }
        self.figure(&at, exponent, &FACTOR);
        self.figure(&at, density, &DENSITY);
        let rising = [
            block_below.likely,
            level.low.unwrap_or(level.likely),
            level.likely,
            level.high.unwrap_or(level.likely),
            warn_above.likely,
            block_above.likely,
        ];
        if !rising.is_sorted() {
            self.add(Problem::OutOfRange {
                at,
                rule: "block below, low, level, high, warn above, block above must rise",
            });
        }
    }

    fn per_ten(&mut self, at: &str, factor: &Figure) {
        let at = format!("{at}, factor per ten degrees");
        self.figure(&at, factor, &FACTOR);
        if factor.low.unwrap_or(factor.likely) < 1.0 {
            self.add(Problem::OutOfRange { at, rule: "it must be at least 1" });
        }
    }

    fn heat(&mut self, at: &str, heat: &Heat) {
        let at = format!("{at}, heat");
        self.figure(&at, &heat.energy, &MOLAR_ENERGY);
        self.figure(&at, &heat.heat, &HEAT);
        self.figure(&at, &heat.specific_heat, &SPECIFIC_HEAT);
        self.figure(&at, &heat.conductivity, &CONDUCTIVITY);
        let shares = [&heat.start_ratio, &heat.power_done, &heat.power_left, &heat.reacting];
        for figure in shares.into_iter().chain([&heat.gel]) {
            self.figure(&at, figure, &FACTOR);
        }
        if !(heat.gel.likely > 0.0 && heat.gel.likely < 1.0) {
            self.add(Problem::OutOfRange { at, rule: "gel must lie above 0 and below 1" });
        }
    }

    fn limits(&mut self, at: &str, limits: &Limits) {
        let at = format!("{at}, limits");
        for figure in [&limits.wet_min, &limits.harden_min, &limits.max] {
            self.figure(&at, figure, &TEMPERATURE);
        }
        if limits.wet_min.likely.max(limits.harden_min.likely) >= limits.max.likely {
            self.add(Problem::OutOfRange { at, rule: "the minimums must be below the maximum" });
        }
    }

    fn profile(&mut self, at: &str, family: &Family, profile: &Profile) {
        for (present, what) in [
            (family.reference.is_some(), "reference conditions"),
            (family.per_ten.is_some(), "factor per ten degrees"),
            (family.limits.is_some(), "temperature limits"),
            (!profile.catalysed || family.catalyst.is_some(), "catalyst level"),
        ] {
            if !present {
                let what = format!("{what}, needed by profile {}", profile.id);
                self.add(Problem::Lacks { at: at.into(), what });
            }
        }
        let at = format!("{at}, profile {}", profile.id);
        self.filled(&at, "title", &profile.title);
        self.filled(&at, "act that starts it", &profile.starts);
        if let Some(mass) = &profile.mass {
            self.figure(&at, mass, &MASS);
        }
        if let Some(factor) = &profile.per_ten {
            self.per_ten(&at, factor);
        }
        if profile.milestones.is_empty() {
            self.add(Problem::Lacks { at: at.clone(), what: "milestone".into() });
        }
        self.milestones(&at, &profile.milestones);
        self.unique(&format!("{at}, windows"), profile.windows.iter().map(|w| w.id.as_str()));
        let mut before: Option<(f64, &str)> = None;
        for window in &profile.windows {
            let opening = self.window(&format!("{at}, window {}", window.id), profile, window);
            if let Some((time, id)) = before
                && opening < time
            {
                self.out_of_order(&format!("{at}, windows"), &window.id, id);
            }
            before = Some((opening, &window.id));
        }
    }

    fn milestones(&mut self, at: &str, milestones: &[Milestone]) {
        self.unique(&format!("{at}, milestones"), milestones.iter().map(|m| m.id.as_str()));
        let mut firm = false;
        let mut word = None;
        for milestone in milestones {
            let here = format!("{at}, milestone {}", milestone.id);
            self.filled(&here, "title", &milestone.title);
            self.figure(&here, &milestone.time, &TIME);
            if minutes(&milestone.time) < 0.0 {
                self.add(Problem::OutOfRange { at: here.clone(), rule: "a time is not negative" });
            }
            if (firm && milestone.firm) || (milestone.phase == Phase::Harden) != firm {
                self.add(Problem::WrongPhase { at: here.clone() });
            }
            firm |= milestone.firm;
            if milestone.word.is_some() {
                if milestone.word < word {
                    self.add(Problem::OutOfOrder {
                        at: here,
                        earlier: format!("{:?}", milestone.word),
                        later: format!("{word:?}"),
                    });
                }
                word = milestone.word;
            }
        }
        for pair in milestones.windows(2) {
            if minutes(&pair[0].time) > minutes(&pair[1].time) {
                self.out_of_order(&format!("{at}, milestones"), &pair[1].id, &pair[0].id);
            }
        }
    }

    /// Checks a window and gives the minute at which it opens.
    fn window(&mut self, at: &str, profile: &Profile, window: &Window) -> f64 {
        self.filled(at, "title", &window.title);
        self.filled(at, "touch test", &window.test);
        self.filled(at, "act", &window.act);
        self.filled(at, "line for being late", &window.missed);
        if window.opens.is_none() && window.closes.is_none() {
            self.add(Problem::Lacks { at: at.into(), what: "opening or close".into() });
        }
        let mut before: Option<&Milestone> = None;
        let mut opening = 0.0;
        for (id, wanted) in [
            (&window.look, None),
            (&window.opens, Some((Effect::NotBefore, "not-before"))),
            (&window.ideal, None),
            (&window.closes, Some((Effect::FinishBy, "finish-by"))),
        ] {
            let Some(id) = id else { continue };
            let Some(milestone) = profile.milestones.iter().find(|m| &m.id == id) else {
                self.unresolved(at, "milestone", id);
                continue;
            };
            if let Some((effect, words)) = wanted
                && milestone.effect != effect
            {
                self.add(Problem::WrongEffect {
                    at: at.into(),
                    milestone: id.clone(),
                    wanted: words,
                });
            }
            if let Some(earlier) = before
                && minutes(&earlier.time) > minutes(&milestone.time)
            {
                self.out_of_order(at, &earlier.id, id);
            }
            if window.opens.as_ref() == Some(id) {
                opening = minutes(&milestone.time);
            }
            before = Some(milestone);
        }
        opening
    }

    fn out_of_order(&mut self, at: &str, earlier: &str, later: &str) {
        self.add(Problem::OutOfOrder {
            at: at.into(),
            earlier: earlier.into(),
            later: later.into(),
        });
    }
}
