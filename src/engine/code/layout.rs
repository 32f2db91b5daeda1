//! Where everything of a code stands: patterns that are always the same, the
//! way that the data takes between them, blocks, masks, format.

/// The largest version that is written and read.
pub(super) const MOST: usize = 20;
/// Level M among the levels of the tables (L, M, Q, H).
pub(super) const MEDIUM: usize = 1;

/// Check bytes of a block, by level and version.
const CHECK: [[u8; MOST]; 4] = [
    [7, 10, 15, 20, 26, 18, 20, 24, 30, 18, 20, 24, 26, 30, 22, 24, 28, 30, 28, 28],
    [10, 16, 26, 18, 24, 16, 18, 22, 22, 26, 30, 22, 22, 24, 24, 28, 28, 26, 26, 26],
    [13, 22, 18, 26, 18, 24, 18, 22, 20, 24, 28, 26, 24, 20, 30, 24, 28, 28, 26, 30],
    [17, 28, 22, 16, 22, 28, 26, 26, 24, 28, 24, 28, 22, 24, 24, 30, 28, 28, 26, 28],
];
/// Blocks, by level and version.
const BLOCKS: [[u8; MOST]; 4] = [
    [1, 1, 1, 1, 1, 2, 2, 2, 2, 4, 4, 4, 4, 4, 6, 6, 6, 6, 7, 8],
    [1, 1, 1, 2, 2, 4, 4, 4, 5, 5, 5, 8, 9, 9, 10, 10, 11, 13, 14, 16],
    [1, 1, 2, 2, 4, 4, 6, 6, 8, 8, 8, 10, 12, 16, 12, 17, 16, 18, 21, 20],
    [1, 1, 2, 4, 4, 4, 5, 6, 8, 8, 11, 11, 16, 16, 18, 16, 19, 21, 25, 25],
];

/// What stands at a place.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Module {
    Data,
    Light,
    Dark,
    Format,
}

pub(super) fn size(version: usize) -> usize {
    17 + 4 * version
}

/// A value followed by the rest of its division by a polynomial of a degree
/// (codes of Bose, Chaudhuri and Hocquenghem).
pub(super) fn checked(value: u32, polynomial: u32, degree: u32) -> u32 {
    let mut rest = value << degree;
    for bit in (0..6).rev() {
        if rest >> (bit + degree) & 1 == 1 {
            rest ^= polynomial << bit;
        }
    }
    value << degree | rest
}

/// The fifteen bits that tell level and mask.
pub(super) fn format(level: usize, mask: usize) -> u32 {
    // L, M, Q, H are 01, 00, 11, 10.
    checked(((level as u32 ^ 1) << 3) | mask as u32, 0b101_0011_0111, 10) ^ 0b101_0100_0001_0010
}

/// The two places of a bit of the format.
pub(super) fn format_places(size: usize, bit: usize) -> [(usize, usize); 2] {
    match bit {
        0..=5 => [(8, bit), (size - 1 - bit, 8)],
        6..=7 => [(8, bit + 1), (size - 1 - bit, 8)],
        8 => [(7, 8), (8, size - 7)],
        _ => [(14 - bit, 8), (8, size - 15 + bit)],
    }
}

/// What stands at a place of a version.
pub(super) fn module(version: usize, x: usize, y: usize) -> Module {
    let size = size(version);
    let shade = |dark| if dark { Module::Dark } else { Module::Light };
    let from = |a: usize, b: usize| x.abs_diff(a).max(y.abs_diff(b));
    for (a, b) in [(3, 3), (size - 4, 3), (3, size - 4)] {
        let ring = from(a, b);
        if ring <= 4 {
            return shade(ring != 2 && ring != 4);
        }
    }
    if version > 1 {
        let last = version / 7 + 1;
        let step = (version * 4 + last * 2 + 3) / (last * 2) * 2;
        let centre = |i: usize| if i == 0 { 6 } else { size - 7 - (last - i) * step };
        for i in 0..=last {
            for j in 0..=last {
                let ring = from(centre(i), centre(j));
                let finder = (i == 0 && (j == 0 || j == last)) || (i == last && j == 0);
                if ring <= 2 && !finder {
                    return shade(ring != 1);
                }
            }
        }
    }
    if x == 6 || y == 6 {
        return shade((x + y).is_multiple_of(2));
    }
    if x == 8 && y == size - 8 {
        return Module::Dark;
    }
    let (low, high) = (x.min(y), x.max(y));
    if high == 8 || low == 8 && high >= size - 8 {
        return Module::Format;
    }
    if version > 6 && low < 6 && high >= size - 11 {
        let bits = checked(version as u32, 0b1_1111_0010_0101, 12);
        return shade(bits >> (3 * low + high + 11 - size) & 1 == 1);
    }
    Module::Data
}

/// The places of the data's bits in their order.
pub(super) fn path(version: usize) -> Vec<(usize, usize)> {
    let size = size(version);
    let mut places = Vec::new();
    for right in (1..size).rev().step_by(2) {
        let right = if right <= 6 { right - 1 } else { right };
        for row in 0..size {
            let y = if (right + 1) & 2 == 0 { size - 1 - row } else { row };
            for x in [right, right - 1] {
                if module(version, x, y) == Module::Data {
                    places.push((x, y));
                }
            }
        }
    }
    places
}

/// How many check bytes each block has, and for each block the places of its
/// bytes, data first, among all `count` bytes of the code.
pub(super) fn blocks(version: usize, level: usize, count: usize) -> (usize, Vec<Vec<usize>>) {
    let check = usize::from(CHECK[level][version - 1]);
    let many = usize::from(BLOCKS[level][version - 1]);
    let data = count / many - check;
    let short = many - count % many;
    let block = |block: usize| {
        let mut places: Vec<usize> = (0..data).map(|index| index * many + block).collect();
        if block >= short {
            places.push(data * many + block - short);
        }
        places.extend((0..check).map(|index| count - many * (check - index) + block));
        places
    };
    (check, (0..many).map(block).collect())
}

/// Whether a mask turns a place over.
pub(super) fn masked(mask: usize, x: usize, y: usize) -> bool {
    let (sum, product) = (x + y, x * y);
    0 == match mask {
        0 => sum % 2,
        1 => y % 2,
        2 => x % 3,
        3 => sum % 3,
        4 => (x / 3 + y / 2) % 2,
        5 => product % 2 + product % 3,
        6 => (product % 2 + product % 3) % 2,
        _ => (sum % 2 + product % 3) % 2,
    }
}
