//! Physical quantities as types, metric inside.
//!
//! A number without its unit is how catalyst ends up in grams when the sheet
//! meant millilitres. Every public function of the engine takes and returns
//! these types; inches, ounces and °F exist only at the edge ([`super::units`]).

use std::ops::{Add, Div, Mul, Sub};

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $symbol:literal) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
        pub struct $name(pub f64);

        impl $name {
            /// The unit's symbol as printed after a number.
            pub const SYMBOL: &'static str = $symbol;

            /// The bare number in this type's unit.
            pub const fn value(self) -> f64 {
                self.0
            }

            /// Whether the number is finite: neither infinite nor not-a-number.
            pub fn is_finite(self) -> bool {
                self.0.is_finite()
            }

            /// The smaller of two.
            pub fn min(self, other: Self) -> Self {
                Self(self.0.min(other.0))
            }

            /// The larger of two.
            pub fn max(self, other: Self) -> Self {
                Self(self.0.max(other.0))
            }
        }

        crate::stored_number!($name);
    };
}

macro_rules! additive {
    ($($name:ident),*) => {$(
        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }
        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }
        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }
        impl Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self {
                Self(self.0 / divisor)
            }
        }
        impl Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }
    )*};
}

quantity!(
    /// A temperature on the Celsius scale. Not additive: see [`Kelvins`] for differences.
    Celsius,
    "°C"
);
quantity!(
    /// A temperature difference in kelvins.
    Kelvins,
    "K"
);
quantity!(
    /// A mass in grams.
    Grams,
    "g"
);
quantity!(
    /// A volume in millilitres (cubic centimetres).
    Millilitres,
    "ml"
);
quantity!(
    /// A length in millimetres.
    Millimetres,
    "mm"
);
quantity!(
    /// A height above the sea in metres.
    Metres,
    "m"
);
quantity!(
    /// An area in square metres.
    SquareMetres,
    "m²"
);
quantity!(
    /// A span of time in minutes.
    Minutes,
    "min"
);
quantity!(
    /// A share in per cent (2.0 means two per cent).
    Percent,
    "%"
);
quantity!(
    /// A density in grams per millilitre (kilograms per litre).
    GramsPerMillilitre,
    "g/ml"
);
quantity!(
    /// A mass per area in grams per square metre.
    GramsPerSquareMetre,
    "g/m²"
);
quantity!(
    /// A molar energy in kilojoules per mole.
    KilojoulesPerMole,
    "kJ/mol"
);
quantity!(
    /// A pressure in kilopascals.
    Kilopascals,
    "kPa"
);
quantity!(
    /// A heat per mass in joules per gram (kilojoules per kilogram).
    JoulesPerGram,
    "J/g"
);
quantity!(
    /// A specific heat in joules per gram and kelvin.
    JoulesPerGramKelvin,
    "J/(g K)"
);
quantity!(
    /// How readily a material conducts heat, in watts per metre and kelvin.
    WattsPerMetreKelvin,
    "W/(m K)"
);
quantity!(
    /// How readily a surface gives off heat, in watts per square metre and kelvin.
    WattsPerSquareMetreKelvin,
    "W/(m² K)"
);
quantity!(
    /// A rate per minute: of a reaction, the share converted in each minute.
    PerMinute,
    "1/min"
);
quantity!(
    /// Water poured per 100 parts of powder, by mass (a gypsum mixing ratio).
    PartsPerHundred,
    ": 100"
);
quantity!(
    /// Money, in whatever the shop counts in: no currency is known here.
    Money,
    "in your money"
);

additive!(
    Kelvins,
    Grams,
    Millilitres,
    Millimetres,
    SquareMetres,
    Minutes,
    Percent,
    Kilopascals,
    Money
);

impl Celsius {
    /// 0 °C in kelvins (SI definition, exact).
    pub const ZERO_IN_KELVIN: f64 = 273.15;

    /// The thermodynamic temperature in kelvins.
    pub fn kelvin(self) -> f64 {
        self.0 + Self::ZERO_IN_KELVIN
    }

    /// The difference `self - other`.
    pub fn above(self, other: Celsius) -> Kelvins {
        Kelvins(self.0 - other.0)
    }
}

