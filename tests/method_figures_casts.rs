//! Hollow, laminated, fast-cast and block casts: the published figures that
//! their stages lean on, and that every variant can be worked to the end.
//!
//! Codes such as P23 are those of `trade/sources.toml`; `common practice` marks
//! a rule of thumb of the trade, from memory, without a single published source.
//! Checks of the graphs are of inner soundness and need no source.

use benchtide::engine::takeoff::Quantity;
use benchtide::job::stage as walk;
use benchtide::trade::model::{Figure, Gate, Method, Stage, Unit, Window};
use benchtide::trade::{amounts, rules};
use std::collections::{BTreeMap, BTreeSet};

type Switches = benchtide::engine::table::Table<String, String>;

const METHODS: [&str; 4] = ["M9b", "M9c", "M9d", "M9e"];

fn method(id: &str) -> &'static Method {
    rules().method(id).unwrap_or_else(|| panic!("no method {id}"))
}

fn stage(id: &str) -> &'static Stage {
    let all = METHODS.iter().flat_map(|id| &method(id).stages);
    all.into_iter().find(|stage| stage.id == id).unwrap_or_else(|| panic!("no stage {id}"))
}

fn says(stage: &Stage, words: &str) -> bool {
    let checks = stage.checks.iter().map(|check| &check.text);
    stage.how.iter().chain(checks).any(|text| text.contains(words))
}

/// The window that a stage waits for, with the times of its opening and closing.
fn waited(id: &str, cure: &str, family: &str) -> (&'static Window, [Option<&'static Figure>; 2]) {
    let wait = stage(id).waits.iter().find(|wait| wait.cure == cure);
    let wait = wait.unwrap_or_else(|| panic!("{id} does not wait for {cure}"));
    let slots = METHODS.iter().flat_map(|id| &method(id).stages).flat_map(|stage| &stage.cures);
    let slot = slots.into_iter().find(|slot| slot.id == cure).expect("a clock");
    let family = rules().family(family).expect("a family");
    let profile = family.profile(&slot.profile).expect("a profile");
    let window = profile.window(&wait.window).expect("a window");
    let time = |id: &Option<String>| {
        let found = profile.milestones.iter().find(|m| Some(&m.id) == id.as_ref());
        found.map(|milestone| &milestone.time)
    };
    (window, [time(&window.opens), time(&window.closes)])
}

fn minutes(figure: &Figure) -> f64 {
    match figure.unit {
        Unit::Minute => figure.likely,
        Unit::Hour => figure.likely * 60.0,
        unit => panic!("{unit:?} is no time of a day's work"),
    }
}

/// P23: gel coat of 0.4-0.6 mm, tacky without transfer after 1-2 h.
#[test]
fn gel_coat_of_a_cast_is_as_thick_and_waits_as_long_as_published() {
    let film = method("M9c").measures.iter().find(|m| m.id == "wet-film").expect("a measure");
    assert!((0.4..=0.6).contains(&film.start.expect("a start")));
    assert!(says(stage("M9c.04"), "about 0.5 mm"));
    let (_, [opens, _]) = waited("M9c.05", "gel", "UP-GEL");
    assert!((60.0..=120.0).contains(&minutes(opens.expect("an opening"))));
    assert!(says(stage("M9c.05"), "deepest corner: no transfer"));
}

/// P10: about thirty minutes of knife. `common practice`: overnight in the mould.
#[test]
fn the_knife_and_the_night_of_a_laminated_cast() {
    let (_, [opens, closes]) = waited("M9c.06", "lam", "UP-LAM");
    let open = minutes(closes.expect("a close")) - minutes(opens.expect("an opening"));
    assert!((open - 30.0).abs() <= 5.0, "{open} min of knife");
    let (_, [opens, _]) = waited("M9c.10", "lam", "UP-LAM");
    assert!((12.0 * 60.0..=24.0 * 60.0).contains(&minutes(opens.expect("an opening"))));
}

/// P32: out of the mould 20-30 min after the parts meet.
#[test]
fn fast_cast_comes_out_when_published() {
    let (_, [opens, _]) = waited("M9d.06", "cast", "PU-FC");
    assert!((20.0..=30.0).contains(&minutes(opens.expect("an opening"))));
}

