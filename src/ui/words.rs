//! Quantities and times in words, in the user's units.

use crate::device::clock;
use crate::engine::kinetics::CatalystAdvice;
use crate::engine::kinetics::solver::{LevelAdvice, Miss};
use crate::engine::quantity::{
    Celsius, Grams, GramsPerMillilitre, Instant, Metres, Millilitres, Millimetres, Minutes,
    Percent, Span, SquareMetres,
};
use crate::engine::takeoff::Quantity;
use crate::engine::units::{self, DensityUnit, LengthUnit, MassUnit};
use crate::job::card::{self, TinCard};
use crate::job::event::{Id, Material, Place};
use crate::job::gate::Meets;
use crate::job::live::{Change, LiveWindow};
use crate::job::outlook::Stated;
use crate::job::settings::Settings;
use crate::job::state::{Reading, State};
use crate::job::temperature;
use crate::job::used::Used;
use crate::trade::model::{Dimension, Figure, Measure, Rules, Unit};

mod entry;
mod mixing;

pub use entry::{
    read_density, read_height, read_length, read_mass, read_measure, read_minutes, read_money,
    read_number, read_parts, read_percent, read_temperature,
};
pub use mixing::{batch, catalyst_off, mended, off, tubs, whose_rate};

/// Densities are shown as every sheet states them.
const DENSITY: DensityUnit = DensityUnit::GramPerMillilitre;

/// Clock time of an instant.
pub fn clock(instant: Instant, now: Instant) -> String {
    clock::clock_time(instant, now)
}

/// The day of an instant, as it stands on paper for years: "2026-03-02".
pub fn day(instant: Instant) -> String {
    let mut day = clock::stamp(instant);
    day.truncate(10);
    day
}

/// A running number: "4:59" under ten minutes, "23 min", "3 h 05", "2 d 4 h".
pub fn countdown(left: Minutes) -> String {
    let seconds = (left.value() * 60.0).round().max(0.0) as i64;
    let (minutes, rest) = (seconds / 60, seconds % 60);
    match minutes {
        0..10 => format!("{minutes}:{rest:02}"),
        10..100 => format!("{minutes} min"),
        100..2880 => format!("{} h {:02}", minutes / 60, minutes % 60),
        _ => format!("{} d {} h", minutes / 1440, minutes % 1440 / 60),
    }
}

/// A span of time in words: "18 min", "1 h 25 min", "2 d".
pub fn duration(span: Minutes) -> String {
    units::show_minutes(span)
}

/// A span of time with its interval: "85 min (60 to 111)".
pub fn span_of_time(span: &Span<Minutes>) -> String {
    format!("{} ({} to {})", duration(span.likely), duration(span.low), duration(span.high))
}

/// How old something is.
pub fn age(span: Minutes) -> String {
    if span.value() < 1.0 {
        "just now".into()
    } else {
        format!("{} old", duration(Minutes(span.value().floor())))
    }
}

/// A number that is known to two digits or so: 219.1 is 220.
pub fn two_digits(value: f64) -> f64 {
    let mut size = 1e-10;
    while size * 99.5 <= value.abs() {
        size *= 10.0;
    }
    (value / size).round() * size
}

