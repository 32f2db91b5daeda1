//! A whole piece: its parts added up, and the sum that shows it.

use super::error::{ShapeError, not_negative, size};
use super::solid::{Plain, Solid, contact_blanket};
use super::{Blanket, Faces, Join, Measures, Part, Piece, Shape, View, text};
use crate::engine::quantity::{Millilitres, Millimetres, SquareMetres};
use crate::engine::takeoff::{Quantity, Sum, Worked};
use std::f64::consts::{FRAC_PI_2, PI};

/// The most parts after the first.
const MOST_PARTS: usize = 50;

fn millilitres(cubic_millimetres: f64) -> Millilitres {
    Millilitres(cubic_millimetres / 1e3)
}

fn square_metres(square_millimetres: f64) -> SquareMetres {
    SquareMetres(square_millimetres / 1e6)
}

fn view((area, outline): (f64, f64)) -> View {
    View { area: square_metres(area), outline: Millimetres(outline) }
}

/// A piece added up, in mm, mm² and mm³. `plain.area` is that of the covered
/// faces, without its detail.
struct Whole {
    plain: Plain,
    /// What the blanket holds; 0 when no thickness is asked for.
    blanket: f64,
    exact: bool,
    sum: Sum,
}

/// Area of the faces of a part that are covered.
fn covered(plain: &Plain, base: bool) -> f64 {
    if base { plain.area + plain.base } else { plain.area }
}

/// What a lining of thickness `t` adds in a cut, less what the blanket over its
/// mouth loses: all but a quarter ring round it (Pappus), as for a round mouth.
/// A mouth narrower than that stays bridged, however thick the blanket. A cut
/// right through has two.
fn lining(solid: &Solid, plain: &Plain, contact: f64, t: f64) -> f64 {
    let mouths = if plain.base > 0.0 && contact > 1.75 * plain.base { 2.0 } else { 1.0 };
    let mouth = contact / mouths;
    let t_mouth = t.min((mouth / PI).sqrt());
    let ring = FRAC_PI_2 * (PI * mouth).sqrt() * t_mouth * t_mouth
        - 2.0 / 3.0 * PI * t_mouth * t_mouth * t_mouth;
    plain.volume - solid.left_inside(plain, contact, t) + mouths * (ring - mouth * t_mouth)
}

/// What two parts that touch on one board, or on each other, lose of their
/// blankets. On a board nothing is below it: half of the same two standing on
/// their mirror images, with twice the contact.
fn lost_between(contact: f64, on_board: bool, t: f64) -> f64 {
    if contact <= 0.0 {
        // They stand apart.
        0.0
    } else if on_board {
        contact_blanket(2.0 * contact, t) / 2.0
    } else {
        contact_blanket(contact, t)
    }
}

impl Whole {
    /// The first part alone.
    fn of(shape: &Shape, base: bool, t: f64) -> Result<Self, ShapeError> {
        let solid = shape.solid()?;
        let mut plain = solid.plain();
        let sum = text::shape(shape, &plain);
        plain.area = covered(&plain, base);
        Ok(Self { plain, blanket: solid.blanket(base, t), exact: solid.is_exact(), sum })
    }

    /// With a further part.
    fn join(mut self, part: &Part, base: bool, t: f64) -> Result<Self, ShapeError> {
        let solid = part.shape.solid()?;
        let new = solid.plain();
        let contact = not_negative("The contact", part.contact.value())? * 1e6;
        let below = base || part.join != Join::Beside;
        let area = covered(&new, below);
        if contact > area || contact > self.plain.area {
            return Err(ShapeError::ContactTooLarge);
        }
        let whole = &mut self.plain;
        whole.area += area - 2.0 * contact;
        if part.join == Join::Cut {
            self.blanket += lining(&solid, &new, contact, t);
            whole.volume -= new.volume;
            if whole.volume <= 0.0 {
                return Err(ShapeError::NothingLeft);
            }
        } else {
            self.blanket += solid.blanket(below, t) - lost_between(contact, !below, t);
            whole.volume += new.volume;
            for (index, (old, seen)) in whole.views.iter_mut().zip(new.views).enumerate() {
                if index > 0 || part.join == Join::Beside {
                    *old = (old.0 + seen.0, old.1 + seen.1);
                } else if seen.0 > old.0 {
                    *old = seen;
                }
            }
            if part.join == Join::OnTop {
                whole.height += new.height;
            } else {
                whole.height = whole.height.max(new.height);
                whole.base += new.base;
                whole.rim += new.rim;
            }
        }
        self.exact = false;
        self.sum = self
            .sum
            .then(text::shape(&part.shape, &new))
            .with(text::join(part.join), Quantity::Area(part.contact));
        Ok(self)
    }

