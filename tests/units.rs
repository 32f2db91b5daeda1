//! Entry and display units, against the factors of NIST Special Publication
//! 811 (2008 edition, appendix B.8) and the definitions beneath them. Its
//! rounded factors are quoted from memory and checked against the definitions.

use benchtide::engine::json::Json;
use benchtide::engine::quantity::{
    Celsius, Grams, GramsPerMillilitre, GramsPerSquareMetre, Kilopascals, Millilitres, Millimetres,
    Minutes, Percent, SquareMetres,
};
use benchtide::engine::stored::Stored;
use benchtide::engine::takeoff::KilogramsForce;
use benchtide::engine::units::*;
use proptest::prelude::*;

fn close(found: f64, expected: f64, relative: f64) {
    assert!(
        (found - expected).abs() <= relative * expected.abs(),
        "found {found}, expected {expected}"
    );
}

/// NIST SP 811 B.8 prints these as exact (bold): inch 25.4 mm, foot 0.3048 m,
/// pound 0.453 592 37 kg. Ounce = pound/16.
#[test]
fn factors_of_length_and_mass_are_those_of_nist_sp_811() {
    assert_eq!(LengthUnit::Inch.one(), Millimetres(25.4));
    assert_eq!(LengthUnit::Foot.one(), Millimetres(304.8));
    assert_eq!(MassUnit::Pound.one(), Grams(453.59237));
    assert_eq!(MassUnit::Ounce.one(), Grams(28.349523125));
    // SP 811 prints the ounce rounded: 2.834 952 E-02 kg.
    close(MassUnit::Ounce.one().value(), 28.34952, 1e-6);
}

/// NIST SP 811 B.8: fluid ounce (US) 29.573 53 ml, fluid ounce (Canadian and
/// UK, imperial) 28.413 06 ml, square foot 9.290 304 E-02 m² (exact), square
/// inch 6.4516 E-04 m² (exact), pound per cubic foot 16.018 46 kg/m³.
#[test]
fn factors_of_volume_area_and_density_are_those_of_nist_sp_811() {
    assert_eq!(VolumeUnit::FluidOunceUs.one(), Millilitres(29.5735295625));
    assert_eq!(VolumeUnit::FluidOunceImperial.one(), Millilitres(28.4130625));
    close(VolumeUnit::FluidOunceUs.one().value(), 29.57353, 1e-6);
    close(VolumeUnit::FluidOunceImperial.one().value(), 28.41306, 1e-6);
    assert_eq!(AreaUnit::SquareFoot.one(), SquareMetres(0.09290304));
    assert_eq!(AreaUnit::SquareInch.one(), SquareMetres(0.00064516));
    close(DensityUnit::PoundPerCubicFoot.one().value() * 1000.0, 16.01846, 1e-6);
}

/// The definitions: a US gallon is 231 cubic inches and 128 fluid ounces; an
/// imperial gallon is 4.54609 l and 160 fluid ounces; a foot is 12 inches.
#[test]
fn factors_agree_with_the_definitions() {
    let cubic_inch = 2.54_f64.powi(3);
    close(VolumeUnit::FluidOunceUs.one().value() * 128.0, 231.0 * cubic_inch, 1e-14);
    close(VolumeUnit::FluidOunceImperial.one().value() * 160.0, 4546.09, 1e-14);
    close(AreaUnit::SquareFoot.one().value(), AreaUnit::SquareInch.one().value() * 144.0, 1e-14);
    close(LengthUnit::Foot.one().value(), LengthUnit::Inch.one().value() * 12.0, 1e-14);
    close(MassUnit::Pound.one().value(), MassUnit::Ounce.one().value() * 16.0, 1e-14);
}

