//! Guesses the next bit of a module from everything before it.
//!
//! Each context (the last few bytes, the last few instructions, …) keeps a history of
//! the bits that followed it; what a history is worth is learnt by a map for each
//! context; a mixer weighs the opinions, with weights chosen by what kind of byte is
//! due; a last stage corrects what the mixer gets wrong time and again. This is
//! context mixing, which is common practice in packing; what is our own is the choice
//! of contexts, which know WebAssembly.
//!
//! Everything is whole numbers, so packer and unpacker agree on every machine.

use alloc::{boxed::Box, vec, vec::Vec};

use crate::{
    contexts::{self, CONTEXTS, Past},
    history::{Follow, follow_table},
    matching::{Match, Matches},
    mixer::{Mixer, Refiner},
    numbers::{squash, stretch_table},
    walk::FIELDS,
};

/// Sixteen-byte buckets for all contexts together: 2^20 of them are 16 MB.
const BUCKET_BITS: u32 = 20;
/// Opinions: two for each context, two for each of the matches, and a constant.
pub const INPUTS: usize = 2 * CONTEXTS + 4 + 1;
/// How many sets of weights are at work at once.
pub const SETS: usize = 3;
/// The steepest that a map of histories still learns: 1/n.
const MAP_LIMIT: u32 = 255;
/// A probability of one half in a map, in the upper 22 bits.
const HALF: u32 = 1 << 31;

/// One bucket: a check and the histories of the fifteen nodes of four bits.
type Bucket = [u8; 16];

/// The guess of the next bit, and all that it is made of.
pub struct Model {
    stretch: Box<[i16; 4096]>,
    follow: Box<Follow>,
    reciprocals: Vec<i32>,
    buckets: Vec<Bucket>,
    /// Where each context's bucket is.
    places: [usize; CONTEXTS],
    hashes: [u32; CONTEXTS],
    /// For each context, the probability of a one after each history (22 bits) and
    /// how often it was corrected (10 bits).
    maps: Vec<[u32; 256]>,
    past: Past,
    matches: [Matches; 2],
    mixer: Mixer,
    refiners: [Refiner; 2],
    /// The bits of the byte so far, after a leading one.
    bits: usize,
    /// The bits of the half byte so far, after a leading one.
    node: usize,
    chosen: [i32; 2],
    mixed: i32,
}

impl Model {
    /// A model that has seen nothing of a text of `length` bytes.
    pub fn new() -> Self {
        let mut model = Self {
            stretch: Box::new(stretch_table()),
            follow: Box::new(follow_table()),
            reciprocals: (0..=MAP_LIMIT).map(|n| (131_072 / (2 * n + 3)) as i32).collect(),
            buckets: vec![[0; 16]; 1 << BUCKET_BITS],
            places: [0; CONTEXTS],
            hashes: [0; CONTEXTS],
            maps: vec![[HALF; 256]; CONTEXTS],
            past: Past::new(),
            matches: [Matches::new(5), Matches::new(12)],
            mixer: Mixer::new([FIELDS * 8, 256 * 3, 2048]),
            refiners: [Refiner::new(), Refiner::new()],
            bits: 1,
            node: 1,
            chosen: [0; 2],
            mixed: 0,
        };
        model.start_byte();
        model
    }