    /// All of a piece, with the blanket of thickness `t`.
    fn piece(piece: &Piece, faces: Faces, t: f64) -> Result<Self, ShapeError> {
        if !(1.0..=10.0).contains(&piece.detail) {
            return Err(ShapeError::DetailOutOfRange);
        }
        if piece.more.len() > MOST_PARTS {
            return Err(ShapeError::TooManyParts);
        }
        let base = faces == Faces::All;
        let mut whole = Self::of(&piece.first, base, t)?;
        for part in &piece.more {
            whole = whole.join(part, base, t)?;
        }
        let smooth = whole.plain.area;
        if smooth <= 0.0 {
            return Err(ShapeError::ContactTooLarge);
        }
        whole.sum = whole.sum.with(
            if base { "Area of all faces" } else { "Area without what it stands on" },
            Quantity::Area(square_metres(smooth)),
        );
        if piece.detail > 1.0 {
            whole.exact = false;
            whole.plain.area = smooth * piece.detail;
            whole.blanket += (whole.plain.area - smooth) * t;
            whole.sum = whole
                .sum
                .with("Detail, times", Quantity::Factor(piece.detail))
                .with("Area with its detail", Quantity::Area(square_metres(whole.plain.area)));
        }
        Ok(whole)
    }
}

/// Area, volume, outlines and projected areas of a piece. The last line of its
/// sum is the volume.
///
/// # Errors
/// [`ShapeError`] when a size is missing, not above 0 or not one of a piece,
/// when the sizes of a shape don't fit each other, or when contacts or cuts are
/// larger than the piece.
pub fn measure(piece: &Piece, faces: Faces) -> Result<Worked<Measures>, ShapeError> {
    let Whole { plain, sum, .. } = Whole::piece(piece, faces, 0.0)?;
    let [above, front, side] = plain.views.map(view);
    let result = Measures {
        area: square_metres(plain.area),
        base: square_metres(plain.base),
        volume: millilitres(plain.volume),
        rim: Millimetres(plain.rim),
        height: Millimetres(plain.height),
        above,
        front,
        side,
    };
    let round = if plain.base > 0.0 { "Round its base" } else { "Round it, level" };
    let sum = sum
        .with("What it stands on", Quantity::Area(result.base))
        .with(round, Quantity::Length(result.rim))
        .with("Height", Quantity::Length(result.height))
        .with("Seen from above", Quantity::Area(above.area))
        .with("Outline from above", Quantity::Length(above.outline))
        .with("Seen from the front", Quantity::Area(front.area))
        .with("Outline from the front", Quantity::Length(front.outline))
        .with("Seen from the side", Quantity::Area(side.area))
        .with("Outline from the side", Quantity::Length(side.outline))
        .with("Volume in all", Quantity::Volume(result.volume));
    Ok(Worked { result, sum })
}

/// What a blanket of even thickness on a piece holds, by its true offset and by
/// area x thickness.
///
/// # Errors
/// [`ShapeError`] as for [`measure`], and when the thickness is not above 0 or
/// not one of a blanket.
pub fn blanket(
    piece: &Piece,
    faces: Faces,
    thickness: Millimetres,
) -> Result<Worked<Blanket>, ShapeError> {
    let t = size("The thickness", thickness)?;
    let whole = Whole::piece(piece, faces, t)?;
    if whole.blanket <= 0.0 {
        return Err(ShapeError::ContactTooLarge);
    }
    let simple = square_metres(whole.plain.area) * thickness;
    let offset = millilitres(whole.blanket);
    let last = if whole.exact { "Blanket, true offset" } else { "Blanket, estimated offset" };
    let sum = whole
        .sum
        .with("Thickness", Quantity::Length(thickness))
        .with("Area x thickness", Quantity::Volume(simple))
        .with("More at curves and corners", Quantity::Volume(offset - simple))
        .with(last, Quantity::Volume(offset));
    Ok(Worked { result: Blanket { offset, simple, exact: whole.exact }, sum })
}
