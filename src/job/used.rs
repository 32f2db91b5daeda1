//! Planned against the log: what a stage was to take of a material, and what
//! its batches really took. The waste that really was is the only good answer
//! to "how much more?" the next time.

use crate::engine::quantity::{Grams, Percent};
use crate::engine::takeoff::{Quantity, Sum};
use crate::trade::model::{Family, MaterialUse, Rules};

use super::amount;
use super::card;
use super::command::{self, At};
use super::event::{Id, Material};
use super::stage;
use super::state::State;

/// What was planned of a material, and what was really used. Resin counts
/// without its catalyst, all other mixes whole.
#[derive(Clone, Debug, PartialEq)]
pub struct Used {
    /// The material.
    pub material: Material,
    /// Planned, if nothing were lost.
    pub net: Grams,
    /// Planned, with what is added for loss.
    pub planned: Grams,
    /// Weighed into batches.
    pub weighed: Grams,
    /// Left over when the tubs were empty, and thrown away.
    pub left: Grams,
    /// Whether the work is finished: before that, a difference says nothing.
    pub finished: bool,
}

impl Used {
    /// What went into the work, with what stuck to tubs and brushes.
    pub fn used(&self) -> Grams {
        self.weighed - self.left
    }

    /// The loss that the plan allows for.
    pub fn planned_loss(&self) -> Option<Percent> {
        over(self.planned, self.net)
    }

    /// The loss that really was; below nothing when less did. Only known once
    /// the work is finished.
    pub fn real_loss(&self) -> Option<Percent> {
        over(self.used(), self.net).filter(|_| self.finished)
    }

    /// The comparison, line by line.
    pub fn sum(&self) -> Sum {
        let mut sum = Sum::default()
            .with("Planned, if nothing were lost", Quantity::Mass(self.net))
            .with("Planned, with loss", Quantity::Mass(self.planned));
        if let Some(loss) = self.planned_loss() {
            sum = sum.with("Loss planned", Quantity::Percent(loss));
        }
        sum = sum
            .with("Weighed", Quantity::Mass(self.weighed))
            .with("Left over in the tubs", Quantity::Mass(self.left))
            .with("Really used", Quantity::Mass(self.used()));
        match self.real_loss() {
            Some(loss) => sum.with("Loss that really was", Quantity::Percent(loss)),
            None => sum,
        }
    }
}

fn over(mass: Grams, net: Grams) -> Option<Percent> {
    (net > Grams(0.0)).then(|| Percent((mass / net - 1.0) * 100.0))
}

/// What was weighed of a family for a stage, and what of that was left over, as
/// it counts against the planned amount.
pub fn weighed(
    rules: &'static Rules,
    state: &State,
    at: &At<'_>,
    family: &Family,
) -> (Grams, Grams) {
    let (mut weighed, mut left) = (Grams(0.0), Grams(0.0));
    for batch in state.batches.values() {
        let here = batch.job == Some(at.job.id) && batch.stage.as_ref() == Some(&at.stage.id);
        let resolved = || card::resolve(rules, state, &batch.material);
        if !here || !resolved().is_ok_and(|(of, _)| of.id == family.id) {
            continue;
        }
        let counts = amount::as_planned(family, batch);
        weighed = weighed + counts;
        if let Some((_, Some(thrown))) = batch.used
            && batch.weighed() > Grams(0.0)
        {
            left = left + counts * (thrown / batch.weighed()).min(1.0);
        }
    }
    (weighed, left)
}

/// The comparison of one material of a stage; none before a batch of it was
/// weighed, or while its amount can't be worked out.
pub fn of_stage(
    rules: &'static Rules,
    state: &State,
    at: &At<'_>,
    used: &MaterialUse,
) -> Option<Used> {
    let material = amount::material(at, used)?;
    let (family, _) = card::resolve(rules, state, &material).ok()?;
    let mass = |loss| match amount::work(rules, state, at, used, loss).ok()?.main {
        Quantity::Mass(mass) => Some(mass),
        _ => None,
    };
    let (weighed, left) = weighed(rules, state, at, family);
    (weighed > Grams(0.0)).then_some(Used {
        material,
        net: mass(false)?,
        planned: mass(true)?,
        weighed,
        left,
        finished: at.job.finished.contains_key(&at.stage.id),
    })
}

/// The comparison of each material of a job, over its finished stages.
pub fn of_job(rules: &'static Rules, state: &State, job: Id) -> Vec<Used> {
    let mut all: Vec<Used> = Vec::new();
    let Some(of) = state.jobs.get(&job) else { return all };
    let Some(method) = state.method(rules, &of.method) else { return all };
    for stage in stage::stages(method, of) {
        let Ok(at) = command::at(rules, state, job, &stage.id) else { continue };
        for used in stage::materials(method, of, stage) {
            let Some(one) = of_stage(rules, state, &at, used).filter(|one| one.finished) else {
                continue;
            };
            match all.iter_mut().find(|other| other.material == one.material) {
                Some(other) => {
                    other.net = other.net + one.net;
                    other.planned = other.planned + one.planned;
                    other.weighed = other.weighed + one.weighed;
                    other.left = other.left + one.left;
                }
                None => all.push(one),
            }
        }
    }
    all
}
