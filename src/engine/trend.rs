//! Trend: whether the casts out of a mould get lighter or heavier, by least
//! squares of weight against number, and whether that is more than scatter.

use super::quantity::Grams;

/// Fewer weighed casts than this show no trend.
pub const LEAST: usize = 6;
/// How many at each end stand for the first and the latest casts.
pub const ENDS: usize = 3;

/// A line through weights.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trend {
    /// What each cast weighs more than the one before.
    pub each: Grams,
    /// Standard error of that.
    pub error: Grams,
    /// Mean of the first [`ENDS`].
    pub first: Grams,
    /// Mean of the latest [`ENDS`].
    pub latest: Grams,
    /// How many weights it goes through.
    pub count: usize,
}

impl Trend {
    /// Half width of the interval that holds the slope 19 times out of 20.
    pub fn margin(&self) -> Grams {
        self.error * student(self.count.saturating_sub(2) as f64)
    }

    /// Whether it is more than the scatter of the weights.
    pub fn is_certain(&self) -> bool {
        self.each.value().abs() > self.margin().value()
    }
}

/// Student's t that 95 % lie within, by the expansion in 1/freedom of Abramowitz
/// and Stegun, 26.7.5: from four degrees on it is within 2 %.
fn student(freedom: f64) -> f64 {
    1.959_964 + 2.372_27 / freedom + 2.822_5 / (freedom * freedom)
}

/// Mean of numbered weights; none of none.
pub fn mean(weights: &[(u32, Grams)]) -> Option<Grams> {
    let sum = weights.iter().fold(Grams(0.0), |sum, (_, mass)| sum + *mass);
    (!weights.is_empty()).then(|| sum / weights.len() as f64)
}

/// The line through weights by number, in the order of the casts; none for
/// fewer than [`LEAST`], or for one number only.
pub fn trend(weights: &[(u32, Grams)]) -> Option<Trend> {
    let count = weights.len();
    if count < LEAST {
        return None;
    }
    let middle = weights.iter().map(|(number, _)| f64::from(*number)).sum::<f64>() / count as f64;
    let level = mean(weights)?;
    let mut spread = 0.0;
    let mut slope = Grams(0.0);
    for (number, mass) in weights {
        let away = f64::from(*number) - middle;
        spread += away * away;
        slope = slope + (*mass - level) * away;
    }
    if spread <= 0.0 {
        return None;
    }
    let each = slope / spread;
    let squares = weights.iter().map(|(number, mass)| {
        let off = (*mass - level - each * (f64::from(*number) - middle)).value();
        off * off
    });
    let variance = squares.sum::<f64>() / (count - 2) as f64;
    Some(Trend {
        each,
        error: Grams((variance / spread).sqrt()),
        first: mean(weights.get(..ENDS)?)?,
        latest: mean(weights.get(count - ENDS..)?)?,
        count,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two-sided 5 % points of Student's t as tables print them, e.g. Abramowitz
    /// and Stegun, table 26.10.
    #[test]
    fn students_t_is_that_of_the_tables() {
        for (freedom, table) in [(4.0, 2.776), (5.0, 2.571), (10.0, 2.228), (30.0, 2.042)] {
            assert!((student(freedom) / table - 1.0).abs() < 0.02, "{freedom}");
        }
    }

    #[test]
    fn a_few_or_one_number_only_show_no_trend() {
        let few: Vec<_> = (1..LEAST as u32).map(|n| (n, Grams(800.0))).collect();
        assert_eq!(trend(&few), None);
        assert_eq!(trend(&[(3, Grams(800.0)); 9]), None);
        assert_eq!(mean(&[]), None);
    }
}
