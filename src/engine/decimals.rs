//! Decimals, read and written to the last bit.
//!
//! What is kept must come back the same. The library's reader does that with ten
//! kilobytes of tables, for speed; ours takes one multiplication or division for what
//! people write, and long division by whole numbers of any length for the rest. Nor is
//! its writer used anywhere in what ships: [`Fixed`] and [`write`] are.

use std::cmp::Ordering;
use std::fmt;

/// Whole numbers below this, and powers of ten up to [`EXACT_TENS`], are doubles
/// exactly, and so one operation on two of them is rounded right (W. D. Clinger 1990).
const EXACT_DIGITS: u64 = 1 << 53;
const EXACT_TENS: i32 = 22;
/// No double lies on the border between two roundings with more digits than this
/// (767, from memory): digits beyond only count as "a little more".
const DIGITS_MOST: usize = 800;

/// Reads a decimal with or without sign, point and exponent, as the nearest double
/// (the even one of two). None for anything else, and for what is too great to hold.
pub fn read(text: &str) -> Option<f64> {
    let (negative, text) = match text.as_bytes() {
        [b'-', rest @ ..] => (true, rest),
        [b'+', rest @ ..] => (false, rest),
        rest => (false, rest),
    };
    let (mut digits, mut tens) = (Vec::new(), 0_i32);
    let (mut any, mut point, mut more) = (false, false, false);
    let mut rest = text.iter();
    while let Some(byte) = rest.next() {
        match byte {
            b'0'..=b'9' => {
                any = true;
                tens -= i32::from(point);
                if digits.len() >= DIGITS_MOST {
                    more |= *byte != b'0';
                    tens += 1;
                } else if *byte != b'0' || !digits.is_empty() {
                    digits.push(u32::from(byte - b'0'));
                }
            }
            b'.' if !point => point = true,
            b'e' | b'E' if any => {
                tens = tens.saturating_add(exponent(rest.as_slice())?);
                break;
            }
            _ => return None,
        }
    }
    if more {
        digits.push(1);
        tens -= 1;
    }
    let value = nearest(&digits, tens);
    (any && value.is_finite()).then_some(if negative { -value } else { value })
}

/// A whole number with or without sign; beyond what matters it stays where it is.
fn exponent(text: &[u8]) -> Option<i32> {
    let (sign, digits) = match text {
        [b'-', rest @ ..] => (-1, rest),
        [b'+', rest @ ..] => (1, rest),
        rest => (1, rest),
    };
    let mut value = 0_i32;
    for byte in digits {
        let digit = byte.wrapping_sub(b'0');
        if digit > 9 {
            return None;
        }
        value = (value * 10 + i32::from(digit)).min(100_000);
    }
    (!digits.is_empty()).then_some(sign * value)
}

/// The double nearest to these digits times a power of ten.
fn nearest(digits: &[u32], tens: i32) -> f64 {
    let size = digits.len() as i32 + tens;
    if digits.is_empty() || size < -330 {
        return 0.0;
    }
    if size > 310 {
        return f64::INFINITY;
    }
    let short = digits.iter().try_fold(0_u64, |sum, digit| {
        Some(sum * 10 + u64::from(*digit)).filter(|sum| *sum < EXACT_DIGITS)
    });
    if let Some(short) = short.filter(|_| tens.abs() <= EXACT_TENS) {
        let power = 10_f64.powi(tens.abs());
        return if tens < 0 { short as f64 / power } else { short as f64 * power };
    }
    let (mut over, mut under) = (Whole(Vec::new()), Whole(vec![1]));
    for digit in digits {
        over.times_and(10, *digit);
    }
    for _ in 0..tens.abs() {
        if tens < 0 { &mut under } else { &mut over }.times_and(10, 0);
    }
    quotient(over, under)
}

/// The double nearest to the quotient of two whole numbers that are not 0.
fn quotient(mut over: Whole, mut under: Whole) -> f64 {
    // So that the quotient has 63 or 64 bits: more than a double, and they fit.
    let shift = 63 - (over.bits() - under.bits());
    over.shift(shift.max(0) as u32);
    under.shift((-shift).max(0) as u32);
    under.shift(63);
    let mut bits = 0_u64;
    for _ in 0..64 {
        bits <<= 1;
        if over.cmp(&under) != Ordering::Less {
            over.minus(&under);
            bits |= 1;
        }
        under.halve();
    }
    let highest = 63 - bits.leading_zeros() as i32;
    let exponent = highest - shift;
    if exponent > 1023 {
        return f64::INFINITY;
    }
    // Numbers below 2^-1022 have fewer bits.
    let drop = highest - 52 + (-1022 - exponent).max(0);
    if drop > 64 {
        return 0.0;
    }
    let (kept, rest) = (u128::from(bits) >> drop, u128::from(bits) & ((1 << drop) - 1));
    let half = 1_u128 << (drop - 1);
    let up = rest > half || rest == half && (!over.is_zero() || kept & 1 == 1);
    let kept = kept as u64 + u64::from(up);
    // The highest bit of the kept ones counts as one step of the exponent.
    let steps = (exponent + 1022).max(0) as u64;
    f64::from_bits((steps << 52) + kept)
}

