//! The two curves that mixing works with, in whole numbers.
//!
//! Opinions are mixed as logits, `ln(p / (1 - p))`, because there a sum of evidence is
//! a plain sum. Packer and unpacker must agree to the last bit on every machine, so
//! nothing here is floating point: the curve is interpolated between written-down
//! points.

/// The logistic curve `65536 / (1 + e^-x)` at x = 0, 0.5, 1 … 8 (the negative half is
/// its mirror image). Computed from the formula and rounded.
const HALF_CURVE: [i32; 17] = [
    32768, 40793, 47911, 53581, 57724, 60565, 62428, 63615, 64357, 64816, 65097, 65269, 65374,
    65438, 65476, 65500, 65514,
];

/// The largest logit, in 1/256: 8.
pub const LOGIT_MOST: i32 = 2047;

/// The probability (in 1/65536, never 0 or 1) of a logit in 1/256.
#[inline]
pub fn squash(logit: i32) -> i32 {
    let size = logit.unsigned_abs().min(LOGIT_MOST as u32) as usize;
    let (step, rest) = (size >> 7, (size & 127) as i32);
    let upper = (HALF_CURVE[step] * (128 - rest) + HALF_CURVE[step + 1] * rest) >> 7;
    if logit < 0 { 65536 - upper } else { upper }
}

/// The logits (in 1/256) of all probabilities in 1/4096: the inverse of [`squash`].
pub fn stretch_table() -> [i16; 4096] {
    let mut table = [0; 4096];
    let mut next = 0;
    for logit in -LOGIT_MOST..=LOGIT_MOST {
        let reached = (squash(logit) >> 4) as usize;
        while next <= reached {
            table[next] = logit as i16;
            next += 1;
        }
    }
    for late in &mut table[next..] {
        *late = LOGIT_MOST as i16;
    }
    table
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_curve_is_the_logistic_function() {
        // Source: the formula itself, in floating point.
        for logit in -LOGIT_MOST..=LOGIT_MOST {
            let exact = 65536.0 / (1.0 + (-f64::from(logit) / 256.0).exp());
            assert!((f64::from(squash(logit)) - exact).abs() < 330.0, "{logit}");
            assert!((1..65536).contains(&squash(logit)));
        }
    }

    #[test]
    fn stretching_undoes_squashing() {
        let table = stretch_table();
        for logit in -1200..=1200 {
            let back = i32::from(table[(squash(logit) >> 4) as usize]);
            assert!((back - logit).abs() <= 36, "{logit} came back as {back}");
        }
        assert!(table.windows(2).all(|pair| pair[0] <= pair[1]));
    }
}
