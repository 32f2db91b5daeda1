//! Packs the app's module for shipping, and unpacks it in the browser.
//!
//! The module is the largest part of what a phone downloads at the first visit, and
//! no general packer knows what a module looks like. This one does, and takes about
//! a quarter more off than what a host's brotli would (DEVELOPERS.md has the figures).
//! The packer runs when the app is built; the unpacker is a small module of its own
//! (`web`, only in WASM builds). Both are this one source, so that they agree.
//!
//! A pack is: two bytes of [`MAGIC`], the unpacked length (four bytes, lowest first),
//! the arithmetic code, and the CRC-32 of the unpacked bytes (four bytes, lowest
//! first).

#![deny(unsafe_code)]
#![cfg_attr(target_arch = "wasm32", no_std)]

extern crate alloc;

mod coder;
mod contexts;
mod history;
mod matching;
mod mixer;
mod model;
mod numbers;
mod signatures;
mod stack;
mod walk;
#[cfg(target_arch = "wasm32")]
pub mod web;

use alloc::vec::Vec;
use core::fmt;

use coder::{Decoder, Encoder};
use model::Model;

/// The first bytes of every pack: a mark, and the version of the format.
pub const MAGIC: [u8; 2] = [0xb7, 2];
/// The longest that unpacked bytes may be, so that a damaged length does no harm.
pub const LENGTH_MOST: usize = 1 << 24;

/// Why bytes could not be unpacked.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum UnpackError {
    /// They do not begin as a pack does.
    NotAPack,
    /// The stated length is beyond [`LENGTH_MOST`].
    TooLong,
    /// They end too early.
    Cut,
    /// What came out is not what was packed.
    Damaged,
}

impl fmt::Display for UnpackError {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(match self {
            Self::NotAPack => "This is not a pack of this version: build the app anew.",
            Self::TooLong => "The pack states an impossible length: load it again.",
            Self::Cut => "The pack is cut short: load it again.",
            Self::Damaged => "The pack is damaged: load it again.",
        })
    }
}

impl core::error::Error for UnpackError {}

/// Packs bytes, at most [`LENGTH_MOST`] of them; more than that is cut off.
pub fn pack(bytes: &[u8]) -> Vec<u8> {
    let bytes = &bytes[..bytes.len().min(LENGTH_MOST)];
    let mut packed = Vec::from(MAGIC);
    packed.extend_from_slice(&(bytes.len() as u32).to_le_bytes());
    let mut model = Model::new();
    let mut encoder = Encoder::new(packed);
    for byte in bytes {
        for place in (0..8).rev() {
            let bit = usize::from(byte >> place & 1);
            encoder.put(bit, model.guess());
            model.learn(bit);
        }
    }
    let mut packed = encoder.finish();
    packed.extend_from_slice(&check(bytes).to_le_bytes());
    packed
}

/// Unpacks what [`pack`] made.
///
/// # Errors
/// Bytes that are not a whole and undamaged pack are refused; see [`UnpackError`].
pub fn unpack(packed: &[u8]) -> Result<Vec<u8>, UnpackError> {
    let (magic, rest) = packed.split_at_checked(MAGIC.len()).ok_or(UnpackError::NotAPack)?;
    if magic != MAGIC {
        return Err(UnpackError::NotAPack);
    }
    let (length, rest) = rest.split_first_chunk::<4>().ok_or(UnpackError::Cut)?;
    let (code, sum) = rest.split_last_chunk::<4>().ok_or(UnpackError::Cut)?;
    let length = u32::from_le_bytes(*length) as usize;
    if length > LENGTH_MOST {
        return Err(UnpackError::TooLong);
    }
    let mut model = Model::new();
    let mut decoder = Decoder::new(code);
    for _ in 0..length {
        for _ in 0..8 {
            let bit = decoder.get(model.guess());
            model.learn(bit);
        }
        if decoder.is_beyond() {
            return Err(UnpackError::Cut);
        }
    }
    let bytes = model.into_bytes();
    if check(&bytes) != u32::from_le_bytes(*sum) || !decoder.is_spent() {
        return Err(UnpackError::Damaged);
    }
    Ok(bytes)
}

/// The CRC-32 of ISO 3309 (polynomial 0xEDB88320, reflected).
fn check(bytes: &[u8]) -> u32 {
    let mut sum = u32::MAX;
    for byte in bytes {
        sum ^= u32::from(*byte);
        for _ in 0..8 {
            sum = sum >> 1 ^ if sum & 1 == 1 { 0xedb8_8320 } else { 0 };
        }
    }
    !sum
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_check_is_the_usual_one() {
        // Source: the check value of CRC-32/ISO-HDLC in the usual catalogues (from memory).
        assert_eq!(check(b"123456789"), 0xcbf4_3926);
    }
}