/// A number with so many places behind the point, rounded as the library does: to the
/// nearest, of two equally near ones to the even one.
#[derive(Clone, Copy, Debug)]
pub struct Fixed(pub f64, pub usize);

impl fmt::Display for Fixed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&fixed(self.0, self.1))
    }
}

/// The text of [`Fixed`].
pub fn fixed(value: f64, places: usize) -> String {
    if !value.is_finite() {
        return if value.is_nan() {
            "NaN"
        } else if value > 0.0 {
            "inf"
        } else {
            "-inf"
        }
        .into();
    }
    let bits = value.to_bits();
    let exponent = (bits >> 52 & 0x7ff) as i32;
    let mantissa = bits & ((1 << 52) - 1) | u64::from(exponent > 0) << 52;
    let mut whole = Whole(vec![mantissa as u32, (mantissa >> 32) as u32]);
    for _ in 0..places {
        whole.times_and(10, 0);
    }
    let shift = exponent.max(1) - 1075;
    whole.shift(shift.max(0) as u32);
    let (mut half, mut more) = (false, false);
    for _ in shift..0 {
        (half, more) = (whole.limb(0) & 1 == 1, more || half);
        whole.halve();
    }
    if half && (more || whole.limb(0) & 1 == 1) {
        whole.times_and(1, 1);
    }
    let mut digits = Vec::new();
    while !whole.is_zero() || digits.len() <= places {
        if digits.len() == places && places > 0 {
            digits.push('.');
        }
        digits.push(char::from(b'0' + whole.divide(10) as u8));
    }
    if value.is_sign_negative() {
        digits.push('-');
    }
    digits.iter().rev().collect()
}

/// A number's text, as short as need be to read the same again.
pub fn write(value: f64) -> String {
    let size = ((value.to_bits() >> 52 & 0x7ff) as i32 - 1023) * 30_103 / 100_000;
    // The estimate of the size is at most one short, hence from 14 to 17 digits.
    for digits in 14..18 {
        let mut text = fixed(value, (digits - size).max(0) as usize);
        if text.contains('.') {
            text.truncate(text.trim_end_matches('0').trim_end_matches('.').len());
        }
        if read(&text) == Some(value) {
            return text;
        }
    }
    fixed(value, 1100)
}

/// A whole number of any length, its lowest 32 bits first.
#[derive(Clone)]
struct Whole(Vec<u32>);

impl Whole {
    /// Multiplies, then adds.
    fn times_and(&mut self, factor: u32, more: u32) {
        let mut carry = u64::from(more);
        for limb in &mut self.0 {
            carry += u64::from(*limb) * u64::from(factor);
            *limb = carry as u32;
            carry >>= 32;
        }
        if carry > 0 {
            self.0.push(carry as u32);
        }
    }

    /// How many bits it has.
    fn bits(&self) -> i32 {
        let used = self.0.iter().rposition(|limb| *limb != 0);
        used.map_or(0, |at| at as i32 * 32 + 32 - self.0[at].leading_zeros() as i32)
    }

    /// Doubles it so many times.
    fn shift(&mut self, times: u32) {
        for _ in 0..times % 32 {
            self.times_and(2, 0);
        }
        self.0.splice(0..0, std::iter::repeat_n(0, times as usize / 32));
    }

    fn halve(&mut self) {
        let mut carry = 0;
        for limb in self.0.iter_mut().rev() {
            (*limb, carry) = (*limb >> 1 | carry << 31, *limb & 1);
        }
    }

    /// Divides it, and gives the rest.
    fn divide(&mut self, by: u32) -> u32 {
        let mut rest = 0;
        for limb in self.0.iter_mut().rev() {
            let all = u64::from(rest) << 32 | u64::from(*limb);
            (*limb, rest) = ((all / u64::from(by)) as u32, (all % u64::from(by)) as u32);
        }
        rest
    }

    fn limb(&self, at: usize) -> u32 {
        self.0.get(at).copied().unwrap_or(0)
    }

    fn cmp(&self, other: &Self) -> Ordering {
        let limbs = 0..self.0.len().max(other.0.len());
        let mut orders = limbs.rev().map(|at| self.limb(at).cmp(&other.limb(at)));
        orders.find(|order| order.is_ne()).unwrap_or(Ordering::Equal)
    }

    /// Takes away another, which is not greater.
    fn minus(&mut self, other: &Self) {
        let mut borrow = 0;
        for at in 0..self.0.len() {
            let left = i64::from(self.0[at]) - i64::from(other.limb(at)) - borrow;
            self.0[at] = left as u32;
            borrow = i64::from(left < 0);
        }
    }

    fn is_zero(&self) -> bool {
        self.0.iter().all(|limb| *limb == 0)
    }
}

#[cfg(test)]
mod tests {
    use super::{fixed, read, write};
    use proptest::prelude::*;

    /// As the library reads it; ours has no words and no infinity.
    fn theirs(text: &str) -> Option<f64> {
        text.parse().ok().filter(|value: &f64| value.is_finite())
    }