/// NIST SP 811 B.8: t/°C = (t/°F - 32)/1.8. Fixed points: water freezes at
/// 32 °F and boils at 212 °F; the scales meet at -40.
#[test]
fn fahrenheit_is_that_of_nist_sp_811() {
    for (fahrenheit, celsius) in [(32.0, 0.0), (212.0, 100.0), (-40.0, -40.0), (98.6, 37.0)] {
        assert!((TemperatureUnit::Fahrenheit.quantity(fahrenheit).value() - celsius).abs() < 1e-12);
        assert!((TemperatureUnit::Fahrenheit.number(Celsius(celsius)) - fahrenheit).abs() < 1e-12);
    }
    let room = read_air_temperature("63 F", TemperatureUnit::Celsius).unwrap();
    assert!((room.value() - 17.222_222).abs() < 1e-6);
}

#[test]
fn a_length_is_read_as_people_write_it() {
    let mm = LengthUnit::Millimetre;
    for (text, expected) in [
        ("12.5", 12.5),
        ("12,5", 12.5),
        (" 6mm ", 6.0),
        ("0.5 in", 12.7),
        (".5in", 12.7),
        ("½ in", 12.7),
        ("1/2\"", 12.7),
        ("1 1/2 in", 38.1),
        ("1½ in", 38.1),
        ("1 ½ inches", 38.1),
        ("1 ft 6 in", 457.2),
        ("1ft6in", 457.2),
        ("1' 6\"", 457.2),
        ("1 ft. 6 in.", 457.2),
        ("0,25 m", 250.0),
        ("0,125 m", 125.0),
        ("1.250 m", 1250.0),
        ("45 CM", 450.0),
        ("1/2", 0.5),
    ] {
        close(
            read_length(text, mm).unwrap_or_else(|e| panic!("{text}: {e}")).value(),
            expected,
            1e-12,
        );
    }
    close(read_length("3/8", LengthUnit::Inch).unwrap().value(), 9.525, 1e-12);
}

#[test]
fn masses_volumes_and_areas_are_read_as_people_write_them() {
    close(read_mass("2 lb 3 oz", MassUnit::Gram).unwrap().value(), 992.233_309, 1e-8);
    close(read_mass("12 oz", MassUnit::Gram).unwrap().value(), 340.194_277_5, 1e-12);
    close(read_mass("1.2", MassUnit::Kilogram).unwrap().value(), 1200.0, 1e-12);
    close(read_volume("8 us fl oz", VolumeUnit::Litre).unwrap().value(), 236.588_236_5, 1e-12);
    close(
        read_volume("8 fl. oz", VolumeUnit::FluidOunceImperial).unwrap().value(),
        227.3045,
        1e-12,
    );
    close(read_volume("16 cm3", VolumeUnit::Litre).unwrap().value(), 16.0, 1e-12);
    close(read_area("400 cm2", AreaUnit::SquareMetre).unwrap().value(), 0.04, 1e-12);
    close(read_area("2 1/2 sq ft", AreaUnit::SquareMetre).unwrap().value(), 0.232_257_6, 1e-12);
    close(
        read_density("112 lb/ft3", DensityUnit::GramPerMillilitre).unwrap().value(),
        1.794_068,
        1e-6,
    );
}

#[test]
fn times_percents_and_counts_are_read_as_people_write_them() {
    for (text, expected) in [
        ("90", 90.0),
        ("1h30", 90.0),
        ("1 h 30 min", 90.0),
        ("1:30", 90.0),
        ("1,5 h", 90.0),
        ("1 1/2 h", 90.0),
        ("2 min 30 s", 2.5),
        ("2 d", 2880.0),
        ("0", 0.0),
    ] {
        close(
            read_minutes(text).unwrap_or_else(|e| panic!("{text}: {e}")).value(),
            expected,
            1e-12,
        );
    }
    assert_eq!(read_percent("2,4 %"), Ok(Percent(2.4)));
    assert_eq!(read_count("3"), Ok(3));
}

