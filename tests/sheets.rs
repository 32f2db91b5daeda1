//! Sheets, filled in as at the bench, against figures from outside the project.
//!
//! Sources, named again beside each check: trade reference 4.2 and 4.3 (worked
//! example, common practice) and "check values", the project's table of
//! published figures (ANSUR II survey, handbook hydrostatics, ISO 898-1).

use benchtide::engine::quantity::Instant;
use benchtide::engine::takeoff::Quantity;
use benchtide::job::event::{Body, Event, Id};
use benchtide::job::sheet::{self, Ask, Field, Item, Origin};
use benchtide::job::state::State;
use benchtide::trade::rules;
use proptest::prelude::*;

/// A shop's journal, with sheets of no job.
#[derive(Default)]
struct Shop {
    events: Vec<Event>,
}

impl Shop {
    fn fill(&mut self, sheet: &str, entries: &[(&str, &str)]) -> &mut Self {
        for (field, entry) in entries {
            let seq = self.events.len() as u64 + 1;
            let at = Instant(1_700_000_000_000 + seq as i64);
            self.events.push(Event {
                id: Id::new(at, [seq as u8; 10]),
                seq,
                at,
                body: Body::SheetFilled {
                    job: None,
                    sheet: sheet.into(),
                    field: (*field).into(),
                    entry: Some((*entry).into()),
                },
            });
        }
        self
    }

    fn items(&self, sheet: &str) -> Vec<Item> {
        let state = State::fold(&self.events);
        sheet::work(rules(), &state, None, sheet::find(sheet).unwrap())
    }

    /// The value of a result, as a bare number of its stored unit.
    fn result(&self, sheet: &str, text: &str) -> f64 {
        let items = self.items(sheet);
        let found = items.iter().find_map(|item| match item {
            Item::Result { text: found, value, .. } if found == text => Some(bare(value)),
            _ => None,
        });
        found.unwrap_or_else(|| panic!("no result “{text}” in {items:#?}"))
    }

    fn warned(&self, sheet: &str, words: &str) -> bool {
        let warns = |item: &Item| matches!(item, Item::Warning(text) if text.contains(words));
        self.items(sheet).iter().any(warns)
    }
}

fn bare(value: &Quantity) -> f64 {
    match *value {
        Quantity::Mass(mass) => mass.value(),
        Quantity::Volume(volume) => volume.value(),
        Quantity::Length(length) => length.value(),
        Quantity::Area(area) => area.value(),
        Quantity::Density(density) => density.value(),
        Quantity::AreaMass(mass) => mass.value(),
        Quantity::Pressure(pressure) => pressure.value(),
        Quantity::Force(force) => force.value(),
        Quantity::Percent(percent) => percent.value(),
        Quantity::Factor(factor) => factor,
        Quantity::Time(time) => time.value(),
        Quantity::Money(money) => money.value(),
        Quantity::Count(count) => f64::from(count),
        Quantity::Time(span) => span.value(),
        Quantity::Money(money) => money.value(),
    }
}

fn near(found: f64, expected: f64, within: f64) {
    assert!((found - expected).abs() <= within, "found {found}, expected {expected}");
}

fn fields(items: &[Item]) -> Vec<&Field> {
    items
        .iter()
        .filter_map(|item| match item {
            Item::Field(field) => Some(field),
            _ => None,
        })
        .collect()
}

