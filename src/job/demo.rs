//! The invented demo: a morning with three cures at once.
//!
//! It starts at the present hour, on a bench of its own ([`Place::Demo`]), so
//! that its readings never move a real cure, and goes again in one tap. The
//! garden-stone finial, the ammonite and the rosettes are our own invention.

use crate::engine::quantity::{Celsius, Grams, Instant, Minutes, Percent};
use crate::engine::sorting::sort_by_key;
use crate::engine::table::Table;
use crate::trade::model::{Method, Rules, Stage};

use super::event::{Body, Finding, Id, Material, Place};
use super::stage;
use super::state::Job;

/// An event of the demo, to be appended in order.
#[derive(Clone, Debug, PartialEq)]
pub struct Draft {
    /// Its id.
    pub id: Id,
    /// When it is said to have happened.
    pub at: Instant,
    /// What happened.
    pub body: Body,
}

/// What the demo's people measured.
const MEASURED: [(&str, f64); 14] = [
    ("blanket-area", 0.25),
    ("blanket-thickness", 12.5),
    ("thickness-min", 11.0),
    ("thickness-max", 13.5),
    ("split-length", 420.0),
    ("flange-loop", 1600.0),
    ("flange-width", 45.0),
    ("clay-before", 9000.0),
    ("clay-after", 3500.0),
    ("cast-volume", 2000.0),
    ("water-mass", 1430.0),
    ("plaster-mass", 2040.0),
    ("room-temp", 17.0),
    ("surface-temp", 15.5),
];

/// The stage at which the finial stands: gel coat on the first front piece.
const FINIAL_STAGE: &str = "M1.12";

/// The demo's events, as of `now`.
pub fn drafts(rules: &Rules, now: Instant, new_id: &mut dyn FnMut(Instant) -> Id) -> Vec<Draft> {
    let mut demo = Demo { drafts: Vec::new(), new_id };
    let ago = |minutes: f64| now - Minutes(minutes);
    demo.reading(ago(110.0), Some(15.5), Some(62.0), None, None);
    demo.reading(ago(90.0), Some(17.0), Some(58.0), None, None);
    if let Some(method) = rules.method("M1") {
        demo.finial(method, now);
    }
    demo.clock(None, "Ammonite, coat 2", "SI-TIN", "coat", ago(55.0), None, None);
    if let Some(method) = rules.method("M9a") {
        demo.rosettes(method, now);
    }
    sort_by_key(&mut demo.drafts, |draft| draft.at);
    demo.drafts
}

struct Demo<'n> {
    drafts: Vec<Draft>,
    new_id: &'n mut dyn FnMut(Instant) -> Id,
}