    fn same(text: &str) -> Result<(), TestCaseError> {
        let (ours, theirs) = (read(text).map(f64::to_bits), theirs(text).map(f64::to_bits));
        prop_assert_eq!(ours, theirs, "{}", text);
        Ok(())
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(3000) })]

        #[test]
        fn every_double_comes_back(bits in any::<u64>()) {
            let value = f64::from_bits(bits);
            if value.is_finite() {
                for text in [format!("{value}"), format!("{value:e}"), format!("{value:.17e}")] {
                    same(&text)?;
                }
                prop_assert_eq!(read(&format!("{value:e}")).unwrap().to_bits(), bits);
            }
        }

        #[test]
        fn what_is_written_is_read_again(bits in any::<u64>(), short in -1e9..1e9_f64, places in 0_i32..6) {
            let rounded = (short * 10_f64.powi(places)).round() / 10_f64.powi(places);
            for value in [f64::from_bits(bits), short, rounded] {
                if value.is_finite() {
                    let text = write(value);
                    prop_assert_eq!(text.parse::<f64>().unwrap().to_bits(), value.to_bits(), "{}", text);
                }
            }
            // What a person wrote comes back as it was written.
            prop_assert_eq!(write(rounded), format!("{rounded}"));
        }

        #[test]
        fn places_are_cut_as_the_library_does(
            bits in any::<u64>(), near in -1e4..1e4_f64, places in 0_usize..9, eighths in -80_i32..80,
        ) {
            for value in [f64::from_bits(bits), near, f64::from(eighths) / 8.0] {
                prop_assert_eq!(fixed(value, places), format!("{value:.places$}"), "{:e}", value);
            }
        }

        #[test]
        fn any_decimal_is_read_as_the_library_does(
            text in "[-+]?([0-9]{1,40}(\\.[0-9]{0,40})?|\\.[0-9]{1,40})([eE][-+]?[0-9]{1,3})?",
        ) {
            same(&text)?;
        }

    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(200) })]

        /// Half way between two doubles, and a little beside it.
        #[test]
        fn borders_are_rounded_as_the_library_does(
            mantissa in 0_u64..1 << 53, exponent in -1074_i32..971, beside in "[0-9]{0,3}",
        ) {
            let low = f64::from_bits(mantissa) ;
            let low = low * 2_f64.powi(exponent.max(-900)) * 2_f64.powi(exponent - exponent.max(-900));
            let (one, two) = (low.abs(), f64::from_bits(low.abs().to_bits() + 1));
            if two.is_finite() {
                let exact = |value: f64| format!("{value:.1100}");
                // The middle as text: the digits of the sum, halved.
                let sum = add(&exact(one), &exact(two));
                let middle = half(&sum);
                same(&middle)?;
                same(&format!("{middle}{beside}"))?;
            }
        }
    }

    proptest! {
        #[test]
        fn what_is_no_decimal_is_refused(text in "[-+0-9.eE ]{0,8}|[a-z]{1,8}") {
            same(&text.replace("inf", "").replace("nan", ""))?;
        }
    }

    fn add(one: &str, two: &str) -> String {
        let width = one.len().max(two.len());
        let (one, two) = (format!("{one:0>width$}"), format!("{two:0>width$}"));
        let mut carry = 0;
        let mut sum: Vec<char> = one
            .chars()
            .rev()
            .zip(two.chars().rev())
            .map(|(one, two)| {
                let (Some(one), Some(two)) = (one.to_digit(10), two.to_digit(10)) else {
                    return '.';
                };
                carry += one + two;
                let digit = char::from_digit(carry % 10, 10).unwrap();
                carry /= 10;
                digit
            })
            .collect();
        sum.push(char::from_digit(carry, 10).unwrap());
        sum.iter().rev().collect()
    }

    fn half(text: &str) -> String {
        let mut rest = 0;
        let mut halved: String = text
            .chars()
            .map(|letter| {
                let Some(digit) = letter.to_digit(10) else { return '.' };
                let value = rest * 10 + digit;
                rest = value % 2;
                char::from_digit(value / 2, 10).unwrap()
            })
            .collect();
        halved.push(if rest == 1 { '5' } else { '0' });
        halved
    }

    #[test]
    fn the_known_hard_ones_are_right() {
        // Source: values that have led readers astray before (from memory): the smallest
        // and greatest doubles, their borders, and 2^53 + 1.
        for text in [
            "2.2250738585072011e-308",
            "2.2250738585072014e-308",
            "4.9406564584124654e-324",
            "2.4703282292062327e-324",
            "2.4703282292062328e-324",
            "1.7976931348623157e308",
            "1.7976931348623158e308",
            "1.7976931348623159e308",
            "9007199254740993",
            "9007199254740992.999999999999999999999",
            "0.1",
            "1e23",
            "8.5e-323",
            "0e999999",
            "-0",
            "1e-400",
            "123456789012345678901234567890",
            "5e-324",
            "3e-324",
            "2e-324",
        ] {
            same(text).unwrap();
        }
    }
}
