//! Follows what a function's instructions leave on the value stack.
//!
//! What comes next depends less on the bytes before it than on the values that wait to
//! be used: a load's offset on the local that it starts from, a comparison on the type
//! of what is compared. The effects are those of the WebAssembly core specification
//! ("Validation Algorithm", "Binary Format"); where a function is not understood, the
//! guesses are merely worse.

use crate::{
    signatures::Signatures,
    walk::{Event, stir},
};

/// The values and the blocks that are told apart; deeper ones fall on the same places.
const MOST: usize = 64;
/// The locals that are told apart.
const LOCALS: usize = 256;

const I32: u8 = 0x7f;
const I64: u8 = 0x7e;
const F32: u8 = 0x7d;
const F64: u8 = 0x7c;
/// The type of nothing.
const NONE: u8 = 0;

/// The instructions up to each code take so many values and leave one of this type.
#[rustfmt::skip]
const EFFECTS: [(u8, u8, u8); 49] = [
    (0x03, 0, NONE), (0x04, 1, NONE), (0x0c, 0, NONE), (0x0d, 1, NONE), (0x19, 0, NONE),
    (0x1a, 1, NONE), (0x20, 0, NONE), (0x21, 1, NONE), (0x22, 0, NONE), (0x23, 0, I32),
    (0x24, 1, NONE), (0x27, 0, NONE), (0x28, 1, I32), (0x29, 1, I64), (0x2a, 1, F32),
    (0x2b, 1, F64), (0x2f, 1, I32), (0x35, 1, I64), (0x3e, 2, NONE), (0x3f, 0, I32),
    (0x40, 1, I32), (0x41, 0, I32), (0x42, 0, I64), (0x43, 0, F32), (0x44, 0, F64),
    (0x45, 1, I32), (0x4f, 2, I32), (0x50, 1, I32), (0x66, 2, I32), (0x69, 1, I32),
    (0x78, 2, I32), (0x7b, 1, I64), (0x8a, 2, I64), (0x91, 1, F32), (0x98, 2, F32),
    (0x9f, 1, F64), (0xa6, 2, F64), (0xab, 1, I32), (0xb1, 1, I64), (0xb6, 1, F32),
    (0xbb, 1, F64), (0xbc, 1, I32), (0xbd, 1, I64), (0xbe, 1, F32), (0xbf, 1, F64),
    (0xc1, 1, I32), (0xc4, 1, I64), (0xfb, 0, NONE), (0xff, 3, NONE),
];

/// A value on the stack.
#[derive(Clone, Copy, Default)]
pub struct Value {
    /// Its type.
    pub kind: u8,
    /// The instruction that left it.
    pub token: u32,
    /// That instruction with all that it was made from.
    pub tree: u32,
    /// The instruction that made it, before it went through a local.
    pub origin: u32,
}

/// The stack of the function that is being read.
pub struct Stack {
    signatures: Signatures,
    /// The function's number.
    pub function: usize,
    values: [Value; MOST],
    height: usize,
    /// The height outside each open block, and the type of what the block leaves.
    blocks: [(usize, u8); MOST],
    depth: usize,
    kinds: [u8; LOCALS],
    origins: [u32; LOCALS],
    declared: usize,
    /// The highest local so far.
    pub newest: u32,
    /// The local that was set last.
    pub last_set: u32,
    /// The codes since the stack was last as empty as its block has it.
    pub now_codes: u32,
    /// The same of the stretch before.
    pub before_codes: u32,
}

impl Stack {
    /// Outside any function.
    pub fn new() -> Self {
        Self {
            signatures: Signatures::default(),
            function: 0,
            values: [Value::default(); MOST],
            height: 0,
            blocks: [(0, NONE); MOST],
            depth: 0,
            kinds: [NONE; LOCALS],
            origins: [0; LOCALS],
            declared: 0,
            newest: 0,
            last_set: 0,
            now_codes: 0,
            before_codes: 0,
        }
    }

    /// Takes in what the walk has met; `bytes` are all so far.
    #[inline(never)]
    pub fn take(&mut self, event: Event, bytes: &[u8]) {
        match event {
            Event::Nothing => {}
            Event::Functions(count) => {
                self.signatures.read(bytes);
                self.function = self.signatures.imports(count);
            }
            Event::Body => self.enter(),
            Event::Locals(count, kind) => self.declare(count, kind),
            Event::Instruction(code, operand, token) => {
                self.now_codes = stir(self.now_codes, u32::from(code));
                self.run(code, operand, token);
                if self.height <= self.base() {
                    self.before_codes = self.now_codes;
                    self.now_codes = 0;
                }
            }
        }
    }

