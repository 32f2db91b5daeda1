//! Each kind of mistake is made once in a small sound table and must be found.

use super::*;
use crate::trade::model::{Effect, Phase, StateWord};
use serde_json::json;

/// A small table with one family, one method of two stages, and no mistake.
fn sound() -> Rules {
    let figure =
        |likely: f64, unit: &str| json!({"likely": likely, "unit": unit, "status": "from-memory"});
    serde_json::from_value(json!({
        "sources": [{"id": "P22", "title": "a magazine"}],
        "constants": [{"id": "band-family", "title": "band", "figure": figure(30.0, "%")}],
        "hazards": [{"id": "HZ2", "title": "peroxide", "dangers": "eyes",
                     "controls": ["goggles"], "status": "common-practice"}],
        "ppe": [{"id": "C", "title": "decanting", "wear": "shield"}],
        "faults": [{"id": 4, "title": "wrinkles", "sign": "skin lifts", "prevent": "wait"}],
        "families": [{
            "id": "UP", "title": "Polyester", "short": "resin", "kind": "polyester",
            "hazards": ["HZ2"], "ppe": ["C"],
            "reference": {"temperature": figure(20.0, "C"), "humidity": figure(50.0, "%")},
            "per_ten": figure(2.0, "x"),
            "catalyst": {
                "level": {"low": 1.0, "likely": 2.0, "high": 2.5, "unit": "%",
                          "status": "published", "source": "P22: the range"},
                "warn_above": figure(2.5, "%"), "block_above": figure(3.0, "%"),
                "block_below": figure(1.0, "%"), "exponent": figure(1.0, "x"),
                "density": figure(1.1, "g/ml")},
            "limits": {"wet_min": figure(15.0, "C"), "harden_min": figure(10.0, "C"),
                       "max": figure(30.0, "C")},
            "mixing": "catalysed",
            "properties": [{"id": "density", "title": "density", "figure": figure(1.1, "g/ml")}],
            "profiles": [{
                "id": "film", "title": "film", "starts": "Catalyst in", "driver": "surface",
                "catalysed": true, "mass": figure(0.5, "kg"),
                "milestones": [
                    {"id": "tacky", "title": "tacky", "time": figure(75.0, "min"), "phase": "wet",
                     "effect": "not-before", "firm": true, "word": "tacky"},
                    {"id": "late", "title": "late", "time": figure(24.0, "h"), "phase": "harden",
                     "effect": "finish-by", "word": "hard"}],
                "windows": [{"id": "overcoat", "title": "Overcoat", "opens": "tacky",
                             "closes": "late", "test": "knuckle", "act": "coat",
                             "missed": "abrade", "late": "costs"}]}]
        }],
        "methods": [{
            "id": "M1", "title": "Jacket", "makes": "mould", "idea": "an idea", "suits": "much",
            "switches": [{"id": "front", "title": "Front?", "default": "one", "options": [
                {"id": "one", "title": "one", "note": "n"}, {"id": "split", "title": "two", "note": "n"}]}],
            "roles": [{"id": "resin", "title": "Resin", "families": ["UP"], "default": "UP"}],
            "measures": [{"id": "area", "title": "area", "dimension": "area", "least": 0.0,
                          "most": 9.0, "start": 0.25}],
            "stages": [
                {"id": "A", "title": "Coat", "short": "coat", "mode": "hands-on",
                 "minutes": figure(20.0, "min"), "hazards": ["HZ2"], "ppe": ["C"], "faults": [4],
                 "checks": [{"id": "a", "text": "even", "ask": ["area"], "when": ["front=one"]}],
                 "materials": [{"title": "resin", "role": "resin", "rule": "gel",
                                "inputs": {"area": "area"}}],
                 "cures": [{"id": "gel", "title": "gel", "role": "resin", "profile": "film"}]},
                {"id": "B", "title": "Lay", "short": "lay", "mode": "hands-on",
                 "minutes": figure(40.0, "min"), "needs": ["A"],
                 "waits": [{"cure": "gel", "window": "overcoat"}]}]
        }]
    }))
    .expect("the small table has the shape of the model")
}

/// What is found after one change to the sound table.
fn after(change: impl FnOnce(&mut Rules)) -> Vec<Problem> {
    let mut rules = sound();
    change(&mut rules);
    validate_with(&rules, &["gel"])
}