/// P23: polyester is worked at 15-20 C; the lines say so and the gate agrees.
/// P12 and coating practice: a surface at least 3 C above the dew point.
#[test]
fn films_are_laid_in_warmth() {
    for (id, family) in [("M9b.05r", "UP-CAST"), ("M9c.04", "UP-GEL"), ("M9e.05", "UP-CAST")] {
        assert!(says(stage(id), "15 C or more and 3 C above the dew point"), "{id}");
        assert_eq!(stage(id).gate, Some(Gate::ResinFilm), "{id}");
        let limits = rules().family(family).and_then(|f| f.limits.as_ref()).expect("limits");
        assert!((limits.wet_min.likely - 15.0).abs() < 1e-9);
    }
    assert_eq!(stage("M9e.05e").gate, Some(Gate::ResinFilm));
    assert_eq!(stage("M9d.05").gate, Some(Gate::Rubber));
}

/// P25: neat polyester shrinks up to 8 % by volume, epoxy about 2 %: what the
/// choice of resin says of them.
#[test]
fn epoxy_shrinks_less_than_polyester() {
    let shrinks =
        |id: &str| rules().family(id).and_then(|f| f.property("shrinkage")).expect("a figure");
    assert_eq!(shrinks("UP-CAST").high, Some(8.0));
    for id in ["EP-FAST", "EP-SLOW"] {
        assert!((shrinks(id).likely - 2.0).abs() < 1e-9);
    }
    let resin = method("M9e").switches.iter().find(|s| s.id == "resin").expect("a switch");
    let epoxy = resin.options.iter().find(|o| o.id == "epoxy").expect("an option");
    assert!(epoxy.note.contains("Shrinks less"));
}

/// `common practice`, from the trade reference: the next coat of a hollow cast
/// when the shine has gone, 8-12 min, best at 10-15; it never opens before the
/// last has stopped running.
#[test]
fn a_slush_coat_follows_when_the_shine_has_gone() {
    let (window, [opens, _]) = waited("M9b.06", "coat-1", "GY-B");
    let opens = opens.expect("an opening");
    assert_eq!((opens.low, opens.high), (Some(8.0), Some(12.0)));
    assert!(window.test.contains("shine gone") && window.missed.contains("wet it first"));
    for family in ["GY-B", "GY-A"] {
        let profile = rules().family(family).and_then(|f| f.profile("slush")).expect("a clock");
        let of = |id: &str| &profile.milestones.iter().find(|m| m.id == id).expect(id).time;
        assert!(of("pour-by").likely < of("matt").likely);
        assert!(of("matt").likely <= of("matt-ideal").likely);
        assert!((10.0..=25.0).contains(&of("matt-ideal").likely), "{family}");
        // One plaster, two clocks of it: they agree.
        let solid = rules().family(family).and_then(|f| f.profile("mix")).expect("a clock");
        for id in ["pour-by", "initial-set", "heat-peak", "demould"] {
            let same = &solid.milestones.iter().find(|m| m.id == id).expect(id).time;
            assert_eq!(of(id).likely, same.likely, "{family} {id}");
        }
    }
}