#[test]
fn the_worked_example_of_the_trade_comes_out_of_its_sheets() {
    // Trade reference 4.3: 0.25 m² at 12 mm is 3.00 l; 5.40 kg of clay at 1.80 agrees.
    let mut shop = Shop::default();
    shop.fill("ways", &[("first.mass", "5400"), ("second.way", "said"), ("second.volume", "3000")]);
    near(shop.result("ways", "Volume"), 3000.0, 1e-9);
    near(shop.result("ways", "The second differs by"), 0.0, 1e-9);
    assert!(!shop.warned("ways", "Ask why"));

    // "Silicone 3.60 kg + spout and vent and pots 0.15 kg, + 8 % = 4.05 kg".
    // Spouts of 50 ml and two tubs: 60 g + 90 g.
    let silicone = [
        ("what", "rubber"),
        ("rubber.volume", "3000"),
        ("rubber.spout-volume", "50"),
        ("rubber.tubs", "2"),
    ];
    shop.fill("amounts", &silicone);
    near(shop.result("amounts", "Rubber, poured"), 4050.0, 0.5);
    near(shop.result("amounts", "base"), 3682.0, 1.0);
    near(shop.result("amounts", "catalyst"), 368.0, 1.0);

    // "Gel coat 0.25 m² x 0.72 = 0.18 kg."
    shop.fill("amounts", &[("what", "gel"), ("gel.area", "0.25")]);
    near(shop.result("amounts", "Gel coat"), 180.0, 1.0);
    // "CSM 2 x 450 x 0.25 x 1.2 = 0.27 kg."
    shop.fill("amounts", &[("what", "mat"), ("mat.area", "0.25"), ("mat.flange-width", "0")]);
    near(shop.result("amounts", "Mat"), 270.0, 1e-6);
    // "Resin 0.893 kg; at 2.0 % catalyst 17.9 g = 16.2 ml."
    shop.fill("amounts", &[("what", "resin"), ("resin.area", "0.25")]);
    near(shop.result("amounts", "Laminating resin"), 893.0, 1.0);
    // "Flange 1.6 m closed loop at 100 mm: 16 bolts + corners."
    shop.fill("amounts", &[("what", "bolts"), ("bolts.loop", "1600"), ("bolts.extra", "0")]);
    near(shop.result("amounts", "Bolts round a flange"), 16.0, 0.0);
    // "Plaster for 2.0 l at 70:100: + 10 % = 2.04 kg + 1.43 kg."
    shop.fill(
        "amounts",
        &[("what", "plaster"), ("plaster.volume", "2000"), ("plaster.material", "GY-B")],
    );
    near(shop.result("amounts", "powder"), 2040.0, 5.0);
    near(shop.result("amounts", "water"), 1430.0, 5.0);
}

#[test]
fn the_lift_of_the_worked_example_is_held() {
    // Trade reference 4.3: head 0.45 m at 1.20: 5.3 kPa; on 0.09 m² up to 49 kgf;
    // hold down with 73 kg.
    let mut shop = Shop::default();
    shop.fill("hold", &[("level", "450"), ("area", "0.09"), ("density", "1.2")]);
    near(shop.result("hold", "Pressure at the board"), 5.3, 0.05);
    near(shop.result("hold", "It lifts the jacket with"), 48.6, 0.05);
    near(shop.result("hold", "Lay on the jacket, or bolt it to the board") / 1000.0, 72.9, 0.05);
}

#[test]
fn a_joint_is_opened_by_the_pressure_at_its_middle() {
    // Handbook hydrostatics: a panel of width b and height h with its edge in the
    // level is pushed with rho g h/2 x b h; here 1000 kg/m³, 1 m x 1 m: 500 kgf.
    let mut shop = Shop::default();
    let panel = [
        ("what", "other"),
        ("density", "1"),
        ("level", "1000"),
        ("outline", "box"),
        ("tall", "1000"),
        ("wide", "1000"),
        ("flange", "4000"),
        ("extra", "0"),
    ];
    shop.fill("hold", &panel);
    near(shop.result("hold", "It pushes the joint open with"), 500.0, 1e-6);
    // The lowest edge carries twice the mean: 1000 kgf over 40 bolts at 100 mm.
    near(shop.result("hold", "Bolts"), 40.0, 0.0);
    near(shop.result("hold", "The lowest bolt carries, at most"), 25.0, 1e-6);
    // ISO 898-1: M6 of class 4.8 has a proof load of 6.23 kN (20.1 mm² x 310 MPa).
    let share = 25.0 * 9.80665 / (20.1 * 310.0 / 5.0) * 100.0;
    near(shop.result("hold", "Of what the bolt alone may"), share, 0.01);
}

#[test]
fn a_head_by_its_published_sizes_has_a_published_girth_and_volume() {
    // ANSUR II (check values, topic 9), means of 4082 men: length 199 mm, breadth
    // 154 mm; a taped girth of 574 mm is what the "girthed" head must keep.
    let mut shop = Shop::default();
    let head = [
        ("1.shape", "girthed"),
        ("1.length", "199"),
        ("1.breadth", "154"),
        ("1.height", "230"),
        ("1.girth", "574"),
    ];
    shop.fill("piece", &head);
    near(shop.result("piece", "Length round it, for the flange"), 574.0, 0.01);
    // A packaged average head (check values, topic 9), scaled to that girth by
    // 0.955: 4476 ml with its neck, 3677 ml cut 70 mm up.
    let volume = shop.result("piece", "Volume of the piece");
    assert!((3677.0..4476.0).contains(&volume), "{volume} ml");
}