/// Asserts that the change is found, and that its sentence says what to do.
#[track_caller]
fn found(change: impl FnOnce(&mut Rules), wanted: impl Fn(&Problem) -> bool) {
    let problems = after(change);
    let hit = problems.iter().find(|problem| wanted(problem));
    let sentence = hit.unwrap_or_else(|| panic!("not among {problems:?}")).to_string();
    assert!(sentence.ends_with('.') && sentence.contains(':'), "{sentence}");
}

#[test]
fn a_sound_table_has_no_problems() {
    assert_eq!(after(|_| ()), []);
}

#[test]
fn duplicates() {
    found(
        |rules| rules.hazards.push(rules.hazards[0].clone()),
        |p| matches!(p, Problem::Duplicate { id, .. } if id == "HZ2"),
    );
    found(
        |rules| {
            let again = rules.methods[0].stages[0].clone();
            rules.methods[0].stages.push(again);
        },
        |p| matches!(p, Problem::Duplicate { at, .. } if at == "method M1, cures"),
    );
}

#[test]
fn numbers_that_are_not_or_do_not_rise() {
    found(
        |rules| rules.constants[0].figure.likely = f64::NAN,
        |p| matches!(p, Problem::NotFinite { .. }),
    );
    found(
        |rules| rules.constants[0].figure.low = Some(31.0),
        |p| matches!(p, Problem::Unordered { likely: 30.0, .. }),
    );
}

#[test]
fn units_that_do_not_fit() {
    let wrong = |p: &Problem| matches!(p, Problem::WrongUnit { .. });
    found(|rules| rules.families[0].profiles[0].milestones[0].time.unit = Unit::Gram, wrong);
    found(|rules| rules.families[0].properties[0].figure.unit = Unit::Kilogram, wrong);
    found(|rules| rules.methods[0].stages[0].minutes.unit = Unit::Celsius, wrong);
    found(|rules| rules.constants[0].figure.unit = Unit::Factor, wrong);
    found(
        |rules| rules.families[0].reference.as_mut().unwrap().temperature.unit = Unit::Percent,
        wrong,
    );
}

#[test]
fn published_needs_a_source_of_the_list() {
    found(
        |rules| rules.constants[0].figure.status = Status::Published,
        |p| matches!(p, Problem::NoSource { .. }),
    );
    found(
        |rules| {
            rules.hazards[0].status = Status::Published;
            rules.hazards[0].source = Some("P22, P99: both".into());
        },
        |p| matches!(p, Problem::Unresolved { kind: "source", name, .. } if name == "P99"),
    );
}

#[test]
fn names_that_lead_nowhere() {
    let missing = |wanted: &'static str| move |p: &Problem| matches!(p, Problem::Unresolved { kind, .. } if *kind == wanted);
    found(
        |rules| rules.families[0].profiles[0].windows[0].ideal = Some("best".into()),
        missing("milestone"),
    );
    found(|rules| rules.families[0].hazards.push("HZ99".into()), missing("hazard"));
    found(|rules| rules.methods[0].stages[0].ppe.push("Z".into()), missing("PPE set"));
    found(|rules| rules.methods[0].stages[0].faults.push(99), missing("fault"));
    found(|rules| rules.methods[0].roles[0].families.push("XX".into()), missing("family"));
    found(|rules| rules.methods[0].roles[0].default = "XX".into(), missing("family of its own"));
    found(|rules| rules.methods[0].switches[0].default = "none".into(), missing("option"));
    let stage = |rules: &mut Rules| rules.methods[0].stages[0].clone();
    let put = |rules: &mut Rules, stage| rules.methods[0].stages[0] = stage;
    for (kind, name) in [
        ("measure", "depth"),
        ("amount rule", "guess"),
        ("switch option", "front=three"),
        ("role", "paint"),
        ("profile", "pot"),
        ("stage", "Z"),
    ] {
        found(
            |rules| {
                let mut stage = stage(rules);
                match kind {
                    "measure" => stage.checks[0].ask[0] = name.into(),
                    "amount rule" => stage.materials[0].rule = Some(name.into()),
                    "switch option" => stage.checks[0].when[0] = name.into(),
                    "role" => stage.materials[0].role = Some(name.into()),
                    "profile" => stage.cures[0].profile = name.into(),
                    _ => stage.needs.push(name.into()),
                }
                put(rules, stage);
            },
            missing(kind),
        );
    }
    found(|rules| rules.methods[0].stages[1].waits[0].cure = "cast".into(), missing("cure"));
    found(|rules| rules.methods[0].stages[1].waits[0].window = "trim".into(), missing("window"));
}

