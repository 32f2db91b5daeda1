//! What is refused, in words, and what a sum shows.

use super::*;
use crate::engine::quantity::{Grams, GramsPerMillilitre};
use crate::engine::takeoff::Quantity;

fn mm(length: f64) -> Millimetres {
    Millimetres(length)
}

fn cube(side: f64) -> Shape {
    Shape::Box { length: mm(side), breadth: mm(side), height: mm(side) }
}

fn lathe(rings: &[(f64, f64)]) -> Shape {
    let rings = rings.iter().map(|(z, r)| Ring { height: mm(*z), size: mm(*r) }).collect();
    Shape::Lathe { rings, by: RingBy::Width }
}

fn refused(shape: Shape) -> ShapeError {
    let piece = Piece::of(shape);
    let error = measure(&piece, Faces::All).unwrap_err();
    assert_eq!(blanket(&piece, Faces::WithoutBase, mm(10.0)).unwrap_err(), error);
    let sentence = error.to_string();
    assert!(sentence.ends_with('.') && sentence.len() > 20, "{sentence}");
    error
}

#[test]
fn a_size_that_is_none_is_refused() {
    for (size, expected) in [
        (f64::NAN, ShapeError::NotFinite { what: "The breadth" }),
        (f64::INFINITY, ShapeError::NotFinite { what: "The breadth" }),
        (0.0, ShapeError::NotPositive { what: "The breadth" }),
        (-5.0, ShapeError::NotPositive { what: "The breadth" }),
        (1e-3, ShapeError::OutOfSize { what: "The breadth" }),
        (1e6, ShapeError::OutOfSize { what: "The breadth" }),
    ] {
        let (length, breadth, height) = (mm(10.0), mm(size), mm(10.0));
        assert_eq!(refused(Shape::Box { length, breadth, height }), expected);
        assert_eq!(refused(Shape::Ellipsoid { length, breadth, height }), expected);
        let cut = Axis::Breadth;
        assert_eq!(refused(Shape::HalfEllipsoid { length, breadth, height, cut }), expected);
    }
}

#[test]
fn sizes_that_do_not_fit_each_other_are_refused() {
    let cap = Shape::Cap { ball: mm(100.0), height: mm(100.1) };
    assert_eq!(refused(cap), ShapeError::CapTooHigh);
    let over = |base: Base| refused(Shape::Prism { base, height: mm(10.0) });
    let sides = [mm(10.0), mm(25.0), mm(15.0)];
    assert_eq!(over(Base::Triangle(sides)), ShapeError::NotATriangle);
    assert_eq!(over(Base::Regular { sides: 2, side: mm(9.0) }), ShapeError::NotAPolygon);
    let base = Base::Measured { area: SquareMetres(0.01), outline: mm(350.0) };
    assert_eq!(over(base), ShapeError::OutlineTooShort);
    for form in [f64::NAN, 0.2, 1.01] {
        let taper = Shape::Girth { girth: mm(100.0), height: mm(50.0), form };
        assert_eq!(refused(taper), ShapeError::FormOutOfRange);
    }
    let point = Shape::Frustum { bottom: mm(0.0), top: mm(0.0), height: mm(10.0) };
    assert_eq!(refused(point), ShapeError::ProfileThin);
    for girth in [480.0, 720.0] {
        let head = Shape::ellipsoid_to_girth(mm(200.0), mm(155.0), mm(230.0), mm(girth));
        assert_eq!(head, Err(ShapeError::GirthMismatch));
    }
}

