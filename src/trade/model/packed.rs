//! The packed form of the rule table: what `build.rs` writes and the app reads
//! at start.
//!
//! Written by hand and not derived: derived readers of so many shapes are among
//! the largest pieces of a small app. Fields follow each other in the order
//! below without names; the two sides are the same build, so nothing else needs
//! to know the form. Reading never fails half-way: past the end everything is
//! empty, and [`unpack`] tells whether all bytes were used and right.

use super::{
    Catalyst, Cell, Check, Constant, CureSlot, Dimension, Driver, Effect, Family, Fault, Figure,
    Gate, Hazard, Heat, Kind, Lateness, Leaning, Limits, Makes, MaterialUse, Measure, Method,
    Milestone, Mixing, Mode, Note, Pairing, Phase, Ppe, Profile, Property, Question, Reference,
    Role, Rules, Source, Stage, StateWord, Status, Switch, SwitchOption, Unit, Verdict, Wait,
    Window,
};
use crate::engine::table::Table;

/// The table in its packed form.
pub fn pack(rules: &Rules) -> Vec<u8> {
    let mut bytes = Vec::new();
    rules.write(&mut bytes);
    bytes
}

/// The table out of its packed form; none when the bytes are not one.
pub fn unpack(bytes: &[u8]) -> Option<Rules> {
    let mut reader = Reader { bytes, bad: false };
    let rules = Rules::read(&mut reader);
    (!reader.bad && reader.bytes.is_empty()).then_some(rules)
}

/// Bytes still to be read.
struct Reader<'a> {
    bytes: &'a [u8],
    bad: bool,
}

impl<'a> Reader<'a> {
    fn take(&mut self, count: usize) -> &'a [u8] {
        let (taken, rest) = self.bytes.split_at_checked(count).unwrap_or_else(|| {
            self.bad = true;
            (&[], &[])
        });
        self.bytes = rest;
        taken
    }

    fn byte(&mut self) -> u8 {
        self.take(1).first().copied().unwrap_or_default()
    }

    /// A whole number: seven bits to a byte, the low ones first.
    fn number(&mut self) -> u64 {
        let mut number = 0;
        for shift in (0..63).step_by(7) {
            let byte = self.byte();
            number |= u64::from(byte & 127) << shift;
            if byte < 128 {
                break;
            }
        }
        number
    }
}

fn put_number(bytes: &mut Vec<u8>, mut number: u64) {
    while number >= 128 {
        bytes.push(number as u8 | 128);
        number >>= 7;
    }
    bytes.push(number as u8);
}

/// What has a packed form.
trait Packed: Sized {
    fn write(&self, bytes: &mut Vec<u8>);
    fn read(from: &mut Reader<'_>) -> Self;
}

impl Packed for String {
    fn write(&self, bytes: &mut Vec<u8>) {
        put_number(bytes, self.len() as u64);
        bytes.extend_from_slice(self.as_bytes());
    }

    fn read(from: &mut Reader<'_>) -> Self {
        let length = from.number() as usize;
        String::from_utf8(from.take(length).to_vec()).unwrap_or_else(|_| {
            from.bad = true;
            String::new()
        })
    }
}

impl Packed for bool {
    fn write(&self, bytes: &mut Vec<u8>) {
        bytes.push(u8::from(*self));
    }

    fn read(from: &mut Reader<'_>) -> Self {
        from.byte() != 0
    }
}

impl Packed for u8 {
    fn write(&self, bytes: &mut Vec<u8>) {
        bytes.push(*self);
    }

    fn read(from: &mut Reader<'_>) -> Self {
        from.byte()
    }
}

/// As people write numbers: digits, and how many of them are decimals. Both are
/// exact in a float, so their quotient is the very number that was read.
impl Packed for f64 {
    fn write(&self, bytes: &mut Vec<u8>) {
        let exact = |decimals: &u8| {
            let digits = (self.abs() * 10_f64.powi(i32::from(*decimals))).round();
            digits < 9e15 && digits / 10_f64.powi(i32::from(*decimals)) == self.abs()
        };
        let decimals = (0..=15).find(exact).expect("the table's numbers have few decimals");
        bytes.push(decimals << 1 | u8::from(*self < 0.0));
        put_number(bytes, (self.abs() * 10_f64.powi(i32::from(decimals))).round() as u64);
    }

