//! What the guesses look back at: hashes of the bytes and instructions before.

use alloc::vec::Vec;

use crate::{
    stack::Stack,
    walk::{Field, Walk, stir},
};

/// How many contexts there are.
pub const CONTEXTS: usize = 16;

/// How many groups of fields there are; see [`Past::group`].
pub const GROUPS: usize = 7;

/// All bytes so far, and what they mean.
pub struct Past {
    /// All bytes so far.
    pub bytes: Vec<u8>,
    walk: Walk,
    stack: Stack,
    /// The last eight bytes, the latest lowest.
    recent: u64,
    /// Hashes of the word being written and of those before it.
    words: [u32; 3],
}

impl Past {
    /// Nothing yet.
    pub fn new() -> Self {
        let (walk, stack) = (Walk::new(), Stack::new());
        Self { bytes: Vec::new(), walk, stack, recent: 0, words: [0; 3] }
    }

    /// Takes another byte in.
    pub fn push(&mut self, byte: u8) {
        self.bytes.push(byte);
        let event = self.walk.push(byte);
        self.stack.take(event, &self.bytes);
        self.recent = self.recent << 8 | u64::from(byte);
        if byte.is_ascii_alphanumeric() || byte >= 128 {
            self.words[0] = stir(self.words[0], u32::from(byte.to_ascii_lowercase()));
        } else if self.words[0] != 0 {
            self.words = [0, self.words[0], self.words[1]];
        }
    }

    /// Which fields share what is learnt of histories: a number below [`GROUPS`].
    pub fn group(&self) -> usize {
        match self.walk.field() {
            Field::Code => 1,
            Field::Local => 2,
            Field::Offset | Field::Align => 3,
            Field::Int | Field::Long => 4,
            Field::Function => 5,
            Field::Data => 6,
            _ => 0,
        }
    }

    /// The last instruction's code, or the last byte where there are none: below 512.
    #[inline]
    pub fn latest(&self) -> usize {
        if self.walk.in_code() {
            256 | (self.walk.codes & 255) as usize
        } else {
            (self.recent & 255) as usize
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
    let mut hashes: [u32; CONTEXTS] = if walk.in_code() {
        let part = stir(walk.part, step);
        let codes = walk.codes;
        let stack = &past.stack;
        // What a store is given lies above the place where it goes.
        let store = matches!(walk.field(), Field::Align | Field::Offset)
            && matches!(codes as u8, 0x36..=0x3e);
        let base = stack.top(usize::from(store));
        let other = stack.top(usize::from(!store));
        let function = stack.function as u32;
        let locals = walk.values[Field::Local as usize];
        let shaped = stir(stir(part, stack.shape()), base.origin);
        let sixth = if walk.field() == Field::Code {
            stir(shaped, codes as u32 & 0xff)
        } else {
            let own = walk.values[walk.field() as usize] & 0xff;
            stir(stir(part, own), codes as u32 & 0xff00)
        };
        [
            stir(step, 0),
            stir(step, last(2)),
            stir(expected, stir(step, last(1))),
            stir(part, codes as u32 & 0xff_ffff),
            stir(stir(part, codes as u32), (codes >> 32) as u32 & 0xffff),
            sixth,
            stir(part, function),
            stir(stir(part, stack.shape()), codes as u32 & 0xff),
            stir(stir(part, stack.now_codes), stack.before_codes),
            stir(part, base.tree),
            stir(stir(part, base.token), function),
            stir(stir(part, base.origin), other.origin),
            stir(stir(part, stack.newest), stack.last_set),
            stir(stir(part, walk.tokens[1]), walk.tokens[0]),
            stir(part, locals & 0xffff),
            shaped,
        ]
    } else {
        let [word, before, long_before] = past.words;
        [
            stir(step, 0),
            stir(step, last(2)),
            stir(expected, stir(step, last(1))),
            low,
            last(3),
            stir(low, high & 0xffff),
            low & 0xffff_0000,
            low & 0xff_ff00,
            stir(step, low & 0xff00),
            stir(low >> 24, high >> 24),
            stir(low & 0xe0e0_e0e0, high & 0xe0e0_e0e0),
            stir(step, past.bytes.len() as u32 & 3 | (low >> 24) << 8),
            word,
            stir(word, last(1)),
            stir(word, long_before),
            stir(stir(word, before), last(1)),
        ]
    };
    for (context, hash) in hashes.iter_mut().enumerate() {
        *hash = stir(*hash, context as u32 + 1);
    }
    hashes
}
