//! Moulds and casts, from the journal to the printed figures.
//!
//! Sources, named again beside each check: NIST's statistical reference data
//! (certified regression "Norris"), Python's `statistics` module (3.11), the
//! trade reference 3.5 and 7.2. Counts are arithmetic done by hand.

use benchtide::engine::quantity::{Grams, Instant, Minutes};
use benchtide::engine::takeoff::{Quantity, SumLine};
use benchtide::engine::trend::trend;
use benchtide::job::command::Refusal;
use benchtide::job::event::{Body, Event, Id, Material, Part, Place};
use benchtide::job::mould::{self, Word};
use benchtide::job::mould_card;
use benchtide::job::sheet::{self, CAST, Item, MOULD};
use benchtide::job::state::State;
use benchtide::trade::rules;
use proptest::prelude::*;

const DAY: f64 = 24.0 * 60.0;

/// A shop's journal; the clock goes by its own hand.
struct Shop {
    events: Vec<Event>,
    now: Instant,
}

impl Shop {
    fn new() -> Self {
        Self { events: Vec::new(), now: Instant(1_700_000_000_000) }
    }

    fn later(&mut self, days: f64) -> &mut Self {
        self.now = self.now + Minutes(days * DAY);
        self
    }

    fn id(&self) -> Id {
        let mut random = [0; 10];
        random[..8].copy_from_slice(&(self.events.len() as u64).to_be_bytes());
        Id::new(self.now, random)
    }

    /// Appends; gives the id of the first.
    fn add(&mut self, bodies: Vec<Body>) -> Id {
        let first = self.id();
        for body in bodies {
            let (id, seq) = (self.id(), self.events.len() as u64 + 1);
            self.events.push(Event { id, seq, at: self.now, body });
        }
        first
    }

    fn state(&self) -> State {
        State::fold(&self.events)
    }

    fn fill(&mut self, of: Id, sheet: &str, entries: &[(&str, &str)]) {
        let fill = |(field, entry): &(&str, &str)| Body::SheetFilled {
            job: Some(of),
            sheet: sheet.into(),
            field: (*field).into(),
            entry: Some((*entry).into()),
        };
        self.add(entries.iter().map(fill).collect());
    }

    fn mould(&mut self, entries: &[(&str, &str)]) -> Id {
        let id = self.add(vec![mould::keep("Finial").unwrap()]);
        self.fill(id, MOULD, entries);
        id
    }

    fn cast(&mut self, mould: Id, entries: &[(&str, &str)]) -> Id {
        let bodies = mould::cast(rules(), &self.state(), mould, None, self.id()).unwrap();
        let id = self.add(bodies);
        self.fill(id, CAST, entries);
        id
    }

    fn says(&self, mould: Id) -> Vec<Item> {
        mould::standing(rules(), &self.state(), mould, self.now)
    }

    fn word(&self, mould: Id) -> Word {
        mould::word(rules(), &self.state(), mould, self.now).unwrap()
    }

    fn result(&self, mould: Id, of: &str) -> (Quantity, Vec<SumLine>) {
        let items = self.says(mould);
        let found = items.iter().find_map(|item| match item {
            Item::Result { text, value, sum } if text == of => Some((*value, sum.clone())),
            _ => None,
        });
        found.unwrap_or_else(|| panic!("no “{of}” in {items:#?}"))
    }

    fn line(&self, mould: Id, of: &str, line: &str) -> Quantity {
        let (_, sum) = self.result(mould, of);
        let found = sum.iter().find(|one| one.text == line).map(|one| one.value);
        found.unwrap_or_else(|| panic!("no “{line}” in {sum:#?}"))
    }
}

fn notes(items: &[Item], words: &str) -> bool {
    items.iter().any(|item| matches!(item, Item::Note(text) if text.contains(words)))
}

fn warns(items: &[Item], words: &str) -> bool {
    items.iter().any(|item| matches!(item, Item::Warning(text) if text.contains(words)))
}

fn stops(items: &[Item], words: &str) -> bool {
    items.iter().any(|item| matches!(item, Item::Stop(text) if text.contains(words)))
}

fn mass(value: Quantity) -> f64 {
    match value {
        Quantity::Mass(mass) => mass.value(),
        other => panic!("{other:?} is no mass"),
    }
}

