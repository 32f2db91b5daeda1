//! Published figures and findings in the methods of brushed, block and rigid
//! moulds (M2 to M5). Codes such as P10 are those of `trade/sources.toml`; the
//! numbers are the sources', as the trade reference quotes them. Figures that
//! are common practice are marked so in the data and have no check here.

use benchtide::trade::model::{Gate, Kind, Method, Stage, Unit};
use benchtide::trade::rules;
use std::collections::BTreeSet;

const METHODS: [&str; 4] = ["M2", "M3", "M4", "M5"];

fn method(id: &str) -> &'static Method {
    rules().method(id).unwrap_or_else(|| panic!("no method {id}"))
}

fn stage(id: &str) -> &'static Stage {
    let mut all = rules().methods.iter().flat_map(|method| &method.stages);
    all.find(|stage| stage.id == id).unwrap_or_else(|| panic!("no stage {id}"))
}

/// The one line of a stage, of its checks or of how it is done, with these words.
fn line(id: &str, words: &str) -> &'static str {
    let stage = stage(id);
    let mut lines = stage.how.iter().chain(stage.checks.iter().map(|check| &check.text));
    lines.find(|line| line.contains(words)).unwrap_or_else(|| panic!("{id} says no {words:?}"))
}

fn must(stage: &Stage, words: &str) -> bool {
    stage.checks.iter().any(|check| check.must && check.text.contains(words))
}

/// The numbers in a line, in their order.
fn numbers(line: &str) -> Vec<f64> {
    let words = line.split(|c: char| !c.is_ascii_digit() && c != '.');
    words.filter_map(|word| word.trim_end_matches('.').parse().ok()).collect()
}

fn start(of: &str, id: &str) -> f64 {
    let measure = method(of).measures.iter().find(|measure| measure.id == id);
    measure.and_then(|measure| measure.start).unwrap_or_else(|| panic!("{of}: no start of {id}"))
}

/// All stages that must be done before this one.
fn before(method: &Method, id: &str) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    let mut left = vec![id.to_owned()];
    while let Some(id) = left.pop() {
        let stage = method.stages.iter().find(|stage| stage.id == id).expect("a stage");
        left.extend(stage.needs.iter().filter(|need| found.insert((*need).clone())).cloned());
    }
    found
}

/// The kinds of material whose clocks a stage starts.
fn kinds(method: &Method, stage: &Stage) -> Vec<Kind> {
    let family = |cure: &benchtide::trade::model::CureSlot| {
        let role = method.roles.iter().find(|role| Some(&role.id) == cure.role.as_ref());
        rules().family(cure.family.as_ref().or(role.map(|role| &role.default))?)
    };
    stage.cures.iter().filter_map(family).map(|family| family.kind).collect()
}

/// P23: a film of gel coat of 0.4-0.6 mm, laid at 15-20 °C.
#[test]
fn gel_coat_has_the_published_film_and_warmth() {
    for id in ["M5.05", "M5.06", "M5.11", "M5.11b"] {
        assert_eq!(numbers(line(id, "Wet film")), [0.4, 0.6], "{id}");
    }
    let jacket = numbers(line("M2.09h", "wet film"));
    assert!(jacket.iter().all(|film| (0.4..=0.6).contains(film)) && !jacket.is_empty());
    assert!((0.4..=0.6).contains(&start("M5", "wet-film")));
    for id in ["M2.09g", "M2.09h", "M5.04b", "M5.05", "M5.11"] {
        assert_eq!(numbers(line(id, "above the dew point"))[0], 15.0, "{id}");
    }
}

/// P24: gel coat wrinkles over a thin or half-cured first coat.
#[test]
fn no_second_gel_coat_on_a_soft_one() {
    for (id, first) in [("M5.06", "gel-1"), ("M5.11b", "gel-2")] {
        assert!(must(stage(id), "no transfer"), "{id}");
        assert!(stage(id).waits.iter().any(|w| w.cure == first && w.window == "overcoat"), "{id}");
    }
}

/// P10: five to seven coats of wax on a plug.
#[test]
fn a_model_is_waxed_as_often_as_a_plug() {
    assert!(line("M5.03", "on a plug").contains("5 to 7 on a plug"));
    assert!((5.0..=7.0).contains(&start("M5", "wax-coats")));
    assert!(must(stage("M5.03"), "counted"));
}

