//! What the guesses look back at: hashes of the bytes and instructions before.

use alloc::vec::Vec;

use crate::walk::{Field, Walk, stir};

/// How many contexts there are.
pub const CONTEXTS: usize = 9;

/// All bytes so far, and what they mean.
pub struct Past {
    /// All bytes so far.
    pub bytes: Vec<u8>,
    walk: Walk,
    /// The last eight bytes, the latest lowest.
    recent: u64,
    /// Hashes of the word being written and of those before it.
    words: [u32; 3],
}

impl Past {
    /// Nothing yet.
    pub fn new() -> Self {
        Self { bytes: Vec::new(), walk: Walk::new(), recent: 0, words: [0; 3] }
    }

    /// Takes another byte in.
    pub fn push(&mut self, byte: u8) {
        self.bytes.push(byte);
        self.walk.push(byte);
        self.recent = self.recent << 8 | u64::from(byte);
        if byte.is_ascii_alphanumeric() || byte >= 128 {
            self.words[0] = stir(self.words[0], u32::from(byte.to_ascii_lowercase()));
        } else if self.words[0] != 0 {
            self.words = [0, self.words[0], self.words[1]];
        }
    }

    /// A small number (below eight times the fields) for what is due.
    #[inline]
    pub fn step(&self) -> usize {
        let inside = self.walk.inside();
        let inside = match self.walk.field() {
            Field::Other => u32::from(self.walk.section()) & 7,
            Field::Data => u32::from(self.words[0] != 0),
            _ => inside.min(7),
        };
        self.walk.field() as usize * 8 + inside as usize
    }
}

/// One hash for each context.
pub fn hashes(past: &Past, expected: Option<u8>) -> [u32; CONTEXTS] {
    let walk = &past.walk;
    let step = past.step() as u32;
    let last = |bytes: u32| (past.recent & ((1 << (8 * bytes)) - 1)) as u32;
    let low = past.recent as u32;
    let high = (past.recent >> 32) as u32;
    let expected = expected.map_or(0, |byte| u32::from(byte) + 1);
    let [first, second, third, fourth, fifth] = if walk.in_code() {
        let part = stir(walk.part, step);
        let codes = walk.codes;
        let own = walk.values[walk.field() as usize] & 0xff;
        [
            stir(part, codes as u32 & 0xffff),
            stir(part, codes as u32 & 0xff_ffff),
            stir(part, codes as u32),
            stir(stir(part, codes as u32), (codes >> 32) as u32 & 0xffff),
            stir(stir(part, own), codes as u32 & 0xff00),
        ]
    } else {
        [
            stir(past.words[0], last(1)),
            stir(low & 0xe0e0_e0e0, high & 0xe0e0_e0e0),
            low & 0xffff_0000,
            stir(stir(past.words[0], past.words[1]), last(1)),
            last(3),
        ]
    };
    let mut hashes = [
        stir(step, 0),
        stir(step, last(2)),
        low,
        stir(expected, stir(step, last(1))),
        first,
        second,
        third,
        fourth,
        fifth,
    ];
    for (context, hash) in hashes.iter_mut().enumerate() {
        *hash = stir(*hash, context as u32 + 1);
    }
    hashes
}