/// NIST StRD, linear regression "Norris": 36 observations (y, x) and certified
/// slope and standard error. The x have one decimal: here they count tenths.
#[test]
fn the_drift_is_the_certified_regression() {
    const NORRIS: [(f64, u32); 36] = [
        (0.1, 2),
        (338.8, 3374),
        (118.1, 1182),
        (888.0, 8846),
        (9.2, 101),
        (228.1, 2265),
        (668.5, 6663),
        (998.5, 9963),
        (449.1, 4486),
        (778.9, 7770),
        (559.2, 5582),
        (0.3, 4),
        (0.1, 6),
        (778.1, 7755),
        (668.8, 6669),
        (339.3, 3380),
        (448.9, 4475),
        (10.8, 116),
        (557.7, 5560),
        (228.3, 2281),
        (998.0, 9958),
        (888.8, 8876),
        (119.6, 1202),
        (0.3, 3),
        (0.6, 3),
        (557.6, 5568),
        (339.3, 3391),
        (888.0, 8872),
        (998.5, 9990),
        (778.9, 7790),
        (10.2, 111),
        (117.6, 1183),
        (228.9, 2292),
        (668.4, 6691),
        (449.2, 4489),
        (0.2, 5),
    ];
    let points: Vec<(u32, Grams)> = NORRIS.iter().map(|(y, x)| (*x, Grams(*y))).collect();
    let found = trend(&points).unwrap();
    let (slope, error) = (found.each.value() * 10.0, found.error.value() * 10.0);
    assert!((slope - 1.002_116_818_020_45).abs() < 1e-12, "{slope}");
    assert!((error - 0.429_796_848_199_937e-3).abs() < 1e-12, "{error}");
    assert!(found.is_certain());
}

/// Python 3.11 `statistics.linear_regression` and `fmean` of the same weights;
/// casts 3 and 9 are scrap and out of it.
#[test]
fn weights_of_good_casts_give_mean_and_drift() {
    const WEIGHTS: [u32; 12] =
        [2912, 2906, 2100, 2905, 2903, 2899, 2901, 2895, 3300, 2893, 2894, 2886];
    let mut shop = Shop::new();
    let mould = shop.mould(&[("target", "2900")]);
    for (weight, number) in WEIGHTS.into_iter().zip(1..) {
        let verdict = if number == 3 || number == 9 { "scrap" } else { "pass" };
        let weight = weight.to_string();
        shop.later(0.1);
        let entries = [("verdict", verdict), ("weight", &*weight), ("material", "GY-B")];
        shop.cast(mould, &entries);
        if number == 5 {
            // Cast 3 does not count: four are too few.
            assert!(notes(&shop.says(mould), "4 so far"), "{:#?}", shop.says(mould));
        }
    }
    let short = &rules().family("GY-B").unwrap().short;
    let mean = shop.result(mould, &format!("Mean weight, {short}")).0;
    assert!((mass(mean) - 2899.4).abs() < 1e-9);
    let drift = "Drift of the weight, over ten casts";
    assert!((mass(shop.result(mould, drift).0) - -19.646_302_250_803_858).abs() < 1e-9);
    let first = mass(shop.line(mould, drift, "Mean of the first 3"));
    let last = mass(shop.line(mould, drift, "Mean of the last 3"));
    assert!((first - 2_907.666_666_666_666_5).abs() < 1e-9 && (last - 2891.0).abs() < 1e-9);
    assert!(warns(&shop.says(mould), "get lighter"));
}

/// Python: the slope is -0.314 g a cast, its 95 % interval (t = 2.776 for four
/// degrees, tables) holds 0.
#[test]
fn scatter_is_not_called_a_drift() {
    let mut shop = Shop::new();
    let mould = shop.mould(&[]);
    for weight in ["812", "806", "815", "809", "811", "808"] {
        shop.cast(mould, &[("verdict", "pass"), ("weight", weight)]);
    }
    let drift = mass(shop.result(mould, "Drift of the weight, over ten casts").0);
    assert!((drift - -3.142_857_142_857_143).abs() < 1e-9);
    assert!(notes(&shop.says(mould), "No more than the weights scatter"));
}

