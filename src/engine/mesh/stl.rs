//! STL: triangles one by one, as fifty bytes each or as text.
//!
//! Binary: 80 bytes of anything, a count, then for each triangle a normal, three
//! corners and two spare bytes, all little-endian; the normals are not read,
//! since many programs leave them empty. Text: `vertex x y z` three times a
//! facet. (The format's de facto description, from memory; held against files
//! that a reference library wrote.)

use super::text::Words;
use super::weld::{Collector, Snap, Welder, is_triangle, largest};
use super::{MOST_TRIANGLES, Mesh, MeshError};

/// Bytes before the first triangle, and of each.
const HEADER: usize = 84;
const ROW: usize = 50;

/// How many triangles the count says, if the file is a binary one.
///
/// Many binary files begin with "solid", as text ones do: the count and the size
/// together decide. A file that is too short or too long for its count still is
/// one if the count is possible and it is no text.
pub(super) fn binary_triangles(bytes: &[u8]) -> Option<usize> {
    let count = bytes.get(HEADER - 4..HEADER)?.first_chunk()?;
    let count = u32::from_le_bytes(*count) as usize;
    let fits =
        count.checked_mul(ROW).and_then(|rows| rows.checked_add(HEADER)) == Some(bytes.len());
    let is_text = bytes.iter().take(4096).all(|byte| *byte != 0);
    (fits || (count <= MOST_TRIANGLES && !is_text)).then_some(count)
}

/// Reads a binary file whose count says so many.
pub(super) fn read_binary(bytes: &[u8], count: usize) -> Result<Mesh, MeshError> {
    let rows = bytes.get(HEADER..).unwrap_or_default();
    if count > MOST_TRIANGLES {
        return Err(MeshError::TooLarge);
    }
    if rows.len() / ROW < count {
        return Err(MeshError::Truncated { found: rows.len() / ROW, stated: Some(count) });
    }
    let rows = rows.get(..count * ROW).unwrap_or_default();
    let mut most = 0.0;
    for (index, row) in rows.chunks_exact(ROW).enumerate() {
        for corner in 0..3 {
            let no_number = MeshError::NotNumbers { point: 3 * index + corner + 1 };
            most = largest(most, place(row, corner)).ok_or(no_number)?;
        }
    }
    // A closed surface has half as many points as triangles.
    let mut welder = Welder::new(count / 2, Snap::to(most));
    let mut faces = Vec::with_capacity(count);
    let mut dropped = 0;
    for row in rows.chunks_exact(ROW) {
        let face =
            [welder.index(place(row, 0)), welder.index(place(row, 1)), welder.index(place(row, 2))];
        if is_triangle(face) {
            faces.push(face);
        } else {
            dropped += 1;
        }
    }
    welder.mesh(faces, dropped)
}

/// A corner of a triangle's row.
#[inline(always)]
fn place(row: &[u8], corner: usize) -> [f32; 3] {
    let mut place = [0.0; 3];
    for (axis, along) in place.iter_mut().enumerate() {
        let at = 12 * (corner + 1) + 4 * axis;
        *along = f32::from_le_bytes([row[at], row[at + 1], row[at + 2], row[at + 3]]);
    }
    place
}

/// Whether the file begins as a text one.
pub(super) fn is_text(bytes: &[u8]) -> bool {
    Words::new(bytes).next().is_some_and(|word| word.eq_ignore_ascii_case(b"solid"))
}

/// Reads a text file, of one solid or several.
pub(super) fn read_text(bytes: &[u8]) -> Result<Mesh, MeshError> {
    let mut words = Words::new(bytes);
    let mut mesh = Collector::new(bytes.len() / 100);
    let mut closed = false;
    while let Some(word) = words.next() {
        if word.eq_ignore_ascii_case(b"vertex") {
            let found = mesh.triangles();
            let place = words.place().ok_or(MeshError::Truncated { found, stated: None })?;
            mesh.point(place)?;
            let points = mesh.points.len() as u32;
            if points.is_multiple_of(3) {
                mesh.face([points - 3, points - 2, points - 1])?;
            }
        } else if word.eq_ignore_ascii_case(b"solid") || word.eq_ignore_ascii_case(b"endsolid") {
            closed = word.len() > 5;
            // What follows is a name, of any words.
            words.skip_line();
        }
    }
    let found = mesh.triangles();
    if !closed || !mesh.points.len().is_multiple_of(3) {
        return Err(MeshError::Truncated { found, stated: None });
    }
    mesh.mesh()
}