impl Add<Kelvins> for Celsius {
    type Output = Celsius;
    fn add(self, difference: Kelvins) -> Celsius {
        Celsius(self.0 + difference.0)
    }
}

impl Sub<Kelvins> for Celsius {
    type Output = Celsius;
    fn sub(self, difference: Kelvins) -> Celsius {
        Celsius(self.0 - difference.0)
    }
}

impl Mul<Millilitres> for GramsPerMillilitre {
    type Output = Grams;
    fn mul(self, volume: Millilitres) -> Grams {
        Grams(self.0 * volume.0)
    }
}

impl Div<GramsPerMillilitre> for Grams {
    type Output = Millilitres;
    fn div(self, density: GramsPerMillilitre) -> Millilitres {
        Millilitres(self.0 / density.0)
    }
}

impl Mul<SquareMetres> for GramsPerSquareMetre {
    type Output = Grams;
    fn mul(self, area: SquareMetres) -> Grams {
        Grams(self.0 * area.0)
    }
}

impl Mul<Millimetres> for SquareMetres {
    type Output = Millilitres;
    /// A slab of this area and thickness: 1 m² by 1 mm is one litre.
    fn mul(self, thickness: Millimetres) -> Millilitres {
        Millilitres(self.0 * thickness.0 * 1000.0)
    }
}

/// A point in time: milliseconds since 1970-01-01 00:00 UTC.
///
/// Times are stored as instants and never as counters, so that a locked phone
/// or a killed tab can't shift one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Instant(pub i64);

impl Instant {
    /// Milliseconds since the epoch.
    pub const fn millis(self) -> i64 {
        self.0
    }

    /// The span from `earlier` to `self`; negative when `self` is the earlier one.
    pub fn since(self, earlier: Instant) -> Minutes {
        Minutes(self.0.saturating_sub(earlier.0) as f64 / 60_000.0)
    }
}

#[expect(clippy::suspicious_arithmetic_impl, reason = "minutes become milliseconds")]
impl Add<Minutes> for Instant {
    type Output = Instant;
    /// The instant a span later, rounded to the millisecond. Spans beyond
    /// about 290 million years saturate.
    fn add(self, span: Minutes) -> Instant {
        Instant(self.0.saturating_add((span.0 * 60_000.0).round() as i64))
    }
}

impl Sub<Minutes> for Instant {
    type Output = Instant;
    fn sub(self, span: Minutes) -> Instant {
        self + Minutes(-span.0)
    }
}

/// A value with its honest interval: `low <= likely <= high`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span<T> {
    /// The short or small end.
    pub low: T,
    /// The central value.
    pub likely: T,
    /// The long or large end.
    pub high: T,
}

impl<T: Copy> Span<T> {
    /// A span without width.
    pub const fn exact(value: T) -> Self {
        Self { low: value, likely: value, high: value }
    }

    /// Applies `f` to each of the three.
    pub fn map<U>(self, f: impl Fn(T) -> U) -> Span<U> {
        Span { low: f(self.low), likely: f(self.likely), high: f(self.high) }
    }
}

impl<T: PartialOrd> Span<T> {
    /// Whether `low <= likely <= high` holds (false also for not-a-number).
    pub fn is_ordered(&self) -> bool {
        self.low <= self.likely && self.likely <= self.high
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_square_metre_by_a_millimetre_is_a_litre() {
        assert_eq!(SquareMetres(1.0) * Millimetres(1.0), Millilitres(1000.0));
    }

    #[test]
    fn instants_and_spans_round_trip() {
        let start = Instant(1_000);
        assert_eq!((start + Minutes(85.0)).since(start), Minutes(85.0));
        assert_eq!(start + Minutes(85.0) - Minutes(85.0), start);
    }

    #[test]
    fn a_span_with_a_missing_number_is_not_ordered() {
        assert!(Span { low: 1.0, likely: 2.0, high: 3.0 }.is_ordered());
        assert!(!Span { low: 1.0, likely: f64::NAN, high: 3.0 }.is_ordered());
        assert!(!Span { low: 2.5, likely: 2.0, high: 3.0 }.is_ordered());
    }
}