#[test]
fn only_what_passed_or_was_repaired_uses_up_the_permission() {
    let mut shop = Shop::new();
    let mould = shop.mould(&[("licence", "3")]);
    for verdict in ["pass", "scrap", "repair", "scrap", "open"] {
        shop.cast(mould, &[("verdict", verdict)]);
    }
    assert!(notes(&shop.says(mould), "3 casts are allowed; 2 passed or repaired"));
    assert_eq!(shop.word(mould), Word::InUse);
    shop.cast(mould, &[("verdict", "pass")]);
    assert!(stops(&shop.says(mould), "3 casts are allowed; 3 passed"));
    assert_eq!(shop.word(mould), Word::Done);
}

/// Two of four judged are scrap: 50 %, one by each fault and one unsaid.
#[test]
fn scrap_is_counted_by_fault() {
    let mut shop = Shop::new();
    let mould = shop.mould(&[]);
    shop.cast(mould, &[("verdict", "pass")]);
    shop.cast(mould, &[("verdict", "scrap"), ("fault", "17")]);
    shop.cast(mould, &[("verdict", "repair"), ("fault", "17")]);
    shop.cast(mould, &[("verdict", "scrap")]);
    shop.cast(mould, &[]);
    let Quantity::Percent(share) = shop.result(mould, "Scrap").0 else { panic!() };
    assert_eq!(share.value(), 50.0);
    let air = &rules().faults.iter().find(|fault| fault.id == 17).unwrap().title;
    assert_eq!(shop.line(mould, "Scrap", air), Quantity::Count(1));
    assert_eq!(shop.line(mould, "Scrap", "Fault not said"), Quantity::Count(1));
    assert_eq!(shop.line(mould, "Casts out of it", "not judged yet"), Quantity::Count(1));
}

#[test]
fn service_and_retirement_come_due_by_casts() {
    let mut shop = Shop::new();
    let mould = shop.mould(&[("service-every", "3"), ("retire-at", "5")]);
    for _ in 0..3 {
        shop.later(1.0).cast(mould, &[]);
    }
    assert_eq!(shop.word(mould), Word::ServiceDue);
    assert!(warns(&shop.says(mould), "Service is due: 3 casts"));
    let body = mould::service(&shop.state(), mould, "Washed").unwrap();
    shop.add(vec![body]);
    assert!(notes(&shop.says(mould), "Service in 3 more casts"));
    for _ in 0..2 {
        shop.later(1.0).cast(mould, &[]);
    }
    assert!(notes(&shop.says(mould), "Service in 1 more casts"));
    assert!(warns(&shop.says(mould), "Meant for 5 casts; 5 came out"));
    assert_eq!(shop.word(mould), Word::Done);
}

/// Trade reference 3.5: tin cure rests 3 d (1-7) before resin; addition cure does not.
#[test]
fn a_tin_cure_mould_rests_until_the_long_end_is_over() {
    let mut shop = Shop::new();
    let mould = shop.mould(&[("face", "SI-TIN")]);
    shop.later(0.9);
    assert!(warns(&shop.says(mould), "No resin in it yet"));
    shop.later(2.2);
    assert!(warns(&shop.says(mould), "Rested perhaps"));
    assert_eq!(shop.word(mould), Word::Rests);
    shop.later(4.0);
    assert!(notes(&shop.says(mould), "rest before resin is over"));
    assert_eq!(shop.word(mould), Word::InUse);
    // The tin's own sheet, and a mould that was old already.
    shop.fill(mould, MOULD, &[("rest", "14")]);
    assert!(warns(&shop.says(mould), "14 d, off its sheet"));
    shop.fill(mould, MOULD, &[("age", "2")]);
    assert_eq!(shop.word(mould), Word::InUse);
    let other = shop.mould(&[("face", "SI-PT-SLOW")]);
    assert_eq!(shop.word(other), Word::InUse);
    // Polyester in any rubber: a day or two in the open (common practice).
    shop.cast(other, &[("material", "UP-CAST")]);
    shop.later(1.0);
    assert!(warns(&shop.says(other), "after the polyester of cast 1"));
    shop.later(1.1);
    assert_eq!(shop.word(other), Word::InUse);
}

/// Trade reference 3.5: tin cure keeps 1-5 years, 3 to reckon with.
#[test]
fn library_life_follows_family_and_age() {
    let mut shop = Shop::new();
    let mould = shop.mould(&[("face", "SI-TIN")]);
    assert!(notes(&shop.says(mould), "0 months old. Keeps about 36 more: 1 to 5 years"));
    shop.later(365.25);
    assert!(notes(&shop.says(mould), "12 months old. Keeps about 24 more"));
    shop.fill(mould, MOULD, &[("age", "2")]);
    assert!(warns(&shop.says(mould), "36 months old, past its usual life"));
    let plaster = shop.mould(&[("face", "GY-B")]);
    assert!(!notes(&shop.says(plaster), "months old"));
}

