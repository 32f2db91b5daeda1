//! Points at one place made one.
//!
//! STL files give each triangle corners of its own, and other formats split
//! points along seams: only welded can triangles be seen to meet. One open table
//! of indices does it, since a million triangles must not take a second.

use super::{MOST_TRIANGLES, Mesh, MeshError};

/// No index: an empty cell of the table, or a point not looked at so far.
const NONE: u32 = u32::MAX;

/// Whether three indices are of three points.
#[inline(always)]
pub(super) fn is_triangle([a, b, c]: [u32; 3]) -> bool {
    a != b && b != c && c != a
}

/// Rounds coordinates to the last digit of the largest one, to compare them.
///
/// Programs that write files reckon in double precision and leave 1e-17 for 0:
/// such points have to meet too, within a ten-millionth of the piece.
#[derive(Clone, Copy)]
pub(super) struct Snap(f64);

impl Snap {
    /// Not at all: for places that are round already.
    pub const NONE: Snap = Snap(0.0);

    /// For coordinates up to this one.
    pub fn to(largest: f32) -> Snap {
        // The power of two at or below it, and from there to a number so large
        // that a double's last digit is the step wanted.
        let power = f64::from_bits(f64::from(largest).to_bits() & 0x7ff0_0000_0000_0000);
        Snap(power * 1.5 * f64::from(1_u32 << 29))
    }

    #[inline(always)]
    fn place(self, place: [f32; 3]) -> [f32; 3] {
        let [x, y, z] = super::vector::wide(place);
        let large = self.0;
        [(x + large - large) as f32, (y + large - large) as f32, (z + large - large) as f32]
    }
}

/// The larger of `so_far` and the place's coordinates. None if one is no number.
#[inline(always)]
pub(super) fn largest(so_far: f32, place: [f32; 3]) -> Option<f32> {
    let [x, y, z] = [place[0].abs(), place[1].abs(), place[2].abs()];
    let mut largest = so_far;
    // By hand: the library's maximum is a call, and minds not-a-numbers.
    for along in [x, y, z] {
        if along > largest {
            largest = along;
        }
    }
    (x + y + z < f32::INFINITY || (x.is_finite() && y.is_finite() && z.is_finite()))
        .then_some(largest)
}

/// Places seen so far, each with its index.
pub(super) struct Welder {
    points: Vec<[f32; 3]>,
    /// Indices by the place's hash, a power of two of them, half empty at least.
    table: Vec<u32>,
    snap: Snap,
}

impl Welder {
    /// With room for about so many places; more find room by themselves.
    pub fn new(expected: usize, snap: Snap) -> Self {
        let size = (2 * expected).max(64).next_power_of_two();
        Self { points: Vec::with_capacity(expected), table: vec![NONE; size], snap }
    }

    /// The index of a place: its own if it was seen, else the next free one. The
    /// first of several that meet is kept as it is.
    pub fn index(&mut self, place: [f32; 3]) -> u32 {
        if 2 * self.points.len() >= self.table.len() {
            self.grow();
        }
        let round = self.snap.place(place);
        let mask = self.table.len() - 1;
        let mut cell = hash(round) & mask;
        loop {
            let index = self.table[cell];
            if index == NONE {
                let index = self.points.len() as u32;
                self.table[cell] = index;
                self.points.push(place);
                return index;
            }
            if self.snap.place(self.points[index as usize]) == round {
                return index;
            }
            cell = (cell + 1) & mask;
        }
    }

    fn grow(&mut self) {
        let size = 2 * self.table.len();
        self.table.clear();
        self.table.resize(size, NONE);
        for (index, place) in self.points.iter().enumerate() {
            let mut cell = hash(self.snap.place(*place)) & (size - 1);
            while self.table[cell] != NONE {
                cell = (cell + 1) & (size - 1);
            }
            self.table[cell] = index as u32;
        }
    }

    /// The mesh of these places; `faces` are of indices that it gave.
    pub fn mesh(self, faces: Vec<[u32; 3]>, dropped: u32) -> Result<Mesh, MeshError> {
        Mesh::new(self.points, faces, dropped)
    }
}

/// Mixes the bits of a place. Coordinates off a grid differ in few bits: the
/// multiplications (odd constants of the golden ratio and of splitmix64, from
/// memory) carry them upwards and the shifts bring them down again.
#[inline(always)]
fn hash([x, y, z]: [f32; 3]) -> usize {
    let pair = u64::from(x.to_bits()) | u64::from(y.to_bits()) << 32;
    let mut mixed = pair.wrapping_mul(0x9e37_79b9_7f4a_7c15);
    mixed = (mixed ^ mixed >> 29 ^ u64::from(z.to_bits())).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    (mixed ^ mixed >> 32) as usize
}

/// Collects the points and faces of a format with indices.
pub(super) struct Collector {
    /// Points as they are in the file, used or not.
    pub points: Vec<[f32; 3]>,
    faces: Vec<[u32; 3]>,
}

impl Collector {
    /// With room for so many points: what the file is long enough to hold.
    pub fn new(points: usize) -> Self {
        Self { points: Vec::with_capacity(points), faces: Vec::new() }
    }

    /// How many triangles there are so far.
    pub fn triangles(&self) -> usize {
        self.faces.len()
    }

    /// Takes in a point.
    pub fn point(&mut self, place: [f32; 3]) -> Result<(), MeshError> {
        if self.points.len() >= 3 * MOST_TRIANGLES {
            return Err(MeshError::TooLarge);
        }
        self.points.push(place);
        Ok(())
    }

    /// Takes in a triangle of points' indices, which may come later in the file.
    pub fn face(&mut self, face: [u32; 3]) -> Result<(), MeshError> {
        if self.faces.len() >= MOST_TRIANGLES {
            return Err(MeshError::TooLarge);
        }
        self.faces.push(face);
        Ok(())
    }

    /// The mesh, of those points that faces use.
    pub fn mesh(self) -> Result<Mesh, MeshError> {
        let Self { points, mut faces } = self;
        let mut most = 0.0;
        for (index, face) in faces.iter().enumerate() {
            for corner in face {
                let no_point = MeshError::NoSuchPoint { triangle: index + 1, points: points.len() };
                let place = points.get(*corner as usize).ok_or(no_point)?;
                let no_number = MeshError::NotNumbers { point: *corner as usize + 1 };
                most = largest(most, *place).ok_or(no_number)?;
            }
        }
        let mut welder = Welder::new(points.len(), Snap::to(most));
        let mut map = vec![NONE; points.len()];
        let mut kept = 0;
        for index in 0..faces.len() {
            let mut face = faces[index];
            for corner in &mut face {
                let new = &mut map[*corner as usize];
                if *new == NONE {
                    *new = welder.index(points[*corner as usize]);
                }
                *corner = *new;
            }
            if is_triangle(face) {
                faces[kept] = face;
                kept += 1;
            }
        }
        let dropped = (faces.len() - kept) as u32;
        faces.truncate(kept);
        welder.mesh(faces, dropped)
    }
}

/// A polygon as it is read, cut into the triangles of a fan about its first
/// corner: right for flat ones without dents, as nearly all are.
#[derive(Default)]
pub(super) struct Fan {
    first: u32,
    last: u32,
    corners: u32,
}

impl Fan {
    /// The next corner, and the triangle that it completes.
    pub fn next(&mut self, corner: u32) -> Option<[u32; 3]> {
        let triangle = (self.corners >= 2).then_some([self.first, self.last, corner]);
        if self.corners == 0 {
            self.first = corner;
        }
        self.last = corner;
        self.corners = self.corners.saturating_add(1);
        triangle
    }
}
