//! Shades as an image that any browser shows: a PNG without compression, in the
//! address of the image itself, so that nothing has to be stored or let go.
//!
//! PNG: W3C recommendation, third edition; its wrapping (zlib) RFC 1950, stored
//! blocks RFC 1951, 3.2.4; base 64 RFC 4648, section 4.

/// The largest stored block (RFC 1951: 16 bits).
const BLOCK: usize = 65_535;
/// What locks: the rust red of a stop, dark on every shade.
const HATCH: [u8; 3] = [0x8c, 0x1b, 0x12];

/// The address of a square image of these shades, as
/// [`turntable`](crate::engine::mesh::turntable) gives them: the background is clear.
pub(super) fn address(shades: &[u8], side: usize) -> String {
    format!("data:image/png;base64,{}", base64(&png(shades, side)))
}

fn png(shades: &[u8], side: usize) -> Vec<u8> {
    let mut image = b"\x89PNG\r\n\x1a\n".to_vec();
    let side_bytes = (side as u32).to_be_bytes();
    // Eight bits, by palette, not interlaced.
    let header = [&side_bytes[..], &side_bytes, &[8, 3, 0, 0, 0]].concat();
    chunk(&mut image, b"IHDR", &header);
    let palette: Vec<u8> = (0..=255).flat_map(colour).collect();
    chunk(&mut image, b"PLTE", &palette);
    chunk(&mut image, b"tRNS", &[0]);
    // Each row is told apart by a 0: no filter.
    let rows: Vec<u8> =
        shades.chunks(side).flat_map(|row| std::iter::once(0).chain(row.iter().copied())).collect();
    chunk(&mut image, b"IDAT", &stored(&rows));
    chunk(&mut image, b"IEND", &[]);
    image
}

/// Shades from dark to light grey, neither as dark as a dark page nor as light as
/// a light one.
fn colour(shade: u8) -> [u8; 3] {
    match shade {
        1 => HATCH,
        _ => [(80 + u16::from(shade) * 135 / 255) as u8; 3],
    }
}

fn chunk(image: &mut Vec<u8>, kind: &[u8; 4], data: &[u8]) {
    image.extend((data.len() as u32).to_be_bytes());
    let from = image.len();
    image.extend(kind);
    image.extend(data);
    let check = crc(&image[from..]);
    image.extend(check.to_be_bytes());
}

/// A zlib stream of stored blocks.
fn stored(data: &[u8]) -> Vec<u8> {
    let mut stream = vec![0x78, 0x01];
    let mut blocks = data.chunks(BLOCK).peekable();
    while let Some(block) = blocks.next() {
        let length = block.len() as u16;
        stream.push(u8::from(blocks.peek().is_none()));
        stream.extend(length.to_le_bytes());
        stream.extend((!length).to_le_bytes());
        stream.extend(block);
    }
    stream.extend(adler(data).to_be_bytes());
    stream
}

/// CRC-32 of PNG (annex D), bit by bit: a picture takes a few milliseconds.
fn crc(data: &[u8]) -> u32 {
    let mut crc = !0_u32;
    for byte in data {
        crc ^= u32::from(*byte);
        for _ in 0..8 {
            crc = if crc & 1 == 1 { crc >> 1 ^ 0xedb8_8320 } else { crc >> 1 };
        }
    }
    !crc
}

/// Adler-32 (RFC 1950, section 9).
fn adler(data: &[u8]) -> u32 {
    let (mut a, mut b) = (1_u32, 0_u32);
    for byte in data {
        a = (a + u32::from(*byte)) % 65_521;
        b = (b + a) % 65_521;
    }
    b << 16 | a
}

fn base64(data: &[u8]) -> String {
    const DIGITS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut text = String::with_capacity(data.len().div_ceil(3) * 4);
    for three in data.chunks(3) {
        let byte = |index: usize| u32::from(three.get(index).copied().unwrap_or(0));
        let bits = byte(0) << 16 | byte(1) << 8 | byte(2);
        for digit in 0..4 {
            let at = (bits >> (18 - 6 * digit) & 63) as usize;
            text.push(if digit > three.len() { '=' } else { char::from(DIGITS[at]) });
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn checks_are_those_of_their_standards() {
        // The check value of CRC-32/ISO-HDLC, which PNG uses (from memory).
        assert_eq!(crc(b"123456789"), 0xcbf4_3926);
        // The last chunk of every PNG file, whose check is the same everywhere.
        assert_eq!(crc(b"IEND"), 0xae42_6082);
        // The usual example of Adler-32 (from memory), and RFC 1950's empty one.
        assert_eq!(adler(b"Wikipedia"), 0x11e6_0398);
        assert_eq!(adler(b""), 1);
    }

    #[test]
    fn base_64_is_that_of_its_standard() {
        // RFC 4648, section 10.
        for (plain, wanted) in [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(base64(plain.as_bytes()), wanted);
        }
    }

    #[test]
    fn blocks_say_how_long_they_are_and_which_is_the_last() {
        // RFC 1951, 3.2.4: the last bit, the length, its complement.
        let stream = stored(&vec![7; BLOCK + 2]);
        assert_eq!(stream[..7], [0x78, 0x01, 0, 0xff, 0xff, 0, 0]);
        assert_eq!(stream[7 + BLOCK..][..7], [1, 2, 0, 0xfd, 0xff, 7, 7]);
        assert_eq!(stream.len(), 2 + 5 + BLOCK + 5 + 2 + 4);
    }
}
