//! The order of an own method's stages and what they wait for.

use super::{Problem, families};
use crate::trade::model::{Method, Rules, Stage};

/// Puts the stages into the order of the file. One that the file does not name
/// stays behind the one that it follows in the copied method and what the shop put
/// there: so it is enough to name a new stage and the one before it, and a stage
/// that a newer table adds finds its place. `own` are the shop's own stages.
pub(super) fn arrange(
    method: &mut Method,
    order: &[String],
    own: &[String],
) -> Result<(), Problem> {
    let mut codes: Vec<String> = Vec::new();
    for code in order {
        if codes.contains(code) {
            return Err(Problem::Twice { name: code.clone() });
        }
        if !method.stages.iter().any(|stage| &stage.id == code) {
            return Err(Problem::Unknown {
                at: "“order”".into(),
                what: "stage",
                name: code.clone(),
            });
        }
        codes.push(code.clone());
    }
    let mut before = None;
    for stage in &method.stages {
        let place = codes.iter().position(|code| code == &stage.id).unwrap_or_else(|| {
            let mut place = before.map_or(0, |place: usize| place + 1);
            while codes.get(place).is_some_and(|code| own.contains(code)) {
                place += 1;
            }
            codes.insert(place, stage.id.clone());
            place
        });
        before = Some(place);
    }
    let mut arranged = Vec::new();
    for code in codes {
        let found = method.stages.iter().position(|stage| stage.id == code);
        arranged.extend(found.map(|at| method.stages.remove(at)));
    }
    method.stages = arranged;
    Ok(())
}

/// Checks that every stage, cure and window that a stage waits for is there.
pub(super) fn resolve(rules: &Rules, method: &Method) -> Result<(), Problem> {
    for stage in &method.stages {
        let unknown = |what, name: &str| {
            Err(Problem::Unknown { at: stage.id.clone(), what, name: name.to_owned() })
        };
        for need in &stage.needs {
            if !method.stages.iter().any(|other| &other.id == need) {
                return unknown("stage", need);
            }
        }
        for wait in &stage.waits {
            let slot = method.stages.iter().flat_map(|other| &other.cures);
            let Some(slot) = slot.into_iter().find(|slot| slot.id == wait.cure) else {
                return unknown("cure", &wait.cure);
            };
            for family in families(rules, &method.roles, slot) {
                let profile = family.profile(&slot.profile);
                if profile.and_then(|profile| profile.window(&wait.window)).is_none() {
                    return unknown("window of that clock", &wait.window);
                }
            }
        }
    }
    Ok(())
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
        let Some(at) = method.stages.iter().position(|stage| stage.id == id) else { continue };
        let gone = method.stages.remove(at);
        for stage in &mut method.stages {
            inherit(stage, &gone);
        }
        for cure in &gone.cures {
            forget(method, &cure.id);
        }
        let guards = !gone.hazards.is_empty() || gone.checks.iter().any(|check| check.must);
        let next = at.min(method.stages.len().saturating_sub(1));
        if let Some(next) = method.stages.get_mut(next).filter(|_| guards && !reason.is_empty()) {
            next.cautions.push(format!("Stage left out: “{}” Why: {reason}", gone.title));
        }
    }
}

/// Lets a stage wait for what a stage waited for that it waited for itself.
fn inherit(stage: &mut Stage, gone: &Stage) {
    let Some(at) = stage.needs.iter().position(|need| need == &gone.id) else { return };
    stage.needs.remove(at);
    for need in &gone.needs {
        if !stage.needs.contains(need) {
            stage.needs.push(need.clone());
        }
    }
    for wait in &gone.waits {
        if !stage.waits.contains(wait) {
            stage.waits.push(wait.clone());
        }
    }
}

/// Checks that the stages can be walked.
pub(super) fn check(method: &Method) -> Result<(), Problem> {
    let stages = &method.stages;
    if stages.is_empty() {
        return Err(Problem::NoStages);
    }
    let place = |id: &str| stages.iter().position(|stage| stage.id == id);
    for (at, stage) in stages.iter().enumerate() {
        let before = ancestors(stages, stage);
        if before.contains(&at) {
            return Err(Problem::Loop { stage: stage.title.clone() });
        }
        let mut starts = Vec::new();
        for wait in &stage.waits {
            let starter = stages.iter().position(|s| s.cures.iter().any(|c| c.id == wait.cure));
            let Some(starter) = starter.filter(|starter| before.contains(starter)) else {
                let (stage, cure) = (stage.title.clone(), wait.cure.clone());
                return Err(Problem::Unreached { stage, cure });
            };
            starts.push(starter);
        }
        let needs = stage.needs.iter().filter_map(|need| place(need)).chain(starts);
        if let Some(later) = needs.filter(|need| *need > at).find_map(|need| stages.get(need)) {
            let (stage, later) = (stage.title.clone(), later.title.clone());
            return Err(Problem::Later { stage, later });
        }
    }
    Ok(())
}

/// The places of all stages that must be done before one; its own as well where
/// it waits for itself in a circle.
fn ancestors(stages: &[Stage], of: &Stage) -> Vec<usize> {
    let mut found = Vec::new();
    let mut open = vec![of];
    while let Some(stage) = open.pop() {
        for need in &stage.needs {
            let Some(at) = stages.iter().position(|other| &other.id == need) else { continue };
            if !found.contains(&at) {
                found.push(at);
                open.extend(stages.get(at));
            }
        }
    }
    found
}