/// A bare number without needless digits.
pub fn number(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// The number at the start of a text, for a pad's first value.
pub fn leading_number(text: &str) -> String {
    text.chars().take_while(|c| c.is_ascii_digit() || matches!(c, '.' | '-' | '−')).collect()
}

/// A temperature.
pub fn temperature(settings: &Settings, value: Celsius) -> String {
    units::show_temperature(value, settings.units.temperature)
}

/// A mass. Grams turn into kilograms from 10 kg on.
pub fn mass(settings: &Settings, value: Grams) -> String {
    let unit = match settings.units.mass {
        MassUnit::Gram if value.value() >= 10_000.0 => MassUnit::Kilogram,
        unit => unit,
    };
    units::show_mass(value, unit)
}

/// A volume.
pub fn volume(settings: &Settings, value: Millilitres) -> String {
    units::show_volume(value, settings.units.volume)
}

/// A density.
pub fn density(value: GramsPerMillilitre) -> String {
    units::show_density(value, DENSITY)
}

/// A level in per cent.
pub fn percent(value: Percent) -> String {
    units::show_percent(value)
}

/// A length.
pub fn length(settings: &Settings, value: Millimetres) -> String {
    let unit = match settings.units.length {
        LengthUnit::Millimetre if value.value() >= 10_000.0 => LengthUnit::Metre,
        unit => unit,
    };
    units::show_length(value, unit)
}

/// Any quantity.
pub fn quantity(settings: &Settings, value: &Quantity) -> String {
    match value {
        Quantity::Mass(value) => mass(settings, *value),
        Quantity::Volume(value) => volume(settings, *value),
        Quantity::Length(value) => length(settings, *value),
        Quantity::Area(value) => units::show_area(*value, settings.units.area),
        Quantity::Count(value) => units::show_count(*value),
        Quantity::Pressure(value) => units::show_pressure(*value),
        Quantity::Force(value) => units::show_force(*value, settings.units.mass),
        Quantity::Percent(value) => percent(*value),
        Quantity::Density(value) => density(*value),
        Quantity::AreaMass(value) => format!("{} g/m²", number(value.value())),
        Quantity::Factor(value) => format!("× {}", number(*value)),
        Quantity::Time(value) => duration(*value),
        Quantity::Money(value) => format!("{:.2}", value.value()),
    }
}

/// The value of a measure, from its stored unit.
pub fn measure(settings: &Settings, measure: &Measure, value: f64) -> String {
    value_of(settings, measure.dimension, value)
}

/// A value of a dimension, from its stored unit.
pub fn value_of(settings: &Settings, dimension: Dimension, value: f64) -> String {
    match dimension {
        Dimension::Mass => mass(settings, Grams(value)),
        Dimension::Length => length(settings, Millimetres(value)),
        Dimension::Area => units::show_area(SquareMetres(value), settings.units.area),
        Dimension::Volume => volume(settings, Millilitres(value)),
        Dimension::Temperature => temperature(settings, Celsius(value)),
        Dimension::Density => density(GramsPerMillilitre(value)),
        Dimension::Percent => percent(Percent(value)),
        Dimension::Time => duration(Minutes(value)),
        Dimension::Count => number(value),
    }
}

/// The number alone, for the pad.
pub fn measure_number(settings: &Settings, of: &Measure, value: f64) -> String {
    bare_number(settings, of.dimension, value)
}

/// The number alone of a value of a dimension, for the pad.
pub fn bare_number(settings: &Settings, of: Dimension, value: f64) -> String {
    let units = &settings.units;
    let value = match of {
        Dimension::Mass => units.mass.number(Grams(value)),
        Dimension::Length => units.length.number(Millimetres(value)),
        Dimension::Area => units.area.number(SquareMetres(value)),
        Dimension::Volume => units.volume.number(Millilitres(value)),
        Dimension::Temperature => units.temperature.number(Celsius(value)),
        Dimension::Density => DENSITY.number(GramsPerMillilitre(value)),
        Dimension::Percent | Dimension::Time | Dimension::Count => value,
    };
    number(value)
}

/// Units that the pad offers for a dimension, the one in force first.
pub fn units(settings: &Settings, dimension: Dimension) -> Vec<&'static str> {
    let units = &settings.units;
    let (mine, all): (&'static str, &[&'static str]) = match dimension {
        Dimension::Mass => (units.mass.symbol(), &["g", "kg", "oz", "lb"]),
        Dimension::Length => (units.length.symbol(), &["mm", "m", "in", "ft"]),
        Dimension::Area => (units.area.symbol(), &["m²", "cm²", "ft²", "in²"]),
        Dimension::Volume => (units.volume.symbol(), &["ml", "l"]),
        Dimension::Temperature => (units.temperature.symbol(), &["°C", "°F"]),
        Dimension::Density => (DENSITY.symbol(), &[]),
        Dimension::Percent => ("%", &[]),
        Dimension::Time => ("min", &["h"]),
        Dimension::Count => return Vec::new(),
    };
    let rest = all.iter().copied().filter(|unit| *unit != mine);
    std::iter::once(mine).chain(rest).collect()
}

