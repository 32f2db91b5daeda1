//! Follows a WebAssembly module byte by byte, to know what the next byte is.
//!
//! The layout is that of the WebAssembly core specification, "Binary Format"
//! (sections 5.1 to 5.5). Nothing depends on the walk being right: on other data, or
//! on instructions that it does not know, the guesses are merely worse.

/// What the next byte belongs to. The numbers select tables in [`crate::model`].
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
#[repr(u8)]
pub enum Field {
    /// The module's first eight bytes.
    Header,
    /// The id of a section.
    Section,
    /// A length or a count (LEB128).
    Count,
    /// Contents of a section that is not walked.
    Other,
    /// Contents of the data section: text, mostly.
    Data,
    /// A function's number of groups of locals.
    Groups,
    /// How many locals a group has.
    GroupLength,
    /// The type of a group of locals.
    GroupType,
    /// An instruction's code.
    Code,
    /// The second code after a prefix.
    SubCode,
    /// The type of a block.
    BlockType,
    /// How many blocks out a branch goes.
    Label,
    /// How many labels a table of branches has.
    Labels,
    /// A function.
    Function,
    /// A type, a table or a memory.
    Index,
    /// A local.
    Local,
    /// A global.
    Global,
    /// The alignment of a memory access.
    Align,
    /// The offset of a memory access.
    Offset,
    /// A whole constant of 32 bits.
    Int,
    /// A whole constant of 64 bits.
    Long,
    /// A fixed number of bytes: a constant with a point.
    Float,
}

/// How many fields there are.
pub const FIELDS: usize = Field::Float as usize + 1;

const SECTION_CODE: u8 = 10;
const SECTION_DATA: u8 = 11;
/// The most immediates that one instruction has here, tables of branches aside.
const MOST_WAITING: usize = 2;

/// Where in a module the next byte lies.
pub struct Walk {
    field: Field,
    /// How many bytes of the field have gone by.
    inside: u32,
    /// The LEB128 value so far, or the bytes still to come of a fixed field.
    value: u32,
    section: u8,
    /// Bytes to the end of the section.
    section_left: u32,
    /// Bytes to the end of the function, while inside one.
    body_left: u32,
    in_body: bool,
    groups_left: u32,
    labels_left: u32,
    waiting: [Field; MOST_WAITING],
    waiting_count: usize,
    /// The last eight instruction codes, the latest lowest.
    pub codes: u64,
    /// Hashes of the last whole instructions, the latest first.
    pub tokens: [u32; 2],
    /// The first number that follows the instruction's code.
    operand: Option<u32>,
    /// The last number.
    number: u32,
    event: Event,
    /// Hash of the instruction so far.
    pub part: u32,
    /// The last values of each field, the latest lowest, eight bits each.
    pub values: [u32; FIELDS],
}

/// What a byte has brought to its end.
#[derive(Clone, Copy)]
pub enum Event {
    /// Nothing of note.
    Nothing,
    /// The number of the functions that follow.
    Functions(u32),
    /// A function's length: its body follows.
    Body,
    /// A group of locals: how many, and of which type.
    Locals(u32, u8),
    /// An instruction: its code, the first number that follows, a hash of it all.
    Instruction(u8, u32, u32),
}

/// Stirs two numbers into one.
#[inline]
pub fn stir(a: u32, b: u32) -> u32 {
    let mixed = (a ^ b.wrapping_mul(0x9e37_79b1)).wrapping_mul(0x85eb_ca6b);
    mixed ^ (mixed >> 15)
}

impl Walk {
    /// A walk at a module's first byte.
    pub fn new() -> Self {
        Self {
            field: Field::Header,
            inside: 0,
            value: 8,
            section: 0,
            section_left: 0,
            body_left: 0,
            in_body: false,
            groups_left: 0,
            labels_left: 0,
            waiting: [Field::Code; MOST_WAITING],
            waiting_count: 0,
            codes: 0,
            tokens: [0; 2],
            operand: None,
            number: 0,
            event: Event::Nothing,
            part: 0,
            values: [0; FIELDS],
        }
    }

