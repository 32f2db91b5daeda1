//! From a text to a code.

use super::field::Field;
use super::layout::{self, MEDIUM, MOST, Module};
use super::{Matrix, TooLong};

/// Bits in their order.
struct Bits(Vec<bool>);

impl Bits {
    fn add(&mut self, value: usize, count: usize) {
        self.0.extend((0..count).rev().map(|bit| value >> bit & 1 == 1));
    }

    fn bytes(&self) -> Vec<u8> {
        let byte = |bits: &[bool]| bits.iter().fold(0, |sum, bit| sum << 1 | u8::from(*bit));
        self.0.chunks(8).map(byte).collect()
    }
}

/// The smallest code that holds a text, at level M.
///
/// # Errors
/// [`TooLong`] when the largest does not hold it.
pub fn encode(text: &str) -> Result<Matrix, TooLong> {
    let mut room = 0;
    for version in 1..=MOST {
        let path = layout::path(version);
        let count = path.len() / 8;
        let (check, blocks) = layout::blocks(version, MEDIUM, count);
        room = count - check * blocks.len();
        if let Some(data) = data(text, version, room) {
            let mut bytes = vec![0; count];
            let (field, mut rest) = (Field::new(), data.as_slice());
            for block in blocks {
                let (mine, others) = rest.split_at(block.len() - check);
                rest = others;
                let checks = field.check(mine, check);
                for (place, byte) in block.iter().zip(mine.iter().chain(&checks)) {
                    bytes[*place] = *byte;
                }
            }
            return Ok(draw(version, &path, &bytes));
        }
    }
    Err(TooLong::For(room - 3))
}

/// The data of a text, filled up to the room that there is; none when it is too
/// long for that.
fn data(text: &str, version: usize, room: usize) -> Option<Vec<u8>> {
    let mut bits = Bits(Vec::new());
    if !text.is_ascii() {
        // The bytes are UTF-8 from here on: assignment 26.
        bits.add(7, 4);
        bits.add(26, 8);
    }
    bits.add(4, 4);
    bits.add(text.len(), if version < 10 { 8 } else { 16 });
    for byte in text.bytes() {
        bits.add(usize::from(byte), 8);
    }
    let free = (room * 8).checked_sub(bits.0.len())?;
    bits.add(0, free.min(4));
    bits.add(0, (8 - bits.0.len() % 8) % 8);
    let mut data = bits.bytes();
    for filler in [0xec, 0x11].into_iter().cycle().take(room - data.len()) {
        data.push(filler);
    }
    Some(data)
}

/// The code with the mask that makes it easiest to read.
fn draw(version: usize, path: &[(usize, usize)], bytes: &[u8]) -> Matrix {
    let size = layout::size(version);
    let mut plain = Matrix { size, dark: vec![false; size * size] };
    for (index, dark) in plain.dark.iter_mut().enumerate() {
        *dark = layout::module(version, index % size, index / size) == Module::Dark;
    }
    let with = |mask: usize| {
        let mut matrix = plain.clone();
        for (index, (x, y)) in path.iter().enumerate() {
            // Bits that fill no byte are nought.
            let byte = bytes.get(index / 8).copied().unwrap_or(0);
            let bit = byte >> (7 - index % 8) & 1 == 1;
            matrix.dark[y * size + x] = bit != layout::masked(mask, *x, *y);
        }
        let format = layout::format(MEDIUM, mask);
        for bit in 0..15 {
            for (x, y) in layout::format_places(size, bit) {
                matrix.dark[y * size + x] = format >> bit & 1 == 1;
            }
        }
        matrix
    };
    let mut best = (usize::MAX, plain.clone());
    for mask in 0..8 {
        let matrix = with(mask);
        let penalty = penalty(&matrix);
        if penalty < best.0 {
            best = (penalty, matrix);
        }
    }
    best.1
}

/// How hard a code is to read, by the standard's four rules.
pub(super) fn penalty(matrix: &Matrix) -> usize {
    let size = matrix.size;
    let (mut sum, mut dark) = (0, 0);
    for turned in [false, true] {
        let at =
            |a: usize, b: usize| if turned { matrix.is_dark(b, a) } else { matrix.is_dark(a, b) };
        for line in 0..size {
            let (mut run, mut seen, mut before) = (0, 0_u32, None);
            // The quiet zone is light and counts for the look of a finder.
            for place in 0..size + 4 {
                let now = at(place, line);
                seen = (seen << 1 | u32::from(now)) & 0x7ff;
                if seen == 0b101_1101_0000 || seen == 0b000_0101_1101 {
                    sum += 40;
                }
                if place >= size {
                    continue;
                }
                run = if before == Some(now) { run + 1 } else { 1 };
                before = Some(now);
                sum += match run {
                    0..=4 => 0,
                    5 => 3,
                    _ => 1,
                };
                if !turned {
                    dark += usize::from(now);
                    let whole = [at(place + 1, line), at(place, line + 1), at(place + 1, line + 1)];
                    if place + 1 < size && line + 1 < size && whole == [now; 3] {
                        sum += 3;
                    }
                }
            }
        }
    }
    let all = size * size;
    sum + (dark * 20).abs_diff(all * 10) / all * 10
}