/// Units that the pad offers for a temperature.
pub fn temperature_units(settings: &Settings) -> Vec<&'static str> {
    units(settings, Dimension::Temperature)
}

/// Units that the pad offers for a mass.
pub fn mass_units(settings: &Settings) -> Vec<&'static str> {
    units(settings, Dimension::Mass)
}

/// The sensible range of a measure, as a hint.
pub fn range(settings: &Settings, of: &Measure) -> String {
    format!("Between {} and {}", measure(settings, of, of.least), measure(settings, of, of.most))
}

/// A figure of the rule table in the user's units, with its range.
pub fn figure(settings: &Settings, of: &Figure) -> String {
    let show = |value: f64| match of.unit {
        Unit::Minute | Unit::Hour | Unit::Day => {
            duration(card::minutes(&Figure { likely: value, ..of.clone() }))
        }
        Unit::Celsius => temperature(settings, Celsius(value)),
        Unit::Gram => mass(settings, Grams(value)),
        Unit::Kilogram => mass(settings, Grams(value * 1000.0)),
        Unit::Millimetre => length(settings, Millimetres(value)),
        Unit::Metre => length(settings, Millimetres(value * 1000.0)),
        Unit::SquareMetre => units::show_area(SquareMetres(value), settings.units.area),
        Unit::GramPerMillilitre => density(GramsPerMillilitre(value)),
        Unit::Litre => volume(settings, Millilitres(value * 1000.0)),
        Unit::Percent => format!("{} %", number(value)),
        Unit::Month => format!("{} months", number(value)),
        Unit::Year => format!("{} years", number(value)),
        Unit::KilogramPerSquareMetre => format!("{} kg/m²", number(value)),
        Unit::GramPerSquareMetre => format!("{} g/m²", number(value)),
        Unit::PerHundred => format!("{} : 100", number(value)),
        Unit::ShoreA => format!("Shore A {}", number(value)),
        Unit::KilojoulePerMole => format!("{} kJ/mol", number(value)),
        Unit::JoulePerGram => format!("{} J/g", number(value)),
        Unit::JoulePerGramKelvin => format!("{} J/(g K)", number(value)),
        Unit::WattPerMetreKelvin => format!("{} W/(m K)", number(value)),
        Unit::Factor | Unit::Count => number(value),
    };
    match (of.low, of.high) {
        (None, None) => show(of.likely),
        (low, high) => format!(
            "{} ({} to {})",
            show(of.likely),
            show(low.unwrap_or(of.likely)),
            show(high.unwrap_or(of.likely))
        ),
    }
}

/// Status and source of a figure.
pub fn trust(figure: &Figure) -> String {
    match &figure.source {
        Some(source) => format!("{}: {source}", figure.status.words()),
        None => figure.status.words().to_owned(),
    }
}

/// Name of a material.
pub fn material(state: &State, material: &Material) -> String {
    match card::resolve(crate::trade::rules(), state, material) {
        Ok((family, None)) => family.title.clone(),
        Ok((family, Some(tin))) => format!("{} ({})", tin.name, family.title),
        Err(why) => why.to_string(),
    }
}

/// A tin in one line.
pub fn tin_line(rules: &Rules, tin: &TinCard) -> String {
    let family = rules.family(&tin.family).map_or(tin.family.clone(), |f| f.title.clone());
    let times = match tin.times.len() {
        0 => "no times of its own".to_owned(),
        1 => "1 time off its sheet".to_owned(),
        n => format!("{n} times off its sheet"),
    };
    match &tin.batch {
        Some(batch) => format!("{family}, batch {batch}, {times}"),
        None => format!("{family}, {times}"),
    }
}

/// The room in a line and the age of its reading in another.
pub fn room(state: &State, now: Instant) -> (String, String) {
    let place = if state.has_demo() && !has_real_air(state) { Place::Demo } else { Place::Bench };
    let air = temperature::newest(state, place, |r| r.air);
    let humidity = temperature::newest(state, place, |r| r.humidity);
    match air {
        Some((taken, air)) => {
            let settings = &state.settings;
            let humidity = humidity.map(|(_, rh)| format!(" · {}", percent(rh)));
            let room =
                format!("{}{}", self::temperature(settings, air), humidity.unwrap_or_default());
            let demo = if place == Place::Demo { "invented, " } else { "" };
            (room, format!("{demo}{}", age(now.since(taken))))
        }
        None => ("Room not read".into(), "tap to enter it".into()),
    }
}

