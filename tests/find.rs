//! Looking things up: what each filter leaves in, and the seven questions of the
//! trade reference (7.3), over thousands of made records.
//!
//! Sources: the middle of some numbers is `statistics.median` of Python 3.11, its
//! documentation's examples and values of ours put through it; the factor of two
//! per ten degrees of the gel coat is the table's own (P9 of the trade reference).

use benchtide::engine::quantity::{Celsius, Grams, Instant, Minutes, Percent};
use benchtide::engine::table::Table;
use benchtide::job::card::TinCard;
use benchtide::job::event::{About, Body, Ending, Event, Finding, Id, Material, Part, Place};
use benchtide::job::find::answer::{Line, Question, answer};
use benchtide::job::find::took::middle;
use benchtide::job::find::{Filter, Kind, To, find, materials, time_of_day};
use benchtide::job::state::State;
use benchtide::trade::rules;

const START: Instant = Instant(1_700_000_000_000);

#[derive(Default)]
struct Shop {
    events: Vec<Event>,
    now: f64,
}

impl Shop {
    /// Something happens, a minute after the last.
    fn add(&mut self, body: Body) -> Id {
        self.now += 1.0;
        let (at, seq) = (self.at(), self.events.len() as u64 + 1);
        let mut random = [0; 10];
        random[2..].copy_from_slice(&seq.to_be_bytes());
        let id = Id::new(at, random);
        self.events.push(Event { id, seq, at, body });
        id
    }

    fn at(&self) -> Instant {
        START + Minutes(self.now)
    }

    fn state(&self) -> State {
        State::fold(&self.events)
    }

    fn air(&mut self, t: f64) {
        let taken = self.at() + Minutes(1.0);
        self.add(Body::ReadingTaken {
            place: Place::Bench,
            job: None,
            air: Some(Celsius(t)),
            humidity: None,
            surface: None,
            water: None,
            taken,
        });
    }

    fn job(&mut self, name: &str, method: &str) -> Id {
        self.add(Body::JobOpened {
            name: name.into(),
            method: method.into(),
            switches: Table::new(),
            materials: Table::new(),
            place: Place::Bench,
            invented: false,
        })
    }

    fn tin(&mut self, family: &str, name: &str) -> Material {
        let tin = TinCard {
            name: name.into(),
            family: family.into(),
            batch: None,
            follows: None,
            times: Vec::new(),
            ratio: None,
            tolerance: None,
            densities: None,
        };
        Material::Tin(self.add(Body::TinAdded { tin }))
    }

    /// A clock, with "gelled" or "ready" after some minutes.
    fn cure(
        &mut self,
        job: Option<Id>,
        material: Material,
        profile: &str,
        window: &str,
        took: f64,
    ) -> Id {
        let started = self.at() + Minutes(1.0);
        let cure = self.add(Body::CureStarted {
            job,
            stage: None,
            slot: None,
            title: "a clock".into(),
            material,
            profile: profile.into(),
            catalyst: None,
            mass: None,
            batch: None,
            started,
            place: Place::Bench,
            reason: None,
        });
        let look = |finding, seen| Body::Observed { cure, window: window.into(), finding, seen };
        self.add(look(Finding::NotYet { again: Minutes(1.0) }, started + Minutes(took * 0.9)));
        self.add(look(Finding::Ready, started + Minutes(took)));
        self.now += took;
        self.add(Body::CureEnded { cure, how: Ending::Finished });
        cure
    }

    fn ask(&self, question: Question, filter: &Filter) -> Vec<Line> {
        answer(question, rules(), &self.state(), filter)
    }
}

fn words(text: &str) -> Filter {
    Filter { text: text.into(), ..Filter::default() }
}

fn texts(lines: &[Line]) -> String {
    lines.iter().map(|(_, text)| text.as_str()).collect::<Vec<_>>().join("\n")
}

#[test]
fn the_middle_is_that_of_pythons_statistics_module() {
    // https://docs.python.org/3/library/statistics.html#statistics.median
    assert_eq!(middle(&[1.0, 3.0, 5.0]), 3.0);
    assert_eq!(middle(&[1.0, 3.0, 5.0, 7.0]), 4.0);
    // statistics.median of Python 3.11.7 on sorted times.
    assert_eq!(middle(&[72.0, 85.0, 98.0, 104.0, 140.0]), 98.0);
    assert_eq!(middle(&[72.0, 85.0, 98.0, 104.0]), 91.5);
    assert_eq!(middle(&[61.5]), 61.5);
    assert_eq!(middle(&[16.0, 17.0, 18.0, 18.5, 19.0, 21.0, 22.0, 25.0]), 18.75);
}

