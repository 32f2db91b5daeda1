//! Looks for the last place where the same bytes went before, and expects the same
//! byte to follow.

use alloc::{vec, vec::Vec};

use crate::walk::stir;

/// Places are looked up by a hash of this many bits.
const PLACE_BITS: u32 = 17;
/// The longest match that is told apart.
const LENGTH_MOST: usize = 31;
/// What is expected holds with this chance (of 65536) at first.
const FIRST_CHANCE: i32 = 49_152;
/// How fast the chances follow: 1/64.
const RATE: i32 = 6;

/// The matches of one least length.
pub struct Matches {
    least: usize,
    places: Vec<u32>,
    /// Where the expected byte is; 0: nowhere.
    place: usize,
    length: usize,
    expected: usize,
    /// The chance that what is expected comes, for each length.
    chances: [i32; LENGTH_MOST + 1],
}

impl Matches {
    /// Matches of at least `least` bytes.
    pub fn new(least: usize) -> Self {
        Self {
            least,
            places: vec![0; 1 << PLACE_BITS],
            place: 0,
            length: 0,
            expected: 0,
            chances: [FIRST_CHANCE; LENGTH_MOST + 1],
        }
    }

    /// The byte that is expected, if any.
    pub fn expected_byte(&self) -> Option<u8> {
        (self.length > 0).then_some(self.expected as u8)
    }

    /// What is expected of the next bit, after `bits`: 0, 1, or 2 for nothing.
    #[inline]
    pub fn expected_bit(&self, bits: usize) -> usize {
        let depth = bits.ilog2();
        let expected = self.expected | 256;
        if self.length > 0 && expected >> (8 - depth) == bits {
            expected >> (7 - depth) & 1
        } else {
            2
        }
    }

    #[inline]
    fn class(&self) -> usize {
        match self.length {
            length @ 0..=15 => length,
            length => (15 + (length - 15) / 4).min(LENGTH_MOST),
        }
    }

    /// What is said of the next bit, after `bits` of the byte: the chance of a one, in
    /// 1/4096, and how long the match is, from 0 (there is none) to 7.
    #[inline]
    pub fn guess(&self, bits: usize) -> (usize, usize) {
        let class = self.class();
        let chance = (self.chances[class] >> 4) as usize;
        match self.expected_bit(bits) {
            0 => (4095 - chance, (class / 4).max(1)),
            1 => (chance, (class / 4).max(1)),
            _ => (2048, 0),
        }
    }

    /// Learns what the bit after `bits` was.
    #[inline]
    pub fn learn(&mut self, bits: usize, bit: usize) {
        let expected = self.expected_bit(bits);
        if expected == 2 {
            return;
        }
        let class = self.class();
        let aim = if expected == bit { 65_535 } else { 0 };
        self.chances[class] += (aim - self.chances[class]) >> RATE;
        if expected != bit {
            self.length = 0;
        }
    }

    /// Goes on after another byte: `bytes` are all so far.
    pub fn push(&mut self, bytes: &[u8]) {
        let end = bytes.len();
        if self.length > 0 {
            self.place += 1;
            self.length += 1;
        }
        if end < self.least {
            return;
        }
        let hash =
            bytes[end - self.least..].iter().fold(0, |hash, byte| stir(hash, u32::from(*byte) + 1));
        let slot = &mut self.places[(hash >> (32 - PLACE_BITS)) as usize];
        if self.length == 0 && *slot > 0 {
            let place = *slot as usize;
            let same = bytes[..place].iter().rev().zip(bytes.iter().rev());
            let length = same.take(400).take_while(|(old, new)| old == new).count();
            if length >= self.least {
                self.place = place;
                self.length = length;
            }
        }
        *slot = end as u32;
        if self.length > 0 {
            self.expected = usize::from(bytes[self.place]);
        }
    }
}
