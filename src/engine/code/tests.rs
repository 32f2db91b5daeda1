//! Held against two independent libraries (`qrcodegen` writes, `rqrr` reads) and
//! against what the standard itself prints.

use super::layout::{self, MEDIUM, MOST};
use super::*;
use proptest::prelude::*;
use qrcodegen::{QrCode, QrCodeEcc, QrSegment, Version};

/// A code as a picture, so many pixels for a module, with the quiet zone.
fn picture(size: usize, is_dark: &dyn Fn(usize, usize) -> bool, scale: usize) -> (Vec<u8>, usize) {
    let side = (size + 8) * scale;
    let mut luma = vec![255; side * side];
    for (index, pixel) in luma.iter_mut().enumerate() {
        let (x, y) = (index % side / scale, index / side / scale);
        if x >= 4 && y >= 4 && x < size + 4 && y < size + 4 && is_dark(x - 4, y - 4) {
            *pixel = 0;
        }
    }
    (luma, side)
}

fn picture_of(matrix: &Matrix, scale: usize) -> (Vec<u8>, usize) {
    picture(matrix.size, &|x, y| matrix.is_dark(x, y), scale)
}

/// What the independent reader makes of a picture.
fn theirs(luma: &[u8], width: usize, height: usize) -> Option<String> {
    let mut image =
        rqrr::PreparedImage::prepare_from_greyscale(width, height, |x, y| luma[y * width + x]);
    let grid = image.detect_grids().into_iter().next()?;
    grid.decode().ok().map(|(_, text)| text)
}

/// Facts of a mould such as a card holds.
const CARD: &str = "benchtide-mould 1\nid: 0195f4a2-7c11-7d3e-9a40-1b2c3d4e5f60\n\
    name: Finial, left gate pier\nopen: 1 cap, 2 front, 3 back\nrubber: condensation silicone, 100:5\n\
    volume: 2.0 l\nbolts: 9 M6 x 40, hand and a nip\nservice: every 12 casts\nnever: polyurethane";

// ISO/IEC 18004, format information: all 32 sequences as printed in its table
// (data 00000 is 101010000010010, level M with mask 0; and so on in order).
#[test]
fn format_is_as_the_table_of_the_standard_prints_it() {
    const TABLE: [u32; 32] = [
        0x5412, 0x5125, 0x5e7c, 0x5b4b, 0x45f9, 0x40ce, 0x4f97, 0x4aa0, 0x77c4, 0x72f3, 0x7daa,
        0x789d, 0x662f, 0x6318, 0x6c41, 0x6976, 0x1689, 0x13be, 0x1ce7, 0x19d0, 0x0762, 0x0255,
        0x0d0c, 0x083b, 0x355f, 0x3068, 0x3f31, 0x3a06, 0x24b4, 0x2183, 0x2eda, 0x2bed,
    ];
    for (data, printed) in TABLE.into_iter().enumerate() {
        assert_eq!(layout::format((data >> 3) ^ 1, data & 7), printed, "data {data:05b}");
    }
}

// ISO/IEC 18004, version information: version 7 is 000111 110010010100.
#[test]
fn version_is_as_the_table_of_the_standard_prints_it() {
    assert_eq!(layout::checked(7, 0b1_1111_0010_0101, 12), 0b00_0111_1100_1001_0100);
    assert_eq!(layout::checked(20, 0b1_1111_0010_0101, 12), 0x149a6);
}

// ISO/IEC 18004, the worked example of its annex: "01234567" at level M of version 1.
#[test]
fn check_bytes_are_those_of_the_worked_example_of_the_standard() {
    let data = [
        0x10, 0x20, 0x0c, 0x56, 0x61, 0x80, 0xec, 0x11, 0xec, 0x11, 0xec, 0x11, 0xec, 0x11, 0xec,
        0x11,
    ];
    let printed = [0xa5, 0x24, 0xd4, 0xc1, 0xed, 0x36, 0xc7, 0x87, 0x2c, 0x55];
    assert_eq!(field::Field::new().check(&data, 10), printed);
}

