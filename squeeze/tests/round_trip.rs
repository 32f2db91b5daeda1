//! What is packed comes out again, to the byte; anything else is refused.

use proptest::{collection::vec, prelude::*};
use squeeze::{LENGTH_MOST, MAGIC, UnpackError, pack, unpack};

/// A whole module, written out by hand after the core specification, "Binary Format":
/// a function that adds two numbers, with a table of branches, a block, constants of
/// all four types, a memory access, a call, and a piece of data.
#[rustfmt::skip]
const MODULE: &[u8] = &[
    0x00, 0x61, 0x73, 0x6d, 0x01, 0x00, 0x00, 0x00,
    // Types: (i32, i32) -> i32.
    1, 7, 1, 0x60, 2, 0x7f, 0x7f, 1, 0x7f,
    // Two functions of that type.
    3, 3, 2, 0, 0,
    // A memory of one page.
    5, 3, 1, 0, 1,
    // An export.
    7, 7, 1, 3, b'a', b'd', b'd', 0, 0,
    // Code.
    10, 67, 2,
    54, 2, 1, 0x7f, 2, 0x7e,
    0x02, 0x40,
    0x20, 0, 0x0e, 1, 0, 0,
    0x0b,
    0x41, 0xe4, 0x00, 0x21, 2,
    0x42, 0x80, 0x80, 0x01, 0x21, 3,
    0x43, 0, 0, 0x80, 0x3f, 0x1a,
    0x44, 0, 0, 0, 0, 0, 0, 0xf0, 0x3f, 0x1a,
    0x20, 2, 0x28, 2, 8, 0x1a,
    0x20, 0, 0x20, 1, 0x10, 1, 0x0b,
    0x10, 0, 0x20, 0, 0x20, 1, 0x6a, 0x0b,
    // Data.
    11, 11, 1, 0, 0x41, 0, 0x0b, 5, b'h', b'e', b'l', b'l', b'o',
];

fn is_whole(bytes: &[u8]) {
    let packed = pack(bytes);
    assert_eq!(unpack(&packed).as_deref(), Ok(bytes));
}

/// Numbers without a pattern, the same ones every time (a linear congruence with the
/// constants of Knuth's MMIX, from memory; any would do).
fn noise(length: usize) -> Vec<u8> {
    let mut state = 1_u64;
    let next = || {
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 56) as u8
    };
    std::iter::repeat_with(next).take(length).collect()
}

fn text() -> Vec<u8> {
    (0..400).flat_map(|n| format!("Coat {n}: brush it on, and wait.\n").into_bytes()).collect()
}

#[test]
fn nothing_one_byte_and_long_runs_come_back() {
    is_whole(&[]);
    for byte in [0, 1, 127, 128, 255] {
        is_whole(&[byte]);
    }
    is_whole(&[0; 100_000]);
    is_whole(&[255; 1000]);
}

#[test]
fn noise_comes_back_and_hardly_grows() {
    let bytes = noise(50_000);
    is_whole(&bytes);
    assert!(pack(&bytes).len() < 51_500);
}

#[test]
fn text_comes_back_much_smaller() {
    let bytes = text();
    is_whole(&bytes);
    assert!(pack(&bytes).len() < bytes.len() / 20);
}

#[test]
fn a_module_comes_back() {
    is_whole(MODULE);
    is_whole(&MODULE.repeat(50));
    // Damaged ones are packed like anything else.
    for end in 0..MODULE.len() {
        is_whole(&MODULE[..end]);
        let mut damaged = MODULE.to_vec();
        damaged[end] ^= 0xff;
        is_whole(&damaged);
    }
}

#[test]
fn packing_is_always_the_same() {
    assert_eq!(pack(MODULE), pack(MODULE));
}

#[test]
fn what_is_cut_is_refused() {
    let packed = pack(&text()[..3000]);
    for end in 0..packed.len() {
        assert!(unpack(&packed[..end]).is_err(), "cut at {end}");
    }
    let mut longer = packed;
    longer.push(0);
    assert!(unpack(&longer).is_err());
}

#[test]
fn any_flipped_bit_is_refused() {
    let packed = pack(MODULE);
    for place in 0..packed.len() {
        for bit in 0..8 {
            let mut flipped = packed.clone();
            flipped[place] ^= 1 << bit;
            assert!(unpack(&flipped).is_err(), "bit {bit} of byte {place}");
        }
    }
}

#[test]
fn what_is_no_pack_is_told_from_what_is_damaged() {
    assert_eq!(unpack(&[]), Err(UnpackError::NotAPack));
    assert_eq!(unpack(MODULE), Err(UnpackError::NotAPack));
    assert_eq!(unpack(&MAGIC), Err(UnpackError::Cut));
    let mut long = pack(MODULE);
    long[2..6].copy_from_slice(&(LENGTH_MOST as u32 + 1).to_le_bytes());
    assert_eq!(unpack(&long), Err(UnpackError::TooLong));
    let mut more = pack(MODULE);
    more[2..6].copy_from_slice(&(LENGTH_MOST as u32).to_le_bytes());
    assert_eq!(unpack(&more), Err(UnpackError::Cut));
    let mut other = pack(MODULE);
    *other.last_mut().unwrap() ^= 1;
    assert_eq!(unpack(&other), Err(UnpackError::Damaged));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn any_bytes_come_back(bytes in vec(any::<u8>(), 0..2000)) {
        is_whole(&bytes);
    }

    #[test]
    fn any_bytes_in_a_module_come_back(code in vec(0_u8..0x50, 0..500)) {
        let mut bytes = MODULE[..8].to_vec();
        bytes.extend([10, 0xff, 0x7f, 1, 0xf0, 0x7f, 0]);
        bytes.extend(code);
        is_whole(&bytes);
    }

    #[test]
    fn any_bytes_are_unpacked_or_refused(bytes in vec(any::<u8>(), 0..500)) {
        let mut packed = MAGIC.to_vec();
        packed.extend((bytes.len() as u32 * 2).to_le_bytes());
        packed.extend(&bytes);
        prop_assert!(unpack(&packed).is_err());
    }
}
