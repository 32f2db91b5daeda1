//! A picture of a scan, to see that it is the right one and what locks.
//!
//! Grey only, so that the screen may tint it to its theme, and what locks is
//! hatched: neither colour-blind eyes nor a sunlit bench take that away.

use super::pull::Undercut;
use super::raster::{Sight, fill};
use super::vector::{Vector, cross, dot, length, normal};
use super::{Direction, Mesh};
use crate::engine::maths::Maths;

/// The largest picture, in pixels along a side.
pub const MOST_PIXELS: usize = 256;
/// Shade of the darkest surface; 0 is no surface at all.
const DARKEST: f64 = 60.0;
/// The hatching: stripes so far apart, so wide, and of this shade.
const STRIPES: (usize, usize, u8) = (6, 2, 1);
/// The sine of the angle from which one looks down: 20°.
const LOOK_DOWN: f64 = 0.342_020_143;

/// From where a scan is looked at.
#[derive(Clone, Copy, Debug)]
pub struct View<'a> {
    /// What is up in the picture, before looking down a little.
    pub up: Direction,
    /// How far the turntable has turned, in degrees.
    pub degrees: f64,
    /// What is to be hatched: found on this very mesh.
    pub undercut: Option<&'a Undercut>,
}

/// Draws a scan on its turntable: `size` by `size` shades (16 to [`MOST_PIXELS`]),
/// row by row from the top; 0 is the background, 255 the brightest surface. The
/// piece keeps its size in the picture as it turns. A million triangles take a
/// good while: turn a coarser one ([`Mesh::coarser`]).
pub fn turntable(mesh: &Mesh, view: &View<'_>, size: usize) -> Vec<u8> {
    let size = size.clamp(16, MOST_PIXELS);
    let sight = Sight::framed(mesh, frame(view));
    // The diagonal of the box fits whichever way it is turned.
    let (low, high) = mesh.bounds();
    let pixel = length(super::vector::sub(high, low)).max(f64::MIN_POSITIVE) / size as f64;
    let margin = [0, 1].map(|axis| (size as f64 - sight.extent[axis] / pixel) / 2.0);

    let mut shades = vec![0_u8; size * size];
    let mut depths = vec![f64::NEG_INFINITY; size * size];
    for (index, face) in mesh.faces.iter().enumerate() {
        let corners = sight.corners(*face);
        let shade = shade(normal(corners));
        let hatched =
            view.undercut.is_some_and(|undercut| undercut.marks.get(index) == Some(&true));
        let corners = corners.map(|[u, v, depth]| {
            // Rows run down.
            [u / pixel + margin[0], size as f64 - (v / pixel + margin[1]), depth]
        });
        fill(corners, size, &mut |at, depth| {
            if depth > depths[at] {
                depths[at] = depth;
                let stripe = hatched && (at / size + at % size) % STRIPES.0 < STRIPES.1;
                shades[at] = if stripe { STRIPES.2 } else { shade };
            }
        });
    }
    shades
}

/// Right, up and towards the viewer.
fn frame(view: &View<'_>) -> [Vector; 3] {
    let (first, second) = view.up.across();
    let (sin, cos) = view.degrees.to_radians().sine_cosine();
    let right = [0, 1, 2].map(|axis| cos * first[axis] + sin * second[axis]);
    // Straight ahead lies across both; looking down tilts it towards up.
    let ahead = cross(right, view.up.0);
    let along = (1.0 - LOOK_DOWN * LOOK_DOWN).sqrt();
    let viewer = [0, 1, 2].map(|axis| along * ahead[axis] + LOOK_DOWN * view.up.0[axis]);
    [right, cross(viewer, right), viewer]
}

/// How bright a triangle is, the light over the viewer's left shoulder. The inside
/// of an open scan is as bright: which side is out may be what one wants to see.
fn shade(across: Vector) -> u8 {
    let length = length(across);
    let light = [-0.4, 0.5, 0.768];
    let lit = if length > 0.0 { (dot(across, light) / length).abs() } else { 0.0 };
    (DARKEST + (255.0 - DARKEST) * lit.min(1.0)) as u8
}