    /// The value so far below the topmost.
    #[inline]
    pub fn top(&self, below: usize) -> Value {
        if self.height > below {
            self.values[(self.height - 1 - below) % MOST]
        } else {
            Value::default()
        }
    }

    /// The types of the upper three values, and how many values the block has.
    #[inline]
    pub fn shape(&self) -> u32 {
        let inner = self.height.saturating_sub(self.base()).min(7) as u32;
        let kind = |below| u32::from(self.top(below).kind);
        kind(0) | kind(1) << 8 | kind(2) << 16 | inner << 24
    }

    /// The height outside the open block.
    fn base(&self) -> usize {
        if self.depth > 0 { self.blocks[(self.depth - 1) % MOST].0 } else { 0 }
    }

    fn enter(&mut self) {
        self.height = 0;
        self.depth = 0;
        self.origins = [0; LOCALS];
        self.declared = 0;
        self.last_set = 0;
        let params = self.signatures.of_function(self.function).params;
        self.newest = u32::from(params.1);
        for param in 0..usize::from(params.1) {
            let kind = self.signatures.param(params.0 + param);
            self.origins[param % LOCALS] = 1000 + u32::from(kind);
            self.declare(1, kind);
        }
        self.function += 1;
    }

    fn declare(&mut self, count: u32, kind: u8) {
        for _ in 0..count.min(LOCALS as u32) {
            if let Some(local) = self.kinds.get_mut(self.declared) {
                *local = kind;
                self.declared += 1;
            }
        }
    }

    /// Takes so many values, and leaves one of a type, unless that is nothing.
    fn work(&mut self, takes: usize, kind: u8, token: u32) {
        let mut tree = 0;
        for _ in 0..takes {
            tree = stir(tree, self.top(0).tree);
            self.height = self.height.saturating_sub(1);
        }
        if kind != NONE {
            self.put(Value { kind, token, tree: stir(tree, token), origin: token });
        }
    }

    fn put(&mut self, value: Value) {
        self.values[self.height % MOST] = value;
        self.height += 1;
    }

    /// One whole instruction, and the first number that follows its code.
    fn run(&mut self, code: u8, operand: u32, token: u32) {
        let local = operand as usize % LOCALS;
        let effect = EFFECTS.iter().find(|(last, ..)| code <= *last);
        let (mut takes, mut kind) =
            effect.map_or((0, NONE), |(_, takes, kind)| (usize::from(*takes), *kind));
        match code {
            0x05 => self.height = self.base(),
            0x0b if self.depth > 0 => {
                self.depth -= 1;
                (self.height, kind) = self.blocks[self.depth % MOST];
            }
            0x10 | 0x11 => {
                let signature = if code == 0x10 {
                    self.signatures.of_function(operand as usize)
                } else {
                    self.signatures.of_type(operand as usize)
                };
                takes = usize::from(signature.params.1) + usize::from(code == 0x11);
                kind = signature.result;
            }
            0x1b => (takes, kind) = (3, self.top(1).kind),
            0x20 => {
                self.newest = self.newest.max(operand);
                let (kind, origin) = (self.kinds[local], self.origins[local]);
                self.put(Value { kind, token, tree: stir(0, token), origin });
            }
            0x21 | 0x22 => {
                self.newest = self.newest.max(operand);
                self.origins[local] = self.top(0).origin;
                self.last_set = operand;
                if code == 0x22 && self.height > 0 {
                    self.values[(self.height - 1) % MOST].token = token;
                }
            }
            0xfc if operand < 8 => (takes, kind) = (1, if operand < 4 { I32 } else { I64 }),
            _ => {}
        }
        self.work(takes, kind, token);
        if matches!(code, 0x02..=0x04) {
            let kind = if operand == 0x40 { NONE } else { operand as u8 };
            self.blocks[self.depth % MOST] = (self.height, kind);
            self.depth += 1;
        }
    }
}

#[cfg(test)]
mod tests {
    use alloc::vec::Vec;

    use super::*;

    /// A module up to its code: one function, (i32, i64) -> f64.
    const SECTIONS: &[u8] =
        &[0x00, 0x61, 0x73, 0x6d, 1, 0, 0, 0, 1, 7, 1, 0x60, 2, I32, I64, 1, F64, 3, 2, 1, 0];

