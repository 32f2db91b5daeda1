//! Guesses the next bit of a module from everything before it.
//!
//! Each context (the last few bytes, the last few instructions, …) keeps a history of
//! the bits that followed it; what a history is worth is learnt by a map for each
//! context; a mixer weighs the opinions, with weights chosen by what kind of byte is
//! due; a last stage corrects what the mixer gets wrong time and again, by what is due
//! and by the last byte with the match. This is context mixing, which is common
//! practice in packing; what is our own is the choice of contexts, which know
//! WebAssembly.
//!
//! Everything is whole numbers, so packer and unpacker agree on every machine.

use alloc::{boxed::Box, vec, vec::Vec};

use crate::{
    contexts::{self, CONTEXTS, GROUPS, Past},
    history::{Follow, follow_table},
    matching::Matches,
    mixer::{Mixer, Refiner},
    numbers::stretch_table,
    walk::FIELDS,
};

/// Sixteen-byte buckets for all contexts together: 2^21 of them are 32 MB.
const BUCKETS: usize = 1 << 21;
/// Opinions: one for each context, one for each of the matches, and a constant.
pub const INPUTS: usize = CONTEXTS + MATCHES + 1;
/// How many kinds of matches are looked for.
const MATCHES: usize = 1;
/// How many sets of weights are at work at once.
pub const SETS: usize = 4;
/// The steepest that a map of histories still learns: 1/n.
const MAP_LIMIT: u32 = 1023;
/// A probability of one half in a map, in the upper 22 bits.
const HALF: u32 = 1 << 31;

/// One bucket: a check and the histories of the fifteen nodes of four bits.
type Bucket = [u8; 16];

/// The guess of the next bit, and all that it is made of.
pub struct Model {
    stretch: Box<[i16; 4096]>,
    follow: Box<Follow>,
    /// 4096 / (n + 1.5): how far a map's entry moves at its n-th correction.
    shares: [i32; MAP_LIMIT as usize + 1],
    buckets: Box<[Bucket; BUCKETS]>,
    /// Where each context's bucket is.
    places: [usize; CONTEXTS],
    hashes: [u32; CONTEXTS],
    /// For each group of fields and each context, the probability of a one after each history (22 bits) and
    /// how often it was corrected (10 bits).
    maps: Box<[[[u32; 256]; CONTEXTS]; GROUPS]>,
    /// The group of the field that is due.
    group: usize,
    past: Past,
    matches: [Matches; MATCHES],
    mixer: Mixer,
    refiners: [Refiner; 2],
    /// The bits of the byte so far, after a leading one.
    bits: usize,
    /// The bits of the half byte so far, after a leading one.
    node: usize,
}

impl Model {
    /// A model that has seen nothing.
    pub fn new() -> Self {
        let mut model = Self {
            stretch: Box::new(stretch_table()),
            follow: Box::new(follow_table()),
            shares: core::array::from_fn(|n| 8192 / (2 * n as i32 + 3)),
            buckets: filled([0; 16]),
            places: [0; CONTEXTS],
            hashes: [0; CONTEXTS],
            maps: filled([[HALF; 256]; CONTEXTS]),
            group: 0,
            past: Past::new(),
            matches: [Matches::new(6)],
            mixer: Mixer::new([FIELDS * 8, 256 * 3, 2048, 512]),
            refiners: [Refiner::new(), Refiner::new()],
            bits: 1,
            node: 1,
        };
        model.start_byte();
        model
    }