#[test]
fn a_mould_takes_over_what_its_job_knows() {
    let mut shop = Shop::new();
    let open = |method: &str| Body::JobOpened {
        name: "Ammonite".into(),
        method: method.into(),
        switches: [("jacket".to_owned(), "plaster".to_owned())].into(),
        materials: [("rubber".to_owned(), Material::Family("SI-PT-MED".into()))].into(),
        place: Place::Bench,
        invented: false,
    };
    let job = shop.add(vec![open("M1")]);
    let part = |name: &str, target, actual| Part {
        name: name.into(),
        target: Grams(target),
        actual: Some(Grams(actual)),
    };
    let batch = Body::BatchMixed {
        job: Some(job),
        stage: None,
        title: "Rubber".into(),
        material: Material::Family("SI-PT-MED".into()),
        parts: vec![part("part A", 500.0, 500.0), part("part B", 500.0, 510.0)],
        catalyst: None,
    };
    let measure =
        |measure: &str, value| Body::MeasureEntered { job, measure: measure.into(), value };
    shop.add(vec![
        batch,
        measure("pieces", 3.0),
        measure("bolt-count", 14.0),
        measure("blanket-thickness", 12.5),
        measure("thickness-min", 11.0),
        measure("cast-volume", 2000.0),
        measure("jacket-mass", 3100.0),
        measure("rubber-mass", 6200.0),
        measure("cast-mass", 2900.0),
    ]);
    let bodies = mould::from_job(rules(), &shop.state(), job, shop.id()).unwrap();
    let id = shop.add(bodies);
    let state = shop.state();
    assert_eq!(mould::of_job(&state, job), Some(id));
    let entry = |field| sheet::entry(&state, Some(id), MOULD, field);
    for (field, expected) in [
        ("original", "Ammonite"),
        ("pieces", "3"),
        ("bolts", "14"),
        ("wall", "12.5"),
        ("cast-volume", "2000"),
        ("target", "2900"),
        ("face", "SI-PT-MED"),
        ("jacket", "Plaster and fibre"),
        ("ratio", "part B, 102 % of part A"),
    ] {
        assert_eq!(entry(field), Some(expected), "{field}");
    }
    // To lift: 6.2 + 3.1 + 2.9 kg.
    let card = sheet::work(rules(), &state, Some(id), sheet::find(MOULD).unwrap());
    let lift = card.iter().find_map(|item| match item {
        Item::Result { value, .. } => Some(mass(*value)),
        _ => None,
    });
    assert_eq!(lift, Some(12_200.0));
    // A waste mould and alginate are spent on their one cast.
    for method in ["M6", "M8"] {
        let job = shop.add(vec![open(method)]);
        let refused = mould::from_job(rules(), &shop.state(), job, shop.id());
        assert_eq!(refused, Err(Refusal::LeavesNoMould), "{method}");
    }
}

#[test]
fn a_cast_takes_over_what_its_job_weighed() {
    let mut shop = Shop::new();
    let mould = shop.mould(&[("target", "1000")]);
    let job = shop.add(vec![Body::JobOpened {
        name: "Rosettes".into(),
        method: "M9a".into(),
        switches: [].into(),
        materials: [("plaster".to_owned(), Material::Family("GY-ST3".into()))].into(),
        place: Place::Bench,
        invented: false,
    }]);
    let measure =
        |measure: &str, value| Body::MeasureEntered { job, measure: measure.into(), value };
    shop.add(vec![
        mould::choose(job, Some(mould)),
        measure("cast-mass", 960.0),
        measure("water-mass", 300.0),
        measure("plaster-mass", 1000.0),
    ]);
    assert_eq!(mould::chosen(&shop.state(), job), Some(mould));
    let bodies = mould::cast(rules(), &shop.state(), mould, Some(job), shop.id()).unwrap();
    let cast = shop.add(bodies);
    let state = shop.state();
    assert_eq!(mould::weight(&state, cast), Some(Grams(960.0)));
    assert_eq!(mould::material(rules(), &state, cast).unwrap().id, "GY-ST3");
    let mix = sheet::entry(&state, Some(cast), CAST, "mix");
    assert_eq!(mix, Some("water 300 g, plaster 1000 g"));
    // 960 of 1000 g is 4 % light: a void is looked for.
    let items = sheet::work(rules(), &state, Some(cast), sheet::find(CAST).unwrap());
    assert!(warns(&items, "look for a void"), "{items:#?}");
}

