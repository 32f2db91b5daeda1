//! Checking that the rule table makes sense.
//!
//! The table is written by people in many files, so mistakes are certain: a
//! wait for a window that no material has, a time in grams, a figure called
//! published without a source. The app trusts the table at the bench;
//! `tests/trade_data.rs` runs this over it so that no such table is shipped.

mod families;
mod methods;
mod problem;
#[cfg(test)]
mod tests;

pub use problem::Problem;

use super::model::{Constant, Figure, Hazard, Ppe, Rules, Status, Unit};
use std::collections::BTreeSet;

/// Every mistake found in the table; empty when it is fit to ship.
pub fn validate(rules: &Rules) -> Vec<Problem> {
    validate_with(rules, super::amounts::RULES)
}

/// As [`validate`], with the names of the amount rules given.
pub fn validate_with(rules: &Rules, amount_rules: &[&str]) -> Vec<Problem> {
    let mut check = Checker { rules, amount_rules, problems: Vec::new() };
    check.table();
    for family in &rules.families {
        check.family(family);
    }
    for method in &rules.methods {
        check.method(method);
    }
    check.problems
}

/// Units that a place accepts, with the words for a message.
struct Wanted {
    units: &'static [Unit],
    words: &'static str,
}

const ANY: Wanted = Wanted { units: &[], words: "any unit" };
const TIME: Wanted = Wanted { units: &[Unit::Minute, Unit::Hour, Unit::Day], words: "min, h or d" };
const TEMPERATURE: Wanted = Wanted { units: &[Unit::Celsius], words: "C" };
const PERCENT: Wanted = Wanted { units: &[Unit::Percent], words: "%" };
const FACTOR: Wanted = Wanted { units: &[Unit::Factor], words: "x" };
const MASS: Wanted = Wanted { units: &[Unit::Gram, Unit::Kilogram], words: "g or kg" };
const KILOGRAMS: Wanted = Wanted { units: &[Unit::Kilogram], words: "kg" };
const DENSITY: Wanted = Wanted { units: &[Unit::GramPerMillilitre], words: "g/ml" };
const AREAL_MASS: Wanted = Wanted { units: &[Unit::GramPerSquareMetre], words: "g/m2" };
const PER_HUNDRED: Wanted = Wanted { units: &[Unit::PerHundred], words: "per100" };
const MONTHS: Wanted = Wanted { units: &[Unit::Month], words: "month" };
const MOLAR_ENERGY: Wanted = Wanted { units: &[Unit::KilojoulePerMole], words: "kJ/mol" };
const HEAT: Wanted = Wanted { units: &[Unit::JoulePerGram], words: "J/g" };
const SPECIFIC_HEAT: Wanted = Wanted { units: &[Unit::JoulePerGramKelvin], words: "J/(g K)" };
const CONDUCTIVITY: Wanted = Wanted { units: &[Unit::WattPerMetreKelvin], words: "W/(m K)" };
const LENGTH: Wanted = Wanted { units: &[Unit::Millimetre], words: "mm" };

/// The walk over the table and what it has found so far.
struct Checker<'a> {
    rules: &'a Rules,
    amount_rules: &'a [&'a str],
    problems: Vec<Problem>,
}

impl<'a> Checker<'a> {
    fn add(&mut self, problem: Problem) {
        self.problems.push(problem);
    }

    /// The lists that have no structure of their own.
    fn table(&mut self) {
        let rules = self.rules;
        self.unique("families", rules.families.iter().map(|family| family.id.as_str()));
        self.unique("methods", rules.methods.iter().map(|method| method.id.as_str()));
        self.unique("hazards", rules.hazards.iter().map(|hazard| hazard.id.as_str()));
        self.unique("ppe", rules.ppe.iter().map(|set| set.id.as_str()));
        self.unique("sources", rules.sources.iter().map(|source| source.id.as_str()));
        self.unique("constants", rules.constants.iter().map(|constant| constant.id.as_str()));
        let faults: Vec<String> = rules.faults.iter().map(|fault| fault.id.to_string()).collect();
        self.unique("faults", faults.iter().map(String::as_str));
        for hazard in &rules.hazards {
            self.hazard(hazard);
        }
        for Ppe { id, title, wear } in &rules.ppe {
            let at = format!("PPE set {id}");
            self.filled(&at, "title", title);
            self.filled(&at, "line of what to wear", wear);
        }
        for fault in &rules.faults {
            let at = format!("fault {}", fault.id);
            self.filled(&at, "title", &fault.title);
            self.filled(&at, "early sign", &fault.sign);
            self.filled(&at, "prevention", &fault.prevent);
        }
        for source in &rules.sources {
            self.filled(&format!("source {}", source.id), "title", &source.title);
        }
        for constant in &rules.constants {
            self.constant(constant);
        }
    }

