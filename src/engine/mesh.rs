//! Scans: a surface of triangles, read from a file and measured.
//!
//! A phone can scan a piece on the bench, and its file answers what a tape can't:
//! area, volume, holes, undercuts, where air will be trapped. The file comes from
//! anywhere, so nothing in it is believed before it is seen: not its name, not its
//! counts, not its orientation, and least of all its units, which no format states.
//!
//! A [`Mesh`] is read ([`Mesh::read`]), measured ([`Mesh::measure`]), and scaled
//! once somebody has said how large the piece is ([`Scale`]). Coordinates are
//! single precision: a ten-millionth of the piece, far below any scanner's error.

mod edges;
mod holes;
mod measure;
mod obj;
mod picture;
mod ply;
mod pull;
mod raster;
mod stl;
#[cfg(test)]
mod tests;
mod text;
mod vector;
mod vents;
mod weld;

pub use holes::Hole;
pub use measure::{Blanket, Measured, Part};
pub use picture::{MOST_PIXELS, View, turntable};
pub use pull::{Parting, Shadow, Undercut, shadow, undercut};
pub use vents::{MOST_VENTS, Vent, vents};

use super::quantity::Millimetres;
use std::fmt;
use vector::Vector;
use weld::{Snap, Welder};

/// Triangles that a mesh may have: what fits a phone's memory, with room to spare.
pub const MOST_TRIANGLES: usize = 3_000_000;
/// Holes and parts that are listed; the others are only counted.
pub const MOST_LISTED: usize = 20;

/// Why a file can't be read as a scan, or a measure not be taken of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum MeshError {
    /// The file has no bytes.
    Empty,
    /// Neither STL nor OBJ nor PLY.
    NotAMesh,
    /// The end of the file is missing.
    Truncated {
        /// Triangles (or other rows of a list) that are there.
        found: usize,
        /// How many the file says there are, where it says so.
        stated: Option<usize>,
    },
    /// More than [`MOST_TRIANGLES`], or as many points as go with them.
    TooLarge,
    /// Points at most, and no surface between them.
    NoFaces,
    /// A coordinate is missing, infinite or not a number.
    NotNumbers {
        /// Which point of the file, counted from 1.
        point: usize,
    },
    /// A face names a point that isn't in the file.
    NoSuchPoint {
        /// Which triangle, counted from 1.
        triangle: usize,
        /// How many points there are.
        points: usize,
    },
    /// The description at the top of a PLY file makes no sense.
    Header,
    /// A length that has to be above 0 is not.
    Length {
        /// The length, as in "the thickness".
        what: &'static str,
    },
}

impl fmt::Display for MeshError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => f.write_str("The file is empty. Save the scan again."),
            Self::NotAMesh => f.write_str(
                "This file is no scan that can be read here. Save it as STL, OBJ or PLY.",
            ),
            Self::Truncated { found, stated: Some(stated) } => write!(
                f,
                "The file ends too early: {found} of {stated} rows are there. Copy it again."
            ),
            Self::Truncated { found, stated: None } => {
                write!(f, "The file ends too early, after {found} triangles. Copy it again.")
            }
            Self::TooLarge => write!(
                f,
                "The scan has more than {} million triangles. Save it with fewer.",
                MOST_TRIANGLES / 1_000_000
            ),
            Self::NoFaces => f.write_str(
                "The file has no triangles, only points at most. Save the scan as a surface.",
            ),
            Self::NotNumbers { point } => {
                write!(f, "Point {point} has a coordinate that is no number. Save the scan again.")
            }
            Self::NoSuchPoint { triangle, points } => write!(
                f,
                "Triangle {triangle} uses a point that isn't there; the file has {points}. \
                 Save the scan again."
            ),
            Self::Header => f.write_str(
                "The first lines of this PLY file can't be understood. Save it again, or as STL.",
            ),
            Self::Length { what } => write!(f, "{what} must be above 0. Correct it."),
        }
    }
}

impl std::error::Error for MeshError {}

/// How many millimetres a unit of the file is. No format says it: people do.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scale(f64);

impl Scale {
    /// The file is in millimetres.
    pub const MILLIMETRE: Scale = Scale(1.0);
    /// The file is in centimetres.
    pub const CENTIMETRE: Scale = Scale(10.0);
    /// The file is in inches: 25.4 mm, exact (NIST SP 811, B.8).
    pub const INCH: Scale = Scale(super::units::MILLIMETRES_PER_INCH);
    /// The file is in metres.
    pub const METRE: Scale = Scale(1000.0);
    /// What files are in: to be offered with the size that each would make.
    pub const USUAL: [Scale; 4] = [Self::MILLIMETRE, Self::CENTIMETRE, Self::INCH, Self::METRE];

