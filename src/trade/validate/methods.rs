//! Checks of methods: that their graphs can be walked and their names resolve.

use super::{Checker, Problem, TIME};
use crate::trade::model::{CureSlot, Family, Kind, MaterialUse, Method, Stage};
use std::collections::{BTreeMap, BTreeSet};

/// Hazards that a kind of material always brings.
const KIND_HAZARDS: [(Kind, &str); 4] = [
    (Kind::Polyurethane, "HZ5"),
    (Kind::Epoxy, "HZ6"),
    (Kind::Gypsum, "HZ8"),
    (Kind::Bandage, "HZ8"),
];

impl<'a> Checker<'a> {
    pub(super) fn method(&mut self, method: &'a Method) {
        let at = format!("method {}", method.id);
        self.filled(&at, "title", &method.title);
        self.filled(&at, "idea", &method.idea);
        self.filled(&at, "line of when to choose it", &method.suits);
        self.unique(&format!("{at}, switches"), method.switches.iter().map(|s| s.id.as_str()));
        for switch in &method.switches {
            let at = format!("{at}, switch {}", switch.id);
            self.unique(&at, switch.options.iter().map(|option| option.id.as_str()));
            if !switch.options.iter().any(|option| option.id == switch.default) {
                self.unresolved(&at, "option", &switch.default);
            }
        }
        self.unique(&format!("{at}, roles"), method.roles.iter().map(|r| r.id.as_str()));
        for role in &method.roles {
            let at = format!("{at}, role {}", role.id);
            for family in &role.families {
                if self.rules.family(family).is_none() {
                    self.unresolved(&at, "family", family);
                }
            }
            if !role.families.contains(&role.default) {
                self.unresolved(&at, "family of its own", &role.default);
            }
        }
        self.unique(&format!("{at}, measures"), method.measures.iter().map(|m| m.id.as_str()));
        for measure in &method.measures {
            let at = format!("{at}, measure {}", measure.id);
            self.filled(&at, "title", &measure.title);
            let start = measure.start.unwrap_or(measure.least);
            if ![measure.least, start, measure.most].is_sorted() || measure.least == measure.most {
                self.add(Problem::OutOfRange { at, rule: "least, start and most must rise" });
            }
        }
        if method.stages.is_empty() {
            self.add(Problem::Lacks { at: at.clone(), what: "stage".into() });
        }
        self.unique(&format!("{at}, stages"), method.stages.iter().map(|s| s.id.as_str()));
        let cures = method.stages.iter().flat_map(|stage| &stage.cures);
        self.unique(&format!("{at}, cures"), cures.map(|cure| cure.id.as_str()));
        let before = self.graph(&at, method);
        for stage in &method.stages {
            self.stage(method, stage, &before);
        }
    }

    /// Checks that the needs form no circle; gives all stages before each one.
    fn graph(&mut self, at: &str, method: &'a Method) -> BTreeMap<&'a str, BTreeSet<&'a str>> {
        let mut before: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
        let mut left: Vec<&Stage> = method.stages.iter().collect();
        loop {
            let known = |need: &String| method.stages.iter().any(|stage| &stage.id == need);
            let (ready, blocked): (Vec<&Stage>, Vec<&Stage>) = left.iter().partition(|stage| {
                stage
                    .needs
                    .iter()
                    .filter(|need| known(need))
                    .all(|need| before.contains_key(need.as_str()))
            });
            for stage in &ready {
                let mut all = BTreeSet::new();
                for need in stage.needs.iter().filter(|need| known(need)) {
                    all.insert(need.as_str());
                    all.extend(before.get(need.as_str()).into_iter().flatten().copied());
                }
                before.insert(&stage.id, all);
            }
            left = blocked;
            if left.is_empty() {
                return before;
            }
            if ready.is_empty() {
                let stages = left.iter().map(|stage| stage.id.clone()).collect();
                self.add(Problem::Cycle { at: at.into(), stages });
                return before;
            }
        }
    }

    fn stage(
        &mut self,
        method: &'a Method,
        stage: &'a Stage,
        before: &BTreeMap<&str, BTreeSet<&str>>,
    ) {
        let at = format!("stage {}", stage.id);
        self.filled(&at, "title", &stage.title);
        self.filled(&at, "short title", &stage.short);
        self.figure(&format!("{at}, minutes"), &stage.minutes, &TIME);
        for need in &stage.needs {
            if !method.stages.iter().any(|other| &other.id == need) {
                self.unresolved(&at, "stage", need);
            }
        }
        self.conditions(&at, method, &stage.when, &[]);
        self.waits(&at, method, stage, before);
        self.unique(&format!("{at}, checks"), stage.checks.iter().map(|c| c.id.as_str()));
        for check in &stage.checks {
            let at = format!("{at}, check {}", check.id);
            self.filled(&at, "text", &check.text);
            self.conditions(&at, method, &stage.when, &check.when);
            for measure in &check.ask {
                self.measure(&at, method, measure);
            }
        }
        for material in &stage.materials {
            self.material(&at, method, stage, material);
        }
        for cure in &stage.cures {
            let at = format!("{at}, cure {}", cure.id);
            self.conditions(&at, method, &stage.when, &cure.when);
            for family in self.cure_families(&at, method, cure) {
                if family.profile(&cure.profile).is_none() {
                    let name = format!("{} of {}", cure.profile, family.id);
                    self.unresolved(&at, "profile", &name);
                }
            }
        }
        self.safety_codes(&at, &stage.hazards, &stage.ppe);
        for fault in &stage.faults {
            if !self.rules.faults.iter().any(|known| known.id == *fault) {
                self.unresolved(&at, "fault", &fault.to_string());
            }
        }
    }

