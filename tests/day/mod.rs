//! A day at an invented bench, for tests of the clocks.

#![allow(dead_code, reason = "each test file uses its part of it")]

use benchtide::engine::quantity::{Celsius, Grams, Instant, Percent};
use benchtide::job::event::{Body, Event, Finding, Id, Material, Place};
use benchtide::job::live::{self, LiveCure};
use benchtide::job::state::State;
use benchtide::trade::rules;

/// Minutes after midnight of the scenario's day, as an instant.
pub fn at(clock: &str) -> Instant {
    let (hours, minutes) = clock.split_once(':').unwrap();
    let minutes = hours.parse::<i64>().unwrap() * 60 + minutes.parse::<i64>().unwrap();
    Instant(1_700_000_000_000 + minutes * 60_000)
}

pub struct Day {
    pub events: Vec<Event>,
}

impl Day {
    pub fn new() -> Self {
        Self { events: Vec::new() }
    }

    pub fn add(&mut self, at: Instant, body: Body) -> Id {
        let n = self.events.len() as u64 + 1;
        let id = Id::new(at, [n as u8; 10]);
        self.events.push(Event { id, seq: n, at, body });
        id
    }

    pub fn reading(&mut self, clock: &str, air: Option<f64>, surface: Option<f64>) -> Id {
        let taken = at(clock);
        self.add(
            taken,
            Body::ReadingTaken {
                place: Place::Bench,
                job: None,
                air: air.map(Celsius),
                humidity: Some(Percent(58.0)),
                surface: surface.map(Celsius),
                water: None,
                taken,
            },
        )
    }

    pub fn start(
        &mut self,
        clock: &str,
        family: &str,
        profile: &str,
        catalyst: Option<f64>,
        mass: Option<f64>,
    ) -> Id {
        self.start_of(clock, Material::Family(family.into()), profile, catalyst, mass)
    }

    pub fn start_of(
        &mut self,
        clock: &str,
        material: Material,
        profile: &str,
        catalyst: Option<f64>,
        mass: Option<f64>,
    ) -> Id {
        let started = at(clock);
        self.add(
            started,
            Body::CureStarted {
                job: None,
                stage: None,
                slot: None,
                title: profile.into(),
                material,
                profile: profile.into(),
                catalyst: catalyst.map(Percent),
                mass: mass.map(Grams),
                batch: None,
                started,
                place: Place::Bench,
                reason: None,
            },
        )
    }

    pub fn observe(&mut self, clock: &str, cure: Id, window: &str, finding: Finding) {
        let seen = at(clock);
        self.add(seen, Body::Observed { cure, window: window.into(), finding, seen });
    }

    pub fn state(&self) -> State {
        State::fold(&self.events)
    }

    pub fn bench(&self, clock: &str) -> Vec<LiveCure> {
        live::all(rules(), &self.state(), at(clock)).0
    }

    pub fn cure(&self, id: Id, clock: &str) -> LiveCure {
        self.bench(clock).into_iter().find(|cure| cure.id == id).unwrap()
    }
}
