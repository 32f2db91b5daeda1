//! A shop of 10,000 events to look things up in.

use benchtide::engine::quantity::{Celsius, Grams, Instant, Minutes};
use benchtide::engine::table::Table;
use benchtide::job::event::{About, Body, Event, Finding, Id, Material, Part, Place};
use benchtide::job::find::answer::{Question, answer};
use benchtide::job::find::{Filter, find};
use benchtide::job::state::State;
use benchtide::trade::rules;

/// 500 jobs with four of everything each.
pub fn shop() -> State {
    let mut events: Vec<Event> = Vec::new();
    let mut add = |body: Body| {
        let seq = events.len() as u64 + 1;
        let at = Instant(1_700_000_000_000) + Minutes(seq as f64 * 5.0);
        let mut random = [0; 10];
        random[2..].copy_from_slice(&seq.to_be_bytes());
        let id = Id::new(at, random);
        events.push(Event { id, seq, at, body });
        (id, at)
    };
    for number in 0..500 {
        let (job, _) = add(Body::JobOpened {
            name: format!("Bust {number}"),
            method: if number % 2 == 0 { "M1" } else { "M9a" }.into(),
            switches: Table::new(),
            materials: Table::new(),
            place: Place::Bench,
            invented: false,
        });
        for again in 0..4 {
            let (_, at) = add(Body::StageFinished { job, stage: format!("M1.0{}", again + 1) });
            add(Body::ReadingTaken {
                place: Place::Bench,
                job: None,
                air: Some(Celsius(12.0 + f64::from(number % 12))),
                humidity: None,
                surface: None,
                water: None,
                taken: at,
            });
            let (cure, started) = add(Body::CureStarted {
                job: Some(job),
                stage: None,
                slot: None,
                title: "gel coat".into(),
                material: Material::Family("UP-GEL".into()),
                profile: "film".into(),
                catalyst: None,
                mass: None,
                batch: None,
                started: at,
                place: Place::Bench,
                reason: None,
            });
            add(Body::Observed {
                cure,
                window: "overcoat".into(),
                finding: Finding::Ready,
                seen: started + Minutes(90.0),
            });
            let part = Part { name: "base".into(), target: Grams(500.0), actual: None };
            add(Body::BatchMixed {
                job: Some(job),
                stage: Some("M1.12".into()),
                title: "Gel coat".into(),
                material: Material::Family("UP-GEL".into()),
                parts: vec![part],
                catalyst: None,
            });
        }
        let about = About { job: Some(job), ..About::default() };
        add(Body::NoteWritten { about, text: "Pin holes at the rim".into(), open: false });
    }
    assert!(events.len() >= 10_000);
    State::fold(&events)
}

/// Words over everything.
pub fn search(state: &State) -> usize {
    find(rules(), state, &Filter { text: "bust 49 gel".into(), ..Filter::default() }, 50).all
}

/// All of it, newest first.
pub fn all(state: &State) -> usize {
    find(rules(), state, &Filter::default(), 50).all
}

/// The dearest questions, over everything.
pub fn ask(state: &State, question: Question) -> usize {
    let near = (question == Question::Took).then_some(Celsius(15.0));
    answer(question, rules(), state, &Filter { near, ..Filter::default() }).len()
}
