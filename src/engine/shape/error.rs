//! What can be wrong with a measured shape, in words for the bench.

use crate::engine::quantity::Millimetres;
use std::fmt;

/// The smallest and largest length that a piece is measured with, in mm: from
/// a hair's breadth to 100 m. Beyond it a unit or a point is mistaken, and sums
/// would lose their digits.
const SIZES: (f64, f64) = (0.01, 100_000.0);

/// Why a shape can't be worked out. `what` names the value, as in "The length".
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ShapeError {
    /// A value is missing, infinite or not a number.
    NotFinite {
        /// The value.
        what: &'static str,
    },
    /// A value that must be above 0 is not.
    NotPositive {
        /// The value.
        what: &'static str,
    },
    /// A value that can't be below 0 is.
    Negative {
        /// The value.
        what: &'static str,
    },
    /// A length that no piece on a bench has.
    OutOfSize {
        /// The value.
        what: &'static str,
    },
    /// A cap that is higher than its ball.
    CapTooHigh,
    /// A profile of fewer than two rings.
    TooFewRings,
    /// A profile of more rings than is worked out.
    TooManyRings,
    /// A ring that is lower than the one before, or the third at one height.
    /// Rings count from 1.
    RingOutOfOrder {
        /// The ring.
        ring: usize,
    },
    /// A ring of no width between others. Rings count from 1.
    RingPinched {
        /// The ring.
        ring: usize,
    },
    /// All rings lie at one height.
    ProfileFlat,
    /// No ring has any width.
    ProfileThin,
    /// Three sides that don't close.
    NotATriangle,
    /// A regular polygon with too few or too many sides.
    NotAPolygon,
    /// More area than an outline of that length can hold.
    OutlineTooShort,
    /// A girth that is too short or too long for its length and breadth.
    GirthMismatch,
    /// A form factor outside 1/4 to 1.
    FormOutOfRange,
    /// A detail factor outside 1 to 10.
    DetailOutOfRange,
    /// More parts than a piece is put together from.
    TooManyParts,
    /// A contact larger than a part that touches there.
    ContactTooLarge,
    /// Cuts that leave nothing of the piece.
    NothingLeft,
    /// A full mould or tub that weighs no more than the empty one.
    FullNotHeavier,
}

impl fmt::Display for ShapeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sentence = match self {
            Self::NotFinite { what } => {
                return write!(f, "{what} is no usable number. Enter it again.");
            }
            Self::NotPositive { what } => return write!(f, "{what} must be above 0. Correct it."),
            Self::Negative { what } => return write!(f, "{what} can't be below 0. Correct it."),
            Self::OutOfSize { what } => {
                return write!(f, "{what} must be from 0.01 mm to 100 m. Check its unit.");
            }
            Self::RingOutOfOrder { ring } => {
                return write!(
                    f,
                    "Ring {ring} is not above the one before. Enter heights from the bottom up, \
                     at most two at one height."
                );
            }
            Self::RingPinched { ring } => {
                return write!(
                    f,
                    "Ring {ring} has no width. Only the lowest and the highest can be points."
                );
            }
            Self::CapTooHigh => {
                "The cap is higher than its ball. Measure its height, or the ball, again."
            }
            Self::TooFewRings => "A profile needs at least two rings. Measure more.",
            Self::TooManyRings => "That is more than 200 rings. Leave some out.",
            Self::ProfileFlat => "All rings are at one height. Enter the heights again.",
            Self::ProfileThin => "No ring has any width. Enter the widths again.",
            Self::NotATriangle => {
                "One side is as long as the other two together or longer. Measure the sides again."
            }
            Self::NotAPolygon => "The base must have from 3 to 100 sides. Correct the number.",
            Self::OutlineTooShort => {
                "No outline of that length holds that area. Measure both again."
            }
            Self::GirthMismatch => {
                "That girth doesn't go round that length and breadth. Measure all three again at \
                 one height."
            }
            Self::FormOutOfRange => "The form factor must be from 0.25 to 1. Correct it.",
            Self::DetailOutOfRange => {
                "The detail factor must be from 1 (smooth) to 10. Correct it."
            }
            Self::TooManyParts => "That is more than 50 parts. Leave some out.",
            Self::ContactTooLarge => {
                "A contact is larger than what touches there. Measure the contact again."
            }
            Self::NothingLeft => "The cuts take away all of the piece. Check their sizes.",
            Self::FullNotHeavier => {
                "Full it weighs no more than empty. Weigh both again on the same scale."
            }
        };
        f.write_str(sentence)
    }
}

impl std::error::Error for ShapeError {}

/// Refuses what is not finite or not above 0.
pub(super) fn positive(what: &'static str, value: f64) -> Result<f64, ShapeError> {
    match value {
        value if !value.is_finite() => Err(ShapeError::NotFinite { what }),
        value if value <= 0.0 => Err(ShapeError::NotPositive { what }),
        value => Ok(value),
    }
}

/// Refuses what is not finite or below 0.
pub(super) fn not_negative(what: &'static str, value: f64) -> Result<f64, ShapeError> {
    match value {
        value if !value.is_finite() => Err(ShapeError::NotFinite { what }),
        value if value < 0.0 => Err(ShapeError::Negative { what }),
        value => Ok(value),
    }
}

/// A length of a piece in mm.
pub(super) fn size(what: &'static str, length: Millimetres) -> Result<f64, ShapeError> {
    let length = positive(what, length.value())?;
    if (SIZES.0..=SIZES.1).contains(&length) {
        Ok(length)
    } else {
        Err(ShapeError::OutOfSize { what })
    }
}
