//! Shapes: a piece on the bench as bodies that callipers and a tape can measure.
//!
//! Most originals are no simple body, yet near enough to one, or to a few put
//! together, to say what a mould of it takes before any clay is laid. Each
//! gives its area, volume, outlines and the blanket of a thickness on it.
//! Area x thickness leaves out that the outside of a blanket is larger (9 % on
//! a ball of 200 mm under 10 mm): the true offset and the simple figure stand
//! side by side, so that either can be followed.
//!
//! All of it is planning: a piece differs from the body that stands for it, so
//! find the volume a second way and compare ([`super::takeoff::compare_volumes`]).

mod check;
mod elliptic;
mod error;
mod lathe;
mod piece;
mod solid;
mod text;
mod ways;

pub use error::ShapeError;
pub use piece::{blanket, measure};
pub use ways::{ByWeight, area_by_paper, density_in_pot, volume_by_fill, volume_by_weight};

use super::quantity::{Millilitres, Millimetres, SquareMetres};

/// A direction of a piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Axis {
    /// Front to back.
    Length,
    /// Left to right.
    Breadth,
    /// Bottom to top.
    Height,
}

/// The base of a prism.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Base {
    /// Any outline, by its area and its length on the tape. Its blanket is true
    /// for one without hollows, and taken as an estimate.
    Measured {
        /// Area, e.g. by a weighed paper pattern.
        area: SquareMetres,
        /// Length of the outline.
        outline: Millimetres,
    },
    /// A triangle by its three sides.
    Triangle([Millimetres; 3]),
    /// A regular polygon.
    Regular {
        /// Number of sides, from 3 to 100.
        sides: u32,
        /// Length of each.
        side: Millimetres,
    },
}

/// How the rings of a profile are measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RingBy {
    /// From the middle line outwards.
    Radius,
    /// Across, with callipers.
    Width,
    /// Round it, with a tape. A section that is not round holds less than the
    /// circle of its girth, so area and volume come out high.
    Girth,
}

/// A ring of a profile.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ring {
    /// Height from any mark below, the same for all.
    pub height: Millimetres,
    /// Its radius, width or girth; 0 only at a tip.
    pub size: Millimetres,
}

/// A body by what is measured on it. Lengths are from 0.01 mm to 100 m; widths
/// are all the way across.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// An egg or ball, a head: three widths.
    Ellipsoid {
        /// Front to back.
        length: Millimetres,
        /// Left to right.
        breadth: Millimetres,
        /// Bottom to top.
        height: Millimetres,
    },
    /// Half of one through its middle, lying on the cut: a mask, a dome. Sizes
    /// are those of the half as it is; the one along `cut` is its rise.
    HalfEllipsoid {
        /// Front to back.
        length: Millimetres,
        /// Left to right.
        breadth: Millimetres,
        /// Bottom to top.
        height: Millimetres,
        /// The size that was halved, which points up when it lies on the cut.
        cut: Axis,
    },
    /// A round column.
    Cylinder {
        /// Across.
        width: Millimetres,
        /// Upwards.
        height: Millimetres,
    },
    /// A round taper: bucket, plinth.
    Frustum {
        /// Across its base.
        bottom: Millimetres,
        /// Across its top; 0 for a cone.
        top: Millimetres,
        /// Upwards, not along the slope.
        height: Millimetres,
    },
    /// What is cut off a ball: less than half of it, or more. See [`Shape::cap_on`]
    /// for one measured across its base.
    Cap {
        /// Across the whole ball.
        ball: Millimetres,
        /// Of the cap, at most the ball's width.
        height: Millimetres,
    },
    /// A box, or a slab.
    Box {
        /// Front to back.
        length: Millimetres,
        /// Left to right.
        breadth: Millimetres,
        /// Bottom to top.
        height: Millimetres,
    },
    /// A half-round moulding on its flat.
    HalfRound {
        /// Across the flat: twice the rise.
        width: Millimetres,
        /// Along it.
        length: Millimetres,
    },
    /// Upright walls over a base.
    Prism {
        /// The base.
        base: Base,
        /// Upwards.
        height: Millimetres,
    },
    /// A turned body by rings up its height, straight in between: baluster,
    /// vase, finial. From 2 to 200 rings from the bottom up; two at one height
    /// are a step.
    Lathe {
        /// The rings.
        rings: Vec<Ring>,
        /// How they are measured.
        by: RingBy,
    },
    /// A tapering body by one girth and its height, when nothing else is known.
    Girth {
        /// Round its base, where it is widest.
        girth: Millimetres,
        /// Upwards.
        height: Millimetres,
        /// Its volume over that of the cylinder round it: cylinder 1, half an
        /// egg 2/3, cone 1/3; from 1/4 to 1.
        form: f64,
    },
}

/// How a further part joins a piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Join {
    /// Stands on what is there.
    OnTop,
    /// Stands next to it, on the same board.
    Beside,
    /// Is taken out of it: a hollow, a niche, a hole.
    Cut,
}

/// A further part of a piece.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Its shape.
    pub shape: Shape,
    /// How it joins.
    pub join: Join,
    /// Where it touches (of a cut, its mouth): hidden on both, so taken off
    /// twice. The mouth of a hole on an uncovered base counts half.
    pub contact: SquareMetres,
}

/// A piece: a shape, or some put together.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// The part that it stands on.
    pub first: Shape,
    /// Further parts in the order of joining, at most 50.
    pub more: Vec<Part>,
    /// What carving, hair or folds add to the area: 1 for a smooth piece, at
    /// most 10. A guess, so the other way to a volume counts more.
    pub detail: f64,
}

/// Which faces are covered.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Faces {
    /// All of them, the base too.
    All,
    /// All but the flat that it stands on. Nothing gets below the board. A whole
    /// ellipsoid stands on no board, since it is bedded to its middle: it is
    /// covered all round either way.
    WithoutBase,
}

/// A piece seen from one side: what a liquid lifts or pushes against when the
/// mould parts square to that, and the line that a flange then follows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// Projected area.
    pub area: SquareMetres,
    /// Length of its outline.
    pub outline: Millimetres,
}

/// What a piece measures. Of a piece of several parts, and of prisms from the
/// front and side, views and `rim` are upper bounds: what has to hold is then
/// never reckoned too low.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measures {
    /// Area of the faces covered, with its detail.
    pub area: SquareMetres,
    /// Area of the flat that it stands on; 0 for a whole ellipsoid.
    pub base: SquareMetres,
    /// Its volume.
    pub volume: Millilitres,
    /// Length round its base; of a whole ellipsoid, level round its middle.
    pub rim: Millimetres,
    /// Its height.
    pub height: Millimetres,
    /// Seen from above.
    pub above: View,
    /// Seen from the front: along its length.
    pub front: View,
    /// Seen from the side: across its length.
    pub side: View,
}

/// What a blanket of even thickness holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Blanket {
    /// Everything outside the piece that is no farther from it than the
    /// thickness.
    pub offset: Millilitres,
    /// Area x thickness, as it is done on paper.
    pub simple: Millilitres,
    /// Whether `offset` is true for the body. It is an estimate for several
    /// parts, a detail factor, a prism by area and outline, and a form factor.
    pub exact: bool,
}

#[cfg(test)]
mod laws;
#[cfg(test)]
mod tests;
