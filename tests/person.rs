//! The one next step beside a living person, and when to talk to them: every
//! five minutes, off within twenty (trade reference M8, common practice).

use benchtide::engine::quantity::{Instant, Minutes};
use benchtide::engine::table::Table;
use benchtide::job::event::{Body, Id, Material, Place};
use benchtide::job::person::{self, Step};
use benchtide::trade::rules;

mod day;

use day::{Day, at};

/// A face whose cast is about to begin: everything before the alginate is done.
fn face(day: &mut Day) -> Id {
    let job = day.add(
        at("09:00"),
        Body::JobOpened {
            name: "Face".into(),
            method: "M8".into(),
            switches: Table::new(),
            materials: Table::new(),
            place: Place::Bench,
            invented: false,
        },
    );
    for stage in ["M8.01", "M8.02", "M8.03", "M8.04"] {
        day.add(at("09:05"), Body::StageFinished { job, stage: stage.into() });
    }
    job
}

fn next(day: &Day, job: Id, clock: &str) -> Step {
    person::next(rules(), &day.state(), &day.bench(clock), job)
}

fn start(
    day: &mut Day,
    clock: &str,
    job: Id,
    (stage, slot): (&str, &str),
    family: &str,
    profile: &str,
) -> Id {
    day.add(
        at(clock),
        Body::CureStarted {
            job: Some(job),
            stage: Some(stage.into()),
            slot: Some(slot.into()),
            title: slot.into(),
            material: Material::Family(family.into()),
            profile: profile.into(),
            catalyst: None,
            mass: None,
            batch: None,
            started: at(clock),
            place: Place::Bench,
            reason: None,
        },
    )
}

#[test]
fn only_the_life_cast_works_on_a_person() {
    let on_person: Vec<&str> = rules()
        .methods
        .iter()
        .filter(|method| person::on_person(method))
        .map(|method| method.id.as_str())
        .collect();
    assert_eq!(on_person, ["M8"]);
}

#[test]
fn it_is_time_to_talk_every_five_minutes() {
    let began = Instant(1_700_000_000_000);
    let after = |minutes: f64| person::prompts(rules(), began, began + Minutes(minutes));
    assert_eq!(
        [after(0.0), after(4.9), after(5.0), after(9.9), after(10.0), after(21.0)],
        [0, 0, 1, 1, 2, 4]
    );
    // A clock that was set back asks for nothing.
    assert_eq!(after(-30.0), 0);
    assert_eq!(person::aim(rules()), Minutes(20.0));
}

#[test]
fn one_step_follows_the_other_and_none_is_skipped() {
    let mut day = Day::new();
    day.reading("09:00", Some(22.0), None);
    let job = face(&mut day);
    assert!(matches!(next(&day, job, "09:10"), Step::Start { slot, .. } if slot == "alginate"));
    start(&mut day, "09:10", job, ("M8.05", "alginate"), "ALG-R", "mix");
    let mut ticked = Vec::new();
    while let Step::Tick { stage, check } = next(&day, job, "09:10") {
        assert_eq!(stage.id, "M8.05");
        ticked.push(check.id.clone());
        let (stage, check) = (stage.id.clone(), check.id.clone());
        day.add(at("09:10"), Body::CheckTicked { job, stage, check, values: Table::new() });
    }
    assert_eq!(ticked, ["weighed", "clock", "smooth"]);
    assert!(matches!(next(&day, job, "09:10"), Step::Finish { stage } if stage.id == "M8.05"));
    day.add(at("09:10"), Body::StageFinished { job, stage: "M8.05".into() });
    // At once the person's own clock, if the alginate can be worked.
    match next(&day, job, "09:11") {
        Step::Start { stage, slot } => {
            assert_eq!((stage.id.as_str(), slot.as_str()), ("M8.06", "person"))
        }
        Step::Test { window, .. } => assert!(!window.is_empty()),
        other => panic!("{other:?}"),
    }
    let person = start(&mut day, "09:11", job, ("M8.06", "person"), "PB", "person");
    assert_eq!(person::clock(&day.state(), job).map(|cure| cure.id), Some(person));
    let ended = Body::CureEnded { cure: person, how: benchtide::job::event::Ending::Finished };
    day.add(at("09:25"), ended);
    assert_eq!(person::clock(&day.state(), job), None);
}

#[test]
fn a_job_that_is_not_there_has_nothing_left_to_do() {
    let day = Day::new();
    assert_eq!(next(&day, Id::new(Instant(1), [9; 10]), "09:00"), Step::Over);
}
