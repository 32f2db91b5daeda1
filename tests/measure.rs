//! How long the engine takes: `./dev bench` runs this natively and in a browser.
//! It prints, and never fails by time. Aims: the design's section 9.

use benchtide::engine::cure::{Cure, Effect, Limits, MilestoneSpec, Phase};
use benchtide::engine::exotherm::{Conditions, Contents, Cup, Reaction, Vessel, cup};
use benchtide::engine::history::TemperatureHistory;
use benchtide::engine::kinetics::TemperatureLaw;
use benchtide::engine::learning::{Observation, Prior, energies, learn};
use benchtide::engine::quantity::{
    Celsius, Grams, GramsPerMillilitre, Instant, JoulesPerGram, JoulesPerGramKelvin,
    KilojoulesPerMole, Minutes, PerMinute, Span, WattsPerMetreKelvin,
};
use benchtide::job::find::answer::Question;

#[path = "measure/find.rs"]
mod find;
#[path = "measure/scans.rs"]
mod scans;

#[cfg(target_arch = "wasm32")]
use wasm_bindgen_test::{wasm_bindgen_test, wasm_bindgen_test_configure};

#[cfg(target_arch = "wasm32")]
wasm_bindgen_test_configure!(run_in_browser);

/// Milliseconds since some instant.
fn clock() -> f64 {
    #[cfg(target_arch = "wasm32")]
    return js_sys::Date::now();
    #[cfg(not(target_arch = "wasm32"))]
    {
        use std::time::{SystemTime, UNIX_EPOCH};
        SystemTime::now().duration_since(UNIX_EPOCH).unwrap().as_secs_f64() * 1000.0
    }
}

fn say(line: &str) {
    #[cfg(target_arch = "wasm32")]
    wasm_bindgen_test::console_log!("{line}");
    #[cfg(not(target_arch = "wasm32"))]
    println!("{line}");
}

/// Runs it until a second is over, and says what one run took.
fn measure(what: &str, aim: &str, mut run: impl FnMut() -> usize) {
    let (began, mut runs, mut results) = (clock(), 0, 0);
    while clock() - began < 1000.0 {
        results += run();
        runs += 1;
    }
    let each = (clock() - began) / f64::from(runs);
    say(&format!("{what:52} {each:9.3} ms   {aim}"));
    assert!(results > 0, "nothing was worked out");
}

fn minute(minute: i64) -> Instant {
    Instant(1_700_000_000_000 + minute * 60_000)
}

/// A thousand readings, one each ten minutes, of a room that cools at night.
fn room() -> TemperatureHistory {
    TemperatureHistory::new((0..1000).map(|i| {
        let day = f64::from(i) / 144.0 * std::f64::consts::TAU;
        (minute(i64::from(i) * 10), Celsius(17.0 + 3.0 * day.sin()))
    }))
    .unwrap()
}

fn thirty_cures(room: &Span<TemperatureHistory>) -> usize {
    let spec = |minutes: f64, phase, effect, firm| MilestoneSpec {
        time: Span {
            low: Minutes(minutes * 0.7),
            likely: Minutes(minutes),
            high: Minutes(minutes * 1.3),
        },
        phase,
        effect,
        firm,
    };
    let milestones = [
        spec(12.0, Phase::Wet, Effect::NotBefore, false),
        spec(40.0, Phase::Wet, Effect::FinishBy, false),
        spec(50.0, Phase::Wet, Effect::NotBefore, true),
        spec(960.0, Phase::Harden, Effect::NotBefore, false),
        spec(10_000.0, Phase::Harden, Effect::NotBefore, false),
    ];
    (0..30)
        .map(|index| {
            let cure = Cure {
                start: minute(index * 30),
                law: TemperatureLaw::PerTen { factor: 2.0, reference: Celsius(20.0) },
                speed: 1.0,
                limits: Limits {
                    wet_min: Celsius(10.0),
                    harden_min: Celsius(5.0),
                    max: Celsius(35.0),
                },
                milestones: &milestones,
            };
            cure.solve(room, minute(5000)).forecasts.len()
        })
        .sum()
}

fn regression(room: &TemperatureHistory) -> usize {
    let prior = Prior {
        slowness_band: 0.3,
        energy: energies(Span { low: 1.75, likely: 2.0, high: 2.3 }, Celsius(20.0)),
        exponent: Span { low: 0.8, likely: 1.0, high: 1.2 },
        reference: Celsius(20.0),
        carried: None,
    };
    let seen: Vec<Observation> = (0..500)
        .map(|index| Observation {
            started: minute(index * 19),
            seen: minute(index * 19 + 80 + index % 23),
            not_yet: None,
            reference: Minutes(75.0),
            temperature: room,
            level_ratio: Some(0.8 + 0.01 * (index % 40) as f64),
        })
        .collect();
    learn(&prior, &seen).points().len()
}

fn exotherm() -> usize {
    let reaction = Reaction {
        reference: Celsius(20.0),
        k1: PerMinute(0.002),
        k2: PerMinute(0.2),
        energy1: KilojoulesPerMole(50.0),
        energy2: KilojoulesPerMole(50.0),
        m: 0.5,
        n: 1.5,
        heat: JoulesPerGram(300.0),
        gel_conversion: 0.15,
    };
    let tub = Cup {
        mass: Grams(500.0),
        contents: Contents {
            density: GramsPerMillilitre(1.12),
            specific_heat: JoulesPerGramKelvin(1.9),
            conductivity: WattsPerMetreKelvin(0.18),
            reacting: 1.0,
        },
        vessel: Vessel::Tub,
    };
    let around = Conditions { start: Celsius(20.0), air: Celsius(20.0), speed: 1.0 };
    cup(&reaction, &tub, &around).map_or(0, |run| run.course.len())
}

#[cfg_attr(target_arch = "wasm32", wasm_bindgen_test)]
#[cfg_attr(not(target_arch = "wasm32"), test)]
#[cfg_attr(not(target_arch = "wasm32"), ignore = "a measure: ./dev bench runs it")]
fn measures() {
    let room = room();
    let span = Span { low: room.clone(), likely: room.clone(), high: room.clone() };
    measure("30 cures over 1,000 readings, 5 milestones each", "aim 5 ms in WASM", || {
        thirty_cures(&span)
    });
    measure("regression over 500 findings", "", || regression(&room));
    measure("heat of a tub, one run", "", exotherm);
    let shop = find::shop();
    measure("words looked for in 10,500 events", "aim 100 ms", || find::search(&shop));
    measure("all of 10,500 events, the newest 50", "aim 100 ms", || find::all(&shop));
    for (question, text) in Question::ALL {
        measure(text, "aim 100 ms", || find::ask(&shop, question));
    }
}

/// Each a test of its own, since a browser that is held up too long gives up.
macro_rules! scans {
    ($($name:ident: $run:expr;)*) => {$(
        #[cfg_attr(target_arch = "wasm32", wasm_bindgen_test)]
        #[cfg_attr(not(target_arch = "wasm32"), test)]
        #[cfg_attr(not(target_arch = "wasm32"), ignore = "a measure: ./dev bench runs it")]
        fn $name() {
            $run;
        }
    )*};
}

scans! {
    scan_stl: scans::read("STL, binary", scans::Ring::stl);
    scan_stl_text: scans::read("STL, text", scans::Ring::stl_text);
    scan_obj: scans::read("OBJ", scans::Ring::obj);
    scan_ply: scans::read("PLY, binary", scans::Ring::ply);
    scan_ply_text: scans::read("PLY, text", scans::Ring::ply_text);
    scan_figures: scans::figures();
}
