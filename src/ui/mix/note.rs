//! Noting a batch, with its first clock or as thrown away.

use crate::device::clock;
use crate::engine::quantity::{Grams, Percent};
use crate::job::command::{self, Start};
use crate::job::demo::Draft;
use crate::job::event::{Body, Id, Material, Part, Place};
use crate::trade::model::{Family, Profile};
use crate::ui::app::go;
use crate::ui::route::Route;
use crate::ui::store::Store;

/// A batch as it was weighed.
pub struct Made {
    /// What it is made of.
    pub material: Material,
    /// What it is for.
    pub title: String,
    /// Job, stage, number of the material in the stage.
    pub of: Option<(Id, String, usize)>,
    /// Its parts.
    pub parts: Vec<Part>,
    /// Catalyst level, for families cured by peroxide.
    pub level: Option<Percent>,
}

/// What comes after a batch was weighed.
#[derive(Clone, Copy, PartialEq)]
pub enum Then {
    /// Back to the stage, whose clocks start there.
    Stage,
    /// Its first clock starts.
    Clock,
    /// It was spoiled, and is thrown away whole.
    ThrownAway,
}

/// The clock that mixing starts: the pot, or for water-mixed powders the mix.
pub fn first_clock(family: &'static Family) -> Option<&'static Profile> {
    family.profile("pot").or_else(|| family.profile("mix")).or_else(|| family.profiles.first())
}

/// Notes the batch and does what comes then; `after` is called when it is durable.
pub fn record(
    store: Store,
    family: &'static Family,
    made: Made,
    then: Then,
    after: impl FnOnce() + 'static,
) {
    let now = clock::now();
    let (job, stage) = match &made.of {
        Some((job, stage, _)) => (Some(*job), Some(stage.clone())),
        None => (None, None),
    };
    let id = store.new_id(now);
    let weighed = made.parts.iter().map(|part| part.actual.unwrap_or(part.target));
    let mass = weighed.fold(Grams(0.0), |sum, part| sum + part);
    let place = store
        .state
        .with_untracked(|s| job.and_then(|job| s.jobs.get(&job)).map(|job| job.place))
        .unwrap_or(Place::Bench);
    let batch = Body::BatchMixed {
        job,
        stage: stage.clone(),
        title: made.title.clone(),
        material: made.material.clone(),
        parts: made.parts,
        catalyst: made.level,
    };
    let mut drafts = vec![Draft { id, at: now, body: batch }];
    if then == Then::ThrownAway {
        let body = Body::BatchUsedUp { batch: id, used: now, left: Some(mass) };
        drafts.push(Draft { id: store.new_id(now), at: now, body });
    }
    if then == Then::Clock
        && let Some(profile) = first_clock(family)
    {
        let begin = Start {
            of: job.zip(stage.clone()).map(|(job, stage)| (job, stage, None)),
            title: family.clock_title(profile),
            material: made.material,
            profile: profile.id.clone(),
            catalyst: made.level.filter(|_| profile.catalysed),
            mass: Some(mass),
            batch: Some(id),
            started: now,
            place,
            reason: None,
        };
        let body =
            store.state.with_untracked(|state| command::start(store.rules(), state, begin, now));
        match body {
            Ok(body) => {
                drafts.push(Draft { id: store.new_id(now), at: now, body });
            }
            Err(refusal) => {
                store.refuse(refusal.to_string());
                return;
            }
        }
    }
    if then == Then::ThrownAway {
        store.append_drafts(drafts, "Noted, and thrown away".into(), after);
        return;
    }
    let back = match (job, stage) {
        (Some(job), Some(stage)) => Route::Stage(job, stage),
        _ => Route::Bench,
    };
    store.append_drafts(drafts, "Batch noted".into(), move || {
        after();
        go(&back);
    });
}