    /// The probability that the next bit is a one, in 1/65536, never 0 or 1.
    #[inline]
    pub fn guess(&mut self) -> u32 {
        let inputs = &mut self.mixer.inputs;
        let mut known = 0;
        for context in 0..CONTEXTS {
            let history = self.buckets[self.places[context]][self.node];
            if history == 0 {
                inputs[2 * context] = 0;
                inputs[2 * context + 1] = 0;
                continue;
            }
            known += 1;
            let chance = self.maps[context][usize::from(history)] >> 20;
            inputs[2 * context] = i32::from(self.stretch[chance as usize]);
            inputs[2 * context + 1] = (chance as i32 - 2048) >> 2;
        }
        let mut best = 0;
        for (which, matches) in self.matches.iter_mut().enumerate() {
            let Match { chance, strength } = matches.guess(self.bits);
            let at = 2 * CONTEXTS + 2 * which;
            inputs[at] = if strength > 0 { i32::from(self.stretch[chance]) } else { 0 };
            inputs[at + 1] = if strength > 0 { (chance as i32 - 2048) >> 2 } else { 0 };
            best = best.max(strength);
        }
        inputs[INPUTS - 1] = 256;

        let step = self.past.step();
        let agreed = self.matches[0].expected_bit(self.bits);
        self.mixed = self.mixer.mix([
            step,
            self.bits * 3 + agreed,
            (best * 32 + known) * 8 + (self.bits.ilog2() as usize),
        ]);
        let before = squash(self.mixed);
        self.chosen = [
            self.refiners[0].refine(self.mixed, step << 8 | self.bits),
            self.refiners[1].refine(self.mixed, contexts::late(&self.past, self.bits)),
        ];
        let after = (2 * before + self.chosen[0] + self.chosen[1]) >> 2;
        after.clamp(16, 65_520) as u32
    }

    /// Learns what the bit was, and goes on to the next.
    #[inline]
    pub fn learn(&mut self, bit: usize) {
        for context in 0..CONTEXTS {
            let history = &mut self.buckets[self.places[context]][self.node];
            if *history != 0 {
                correct(&mut self.maps[context][usize::from(*history)], bit, &self.reciprocals);
            }
            *history = self.follow[usize::from(*history)][bit];
        }
        for matches in &mut self.matches {
            matches.learn(self.bits, bit);
        }
        self.mixer.learn(bit);
        for refiner in &mut self.refiners {
            refiner.learn(bit);
        }
        self.bits = self.bits << 1 | bit;
        self.node = self.node << 1 | bit;
        if self.bits >= 256 {
            let byte = self.bits as u8;
            self.past.push(byte);
            for matches in &mut self.matches {
                matches.push(&self.past.bytes);
            }
            self.start_byte();
        } else if self.node >= 16 {
            self.node = 1;
            let half = self.bits as u32;
            for context in 0..CONTEXTS {
                self.places[context] = self.find(self.hashes[context].wrapping_add(half * 0x9e37_79b1));
            }
        }
    }

    /// Everything so far.
    pub fn into_bytes(self) -> Vec<u8> {
        self.past.bytes
    }

    fn start_byte(&mut self) {
        self.bits = 1;
        self.node = 1;
        let expected = self.matches[1].expected_byte().or(self.matches[0].expected_byte());
        self.hashes = contexts::hashes(&self.past, expected);
        for context in 0..CONTEXTS {
            self.places[context] = self.find(self.hashes[context]);
        }
    }

    /// The bucket of a hash: its own, or the poorest of four taken over.
    #[inline]
    fn find(&mut self, hash: u32) -> usize {
        let hash = hash.wrapping_mul(0x2c1b_3c6d);
        let hash = hash ^ (hash >> 13);
        let check = ((hash >> 24) as u8).max(1);
        let start = (hash & ((1 << BUCKET_BITS) - 1)) as usize;
        let mut poorest = start;
        for probe in 0..3 {
            let at = start ^ probe;
            if self.buckets[at][0] == check {
                return at;
            }
            if self.buckets[at][1] < self.buckets[poorest][1] {
                poorest = at;
            }
        }
        self.buckets[poorest] = [0; 16];
        self.buckets[poorest][0] = check;
        poorest
    }
}

/// Moves a map's entry towards the bit that came.
#[inline]
pub fn correct(entry: &mut u32, bit: usize, reciprocals: &[i32]) {
    let times = *entry & 1023;
    let chance = i64::from(*entry >> 10);
    let aim = if bit == 1 { (1 << 22) - 1 } else { 0 };
    let moved = chance + (((aim - chance) * i64::from(reciprocals[times as usize])) >> 16);
    *entry = (moved as u32) << 10 | (times + 1).min(MAP_LIMIT);
}
