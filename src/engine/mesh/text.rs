//! Words and numbers of the text formats.
//!
//! The library's reader of numbers brings ten kilobytes of tables to get the last
//! bit of a double right. Coordinates are kept in single precision: one
//! multiplication or division by a power of ten is right to the last digit kept.

/// Words of a text, one after another.
pub(super) struct Words<'a> {
    bytes: &'a [u8],
    at: usize,
}

impl<'a> Words<'a> {
    /// From the beginning of a text.
    pub fn new(bytes: &'a [u8]) -> Self {
        Self { bytes, at: 0 }
    }

    /// The next word, on this line or a later one.
    pub fn next(&mut self) -> Option<&'a [u8]> {
        while self.bytes.get(self.at).is_some_and(u8::is_ascii_whitespace) {
            self.at += 1;
        }
        self.on_line()
    }

    /// The next word, if there is one on this line.
    pub fn on_line(&mut self) -> Option<&'a [u8]> {
        let is_blank = |byte: &u8| byte.is_ascii_whitespace() && *byte != b'\n';
        while self.bytes.get(self.at).is_some_and(is_blank) {
            self.at += 1;
        }
        let begin = self.at;
        while self.bytes.get(self.at).is_some_and(|byte| !byte.is_ascii_whitespace()) {
            self.at += 1;
        }
        (self.at > begin).then(|| &self.bytes[begin..self.at])
    }

    /// Goes to the beginning of the next line.
    pub fn skip_line(&mut self) {
        while let Some(byte) = self.bytes.get(self.at) {
            self.at += 1;
            if *byte == b'\n' {
                return;
            }
        }
    }

    /// The next three words as a place; what is no number is a not-a-number,
    /// for the caller to refuse if anything uses it. None at the end of the text.
    pub fn place(&mut self) -> Option<[f32; 3]> {
        let mut place = [0.0; 3];
        for along in &mut place {
            *along = number(self.next()?).map_or(f32::NAN, |number| number as f32);
        }
        Some(place)
    }

    /// How many bytes were read so far.
    pub fn position(&self) -> usize {
        self.at
    }
}

/// Reads a decimal with or without sign, point and exponent. None for all else,
/// words for infinity and not-a-number among it.
pub(super) fn number(word: &[u8]) -> Option<f64> {
    let (negative, word) = match word.split_first()? {
        (b'-', rest) => (true, rest),
        (b'+', rest) => (false, rest),
        _ => (false, word),
    };
    let (mut digits, mut tens) = (0_u64, 0_i32);
    let (mut any, mut point) = (false, false);
    for (index, byte) in word.iter().enumerate() {
        match byte {
            b'0'..=b'9' => {
                any = true;
                // Digits beyond the eighteenth only count by their place.
                let room = digits < 100_000_000_000_000_000;
                if room {
                    digits = digits * 10 + u64::from(byte - b'0');
                }
                match (point, room) {
                    (true, true) => tens = tens.saturating_sub(1),
                    (false, false) => tens = tens.saturating_add(1),
                    _ => {}
                }
            }
            b'.' if !point => point = true,
            b'e' | b'E' if any => {
                let exponent = integer(word.get(index + 1..)?)?;
                tens = tens.saturating_add(exponent.clamp(-9999, 9999) as i32);
                break;
            }
            _ => return None,
        }
    }
    let power = 10_f64.powi(tens.saturating_abs());
    let value = digits as f64;
    let value = match () {
        () if digits == 0 => 0.0,
        () if tens < 0 => value / power,
        () => value * power,
    };
    any.then_some(if negative { -value } else { value })
}

/// Reads a whole number with or without sign, up to eighteen digits.
pub(super) fn integer(word: &[u8]) -> Option<i64> {
    let (negative, digits) = match word.split_first()? {
        (b'-', rest) => (true, rest),
        (b'+', rest) => (false, rest),
        _ => (false, word),
    };
    if digits.is_empty() || digits.len() > 18 {
        return None;
    }
    let mut value = 0_i64;
    for byte in digits {
        let digit = byte.wrapping_sub(b'0');
        if digit > 9 {
            return None;
        }
        value = value * 10 + i64::from(digit);
    }
    Some(if negative { -value } else { value })
}

#[cfg(test)]
mod tests {
    use super::{integer, number};
    use proptest::prelude::*;

    proptest! {
        // The library's reader, which takes all of these.
        #[test]
        fn numbers_are_those_of_the_library_to_single_precision(
            text in "[-+]?([0-9]{1,25}(\\.[0-9]{0,12})?|\\.[0-9]{1,12})([eE][-+]?[0-9]{1,2})?",
        ) {
            let library: f64 = text.parse().unwrap();
            let found = number(text.as_bytes()).unwrap();
            prop_assert!((found - library).abs() <= 1e-14 * library.abs(), "{} {}", found, library);
        }

        #[test]
        fn whole_numbers_are_those_of_the_library(text in "[-+]?[0-9]{1,18}") {
            prop_assert_eq!(integer(text.as_bytes()), text.parse().ok());
        }

        #[test]
        fn anything_else_is_none(text in "[a-df-z,/ ]{1,5}[0-9]{0,3}") {
            prop_assert_eq!(number(text.as_bytes()), None);
            prop_assert_eq!(integer(text.as_bytes()), None);
        }
    }

    #[test]
    fn what_is_almost_a_number_is_none() {
        for word in ["", "-", ".", "e5", "1e", "1e+", "1.2.3", "1e1.5", "nan", "inf", "0x10"] {
            assert_eq!(number(word.as_bytes()), None, "{word}");
        }
        assert_eq!(number(b"0e9999"), Some(0.0));
        assert_eq!(number(b"1e999"), Some(f64::INFINITY));
    }
}