    fn hazard(&mut self, hazard: &Hazard) {
        let at = format!("hazard {}", hazard.id);
        self.filled(&at, "title", &hazard.title);
        self.filled(&at, "line of dangers", &hazard.dangers);
        if hazard.controls.is_empty() {
            self.add(Problem::Lacks { at: at.clone(), what: "control".into() });
        }
        self.sourced(&at, hazard.status, hazard.source.as_deref());
    }

    fn constant(&mut self, constant: &Constant) {
        let at = format!("constant {}", constant.id);
        let wanted = match constant.id.as_str() {
            id if id.starts_with("band-") || id.starts_with("pot-alarm-") => PERCENT,
            id if id.starts_with("dew-margin-") => TEMPERATURE,
            id if id.starts_with("use-rate-") || id.starts_with("tub-max-") => KILOGRAMS,
            id if id.starts_with("leak-watch-") => TIME,
            _ => ANY,
        };
        self.filled(&at, "title", &constant.title);
        self.figure(&at, &constant.figure, &wanted);
    }

    /// One figure: finite, ordered, in a unit that fits, sourced if published.
    fn figure(&mut self, at: &str, figure: &Figure, wanted: &Wanted) {
        let low = figure.low.unwrap_or(figure.likely);
        let high = figure.high.unwrap_or(figure.likely);
        if ![low, figure.likely, high].iter().all(|value| value.is_finite()) {
            self.add(Problem::NotFinite { at: at.into() });
        } else if low > figure.likely || figure.likely > high {
            self.add(Problem::Unordered { at: at.into(), low, likely: figure.likely, high });
        }
        if !wanted.units.is_empty() && !wanted.units.contains(&figure.unit) {
            self.add(Problem::WrongUnit {
                at: at.into(),
                found: figure.unit,
                wanted: wanted.words,
            });
        }
        self.sourced(at, figure.status, figure.source.as_deref());
    }

    /// What is called published must name sources of the list: codes with
    /// commas between, then perhaps a colon and words.
    fn sourced(&mut self, at: &str, status: Status, source: Option<&str>) {
        if status != Status::Published {
            return;
        }
        let codes = source.unwrap_or_default().split(':').next().unwrap_or_default();
        if codes.trim().is_empty() {
            self.add(Problem::NoSource { at: at.into() });
            return;
        }
        for code in codes.split(',').map(str::trim) {
            if !self.rules.sources.iter().any(|source| source.id == code) {
                self.unresolved(at, "source", code);
            }
        }
    }

    fn unique<'b>(&mut self, at: &str, ids: impl Iterator<Item = &'b str>) {
        let mut seen = BTreeSet::new();
        for id in ids {
            self.filled(at, "id", id);
            if !seen.insert(id) {
                self.add(Problem::Duplicate { at: at.into(), id: id.into() });
            }
        }
    }

    fn filled(&mut self, at: &str, what: &str, text: &str) {
        if text.trim().is_empty() {
            self.add(Problem::Lacks { at: at.into(), what: what.into() });
        }
    }

    fn unresolved(&mut self, at: &str, kind: &'static str, name: &str) {
        self.add(Problem::Unresolved { at: at.into(), kind, name: name.into() });
    }

    /// The codes of hazards and PPE that a family or a stage names.
    fn safety_codes(&mut self, at: &str, hazards: &[String], ppe: &[String]) {
        for code in hazards {
            if self.rules.hazard(code).is_none() {
                self.unresolved(at, "hazard", code);
            }
        }
        for code in ppe {
            if self.rules.ppe_set(code).is_none() {
                self.unresolved(at, "PPE set", code);
            }
        }
    }
}