impl Demo<'_> {
    fn add(&mut self, at: Instant, body: Body) -> Id {
        let id = (self.new_id)(at);
        self.drafts.push(Draft { id, at, body });
        id
    }

    fn reading(
        &mut self,
        taken: Instant,
        air: Option<f64>,
        humidity: Option<f64>,
        surface: Option<f64>,
        job: Option<Id>,
    ) {
        let body = Body::ReadingTaken {
            place: Place::Demo,
            job,
            air: air.map(Celsius),
            humidity: humidity.map(Percent),
            surface: surface.map(Celsius),
            water: None,
            taken,
        };
        self.add(taken, body);
    }

    #[expect(clippy::too_many_arguments, reason = "a line of the invented morning")]
    fn clock(
        &mut self,
        of: Option<(Id, &str, &str)>,
        title: &str,
        family: &str,
        profile: &str,
        started: Instant,
        catalyst: Option<f64>,
        mass: Option<f64>,
    ) -> Id {
        let body = Body::CureStarted {
            job: of.map(|(job, _, _)| job),
            stage: of.map(|(_, stage, _)| stage.to_owned()),
            slot: of.map(|(_, _, slot)| slot.to_owned()),
            title: title.into(),
            material: Material::Family(family.into()),
            profile: profile.into(),
            catalyst: catalyst.map(Percent),
            mass: mass.map(Grams),
            batch: None,
            started,
            place: Place::Demo,
            reason: None,
        };
        self.add(started, body)
    }

    fn job(&mut self, at: Instant, name: &str, method: &Method) -> Job {
        let body = Body::JobOpened {
            name: name.into(),
            method: method.id.clone(),
            switches: Table::new(),
            materials: Table::new(),
            place: Place::Demo,
            invented: true,
        };
        let id = self.add(at, body);
        Job {
            id,
            name: name.into(),
            method: method.id.clone(),
            switches: Table::new(),
            materials: Table::new(),
            place: Place::Demo,
            invented: true,
            opened: at,
            touched: at,
            answers: Table::new(),
            finished: Table::new(),
            overridden: Table::new(),
            measures: Table::new(),
            discarded: false,
        }
    }

    /// Ticks every check of a stage.
    fn tick_all(&mut self, at: Instant, method: &Method, job: &Job, stage: &Stage) {
        for check in stage::checks(method, job, stage) {
            let values = check
                .ask
                .iter()
                .filter_map(|id| {
                    let measure = method.measures.iter().find(|m| &m.id == id)?;
                    let known = MEASURED.iter().find(|(known, _)| known == id).map(|(_, v)| *v);
                    let value = known.or(measure.start)?;
                    Some((id.clone(), value.clamp(measure.least, measure.most)))
                })
                .collect();
            let body = Body::CheckTicked {
                job: job.id,
                stage: stage.id.clone(),
                check: check.id.clone(),
                values,
            };
            self.add(at, body);
        }
    }

    fn finial(&mut self, method: &Method, now: Instant) {
        let ago = |minutes: f64| now - Minutes(minutes);
        let yesterday = ago(26.0 * 60.0);
        let job = self.job(yesterday, "Finial", method);
        let stages = stage::stages(method, &job);
        let upto = stages.iter().position(|s| s.id == FINIAL_STAGE).unwrap_or(0);
        for (index, done) in stages.iter().take(upto).enumerate() {
            let at = yesterday + Minutes(20.0 * (index + 1) as f64);
            self.tick_all(at, method, &job, done);
            self.add(at, Body::StageFinished { job: job.id, stage: done.id.clone() });
        }
        self.reading(ago(35.0), Some(17.0), Some(58.0), Some(15.5), Some(job.id));
        let Some(gel) = stages.get(upto) else { return };
        self.tick_all(ago(17.0), method, &job, gel);
        for slot in stage::slots(method, &job, gel) {
            let of = Some((job.id, gel.id.as_str(), slot.id.as_str()));
            let mass = (slot.profile == "pot").then_some(180.0);
            let started = ago(30.0);
            let cure =
                self.clock(of, &slot.title, "UP-GEL", &slot.profile, started, Some(2.4), mass);
            if slot.profile == "pot" {
                let body = Body::Observed {
                    cure,
                    window: "pot".into(),
                    finding: Finding::Done,
                    seen: ago(17.0),
                };
                self.add(ago(17.0), body);
            }
        }
        self.add(ago(16.0), Body::StageFinished { job: job.id, stage: gel.id.clone() });
    }

    fn rosettes(&mut self, method: &Method, now: Instant) {
        let ago = |minutes: f64| now - Minutes(minutes);
        let job = self.job(ago(60.0), "Rosettes", method);
        // Up to the stage after the one that starts the clock: the pour is in the mould.
        let mut poured = false;
        for stage in stage::stages(method, &job) {
            let at = if poured { ago(5.0) } else { ago(10.0) };
            self.tick_all(at, method, &job, stage);
            let starts = stage::slots(method, &job, stage);
            for slot in &starts {
                let of = Some((job.id, stage.id.as_str(), slot.id.as_str()));
                self.clock(of, &slot.title, "GY-B", &slot.profile, at, None, None);
            }
            self.add(at, Body::StageFinished { job: job.id, stage: stage.id.clone() });
            if poured {
                return;
            }
            poured = !starts.is_empty();
        }
    }
}