#[test]
fn times_of_day_are_read_as_they_are_typed() {
    assert_eq!(time_of_day("10.20 "), Some(Minutes(620.0)));
    assert_eq!(time_of_day("7"), Some(Minutes(420.0)));
    assert_eq!(time_of_day("23:59"), Some(Minutes(1439.0)));
    for wrong in ["", "24:00", "10.60", "ten", "-1", "10.20.30"] {
        assert_eq!(time_of_day(wrong), None, "{wrong}");
    }
}

/// The window of the gel coat's film that opens at a milestone.
const FILM: (&str, &str, &str) = ("UP-GEL", "film", "overcoat");

#[test]
fn how_long_did_this_gel_coat_take_at_15_degrees() {
    let mut shop = Shop::default();
    let (family, profile, window) = FILM;
    let gel = Material::Family(family.into());
    for (t, times) in
        [(15.0, [72.0, 85.0, 98.0, 104.0, 140.0]), (22.0, [40.0, 41.0, 42.0, 43.0, 44.0])]
    {
        for took in times {
            shop.now += 3000.0;
            shop.air(t);
            shop.cure(None, gel.clone(), profile, window, took);
        }
    }
    // Ready at the first look: nobody knows for how long it had been.
    shop.air(15.0);
    let cure = shop.cure(None, gel, profile, window, 90.0);
    shop.events.retain(|event| {
        !matches!(&event.body, Body::Observed { cure: of, finding: Finding::NotYet { .. }, .. } if *of == cure)
    });
    let filter = Filter { near: Some(Celsius(15.0)), ..Filter::default() };
    let said = texts(&shop.ask(Question::Took, &filter));
    assert!(
        said.contains("5 times. Shortest 1 h 12 min, middle 1 h 38 min, longest 2 h 20 min"),
        "{said}"
    );
    let warm = Filter { near: Some(Celsius(23.5)), ..Filter::default() };
    assert!(texts(&shop.ask(Question::Took, &warm)).contains("middle 42 min"));
    let none = Filter { near: Some(Celsius(30.0)), ..Filter::default() };
    assert!(texts(&shop.ask(Question::Took, &none)).contains("No time is on record"));
    let found = find(rules(), &shop.state(), &Filter { kind: Some(Kind::Cure), ..filter }, 50);
    assert_eq!(found.all, 6);
    assert!(found.rows[0].facts.contains("after 1 h 30 min at 15"), "{}", found.rows[0].facts);
}

#[test]
fn which_bag_of_plaster_is_slow() {
    let mut shop = Shop::default();
    let family = rules().family("GY-B").unwrap();
    let profile = family.profile("mix").unwrap();
    let window = profile.windows.iter().find(|window| window.opens.is_some()).unwrap();
    let opens = profile.milestones.iter().find(|m| Some(&m.id) == window.opens.as_ref()).unwrap();
    let reference = family.reference.as_ref().unwrap().temperature.likely;
    let (slow, fast) = (shop.tin("GY-B", "Bag by the door"), shop.tin("GY-B", "Bag on the shelf"));
    shop.air(reference);
    for (tin, factors) in [(&fast, [0.7, 0.8, 0.9]), (&slow, [1.2, 1.5, 1.4])] {
        for factor in factors {
            shop.cure(None, tin.clone(), "mix", &window.id, opens.time.likely * factor);
        }
    }
    let said = texts(&shop.ask(Question::Slow, &Filter::default()));
    let lines: Vec<&str> = said.lines().collect();
    assert_eq!(lines[0], "Bag by the door: 1.40 times slower than its card (middle of 3).");
    assert_eq!(lines[1], "Bag on the shelf: 1.25 times faster than its card (middle of 3).");
    let one = Filter { material: Some(fast), ..Filter::default() };
    assert_eq!(shop.ask(Question::Slow, &one).len(), 1);
}