#[test]
fn parts_add_up_and_cuts_come_off() {
    // Closed forms: a box 100 x 100 x 100 with a column of 50 mm on top, 40 high,
    // less a hole of 20 mm through 30 mm of it.
    let mut shop = Shop::default();
    let pieces = [
        ("parts", "3"),
        ("1.shape", "box"),
        ("1.length", "100"),
        ("1.breadth", "100"),
        ("1.height", "100"),
        ("2.shape", "cylinder"),
        ("2.width", "50"),
        ("2.height", "40"),
        ("2.contact", "0.0019634954"),
        ("3.shape", "cylinder"),
        ("3.width", "20"),
        ("3.height", "30"),
        ("3.join", "cut"),
        ("3.contact", "0.00031415927"),
    ];
    shop.fill("piece", &pieces);
    let pi = std::f64::consts::PI;
    let volume = 1e6 + pi * 625.0 * 40.0 - pi * 100.0 * 30.0;
    near(shop.result("piece", "Volume of the piece"), volume / 1000.0, 0.01);
}

#[test]
fn a_turned_profile_is_the_sum_of_its_tapers() {
    // Closed form of a frustum: pi/12 h (d² + d D + D²); rings evenly spaced.
    let mut shop = Shop::default();
    let profile = [
        ("1.shape", "lathe"),
        ("1.rings", "3"),
        ("1.height", "200"),
        ("1.ring1", "100"),
        ("1.ring2", "60"),
        ("1.ring3", "80"),
    ];
    shop.fill("piece", &profile);
    let taper = |d: f64, e: f64| std::f64::consts::PI / 12.0 * 100.0 * (d * d + d * e + e * e);
    near(
        shop.result("piece", "Volume of the piece"),
        (taper(100.0, 60.0) + taper(60.0, 80.0)) / 1000.0,
        0.01,
    );
}

#[test]
fn two_ways_that_differ_by_more_than_fifteen_per_cent_ask_why() {
    // Common practice (trade reference 4.1): over 15 % find out why.
    let mut shop = Shop::default();
    shop.fill("ways", &[("first.mass", "5400"), ("second.way", "said"), ("second.volume", "3460")]);
    assert!(shop.warned("ways", "Ask why"));
    assert!(fields(&shop.items("ways")).iter().any(|field| field.id == "why"));
    shop.fill("ways", &[("second.volume", "3440")]);
    assert!(!shop.warned("ways", "Ask why"));
}

#[test]
fn a_pattern_is_weighed_against_a_square_of_its_paper() {
    // Trade reference 4.1: the paper against a 100 x 100 mm square of the same.
    let mut shop = Shop::default();
    let entries = [
        ("first.way", "pattern"),
        ("first.pattern", "20"),
        ("first.sheet", "0.8"),
        ("first.thickness", "12"),
    ];
    shop.fill("ways", &entries);
    near(shop.result("ways", "Area of the pattern"), 0.25, 1e-9);
    near(shop.result("ways", "Volume"), 3000.0, 1e-6);
}

#[test]
fn a_lay_up_agrees_with_the_take_off_of_the_same_zone() {
    // Trade reference 4.3 by zones: 0.25 m², two plies of 450, no flange.
    let mut shop = Shop::default();
    shop.fill("laminate", &[("zones", "1"), ("1.area", "0.25")]);
    near(shop.result("laminate", "Gel coat"), 180.0, 1.0);
    near(shop.result("laminate", "Mat and strands"), 270.0, 1e-6);
    near(shop.result("laminate", "Laminating resin"), 893.0, 1.0);
    // ISO 12215-5 form (from memory) with the tissue's 30 g/m² and what K-RESIN
    // brings without waste: 0.9 x 2.5 + 0.20 + 0.30 kg/m².
    let (glass, resin) = (0.93, 0.9 * 2.5 + 0.20 + 0.30);
    let expected = glass / 3.072 * (2.56 / (glass / (glass + resin)) - 1.36);
    let behind = shop.items("laminate").into_iter().find_map(|item| match item {
        Item::Result { text, value, .. } if text.contains("thickness") => Some(bare(&value)),
        _ => None,
    });
    near(behind.unwrap(), expected, 1e-6);
}