#[test]
fn what_can_be_misread_is_refused() {
    let length = |text: &str| read_length(text, LengthUnit::Millimetre).unwrap_err();
    let volume = |text: &str| read_volume(text, VolumeUnit::Millilitre).unwrap_err();
    assert_eq!(length("  "), EntryError::Empty);
    for text in ["abc", "-", "1/0", "1 3/2", "1.5/2", "1.2.3", "1,2,3", "12 in 6 in", "NaN", "inf"]
    {
        assert!(
            matches!(length(text), EntryError::NotANumber { .. }),
            "{text}: {:?}",
            length(text)
        );
    }
    assert!(matches!(length("1,250"), EntryError::TwoReadings { .. }));
    assert!(matches!(length("12 oz"), EntryError::WrongUnit { .. }));
    assert!(matches!(length("1e3"), EntryError::WrongUnit { .. }));
    assert!(matches!(length("6 -3"), EntryError::WrongUnit { .. }));
    assert_eq!(length("1 ft 6"), EntryError::MissingUnit);
    assert!(matches!(length("-3"), EntryError::OutOfRange { .. }));
    assert_eq!(length(&"9".repeat(400)), EntryError::NotFinite);
    assert!(matches!(volume("12 oz"), EntryError::WrongUnit { .. }), "an ounce is a mass");
    assert_eq!(volume("12 fl oz"), EntryError::WhichOunce);
    assert!(matches!(read_count("2.5"), Err(EntryError::NotWhole { .. })));
    assert!(matches!(read_count("2 g"), Err(EntryError::WrongUnit { .. })));
    assert!(matches!(read_percent("101"), Err(EntryError::OutOfRange { .. })));
    for text in ["1:75", "1:3", "-1:30", "1h 90 h", "5 kg"] {
        assert!(read_minutes(text).is_err(), "{text}");
    }
}

/// A room is between -40 and 80 °C: beyond it, a unit was mistaken.
#[test]
fn an_absurd_air_temperature_is_refused() {
    let read = |text: &str| read_air_temperature(text, TemperatureUnit::Celsius);
    assert_eq!(read("-40"), Ok(Celsius(-40.0)));
    assert_eq!(read("80 °C"), Ok(Celsius(80.0)));
    for text in ["-40.1", "80.5", "200 F"] {
        assert!(matches!(read(text), Err(EntryError::OutOfRange { .. })), "{text}");
    }
    // Below absolute zero is no temperature at all: 0 K is -459.67 °F (SI).
    assert!(read_temperature("-459.6 F", TemperatureUnit::Celsius).is_ok());
    assert!(read_temperature("-459.7 F", TemperatureUnit::Celsius).is_err());
}

#[test]
fn errors_are_sentences_that_say_what_to_do() {
    for (error, expected) in [
        (
            read_length("12 oz", LengthUnit::Inch).unwrap_err(),
            "“oz” can't be used here. Use mm, cm, m, in or ft.",
        ),
        (
            read_air_temperature("200 F", TemperatureUnit::Fahrenheit).unwrap_err(),
            "It must lie between -40 °F and 176 °F. Check the number and its unit.",
        ),
        (read_mass("-1", MassUnit::Gram).unwrap_err(), "It can't be below 0. Check the number."),
    ] {
        assert_eq!(error.to_string(), expected);
    }
}

