//! What goes with what, against the trade reference's table (3.11, common
//! practice; P16 for epoxy in platinum silicone), and what it does to a pour.

use benchtide::engine::air::{GateReason, GateVerdict};
use benchtide::engine::quantity::{Celsius, Percent};
use benchtide::engine::table::Table;
use benchtide::job::event::{Body, Id, Place};
use benchtide::job::{command, gate};
use benchtide::trade::model::{MouldMaterial, Question, Verdict};
use benchtide::trade::rules;

mod day;

use day::{Day, at};

fn verdict(row: &str, face: &str) -> Verdict {
    let column = MouldMaterial::ALL.iter().position(|(_, id, _)| *id == face).unwrap();
    rules().pairings.iter().find(|one| one.id == row).unwrap().cells[column].verdict
}

#[test]
fn every_row_answers_for_every_face() {
    for row in &rules().pairings {
        assert_eq!(row.cells.len(), MouldMaterial::ALL.len(), "{}", row.id);
        for cell in &row.cells {
            assert!(cell.note.ends_with('.'), "{}: {}", row.id, cell.note);
        }
    }
    let of = |kind| rules().pairings.iter().filter(|row| row.kind == kind).count();
    assert_eq!((of(Question::Surface), of(Question::Cast)), (10, 6));
}

#[test]
fn what_the_reference_forbids_is_forbidden() {
    // Trade reference 3.11: every "no", and "never in mass" for plaster on skin.
    // Latex and fast-cast "no", polyester in urethane "no or short life".
    let forbidden = [
        ("water-clay", "urethane"),
        ("sulphur-clay", "platinum"),
        ("sulphur-clay", "latex"),
        ("fresh-resin", "platinum"),
        ("cured-tin", "platinum"),
        ("skin", "tin"),
        ("skin", "urethane"),
        ("skin", "latex"),
        ("skin", "laminate"),
        ("skin", "plaster"),
        ("polyester", "urethane"),
        ("polyester", "latex"),
        ("epoxy", "latex"),
        ("fast-cast", "latex"),
        ("wax", "laminate"),
        ("cement", "plaster"),
        ("skin", "platinum"),
    ];
    for row in &rules().pairings {
        for (_, face, _) in MouldMaterial::ALL {
            let no = verdict(&row.id, face) == Verdict::No;
            assert_eq!(no, forbidden.contains(&(row.id.as_str(), face)), "{} {face}", row.id);
        }
    }
    // Silicone bonds to itself; platinum is the better mould for epoxy (P16).
    assert_eq!(verdict("cured-tin", "tin"), Verdict::Bonds);
    assert_eq!(verdict("cured-platinum", "platinum"), Verdict::Bonds);
    assert_eq!(verdict("epoxy", "platinum"), Verdict::Ok);
    assert_eq!(verdict("epoxy", "tin"), Verdict::Test);
}

/// A job in a room of this temperature, read at nine.
fn opened(day: &mut Day, air: f64) -> Id {
    let reading = Body::ReadingTaken {
        place: Place::Bench,
        job: None,
        air: Some(Celsius(air)),
        humidity: Some(Percent(50.0)),
        surface: None,
        water: None,
        taken: at("09:00"),
    };
    day.add(at("09:00"), reading);
    let job = Body::JobOpened {
        name: "Finial".into(),
        method: "M1".into(),
        switches: Table::new(),
        materials: Table::new(),
        place: Place::Bench,
        invented: false,
    };
    day.add(at("09:00"), job)
}

/// A job about to mix its rubber in a good room, with these entries.
fn pour(entries: &[(&str, &str)]) -> Vec<GateReason> {
    let mut day = Day::new();
    let job = opened(&mut day, 22.0);
    for (field, entry) in entries {
        let (field, entry) = ((*field).to_owned(), Some((*entry).to_owned()));
        day.add(
            at("09:01"),
            Body::SheetFilled { job: Some(job), sheet: "fit".into(), field, entry },
        );
    }
    let state = day.state();
    let at_stage = command::at(rules(), &state, job, "M1.26").unwrap();
    match gate::judge(rules(), &state, &at_stage, at("09:05"), at("23:00")).unwrap() {
        GateVerdict::Pass => Vec::new(),
        GateVerdict::Warn(reasons) | GateVerdict::Stop(reasons) => reasons,
    }
}

#[test]
fn a_pour_onto_what_stops_its_cure_is_stopped() {
    assert_eq!(pour(&[]), []);
    assert_eq!(pour(&[("surface", "oil-clay")]), []);
    assert_eq!(pour(&[("surface", "mineral")]), [GateReason::Untested]);
    assert_eq!(pour(&[("surface", "mineral"), ("patch", "clean")]), []);
    assert_eq!(pour(&[("surface", "mineral"), ("patch", "tacky")]), [GateReason::PatchTacky]);
    let platinum = pour(&[("face", "platinum"), ("surface", "sulphur-clay"), ("patch", "clean")]);
    assert!(matches!(platinum[..], [GateReason::Unsuited { .. }]), "{platinum:?}");
    assert!(platinum[0].stops() && platinum[0].to_string().contains("Sulphur"));
    // What it touches besides counts as much.
    let second = pour(&[("face", "platinum"), ("surface", "oil-clay"), ("second", "cured-tin")]);
    assert!(second.iter().any(GateReason::stops), "{second:?}");
}

#[test]
fn the_room_is_still_judged_beside_it() {
    let mut day = Day::new();
    let job = opened(&mut day, 4.0);
    let fill = |field: &str, entry: &str| Body::SheetFilled {
        job: Some(job),
        sheet: "fit".into(),
        field: field.into(),
        entry: Some(entry.into()),
    };
    day.add(at("09:01"), fill("surface", "mineral"));
    let state = day.state();
    let stage = command::at(rules(), &state, job, "M1.26").unwrap();
    let verdict = gate::judge(rules(), &state, &stage, at("09:05"), at("23:00")).unwrap();
    let GateVerdict::Stop(reasons) = verdict else { panic!("{verdict:?}") };
    assert!(reasons.len() >= 2 && reasons.contains(&GateReason::Untested), "{reasons:?}");
}