#[test]
fn a_time_is_held_against_the_card_for_the_temperature_that_it_saw() {
    // Ten degrees colder, twice the time: as the card says, not slower.
    let mut shop = Shop::default();
    let (family, profile, window) = FILM;
    let tin = shop.tin(family, "Tin");
    let of = rules().family(family).unwrap();
    let clock = of.profile(profile).unwrap();
    let opens = clock.windows.iter().find(|one| one.id == window).unwrap().opens.as_ref();
    let time = clock.milestones.iter().find(|m| Some(&m.id) == opens).unwrap().time.likely;
    assert_eq!(of.per_ten.as_ref().unwrap().likely, 2.0);
    shop.air(of.reference.as_ref().unwrap().temperature.likely - 10.0);
    shop.cure(None, tin.clone(), profile, window, time * 2.0);
    let filter = Filter { material: Some(tin), ..Filter::default() };
    let said = texts(&shop.ask(Question::Slow, &filter));
    // The factor is taken in Arrhenius form: a few per cent beside two.
    let times: f64 = said.split([' ', ':']).find_map(|word| word.parse().ok()).unwrap();
    assert!((1.0..1.1).contains(&times), "{said}");
}

#[test]
fn the_mean_temperature_is_joined_by_straight_lines() {
    let mut shop = Shop::default();
    let (family, profile, window) = FILM;
    // From 10 to 20 °C within the hour that the cure takes: 15 in the mean.
    shop.air(10.0);
    let start = shop.now;
    shop.cure(None, Material::Family(family.into()), profile, window, 60.0);
    shop.now = start + 61.0;
    shop.air(20.0);
    let found =
        find(rules(), &shop.state(), &Filter { kind: Some(Kind::Cure), ..Filter::default() }, 9);
    assert!(found.rows[0].facts.ends_with("at 15 °C"), "{}", found.rows[0].facts);
}

#[test]
fn how_many_casts_from_this_mould_and_what_stopped_it() {
    let mut shop = Shop::default();
    for (name, casts) in [("Rosette", 23), ("Bracket", 4)] {
        let mould = shop.add(Body::MouldMade { job: None, name: name.into() });
        for number in 1..=casts {
            let cast = shop.add(Body::CastMade { mould, job: None, number });
            let mut fill = |field: &str, entry: &str| {
                shop.add(Body::SheetFilled {
                    job: Some(cast),
                    sheet: "cast".into(),
                    field: field.into(),
                    entry: Some(entry.into()),
                });
            };
            fill("verdict", if number > 20 { "scrap" } else { "pass" });
            if number > 20 {
                fill("fault", "12");
            }
        }
        if casts == 23 {
            shop.add(Body::MouldRetired { mould, reason: "Torn at the rim".into() });
        }
    }
    let title = &rules().faults.iter().find(|fault| fault.id == 12).unwrap().title;
    let lines = shop.ask(Question::Casts, &words("rosette"));
    assert!(lines[0].1.starts_with("Rosette: 23 casts."), "{lines:?}");
    assert!(
        lines[0].1.contains("verdict pass: 20")
            && lines[0].1.contains(&format!("fault {title}: 3"))
    );
    assert_eq!(lines[1].1, "Given up: Torn at the rim");
    assert!(lines[1].0.is_some());
    assert_eq!(lines.len(), 2);
    assert!(texts(&shop.ask(Question::Casts, &words("bracket"))).contains("Still in use"));
    let torn = find(rules(), &shop.state(), &words(title), 50);
    assert_eq!(torn.all, 3);
    assert!(matches!(torn.rows[0].to, To::Cast(_)) && torn.rows[0].facts.contains(title));
}

#[test]
fn where_was_i_and_what_is_on_the_original() {
    let mut shop = Shop::default();
    let job = shop.job("Bust", "M1");
    let finish = |shop: &mut Shop, stage: &str| {
        shop.add(Body::StageFinished { job, stage: stage.into() });
        shop.at()
    };
    finish(&mut shop, "M1.01");
    let protected = finish(&mut shop, "M1.02");
    shop.now += 60.0;
    let until = Filter { until: Some(shop.at() + Minutes(-30.0)), ..Filter::default() };
    finish(&mut shop, "M1.03");
    let lines = shop.ask(Question::Where, &until);
    assert_eq!(lines[0], (Some(protected), "Bust: Protect the original".into()));
    // The sealer is on since that stage was done; the table says which stage that is.
    let lines = shop.ask(Question::Put, &words("bust"));
    assert_eq!(lines[0].0, Some(protected));
    assert!(lines[0].1.contains("at “Protect the original”"), "{lines:?}");
    assert!(texts(&shop.ask(Question::Put, &words("nothing"))).starts_with("No sealer"));
}