#[test]
fn quantities_are_shown_with_sensible_figures() {
    assert_eq!(show_length(Millimetres(12.7), LengthUnit::Inch), "0.5 in");
    assert_eq!(show_length(Millimetres(12.5), LengthUnit::Millimetre), "12.5 mm");
    assert_eq!(show_length(Millimetres(-0.001), LengthUnit::Metre), "-0.000001 m");
    assert_eq!(show_length(Millimetres(-0.0), LengthUnit::Millimetre), "0 mm");
    assert_eq!(show_mass(Grams(3681.818), MassUnit::Gram), "3682 g");
    assert_eq!(show_mass(Grams(17.85), MassUnit::Gram), "17.9 g");
    assert_eq!(show_mass(Grams(3681.818), MassUnit::Kilogram), "3.682 kg");
    assert_eq!(show_mass(Grams(100_000_000.0), MassUnit::Gram), "100000000 g");
    assert_eq!(show_volume(Millilitres(16.227), VolumeUnit::Millilitre), "16.2 ml");
    assert_eq!(show_area(SquareMetres(0.25), AreaUnit::SquareMetre), "0.25 m²");
    assert_eq!(show_temperature(Celsius(-0.01), TemperatureUnit::Celsius), "0 °C");
    assert_eq!(show_temperature(Celsius(17.5), TemperatureUnit::Fahrenheit), "63.5 °F");
    assert_eq!(show_density(GramsPerMillilitre(1.8), DensityUnit::GramPerMillilitre), "1.8 g/ml");
    assert_eq!(show_percent(Percent(2.0)), "2 %");
    assert_eq!(show_pressure(Kilopascals(5.2974)), "5.3 kPa");
    assert_eq!(show_mass(Grams(f64::NAN), MassUnit::Gram), "unknown g");
    for (minutes, expected) in [
        (0.0, "0 min"),
        (0.5, "30 s"),
        (2.5, "2 min 30 s"),
        (9.9999, "10 min"),
        (59.6, "1 h"),
        (85.0, "1 h 25 min"),
        (-85.0, "-1 h 25 min"),
        (2880.0, "2 d"),
        (4561.0, "3 d 4 h"),
    ] {
        assert_eq!(show_minutes(Minutes(minutes)), expected);
    }
}

/// NIST SP 811 B.8: ounce per square foot 3.051 517 E-01 kg/m²; one kgf is the
/// weight of one kilogram, so in pounds-force it is the pound's factor.
#[test]
fn mat_and_force_are_shown_in_the_shop_s_own_units() {
    let ounce = GramsPerSquareMetre(305.1517);
    assert_eq!(show_area_mass(ounce, AreaUnit::SquareFoot), "1 oz/ft²");
    assert_eq!(show_area_mass(GramsPerSquareMetre(450.0), AreaUnit::SquareMetre), "450 g/m²");
    assert_eq!(show_force(KilogramsForce(72.9), MassUnit::Kilogram), "72.9 kgf");
    assert_eq!(show_force(KilogramsForce(0.45359237), MassUnit::Ounce), "1 lbf");
}

#[test]
fn every_symbol_can_be_typed_back() {
    for unit in LengthUnit::ALL {
        let read = read_length(&format!("1 {}", unit.symbol()), LengthUnit::Metre);
        assert_eq!(read, Ok(unit.one()));
    }
    for unit in MassUnit::ALL {
        assert_eq!(read_mass(&format!("1 {}", unit.symbol()), MassUnit::Gram), Ok(unit.one()));
    }
    for unit in VolumeUnit::ALL {
        let read = read_volume(&format!("1 {}", unit.symbol()), VolumeUnit::Litre);
        assert_eq!(read, Ok(unit.one()));
    }
    for unit in AreaUnit::ALL {
        let read = read_area(&format!("1 {}", unit.symbol()), AreaUnit::SquareInch);
        assert_eq!(read, Ok(unit.one()));
    }
    for unit in DensityUnit::ALL {
        let read = read_density(&format!("1 {}", unit.symbol()), DensityUnit::GramPerMillilitre);
        assert_eq!(read, Ok(unit.one()));
    }
    for unit in TemperatureUnit::ALL {
        let read = read_temperature(&format!("50 {}", unit.symbol()), TemperatureUnit::Celsius);
        assert_eq!(read, Ok(unit.quantity(50.0)));
    }
}