/// Trade reference: lines that must be ticked or waived, and the rule that resin
/// goes into tin rubber only after its rest. `common practice`.
#[test]
fn must_lines_are_must() {
    for (id, lines) in [
        ("M9b.02", &["no ripple", "Tin rubber rested"][..]),
        ("M9c.02", &["no ripple", "Tin rubber rested"]),
        ("M9d.02", &["no ripple", "Tin rubber rested", "extraction, respirator and gloves"]),
        ("M9e.02", &["no ripple", "Tin rubber rested"]),
        ("M9b.05", &["Water weighed", "Plaster weighed", "clean of old plaster"]),
        ("M9c.03", &["waxed"]),
        ("M9d.03", &["Two coats of wax"]),
        ("M9d.04", &["bone dry"]),
        ("M9d.05", &["as the sheet says", "Lids back", "No wood, no paper", "no bare skin"]),
        ("M9e.01", &["read off the sheet"]),
        ("M9e.05", &["no deeper"]),
        ("M9e.07", &["under 35 C", "deeper"]),
        ("M9e.07e", &["under 35 C", "deeper"]),
    ] {
        for line in lines {
            let found = stage(id).checks.iter().find(|check| check.text.contains(line));
            let found = found.unwrap_or_else(|| panic!("{id} has no line of {line:?}"));
            assert!(found.must, "{id}: {line:?} is not a must");
        }
    }
    // Isocyanate and peroxide are named wherever they are mixed.
    for id in METHODS {
        for stage in &method(id).stages {
            let mixes = |family: &str| {
                let role = |id: &str| {
                    let mut roles = method(&stage.id[..3]).roles.iter();
                    roles.any(|r| r.id == id && r.families.iter().any(|f| f == family))
                };
                stage.cures.iter().any(|cure| cure.role.as_deref().is_some_and(role))
            };
            let names = |code: &str| stage.hazards.iter().any(|known| known == code);
            assert!(!mixes("PU-FC") || names("HZ5"), "{}", stage.id);
            assert!(!mixes("EP-SLOW") || names("HZ6"), "{}", stage.id);
            for polyester in ["UP-CAST", "UP-GEL", "UP-LAM"] {
                assert!(!mixes(polyester) || names("HZ1") && names("HZ2"), "{}", stage.id);
            }
        }
    }
}

fn variants(method: &Method) -> Vec<Switches> {
    let mut all = vec![Switches::new()];
    for switch in &method.switches {
        all = all
            .iter()
            .flat_map(|chosen| {
                switch.options.iter().map(|option| {
                    let mut chosen = chosen.clone();
                    chosen.insert(switch.id.clone(), option.id.clone());
                    chosen
                })
            })
            .collect();
    }
    all
}

/// One way in, no circle, no stage beside the path, and no wait for a clock that
/// this variant starts later or never.
#[test]
fn every_variant_can_be_worked_to_the_end() {
    for (id, variants_wanted, last) in [
        ("M9b", 4, &["M9b.11", "M9b.11r", "M9b.12"][..]),
        ("M9c", 4, &["M9c.13", "M9c.14"]),
        ("M9d", 3, &["M9d.09", "M9d.10"]),
        ("M9e", 12, &["M9e.11", "M9e.12"]),
    ] {
        let method = method(id);
        let all = variants(method);
        assert_eq!(all.len(), variants_wanted, "{id}");
        let mut reached: BTreeSet<&str> = BTreeSet::new();
        for chosen in &all {
            let in_play = |stage: &&Stage| walk::holds(&stage.when, chosen, method);
            let stages: Vec<&Stage> = method.stages.iter().filter(in_play).collect();
            let mut before: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
            for stage in &stages {
                let mut all = BTreeSet::new();
                for need in stage.needs.iter().filter(|n| stages.iter().any(|s| &s.id == *n)) {
                    let earlier = before.get(need.as_str());
                    all.extend(earlier.unwrap_or_else(|| panic!("{} needs later", stage.id)));
                    all.insert(need.as_str());
                }
                assert!(stage.id == stages[0].id || all.contains(stages[0].id.as_str()));
                for wait in &stage.waits {
                    let starts = |s: &&&Stage| s.cures.iter().any(|cure| cure.id == wait.cure);
                    if let Some(starter) = stages.iter().find(starts) {
                        assert!(all.contains(starter.id.as_str()), "{}: {}", stage.id, wait.cure);
                    }
                }
                before.insert(&stage.id, all);
            }
            let ends = last.iter().filter(|id| before.contains_key(**id));
            let mut leads: BTreeSet<&str> = ends.clone().copied().collect();
            leads.extend(ends.flat_map(|id| &before[id]));
            assert_eq!(leads.len(), stages.len(), "{chosen:?}: a stage leads nowhere");
            reached.extend(stages.iter().map(|stage| stage.id.as_str()));
        }
        assert_eq!(reached.len(), method.stages.len(), "{id}: a stage nobody reaches");
    }
}

