//! The order of an own method's stages and what they wait for.

use super::{Reader, Wrong, families};
use crate::trade::model::{Method, Stage};

impl Reader<'_> {
    /// Puts the stages into the order of the file. One that the file does not name
    /// stays behind the one that it follows in the copied method and what the shop
    /// put there: so it is enough to name a new stage and the one before it, and a
    /// stage that a newer table adds finds its place. `own` are the shop's own.
    pub(super) fn arrange(&mut self, method: &mut Method, order: Vec<String>, own: &[String]) {
        "the order".clone_into(&mut self.at);
        let mut codes: Vec<String> = Vec::new();
        for code in order {
            if place(&method.stages, &code).is_none() {
                self.wrong(Wrong::NoStage, &code);
            } else if codes.contains(&code) {
                self.wrong(Wrong::Twice, &code);
            } else {
                codes.push(code);
            }
        }
        let mut next = 0;
        for stage in &method.stages {
            let named = codes.iter().position(|code| code == &stage.id);
            let place = named.unwrap_or_else(|| {
                while codes.get(next).is_some_and(|code| own.contains(code)) {
                    next += 1;
                }
                codes.insert(next, stage.id.clone());
                next
            });
            next = place + 1;
        }
        let mut arranged = Vec::new();
        for code in &codes {
            let found = place(&method.stages, code);
            arranged.extend(found.map(|at| method.stages.remove(at)));
        }
        method.stages = arranged;
    }

    /// Every stage, cure and window that a stage waits for must be there.
    pub(super) fn resolve(&mut self, method: &Method) {
        for stage in &method.stages {
            self.at.clone_from(&stage.id);
            for need in &stage.needs {
                if place(&method.stages, need).is_none() {
                    self.wrong(Wrong::NoStage, need);
                }
            }
            for wait in &stage.waits {
                let mut slots = method.stages.iter().flat_map(|other| &other.cures);
                let Some(slot) = slots.find(|slot| slot.id == wait.cure) else {
                    self.wrong(Wrong::NoCure, &wait.cure);
                    continue;
                };
                for family in families(self.rules, &method.roles, slot) {
                    let profile = family.profile(&slot.profile);
                    if profile.and_then(|profile| profile.window(&wait.window)).is_none() {
                        self.wrong(Wrong::NoWindow, &wait.window);
                    }
                }
            }
        }
    }

    /// The stages must lend themselves to be walked.
    pub(super) fn walk(&mut self, method: &Method) {
        let stages = &method.stages;
        if stages.is_empty() {
            self.wrong(Wrong::NoStages, "");
        }
        for (at, stage) in stages.iter().enumerate() {
            self.at.clone_from(&stage.title);
            let before = ancestors(stages, stage);
            if before.contains(&at) {
                self.wrong(Wrong::Loop, "");
            }
            for wait in &stage.waits {
                let starter = stages.iter().position(|s| s.cures.iter().any(|c| c.id == wait.cure));
                if starter.is_none_or(|starter| !before.contains(&starter)) {
                    self.wrong(Wrong::Unreached, &wait.cure);
                }
            }
            for later in before.into_iter().filter(|other| *other > at) {
                self.wrong(Wrong::Later, stages.get(later).map_or("", |later| &later.title));
            }
        }
    }
}

fn place(stages: &[Stage], id: &str) -> Option<usize> {
    stages.iter().position(|stage| stage.id == id)
}

/// Puts what is not there yet behind what is.
pub(super) fn join(all: &mut Vec<String>, more: &[String]) {
    for one in more {
        if !all.contains(one) {
            all.push(one.clone());
        }
    }
}

/// Takes a cure out: nobody waits for it any more.
pub(super) fn forget(method: &mut Method, slot: &str) {
    for stage in &mut method.stages {
        stage.cures.retain(|cure| cure.id != slot);
        stage.waits.retain(|wait| wait.cure != slot);
    }
}

/// Takes stages out. What waited for one then waits for what that waited for. A
/// reason that comes along is said at the stage that follows.
pub(super) fn take_out(method: &mut Method, out: Vec<(String, String)>) {
    for (id, reason) in out {
        let Some(at) = place(&method.stages, &id) else { continue };
        let gone = method.stages.remove(at);
        for stage in &mut method.stages {
            let Some(need) = stage.needs.iter().position(|need| need == &id) else { continue };
            stage.needs.remove(need);
            join(&mut stage.needs, &gone.needs);
            stage.waits.extend(gone.waits.iter().cloned());
        }
        for cure in &gone.cures {
            forget(method, &cure.id);
        }
        let guards = !gone.hazards.is_empty() || gone.checks.iter().any(|check| check.must);
        let next = at.min(method.stages.len().saturating_sub(1));
        if let Some(next) = method.stages.get_mut(next).filter(|_| guards && !reason.is_empty()) {
            next.cautions.push(["Stage left out: “", &gone.title, "” Why: ", &reason].concat());
        }
    }
}

/// The places of all stages that must be done before one; its own as well where
/// it waits for itself in a circle.
fn ancestors(stages: &[Stage], of: &Stage) -> Vec<usize> {
    let mut found = Vec::new();
    let mut open = vec![of];
    while let Some(stage) = open.pop() {
        for at in stage.needs.iter().filter_map(|need| place(stages, need)) {
            if !found.contains(&at) {
                found.push(at);
                open.extend(stages.get(at));
            }
        }
    }
    found
}
