//! A surface seen along a direction, on a small grid.
//!
//! Shadows, overhangs and pictures are all the same question: what is met first
//! along a line of sight? The grid spans exactly what is seen, so the shadow of a
//! box is exact, and that of a curved piece is off by a fraction of a cell's width.

use super::vector::{Vector, dot, sub, wide};
use super::{Direction, Mesh};

/// Cells along a side of the grid.
pub(super) const CELLS: usize = 256;

/// A mesh's points, across and along a direction.
pub(super) struct Sight {
    /// Each point: two coordinates across, and the height along the direction,
    /// all from the lowest.
    pub points: Vec<[f32; 3]>,
    /// The extent across (two) and along.
    pub extent: Vector,
}

impl Sight {
    /// Turns a mesh's points so that the direction is up.
    pub fn along(mesh: &Mesh, direction: Direction) -> Sight {
        let (first, second) = direction.across();
        Sight::framed(mesh, [first, second, direction.0])
    }

    /// Turns a mesh's points into a frame of three directions.
    pub fn framed(mesh: &Mesh, frame: [Vector; 3]) -> Sight {
        let (mut low, mut high) = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]);
        let mut turned: Vec<[f32; 3]> = Vec::with_capacity(mesh.points.len());
        // From the first point on, so that a far origin costs no digits.
        let origin = mesh.point(0);
        for index in 0..mesh.points.len() as u32 {
            let place = sub(mesh.point(index), origin);
            let place = [dot(place, frame[0]), dot(place, frame[1]), dot(place, frame[2])];
            for axis in 0..3 {
                low[axis] = low[axis].min(place[axis]);
                high[axis] = high[axis].max(place[axis]);
            }
            turned.push([place[0] as f32, place[1] as f32, place[2] as f32]);
        }
        for place in &mut turned {
            let [x, y, z] = sub(wide(*place), low);
            *place = [x as f32, y as f32, z as f32];
        }
        Sight { points: turned, extent: sub(high, low) }
    }

    /// The corners of a triangle, in this frame.
    #[inline(always)]
    pub fn corners(&self, face: [u32; 3]) -> [Vector; 3] {
        let point = |corner: u32| wide(self.points[corner as usize]);
        [point(face[0]), point(face[1]), point(face[2])]
    }
}

/// Calls `each` with every cell of a grid of `cells` by `cells` whose middle is
/// in the triangle, and the height there. Corners are in cells across; a cell is
/// row times `cells` plus column.
pub(super) fn fill(corners: [Vector; 3], cells: usize, each: &mut dyn FnMut(usize, f64)) {
    let [a, b, c] = corners;
    let range = |axis: usize| {
        let low = a[axis].min(b[axis]).min(c[axis]);
        let high = a[axis].max(b[axis]).max(c[axis]);
        // Middles from low to high: a cell's middle is half a cell in.
        let first = (low - 0.5).ceil().max(0.0) as usize;
        let end = ((high - 0.5).floor() + 1.0).clamp(0.0, cells as f64) as usize;
        first..end
    };
    let (columns, rows) = (range(0), range(1));
    if columns.is_empty() || rows.is_empty() {
        return;
    }
    // Twice the area on the grid, of the triangle or with a place for a corner.
    let twice = |p: Vector, q: Vector, x: f64, y: f64| {
        (q[0] - p[0]) * (y - p[1]) - (q[1] - p[1]) * (x - p[0])
    };
    let whole = twice(a, b, c[0], c[1]);
    if whole == 0.0 {
        return;
    }
    for row in rows {
        for column in columns.clone() {
            let (x, y) = (column as f64 + 0.5, row as f64 + 0.5);
            let (u, v) = (twice(b, c, x, y) / whole, twice(c, a, x, y) / whole);
            let w = twice(a, b, x, y) / whole;
            // A rounding's width beyond the edge, so that no seam shows.
            if u >= -1e-9 && v >= -1e-9 && w >= -1e-9 {
                each(row * cells + column, u * a[2] + v * b[2] + w * c[2]);
            }
        }
    }
}