#[test]
fn a_factor_of_the_shops_own_wins_and_can_be_changed_where_it_is_seen() {
    let mut shop = Shop::default();
    let entries = [
        ("what", "rubber"),
        ("rubber.volume", "1000"),
        ("rubber.tubs", "0"),
        ("rubber.material", "SI-TIN"),
    ];
    shop.fill("amounts", &entries);
    let usual = shop.result("amounts", "Rubber, poured");
    let items = shop.items("amounts");
    let waste = fields(&items).into_iter().find(|field| field.id == "silicone-waste").unwrap();
    assert_eq!((waste.sheet, &waste.origin), ("factors", &Origin::Start));
    shop.fill("factors", &[("silicone-waste", "20")]);
    near(shop.result("amounts", "Rubber, poured") / usual, 1.20 / 1.08, 1e-9);
}

#[test]
fn bandage_goes_by_what_a_roll_covers() {
    // Family card: 0.27 m² of single ply to a roll of 100 mm by 2.7 m (100 x 2700
    // mm). 0.12 m² in four plies with 15 % for laps is 0.552 m²: three rolls.
    let mut shop = Shop::default();
    shop.fill("amounts", &[("what", "bandage"), ("bandage.area", "0.12"), ("bandage.plies", "4")]);
    near(shop.result("amounts", "Plaster bandage"), 3.0, 0.0);
}

#[test]
fn tubs_outlive_their_pour_and_join_or_a_line_is_foretold() {
    // Trade reference 4.5: a gap under half the work life joins.
    let mut shop = Shop::default();
    let pour = [
        ("mass", "6000"),
        ("life", "30"),
        ("rate", "600"),
        ("mixing", "5"),
        ("tubs", "2"),
        ("gap", "10"),
    ];
    shop.fill("pour", &pour);
    near(shop.result("pour", "To pour one"), 5.0, 0.0);
    near(shop.result("pour", "In all, mixing too"), 25.0, 0.0);
    assert!(!shop.warned("pour", "Cold joint"));
    shop.fill("pour", &[("gap", "15")]);
    assert!(shop.warned("pour", "Cold joint"));
    shop.fill("pour", &[("life", "9")]);
    assert!(shop.warned("pour", "stiffens in the tub"));
}

#[test]
fn every_sheet_opens_empty_and_asks_before_it_answers() {
    for sheet in &sheet::SHEETS {
        let items = Shop::default().items(sheet.id);
        assert!(!fields(&items).is_empty(), "{} asks nothing", sheet.id);
        assert!(!items.iter().any(|item| matches!(item, Item::Result { .. })), "{}", sheet.id);
        let mut names: Vec<_> =
            fields(&items).iter().map(|field| (field.sheet, field.id.clone())).collect();
        let all = names.len();
        names.sort();
        names.dedup();
        assert_eq!(names.len(), all, "{}: two fields of one name", sheet.id);
    }
}

#[test]
fn every_factor_is_in_the_table() {
    let items = Shop::default().items("factors");
    let asked = fields(&items).len();
    assert_eq!(asked, 35, "a factor's name is not one of the table of constants");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Whatever is entered, within each field's own range: an answer or a sentence.
    #[test]
    fn any_entries_give_an_answer_or_a_sentence(seed in proptest::collection::vec(0.0..1.0_f64, 60), which in 0..8_usize) {
        let sheet = &sheet::SHEETS[which];
        let mut shop = Shop::default();
        let mut seed = seed.into_iter().cycle();
        for _ in 0..3 {
            for field in fields(&shop.items(sheet.id)).into_iter().cloned().collect::<Vec<_>>() {
                let at = seed.next().unwrap();
                let entry = match &field.ask {
                    Ask::Choice(words) => words[(at * words.len() as f64) as usize].0.clone(),
                    _ => {
                        let (least, most) = field.range;
                        // By powers of ten, so that small ones are tried too.
                        let value = least + (most - least) * 10_f64.powf(-8.0 * at);
                        if least.fract() == 0.0 && most < 200.0 { value.round() } else { value }.to_string()
                    }
                };
                shop.fill(field.sheet, &[(&field.id, &entry)]);
            }
        }
        for item in shop.items(sheet.id) {
            match item {
                Item::Result { value, text, .. } => prop_assert!(bare(&value).is_finite(), "{text}"),
                Item::Warning(text) | Item::Note(text) => prop_assert!(text.ends_with('.'), "{text}"),
                _ => {}
            }
        }
    }
}