    /// The scale at which something that the file has as `read` millimetres long
    /// (at [`Scale::MILLIMETRE`]) is really `real` long: a height off the tape.
    ///
    /// # Errors
    /// [`MeshError::Length`] where either is not above 0 or not finite.
    pub fn of_known_length(read: Millimetres, real: Millimetres) -> Result<Scale, MeshError> {
        let scale = above_zero("The length", real)? / above_zero("The length", read)?;
        if scale.is_finite() && scale > 0.0 {
            Ok(Scale(scale))
        } else {
            Err(MeshError::Length { what: "The length" })
        }
    }

    /// A length of the file, at this scale.
    pub fn length(self, in_file: Millimetres) -> Millimetres {
        in_file * self.0
    }

    /// Millimetres to a unit of the file.
    pub fn factor(self) -> f64 {
        self.0
    }
}

/// Refuses a length that is not above 0 or not finite.
fn above_zero(what: &'static str, length: Millimetres) -> Result<f64, MeshError> {
    let ok = length.is_finite() && length.value() > 0.0;
    if ok { Ok(length.value()) } else { Err(MeshError::Length { what }) }
}

/// A direction in the file's axes, one long.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Direction(Vector);

impl Direction {
    /// Along the first axis of the file.
    pub const X: Direction = Direction([1.0, 0.0, 0.0]);
    /// Along the second axis of the file.
    pub const Y: Direction = Direction([0.0, 1.0, 0.0]);
    /// Along the third axis of the file.
    pub const Z: Direction = Direction([0.0, 0.0, 1.0]);

    /// The direction of these shares along the axes, however long together.
    /// None where they point nowhere.
    pub fn new(x: f64, y: f64, z: f64) -> Option<Direction> {
        let length = vector::length([x, y, z]);
        (length.is_finite() && length > 1e-150).then(|| Direction([x, y, z].map(|a| a / length)))
    }

    /// The opposite.
    #[must_use]
    pub const fn reversed(self) -> Direction {
        let [x, y, z] = self.0;
        Direction([-x, -y, -z])
    }

    /// The six sides of a piece that stands with this one up, as [`turntable`] shows
    /// it before it turns: up, down, right, left, towards the viewer, away.
    pub fn sides(self) -> [Direction; 6] {
        let (right, away) = self.across();
        let (right, away) = (Direction(right), Direction(away));
        [self, self.reversed(), right, right.reversed(), away.reversed(), away]
    }

    /// How far a box of these sides along the axes reaches along it, if it is an axis
    /// itself.
    pub fn reach(self, sides: [Millimetres; 3]) -> Millimetres {
        Millimetres(vector::dot(sides.map(Millimetres::value), self.0.map(f64::abs)))
    }

    /// Two directions that make a right-handed frame with this one.
    fn across(self) -> (Vector, Vector) {
        let [x, y, z] = self.0.map(f64::abs);
        // The axis least along it, which leaves axes as they are for an axis.
        let other = match () {
            () if y <= x && y <= z => [0.0, 1.0, 0.0],
            () if x <= z => [1.0, 0.0, 0.0],
            () => [0.0, 0.0, 1.0],
        };
        let first = vector::cross(other, self.0);
        let length = vector::length(first);
        let first = first.map(|share| share / length);
        (first, vector::cross(self.0, first))
    }
}

/// A surface of triangles, its points shared by the triangles that meet there.
///
/// Triangles run anticlockwise seen from outside, once [`Mesh::measure`] has
/// turned those that ran the other way.
#[derive(Clone, Debug, PartialEq)]
pub struct Mesh {
    points: Vec<[f32; 3]>,
    faces: Vec<[u32; 3]>,
    /// Triangles left out, because two of their corners are one point.
    dropped: u32,
    scale: Scale,
}

impl Mesh {
    /// Reads a file, whatever its name says: STL (binary or text), OBJ, or PLY
    /// (text, binary of either order). Points at one place become
    /// one, within a ten-millionth of the largest coordinate.
    ///
    /// # Errors
    /// Every [`MeshError`] but `Length`.
    pub fn read(bytes: &[u8]) -> Result<Mesh, MeshError> {
        if bytes.is_empty() {
            Err(MeshError::Empty)
        } else if ply::is_one(bytes) {
            ply::read(bytes)
        } else if let Some(claimed) = stl::binary_triangles(bytes) {
            stl::read_binary(bytes, claimed)
        } else if bytes.iter().take(4096).any(|byte| *byte == 0) {
            Err(MeshError::NotAMesh)
        } else if stl::is_text(bytes) {
            stl::read_text(bytes)
        } else {
            obj::read(bytes)
        }
    }

