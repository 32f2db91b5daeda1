//! From what was measured to a checked body.

use super::error::{ShapeError, not_negative, positive, size};
use super::lathe::{self, MOST_RINGS};
use super::solid::{Solid, regular, tapered, triangle};
use super::{Axis, Base, Piece, Ring, RingBy, Shape, elliptic};
use crate::engine::quantity::{Millimetres, SquareMetres};
use std::f64::consts::{PI, TAU};

/// A length that may be 0: of a tip, or of a mark to measure from.
fn may_be_nought(what: &'static str, length: Millimetres) -> Result<f64, ShapeError> {
    match not_negative(what, length.value())? {
        0.0 => Ok(0.0),
        _ => size(what, length),
    }
}

/// Length, breadth and height in mm.
fn three(
    length: Millimetres,
    breadth: Millimetres,
    height: Millimetres,
) -> Result<[f64; 3], ShapeError> {
    Ok([size("The length", length)?, size("The breadth", breadth)?, size("The height", height)?])
}

/// Rings in mm above the lowest.
fn profile(rings: &[Ring], by: RingBy) -> Result<Vec<lathe::Ring>, ShapeError> {
    if rings.len() > MOST_RINGS {
        return Err(ShapeError::TooManyRings);
    }
    let (what, to_radius) = match by {
        RingBy::Radius => ("The radius of a ring", 1.0),
        RingBy::Width => ("The width of a ring", 0.5),
        RingBy::Girth => ("The girth of a ring", 1.0 / TAU),
    };
    let mut checked = Vec::new();
    let mut bottom = 0.0;
    for (index, ring) in rings.iter().enumerate() {
        let height = may_be_nought("The height of a ring", ring.height)?;
        if index == 0 {
            bottom = height;
        }
        let radius = may_be_nought(what, ring.size)? * to_radius;
        checked.push(lathe::Ring { height: height - bottom, radius });
    }
    lathe::check(&checked)?;
    Ok(checked)
}

/// A prism over its base.
fn prism(base: &Base, height: f64) -> Result<Solid, ShapeError> {
    let (area, outline, wide, convex) = match base {
        Base::Measured { area, outline } => {
            let area = positive("The area of the base", area.value())? * 1e6;
            let outline = size("The outline of the base", *outline)?;
            // No figure holds more than a circle of its outline. The hair's
            // breadth lets a circle be one.
            if area > outline * outline / (4.0 * PI) * (1.0 + 1e-6) {
                return Err(ShapeError::OutlineTooShort);
            }
            // Nor is one wider than half of its outline.
            (area, outline, outline / 2.0, false)
        }
        Base::Triangle(sides) => {
            let mut lengths = [0.0; 3];
            for (length, side) in lengths.iter_mut().zip(sides) {
                *length = size("The side of the base", *side)?;
            }
            let (area, wide) = triangle(lengths)?;
            (area, lengths[0] + lengths[1] + lengths[2], wide, true)
        }
        Base::Regular { sides, side } => {
            if !(3..=100).contains(sides) {
                return Err(ShapeError::NotAPolygon);
            }
            let (area, outline, wide) = regular(*sides, size("The side of the base", *side)?);
            (area, outline, wide, true)
        }
    };
    Ok(Solid::Prism { area, outline, wide: [wide, wide], height, convex })
}

impl Shape {
    /// The cap of a ball, by its width across the base and its height.
    ///
    /// # Errors
    /// [`ShapeError`] when a size is not one of a piece, or the cap so flat that
    /// its ball is larger than 100 m.
    pub fn cap_on(width: Millimetres, height: Millimetres) -> Result<Shape, ShapeError> {
        let (radius, rise) = (size("The width", width)? / 2.0, size("The height", height)?);
        // Intersecting chords: radius² = rise x (ball - rise).
        let ball = Millimetres(radius * radius / rise + rise);
        size("The ball of that cap", ball)?;
        Ok(Shape::Cap { ball, height })
    }