/// The independent writer's code of the same bytes at the same level.
fn independent(text: &str, mask: Option<u8>) -> QrCode {
    let segments = [QrSegment::make_bytes(text.as_bytes())];
    let mask = mask.map(qrcodegen::Mask::new);
    let most = Version::new(MOST as u8);
    QrCode::encode_segments_advanced(&segments, QrCodeEcc::Medium, Version::MIN, most, mask, false)
        .unwrap()
}

#[test]
fn a_code_is_that_of_an_independent_writer_module_for_module() {
    let mut same_mask = 0;
    let mut all = 0;
    for length in (0..660).step_by(11) {
        let text: String = CARD.chars().cycle().take(length).collect();
        let mine = encode(&text).unwrap();
        let same = |theirs: &QrCode| {
            assert_eq!(theirs.size() as usize, mine.size, "length {length}");
            (0..mine.size).all(|y| {
                (0..mine.size).all(|x| theirs.get_module(x as i32, y as i32) == mine.is_dark(x, y))
            })
        };
        assert!((0..8).any(|mask| same(&independent(&text, Some(mask)))), "length {length}");
        same_mask += usize::from(same(&independent(&text, None)));
        all += 1;
    }
    // The standard leaves open how the look of a finder is counted: masks may differ.
    println!("same mask chosen: {same_mask} of {all}");
    assert!(same_mask * 2 > all, "{same_mask} of {all}");
}

#[test]
fn the_mask_is_the_one_with_the_least_penalty_of_the_independent_codes() {
    let text = "Finial";
    let of = |mask: u8| {
        let code = independent(text, Some(mask));
        let size = code.size() as usize;
        let at = |index: usize| code.get_module((index % size) as i32, (index / size) as i32);
        write::penalty(&Matrix { size, dark: (0..size * size).map(at).collect() })
    };
    let least = (0..8).map(of).min().unwrap();
    assert_eq!(write::penalty(&encode(text).unwrap()), least);
}

#[test]
fn what_is_too_long_is_refused_in_words() {
    // ISO/IEC 18004: version 20 at level M holds 666 bytes.
    assert!(encode(&"x".repeat(666)).is_ok());
    assert_eq!(encode(&"x".repeat(667)), Err(TooLong::For(666)));
    assert!(TooLong::For(666).to_string().contains("666"));
}

#[test]
fn every_version_and_level_of_an_independent_writer_is_read() {
    let levels = [QrCodeEcc::Low, QrCodeEcc::Medium, QrCodeEcc::Quartile, QrCodeEcc::High];
    for version in 1..=MOST as u8 {
        for level in levels {
            let version = Version::new(version);
            let segments = [QrSegment::make_bytes(b"Finial 7")];
            let code =
                QrCode::encode_segments_advanced(&segments, level, version, version, None, false);
            let Ok(code) = code else { continue };
            let dark = |x: usize, y: usize| code.get_module(x as i32, y as i32);
            let (luma, side) = picture(code.size() as usize, &dark, 4);
            let read = read(&luma, side, side);
            assert_eq!(read.as_deref(), Ok("Finial 7"), "{}", version.value());
        }
    }
}

#[test]
fn numbers_capitals_and_other_letters_are_read() {
    let digits = "0123456789012345678901";
    let capitals = "MOULD 12 $%*+-./:";
    let segments = [
        QrSegment::make_numeric(digits),
        QrSegment::make_alphanumeric(capitals),
        QrSegment::make_eci(26),
        QrSegment::make_bytes("Höhe 3 ½".as_bytes()),
    ];
    let code = QrCode::encode_segments(&segments, QrCodeEcc::Low).unwrap();
    let dark = |x: usize, y: usize| code.get_module(x as i32, y as i32);
    let (luma, side) = picture(code.size() as usize, &dark, 5);
    assert_eq!(read(&luma, side, side).unwrap(), format!("{digits}{capitals}Höhe 3 ½"));
    // Bytes that are no UTF-8 are what the standard starts from: Latin letters.
    let code = QrCode::encode_binary(b"H\xf6he", QrCodeEcc::Low).unwrap();
    let dark = |x: usize, y: usize| code.get_module(x as i32, y as i32);
    let (luma, side) = picture(code.size() as usize, &dark, 5);
    assert_eq!(read(&luma, side, side).unwrap(), "Höhe");
}