#[test]
fn how_much_silicone_did_the_last_bust_need_and_what_did_a_cast_cost() {
    let mut shop = Shop::default();
    for name in ["Bust one", "Bust two"] {
        let job = shop.job(name, "M1");
        let measures = [
            ("blanket-area", 0.25),
            ("blanket-thickness", 12.0),
            ("clay-mass", 5000.0),
            ("clay-density", 1.7),
            ("spout-volume", 80.0),
        ];
        for (measure, value) in measures {
            shop.add(Body::MeasureEntered { job, measure: measure.into(), value });
        }
        shop.add(Body::BatchMixed {
            job: Some(job),
            stage: Some("M1.26".into()),
            title: "Rubber".into(),
            material: Material::Family("SI-TIN".into()),
            parts: vec![Part {
                name: "base".into(),
                target: Grams(4000.0),
                actual: Some(Grams(4100.0)),
            }],
            catalyst: Some(Percent(2.0)),
        });
        shop.add(Body::StageFinished { job, stage: "M1.26".into() });
    }
    let said = texts(&shop.ask(Question::Used, &words("bust")));
    assert!(said.starts_with("Bust two, ") && said.contains("4100 g really used"), "{said}");
    assert_eq!(said.lines().count(), 1);
    let gel = Filter { material: Some(Material::Family("UP-GEL".into())), ..words("bust") };
    assert!(texts(&shop.ask(Question::Used, &gel)).starts_with("No batch"));
    assert!(texts(&shop.ask(Question::Cost, &words("bust"))).starts_with("No price"));
    shop.add(Body::SheetFilled {
        job: None,
        sheet: "buying".into(),
        field: "minute-rate".into(),
        entry: Some("0.5".into()),
    });
    let said = texts(&shop.ask(Question::Cost, &words("bust one")));
    assert!(said.starts_with("The mould: ") && said.contains("No price is noted of: "), "{said}");
}

#[test]
fn filters_leave_in_what_fits_and_nothing_of_removed_jobs() {
    let mut shop = Shop::default();
    let (kept, gone) = (shop.job("Finial north", "M1"), shop.job("Finial south", "M1"));
    for job in [kept, gone] {
        let about = About { job: Some(job), ..About::default() };
        shop.add(Body::NoteWritten { about, text: "Pin hole at the tip".into(), open: true });
    }
    let tin = shop.tin("GY-B", "Sack");
    shop.air(15.0);
    let early = shop.at();
    shop.cure(Some(kept), tin.clone(), "mix", "demould", 30.0);
    shop.add(Body::JobDiscarded { job: gone });
    let state = shop.state();
    let count = |filter: &Filter| find(rules(), &state, filter, 50).all;
    assert_eq!(count(&words("PIN tip")), 1);
    assert_eq!(count(&words("finial")), 3);
    assert_eq!(count(&words("south")), 0);
    assert_eq!(count(&words("sack plaster")), 1);
    assert_eq!(count(&Filter { kind: Some(Kind::Reading), ..Filter::default() }), 1);
    assert_eq!(count(&Filter { material: Some(tin.clone()), ..Filter::default() }), 1);
    let family = Material::Family("GY-B".into());
    assert_eq!(count(&Filter { material: Some(family.clone()), ..Filter::default() }), 1);
    assert_eq!(count(&Filter { near: Some(Celsius(18.0)), ..Filter::default() }), 0);
    assert_eq!(count(&Filter { near: Some(Celsius(16.5)), ..Filter::default() }), 2);
    assert_eq!(count(&Filter { from: Some(early + Minutes(0.5)), ..Filter::default() }), 1);
    assert_eq!(count(&Filter { until: Some(START), ..Filter::default() }), 0);
    let all = find(rules(), &state, &Filter::default(), 2);
    assert_eq!((all.rows.len(), all.all), (2, 4));
    assert!(all.rows[0].at >= all.rows[1].at);
    let names: Vec<Material> = materials(rules(), &state).into_iter().map(|(of, _)| of).collect();
    assert_eq!(names, [family, tin]);
}
