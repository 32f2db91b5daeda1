//! Pulling the mould off: shadows along a direction, and what locks.
//!
//! A rigid mould comes off a piece along a straight line, in two directions from
//! a parting plane. What looks away from the pull, or lies below an overhang,
//! locks it. The shadow of the piece is the area that a liquid's pressure lifts.

use super::measure::square;
use super::raster::{CELLS, Sight, fill};
use super::vector::{Vector, dot, length, normal};
use super::{Direction, Mesh};
use crate::engine::quantity::{Millimetres, Percent, SquareMetres};

/// The sine of one degree: a wall that looks less away from the pull than this
/// counts as straight (common practice: a degree of draft is what is asked for).
const STRAIGHT: f64 = 0.017_452_406;

/// How large a piece is, seen along a direction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shadow {
    /// The shadow itself, off a grid of 256 by 256: within about a hundredth.
    pub shadow: SquareMetres,
    /// All surface that faces the direction, as it is seen from there: the shadow of
    /// a convex piece exactly; more than it where one part hides another.
    pub facing: SquareMetres,
}

/// Where a mould in two halves parts, and how the halves come off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Parting {
    /// How the half above the plane is pulled; the other goes the opposite way.
    pub pull: Direction,
    /// The plane's height along the pull, above the lowest point of the scan.
    pub height: Millimetres,
}

/// What of a surface locks a rigid mould.
#[derive(Clone, Debug, PartialEq)]
pub struct Undercut {
    /// Surface that looks away from the pull of its half, by more than a degree.
    pub away: SquareMetres,
    /// Surface that looks the right way but has something above it, off a grid
    /// of 256 by 256 (an estimate; walls steeper than the grid can tell are not
    /// counted).
    pub below: SquareMetres,
    /// Both, as a share of the whole surface.
    pub share: Percent,
    /// For each triangle whether it locks, for the picture.
    pub(super) marks: Vec<bool>,
}

/// The extent of a cell across, in the file's units; never 0.
fn cell(extent: f64) -> f64 {
    (extent / CELLS as f64).max(f64::MIN_POSITIVE)
}

/// A triangle of the frame, across in cells.
#[inline(always)]
fn in_cells(corners: [Vector; 3], [across, up]: [f64; 2]) -> [Vector; 3] {
    let [a, b, c] = corners;
    let one = |[u, v, height]: Vector| [u / across, v / up, height];
    [one(a), one(b), one(c)]
}

/// The area of a mesh as seen along a direction.
pub fn shadow(mesh: &Mesh, direction: Direction) -> Shadow {
    let sight = Sight::along(mesh, direction);
    let cell = [cell(sight.extent[0]), cell(sight.extent[1])];
    let mut covered = vec![false; CELLS * CELLS];
    let mut facing = 0.0;
    for face in &mesh.faces {
        facing += dot(normal(mesh.corners(*face)), direction.0).max(0.0) / 2.0;
        let corners = in_cells(sight.corners(*face), cell);
        fill(corners, CELLS, &mut |at, _| covered[at] = true);
    }
    let cells = covered.into_iter().map(u32::from).sum::<u32>();
    let scale = mesh.scale.factor();
    Shadow {
        shadow: square(f64::from(cells) * cell[0] * cell[1], scale),
        facing: square(facing, scale),
    }
}

/// What of a mesh locks a mould in two halves. The mesh must not be inside out
/// (see [`Mesh::measure`]).
pub fn undercut(mesh: &Mesh, parting: &Parting) -> Undercut {
    let sight = Sight::along(mesh, parting.pull);
    let plane = parting.height.value() / mesh.scale.factor();
    let cell = [cell(sight.extent[0]), cell(sight.extent[1])];

    // What is met first, coming from the pull of each half.
    let mut top = vec![f32::NEG_INFINITY; CELLS * CELLS];
    let mut bottom = vec![f32::INFINITY; CELLS * CELLS];
    for face in &mesh.faces {
        fill(in_cells(sight.corners(*face), cell), CELLS, &mut |at, height| {
            top[at] = top[at].max(height as f32);
            bottom[at] = bottom[at].min(height as f32);
        });
    }

    let (mut all, mut away, mut below) = (0.0, 0.0, 0.0);
    let mut marks = Vec::with_capacity(mesh.faces.len());
    for face in &mesh.faces {
        let across = normal(mesh.corners(*face));
        let twice = length(across);
        let corners = sight.corners(*face);
        let above = (corners[0][2] + corners[1][2] + corners[2][2]) / 3.0 >= plane;
        let sign = if above { 1.0 } else { -1.0 };
        // The sine of the draft: how far the triangle looks along its pull.
        let draft = if twice > 0.0 { sign * dot(across, parting.pull.0) / twice } else { 0.0 };
        all += twice / 2.0;
        let mut locks = draft < -STRAIGHT;
        if locks {
            away += twice / 2.0;
        } else if draft > STRAIGHT {
            // Within a cell the surface itself rises by as much as it is steep.
            let steep = (1.0 - draft * draft).max(0.0).sqrt() / draft;
            let slack = 2.0 * (1.0 + steep) * cell[0].max(cell[1]) + 1e-3 * sight.extent[2];
            let met = if above { &top } else { &bottom };
            let hidden = hidden(in_cells(corners, cell), met, sign, slack);
            below += hidden * twice / 2.0;
            locks = hidden > 0.5;
        }
        marks.push(locks);
    }
    let scale = mesh.scale.factor();
    let share = if all > 0.0 { (away + below) / all * 100.0 } else { 0.0 };
    Undercut {
        away: square(away, scale),
        below: square(below, scale),
        share: Percent(share),
        marks,
    }
}

/// Which share of a triangle has something more than `slack` before it.
fn hidden(corners: [Vector; 3], met: &[f32], sign: f64, slack: f64) -> f64 {
    let [a, b, c] = corners;
    let widest =
        [0, 1].map(|axis| a[axis].max(b[axis]).max(c[axis]) - a[axis].min(b[axis]).min(c[axis]));
    // Samples every third cell, in the middles of equal small triangles.
    let rows = (widest[0].max(widest[1]) / 3.0).ceil().clamp(1.0, CELLS as f64 / 3.0) as u32;
    let mut count = 0;
    for i in 0..rows {
        for j in 0..2 * (rows - i) - 1 {
            let (half, odd) = (f64::from(j / 2), f64::from(j % 2));
            let n = 3.0 * f64::from(rows);
            let u = (3.0 * f64::from(i) + 1.0 + odd) / n;
            let v = (3.0 * half + 1.0 + odd) / n;
            let w = 1.0 - u - v;
            let [x, y, height] = [0, 1, 2].map(|axis| u * a[axis] + v * b[axis] + w * c[axis]);
            let [column, row] = [x, y].map(|at| (at.max(0.0) as usize).min(CELLS - 1));
            let before = f64::from(met[row * CELLS + column]) - height;
            count += u32::from(before.is_finite() && before * sign > slack);
        }
    }
    f64::from(count) / f64::from(rows * rows)
}
