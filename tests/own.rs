//! Methods of the shop's own: what is taken, what is refused and in which words,
//! and that a job keeps the form that it was opened with.
//!
//! The outside check is the validator of the shipped rule table: it knows nothing
//! of own methods, and whatever the reader takes must pass it.

use benchtide::engine::quantity::Instant;
use benchtide::engine::table::Table;
use benchtide::job::command;
use benchtide::job::event::{Body, Event, Id};
use benchtide::job::own::{self, Change};
use benchtide::job::state::State;
use benchtide::trade::model::{Method, Mode};
use benchtide::trade::own::{Problem, Wrong, read};
use benchtide::trade::{rules, validate};
use proptest::prelude::*;

fn file(name: &str, rest: &str) -> String {
    format!(r#"{{"benchtide":"method","version":1,"base":"M1","name":"{name}"{rest}}}"#)
}

fn taken(rest: &str) -> Method {
    read(rules(), "mine", &file("Ours", rest)).unwrap_or_else(|problem| panic!("{problem}"))
}

fn refused(rest: &str) -> Problem {
    let problem = read(rules(), "mine", &file("Ours", rest))
        .err()
        .unwrap_or_else(|| panic!("it was taken: {rest}"));
    let words = problem.to_string();
    assert!(words.ends_with('.') && words.len() > 20, "no sentence: {words}");
    problem
}

/// What the table's own validator says of a method.
fn faults(method: &Method) -> Vec<validate::Problem> {
    let mut rules = rules().clone();
    rules.methods = vec![method.clone()];
    validate::validate(&rules)
}

#[test]
fn every_built_in_method_copies_into_itself() {
    for base in &rules().methods {
        let text = format!(
            r#"{{"benchtide":"method","version":1,"base":"{}","name":"{}"}}"#,
            base.id, base.title
        );
        let copy = read(rules(), &base.id, &text).unwrap();
        assert_eq!(copy.stages, base.stages, "{}", base.id);
        assert_eq!(copy.measures, base.measures);
    }
}

#[test]
fn the_example_of_the_description_is_taken() {
    let page = include_str!("../docs/method.md");
    let example = page.split("```json").nth(1).and_then(|rest| rest.split("```").next());
    let method = read(rules(), "mine", example.unwrap()).unwrap();
    assert_eq!(method.stages[1].title, "Photograph the mould");
    assert_eq!(method.stages[2].needs, ["own-1"]);
    assert_eq!(faults(&method), []);
}

#[test]
fn titles_minutes_and_lines_change_and_codes_stay() {
    let method = taken(
        r#","stages":{"M1.05":{"title":"Draw it","minutes":12.5,"mode":"mixed","how":["Look twice."],
        "checks":{"own-1":{"text":"Photograph taken","must":true}}}}"#,
    );
    let base = rules().method("M1").unwrap();
    let codes = |method: &Method| method.stages.iter().map(|s| s.id.clone()).collect::<Vec<_>>();
    assert_eq!(codes(&method), codes(base));
    let stage = method.stages.iter().find(|stage| stage.id == "M1.05").unwrap();
    assert_eq!((stage.title.as_str(), stage.minutes.likely), ("Draw it", 12.5));
    assert_eq!((stage.mode, stage.how.as_slice()), (Mode::Mixed, &["Look twice.".to_owned()][..]));
    assert!(stage.checks.last().unwrap().must);
    assert_eq!(faults(&method), []);
}

