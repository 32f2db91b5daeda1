//! The units of the edge: what people type and read.
//!
//! Inside, everything is metric ([`super::quantity`]). A workshop is not: half-inch
//! slabs and 6 mm bolts live in one job, so each kind of quantity has a unit of
//! its own and a typed unit always takes precedence over the one set.
//!
//! Factors are the exact ones of NIST Special Publication 811 (2008),
//! appendix B, and of the definitions that it rests on.

mod entry;
mod show;

pub use entry::decimal::decimal;
pub use entry::{
    EntryError, read_air_temperature, read_area, read_count, read_density, read_length, read_mass,
    read_minutes, read_percent, read_temperature, read_volume,
};
pub use show::{
    show_area, show_area_mass, show_count, show_density, show_force, show_length, show_mass,
    show_minutes, show_percent, show_pressure, show_temperature, show_volume,
};

use super::quantity::{Celsius, Grams, GramsPerMillilitre, Millilitres, Millimetres, SquareMetres};

/// Millimetres in an inch, exact (NIST SP 811, B.8).
pub const MILLIMETRES_PER_INCH: f64 = 25.4;
/// Millimetres in a foot: 0.3048 m, exact (NIST SP 811, B.8).
pub const MILLIMETRES_PER_FOOT: f64 = 304.8;
/// Grams in an avoirdupois pound, exact (NIST SP 811, B.8, footnote 22).
pub const GRAMS_PER_POUND: f64 = 453.59237;
/// Grams in an avoirdupois ounce: a sixteenth of a pound, exact.
pub const GRAMS_PER_OUNCE: f64 = 28.349_523_125;
/// Millilitres in a US fluid ounce: 1/128 of 231 cubic inches, exact.
pub const MILLILITRES_PER_FLUID_OUNCE_US: f64 = 29.573_529_562_5;
/// Millilitres in an imperial fluid ounce: 1/160 of 4.54609 l, exact.
pub const MILLILITRES_PER_FLUID_OUNCE_IMPERIAL: f64 = 28.413_062_5;
/// Square metres in a square foot: 0.3048 m squared, exact.
pub const SQUARE_METRES_PER_SQUARE_FOOT: f64 = 0.092_903_04;
/// Square metres in a square inch: 0.0254 m squared, exact.
pub const SQUARE_METRES_PER_SQUARE_INCH: f64 = 0.000_645_16;
/// Grams per millilitre in a pound per cubic foot: the exact pound over the
/// exact cubic foot of 28 316.846 592 ml.
pub const GRAMS_PER_MILLILITRE_PER_POUND_PER_CUBIC_FOOT: f64 = GRAMS_PER_POUND / 28_316.846_592;
/// Degrees Fahrenheit at the ice point (NIST SP 811, 4.2.1.1 and B.8).
pub const FAHRENHEIT_AT_ZERO_CELSIUS: f64 = 32.0;
/// Degrees Fahrenheit in a kelvin of difference, exact.
pub const FAHRENHEIT_PER_KELVIN: f64 = 1.8;

