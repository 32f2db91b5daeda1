//! OBJ: lines of points and of faces.
//!
//! `v x y z` and `f 1/2/3 ...`: the point's number comes first, counted from 1, or
//! backwards from the last one if it is below 0. All other lines (texture, normals,
//! groups, materials) say nothing about the shape. (The format's de facto
//! description, from memory; held against files that a reference library wrote.)

use super::text::{Words, integer};
use super::weld::{Collector, Fan};
use super::{Mesh, MeshError};

/// Reads a file, known only to be a text.
pub(super) fn read(bytes: &[u8]) -> Result<Mesh, MeshError> {
    let mut words = Words::new(bytes);
    let mut mesh = Collector::new(bytes.len() / 100);
    let mut strange = 0;
    while let Some(word) = words.next() {
        match word {
            b"v" => {
                let mut place = [f32::NAN; 3];
                for along in &mut place {
                    let number = words.on_line().and_then(super::text::number);
                    *along = number.map_or(f32::NAN, |number| number as f32);
                }
                mesh.point(place)?;
            }
            b"f" => {
                let mut fan = Fan::default();
                while let Some(corner) = words.on_line() {
                    if corner.starts_with(b"#") {
                        break;
                    }
                    if let Some(triangle) = fan.next(point(corner, mesh.points.len())) {
                        mesh.face(triangle)?;
                    }
                }
            }
            _ if mesh.points.is_empty() && !is_known(word) => strange += 1,
            _ => {}
        }
        words.skip_line();
        // Some other text: there is no need to read it all.
        if strange > 100 {
            break;
        }
    }
    if mesh.points.is_empty() {
        return Err(MeshError::NotAMesh);
    }
    mesh.mesh()
}

/// The index that a corner means, among so many points so far. One that means
/// none is given an index that no point has.
fn point(corner: &[u8], points: usize) -> u32 {
    let end = corner.iter().position(|byte| *byte == b'/').unwrap_or(corner.len());
    let index = match corner.get(..end).and_then(integer) {
        Some(number) if number > 0 => number - 1,
        Some(number) if number < 0 => points as i64 + number,
        _ => -1,
    };
    u32::try_from(index).unwrap_or(u32::MAX)
}

/// Whether a line may begin like this before the first point: comments, names,
/// groups, materials, normals and textures.
fn is_known(word: &[u8]) -> bool {
    let words: [&[u8]; 8] = [b"o", b"g", b"s", b"mtllib", b"usemtl", b"vn", b"vt", b"vp"];
    word.starts_with(b"#") || words.contains(&word)
}
