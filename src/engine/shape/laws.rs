//! Laws that hold for every piece, tried on random ones.

use super::*;
use proptest::prelude::*;

fn mm(length: f64) -> Millimetres {
    Millimetres(length)
}

/// Sizes of a bench piece.
fn size() -> impl Strategy<Value = f64> {
    5.0..900.0_f64
}

/// A kind of shape, and three sizes with a share from 1/4 to 1.
fn any_shape() -> impl Strategy<Value = (u8, [f64; 4])> {
    let sizes = (size(), size(), size(), 0.25..1.0_f64);
    (0..11_u8, sizes.prop_map(|(a, b, c, share)| [a, b, c, share]))
}

/// Any number at all, and often one that passes for a length.
fn any_number() -> impl Strategy<Value = f64> {
    prop_oneof![any::<f64>(), (-3.0..6.0_f64).prop_map(|power| 10.0_f64.powf(power))]
}

/// The shape of that kind with those sizes, all lengths times `k`.
fn scaled((kind, [a, b, c, share]): (u8, [f64; 4]), k: f64) -> Shape {
    let (length, breadth, height) = (mm(a * k), mm(b * k), mm(c * k));
    match kind {
        0 => Shape::Ellipsoid { length, breadth, height },
        1 => Shape::HalfEllipsoid { length, breadth, height, cut: Axis::Length },
        2 => Shape::Cylinder { width: breadth, height },
        3 => Shape::Frustum { bottom: length, top: breadth, height },
        4 => Shape::Cap { ball: length, height: length * share },
        5 => Shape::Box { length, breadth, height },
        6 => Shape::HalfRound { width: breadth, length },
        7 => Shape::Prism { base: Base::Regular { sides: 5, side: breadth }, height },
        8 => Shape::Prism { base: Base::Triangle([length, length, length * share]), height },
        9 => {
            // Width falls ever faster with height: convex, as the laws want it.
            let at =
                |share: f64| Ring { height: height * share, size: length * (1.0 - share * share) };
            let rings = [0.0, 0.3, 0.5, 0.8, 1.0].map(at).to_vec();
            Shape::Lathe { rings, by: RingBy::Girth }
        }
        _ => Shape::Girth { girth: length, height, form: share.max(1.0 / 3.0) },
    }
}

fn near(found: f64, expected: f64) -> bool {
    (found - expected).abs() <= 1e-9 * expected.abs()
}

fn laid(shape: &Shape, faces: Faces, thickness: f64) -> Blanket {
    blanket(&Piece::of(shape.clone()), faces, mm(thickness)).unwrap().result
}