#[test]
fn an_independent_reader_reads_what_was_written() {
    for text in ["1", "Finial", CARD, "Höhe 3 ½ Zoll, Stück für Stück", &CARD.repeat(3)[..600]]
    {
        let matrix = encode(text).unwrap();
        let (luma, side) = picture_of(&matrix, 4);
        assert_eq!(theirs(&luma, side, side).as_deref(), Some(text));
        assert_eq!(read(&luma, side, side).as_deref(), Ok(text));
    }
}

/// A picture of a card as a hand holds it: turned, at a slant, with a shadow,
/// blur and grain. The numbers are drawn from `seed`.
fn photograph(matrix: &Matrix, seed: u64) -> (Vec<u8>, usize, usize) {
    let (width, height) = (640_usize, 480_usize);
    let mut state = seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1;
    let mut random = move || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state >> 40) as f32 / (1_u64 << 24) as f32
    };
    let mut between = |a: f32, b: f32| a + (b - a) * random();
    let turn = between(0.0, std::f32::consts::TAU);
    let wide = between(190.0, 400.0) / (matrix.size as f32 + 8.0);
    let (lean_x, lean_y) = (between(-0.35, 0.35), between(-0.35, 0.35));
    let (middle_x, middle_y) = (320.0 + between(-40.0, 40.0), 240.0 + between(-20.0, 20.0));
    let (ink, paper) = (between(10.0, 80.0), between(140.0, 245.0));
    let (shadow, grain) = (between(0.0, 0.5), between(0.0, 12.0));
    let blur = between(0.0, 0.45) * wide;
    let half = matrix.size as f32 / 2.0;
    let at = |x: f32, y: f32| {
        // From the picture back onto the card.
        let (x, y) = ((x - middle_x) / 320.0, (y - middle_y) / 320.0);
        let depth = 1.0 + lean_x * x + lean_y * y;
        let (x, y) = (x * 320.0 / depth / wide, y * 320.0 / depth / wide);
        let (x, y) =
            (x * turn.cos() + y * turn.sin() + half, y * turn.cos() - x * turn.sin() + half);
        if x >= 0.0 && y >= 0.0 && matrix.is_dark(x as usize, y as usize) { ink } else { paper }
    };
    let mut luma = Vec::new();
    for y in 0..height {
        for x in 0..width {
            let mut sum = 0.0;
            for (a, b) in [
                (0.3, 0.3),
                (-0.3, 0.3),
                (0.3, -0.3),
                (-0.3, -0.3),
                (0.0, 0.0),
                (0.9, 0.0),
                (-0.9, 0.0),
                (0.0, 0.9),
                (0.0, -0.9),
            ] {
                let (a, b) = (a * blur.max(0.3), b * blur.max(0.3));
                sum += at(x as f32 + 0.5 + a, y as f32 + 0.5 + b);
            }
            let light = 1.0 - shadow * x as f32 / width as f32;
            luma.push((sum / 9.0 * light + between(-grain, grain)).clamp(0.0, 255.0) as u8);
        }
    }
    (luma, width, height)
}

/// How many pictures are looked at: of the first hundred ours reads 98, the
/// independent reader 61.
const PICTURES: u64 = 30;

