//! Charts as a browser and a screen reader get them. They are read back with an
//! XML parser that is not the project's (roxmltree); the shape of SVG and its
//! accessible names are those of SVG 2, chapters 5 and 8, and WAI-ARIA 1.2.

use super::fit::{Gel, Learning, Standing};
use super::frame::{
    Scale, Ticks, between, decade_ticks, even_ticks, push_drawable, round_step, span_label,
    span_ticks, value_at,
};
use super::*;
use crate::engine::quantity::{Celsius, Grams, Instant, Minutes, Span};
use crate::engine::units::{MassUnit, TemperatureUnit};
use roxmltree::Document;

mod laws;

const MINUTE: i64 = 60_000;
/// 2026-11-24, 08:15 by a clock an hour east of Greenwich: a Tuesday (ISO 8601).
const START: i64 = 1_795_504_500_000;

fn at(minutes: i64) -> Instant {
    Instant(START + minutes * MINUTE)
}

fn span(low: i64, likely: i64, high: i64) -> Option<Span<Instant>> {
    Some(Span { low: at(low), likely: at(likely), high: at(high) })
}

fn shares() -> Vec<(Instant, Span<f64>)> {
    (0..=54)
        .map(|n| {
            let t = f64::from(n) * 10.0;
            let part = |whole: f64| (t / whole).min(1.0);
            let share = Span { low: part(190.0), likely: part(165.0), high: part(150.0) };
            (at(i64::from(n) * 10), share)
        })
        .collect()
}

fn cure<'a>(
    share: &'a [(Instant, Span<f64>)],
    windows: &'a [Band<'a>],
    temperature: &'a [(Instant, Celsius)],
) -> Progress<'a> {
    Progress {
        id: "c1",
        title: "Finial · gel coat 1",
        toward: "tack",
        started: at(0),
        now: at(125),
        until: at(540),
        offset: Minutes(60.0),
        share,
        windows,
        marks: &[],
        temperature,
        measured_to: at(125),
        driver: "Surface",
        limit: Some((Celsius(15.0), "too cold while wet")),
        unit: TemperatureUnit::Celsius,
    }
}

fn windows() -> [Band<'static>; 2] {
    [
        Band { label: "Second coat", opens: span(150, 165, 190), closes: span(380, 420, 500) },
        Band { label: "Demould", opens: span(480, 600, 700), closes: None },
    ]
}

fn temperatures() -> [(Instant, Celsius); 5] {
    [(0, 17.5), (60, 19.0), (120, 20.5), (400, 17.0), (540, 13.5)].map(|(t, c)| (at(t), Celsius(c)))
}

fn gels() -> Vec<Gel> {
    let gel = |likely: f64, observed: f64, learning, standing| Gel {
        predicted: match learning {
            Learning::Before => Span { low: likely * 0.7, likely, high: likely * 1.5 },
            Learning::After => Span { low: likely * 0.9, likely, high: likely * 1.12 },
        }
        .map(Minutes),
        observed: Minutes(observed),
        learning,
        standing,
    };
    use Learning::{After, Before};
    use Standing::{Kept, LeftOut, Odd};
    vec![
        gel(15.0, 20.0, Before, Kept),
        gel(22.0, 27.0, Before, Kept),
        gel(30.0, 62.0, Before, LeftOut),
        gel(38.0, 36.0, After, Kept),
        gel(18.0, 19.0, After, Kept),
        gel(25.0, 44.0, After, Odd),
    ]
}

fn pots(with_peak: bool) -> Vec<PotPoint> {
    [50.0, 100.0, 200.0, 400.0, 800.0, 1600.0, 3200.0]
        .iter()
        .enumerate()
        .map(|(n, mass)| {
            let pot = 34.0 - 4.2 * n as f64;
            PotPoint {
                mass: Grams(*mass),
                pot: Span { low: pot * 0.8, likely: pot, high: pot * 1.25 }.map(Minutes),
                peak: with_peak.then_some(Celsius(31.0 + 19.0 * n as f64)),
            }
        })
        .collect()
}

fn pot_data(points: &[PotPoint]) -> PotLife<'_> {
    PotLife {
        id: "p1",
        title: "Epoxy, slow",
        points,
        chosen: Some(Grams(300.0)),
        advised: Some((Grams(500.0), "advised at most")),
        mass: MassUnit::Gram,
        temperature: TemperatureUnit::Celsius,
    }
}

