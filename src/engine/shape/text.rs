//! The lines that show how a shape was worked out.

use super::solid::Plain;
use super::{Axis, Base, Join, RingBy, Shape};
use crate::engine::quantity::{Millilitres, Millimetres, SquareMetres};
use crate::engine::takeoff::{Quantity, Sum};

/// Three sizes under their names.
fn three(names: [&'static str; 3], sizes: [Millimetres; 3]) -> Sum {
    let mut sum = Sum::default();
    for (name, size) in names.into_iter().zip(sizes) {
        sum = sum.with(name, Quantity::Length(size));
    }
    sum
}

/// What was measured, and how its area and volume follow.
fn measured(shape: &Shape) -> (Sum, &'static str, &'static str) {
    let line =
        |text: &'static str, size: &Millimetres| Sum::default().with(text, Quantity::Length(*size));
    match shape {
        Shape::Ellipsoid { length, breadth, height } => (
            three(
                ["Ellipsoid, length", "Ellipsoid, breadth", "Ellipsoid, height"],
                [*length, *breadth, *height],
            ),
            "Its area, by the exact integral",
            "Volume: pi/6 x length x breadth x height",
        ),
        Shape::HalfEllipsoid { length, breadth, height, cut } => (
            three(
                match cut {
                    Axis::Length => {
                        ["Half ellipsoid, rise", "Its breadth", "Its length on the board"]
                    }
                    Axis::Breadth => {
                        ["Half ellipsoid, length", "Its rise", "Its breadth on the board"]
                    }
                    Axis::Height => ["Half ellipsoid, length", "Its breadth", "Its rise"],
                },
                [*length, *breadth, *height],
            ),
            "Its area, half of the whole one's by the exact integral",
            "Volume: pi/6 x all three",
        ),
        Shape::Cylinder { width, height } => (
            line("Cylinder, width", width).then(line("Cylinder, height", height)),
            "Its area: pi x width x height + its top",
            "Volume: pi/4 x width x width x height",
        ),
        Shape::Frustum { bottom, top, height } => (
            three(
                ["Taper, width at the bottom", "Taper, width at the top", "Taper, height"],
                [*bottom, *top, *height],
            ),
            "Its area: mean girth x slope + its top",
            "Volume: pi/12 x height x (bottom² + bottom x top + top²)",
        ),
        Shape::Cap { ball, height } => (
            line("Cap, width of its ball", ball).then(line("Cap, height", height)),
            "Its area: pi x ball x height",
            "Volume: pi x height² x (ball / 2 - height / 3)",
        ),
        Shape::Box { length, breadth, height } => (
            three(["Box, length", "Box, breadth", "Box, height"], [*length, *breadth, *height]),
            "Its area: four walls + its top",
            "Volume: length x breadth x height",
        ),
        Shape::HalfRound { width, length } => (
            line("Half-round, width", width).then(line("Half-round, length", length)),
            "Its area: half of the girth x length + two ends",
            "Volume: pi/8 x width x width x length",
        ),
        Shape::Prism { base, height } => (
            match base {
                Base::Measured { area, outline } => Sum::default()
                    .with("Base, area", Quantity::Area(*area))
                    .with("Base, outline", Quantity::Length(*outline)),
                Base::Triangle(sides) => three(["Base, side"; 3], *sides),
                Base::Regular { sides, side } => Sum::default()
                    .with("Base, sides", Quantity::Count(*sides))
                    .with("Base, each side", Quantity::Length(*side)),
            }
            .then(line("Prism, height", height)),
            "Its area: outline x height + its top",
            "Volume: base x height",
        ),
        Shape::Lathe { rings, by } => {
            let across = match by {
                RingBy::Radius => "Radius there",
                RingBy::Width => "Width there",
                RingBy::Girth => "Girth there",
            };
            let mut sum = Sum::default();
            for ring in rings {
                sum = sum
                    .with("Ring, height", Quantity::Length(ring.height))
                    .with(across, Quantity::Length(ring.size));
            }
            (
                sum,
                "Its area: mean girth x slope from ring to ring + its top",
                "Volume: taper by taper from ring to ring",
            )
        }
        Shape::Girth { girth, height, form } => (
            line("Girth at the base", girth)
                .then(line("Height", height))
                .with("Form factor", Quantity::Factor(*form)),
            "Its area: of the taper with that form factor",
            "Volume: form factor x girth² / (4 pi) x height",
        ),
    }
}

/// All lines of one shape; its area is that without its base.
pub(super) fn shape(shape: &Shape, plain: &Plain) -> Sum {
    let (sum, area, volume) = measured(shape);
    let sum = sum.with(area, Quantity::Area(SquareMetres(plain.area / 1e6)));
    let sum = if plain.base > 0.0 {
        sum.with("Its base", Quantity::Area(SquareMetres(plain.base / 1e6)))
    } else {
        sum
    };
    sum.with(volume, Quantity::Volume(Millilitres(plain.volume / 1e3)))
}

/// What is said of the contact of a part with the rest.
pub(super) const fn join(join: Join) -> &'static str {
    match join {
        Join::OnTop => "Put on top; the contact, off twice",
        Join::Beside => "Put beside; the contact, off twice",
        Join::Cut => "Cut out; its mouth, off twice",
    }
}