#[test]
fn what_a_family_must_have() {
    let lacks = |words: &'static str| move |p: &Problem| matches!(p, Problem::Lacks { what, .. } if what.contains(words));
    found(|rules| rules.families[0].limits = None, lacks("temperature limits"));
    found(|rules| rules.families[0].per_ten = None, lacks("factor per ten"));
    found(|rules| rules.families[0].reference = None, lacks("reference conditions"));
    found(|rules| rules.families[0].catalyst = None, lacks("catalyst level"));
    found(|rules| rules.families[0].properties.clear(), lacks("density"));
    found(|rules| rules.families[0].profiles[0].windows[0].test.clear(), lacks("touch test"));
    found(|rules| rules.families[0].profiles[0].milestones.clear(), lacks("milestone"));
    found(|rules| rules.hazards[0].controls.clear(), lacks("control"));
    found(
        |rules| {
            let window = &mut rules.families[0].profiles[0].windows[0];
            (window.opens, window.closes) = (None, None);
        },
        lacks("opening or close"),
    );
}

#[test]
fn the_order_of_a_clock() {
    let order = |p: &Problem| matches!(p, Problem::OutOfOrder { .. });
    found(|rules| rules.families[0].profiles[0].milestones.swap(0, 1), order);
    found(|rules| rules.families[0].profiles[0].milestones[0].time.likely = 1500.0, order);
    found(
        |rules| rules.families[0].profiles[0].milestones[1].word = Some(StateWord::Gelled),
        order,
    );
    found(
        |rules| {
            let milestone = &mut rules.families[0].profiles[0].milestones[0];
            milestone.effect = Effect::FinishBy;
        },
        |p| matches!(p, Problem::WrongEffect { wanted: "not-before", .. }),
    );
    let phase = |p: &Problem| matches!(p, Problem::WrongPhase { .. });
    found(|rules| rules.families[0].profiles[0].milestones[1].phase = Phase::Wet, phase);
    found(|rules| rules.families[0].profiles[0].milestones[1].firm = true, phase);
}

#[test]
fn numbers_outside_sense() {
    let range = |p: &Problem| matches!(p, Problem::OutOfRange { .. });
    found(|rules| rules.families[0].catalyst.as_mut().unwrap().warn_above.likely = 2.0, range);
    found(|rules| rules.families[0].limits.as_mut().unwrap().max.likely = 12.0, range);
    found(|rules| rules.families[0].per_ten.as_mut().unwrap().likely = 0.5, range);
    found(|rules| rules.methods[0].measures[0].start = Some(10.0), range);
    found(|rules| rules.methods[0].stages[0].materials[0].share = 1.5, range);
}

#[test]
fn stages_in_a_circle() {
    found(
        |rules| rules.methods[0].stages[0].needs.push("B".into()),
        |p| matches!(p, Problem::Cycle { stages, .. } if stages == &["A", "B"]),
    );
}

#[test]
fn a_stage_that_can_never_come() {
    found(
        |rules| rules.methods[0].stages[0].when = vec!["front=split".into()],
        |p| matches!(p, Problem::Unreachable { switch, .. } if switch == "front"),
    );
}

#[test]
fn a_wait_for_what_is_not_started_before() {
    found(
        |rules| rules.methods[0].stages[1].needs.clear(),
        |p| matches!(p, Problem::NotEarlier { cure, .. } if cure == "gel"),
    );
}

#[test]
fn a_material_without_or_with_two_names() {
    let either = |p: &Problem| matches!(p, Problem::RoleOrFamily { .. });
    found(|rules| rules.methods[0].stages[0].materials[0].role = None, either);
    found(|rules| rules.methods[0].stages[0].cures[0].family = Some("UP".into()), either);
}

#[test]
fn peroxide_without_its_cautions() {
    let lacks = |code: &'static str| move |p: &Problem| matches!(p, Problem::Unsafe { lacks, .. } if *lacks == code);
    found(|rules| rules.methods[0].stages[0].hazards.clear(), lacks("HZ2"));
    found(|rules| rules.methods[0].stages[0].ppe.clear(), lacks("C"));
}
