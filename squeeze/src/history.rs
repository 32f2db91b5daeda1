//! What a context remembers of the bits it has seen, in one byte.
//!
//! A history is a pair of counts (zeros, ones) and which bit came last. A bit that
//! speaks against a long run shortens it, so that what was seen lately weighs more.
//! Which pairs exist is bounded so that all fit in a byte; what each means is learnt
//! (see [`crate::model`]). The idea of such histories is common practice in context
//! mixing; the table is our own and is computed at the start.

/// The largest greater count for each smaller count.
const BOUNDS: [u8; 6] = [44, 24, 11, 8, 6, 5];
/// What is left of a count of n (index, up to 7) when the other bit is seen.
const KEPT: [u8; 8] = [0, 1, 2, 2, 3, 3, 3, 4];
/// What is left of greater counts.
const KEPT_MOST: u8 = 5;

/// The history that follows each history: `[history][bit]`. History 0 is "nothing
/// seen"; the more has been seen, the greater the number.
pub type Follow = [[u8; 2]; 256];

/// Whether a pair of counts has a history of its own.
fn exists(zeros: u8, ones: u8) -> bool {
    let (small, great) = if zeros < ones { (zeros, ones) } else { (ones, zeros) };
    BOUNDS.get(usize::from(small)).is_some_and(|most| great <= *most)
}

/// Whether the last bit is told apart: only where both bits were seen.
fn last_matters(zeros: u8, ones: u8) -> bool {
    zeros > 0 && ones > 0
}

/// The counts after another bit.
fn counts_after(zeros: u8, ones: u8, bit: usize) -> (u8, u8) {
    let (seen, other) = if bit == 1 { (ones, zeros) } else { (zeros, ones) };
    let mut seen = seen + 1;
    let other = KEPT.get(usize::from(other)).copied().unwrap_or(KEPT_MOST);
    while !exists(seen, other) {
        seen -= 1;
    }
    if bit == 1 { (other, seen) } else { (seen, other) }
}

/// Computes all histories and what follows each.
pub fn follow_table() -> Follow {
    // Numbers by (zeros, ones, last bit), in order of how much was seen.
    let mut numbers = [[[0_u8; 2]; 64]; 64];
    let mut counts = [(0_u8, 0_u8); 256];
    let mut used = 0_usize;
    for total in 0..=BOUNDS[0].max(2 * (BOUNDS.len() as u8 - 1)) {
        for zeros in 0..=total {
            let ones = total - zeros;
            if !exists(zeros, ones) {
                continue;
            }
            let kinds = if last_matters(zeros, ones) { 2 } else { 1 };
            for last in 0..kinds {
                if used == counts.len() {
                    break;
                }
                counts[used] = (zeros, ones);
                let number = &mut numbers[usize::from(zeros)][usize::from(ones)];
                number[last] = used as u8;
                if kinds == 1 {
                    number[1] = used as u8;
                }
                used += 1;
            }
        }
    }
    let mut follow = [[0; 2]; 256];
    for (history, (zeros, ones)) in counts.into_iter().enumerate().take(used) {
        for bit in 0..2 {
            let (zeros, ones) = counts_after(zeros, ones, bit);
            follow[history][bit] = numbers[usize::from(zeros)][usize::from(ones)][bit];
        }
    }
    follow
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_histories_fit_in_a_byte() {
        let pairs = (0..64).flat_map(|zeros| (0..64).map(move |ones| (zeros, ones)));
        let number: usize = pairs
            .filter(|(zeros, ones)| exists(*zeros, *ones))
            .map(|(zeros, ones)| if last_matters(zeros, ones) { 2 } else { 1 })
            .sum();
        assert!(number <= 256, "{number}");
    }

    #[test]
    fn nothing_leads_back_to_nothing_seen() {
        let follow = follow_table();
        let mut reached = vec![0_u8];
        let mut next = 0;
        while let Some(history) = reached.get(next) {
            for after in follow[usize::from(*history)] {
                assert_ne!(after, 0);
                if !reached.contains(&after) {
                    reached.push(after);
                }
            }
            next += 1;
        }
        assert!(reached.len() > 150, "only {} are reached", reached.len());
    }
}
