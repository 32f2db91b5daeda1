//! The square code on a printed card (QR code, ISO/IEC 18004): written from a
//! short text, and read out of a picture.
//!
//! Our own, because what is shipped has to be small: a general reader was three
//! times the size. Versions 1 to 20, which is more than a card has room for.
//! Writing uses bytes and level M (about 15 % may be lost); reading takes every
//! level, and the modes for numbers, capitals and bytes.

mod field;
mod find;
mod layout;
mod meaning;
mod write;

#[cfg(test)]
mod tests;

use std::fmt;

pub use find::read;
pub use write::encode;

/// A code, ready to be drawn.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Matrix {
    /// Modules along a side, without the quiet zone of four around them.
    pub size: usize,
    /// Row by row, whether a module is dark.
    dark: Vec<bool>,
}

impl Matrix {
    /// Whether a module is dark; those outside are not.
    pub fn is_dark(&self, x: usize, y: usize) -> bool {
        x < self.size && self.dark.get(y * self.size + x).copied().unwrap_or(false)
    }
}

/// Why there is no code of a text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TooLong {
    /// It holds more than the largest code takes.
    For(usize),
}

impl fmt::Display for TooLong {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self::For(most) = self;
        write!(f, "This is too long for a code. Keep it under {most} letters.")
    }
}

/// Why nothing was read out of a picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoCode {
    /// The numbers do not make a picture.
    NoPicture,
    /// Nothing looks like a code.
    NotFound,
    /// A code is there, and too much of it can't be made out.
    Unclear,
}

impl fmt::Display for NoCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::NoPicture => "This is no picture. Choose another.",
            Self::NotFound => {
                "No code was found. Hold the phone so that the square fills half of the picture."
            }
            Self::Unclear => {
                "A code is there, but it can't be made out. Try again: flat, sharp, no glare."
            }
        })
    }
}
