//! Photographs and notes: what belongs where, what waits, what is gone.

use super::*;
use crate::engine::table::Table;
use crate::job::event::Event;

fn id(n: u8) -> Id {
    Id::new(Instant(i64::from(n)), [n; 10])
}

/// A state after some lines of the journal, the n-th of which has `id(n)`, from 1.
fn after(bodies: Vec<Body>) -> State {
    let events: Vec<Event> = (1..)
        .zip(bodies)
        .map(|(n, body)| Event { id: id(n), seq: u64::from(n), at: Instant(i64::from(n)), body })
        .collect();
    State::fold(&events)
}

fn of_job(job: Id) -> About {
    About { job: Some(job), ..About::default() }
}

fn of_stage(job: Id, stage: &str) -> About {
    About { stage: Some(stage.into()), ..of_job(job) }
}

fn photo(about: About, pair: Option<Id>) -> Body {
    Body::PhotoTaken {
        about,
        caption: String::new(),
        moment: "before".into(),
        pair,
        size: [1600, 1200],
    }
}

fn note(about: About, open: bool) -> Body {
    Body::NoteWritten { about, text: "Edge chipped".into(), open }
}

fn job(name: &str) -> Body {
    Body::JobOpened {
        name: name.into(),
        method: "M1".into(),
        switches: Table::new(),
        materials: Table::new(),
        place: Default::default(),
        invented: false,
    }
}

#[test]
fn a_picture_keeps_its_proportion_and_is_never_enlarged() {
    assert_eq!(kept_size([4000, 3000]), [1600, 1200]);
    assert_eq!(kept_size([3024, 4032]), [1200, 1600]);
    assert_eq!(kept_size([1600, 900]), [1600, 900]);
    assert_eq!(kept_size([640, 480]), [640, 480]);
    assert_eq!(kept_size([20_000, 3]), [1600, 1]);
    assert_eq!(kept_size([u32::MAX, u32::MAX]), [1600, 1600]);
    assert_eq!(kept_size([0, 0]), [0, 0]);
}

#[test]
fn a_job_shows_what_its_stages_have_and_a_stage_only_its_own() {
    let state = after(vec![
        job("Finial"),
        photo(of_stage(id(1), "M1.01"), None),
        photo(of_stage(id(1), "M1.02"), None),
        photo(of_job(id(1)), None),
        photo(of_job(id(9)), None),
        photo(About { mould: Some(id(8)), ..About::default() }, None),
        note(of_stage(id(1), "M1.01"), false),
    ]);
    assert_eq!(photos(&state, &of_job(id(1))), [id(2), id(3), id(4)]);
    assert_eq!(photos(&state, &of_stage(id(1), "M1.02")), [id(3)]);
    let mould = About { mould: Some(id(8)), ..About::default() };
    assert_eq!(photos(&state, &mould), [id(6)]);
    assert_eq!(notes(&state, &of_job(id(1))), [id(7)]);
    assert_eq!(notes(&state, &of_stage(id(1), "M1.02")), []);
    assert_eq!(photos(&state, &About::default()).len(), 5);
}

#[test]
fn notes_wait_until_they_are_written_up_or_their_job_is_put_away() {
    let mut bodies = vec![
        job("Finial"),
        note(of_job(id(1)), true),
        note(of_job(id(1)), false),
        note(About::default(), true),
    ];
    assert_eq!(waiting(&after(bodies.clone())), [id(2), id(4)]);
    bodies.push(Body::NoteSettled { note: id(4) });
    assert_eq!(waiting(&after(bodies.clone())), [id(2)]);
    bodies.push(Body::JobDiscarded { job: id(1) });
    assert_eq!(waiting(&after(bodies.clone())), []);
    // Undone, the job is back, and so is what waits.
    bodies.push(Body::Undone { event: id(6) });
    assert_eq!(waiting(&after(bodies)), [id(2)]);
}

#[test]
fn a_photograph_knows_what_it_repeats_and_a_removed_one_is_gone() {
    let mut bodies = vec![photo(About::default(), None), photo(About::default(), Some(id(1)))];
    let strokes = "1 2".to_owned();
    bodies.push(Body::PhotoMarked { photo: id(2), strokes, caption: "Chipped".into() });
    let state = after(bodies.clone());
    assert_eq!(state.record.photos[&id(2)].pair, Some(id(1)));
    assert_eq!(state.record.photos[&id(2)].strokes, "1 2");
    assert_eq!(state.record.photos[&id(2)].caption, "Chipped");
    bodies.push(Body::PhotoRemoved { photo: id(2) });
    let state = after(bodies);
    assert_eq!(photos(&state, &About::default()), [id(1)]);
}

#[test]
fn an_unknown_moment_is_one_of_the_work() {
    assert_eq!(moment("before"), "Before");
    assert_eq!(moment("some day"), "At work");
}