    fn entered() -> Stack {
        let mut stack = Stack::new();
        stack.take(Event::Functions(1), SECTIONS);
        stack.take(Event::Body, SECTIONS);
        stack.take(Event::Locals(2, F32), SECTIONS);
        stack
    }

    /// The types on the stack after these instructions, the topmost first.
    fn kinds_after(instructions: &[(u8, u32)]) -> Vec<u8> {
        let mut stack = entered();
        for (place, (code, operand)) in instructions.iter().enumerate() {
            stack.take(Event::Instruction(*code, *operand, place as u32 + 1), SECTIONS);
        }
        (0..stack.height).map(|below| stack.top(below).kind).collect()
    }

    #[test]
    fn types_are_those_of_the_specification() {
        // Source: WebAssembly core specification, "Instructions" (types) and "Binary
        // Format" (codes).
        let get = |local| (0x20, local);
        assert_eq!(kinds_after(&[get(0), get(1), get(2), get(3)]), [F32, F32, I64, I32]);
        // i32.load, i64.load, f64.const, i32.store, f64.store.
        assert_eq!(kinds_after(&[get(0), (0x28, 2), (0x29, 3)]), [I64]);
        assert_eq!(kinds_after(&[get(0), (0x44, 0), (0x39, 3)]), [0; 0]);
        // i64.eqz, i32.eqz, i32.add; i64.extend_i32_u, i64.mul.
        assert_eq!(kinds_after(&[get(1), (0x50, 0), (0x45, 0), get(0), (0x6a, 0)]), [I32]);
        assert_eq!(kinds_after(&[get(0), (0xad, 0), get(1), (0x7e, 0)]), [I64]);
        // f32.add, f64.promote_f32, f64.sqrt, f64.lt.
        let squares = [get(2), get(3), (0x92, 0), (0xbb, 0), (0x9f, 0), (0x44, 0)];
        assert_eq!(kinds_after(&squares), [F64, F64]);
        assert_eq!(kinds_after(&[&squares[..], &[(0x63, 0)]].concat()), [I32]);
        // select, local.tee, local.set, drop; memory.copy and i64.trunc_sat_f64_s.
        assert_eq!(kinds_after(&[get(1), get(1), get(0), (0x1b, 0), (0x22, 1)]), [I64]);
        assert_eq!(kinds_after(&[get(0), get(0), (0x21, 0), (0x1a, 0)]), [0; 0]);
        assert_eq!(kinds_after(&[(0x41, 1), (0x41, 2), (0x41, 3), (0xfc, 10)]), [0; 0]);
        assert_eq!(kinds_after(&[(0x44, 1), (0xfc, 6)]), [I64]);
        // A call, and one through a table.
        assert_eq!(kinds_after(&[get(0), get(1), (0x10, 0)]), [F64]);
        assert_eq!(kinds_after(&[get(0), get(1), get(0), (0x11, 0)]), [F64]);
    }

    #[test]
    fn blocks_leave_what_they_say() {
        let get = |local| (0x20, local);
        // if (result i64) … else … end; a block without a result.
        let choice = [get(0), (0x04, 0x7e), get(1), (0x05, 0), (0x42, 1), (0x0b, 0)];
        assert_eq!(kinds_after(&choice), [I64]);
        assert_eq!(kinds_after(&[get(0), (0x02, 0x40), get(1), (0x00, 0), (0x0b, 0)]), [I32]);
    }

    #[test]
    fn a_value_is_known_by_what_made_it_through_a_local() {
        let mut stack = entered();
        for (code, operand, token) in [(0x41, 5, 11), (0x21, 0, 12), (0x20, 0, 13)] {
            stack.take(Event::Instruction(code, operand, token), SECTIONS);
        }
        assert_eq!((stack.top(0).token, stack.top(0).origin), (13, 11));
    }

    #[test]
    fn no_instruction_does_harm() {
        let mut stack = entered();
        for round in 0..3_u32 {
            for code in 0..=255 {
                stack.take(Event::Instruction(code, round.wrapping_sub(1), code.into()), SECTIONS);
            }
        }
        for _ in 0..200 {
            stack.take(Event::Instruction(0x0b, 0, 1), SECTIONS);
            stack.take(Event::Instruction(0x1a, 0, 1), SECTIONS);
        }
        assert_eq!(stack.height, 0);
    }
}