#[test]
fn units_are_stored_by_name_and_mix_freely() {
    let mixed = Units { mass: MassUnit::Gram, ..Units::inch_ounce() };
    let mut stored = String::new();
    mixed.write(&mut stored);
    assert!(stored.contains("\"fluid-ounce-us\""), "{stored}");
    assert_eq!(Units::read(&Json::read(&stored).unwrap()).unwrap(), mixed);
    // An older record lacks a field: the metric one stands in.
    let older = Units::read(&Json::read(r#"{"length":"inch"}"#).unwrap()).unwrap();
    assert_eq!(older, Units { length: LengthUnit::Inch, ..Units::default() });
}

/// Half of the last place shown: three figures, or a hundredth of a unit.
fn within_rounding(back: f64, value: f64) -> bool {
    (back - value).abs() <= 0.005_000_1 * value.abs().max(1.0)
}

proptest! {
    #[test]
    fn what_is_shown_reads_back_within_rounding(number in 0.0..100_000.0_f64, pick in 0..5_usize) {
        let unit = LengthUnit::ALL[pick];
        let back = read_length(&show_length(unit.quantity(number), unit), LengthUnit::Metre).unwrap();
        prop_assert!(within_rounding(unit.number(back), number));

        let unit = MassUnit::ALL[pick % 4];
        let back = read_mass(&show_mass(unit.quantity(number), unit), MassUnit::Pound).unwrap();
        prop_assert!(within_rounding(unit.number(back), number));

        let unit = VolumeUnit::ALL[pick % 4];
        let back = read_volume(&show_volume(unit.quantity(number), unit), VolumeUnit::Litre).unwrap();
        prop_assert!(within_rounding(unit.number(back), number));

        let unit = AreaUnit::ALL[pick % 4];
        let back = read_area(&show_area(unit.quantity(number), unit), AreaUnit::SquareInch).unwrap();
        prop_assert!(within_rounding(unit.number(back), number));
    }

    #[test]
    fn a_temperature_reads_back_to_a_tenth(number in -40.0..176.0_f64, fahrenheit: bool) {
        let unit = TemperatureUnit::ALL[usize::from(fahrenheit)];
        let shown = show_temperature(unit.quantity(number), unit);
        let back = read_temperature(&shown, TemperatureUnit::Celsius).unwrap();
        prop_assert!((unit.number(back) - number).abs() <= 0.050_001, "{}", shown);
    }

    #[test]
    fn a_time_reads_back_to_the_unit_shown(minutes in 0.0..20_000.0_f64) {
        let back = read_minutes(&show_minutes(Minutes(minutes))).unwrap().value();
        let half = if minutes < 10.0 { 0.5 / 60.0 } else if minutes < 2880.0 { 0.5 } else { 30.0 };
        prop_assert!((back - minutes).abs() <= half + 1e-9);
    }

    #[test]
    fn the_sign_and_the_size_are_never_lost(number in -1e9..1e9_f64) {
        let shown = show_mass(Grams(number), MassUnit::Gram);
        prop_assert!(!shown.contains('e') && !shown.starts_with("-0 "));
        prop_assert_eq!(shown.starts_with('-'), number < 0.0);
    }

    #[test]
    fn no_entry_makes_it_panic(text in "\\PC{0,24}") {
        let _ = read_length(&text, LengthUnit::Millimetre);
        let _ = read_mass(&text, MassUnit::Gram);
        let _ = read_volume(&text, VolumeUnit::Millilitre);
        let _ = read_area(&text, AreaUnit::SquareMetre);
        let _ = read_air_temperature(&text, TemperatureUnit::Celsius);
        let _ = read_percent(&text);
        let _ = read_minutes(&text);
        let _ = read_count(&text);
    }

    #[test]
    fn near_entries_do_not_panic_either(text in "[-−]?[0-9.,/½¾ ]{1,8}(in|ft|m2|h|\"| )?[0-9½/ ]{0,4}") {
        let _ = read_length(&text, LengthUnit::Millimetre);
        let _ = read_area(&text, AreaUnit::SquareMetre);
        let _ = read_minutes(&text);
    }

    #[test]
    fn a_mixed_fraction_is_its_sum(whole in 0_u32..500, above in 1_u32..16) {
        let text = format!("{whole} {above}/16 in");
        let read = read_length(&text, LengthUnit::Millimetre).unwrap();
        let expected = (f64::from(whole) + f64::from(above) / 16.0) * 25.4;
        prop_assert!((read.value() - expected).abs() < 1e-9);
    }
}