    /// What the next byte belongs to.
    pub fn field(&self) -> Field {
        self.field
    }

    /// How many bytes of the field have gone by.
    pub fn inside(&self) -> u32 {
        self.inside
    }

    /// The id of the section.
    pub fn section(&self) -> u8 {
        self.section
    }

    /// Whether the next byte is part of a function.
    pub fn in_code(&self) -> bool {
        self.in_body
    }

    /// Goes one byte on.
    pub fn push(&mut self, byte: u8) -> Event {
        self.event = Event::Nothing;
        let in_section = !matches!(self.field, Field::Header | Field::Section)
            && (self.field != Field::Count || self.section_left > 0);
        if in_section {
            self.section_left = self.section_left.saturating_sub(1);
        }
        if self.in_body {
            self.body_left = self.body_left.saturating_sub(1);
            self.part = stir(self.part, u32::from(byte) + 1);
        }
        self.take(byte);
        if in_section && self.section_left == 0 {
            self.in_body = false;
            self.start(Field::Section);
        } else if self.in_body && self.body_left == 0 {
            self.in_body = false;
            self.start(Field::Count);
        }
        self.event
    }

    fn start(&mut self, field: Field) {
        self.field = field;
        self.inside = 0;
        self.value = 0;
    }

    fn take(&mut self, byte: u8) {
        match self.field {
            Field::Header => {
                self.value -= 1;
                if self.value == 0 {
                    self.start(Field::Section);
                } else {
                    self.inside += 1;
                }
            }
            Field::Section => {
                self.section = byte;
                self.section_left = 0;
                self.start(Field::Count);
            }
            Field::Other | Field::Data => self.inside += 1,
            Field::GroupType => {
                self.groups_left = self.groups_left.saturating_sub(1);
                self.event = Event::Locals(self.number, byte);
                self.start(if self.groups_left > 0 { Field::GroupLength } else { Field::Code });
                self.part = 0;
            }
            Field::Code => self.take_code(byte),
            Field::Float => {
                self.inside += 1;
                self.value -= 1;
                if self.value == 0 {
                    self.next_field();
                }
            }
            _ => self.take_number(byte),
        }
    }

    /// One byte of a LEB128 number.
    fn take_number(&mut self, byte: u8) {
        if self.inside < 5 {
            self.value |= u32::from(byte & 127) << (7 * self.inside);
        }
        self.inside += 1;
        if byte & 128 != 0 && self.inside < 10 {
            return;
        }
        let value = self.value;
        self.number = value;
        self.operand.get_or_insert(value);
        let kept = &mut self.values[self.field as usize];
        *kept = *kept << 8 | (value & 255);
        match self.field {
            Field::Count if self.section_left == 0 => {
                self.section_left = value;
                self.start(match self.section {
                    SECTION_CODE => Field::Count,
                    SECTION_DATA => Field::Data,
                    _ => Field::Other,
                });
                // The number of functions looks like a function of its length: skip it.
                self.groups_left = u32::from(self.section == SECTION_CODE);
                if value == 0 {
                    self.start(Field::Section);
                }
            }
            Field::Count if self.groups_left > 0 => {
                self.groups_left = 0;
                self.event = Event::Functions(value);
                self.start(Field::Count);
            }
            Field::Count => {
                self.body_left = value;
                self.in_body = value > 0;
                self.event = Event::Body;
                self.codes = 0;
                self.tokens = [0; 2];
                self.part = 0;
                self.start(if value > 0 { Field::Groups } else { Field::Count });
            }
            Field::Groups => {
                self.groups_left = value;
                self.part = 0;
                self.start(if value > 0 { Field::GroupLength } else { Field::Code });
            }
            Field::GroupLength => self.start(Field::GroupType),
            Field::SubCode => {
                let fields: &[Field] = match value {
                    8 | 10 | 12 | 14 => &[Field::Index, Field::Index],
                    9 | 11 | 13 | 15..=17 => &[Field::Index],
                    _ => &[],
                };
                self.expect(fields);
            }
            Field::Labels => {
                self.labels_left = value.saturating_add(1);
                self.next_field();
            }
            Field::Label => {
                self.labels_left = self.labels_left.saturating_sub(1);
                self.next_field();
            }
            _ => self.next_field(),
        }
    }