proptest! {
    /// Lengths grow with the scale, areas with its square, volumes with its cube.
    #[test]
    fn figures_scale(kind in any_shape(), k in 0.3..8.0_f64, all in any::<bool>()) {
        let faces = if all { Faces::All } else { Faces::WithoutBase };
        let (one, other) = (scaled(kind, 1.0), scaled(kind, k));
        let small = measure(&Piece::of(one.clone()), faces).unwrap().result;
        let large = measure(&Piece::of(other.clone()), faces).unwrap().result;
        prop_assert!(near(large.area.value(), small.area.value() * k * k));
        prop_assert!(near(large.volume.value(), small.volume.value() * k * k * k));
        prop_assert!(near(large.rim.value(), small.rim.value() * k));
        prop_assert!(near(large.side.area.value(), small.side.area.value() * k * k));
        prop_assert!(near(large.front.outline.value(), small.front.outline.value() * k));
        let (thin, thick) = (laid(&one, faces, 8.0), laid(&other, faces, 8.0 * k));
        prop_assert!(near(thick.offset.value(), thin.offset.value() * k * k * k));
    }

    /// On a convex body the true offset is never below area x thickness when
    /// all faces are covered, and a thicker blanket holds more.
    #[test]
    fn a_convex_blanket_holds_more_than_area_by_thickness(
        kind in any_shape(), t in 0.5..60.0_f64, more in 1.01..3.0_f64,
    ) {
        let shape = scaled(kind, 1.0);
        let thin = laid(&shape, Faces::All, t);
        // A tapering body by its form factor is a little hollow; the tolerance
        // is that of the last sum over the heights.
        if kind.0 != 10 {
            prop_assert!(thin.offset.value() >= thin.simple.value() * (1.0 - 1e-5));
        }
        for faces in [Faces::All, Faces::WithoutBase] {
            let (thin, thick) = (laid(&shape, faces, t), laid(&shape, faces, t * more));
            prop_assert!(thick.offset > thin.offset);
            prop_assert!(thin.offset.value() > 0.0);
        }
        prop_assert!(laid(&shape, Faces::WithoutBase, t).offset <= thin.offset);
    }

    /// A thin blanket is area x thickness.
    #[test]
    fn a_film_is_area_by_thickness(kind in any_shape(), all in any::<bool>()) {
        let faces = if all { Faces::All } else { Faces::WithoutBase };
        let film = laid(&scaled(kind, 100.0), faces, 0.05);
        let off = film.offset / film.simple - 1.0;
        prop_assert!(off.abs() < 2e-3, "{off}");
    }

    /// No section or shadow is larger than what it belongs to: a convex body's
    /// shadow is at most half of its area (Cauchy), its volume at most that of
    /// a ball of its area.
    #[test]
    fn shadows_and_volumes_keep_their_bounds(kind in any_shape()) {
        let found = measure(&Piece::of(scaled(kind, 1.0)), Faces::All).unwrap().result;
        let area = found.area.value();
        for view in [found.above, found.front, found.side] {
            prop_assert!(view.area.value() <= area / 2.0 * (1.0 + 1e-9));
            let round = view.outline.value() / 1000.0;
            let most = round * round / (4.0 * std::f64::consts::PI);
            prop_assert!(view.area.value() <= most * (1.0 + 1e-9));
        }
        let most = (area * area * area / (36.0 * std::f64::consts::PI)).sqrt() * 1e6;
        prop_assert!(found.volume.value() <= most * (1.0 + 1e-9));
    }

    /// Parts beside each other add up, and what is cut out is taken off.
    #[test]
    fn parts_add(one in any_shape(), other in any_shape(), all in any::<bool>()) {
        let faces = if all { Faces::All } else { Faces::WithoutBase };
        let (one, other) = (scaled(one, 1.0), scaled(other, 1.0));
        let alone = |shape: &Shape| measure(&Piece::of(shape.clone()), faces).unwrap().result;
        let (a, b) = (alone(&one), alone(&other));
        let contact = a.area.min(b.area) * 0.1;
        let pair = Piece::of(one.clone()).with(other.clone(), Join::Beside, contact);
        let both = measure(&pair, faces).unwrap().result;
        prop_assert!(near((both.area + contact * 2.0).value(), (a.area + b.area).value()));
        prop_assert!(near(both.volume.value(), (a.volume + b.volume).value()));
        prop_assert!(both.height == a.height.max(b.height));
        let apart = Piece::of(one.clone()).with(other.clone(), Join::Beside, SquareMetres(0.0));
        let laid_apart = blanket(&apart, Faces::All, mm(9.0)).unwrap().result;
        let sum = laid(&one, Faces::All, 9.0).offset + laid(&other, Faces::All, 9.0).offset;
        prop_assert!(near(laid_apart.offset.value(), sum.value()));
        let cut = Piece::of(one).with(other, Join::Cut, SquareMetres(0.0));
        match measure(&cut, faces) {
            Ok(left) => {
                let whole = left.result.volume + b.volume;
                prop_assert!((whole / a.volume - 1.0).abs() < 1e-9);
            }
            Err(error) => {
                prop_assert_eq!(error, ShapeError::NothingLeft);
                prop_assert!(b.volume >= a.volume);
            }
        }
    }

    /// A thicker blanket on a block with a hole, round or not, holds more, and
    /// never more than what it holds with the hole filled up.
    #[test]
    fn a_hole_takes_no_more_than_it_is(
        r in 3.0..80.0_f64, deep in 3.0..90.0_f64, round in any::<bool>(),
        t in 0.5..100.0_f64, more in 1.01..2.0_f64,
    ) {
        let block = Shape::Box { length: mm(200.0), breadth: mm(200.0), height: mm(100.0) };
        let (width, height) = (mm(2.0 * r), mm(deep));
        let hole = if round {
            Shape::Cylinder { width, height }
        } else {
            Shape::HalfEllipsoid { length: width, breadth: width, height, cut: Axis::Height }
        };
        let mouth = SquareMetres(std::f64::consts::PI * r * r / 1e6);
        let holed = Piece::of(block.clone()).with(hole.clone(), Join::Cut, mouth);
        let laid_on = |t| blanket(&holed, Faces::WithoutBase, mm(t)).unwrap().result.offset;
        prop_assert!(laid_on(t * more) > laid_on(t));
        let filled = laid(&block, Faces::WithoutBase, t).offset;
        let volume = measure(&Piece::of(hole), Faces::All).unwrap().result.volume;
        prop_assert!(laid_on(t) < filled + volume);
    }

    /// Any numbers at all are worked out or refused, never passed on broken.
    #[test]
    fn nothing_comes_out_broken(
        kind in 0..11_u8,
        sizes in [any_number(), any_number(), any_number()],
        share in 0.0..1.1_f64,
        t in any_number(),
    ) {
        let piece = Piece::of(scaled((kind, [sizes[0], sizes[1], sizes[2], share]), 1.0));
        if let Ok(found) = measure(&piece, Faces::All) {
            prop_assert!(found.result.area.is_finite() && found.result.volume.is_finite());
        }
        if let Ok(found) = blanket(&piece, Faces::WithoutBase, mm(t)) {
            prop_assert!(found.result.offset.is_finite() && found.result.simple.is_finite());
        }
    }
}