macro_rules! linear_unit {
    (
        $(#[$doc:meta])* $name:ident of $quantity:ident {
            $($(#[$unit_doc:meta])* $unit:ident = $symbol:literal, $factor:expr;)+
        }
    ) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub enum $name {
            $($(#[$unit_doc])* $unit,)+
        }

        impl $name {
            /// Every unit of this kind, metric ones first.
            pub const ALL: &'static [Self] = &[$(Self::$unit),+];

            /// The symbol printed after a number; entries accept it too.
            pub const fn symbol(self) -> &'static str {
                match self { $(Self::$unit => $symbol,)+ }
            }

            /// One of this unit in the unit of the inside.
            pub const fn one(self) -> $quantity {
                $quantity(match self { $(Self::$unit => $factor,)+ })
            }

            /// A number of these units as a quantity.
            pub fn quantity(self, number: f64) -> $quantity {
                $quantity(number * self.one().value())
            }

            /// How many of these units a quantity is.
            pub fn number(self, quantity: $quantity) -> f64 {
                quantity.value() / self.one().value()
            }
        }
    };
}

linear_unit!(
    /// A unit of length.
    LengthUnit of Millimetres {
        /// Millimetres.
        Millimetre = "mm", 1.0;
        /// Centimetres.
        Centimetre = "cm", 10.0;
        /// Metres.
        Metre = "m", 1000.0;
        /// Inches.
        Inch = "in", MILLIMETRES_PER_INCH;
        /// Feet.
        Foot = "ft", MILLIMETRES_PER_FOOT;
    }
);

linear_unit!(
    /// A unit of mass. Ounces and pounds are avoirdupois.
    MassUnit of Grams {
        /// Grams.
        Gram = "g", 1.0;
        /// Kilograms.
        Kilogram = "kg", 1000.0;
        /// Ounces.
        Ounce = "oz", GRAMS_PER_OUNCE;
        /// Pounds.
        Pound = "lb", GRAMS_PER_POUND;
    }
);

linear_unit!(
    /// A unit of volume.
    VolumeUnit of Millilitres {
        /// Millilitres.
        Millilitre = "ml", 1.0;
        /// Litres.
        Litre = "l", 1000.0;
        /// US fluid ounces.
        FluidOunceUs = "us fl oz", MILLILITRES_PER_FLUID_OUNCE_US;
        /// Imperial fluid ounces, 4 % smaller than the US ones.
        FluidOunceImperial = "imp fl oz", MILLILITRES_PER_FLUID_OUNCE_IMPERIAL;
    }
);

linear_unit!(
    /// A unit of area.
    AreaUnit of SquareMetres {
        /// Square metres.
        SquareMetre = "m²", 1.0;
        /// Square centimetres.
        SquareCentimetre = "cm²", 0.000_1;
        /// Square feet.
        SquareFoot = "ft²", SQUARE_METRES_PER_SQUARE_FOOT;
        /// Square inches.
        SquareInch = "in²", SQUARE_METRES_PER_SQUARE_INCH;
    }
);

linear_unit!(
    /// A unit of density.
    DensityUnit of GramsPerMillilitre {
        /// Grams per millilitre, which is kilograms per litre.
        GramPerMillilitre = "g/ml", 1.0;
        /// Pounds per cubic foot.
        PoundPerCubicFoot = "lb/ft³", GRAMS_PER_MILLILITRE_PER_POUND_PER_CUBIC_FOOT;
    }
);

crate::stored_words!(LengthUnit {
    Millimetre = "millimetre",
    Centimetre = "centimetre",
    Metre = "metre",
    Inch = "inch",
    Foot = "foot",
});
crate::stored_words!(MassUnit {
    Gram = "gram",
    Kilogram = "kilogram",
    Ounce = "ounce",
    Pound = "pound",
});
crate::stored_words!(VolumeUnit {
    Millilitre = "millilitre",
    Litre = "litre",
    FluidOunceUs = "fluid-ounce-us",
    FluidOunceImperial = "fluid-ounce-imperial",
});
crate::stored_words!(AreaUnit {
    SquareMetre = "square-metre",
    SquareCentimetre = "square-centimetre",
    SquareFoot = "square-foot",
    SquareInch = "square-inch",
});
crate::stored_words!(TemperatureUnit { Celsius = "celsius", Fahrenheit = "fahrenheit" });
crate::stored_record!(Units or default { length, mass, volume, area, temperature });

/// A scale of temperature.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TemperatureUnit {
    /// Degrees Celsius.
    Celsius,
    /// Degrees Fahrenheit.
    Fahrenheit,
}

impl TemperatureUnit {
    /// Both scales.
    pub const ALL: &'static [Self] = &[Self::Celsius, Self::Fahrenheit];

    /// The symbol printed after a number; entries accept it too.
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Celsius => "°C",
            Self::Fahrenheit => "°F",
        }
    }

    /// A number of degrees of this scale as a temperature.
    pub fn quantity(self, number: f64) -> Celsius {
        match self {
            Self::Celsius => Celsius(number),
            Self::Fahrenheit => {
                Celsius((number - FAHRENHEIT_AT_ZERO_CELSIUS) / FAHRENHEIT_PER_KELVIN)
            }
        }
    }

    /// A temperature in degrees of this scale.
    pub fn number(self, temperature: Celsius) -> f64 {
        match self {
            Self::Celsius => temperature.value(),
            Self::Fahrenheit => {
                temperature.value() * FAHRENHEIT_PER_KELVIN + FAHRENHEIT_AT_ZERO_CELSIUS
            }
        }
    }
}

/// The unit in force for each kind of quantity; they mix freely.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Units {
    /// For lengths.
    pub length: LengthUnit,
    /// For masses.
    pub mass: MassUnit,
    /// For volumes.
    pub volume: VolumeUnit,
    /// For areas.
    pub area: AreaUnit,
    /// For temperatures.
    pub temperature: TemperatureUnit,
}

impl Default for Units {
    /// The metric bench: mm, g, ml, m² and °C.
    fn default() -> Self {
        Self {
            length: LengthUnit::Millimetre,
            mass: MassUnit::Gram,
            volume: VolumeUnit::Millilitre,
            area: AreaUnit::SquareMetre,
            temperature: TemperatureUnit::Celsius,
        }
    }
}

impl Units {
    /// The inch and ounce bench: in, oz, US fl oz, ft² and °F.
    pub const fn inch_ounce() -> Self {
        Self {
            length: LengthUnit::Inch,
            mass: MassUnit::Ounce,
            volume: VolumeUnit::FluidOunceUs,
            area: AreaUnit::SquareFoot,
            temperature: TemperatureUnit::Fahrenheit,
        }
    }
}