/// The description and the words drawn, after a check of the whole drawing.
fn read(svg: &str) -> (String, Vec<String>) {
    let document = Document::parse(svg).expect(svg);
    let root = document.root_element();
    assert_eq!((root.tag_name().name(), root.attribute("role")), ("svg", Some("img")));
    let size: Vec<f64> =
        root.attribute("viewBox").unwrap().split(' ').map(|n| n.parse().unwrap()).collect();
    let named = root.attribute("aria-labelledby").unwrap();
    let ids: Vec<&str> = document.descendants().filter_map(|n| n.attribute("id")).collect();
    for name in named.split(' ') {
        assert!(ids.contains(&name), "{name} names nothing");
    }
    let (mut description, mut words) = (String::new(), Vec::new());
    for node in document.descendants().filter(|n| n.is_element()) {
        assert!(node.attribute("style").is_none(), "the security policy forbids it");
        if node.ancestors().any(|n| n.tag_name().name() == "defs") {
            continue;
        }
        if let Some(fill) = node.attribute("fill") {
            let id = fill.trim_start_matches("url(#").trim_end_matches(')');
            assert!(ids.contains(&id), "{fill}");
        }
        let is_inside = |x: &str, y: &str| {
            let (x, y): (f64, f64) = (x.parse().unwrap(), y.parse().unwrap());
            assert!(x >= 0.0 && x <= size[2] && y >= 0.0 && y <= size[3], "{x} {y} {size:?}");
        };
        match node.tag_name().name() {
            "desc" => description = node.text().unwrap().to_owned(),
            "text" => {
                is_inside(node.attribute("x").unwrap(), node.attribute("y").unwrap());
                let text = node.text().unwrap_or_default();
                assert!(text.chars().count() <= 39, "{text} is wider than the drawing");
                words.push(text.to_owned());
            }
            "path" => {
                for spot in node.attribute("d").unwrap().trim_end_matches('Z').split(['M', 'L']) {
                    if let Some((x, y)) = spot.split_once(' ') {
                        is_inside(x, y);
                    }
                }
            }
            _ => {}
        }
    }
    (description, words)
}

#[test]
fn a_cure_is_said_and_drawn() {
    let (share, windows, temperature) = (shares(), windows(), temperatures());
    let mut data = cure(&share, &windows, &temperature);
    let marks = [(at(95), "gelled")];
    data.marks = &marks;
    let (said, words) = read(&progress(&data));
    // By hand: 125 of 165 minutes are 76 %, all times are 08:15 and so much, and
    // 5 of the 280 minutes from 20.5 to 17 °C take off 0.06 °C.
    assert_eq!(
        said,
        "Second coat opens between 10:45 and 11:25, closes between 14:35 and 16:35. Demould opens \
         between 16:15 and 19:55. Now 10:20, 76 % of the way to tack, gelled 09:50. \
         Surface 20.4 °C, too cold while wet below 15 °C."
    );
    for word in
        ["now 10:20", "Second coat", "gelled", "– – too cold while wet", "Surface, °C", "10:00"]
    {
        assert!(words.iter().any(|w| w == word), "{word} is not in {words:?}");
    }
}

#[test]
fn midnight_shows_its_day_and_the_scale_is_the_users() {
    let (share, temperature) = (shares(), temperatures());
    let mut data = cure(&share, &[], &temperature);
    data.until = at(1200);
    data.unit = TemperatureUnit::Fahrenheit;
    let (_, words) = read(&progress(&data));
    assert!(words.iter().any(|w| w == "Wed"), "{words:?}");
    // 13.5 and 20.5 °C are 56.3 and 68.9 °F, by the definition of the scale.
    for word in ["Surface, °F", "55", "70"] {
        assert!(words.iter().any(|w| w == word), "{word} is not in {words:?}");
    }
}

#[test]
fn predictions_are_counted_by_hand() {
    let data = Fit { id: "f1", title: "Gel coat, batch 7", gels: &gels() };
    let (said, words) = read(&fit(&data));
    // 15 to 20 and 22 to 27 lie within 0.7 to 1.5; 38 to 36 and 18 to 19 within
    // 0.9 to 1.12, 25 to 44 does not.
    assert_eq!(
        said,
        "Predicted against observed times to gel. Before learning 2 of 2 lie within their 80 % \
         interval. After learning 2 of 3 lie within their 80 % interval. 1 marked odd. 1 left out."
    );
    for word in ["odd", "before learning", "after learning", "left out", "10 min", "1 h"] {
        assert!(words.iter().any(|w| w == word), "{word} is not in {words:?}");
    }
}

