//! Powers, logarithms and sines without tables.
//!
//! The library's are a little faster and bring thirteen kilobytes of tables, of a kind
//! that does not pack. These are short sums, right to a few units in the last place,
//! and the same on every machine. Each is held against the library's in the tests.

use std::f64::consts::{FRAC_2_PI, LN_2, SQRT_2};

/// The natural logarithm of 2 in two parts: the first has 21 zero bits at its end, so
/// that whole multiples of it are exact.
const LN_2_HIGH: f64 = 0.693_147_180_369_123_8;
const LN_2_LOW: f64 = 1.908_214_929_270_587_7e-10;
/// A quarter turn in three parts, as above (33 bits each).
const QUARTER: [f64; 3] =
    [1.570_796_326_734_125_6, 6.077_100_506_303_966e-11, 2.022_266_248_795_950_6e-21];

/// What the library calls `exp`, `ln`, `powf`, `cbrt`, `atanh`, `sin`, `cos`.
pub trait Maths {
    /// e to this power.
    fn exponential(self) -> f64;
    /// The natural logarithm; not a number below 0.
    fn logarithm(self) -> f64;
    /// This to a power; not a number below 0, unless the power is a small whole number.
    fn to_power(self, power: f64) -> f64;
    /// The cube root.
    fn cube_root(self) -> f64;
    /// The inverse of the hyperbolic tangent, for -1 to 1.
    fn inverse_tanh(self) -> f64;
    /// Sine and cosine of an angle in radians, at most some thousand turns.
    fn sine_cosine(self) -> (f64, f64);
}

impl Maths for f64 {
    fn exponential(self) -> f64 {
        // Beyond these there is only 0 and infinity.
        let x = self.clamp(-750.0, 720.0);
        if x.is_nan() {
            return x;
        }
        let doublings = (x / LN_2).round();
        let rest = x - doublings * LN_2_HIGH - doublings * LN_2_LOW;
        let mut sum = 1.0;
        for n in (1..=14).rev() {
            sum = 1.0 + rest * sum / f64::from(n);
        }
        // In two steps, since one double can't hold the factor at either end.
        let half = (doublings / 2.0).round();
        sum * two_to(half) * two_to(doublings - half)
    }

    fn logarithm(self) -> f64 {
        if self.is_nan() || self <= 0.0 || self.is_infinite() {
            return match self {
                0.0 => f64::NEG_INFINITY,
                x if x > 0.0 => x,
                _ => f64::NAN,
            };
        }
        // Numbers below the smallest ordinary one are brought up first.
        let (x, lift) = if self < 1e-300 { (self * two_to(100.0), 100) } else { (self, 0) };
        let mut doublings = (x.to_bits() >> 52) as i32 - 1023;
        let mut part = f64::from_bits(x.to_bits() & !(0x7ff << 52) | 1023 << 52);
        if part > SQRT_2 {
            part /= 2.0;
            doublings += 1;
        }
        // ln((1 + s) / (1 - s)) = 2 (s + s^3/3 + s^5/5 + ...)
        let s = (part - 1.0) / (part + 1.0);
        let square = s * s;
        let mut sum = 0.0;
        for n in (1..=11).rev() {
            sum = square * (1.0 / f64::from(2 * n + 1) + sum);
        }
        let times = f64::from(doublings - lift);
        times * LN_2_HIGH + (2.0 * s + (2.0 * s * sum + times * LN_2_LOW))
    }

    fn to_power(self, power: f64) -> f64 {
        if power.fract() == 0.0 && power.abs() <= 64.0 {
            self.powi(power as i32)
        } else if self == 0.0 {
            if power > 0.0 { 0.0 } else { f64::INFINITY }
        } else {
            (power * self.logarithm()).exponential()
        }
    }

    fn cube_root(self) -> f64 {
        if self == 0.0 || !self.is_finite() {
            return self;
        }
        let size = self.abs();
        let root = (size.logarithm() / 3.0).exponential();
        // One step of Newton's takes the last error out.
        let root = root - (root * root * root - size) / (3.0 * root * root);
        root.copysign(self)
    }

    fn inverse_tanh(self) -> f64 {
        ((1.0 + self) / (1.0 - self)).logarithm() / 2.0
    }

