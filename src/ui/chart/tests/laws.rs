//! Laws that hold for any data, nonsense included: no number is missing in the
//! drawing, everything lies within it, and an XML parser reads it.

use super::*;
use proptest::prelude::*;

/// Numbers as good data and as nonsense.
fn number() -> impl Strategy<Value = f64> {
    prop_oneof![4 => -20.0..150.0_f64, 1 => any::<f64>(), 1 => Just(f64::NAN), 1 => Just(0.0)]
}

fn instant() -> impl Strategy<Value = Instant> {
    prop_oneof![5 => (-100..3000_i64).prop_map(at), 1 => any::<i64>().prop_map(Instant)]
}

fn span_of() -> impl Strategy<Value = Span<f64>> {
    (number(), number(), number()).prop_map(|(low, likely, high)| Span { low, likely, high })
}

/// Any text but one that holds what the drawing is searched for.
fn text() -> impl Strategy<Value = String> {
    "[^iINn]{0,60}"
}

fn check(svg: &str) {
    assert!(!svg.contains("NaN") && !svg.contains("inf"), "{svg}");
    if !svg.starts_with("<p") {
        read(svg);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn any_cure_makes_a_sound_drawing(
        times in (instant(), instant(), instant(), instant()),
        offset in number(),
        share in proptest::collection::vec((instant(), span_of()), 0..12),
        window in proptest::collection::vec(
            (text(), proptest::option::of((instant(), instant())), proptest::option::of((instant(), instant()))), 0..4),
        mark in proptest::collection::vec((instant(), text()), 0..3),
        heat in proptest::collection::vec((instant(), number()), 0..12),
        limit in proptest::option::of((number(), text())),
        sorted in any::<bool>(),
    ) {
        let (mut share, mut heat) = (share, heat);
        if sorted {
            share.sort_by_key(|s| s.0);
            heat.sort_by_key(|t| t.0);
        }
        let ends = |e: &Option<(Instant, Instant)>| e.map(|(a, b)| Span { low: a, likely: a, high: b });
        let windows: Vec<Band> = window.iter()
            .map(|(label, opens, closes)| Band { label, opens: ends(opens), closes: ends(closes) })
            .collect();
        let marks: Vec<(Instant, &str)> = mark.iter().map(|(t, word)| (*t, word.as_str())).collect();
        let heat: Vec<(Instant, Celsius)> = heat.iter().map(|(t, c)| (*t, Celsius(*c))).collect();
        let mut data = cure(&share, &windows, &heat);
        (data.started, data.now, data.until, data.measured_to) = times;
        (data.offset, data.marks) = (Minutes(offset), &marks);
        data.limit = limit.as_ref().map(|(t, words)| (Celsius(*t), words.as_str()));
        check(&progress(&data));
    }

    #[test]
    fn any_gels_make_a_sound_drawing(
        gels in proptest::collection::vec((span_of(), number(), any::<bool>(), 0..3_usize), 0..12),
        title in text(),
    ) {
        let gels: Vec<Gel> = gels.into_iter().map(|(predicted, observed, before, standing)| Gel {
            predicted: predicted.map(|t| Minutes(t.abs())),
            observed: Minutes(observed),
            learning: if before { Learning::Before } else { Learning::After },
            standing: [Standing::Kept, Standing::Odd, Standing::LeftOut][standing],
        }).collect();
        check(&fit(&Fit { id: "f", title: &title, gels: &gels }));
    }

    #[test]
    fn any_batches_make_a_sound_drawing(
        points in proptest::collection::vec((number(), span_of(), proptest::option::of(number())), 0..12),
        chosen in proptest::option::of(number()),
        advised in proptest::option::of((number(), text())),
        sorted in any::<bool>(),
    ) {
        let mut points = points;
        if sorted {
            points.sort_by(|a, b| a.0.total_cmp(&b.0));
        }
        let points: Vec<PotPoint> = points.into_iter().map(|(mass, pot, peak)| PotPoint {
            mass: Grams(mass),
            pot: pot.map(Minutes),
            peak: peak.map(Celsius),
        }).collect();
        let mut data = pot_data(&points);
        data.chosen = chosen.map(Grams);
        data.advised = advised.as_ref().map(|(mass, words)| (Grams(*mass), words.as_str()));
        check(&pot_life(&data));
    }
}