#[test]
fn a_profile_out_of_order_is_refused_by_its_ring() {
    let order = |ring| ShapeError::RingOutOfOrder { ring };
    assert_eq!(refused(lathe(&[])), ShapeError::TooFewRings);
    assert_eq!(refused(lathe(&[(0.0, 10.0)])), ShapeError::TooFewRings);
    assert_eq!(refused(lathe(&[(0.0, 9.0), (5.0, 9.0), (4.0, 9.0)])), order(3));
    assert_eq!(refused(lathe(&[(5.0, 9.0), (4.0, 9.0), (6.0, 9.0)])), order(2));
    let steps = [(0.0, 9.0), (5.0, 9.0), (5.0, 8.0), (5.0, 7.0), (9.0, 7.0)];
    assert_eq!(refused(lathe(&steps)), order(4));
    let pinched = [(0.0, 9.0), (5.0, 0.0), (9.0, 9.0)];
    assert_eq!(refused(lathe(&pinched)), ShapeError::RingPinched { ring: 2 });
    assert_eq!(refused(lathe(&[(3.0, 9.0), (3.0, 5.0)])), ShapeError::ProfileFlat);
    assert_eq!(refused(lathe(&[(3.0, 0.0), (9.0, 0.0)])), ShapeError::ProfileThin);
    let width = ShapeError::Negative { what: "The width of a ring" };
    assert_eq!(refused(lathe(&[(3.0, -1.0), (9.0, 4.0)])), width);
    let many: Vec<_> = (0..=200).map(|index| (f64::from(index), 10.0)).collect();
    assert_eq!(refused(lathe(&many)), ShapeError::TooManyRings);
    let text = ShapeError::RingOutOfOrder { ring: 4 }.to_string();
    assert!(text.starts_with("Ring 4 is not above the one before."), "{text}");
}

#[test]
fn parts_that_can_not_be_are_refused() {
    let with = |shape, join, contact| {
        let piece = Piece::of(cube(100.0)).with(shape, join, SquareMetres(contact));
        measure(&piece, Faces::WithoutBase)
    };
    assert!(with(cube(50.0), Join::OnTop, 0.0025).is_ok());
    let contact = Err(ShapeError::ContactTooLarge);
    assert_eq!(with(cube(50.0), Join::OnTop, 0.02), contact);
    assert_eq!(with(cube(500.0), Join::OnTop, 0.06), contact);
    let negative = Err(ShapeError::Negative { what: "The contact" });
    assert_eq!(with(cube(50.0), Join::Beside, -0.001), negative);
    assert_eq!(with(cube(100.0), Join::Cut, 0.01), Err(ShapeError::NothingLeft));
    let mut piece = Piece::of(cube(100.0));
    for _ in 0..51 {
        piece = piece.with(cube(10.0), Join::Beside, SquareMetres(0.0));
    }
    assert_eq!(measure(&piece, Faces::All), Err(ShapeError::TooManyParts));
    for detail in [f64::NAN, 0.9, 11.0] {
        let piece = Piece { detail, ..Piece::of(cube(100.0)) };
        assert_eq!(measure(&piece, Faces::All), Err(ShapeError::DetailOutOfRange));
    }
    let thickness = blanket(&Piece::of(cube(100.0)), Faces::All, mm(0.0));
    assert_eq!(thickness, Err(ShapeError::NotPositive { what: "The thickness" }));
}

#[test]
fn weighings_that_can_not_be_are_refused() {
    let (one, water) = (Grams(1.0), GramsPerMillilitre(1.0));
    let full = volume_by_fill(Grams(500.0), Grams(500.0), water);
    assert_eq!(full, Err(ShapeError::FullNotHeavier));
    assert!(volume_by_weight(ByWeight::OldCast, Grams(0.0), water).is_err());
    assert!(volume_by_weight(ByWeight::Overflow, one, GramsPerMillilitre(f64::NAN)).is_err());
    // Too large for a number: refused, not passed on as infinite.
    let thin = volume_by_weight(ByWeight::Overflow, Grams(1e300), GramsPerMillilitre(1e-300));
    assert_eq!(thin, Err(ShapeError::NotFinite { what: "The volume" }));
    assert!(density_in_pot(Grams(-1.0), one, water).is_err());
    assert!(area_by_paper(one, one, mm(0.0), mm(100.0)).is_err());
}

