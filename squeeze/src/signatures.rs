//! What each function takes and gives back, read from the sections before the code.
//!
//! The layout is that of the WebAssembly core specification, "Binary Format"
//! (sections 5.5.4 to 5.5.6). Bytes that are no module give signatures without sense,
//! which makes the guesses worse and does no other harm.

use alloc::vec::Vec;

const SECTION_TYPE: u8 = 1;
const SECTION_IMPORT: u8 = 2;
const SECTION_FUNCTION: u8 = 3;
/// The most parameters and results that are read of a type.
const VALUES_MOST: u32 = 255;

/// What a function takes and gives back.
#[derive(Clone, Copy, Default)]
pub struct Signature {
    /// Where its parameters begin among all, and how many there are.
    pub params: (usize, u8),
    /// The type of its first result; 0 for none.
    pub result: u8,
}

/// The signatures of all types and functions.
#[derive(Default)]
pub struct Signatures {
    types: Vec<Signature>,
    /// The types of all parameters of all types.
    params: Vec<u8>,
    /// The type of each function, imports first.
    functions: Vec<u32>,
    is_read: bool,
}

impl Signatures {
    /// Reads a module up to its code, the first time only: damaged bytes may look like
    /// many modules.
    pub fn read(&mut self, bytes: &[u8]) {
        if self.is_read {
            return;
        }
        self.is_read = true;
        let mut rest = Bytes { bytes, at: 8 };
        while rest.at < bytes.len() {
            let section = rest.byte();
            let length = rest.number();
            let end = rest.at.saturating_add(length as usize);
            let mut left = rest.number();
            while left > 0 && rest.at < end.min(bytes.len()) {
                left -= 1;
                match section {
                    SECTION_TYPE => self.read_type(&mut rest),
                    SECTION_IMPORT => {
                        rest.skip_name();
                        rest.skip_name();
                        rest.byte();
                        self.functions.push(rest.number());
                    }
                    SECTION_FUNCTION => self.functions.push(rest.number()),
                    _ => left = 0,
                }
            }
            rest.at = end;
        }
    }

    fn read_type(&mut self, rest: &mut Bytes<'_>) {
        rest.byte();
        let first = self.params.len();
        let params = rest.number().min(VALUES_MOST);
        for _ in 0..params {
            self.params.push(rest.byte());
        }
        let results = rest.number().min(VALUES_MOST);
        let result = if results > 0 { rest.byte() } else { 0 };
        for _ in 1..results {
            rest.byte();
        }
        self.types.push(Signature { params: (first, params as u8), result });
    }

    /// How many functions are imports, given how many are not.
    pub fn imports(&self, defined: u32) -> usize {
        self.functions.len().saturating_sub(defined as usize)
    }

    /// The signature of a type.
    pub fn of_type(&self, number: usize) -> Signature {
        self.types.get(number).copied().unwrap_or_default()
    }

    /// The signature of a function.
    pub fn of_function(&self, number: usize) -> Signature {
        let kind = self.functions.get(number).map_or(usize::MAX, |kind| *kind as usize);
        self.of_type(kind)
    }

    /// The type of one parameter, by its place among all.
    pub fn param(&self, place: usize) -> u8 {
        self.params.get(place).copied().unwrap_or(0)
    }
}

/// Bytes and how far they are read; beyond the end there are zeros.
struct Bytes<'a> {
    bytes: &'a [u8],
    at: usize,
}

impl Bytes<'_> {
    fn byte(&mut self) -> u8 {
        let byte = self.bytes.get(self.at).copied().unwrap_or(0);
        self.at = self.at.saturating_add(1);
        byte
    }

    fn number(&mut self) -> u32 {
        let mut number = 0;
        for place in 0..5 {
            let byte = self.byte();
            number |= u32::from(byte & 127) << (7 * place);
            if byte & 128 == 0 {
                break;
            }
        }
        number
    }

    fn skip_name(&mut self) {
        let length = self.number();
        self.at = self.at.saturating_add(length as usize);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Types (i32, i64) -> f64 and () -> (); two imports, of a function of the second
    /// type each; a function of the first type. After the specification's sections
    /// 5.5.4 to 5.5.6.
    #[rustfmt::skip]
    const SECTIONS: &[u8] = &[
        0x00, 0x61, 0x73, 0x6d, 0x01, 0x00, 0x00, 0x00,
        1, 10, 2, 0x60, 2, 0x7f, 0x7e, 1, 0x7c, 0x60, 0, 0,
        2, 14, 2, 1, b'm', 1, b'a', 0, 1, 2, b'm', b'm', 1, b'b', 0, 1,
        3, 2, 1, 0,
    ];

    #[test]
    fn functions_are_known_by_their_types() {
        let mut signatures = Signatures::default();
        signatures.read(SECTIONS);
        assert_eq!(signatures.imports(1), 2);
        for import in 0..2 {
            let signature = signatures.of_function(import);
            assert_eq!((signature.params.1, signature.result), (0, 0));
        }
        let own = signatures.of_function(2);
        assert_eq!((own.params.1, own.result), (2, 0x7c));
        assert_eq!([0, 1].map(|place| signatures.param(own.params.0 + place)), [0x7f, 0x7e]);
        assert_eq!(signatures.of_function(3).params.1, 0);
    }

    #[test]
    fn only_the_first_module_is_read() {
        let mut signatures = Signatures::default();
        signatures.read(SECTIONS);
        signatures.read(&SECTIONS.repeat(3));
        assert_eq!((signatures.types.len(), signatures.functions.len()), (2, 3));
    }

    #[test]
    fn damaged_sections_are_read_to_their_end_and_no_further() {
        for place in 8..SECTIONS.len() {
            for byte in [0, 1, 2, 127, 128, 255] {
                let mut damaged = SECTIONS.to_vec();
                damaged[place] = byte;
                let mut signatures = Signatures::default();
                signatures.read(&damaged);
                let most = 2 * VALUES_MOST as usize;
                assert!(signatures.functions.len() <= damaged.len());
                assert!(signatures.params.len() <= damaged.len() + most);
            }
        }
    }
}