    fn sine_cosine(self) -> (f64, f64) {
        let quarters = (self * FRAC_2_PI).round();
        let rest = QUARTER.iter().fold(self, |rest, part| rest - quarters * part);
        let square = rest * rest;
        let (mut sine, mut cosine) = (1.0, 1.0);
        for n in (1..=9).rev() {
            let n = f64::from(2 * n);
            sine = 1.0 - square * sine / (n * (n + 1.0));
            cosine = 1.0 - square * cosine / (n * (n - 1.0));
        }
        let sine = sine * rest;
        match quarters as i64 & 3 {
            0 => (sine, cosine),
            1 => (cosine, -sine),
            2 => (-sine, -cosine),
            _ => (-cosine, sine),
        }
    }
}

/// Two to a whole power from -1022 to 1023.
fn two_to(power: f64) -> f64 {
    f64::from_bits(((power as i64 + 1023) as u64) << 52)
}

#[cfg(test)]
mod tests {
    use super::Maths;
    use proptest::prelude::*;

    /// Within so many units in the last place.
    fn near(ours: f64, theirs: f64, units: f64) -> bool {
        let unit = (theirs.abs() * f64::EPSILON).max(f64::from_bits(1));
        ours == theirs || (ours - theirs).abs() <= units * unit
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(4000) })]

        // The library's functions are the outside values.

        #[test]
        fn powers_of_e(x in prop_oneof![-745.0..709.0_f64, -1.0..1.0, -1e-9..1e-9]) {
            prop_assert!(near(x.exponential(), x.exp(), 3.0), "{} {}", x.exponential(), x.exp());
        }

        #[test]
        fn logarithms(bits in 1_u64..0x7ff0_0000_0000_0000, close in 0.5..2.0_f64) {
            for x in [f64::from_bits(bits), close] {
                prop_assert!(near(x.logarithm(), x.ln(), 4.0), "{x}: {} {}", x.logarithm(), x.ln());
            }
        }

        #[test]
        fn other_powers(x in 1e-6..1e6_f64, power in -8.0..8.0_f64) {
            // The error of the logarithm grows with the power: 8 ln(1e6) = 110.
            let (ours, theirs) = (x.to_power(power), x.powf(power));
            prop_assert!(near(ours, theirs, 250.0), "{x}^{power}: {ours} {theirs}");
        }

        #[test]
        fn cube_roots(x in prop_oneof![-1e9..1e9_f64, -1.0..1.0, 1e-200..1e-190]) {
            prop_assert!(near(x.cube_root(), x.cbrt(), 3.0), "{x}: {} {}", x.cube_root(), x.cbrt());
        }

        #[test]
        fn inverses_of_the_hyperbolic_tangent(x in -0.999..0.999_f64) {
            prop_assert!((x.inverse_tanh() - x.atanh()).abs() < 1e-13, "{x}");
        }

        #[test]
        fn sines_and_cosines(x in prop_oneof![-8.0..8.0_f64, -1e4..1e4]) {
            let (sine, cosine) = x.sine_cosine();
            prop_assert!((sine - x.sin()).abs() < 4e-16, "{x}: {sine} {}", x.sin());
            prop_assert!((cosine - x.cos()).abs() < 4e-16, "{x}: {cosine} {}", x.cos());
        }
    }

    #[test]
    fn the_ends_are_those_of_the_library() {
        for x in [f64::NEG_INFINITY, -1e9_f64, -750.0, 0.0, -0.0, 710.0, 1e9, f64::INFINITY] {
            assert_eq!(x.exponential(), x.exp(), "{x}");
        }
        for x in [0.0_f64, -0.0, 1.0, f64::INFINITY] {
            assert_eq!(x.logarithm(), x.ln(), "{x}");
            assert_eq!(x.cube_root(), x.cbrt(), "{x}");
        }
        assert!(f64::NAN.exponential().is_nan() && f64::NAN.logarithm().is_nan());
        assert!((-1.0_f64).logarithm().is_nan() && (-2.0_f64).to_power(0.5).is_nan());
        for (x, power) in
            [(0.0_f64, 0.0), (0.0, 0.7), (0.0, -0.5), (10.0, 2.0), (-2.0, 3.0), (1.0, 0.3)]
        {
            assert_eq!(x.to_power(power), f64::powf(x, power), "{x}^{power}");
        }
        assert_eq!(27.0_f64.cube_root(), 3.0);
    }
}