    /// An ellipsoid whose level girth is what the tape says: length and breadth
    /// grow or shrink alike until it is.
    ///
    /// A head is fuller than the ellipse of its length and breadth, which is 3
    /// to 5 % short of the tape (ANSUR II survey, 6068 people), and so an area
    /// from callipers alone comes out short.
    ///
    /// # Errors
    /// [`ShapeError`] when a size is not one of a piece, or the girth is one
    /// that no rounded section of that length and breadth can have.
    pub fn ellipsoid_to_girth(
        length: Millimetres,
        breadth: Millimetres,
        height: Millimetres,
        girth: Millimetres,
    ) -> Result<Shape, ShapeError> {
        let [l, b, _] = three(length, breadth, height)?;
        let taped = size("The girth", girth)?;
        // A tight tape that touches all four sides of the rectangle l x b is no
        // shorter than two of its diagonals, no longer than its four sides.
        if taped < 2.0 * l.hypot(b) || taped > 2.0 * (l + b) {
            return Err(ShapeError::GirthMismatch);
        }
        let factor = taped / elliptic::ellipse_girth(l / 2.0, b / 2.0);
        Ok(Shape::Ellipsoid { length: length * factor, breadth: breadth * factor, height })
    }

    /// The checked body.
    pub(super) fn solid(&self) -> Result<Solid, ShapeError> {
        Ok(match self {
            Self::Ellipsoid { length, breadth, height } => {
                let [l, b, h] = three(*length, *breadth, *height)?;
                Solid::Ellipsoid { axes: [l / 2.0, b / 2.0, h / 2.0], half: false }
            }
            Self::HalfEllipsoid { length, breadth, height, cut } => {
                let [l, b, h] = three(*length, *breadth, *height)?;
                let (plan_length, plan_breadth, rise) = match cut {
                    Axis::Length => (h, b, l),
                    Axis::Breadth => (l, h, b),
                    Axis::Height => (l, b, h),
                };
                Solid::Ellipsoid { axes: [plan_length / 2.0, plan_breadth / 2.0, rise], half: true }
            }
            Self::Cylinder { width, height } => {
                let (width, height) = (size("The width", *width)?, size("The height", *height)?);
                Solid::Prism {
                    area: PI * width * width / 4.0,
                    outline: PI * width,
                    wide: [width, width],
                    height,
                    convex: true,
                }
            }
            Self::Frustum { bottom, top, height } => {
                let bottom = may_be_nought("The width at the bottom", *bottom)? / 2.0;
                let top = may_be_nought("The width at the top", *top)? / 2.0;
                let height = size("The height", *height)?;
                let rings = vec![
                    lathe::Ring { height: 0.0, radius: bottom },
                    lathe::Ring { height, radius: top },
                ];
                lathe::check(&rings)?;
                Solid::Turned { rings, volume: None }
            }
            Self::Cap { ball, height } => {
                let (ball, height) = (size("The ball", *ball)?, size("The height", *height)?);
                if height > ball {
                    return Err(ShapeError::CapTooHigh);
                }
                Solid::Cap { ball: ball / 2.0, height }
            }
            Self::Box { length, breadth, height } => {
                let [l, b, height] = three(*length, *breadth, *height)?;
                let outline = 2.0 * (l + b);
                Solid::Prism { area: l * b, outline, wide: [b, l], height, convex: true }
            }
            Self::HalfRound { width, length } => Solid::HalfRound {
                radius: size("The width", *width)? / 2.0,
                length: size("The length", *length)?,
            },
            Self::Prism { base, height } => prism(base, size("The height", *height)?)?,
            Self::Lathe { rings, by } => {
                Solid::Turned { rings: profile(rings, *by)?, volume: None }
            }
            Self::Girth { girth, height, form } => {
                let radius = size("The girth", *girth)? / TAU;
                let height = size("The height", *height)?;
                // Not-a-number is in no range.
                if !(0.25..=1.0).contains(form) {
                    return Err(ShapeError::FormOutOfRange);
                }
                tapered(radius, height, *form)
            }
        })
    }
}

impl Piece {
    /// A smooth piece of one shape.
    pub const fn of(shape: Shape) -> Self {
        Self { first: shape, more: Vec::new(), detail: 1.0 }
    }

    /// The piece with one more part.
    #[must_use]
    pub fn with(mut self, shape: Shape, join: super::Join, contact: SquareMetres) -> Self {
        self.more.push(super::Part { shape, join, contact });
        self
    }
}