#[test]
fn pot_life_is_said_with_its_batch_and_defers_to_the_sheet() {
    let points = pots(true);
    let (said, words) = read(&pot_life(&pot_data(&points)));
    // 300 g lie at ln 1.5 / ln 2 = 0.585 between 25.6 and 21.4 min, 69 and 88 °C.
    assert_eq!(
        said,
        "Pot life goes from 34 min at 50 g to 9 min at 3200 g. This batch of 300 g: 23 min, peak \
         80 °C; advised at most 500 g. Worked out, not measured: the tin's data sheet goes before \
         it."
    );
    for word in ["this batch", "advised at most", "Peak in the tub, °C", "Batch, g", "100"] {
        assert!(words.iter().any(|w| w == word), "{word} is not in {words:?}");
    }
    let simple = pots(false);
    let (said, words) = read(&pot_life(&pot_data(&simple)));
    assert!(!said.contains("peak") && !words.iter().any(|w| w.starts_with("Peak")), "{words:?}");
    let mut far = pot_data(&simple);
    far.chosen = Some(Grams(9000.0));
    let (said, words) = read(&pot_life(&far));
    assert!(said.contains("9000 g lies outside of the chart"), "{said}");
    assert!(!words.iter().any(|w| w == "this batch"));
}

#[test]
fn what_people_write_stays_text() {
    let nasty = "<script>alert('x')</script> & \"tub\" ]]>\u{0}\u{ffff}";
    let (share, temperature, points) = (shares(), temperatures(), pots(true));
    let windows = [Band { label: nasty, opens: span(10, 20, 30), closes: None }];
    let mut cured = cure(&share, &windows, &temperature);
    let marks = [(at(95), nasty)];
    (cured.id, cured.title, cured.toward, cured.driver) = ("\"><b>", nasty, nasty, nasty);
    (cured.marks, cured.limit) = (&marks, Some((Celsius(15.0), nasty)));
    let mut pot = pot_data(&points);
    (pot.id, pot.title, pot.advised) = ("\"'>", nasty, Some((Grams(500.0), nasty)));
    let fitted = Fit { id: "<>", title: nasty, gels: &gels() };
    for svg in [progress(&cured), pot_life(&pot), fit(&fitted)] {
        read(&svg);
        assert!(!svg.contains("<script") && !svg.contains("<b>"), "{svg}");
        assert!(svg.contains("&lt;script&gt;alert(&#39;x&#39;)&lt;/script&gt; &amp; &quot;tub"));
    }
}

#[test]
fn without_data_there_is_a_sentence() {
    let (share, temperature) = (shares(), temperatures());
    let nowhere = [(at(0), Span::exact(f64::NAN)), (at(9), Span::exact(f64::INFINITY))];
    let mut backwards = cure(&share, &[], &temperature);
    backwards.until = at(-1);
    let mut forever = cure(&share, &[], &temperature);
    forever.until = Instant(i64::MAX);
    let lone = pots(true).split_off(6);
    for text in [
        progress(&cure(&[], &[], &temperature)),
        progress(&cure(&share[..1], &[], &temperature)),
        progress(&cure(&nowhere, &[], &temperature)),
        progress(&backwards),
        progress(&forever),
        fit(&Fit { id: "f", title: "", gels: &[] }),
        pot_life(&pot_data(&[])),
        pot_life(&pot_data(&lone)),
    ] {
        assert_eq!(text, "<p class=\"hint\">Nothing to show yet.</p>");
    }
    // Without a temperature the rest stands; without a reading it is a forecast.
    let mut later = cure(&share, &[], &temperature);
    later.now = at(130);
    assert!(read(&progress(&later)).0.contains("Surface 20.4 °C by forecast"));
    let (_, words) = read(&progress(&cure(&share, &[], &[])));
    assert!(!words.iter().any(|w| w.starts_with("Surface")));
}