#[test]
fn what_waited_for_a_stage_that_left_waits_for_what_that_waited_for() {
    let base = rules().method("M1").unwrap();
    for gone in &base.stages {
        let rest = format!(r#","stages":{{"{}":{{"out":"Done another way"}}}}"#, gone.id);
        let method = taken(&rest);
        for stage in &method.stages {
            let before = base.stages.iter().find(|one| one.id == stage.id).unwrap();
            assert!(!stage.needs.contains(&gone.id));
            if before.needs.contains(&gone.id) {
                assert!(gone.needs.iter().all(|need| stage.needs.contains(need)));
            }
        }
        assert_eq!(faults(&method), [], "without {}", gone.id);
        let guards = !gone.hazards.is_empty() || gone.checks.iter().any(|check| check.must);
        let said = method
            .stages
            .iter()
            .flat_map(|s| &s.cautions)
            .any(|line| line.contains(&gone.title) && line.contains("Done another way"));
        assert_eq!(said, guards, "the reason for {} at the next stage", gone.id);
    }
}

/// A stage of M1 with a line that must be ticked.
fn guarded() -> (String, String, String) {
    let stages = rules().method("M1").unwrap().stages.iter();
    let mut lines = stages.flat_map(|s| s.checks.iter().map(move |check| (s, check)));
    let (stage, check) = lines.find(|(_, check)| check.must).unwrap();
    (stage.id.clone(), check.id.clone(), check.text.clone())
}

#[test]
fn a_line_that_guards_is_never_weakened_without_a_reason_at_the_stage() {
    let (stage, line, text) = guarded();
    let said =
        |change: &str| format!(r#","stages":{{"{stage}":{{"checks":{{"{line}":{{{change}}}}}}}}}"#);
    for silent in [r#""must":false"#, r#""text":"Other words""#] {
        assert!(
            matches!(refused(&said(silent)), Problem { wrong: Wrong::NoReason, .. }),
            "{silent}"
        );
        let method = taken(&said(&format!(r#"{silent},"why":"We do it with a jig""#)));
        let stage = method.stages.iter().find(|one| one.id == stage).unwrap();
        let caution = stage.cautions.last().unwrap();
        assert!(caution.contains(&text) && caution.contains("We do it with a jig"), "{caution}");
    }
    assert!(matches!(refused(&said(r#""out":" ""#)), Problem { wrong: Wrong::Empty, .. }));
    let method = taken(&said(r#""out":"No dust here""#));
    let stage = method.stages.iter().find(|one| one.id == stage).unwrap();
    assert!(stage.checks.iter().all(|check| check.id != line));
    assert!(stage.cautions.last().unwrap().contains("No dust here"));
}

#[test]
fn a_cure_of_the_shops_own_brings_its_cautions_along() {
    let method = taken(
        r#","order":["M1.01","own-1"],"stages":{"own-1":{"title":"Test patch","waits":["M1.01"],
        "cures":{"own-2":{"title":"test patch","family":"UP-GEL","profile":"film"}}}}"#,
    );
    let stage = method.stages.iter().find(|stage| stage.id == "own-1").unwrap();
    let family = rules().family("UP-GEL").unwrap();
    assert!(family.hazards.iter().all(|code| stage.hazards.contains(code)));
    assert!(family.ppe.iter().all(|code| stage.ppe.contains(code)));
    assert_eq!(method.stages[1].id, "own-1");
    assert_eq!(faults(&method), []);
}

#[test]
fn each_mistake_is_said_in_words() {
    let read = |text: &str| read(rules(), "mine", text).map(|_| ()).unwrap_err();
    let broken = read("{\n\n\"a\" 1}");
    assert_eq!((broken.wrong, broken.at.as_str()), (Wrong::Unreadable, "Line 3"));
    assert_eq!(read("[1]").wrong, Wrong::NotAMethod);
    assert_eq!(read(r#"{"benchtide":"journal","version":1}"#).wrong, Wrong::NotAMethod);
    assert_eq!(read(r#"{"benchtide":"method","version":2}"#).wrong, Wrong::Newer);
    let base = read(r#"{"benchtide":"method","version":1,"base":"M99","name":"x"}"#);
    assert_eq!((base.wrong, base.name.as_str()), (Wrong::NoBase, "M99"));
    let stage = |fields: &str, wrong: Wrong| {
        let rest = format!(r#","stages":{{"M1.05":{{{fields}}}}}"#);
        let problem = refused(&rest);
        assert_eq!(problem.wrong, wrong, "{rest}: {problem}");
        assert!(problem.at.starts_with("M1.05") || problem.at == "the order", "{problem}");
    };
    stage(r#""waits":["M1.99"]"#, Wrong::NoStage);
    stage(r#""waits":["nothing/trim"]"#, Wrong::NoCure);
    stage(r#""waits":["sealer/trim"]"#, Wrong::NoWindow);
    stage(r#""mode":"asleep""#, Wrong::NoMode);
    stage(r#""checks":{"x":{"text":"y","asks":["height-of-moon"]}}"#, Wrong::NoMeasure);
    stage(r#""checks":{"x":{"must":true}}"#, Wrong::Empty);
    stage(r#""checks":{"x":{"text":"y","must":1}}"#, Wrong::Shape);
    let cure = |what: &str| format!(r#""cures":{{"x":{{"title":"y",{what}}}}}"#);
    stage(&cure(r#""family":"XX","profile":"film""#), Wrong::NoMaterial);
    stage(&cure(r#""role":"XX","profile":"film""#), Wrong::NoMaterial);
    stage(&cure(r#""family":"UP-GEL","profile":"nap""#), Wrong::NoClock);
    stage(&cure(r#""profile":"film""#), Wrong::RoleOrFamily);
    stage(&cure(r#""family":"UP-GEL","role":"gel","profile":"film""#), Wrong::RoleOrFamily);
    stage(r#""cures":{"sealer":{"out":"x"}}"#, Wrong::Twice);
    stage(r#""minutes":1441"#, Wrong::Minutes);
    stage(r#""minutes":-1"#, Wrong::Minutes);
    stage(r#""minutes":"5""#, Wrong::Minutes);
    stage(r#""minuts":5"#, Wrong::NoField);
    stage(r#""when":["a=b"]"#, Wrong::NoField);
    stage(r#""title":"  ""#, Wrong::Empty);
    stage(r#""title":7"#, Wrong::Shape);
    stage(r#""checks":[]"#, Wrong::Shape);
    stage(&format!(r#""title":"{}""#, "x".repeat(241)), Wrong::TooLong);
    let rest = |rest: &str, wrong: Wrong| assert_eq!(refused(rest).wrong, wrong, "{rest}");
    rest(r#","order":["M9.01"]"#, Wrong::NoStage);
    rest(r#","order":["M1.05","M1.05"]"#, Wrong::Twice);
    rest(r#","order":"M1.05""#, Wrong::Shape);
    rest(r#","stages":{"own-1":{"title":"y","when":["front=sideways"]}}"#, Wrong::NoOption);
    rest(r#","stages":{"own-1":{"title":"y","when":["front"]}}"#, Wrong::NoOption);
    rest(r#","stages":{"own-1":{"title":"y","when":["front=one","front=split"]}}"#, Wrong::Twice);
    rest(r#","stages":{"M1.5":{"minutes":5}}"#, Wrong::NoTitle);
    rest(r#","stages":{"a/b":{"title":"x"}}"#, Wrong::Code);
    rest(r#","stages":{"M1.05":{},"M1.05":{}}"#, Wrong::Twice);
    rest(r#","stages":{"M1.05":null}"#, Wrong::Shape);
    let out = rules().method("M1").unwrap().stages.iter();
    let out: Vec<String> = out.map(|s| format!(r#""{}":{{"out":"no"}}"#, s.id)).collect();
    rest(&format!(r#","stages":{{{}}}"#, out.join(",")), Wrong::NoStages);
}

#[test]
fn loops_and_stages_that_never_begin_are_found() {
    let ours = |waits: &str| {
        format!(
            r#","stages":{{"own-1":{{"title":"One","waits":[{waits}]}},"own-2":{{"title":"Two","waits":["own-1"],
            "cures":{{"own-3":{{"title":"patch","family":"UP-GEL","profile":"film"}}}}}}}}"#
        )
    };
    assert!(matches!(refused(&ours(r#""own-2""#)), Problem { wrong: Wrong::Loop, .. }));
    assert!(matches!(refused(&ours(r#""own-1""#)), Problem { wrong: Wrong::Loop, .. }));
    let window = &rules().family("UP-GEL").unwrap().profile("film").unwrap().windows[0].id;
    assert!(matches!(
        refused(&ours(&format!(r#""own-3/{window}""#))),
        Problem { wrong: Wrong::Unreached, .. }
    ));
    let before = r#","order":["own-1"],"stages":{"own-1":{"title":"One","waits":["M1.02"]}}"#;
    assert!(matches!(refused(before), Problem { wrong: Wrong::Later, .. }));
}

/// A journal with what the commands gave.
struct Shop {
    events: Vec<Event>,
}

impl Shop {
    fn keep(&mut self, body: Body) -> Id {
        let seq = self.events.len() as u64 + 1;
        let id = Id::new(Instant(1_700_000_000_000 + seq as i64), [seq as u8; 10]);
        self.events.push(Event { id, seq, at: Instant(seq as i64), body });
        id
    }

    fn state(&self) -> State {
        State::fold(&self.events)
    }

    fn change(&mut self, first: Id, change: Change) -> Id {
        let body = own::change(rules(), &self.state(), first, change);
        self.keep(body.unwrap_or_else(|problem| panic!("{problem}")))
    }
}

fn set(way: &[&str], value: &str) -> Change {
    Change::Set(way.iter().map(|key| (*key).to_owned()).collect(), value.to_owned())
}

#[test]
fn a_job_keeps_the_form_that_it_was_opened_with_and_undo_brings_the_old_one_back() {
    let mut shop = Shop { events: Vec::new() };
    let first = shop.keep(own::copy(rules(), &shop.state(), "M1", "Ours").unwrap());
    let second = shop.change(first, set(&["stages", "M1.01", "title"], "\"Sketch\""));
    let open = |shop: &mut Shop, code: Id| {
        let state = shop.state();
        let body = command::open_job(
            rules(),
            &state,
            "Finial",
            &code.to_string(),
            Table::new(),
            Table::new(),
        );
        shop.keep(body.unwrap())
    };
    let job = open(&mut shop, second);
    let third = shop.change(first, set(&["stages", "M1.01", "title"], "\"Draw\""));
    let title = |shop: &Shop, code: Id| {
        let state = shop.state();
        state.method(rules(), &code.to_string()).unwrap().stages[0].title.clone()
    };
    assert_eq!((title(&shop, second), title(&shop, third)), ("Sketch".into(), "Draw".into()));
    let state = shop.state();
    assert_eq!(command::at(rules(), &state, job, "M1.01").unwrap().stage.title, "Sketch");
    let offered =
        |shop: &Shop| shop.state().record.own_methods().map(|(id, _)| id).collect::<Vec<_>>();
    assert_eq!(offered(&shop), [third]);
    shop.keep(Body::Undone { event: third });
    assert_eq!(offered(&shop), [second]);
    let dropped = shop.keep(Body::MethodDropped { method: first });
    assert_eq!(offered(&shop), []);
    assert!(own::method(rules(), &shop.state(), first).is_err());
    assert_eq!(title(&shop, second), "Sketch", "a job that uses it keeps it");
    shop.keep(Body::Undone { event: dropped });
    assert_eq!(offered(&shop), [second]);
}

#[test]
fn stages_are_added_and_moved_in_the_chain_of_waits() {
    let mut shop = Shop { events: Vec::new() };
    let first = shop.keep(own::copy(rules(), &shop.state(), "M9a", "Ours").unwrap());
    let base = rules().method("M9a").unwrap();
    let (one, two) = (base.stages[0].id.clone(), base.stages[1].id.clone());
    shop.change(first, Change::Add(one.clone(), "Photograph".into()));
    let now = |shop: &Shop| own::method(rules(), &shop.state(), first).unwrap();
    let method = now(&shop);
    assert_eq!(method.stages[1].title, "Photograph");
    assert_eq!(method.stages[1].needs, std::slice::from_ref(&one));
    for before in &base.stages {
        let after = method.stages.iter().find(|stage| stage.id == before.id).unwrap();
        let wanted: Vec<String> = before
            .needs
            .iter()
            .map(|need| if need == &one { "own-1".to_owned() } else { need.clone() })
            .collect();
        assert_eq!(after.needs, wanted, "{}", before.id);
    }
    assert_eq!(faults(method), []);
    let key = |later| Change::Move { stage: "own-1".into(), later };
    shop.change(first, key(true));
    let method = now(&shop);
    assert_eq!(method.stages[2].id, "own-1");
    assert_eq!(method.stages[2].needs, [two]);
    assert_eq!(faults(method), []);
    shop.change(first, key(false));
    assert_eq!(now(&shop).stages[1].needs, std::slice::from_ref(&one));
    shop.change(first, key(false));
    let method = now(&shop);
    assert!(method.stages[0].id == "own-1" && method.stages[0].needs.is_empty());
    assert_eq!(method.stages[1].needs, ["own-1"]);
    // What is laid out as a file reads back as the same method.
    let text = own::file(&shop.state(), first).unwrap();
    assert!(text.lines().count() > 10, "{text}");
    assert_eq!(read(rules(), &method.id, &text).as_ref(), Ok(method));
    let again = own::take(rules(), &text).unwrap();
    let Body::MethodKept { method: compact, replaces: None } = again else { panic!() };
    assert_eq!(compact, own::in_force(&shop.state(), first).unwrap().1);
}

#[test]
fn a_move_that_makes_no_sense_is_refused_and_changes_nothing() {
    let mut shop = Shop { events: Vec::new() };
    let first = shop.keep(own::copy(rules(), &shop.state(), "M1", "Ours").unwrap());
    let base = rules().method("M1").unwrap();
    let waits = base.stages.iter().position(|stage| !stage.waits.is_empty()).unwrap();
    let starter = base.stages.iter().position(|stage| {
        stage.cures.iter().any(|cure| cure.id == base.stages[waits].waits[0].cure)
    });
    let stage = base.stages[waits].id.clone();
    let mut at = waits;
    while at > starter.unwrap() + 1 {
        shop.change(first, Change::Move { stage: stage.clone(), later: false });
        at -= 1;
    }
    let state = shop.state();
    let refused = own::change(rules(), &state, first, Change::Move { stage, later: false });
    assert!(
        matches!(&refused, Err(Problem { wrong: Wrong::Unreached | Wrong::Later, .. })),
        "{refused:?}"
    );
}

/// Pieces of files, sense and nonsense.
fn piece() -> impl Strategy<Value = String> {
    let stage = prop_oneof![Just("M1.01"), Just("M1.05"), Just("M1.12"), Just("own-1"), Just("?")];
    let field = prop_oneof![
        Just(r#""title":"x""#.to_owned()),
        Just(r#""out":"why""#.to_owned()),
        Just(r#""mode":"mixed""#.to_owned()),
        Just(r#""checks":{"own-2":{"text":"a","must":true}}"#.to_owned()),
        Just(r#""cures":{"own-3":{"title":"a","family":"UP-GEL","profile":"film"}}"#.to_owned()),
        (-10_i32..2000).prop_map(|minutes| format!(r#""minutes":{minutes}"#)),
        "[M1.0-9\"own/gel-]{0,12}".prop_map(|text| format!(r#""waits":["{text}"]"#)),
        prop_oneof![Just("M1.03"), Just("M1.08"), Just("own-1"), Just("M1.20")]
            .prop_map(|stage| format!(r#""waits":["{stage}"]"#)),
    ];
    let fields = proptest::collection::vec(field, 0..4);
    (stage, fields).prop_map(|(stage, fields)| format!(r#""{stage}":{{{}}}"#, fields.join(",")))
}

proptest! {
    #[test]
    fn any_text_is_taken_whole_or_refused_in_a_sentence(text in "\\PC{0,200}") {
        let refused = read(rules(), "x", &text).map(|_| ()).expect_err("no method");
        prop_assert!(refused.to_string().ends_with('.'));
    }

    #[test]
    fn whatever_is_taken_passes_the_tables_own_validator(
        pieces in proptest::collection::vec(piece(), 0..5),
        order in proptest::collection::vec(1_usize..38, 0..6),
        cut in 0_usize..2000,
    ) {
        let order: Vec<String> = order.iter().map(|n| format!("\"M1.{n:02}\"")).collect();
        let rest = format!(r#","order":[{}],"stages":{{{}}}"#, order.join(","), pieces.join(","));
        let text = file("Ours", &rest);
        match read(rules(), "x", &text) {
            Ok(method) => prop_assert_eq!(faults(&method), []),
            Err(problem) => prop_assert!(problem.to_string().ends_with('.')),
        }
        let cut: String = text.chars().take(cut).collect();
        if cut.len() < text.len() {
            prop_assert!(read(rules(), "x", &cut).is_err());
        }
    }
}
