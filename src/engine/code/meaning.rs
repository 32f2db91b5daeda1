//! From the modules of a code to its text.

use super::field::Field;
use super::layout;

/// The signs of the mode for capitals.
const SIGNS: &[u8; 45] = b"0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:";

/// The text of a code; none when too much of it is wrong. `dark` tells of each
/// module whether it is.
pub(super) fn text(version: usize, dark: &dyn Fn(usize, usize) -> bool) -> Option<String> {
    let size = layout::size(version);
    // Both copies are held against all that there are: the nearest is right.
    let mut found = (u32::MAX, 0, 0);
    for level in 0..4 {
        for mask in 0..8 {
            let format = layout::format(level, mask);
            let mut off = 0;
            for bit in 0..15 {
                for (x, y) in layout::format_places(size, bit) {
                    off += u32::from(dark(x, y) != (format >> bit & 1 == 1));
                }
            }
            found = found.min((off, level, mask));
        }
    }
    let (_, level, mask) = found;
    let path = layout::path(version);
    let mut bytes = Vec::new();
    for places in path.chunks_exact(8) {
        bytes.push(places.iter().fold(0_u8, |byte, (x, y)| {
            byte << 1 | u8::from(dark(*x, *y) != layout::masked(mask, *x, *y))
        }));
    }
    let (check, blocks) = layout::blocks(version, level, bytes.len());
    let (field, mut data) = (Field::new(), Vec::new());
    for places in blocks {
        let mut block: Vec<u8> = places.iter().map(|place| bytes[*place]).collect();
        if !field.correct(&mut block, check) {
            return None;
        }
        data.extend_from_slice(&block[..block.len() - check]);
    }
    understand(&data, version)
}

/// Takes bits from the front.
struct Bits<'a> {
    data: &'a [u8],
    at: usize,
}

impl Bits<'_> {
    /// None when there are not that many any more.
    fn take(&mut self, count: usize) -> Option<usize> {
        let mut value = 0;
        for _ in 0..count {
            let byte = self.data.get(self.at / 8)?;
            value = value << 1 | usize::from(byte >> (7 - self.at % 8) & 1);
            self.at += 1;
        }
        Some(value)
    }
}

fn understand(data: &[u8], version: usize) -> Option<String> {
    let mut bits = Bits { data, at: 0 };
    let large = usize::from(version > 9) * 2;
    let mut said = Vec::new();
    loop {
        // A code may end without saying so.
        match bits.take(4).unwrap_or(0) {
            0 => break,
            1 => {
                let mut left = bits.take(10 + large)?;
                while left > 0 {
                    let digits = left.min(3);
                    let number = bits.take(digits * 3 + 1)?;
                    for place in [100, 10, 1].into_iter().skip(3 - digits) {
                        said.push(b'0' + (number / place % 10) as u8);
                    }
                    left -= digits;
                }
            }
            2 => {
                let mut left = bits.take(9 + large)?;
                while left > 0 {
                    let signs = left.min(2);
                    let number = bits.take(signs * 5 + 1)?;
                    for place in [45, 1].into_iter().skip(2 - signs) {
                        said.push(SIGNS[number / place % 45]);
                    }
                    left -= signs;
                }
            }
            4 => {
                for _ in 0..bits.take(8 + large * 4)? {
                    said.push(bits.take(8)? as u8);
                }
            }
            // Which letters the bytes mean is seen by themselves.
            7 => match bits.take(8)? {
                0..128 => {}
                128..192 => drop(bits.take(8)?),
                _ => drop(bits.take(16)?),
            },
            _ => return None,
        }
    }
    match String::from_utf8(said) {
        Ok(text) => Some(text),
        Err(bytes) => Some(bytes.into_bytes().into_iter().map(char::from).collect()),
    }
}