/// Numbers of an axis: the 1-2-5 series (common practice).
#[test]
fn ticks_are_round() {
    for (span, most, step) in [
        (3.0, 4.0, 1),
        (7.0, 4.0, 2),
        (17.0, 4.0, 5),
        (40.0, 4.0, 10),
        (50.0, 4.0, 20),
        (900.0, 4.0, 500),
    ] {
        assert_eq!(round_step(span, most), step, "{span}");
    }
    let ticks = even_ticks(13.5, 20.5, 2, |n| n.to_string());
    assert_eq!(labels(&ticks), ["12", "14", "16", "18", "20", "22"]);
    assert_eq!(labels(&even_ticks(-3.0, 1.0, 5, |n| n.to_string())), ["-5", "0", "5"]);
    assert_eq!([0, 45, 90, 120, 2880].map(span_label), ["0", "45 min", "90 min", "2 h", "2 d"]);
}

fn labels(ticks: &Ticks) -> Vec<String> {
    let mut marks = ticks.marks.clone();
    marks.sort_by(|a, b| a.at.total_cmp(&b.at));
    marks.iter().filter_map(|tick| tick.number).map(ticks.label).collect()
}

#[test]
fn axes_of_logarithms_keep_their_labels_apart() {
    let scale = |from: f64, to: f64| Scale { from: from.ln(), to: to.ln(), first: 640, last: 3480 };
    let all = decade_ticks(&scale(0.0009, 600_000.0), 0);
    assert_eq!(all.marks.len(), 27);
    for tick in &all.marks {
        // A label says the number that it stands at, by the library's parser.
        let label = (all.label)(tick.number.unwrap());
        let said: f64 = label.parse().unwrap();
        assert!((tick.at.exp() / said - 1.0).abs() < 1e-12, "{label}");
    }
    assert_eq!(labels(&decade_ticks(&scale(20.0, 5000.0), 480)), ["20", "100", "1000", "5000"]);
    for (from, to) in [(1.0, 12.0), (7.0, 90.0), (50.0, 700.0), (3.0, 144_000.0), (900.0, 11_000.0)]
    {
        let said = labels(&span_ticks(&scale(from, to), 620));
        assert!((2..=5).contains(&said.len()), "{from} {to} {said:?}");
    }
    // Equal factors are equal lengths.
    let line = scale(1.0, 100.0);
    assert!((line.at(10.0_f64.ln()) - (640 + 3480) / 2).abs() <= 1);
}

#[test]
fn joined_points_are_read_between_and_beyond() {
    let mut points = Vec::new();
    for point in [(0.0, 1.0), (f64::NAN, 1.0), (4.0, 9.0), (2.0, 5.0), (8.0, 1.0)] {
        push_drawable(&mut points, point);
    }
    assert_eq!(points, [(0.0, 1.0), (4.0, 9.0), (8.0, 1.0)]);
    for (x, y) in [(-1.0, 1.0), (1.0, 3.0), (4.0, 9.0), (7.0, 3.0), (9.0, 1.0)] {
        assert_eq!(value_at(&points, x), Some(y), "{x}");
    }
    assert_eq!(between(&points, 1.0, 9.0), [(1.0, 3.0), (4.0, 9.0), (8.0, 1.0), (9.0, 1.0)]);
    assert_eq!(value_at(&[], 1.0), None);
}

/// Writes one of each into the folder that `CHARTS` names, to be looked at:
/// `CHARTS=/tmp/charts cargo test --lib chart -- --ignored`.
#[test]
#[ignore = "writes files for people to look at"]
fn samples() {
    let folder = std::env::var("CHARTS").expect("CHARTS names no folder");
    let (share, windows, temperature) = (shares(), windows(), temperatures());
    let mut cured = cure(&share, &windows, &temperature);
    let marks = [(at(95), "gelled")];
    cured.marks = &marks;
    let mut long = cured;
    (long.id, long.until, long.unit) = ("c2", at(1500), TemperatureUnit::Fahrenheit);
    let (full, simple) = (pots(true), pots(false));
    for (name, svg) in [
        ("cure", progress(&cured)),
        ("cure-overnight", progress(&long)),
        ("fit", fit(&Fit { id: "f1", title: "Gel coat, batch 7", gels: &gels() })),
        ("pot", pot_life(&pot_data(&full))),
        ("pot-simple", pot_life(&PotLife { id: "p2", ..pot_data(&simple) })),
    ] {
        std::fs::write(format!("{folder}/{name}.svg"), svg).unwrap();
    }
}