/// Amounts worked out by hand with the trade reference's formulas and its
/// starting values (1.05 g/ml and 5 % for fast-cast, 1.12 and 10 % for casting
/// resin, 0.928 kg of powder a litre and 15 % for a shell, mat x 2.5 by P23);
/// otherwise `common practice`.
#[test]
fn amounts_come_out() {
    let known: BTreeMap<&str, f64> = [
        ("face-area", 0.25),
        ("shell-volume", 1000.0),
        ("cast-volume", 100.0),
        ("depth", 50.0),
        ("layer-limit", 15.0),
        ("layer-volume", 250.0),
        ("edge-loop", 1600.0),
        ("seam-area", 0.04),
    ]
    .into();
    let wanted = [
        // 0.25 m2 x 12 mm = 3.0 l; x 0.928 x 1.15 is powder, 70 to 100 is water.
        ("M9b.05", "K-PLAS", 3.0 * 0.928 * 1.15 * 1.7 * 0.4 * 1000.0),
        ("M9b.06", "K-PLAS", 3.0 * 0.928 * 1.15 * 1.7 * 0.6 * 1000.0),
        ("M9b.05r", "K-CAST", 1000.0 * 1.12 * 1.10 * 0.4),
        ("M9b.06r", "K-CAST", 1000.0 * 1.12 * 1.10 * 0.6),
        ("M9c.04", "K-GEL", 0.25 * 0.5 * 1.25 * 1.15 * 1000.0),
        ("M9c.05", "K-GLASS", 0.25 * 2.0 * 300.0 * 1.2),
        ("M9c.05", "K-RESIN", (180.0 * 2.5 + 0.25 * 200.0 + 0.25 * 1.15 * 300.0) * 1.1),
        ("M9c.08", "K-RESIN", (0.04 * 2.0 * 300.0 * 1.2 * 2.5 + 0.04 * 200.0) * 1.1),
        ("M9d.05", "K-CAST", 100.0 * 1.05 * 1.05),
        ("M9e.05", "K-LAYER", 4.0),
        ("M9e.05", "K-CAST", 250.0 * 1.12 * 1.10),
        ("M9e.05e", "K-CAST", 250.0 * 1.125 * 1.10),
    ];
    let mut found = BTreeMap::new();
    for method in METHODS.map(method) {
        let look_up = |id: &str| {
            let start = || method.measures.iter().find(|m| m.id == id).and_then(|m| m.start);
            known.get(id).copied().or_else(start)
        };
        for stage in &method.stages {
            for used in stage.materials.iter().filter(|used| used.rule.is_some()) {
                let role = method.roles.iter().find(|r| Some(&r.id) == used.role.as_ref());
                let family = used.family.as_ref().or(role.map(|role| &role.default));
                let family = family.and_then(|id| rules().family(id));
                let amount = amounts::amount(rules(), used, family, &look_up);
                let amount = amount.unwrap_or_else(|e| panic!("{}, {}: {e}", stage.id, used.title));
                let value = match amount.main {
                    Quantity::Mass(mass) => mass.value(),
                    Quantity::Count(count) => f64::from(count),
                    _ => continue,
                };
                let rule = used.rule.as_deref().expect("filtered");
                found.entry((stage.id.as_str(), rule)).or_insert(value);
            }
        }
    }
    for (id, rule, value) in wanted {
        let got = found[&(id, rule)];
        assert!((got / value - 1.0).abs() < 2e-3, "{id} {rule}: {got} is not {value}");
    }
}

/// Readable at arm's length on a phone: a rule of this house.
#[test]
fn lines_are_short() {
    for method in METHODS.map(method) {
        for stage in &method.stages {
            assert!(stage.short.split_whitespace().count() <= 3, "{}", stage.id);
            assert!(!stage.checks.is_empty() && !stage.how.is_empty(), "{}", stage.id);
            let checks = stage.checks.iter().map(|check| &check.text);
            for line in checks.chain(&stage.how).chain(&stage.cautions).chain([&stage.title]) {
                assert!(line.chars().count() <= 76, "{}: too long: {line}", stage.id);
            }
        }
    }
}