    fn waits(
        &mut self,
        at: &str,
        method: &'a Method,
        stage: &'a Stage,
        before: &BTreeMap<&str, BTreeSet<&str>>,
    ) {
        for wait in &stage.waits {
            let found = method
                .stages
                .iter()
                .find_map(|other| Some((other, other.cures.iter().find(|c| c.id == wait.cure)?)));
            let Some((starter, cure)) = found else {
                self.unresolved(at, "cure", &wait.cure);
                continue;
            };
            let earlier = before.get(stage.id.as_str());
            // A stage in a circle has no entry; the circle is reported already.
            if earlier.is_some_and(|earlier| !earlier.contains(starter.id.as_str())) {
                self.add(Problem::NotEarlier { at: at.into(), cure: wait.cure.clone() });
            }
            for family in self.cure_families(at, method, cure) {
                if let Some(profile) = family.profile(&cure.profile)
                    && profile.window(&wait.window).is_none()
                {
                    let name = format!("{} of {} {}", wait.window, family.id, profile.id);
                    self.unresolved(at, "window", &name);
                }
            }
        }
    }

    fn material(
        &mut self,
        at: &str,
        method: &'a Method,
        stage: &'a Stage,
        material: &'a MaterialUse,
    ) {
        let here = format!("{at}, material {:?}", material.title);
        self.filled(at, "title of a material", &material.title);
        self.conditions(&here, method, &stage.when, &material.when);
        // Things that are counted (shim strips, bolts) are no family of the Shelf.
        let counted = matches!(material.rule.as_deref(), Some("K-SHIM" | "K-BOLT"));
        let families = match (material.role.as_deref(), material.family.as_deref()) {
            (None, None) if counted => Vec::new(),
            (role, family) => self.families(&here, method, role, family),
        };
        if let Some(rule) = &material.rule
            && !self.amount_rules.contains(&rule.as_str())
        {
            self.unresolved(&here, "amount rule", rule);
        }
        for measure in material.inputs.values() {
            self.measure(&here, method, measure);
        }
        if material.fixed.values().any(|value| !value.is_finite()) {
            self.add(Problem::NotFinite { at: here.clone() });
        }
        if !(material.share > 0.0 && material.share <= 1.0) {
            self.add(Problem::OutOfRange { at: here, rule: "a share lies above 0, up to 1" });
        }
        // Peroxide is named whenever it may be used; other hazards only for what
        // is used unless somebody chooses otherwise, so that no caution is idle.
        let first = material.family.as_ref().or_else(|| {
            let role = method.roles.iter().find(|role| Some(&role.id) == material.role.as_ref());
            role.map(|role| &role.default)
        });
        for family in families {
            let mut needed = Vec::new();
            if family.catalyst.is_some() {
                needed.extend(["HZ2", "C"]);
            }
            if first == Some(&family.id) {
                let of_kind = KIND_HAZARDS.iter().filter(|(kind, _)| *kind == family.kind);
                needed.extend(of_kind.map(|(_, code)| *code));
            }
            for lacks in needed {
                if !stage.hazards.iter().chain(&stage.ppe).any(|code| code == lacks) {
                    let problem =
                        Problem::Unsafe { at: at.into(), lacks, family: family.id.clone() };
                    if !self.problems.contains(&problem) {
                        self.add(problem);
                    }
                }
            }
        }
    }

    /// The conditions of a thing inside a stage, together with the stage's own.
    fn conditions(&mut self, at: &str, method: &Method, outer: &[String], inner: &[String]) {
        let mut chosen: BTreeMap<&str, &str> = BTreeMap::new();
        for condition in outer.iter().chain(inner) {
            let (switch, option) = condition.split_once('=').unwrap_or((condition, ""));
            let known = method
                .switches
                .iter()
                .any(|s| s.id == switch && s.options.iter().any(|o| o.id == option));
            if !known {
                self.unresolved(at, "switch option", condition);
            }
            if chosen.insert(switch, option).is_some_and(|other| other != option) {
                self.add(Problem::Unreachable { at: at.into(), switch: switch.into() });
            }
        }
    }

    fn measure(&mut self, at: &str, method: &Method, id: &str) {
        if !method.measures.iter().any(|measure| measure.id == id) {
            self.unresolved(at, "measure", id);
        }
    }

    fn cure_families(&mut self, at: &str, method: &Method, cure: &CureSlot) -> Vec<&'a Family> {
        self.families(at, method, cure.role.as_deref(), cure.family.as_deref())
    }

    /// The families that a role or a family's code stands for.
    fn families(
        &mut self,
        at: &str,
        method: &Method,
        role: Option<&str>,
        family: Option<&str>,
    ) -> Vec<&'a Family> {
        let rules = self.rules;
        match (role, family) {
            (Some(role), None) => match method.roles.iter().find(|known| known.id == role) {
                Some(role) => role.families.iter().filter_map(|id| rules.family(id)).collect(),
                None => {
                    self.unresolved(at, "role", role);
                    Vec::new()
                }
            },
            (None, Some(id)) => match rules.family(id) {
                Some(family) => vec![family],
                None => {
                    self.unresolved(at, "family", id);
                    Vec::new()
                }
            },
            _ => {
                self.add(Problem::RoleOrFamily { at: at.into() });
                Vec::new()
            }
        }
    }
}