fn has_real_air(state: &State) -> bool {
    temperature::newest(state, Place::Bench, |r| r.air).is_some()
}

/// The newest air of a place.
pub fn newest_air(state: &State, place: Place) -> Option<(Instant, String)> {
    temperature::newest(state, place, |r| r.air)
        .map(|(taken, air)| (taken, temperature(&state.settings, air)))
}

/// The newest humidity of a place.
pub fn newest_humidity(state: &State, place: Place) -> Option<(Instant, String)> {
    temperature::newest(state, place, |r| r.humidity).map(|(taken, rh)| (taken, percent(rh)))
}

/// The newest surface that holds for a job or a place.
pub fn newest_surface(state: &State, place: Place, job: Option<Id>) -> Option<(Instant, String)> {
    temperature::newest_surface(state, place, job)
        .map(|(taken, surface)| (taken, temperature(&state.settings, surface)))
}

/// The newest mixing water of a place.
pub fn newest_water(state: &State, place: Place) -> Option<(Instant, String)> {
    temperature::newest(state, place, |r| r.water)
        .map(|(taken, water)| (taken, temperature(&state.settings, water)))
}

/// A reading in one line.
pub fn reading(state: &State, reading: &Reading, now: Instant) -> String {
    let settings = &state.settings;
    let of = |name: &str, value: Option<Celsius>| {
        value.map(|value| format!("{name} {}", temperature(settings, value)))
    };
    let parts = [
        of("air", reading.air),
        reading.humidity.map(|rh| format!("{} RH", percent(rh))),
        of("surface", reading.surface),
        of("water", reading.water),
        reading.job.and_then(|job| state.jobs.get(&job)).map(|job| job.name.clone()),
        (reading.place != Place::Bench).then(|| place(reading.place).to_owned()),
    ];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    format!("{}: {}", clock(reading.taken, now), parts.join(", "))
}

/// Clock times of a window in one line: "look 10:45 · open 11:11 · by 17:00".
pub fn window_times(window: &LiveWindow, now: Instant) -> String {
    let at = |instant: Instant| clock(instant, now);
    let parts = [
        window
            .look
            .filter(|_| window.window.opens.is_some() && !window.found_ready)
            .map(|t| format!("look {}", at(t))),
        // Where the bands overlap, "surely open" would come after the end.
        window
            .open_from
            .filter(|t| window.window.opens.is_some() && window.close_by.is_none_or(|end| *t < end))
            .map(|t| {
                if window.found_ready {
                    format!("ready {}", at(t))
                } else {
                    format!("surely open {}", at(t))
                }
            }),
        window.ideal.map(|t| format!("best {}", at(t))),
        window.close_by.map(|t| {
            let word = if window.window.opens.is_none() { "use by" } else { "done by" };
            format!("{word} {}", at(t))
        }),
    ];
    parts.into_iter().flatten().collect::<Vec<_>>().join(" · ")
}

/// What moved, in a sentence: "Finial · gel coat 1: opens 11:08, was 10:45".
pub fn change(change: &Change, now: Instant) -> String {
    let was = change.was.map_or("unknown".to_owned(), |was| clock(was, now));
    match change.now {
        Some(at) => {
            format!(
                "{}: {} {} {}, was {was} ({})",
                change.name,
                change.window,
                // The instant is the cautious end: from then on it is surely open.
                if change.label == "opens" { "surely opens" } else { "is to be done by" },
                clock(at, now),
                change.why
            )
        }
        None => format!(
            "{}: {}: no time can be given now, was {was} ({})",
            change.name, change.window, change.why
        ),
    }
}

