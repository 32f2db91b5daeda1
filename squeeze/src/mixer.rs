//! Weighs opinions, and corrects the outcome.

use alloc::{vec, vec::Vec};

use crate::{
    model::{INPUTS, SETS},
    numbers::{LOGIT_MOST, squash},
};

/// One weight of one, as a fixed-point number.
const ONE: i32 = 1 << 16;
/// How strongly a wrong guess moves the weights.
const RATE: i32 = 10;
/// How strongly it moves the weights of the last mixing.
const LAST_RATE: i32 = 2;
/// Guesses that are this close to the bit (of 65536) teach the weights nothing.
const CLOSE: i32 = 4500;

/// Mixes opinions (logits in 1/256) with several sets of weights at once, and those
/// outcomes once more.
pub struct Mixer {
    /// The opinions, filled in before [`Mixer::mix`].
    pub inputs: [i32; INPUTS],
    weights: [Vec<[i32; INPUTS]>; SETS],
    chosen: [usize; SETS],
    outcomes: [i32; SETS],
    last: Vec<[i32; SETS]>,
    last_chosen: usize,
    mixed: i32,
}

impl Mixer {
    /// A mixer with sets of weights that are chosen among so many.
    pub fn new(choices: [usize; SETS]) -> Self {
        Self {
            inputs: [0; INPUTS],
            weights: choices.map(|count| vec![[ONE / 7; INPUTS]; count]),
            chosen: [0; SETS],
            outcomes: [0; SETS],
            last: vec![[ONE / SETS as i32; SETS]; choices[0]],
            last_chosen: 0,
            mixed: 0,
        }
    }

    /// The mixed opinion with the weights that `chosen` names, a logit in 1/256.
    #[inline]
    pub fn mix(&mut self, chosen: [usize; SETS]) -> i32 {
        self.chosen = chosen;
        self.last_chosen = chosen[0];
        let mut mixed = 0;
        let last = &self.last[self.last_chosen];
        for (set, (outcome, trust)) in self.outcomes.iter_mut().zip(last).enumerate() {
            let weights = &self.weights[set][chosen[set]];
            let products = weights.iter().zip(&self.inputs);
            let sum: i32 = products.map(|(weight, input)| weight.wrapping_mul(*input) >> 8).sum();
            *outcome = (sum >> 8).clamp(-LOGIT_MOST, LOGIT_MOST);
            mixed += i64::from(*trust) * i64::from(*outcome);
        }
        self.mixed = ((mixed >> 16) as i32).clamp(-LOGIT_MOST, LOGIT_MOST);
        self.mixed
    }

    /// Learns what the bit was.
    #[inline]
    pub fn learn(&mut self, bit: usize) {
        let aim = (bit as i32) << 16;
        for set in 0..SETS {
            let error = aim - squash(self.outcomes[set]);
            if error.abs() < CLOSE {
                continue;
            }
            let force = (error * RATE) >> 4;
            let weights = &mut self.weights[set][self.chosen[set]];
            for (weight, input) in weights.iter_mut().zip(&self.inputs) {
                *weight = weight.wrapping_add((input * force + (1 << 13)) >> 14);
            }
        }
        let force = ((aim - squash(self.mixed)) * LAST_RATE) >> 4;
        for (weight, outcome) in self.last[self.last_chosen].iter_mut().zip(self.outcomes) {
            *weight += (outcome * force + (1 << 13)) >> 14;
        }
    }
}

/// Points between which a refiner interpolates.
const POINTS: usize = 33;

/// Learns what a mixed guess is really worth in a context.
pub struct Refiner {
    chances: Vec<[u16; POINTS]>,
    context: usize,
    point: usize,
}

impl Refiner {
    /// One that changes nothing yet.
    pub fn new() -> Self {
        let mut row = [0; POINTS];
        for (point, chance) in row.iter_mut().enumerate() {
            *chance = squash((point as i32 - 16) * 128).min(65_535) as u16;
        }
        Self { chances: vec![row; 1 << 16], context: 0, point: 0 }
    }

    /// The chance of a one (in 1/65536) after a guess (a logit in 1/256).
    #[inline]
    pub fn refine(&mut self, logit: i32, context: usize) -> i32 {
        let at = (logit + 2048) as usize;
        let (low, rest) = (at >> 7, (at & 127) as i32);
        self.context = context & 0xffff;
        self.point = low + usize::from(rest >= 64);
        let row = &self.chances[self.context];
        (i32::from(row[low]) * (128 - rest) + i32::from(row[low + 1]) * rest) >> 7
    }

    /// Learns what the bit was.
    #[inline]
    pub fn learn(&mut self, bit: usize) {
        let chance = &mut self.chances[self.context][self.point];
        // Beyond the end by what rounding down would leave, so that both ends are reached.
        let aim = if bit == 1 { 65_535 + 63 } else { 0 };
        *chance = (i32::from(*chance) + ((aim - i32::from(*chance)) >> 6)) as u16;
    }
}