    fn take_code(&mut self, code: u8) {
        self.codes = self.codes << 8 | u64::from(code);
        self.operand = None;
        let fields: &[Field] = match code {
            0x02..=0x04 => &[Field::BlockType],
            0x0c | 0x0d => &[Field::Label],
            0x0e => &[Field::Labels],
            0x10 | 0x12 | 0xd2 => &[Field::Function],
            0x11 | 0x13 => &[Field::Index, Field::Index],
            0x20..=0x22 => &[Field::Local],
            0x23 | 0x24 => &[Field::Global],
            0x25 | 0x26 | 0x3f | 0x40 | 0xd0 => &[Field::Index],
            0x28..=0x3e => &[Field::Align, Field::Offset],
            0x41 => &[Field::Int],
            0x42 => &[Field::Long],
            0x43 | 0x44 => &[Field::Float],
            0xfc => &[Field::SubCode],
            _ => &[],
        };
        self.expect(fields);
        if self.field == Field::Float {
            self.value = if code == 0x43 { 4 } else { 8 };
        }
    }

    /// Waits for these fields, then for an instruction.
    fn expect(&mut self, fields: &[Field]) {
        self.waiting_count = 0;
        for field in fields.iter().rev() {
            self.waiting[self.waiting_count] = *field;
            self.waiting_count += 1;
        }
        self.next_field();
    }

    fn next_field(&mut self) {
        if self.labels_left > 0 {
            self.start(Field::Label);
        } else if self.waiting_count > 0 {
            self.waiting_count -= 1;
            self.start(self.waiting[self.waiting_count]);
        } else {
            self.end_instruction();
            self.start(Field::Code);
        }
    }

    fn end_instruction(&mut self) {
        let code = self.codes as u8;
        self.event = Event::Instruction(code, self.operand.unwrap_or(0), self.part);
        self.tokens = [self.part, self.tokens[0]];
        self.part = 0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The fields of a module's bytes.
    fn fields(bytes: &[u8]) -> Vec<Field> {
        let mut walk = Walk::new();
        let mut fields = vec![];
        for byte in bytes {
            fields.push(walk.field());
            walk.push(*byte);
        }
        fields
    }

    #[test]
    fn a_function_is_read_as_the_specification_says() {
        // Source: WebAssembly core specification, "Binary Format" (sections 5.3 to 5.5).
        use Field::{
            Align, Code, Count, Float, Function, GroupLength, GroupType, Groups, Header, Int,
            Label, Labels, Local, Offset, Section,
        };
        let mut bytes = b"\0asm\x01\0\0\0".to_vec();
        let code = [1, 2, 0x7f, 0x20, 0x81, 1, 0x28, 2, 4, 0x0e, 1, 0, 0, 0x41, 5, 0x10, 3];
        let rest = [0x43, 0, 0, 0, 0, 0x1a, 0x0b];
        let body = code.len() as u8 + rest.len() as u8;
        bytes.extend([10, body + 2, 1, body]);
        bytes.extend(code);
        bytes.extend(rest);
        bytes.extend([11, 1, 0]);
        let mut expected = vec![Header; 8];
        expected.extend([Section, Count, Count, Count, Groups, GroupLength, GroupType]);
        expected.extend([Code, Local, Local, Code, Align, Offset]);
        expected.extend([Code, Labels, Label, Label, Code, Int, Code, Function]);
        expected.extend([Code, Float, Float, Float, Float, Code, Code]);
        expected.extend([Section, Count, Field::Data]);
        assert_eq!(fields(&bytes), expected);
    }

    #[test]
    fn damaged_lengths_do_no_harm() {
        for byte in 0..=255 {
            let mut bytes = b"\0asm\x01\0\0\0\x0a".to_vec();
            bytes.extend([byte; 300]);
            assert_eq!(fields(&bytes).len(), bytes.len());
        }
    }
}