    fn read(from: &mut Reader<'_>) -> Self {
        let form = from.byte();
        let number = from.number() as f64 / 10_f64.powi(i32::from(form >> 1));
        if form & 1 == 0 { number } else { -number }
    }
}

impl<T: Packed> Packed for Option<T> {
    fn write(&self, bytes: &mut Vec<u8>) {
        self.is_some().write(bytes);
        if let Some(value) = self {
            value.write(bytes);
        }
    }

    fn read(from: &mut Reader<'_>) -> Self {
        bool::read(from).then(|| T::read(from))
    }
}

impl<T: Packed> Packed for Vec<T> {
    fn write(&self, bytes: &mut Vec<u8>) {
        put_number(bytes, self.len() as u64);
        self.iter().for_each(|one| one.write(bytes));
    }

    fn read(from: &mut Reader<'_>) -> Self {
        let count = from.number();
        let mut all = Vec::new();
        for _ in 0..count {
            if from.bad {
                break;
            }
            all.push(T::read(from));
        }
        all
    }
}

impl<T: Packed> Packed for Table<String, T> {
    fn write(&self, bytes: &mut Vec<u8>) {
        put_number(bytes, self.len() as u64);
        for (name, value) in self {
            name.write(bytes);
            value.write(bytes);
        }
    }

    fn read(from: &mut Reader<'_>) -> Self {
        let count = from.number();
        let mut all = Table::new();
        for _ in 0..count {
            if from.bad {
                break;
            }
            let name = String::read(from);
            all.insert(name, T::read(from));
        }
        all
    }
}

/// Structures, field by field. A field left out here doesn't compile.
macro_rules! fields {
    ($($name:ident { $($field:ident),* $(,)? })*) => {
        $(impl Packed for $name {
            fn write(&self, bytes: &mut Vec<u8>) {
                let Self { $($field),* } = self;
                $($field.write(bytes);)*
            }

            fn read(from: &mut Reader<'_>) -> Self {
                Self { $($field: Packed::read(from)),* }
            }
        })*
    };
}

/// Words, by their place. A word left out here doesn't compile.
macro_rules! words {
    ($($name:ident { $($word:ident),* $(,)? })*) => {
        $(impl Packed for $name {
            fn write(&self, bytes: &mut Vec<u8>) {
                match self {
                    $(Self::$word => {})*
                }
                let place = [$($name::$word),*].iter().position(|one| one == self);
                bytes.push(place.unwrap_or_default() as u8);
            }

            fn read(from: &mut Reader<'_>) -> Self {
                const ALL: &[$name] = &[$($name::$word),*];
                ALL.get(usize::from(from.byte())).copied().unwrap_or_else(|| {
                    from.bad = true;
                    ALL[0]
                })
            }
        })*
    };
}

words! {
    Status { Published, CommonPractice, FromMemory, WorkingRule, Calculated }
    Unit {
        Minute, Hour, Day, Month, Year, Celsius, Percent, Gram, Kilogram, Millimetre, Metre,
        SquareMetre, GramPerMillilitre, KilogramPerSquareMetre, GramPerSquareMetre, Litre,
        KilojoulePerMole, JoulePerGram, JoulePerGramKelvin, WattPerMetreKelvin, Factor, PerHundred,
        Count, ShoreA,
    }
    Driver { Room, Surface, Mix }
    Phase { Wet, Harden }
    Effect { FinishBy, NotBefore }
    StateWord { Wet, Gelled, Tacky, Green, Hard, Cured }
    Lateness { Person, Ruins, Costs, None }
    Kind {
        Polyester, Epoxy, Silicone, Polyurethane, Gypsum, Alginate, Bandage, Latex, Clay, Glass,
        Release, Sealer,
    }
    Dimension { Mass, Length, Area, Volume, Temperature, Density, Percent, Time, Count }
    Mode { HandsOn, Unattended, Mixed }
    Gate { ResinFilm, Rubber }
    Makes { Mould, SpentMould, Casts }
    Question { Surface, Cast }
    Verdict { Ok, Seal, Release, Test, Bonds, No }
}

fields! {
    Figure { low, likely, high, unit, status, source }
    Hazard { id, title, dangers, controls, status, source }
    Ppe { id, title, wear }
    Fault { id, title, sign, prevent }
    Source { id, title }
    Constant { id, title, figure }
    Rules { families, methods, hazards, ppe, faults, sources, constants, pairings, leanings }
    Leaning { text, method, reason }
    Cell { verdict, note, source }
    Pairing { id, title, kind, cells }
    Milestone { id, title, time, phase, effect, firm, word }
    Window { id, title, look, opens, ideal, closes, test, act, missed, late }
    Profile { id, title, starts, driver, mass, per_ten, catalysed, milestones, windows }
    Reference { temperature, humidity }
    Catalyst { level, warn_above, block_above, block_below, exponent, density }
    Limits { wet_min, harden_min, max }
    Property { id, title, figure }
    Note { text, status, source }
    Heat {
        energy, start_ratio, power_done, power_left, heat, specific_heat, conductivity, reacting, gel,
    }
    Family {
        id, title, short, kind, reference, per_ten, catalyst, heat, limits, mixing, profiles,
        properties, notes, hazards, ppe,
    }
    Switch { id, title, default, options }
    SwitchOption { id, title, note }
    Role { id, title, families, default }
    Measure { id, title, dimension, least, most, start }
    Check { id, text, must, ask, when }
    Wait { cure, window }
    CureSlot { id, title, role, family, profile, when, repeats }
    MaterialUse { title, role, family, rule, inputs, fixed, share, batch, when }
    Stage {
        id, title, short, how, mode, minutes, needs, when, waits, gate, checks, tools, materials,
        cures, cautions, hazards, ppe, faults,
    }
    Method { id, title, makes, idea, suits, goes_wrong, switches, roles, measures, stages }
}

impl Packed for Mixing {
    fn write(&self, bytes: &mut Vec<u8>) {
        match self {
            Self::Catalysed => bytes.push(0),
            Self::TwoPart { part_a, part_b, a, b, tolerance } => {
                bytes.push(1);
                part_a.write(bytes);
                part_b.write(bytes);
                a.write(bytes);
                b.write(bytes);
                tolerance.write(bytes);
            }
            Self::Water { water, powder_density } => {
                bytes.push(2);
                water.write(bytes);
                powder_density.write(bytes);
            }
            Self::BySheet { part_a, part_b, tolerance } => {
                bytes.push(3);
                part_a.write(bytes);
                part_b.write(bytes);
                tolerance.write(bytes);
            }
            Self::AsSupplied => bytes.push(4),
        }
    }

