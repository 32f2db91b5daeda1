//! Turns bits with their probabilities into as few bytes as they are worth, and back.
//!
//! An arithmetic coder without carries over a range of 32 bits (common practice).

use alloc::vec::Vec;

/// The bytes that a code ends with, and so the zeros that may be read beyond it.
const TAIL: usize = 4;

/// Where in the range a bit's border lies, for the chance (in 1/65536) of a one.
#[inline]
fn border(low: u32, high: u32, chance: u32) -> u32 {
    low + ((u64::from(high - low) * u64::from(chance)) >> 16) as u32
}

/// Writes a code.
pub struct Encoder {
    low: u32,
    high: u32,
    bytes: Vec<u8>,
}

impl Encoder {
    /// Writes behind `bytes`.
    pub fn new(bytes: Vec<u8>) -> Self {
        Self { low: 0, high: u32::MAX, bytes }
    }

    /// Adds a bit, given the chance (in 1/65536, neither 0 nor 1) of a one.
    pub fn put(&mut self, bit: usize, chance: u32) {
        let border = border(self.low, self.high, chance);
        if bit == 1 {
            self.high = border;
        } else {
            self.low = border + 1;
        }
        while (self.low ^ self.high) >> 24 == 0 {
            self.bytes.push((self.high >> 24) as u8);
            self.low <<= 8;
            self.high = self.high << 8 | 255;
        }
    }

    /// Everything written, with the end of the code.
    pub fn finish(mut self) -> Vec<u8> {
        self.bytes.extend_from_slice(&self.high.to_be_bytes()[..TAIL]);
        self.bytes
    }
}

/// Reads a code.
pub struct Decoder<'a> {
    low: u32,
    high: u32,
    value: u32,
    code: &'a [u8],
    read: usize,
}

impl<'a> Decoder<'a> {
    /// Reads from the start of `code`.
    pub fn new(code: &'a [u8]) -> Self {
        let mut decoder = Self { low: 0, high: u32::MAX, value: 0, code, read: 0 };
        for _ in 0..TAIL {
            decoder.take();
        }
        decoder
    }

    #[inline]
    fn take(&mut self) {
        let byte = self.code.get(self.read).copied().unwrap_or(0);
        self.read += 1;
        self.value = self.value << 8 | u32::from(byte);
    }

    /// The next bit, given the chance (in 1/65536, neither 0 nor 1) of a one.
    #[inline]
    pub fn get(&mut self, chance: u32) -> usize {
        let border = border(self.low, self.high, chance);
        let bit = usize::from(self.value <= border);
        if bit == 1 {
            self.high = border;
        } else {
            self.low = border + 1;
        }
        while (self.low ^ self.high) >> 24 == 0 {
            self.take();
            self.low <<= 8;
            self.high = self.high << 8 | 255;
        }
        bit
    }

    /// Whether more was read than there is.
    pub fn is_beyond(&self) -> bool {
        self.read > self.code.len()
    }

    /// Whether all was read, no more, and it ends as [`Encoder::finish`] ends it.
    pub fn is_spent(&self) -> bool {
        self.read == self.code.len() && self.value == self.high
    }
}