/// What the catalyst helper says.
pub fn catalyst_advice(settings: &Settings, advice: &CatalystAdvice) -> String {
    let level = percent(advice.level);
    match (advice.clamped, advice.warm_to) {
        (false, _) => format!("On this surface {level} keeps the usual speed."),
        (true, Some(warm)) => format!(
            "The usual speed would want {}, which the range does not allow. At {level} it runs \
             slower: warm it to {} instead.",
            percent(advice.wanted),
            temperature(settings, warm)
        ),
        (true, None) => format!(
            "The usual speed would want {}, which the range does not allow. {level} is its limit.",
            percent(advice.wanted)
        ),
    }
}

/// By how much a wanted time is missed, and what to do; none when it is not.
pub fn missed_time(settings: &Settings, advice: &LevelAdvice) -> Option<String> {
    let film = |t: Option<Celsius>, word: &str| {
        t.map(|t| {
            format!(" At {} it would do, if the data sheet {word}.", temperature(settings, t))
        })
        .unwrap_or_default()
    };
    let wanted = percent(advice.wanted_level);
    let level = percent(advice.level);
    Some(match advice.miss? {
        Miss::Late { by, warm_to } => format!(
            "It would want {wanted}; {level} is the most, and comes {} later. More can make the \
             cure worse, not only faster: warm the form instead.{}",
            duration(by),
            film(warm_to, "allows it")
        ),
        Miss::Early { by, cool_to } => format!(
            "It would want {wanted}; {level} is the least, and comes {} sooner. Less may leave it \
             soft: mix less at a time.{}",
            duration(by),
            film(cool_to, "allows it")
        ),
    })
}

/// What a film meets: surface, dew point, and the margin between them.
pub fn meets(settings: &Settings, meets: &Meets) -> String {
    let dew = temperature(settings, meets.dew_point);
    let margin = meets.surface.low.above(meets.dew_point).value();
    let margin = if margin < 0.0 {
        format!("{} K under it", number(-margin))
    } else {
        format!("{} K over it", number(margin))
    };
    if meets.measured {
        format!("Dew point {dew}; the surface lies {margin}.")
    } else {
        format!(
            "Dew point {dew}. Surface not measured: if damp it lies between {} and {} (an \
             estimate), at worst {margin}.",
            temperature(settings, meets.surface.low),
            temperature(settings, meets.surface.high)
        )
    }
}

/// Name of a place.
pub fn place(place: Place) -> &'static str {
    match place {
        Place::Bench => "bench",
        Place::Cabinet => "warm cabinet",
        Place::Outside => "outside",
        Place::Demo => "invented bench",
    }
}

/// What was stated of the temperature to come, in a line.
pub fn stated(settings: &Settings, stated: &Stated, now: Instant) -> String {
    let to = temperature(settings, stated.temperature);
    match stated.constant {
        None if stated.at <= now => format!("{to} at {}", clock(stated.at, now)),
        None => format!("{to} by {}", clock(stated.at, now)),
        Some(constant) => format!(
            "from {} towards {to}, half way there in {}",
            clock(stated.at, now),
            duration(constant * std::f64::consts::LN_2)
        ),
    }
}

/// A height above the sea.
pub fn height(settings: &Settings, height: Metres) -> String {
    let unit = height_unit(settings);
    units::show_length(Millimetres(height.value() * 1000.0), unit)
}

fn height_unit(settings: &Settings) -> LengthUnit {
    match settings.units.length {
        LengthUnit::Inch | LengthUnit::Foot => LengthUnit::Foot,
        _ => LengthUnit::Metre,
    }
}

/// Units of a height, the user's first.
pub fn height_units(settings: &Settings) -> Vec<&'static str> {
    match height_unit(settings) {
        LengthUnit::Foot => vec!["ft", "m"],
        _ => vec!["m", "ft"],
    }
}

/// What was used of a material against its plan, in a line.
pub fn used(settings: &Settings, used: &Used) -> String {
    let planned = mass(settings, used.planned);
    match (used.real_loss(), used.planned_loss()) {
        (Some(real), Some(loss)) => format!(
            "Really used: {} of {planned} planned. The loss was {}, planned {}.",
            mass(settings, used.used()),
            percent(real),
            percent(loss)
        ),
        _ => format!("Weighed so far: {} of {planned} planned.", mass(settings, used.weighed)),
    }
}