#[test]
fn what_can_t_be_is_refused_in_words() {
    let mut shop = Shop::new();
    assert_eq!(mould::keep("  "), Err(Refusal::NameMissing));
    let nowhere = shop.id();
    let mould = shop.mould(&[]);
    let gone = Id::new(Instant(1), [9; 10]);
    assert_ne!(nowhere, gone);
    let state = shop.state();
    assert_eq!(mould::service(&state, gone, "Washed"), Err(Refusal::NoSuchMould));
    assert_eq!(mould::service(&state, mould, " "), Err(Refusal::ReasonMissing));
    shop.cast(mould, &[]);
    let retired = mould::retire(&shop.state(), mould, "Torn").unwrap();
    shop.add(vec![retired]);
    let state = shop.state();
    assert_eq!(shop.word(mould), Word::Retired);
    assert!(stops(&shop.says(mould), "Given up: Torn"));
    assert_eq!(mould::retire(&state, mould, "Again"), Err(Refusal::MouldRetired));
    let refused = mould::cast(rules(), &state, mould, None, gone).unwrap_err();
    assert!(refused.to_string().contains("given up"));
    // Its casts stay, and it stands last in the list.
    assert_eq!(mould::casts(&state, mould).len(), 1);
    let other = shop.mould(&[]);
    let order: Vec<Id> = mould::all(&shop.state()).iter().map(|(id, _)| *id).collect();
    assert_eq!(order, [other, mould]);
}

/// Two phones noted a cast each: both count, and the next number is free.
#[test]
fn numbers_go_on_after_a_merge() {
    let mut shop = Shop::new();
    let mould = shop.mould(&[]);
    shop.cast(mould, &[]);
    shop.add(vec![Body::CastMade { mould, job: None, number: 7 }]);
    shop.add(vec![Body::CastMade { mould, job: None, number: 2 }]);
    shop.cast(mould, &[]);
    assert_eq!(mould::last_number(&shop.state(), mould), 8);
    shop.add(vec![Body::CastMade { mould, job: None, number: u32::MAX }]);
    shop.cast(mould, &[]);
    assert_eq!(mould::casts(&shop.state(), mould).len(), 6);
}

proptest! {
    /// The code's text: short, whole letters, its id and name always in it.
    #[test]
    fn the_text_of_the_code_stays_short(words in proptest::collection::vec("[a-zäß鋳 ]{0,160}", 6)) {
        let mut shop = Shop::new();
        let mould = shop.mould(&[
            ("number", words[0].as_str()),
            ("batch", words[1].as_str()),
            ("open", words[2].as_str()),
            ("bolt-size", words[3].as_str()),
            ("never", words[4].as_str()),
            ("face", words[5].as_str()),
            ("pieces", "3"),
        ]);
        let text = mould_card::facts(&shop.state(), mould);
        prop_assert!(text.len() <= 400, "{}", text.len());
        let (id, name) = (format!("mould: {mould}"), "\nname: Finial");
        prop_assert!(text.starts_with(&id) && text.contains(name));
    }

    /// No entry of a card, however odd, makes its figures fail.
    #[test]
    fn odd_entries_never_break_a_card(
        field in 0_usize..6,
        entry in prop_oneof![Just("nan".to_owned()), Just("-1".to_owned()), Just("1e300".to_owned()), "[ -~]{0,20}"],
    ) {
        let mut shop = Shop::new();
        let fields = ["licence", "service-every", "retire-at", "rest", "age", "target"];
        let mould = shop.mould(&[("face", "SI-TIN"), (fields[field], entry.as_str())]);
        let cast = shop.cast(mould, &[("weight", &entry), ("fault", &entry), ("verdict", &entry)]);
        let state = shop.state();
        shop.says(mould);
        shop.word(mould);
        mould_card::facts(&state, mould);
        for (of, sheet) in [(mould, MOULD), (cast, CAST)] {
            let items = sheet::work(rules(), &state, Some(of), sheet::find(sheet).unwrap());
            prop_assert!(!items.is_empty());
        }
    }
}