    /// From points and triangles of indices that were read, and welded since.
    fn new(points: Vec<[f32; 3]>, faces: Vec<[u32; 3]>, dropped: u32) -> Result<Mesh, MeshError> {
        if faces.is_empty() {
            return Err(MeshError::NoFaces);
        }
        Ok(Mesh { points, faces, dropped, scale: Scale::MILLIMETRE })
    }

    /// How many triangles there are, without those that are no more than a line.
    pub fn triangles(&self) -> u32 {
        self.faces.len() as u32
    }

    /// The scale at which everything is measured: a millimetre until it is set.
    pub fn scale(&self) -> Scale {
        self.scale
    }

    /// Sets the scale. What was measured before keeps its own
    /// (see [`Measured::scaled`]).
    pub fn set_scale(&mut self, scale: Scale) {
        self.scale = scale;
    }

    /// Length, width and height along the file's axes, at the mesh's scale.
    pub fn size(&self) -> [Millimetres; 3] {
        let (low, high) = self.bounds();
        vector::sub(high, low).map(|side| self.scale.length(Millimetres(side)))
    }

    /// How far it reaches along a direction of the file's axes: from its lowest point
    /// to its highest.
    pub fn reach(&self, along: Direction) -> Millimetres {
        along.reach(self.size())
    }

    /// How far a place is from the side of the scan's box that looks along one of
    /// the file's axes.
    pub fn from_side(&self, side: Direction, place: [Millimetres; 3]) -> Millimetres {
        let (low, high) = self.bounds();
        let corner = [0, 1, 2].map(|axis| if side.0[axis] < 0.0 { low[axis] } else { high[axis] });
        let step = vector::sub(corner.map(|along| along * self.scale.0), place.map(|p| p.value()));
        Millimetres(vector::dot(step, side.0))
    }

    /// Turns the surface inside out: for a scan of a hollow, which
    /// [`Mesh::measure`] takes for a body.
    pub fn flip(&mut self) {
        for face in &mut self.faces {
            face.swap(1, 2);
        }
    }

    /// The same surface in coarse, for a picture that has to turn: points in one
    /// cell of a grid with so many cells (1 to 1024) along the longest side become
    /// one. 64 cells leave about fifty thousand triangles of any scan.
    ///
    /// # Errors
    /// [`MeshError::NoFaces`] where the grid is too coarse to leave anything.
    pub fn coarser(&self, cells: u16) -> Result<Mesh, MeshError> {
        let (low, high) = self.bounds();
        let longest = vector::sub(high, low).iter().fold(0.0, |most: f64, side| most.max(*side));
        let cell = longest / f64::from(cells.clamp(1, 1024));
        if cell <= 0.0 {
            return Err(MeshError::NoFaces);
        }
        let mut cells = Welder::new(0, Snap::NONE);
        // The first point in a cell stands for all: it lies on the surface.
        let mut kept: Vec<[f32; 3]> = Vec::new();
        let mut map = Vec::with_capacity(self.points.len());
        for (index, point) in self.points.iter().enumerate() {
            let place = vector::sub(self.point(index as u32), low);
            let place = cells.index(place.map(|along| (along / cell).floor() as f32));
            if place as usize == kept.len() {
                kept.push(*point);
            }
            map.push(place);
        }
        let mut faces = Vec::new();
        for face in &self.faces {
            let [a, b, c] = *face;
            let face = [map[a as usize], map[b as usize], map[c as usize]];
            if weld::is_triangle(face) {
                faces.push(face);
            }
        }
        Ok(Mesh { scale: self.scale, ..Mesh::new(kept, faces, 0)? })
    }

    /// A point in the file's units.
    #[inline(always)]
    fn point(&self, index: u32) -> Vector {
        vector::wide(self.points[index as usize])
    }

    /// The corners of a triangle in the file's units.
    #[inline(always)]
    fn corners(&self, face: [u32; 3]) -> [Vector; 3] {
        [self.point(face[0]), self.point(face[1]), self.point(face[2])]
    }

    /// The lowest and the highest coordinate along each axis, in the file's units.
    fn bounds(&self) -> (Vector, Vector) {
        let (mut low, mut high) = ([f32::INFINITY; 3], [f32::NEG_INFINITY; 3]);
        for point in &self.points {
            for axis in 0..3 {
                low[axis] = low[axis].min(point[axis]);
                high[axis] = high[axis].max(point[axis]);
            }
        }
        (low.map(f64::from), high.map(f64::from))
    }

    /// A place of the file, at the mesh's scale.
    fn place(&self, place: Vector) -> [Millimetres; 3] {
        place.map(|along| self.scale.length(Millimetres(along)))
    }
}