#[test]
fn a_sum_shows_what_went_in_and_ends_in_the_result() {
    let piece = Piece { detail: 1.2, ..Piece::of(cube(100.0)) };
    let found = measure(&piece, Faces::WithoutBase).unwrap();
    let line = |text: &str| {
        let line = found.sum.lines.iter().find(|line| line.text == text);
        line.unwrap_or_else(|| panic!("no line {text}")).value
    };
    assert_eq!(line("Box, length"), Quantity::Length(mm(100.0)));
    assert_eq!(line("Detail, times"), Quantity::Factor(1.2));
    assert_eq!(line("Area with its detail"), Quantity::Area(found.result.area));
    let last = found.sum.lines.last().unwrap();
    assert_eq!(last.value, Quantity::Volume(found.result.volume));
    let laid = blanket(&piece, Faces::WithoutBase, mm(10.0)).unwrap();
    assert_eq!(laid.sum.lines.last().unwrap().value, Quantity::Volume(laid.result.offset));
    assert!(!laid.result.exact);
}

/// A body that can be entered two ways has one set of figures.
#[test]
fn a_body_known_two_ways_is_one_body() {
    let (width, height) = (mm(100.0), mm(120.0));
    let half = |cut, length, breadth, height| {
        let (length, breadth, height) = (mm(length), mm(breadth), mm(height));
        Shape::HalfEllipsoid { length, breadth, height, cut }
    };
    let dome = Shape::Cap { ball: width, height: mm(50.0) };
    for (one, other) in [
        (Shape::Cylinder { width, height }, lathe(&[(30.0, 100.0), (150.0, 100.0)])),
        (half(Axis::Height, 100.0, 100.0, 50.0), dome.clone()),
        (half(Axis::Length, 50.0, 100.0, 100.0), dome.clone()),
        (half(Axis::Breadth, 100.0, 50.0, 100.0), dome),
        (
            // A ball on the board, and one that is bedded: alike all round only.
            Shape::Cap { ball: width, height: width },
            Shape::Ellipsoid { length: width, breadth: width, height: width },
        ),
    ] {
        let bedded = matches!(other, Shape::Ellipsoid { .. });
        let faces = if bedded { vec![Faces::All] } else { vec![Faces::All, Faces::WithoutBase] };
        for faces in faces {
            let measures = |shape: &Shape| {
                let found = measure(&Piece::of(shape.clone()), faces).unwrap().result;
                let views = [found.above, found.front, found.side];
                let areas = views.map(|view| view.area.value() * 1e6);
                let outlines = views.map(|view| view.outline.value());
                let laid = blanket(&Piece::of(shape.clone()), faces, mm(20.0)).unwrap().result;
                let more = [found.area.value() * 1e6, found.volume.value(), laid.offset.value()];
                [areas, outlines, more].concat()
            };
            for (a, b) in measures(&one).into_iter().zip(measures(&other)) {
                assert!((a / b - 1.0).abs() < 1e-6, "{a} is not {b}: {one:?}, {faces:?}");
            }
        }
    }
    // Two half-rounds, flat to flat, are a cylinder.
    let round = Piece::of(Shape::HalfRound { width, length: height });
    let tube = Piece::of(Shape::Cylinder { width, height });
    let one = blanket(&round, Faces::WithoutBase, mm(20.0)).unwrap().result;
    let both = blanket(&tube, Faces::All, mm(20.0)).unwrap().result;
    assert!((one.offset * 2.0 / both.offset - 1.0).abs() < 1e-12);
}

/// A body that leans out has what is not above the board cut off: a bucket that
/// stands on its narrow end takes less than one that stands on its wide end.
#[test]
fn nothing_gets_below_the_board() {
    let bucket = |bottom, top| {
        let shape = Shape::Frustum { bottom: mm(bottom), top: mm(top), height: mm(50.0) };
        let laid = |faces| blanket(&Piece::of(shape.clone()), faces, mm(15.0)).unwrap().result;
        (laid(Faces::WithoutBase).offset, laid(Faces::All).offset)
    };
    let (narrow, all) = bucket(60.0, 120.0);
    let (wide, turned_over) = bucket(120.0, 60.0);
    assert!((all / turned_over - 1.0).abs() < 1e-9);
    assert!(narrow < all && wide < all && narrow != wide);
}