/// P10: a mould at least twice as thick as its casts, left up to three weeks
/// before release, and about thirty minutes in which the edge can be cut.
#[test]
fn a_mould_is_thick_rested_and_trimmed_as_boat_builders_do() {
    let thick = stage("M5.08").checks.iter().find(|check| check.text.contains("Twice the thick"));
    assert!(thick.is_some_and(|check| check.ask.iter().any(|id| id == "mould-thickness")));
    assert!(line("M5.11f", "Boat builders").contains("up to three weeks"));
    for id in ["M5.11f", "M5.14"] {
        for cure in ["lam-1", "lam-2"] {
            assert!(stage(id).waits.iter().any(|w| w.cure == cure && w.window == "full"), "{id}");
        }
    }
    let profile = rules().family("UP-LAM").and_then(|f| f.profile("laminate")).expect("a clock");
    let time = |id: &str| &profile.milestones.iter().find(|m| m.id == id).expect("a time").time;
    assert_eq!(time("full").unit, Unit::Day);
    assert!(time("full").high.is_some_and(|days| days <= 21.0), "no longer than three weeks");
    let knife = time("trim-closes").likely - time("trim-opens").likely;
    assert!((25.0..=35.0).contains(&knife), "{knife} min is not about thirty");
    for id in ["M2.09j", "M5.09"] {
        assert!(line(id, "of knife").contains("About half an hour"), "{id}");
    }
}

/// P16: sulphur stops platinum silicone; so each method that offers one with
/// clay has a line that must be ticked before rubber is mixed.
#[test]
fn platinum_never_meets_sulphur_unasked() {
    for id in ["M2", "M3", "M4"] {
        let method = method(id);
        let rubber = method.roles.iter().find(|role| role.id == "rubber").expect("a rubber");
        assert!(rubber.families.iter().any(|family| family.starts_with("SI-PT")), "{id}");
        let asks = method.stages.iter().find(|stage| must(stage, "free of sulphur"));
        let asks = &asks.unwrap_or_else(|| panic!("{id} does not ask")).id;
        for stage in method.stages.iter().filter(|s| kinds(method, s).contains(&Kind::Silicone)) {
            assert!(before(method, &stage.id).contains(asks), "{}", stage.id);
            assert_eq!(stage.gate, Some(Gate::Rubber), "{}", stage.id);
        }
    }
}

/// P15: silicone oil wanders into porous originals and stains them; so sealing
/// must be answered before any rubber is mixed. P17: so must permission.
#[test]
fn porous_originals_are_sealed_and_permission_held_before_rubber() {
    for id in ["M2", "M3", "M4"] {
        let method = method(id);
        for words in ["Porous face sealed", "Permission held"] {
            let asks = method.stages.iter().find(|stage| must(stage, words));
            let asks = &asks.unwrap_or_else(|| panic!("{id}: {words}")).id;
            for stage in &method.stages {
                let rubber = kinds(method, stage).contains(&Kind::Silicone);
                assert!(!rubber || before(method, &stage.id).contains(asks), "{}", stage.id);
            }
        }
    }
}

/// P18: a skin of three coats of rubber under a keeper shell.
#[test]
fn a_brushed_skin_has_three_coats_or_more() {
    let method = method("M2");
    let brushed = |stage: &&Stage| {
        stage.when.is_empty()
            && stage.materials.iter().any(|used| used.rule.as_deref() == Some("K-BRUSH"))
    };
    assert!(method.stages.iter().filter(brushed).count() >= 3);
    let second = method.measures.iter().find(|measure| measure.id == "coats-2").expect("a count");
    assert!(second.least >= 3.0);
    assert!(before(method, "M2.09p").contains("M2.07"), "the shell comes over the last coat");
}

/// P5: plaster has burnt hands left in it; so every stage that mixes it asks.
#[test]
fn nobody_is_left_in_plaster() {
    for method in METHODS.map(method) {
        for stage in &method.stages {
            let kinds = kinds(method, stage);
            if kinds.contains(&Kind::Gypsum) || kinds.contains(&Kind::Bandage) {
                let asks = stage.cautions.iter().any(|line| line == "Nothing living in it?");
                assert!(asks && must(stage, "left in wet plaster"), "{}", stage.id);
            }
        }
    }
}

/// P22: peroxide above its range makes the cure worse; P30: it burns eyes. So
/// it is weighed, and eyes are covered, wherever gel coat is mixed.
#[test]
fn peroxide_is_weighed_and_eyes_are_covered() {
    for method in METHODS.map(method) {
        for stage in &method.stages {
            if kinds(method, stage).contains(&Kind::Polyester) {
                assert!(must(stage, "eye wash in reach"), "{}", stage.id);
            }
            if stage.cures.iter().any(|cure| cure.role.as_deref() == Some("gel")) {
                assert!(must(stage, "Catalyst weighed"), "{}", stage.id);
            }
        }
    }
}