    /// The probability that the next bit is a one, in 1/65536, never 0 or 1.
    #[inline(never)]
    pub fn guess(&mut self) -> u32 {
        let node = self.node & 15;
        let mut known = 0;
        for context in 0..CONTEXTS {
            let history = self.buckets[self.places[context] & (BUCKETS - 1)][node];
            let chance = self.maps[self.group][context][usize::from(history)] >> 20;
            self.mixer.inputs[context] = i32::from(self.stretch[chance as usize]);
            known += usize::from(history != 0);
        }
        let mut best = 0;
        for (which, matches) in self.matches.iter().enumerate() {
            let (chance, strength) = matches.guess(self.bits);
            self.mixer.inputs[CONTEXTS + which] = i32::from(self.stretch[chance & 4095]);
            best = best.max(strength);
        }
        self.mixer.inputs[INPUTS - 1] = 256;

        let step = self.past.step();
        let expected = self.matches[0].expected_bit(self.bits);
        let depth = self.bits.ilog2() as usize;
        let mixed = self.mixer.mix([
            step,
            self.bits * 3 + expected,
            (best * 32 + known) * 8 + depth,
            self.past.latest(),
        ]);
        let near = self.refiners[0].refine(mixed, step << 8 | self.bits);
        let far = self.refiners[1].refine(
            mixed,
            (self.hashes[2].wrapping_mul(0x9e37_79b1) >> 16) as usize ^ (self.bits * 0x101),
        );
        let chance = (near + far) >> 1;
        chance.clamp(4, 65_532) as u32
    }

    /// Learns what the bit was, and goes on to the next.
    #[inline(never)]
    pub fn learn(&mut self, bit: usize) {
        let node = self.node & 15;
        for context in 0..CONTEXTS {
            let history = &mut self.buckets[self.places[context] & (BUCKETS - 1)][node];
            let entry = &mut self.maps[self.group][context][usize::from(*history)];
            *entry = corrected(*entry, bit, &self.shares);
            *history = self.follow[usize::from(*history)][bit & 1];
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
            self.past.push(self.bits as u8);
            for matches in &mut self.matches {
                matches.push(&self.past.bytes);
            }
            self.start_byte();
        } else if self.node >= 16 {
            self.node = 1;
            self.find_buckets((self.bits as u32).wrapping_mul(0x9e37_79b1));
        }
    }

    /// Everything so far.
    pub fn into_bytes(self) -> Vec<u8> {
        self.past.bytes
    }

    fn start_byte(&mut self) {
        self.group = self.past.group();
        self.bits = 1;
        self.node = 1;
        let expected = self.matches[0].expected_byte();
        self.hashes = contexts::hashes(&self.past, expected);
        self.find_buckets(0);
    }

    /// Finds each context's bucket for the half byte that follows.
    fn find_buckets(&mut self, half: u32) {
        // All are touched before any is looked into: memory is slow to answer, but
        // answers several questions at once.
        let hashes = self.hashes.map(|hash| {
            let hash = hash.wrapping_add(half).wrapping_mul(0x2c1b_3c6d);
            hash ^ hash >> 13
        });
        let checks = hashes.map(|hash| self.buckets[hash as usize & (BUCKETS - 1)][0]);
        for context in 0..CONTEXTS {
            let start = hashes[context] as usize & (BUCKETS - 1);
            let check = ((hashes[context] >> 24) as u8).max(1);
            self.places[context] =
                if checks[context] == check { start } else { self.search(start, check) };
        }
    }

    /// A bucket that isn't at its first place: beside it, or the poorest taken over.
    fn search(&mut self, start: usize, check: u8) -> usize {
        let mut poorest = start;
        for probe in 0..3 {
            let at = (start ^ probe) & (BUCKETS - 1);
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

/// A table on the heap, never on the stack.
fn filled<T: Clone, const N: usize>(value: T) -> Box<[T; N]> {
    let table = vec![value; N].into_boxed_slice();
    match table.try_into() {
        Ok(table) => table,
        Err(_) => unreachable!("the table has the length that it was made with"),
    }
}

/// A map's entry moved towards the bit that came.
#[inline]
fn corrected(entry: u32, bit: usize, shares: &[i32; MAP_LIMIT as usize + 1]) -> u32 {
    let times = entry & MAP_LIMIT;
    let chance = (entry >> 10) as i32;
    let aim = if bit == 1 { (1 << 22) - 1 } else { 0 };
    let moved = chance + ((((aim - chance) >> 3) * shares[times as usize]) >> 9);
    (moved as u32) << 10 | (times + 1).min(MAP_LIMIT)
}