/// How many such pictures are read, by ours and by the independent reader. Ours
/// has to do no worse.
#[test]
fn pictures_taken_by_hand_are_read_as_often_as_by_an_independent_reader() {
    let texts = ["benchtide-mould 1\nid: 0195f4a2-7c11-7d3e-9a40-1b2c3d4e5f60", &CARD[..150], CARD];
    let (mut mine, mut other) = (0, 0);
    for seed in 0..PICTURES {
        let text = texts[seed as usize % 3];
        let (luma, width, height) = photograph(&encode(text).unwrap(), seed);
        let read = read(&luma, width, height);
        if let Ok(read) = &read {
            assert_eq!(read, text, "what is read is right or nothing: {seed}");
        }
        let theirs = theirs(&luma, width, height).as_deref() == Some(text);
        mine += usize::from(read.is_ok());
        other += usize::from(theirs);
    }
    println!("read: {mine} of {PICTURES}, by the independent reader {other}");
    assert!(mine >= other && mine * 10 >= PICTURES as usize * 9, "{mine} and {other}");
}

#[test]
fn what_is_no_picture_or_has_no_code_says_so() {
    assert_eq!(read(&[], 0, 0), Err(NoCode::NoPicture));
    assert_eq!(read(&[1, 2, 3], 2, 2), Err(NoCode::NoPicture));
    assert_eq!(read(&[9; 100], usize::MAX, 2), Err(NoCode::NoPicture));
    assert_eq!(read(&vec![200; 90 * 70], 90, 70), Err(NoCode::NotFound));
    let (mut luma, side) = picture_of(&encode(CARD).unwrap(), 3);
    // The middle is covered: more than can be corrected.
    for y in side / 4..side * 4 / 5 {
        for x in side / 4..side * 4 / 5 {
            luma[y * side + x] = 255;
        }
    }
    assert_eq!(read(&luma, side, side), Err(NoCode::Unclear));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn a_text_survives(text in "\\PC{0,120}") {
        let (luma, side) = picture_of(&encode(&text).unwrap(), 3);
        prop_assert_eq!(read(&luma, side, side), Ok(text));
    }

    #[test]
    fn so_much_damage_as_the_level_allows_is_mended(
        data in proptest::collection::vec(any::<u8>(), 1..200),
        half in 1_usize..15,
        hits in proptest::collection::vec((any::<proptest::sample::Index>(), 1_u8..), 0..15),
    ) {
        let field = field::Field::new();
        let data = &data[..data.len().min(255 - 2 * half)];
        let mut block = data.to_vec();
        block.extend(field.check(data, 2 * half));
        let whole = block.clone();
        for (place, by) in hits.iter().take(half) {
            let place = place.index(block.len());
            block[place] ^= by;
        }
        prop_assert!(field.correct(&mut block, 2 * half));
        prop_assert_eq!(block, whole);
    }

    #[test]
    fn no_picture_makes_it_stumble(
        width in 21_usize..90,
        height in 21_usize..90,
        noise in proptest::collection::vec(any::<u8>(), 97),
        threshold in any::<u8>(),
        coarse in 1_usize..9,
    ) {
        let luma: Vec<u8> = (0..width * height)
            .map(|index| {
                let (x, y) = (index % width / coarse, index / width / coarse);
                let pixel = noise[(x * 31 + y * 57) % 97];
                if pixel > threshold { pixel } else { 0 }
            })
            .collect();
        let _ = read(&luma, width, height);
    }

    #[test]
    fn damaged_codes_are_read_right_or_not_at_all(
        holes in proptest::collection::vec((0_usize..200, 0_usize..200, 1_usize..40, any::<u8>()), 0..12),
    ) {
        let text = &CARD[..120];
        let (mut luma, side) = picture_of(&encode(text).unwrap(), 4);
        for (left, top, wide, shade) in holes {
            for y in top..(top + wide).min(side) {
                for x in left..(left + wide).min(side) {
                    luma[y * side + x] = shade;
                }
            }
        }
        if let Ok(read) = read(&luma, side, side) {
            prop_assert_eq!(read, text);
        }
    }

    #[test]
    fn random_modules_are_no_trouble(
        version in 1_usize..=MOST,
        bits in proptest::collection::vec(any::<bool>(), 101),
    ) {
        let _ = meaning::text(version, &|x, y| bits[(x * 7 + y * 13) % 101]);
        prop_assert!(layout::path(version).len() / 8 > layout::blocks(version, MEDIUM, layout::path(version).len() / 8).0);
    }
}
