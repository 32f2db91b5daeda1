//! Reading plain decimals.
//!
//! The library's reader takes any double there is and brings ten kilobytes of
//! tables for it. What people type at a bench has few digits, and for those one
//! division gives the nearest double exactly (W. D. Clinger 1990, fast path:
//! a whole number below 2^53 over a power of ten up to 10^22).

/// Reads digits with at most one point: "12", "12.5", ".5", "5.". None for
/// anything else, and for more than fifteen significant digits.
pub fn decimal(text: &str) -> Option<f64> {
    let mut digits: u64 = 0;
    let mut divisor = 1.0;
    let (mut any, mut point) = (false, false);
    for character in text.chars() {
        match character.to_digit(10) {
            Some(digit) => {
                any = true;
                digits = digits * 10 + u64::from(digit);
                if digits >= 1_000_000_000_000_000 {
                    return None;
                }
                if point {
                    divisor *= 10.0;
                }
            }
            None if character == '.' && !point => point = true,
            None => return None,
        }
    }
    (any && divisor <= 1e22).then(|| digits as f64 / divisor)
}

#[cfg(test)]
mod tests {
    use super::decimal;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn it_reads_what_the_library_reads(text in "[0-9]{1,9}(\\.[0-9]{0,6})?|\\.[0-9]{1,6}") {
            prop_assert_eq!(decimal(&text), text.parse::<f64>().ok());
        }

        #[test]
        fn it_refuses_what_is_no_plain_decimal(text in "[-+a-z ./]{0,6}") {
            prop_assert_eq!(decimal(&text), None);
        }
    }

    #[test]
    fn it_refuses_more_digits_than_it_can_hold() {
        assert_eq!(decimal("9999999999999999"), None);
        assert_eq!(decimal("0.00000000000000000000001"), None);
        assert_eq!(decimal("000000000000000000000012.5"), Some(12.5));
    }
}