    fn read(from: &mut Reader<'_>) -> Self {
        match from.byte() {
            0 => Self::Catalysed,
            1 => Self::TwoPart {
                part_a: Packed::read(from),
                part_b: Packed::read(from),
                a: Packed::read(from),
                b: Packed::read(from),
                tolerance: Packed::read(from),
            },
            2 => Self::Water { water: Packed::read(from), powder_density: Packed::read(from) },
            3 => Self::BySheet {
                part_a: Packed::read(from),
                part_b: Packed::read(from),
                tolerance: Packed::read(from),
            },
            other => {
                from.bad |= other != 4;
                Self::AsSupplied
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::rules;

    #[test]
    fn the_table_survives_its_packed_form() {
        assert_eq!(unpack(&pack(rules())).as_ref(), Some(rules()));
    }

    #[test]
    fn every_word_comes_back() {
        fn held<T: Packed + Copy + PartialEq + std::fmt::Debug>(all: &[T]) {
            for word in all {
                let mut bytes = Vec::new();
                word.write(&mut bytes);
                assert_eq!(T::read(&mut Reader { bytes: &bytes, bad: false }), *word);
            }
        }
        held(&[Unit::Minute, Unit::Celsius, Unit::Litre, Unit::Factor, Unit::Count, Unit::ShoreA]);
        held(&[StateWord::Wet, StateWord::Tacky, StateWord::Green, StateWord::Cured]);
        held(&[Lateness::Person, Lateness::Ruins, Lateness::Costs, Lateness::None]);
        held(&[Kind::Polyester, Kind::Gypsum, Kind::Clay, Kind::Sealer]);
        held(&[Dimension::Mass, Dimension::Density, Dimension::Count]);
    }

    #[test]
    fn cut_or_foreign_bytes_are_no_table() {
        let whole = pack(rules());
        for length in [0, 1, 100, whole.len() / 2, whole.len() - 1] {
            assert!(unpack(&whole[..length]).is_none(), "{length} bytes were taken");
        }
        assert!(unpack(&[0xff; 64]).is_none());
        assert!(unpack(&[whole, vec![0]].concat()).is_none());
    }

    #[test]
    fn numbers_come_back_to_the_last_bit() {
        for number in [0.0, 1.0, -0.2, 0.1, 1.23, 1.6067, 0.033, 1e6, 2.65, 1e-12, 123_456.789] {
            let mut bytes = Vec::new();
            number.write(&mut bytes);
            let back = f64::read(&mut Reader { bytes: &bytes, bad: false });
            assert_eq!(back.to_bits(), f64::to_bits(number));
        }
    }
}
