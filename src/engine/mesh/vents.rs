//! Vents: where air is trapped when a mould is filled.
//!
//! Air that rises in a filling mould collects under every place that is higher
//! than all around it. How much a place matters is not how high it is but how
//! far the liquid must rise there after the way out has closed: its depth (the
//! *prominence* of a summit). A rough scan has thousands of summits, nearly all of
//! no depth; so they are ranked by it.
//!
//! Method: edges taken from the top down join points into hills; where two hills
//! meet, the lower summit's depth is known (the elder rule of persistent homology:
//! Edelsbrunner and Harer, Computational Topology, 2010, from memory).

use super::edges::{root, singles};
use super::raster::Sight;
use super::{Direction, Mesh, MeshError, above_zero};
use crate::engine::quantity::Millimetres;
use crate::engine::sorting;

/// Vents that are listed at most: more nobody would drill.
pub const MOST_VENTS: usize = 12;
/// Heights are told apart to this many levels: hundredths of a millimetre on a
/// piece half a metre high.
const LEVELS: usize = 1 << 16;

/// A place that traps air.
#[derive(Clone, Debug, PartialEq)]
pub struct Vent {
    /// Where, in the file's axes.
    pub place: [Millimetres; 3],
    /// Its height above the lowest point of the scan.
    pub height: Millimetres,
    /// How deep the air would stand: from here down to where it could pass on to a
    /// higher place, or to the lowest point of the part if there is none.
    pub pocket: Millimetres,
}

/// Where a mesh needs vents if it is filled with this direction up: pockets at
/// least `deep`, no two nearer than `apart`, deepest first, at most [`MOST_VENTS`].
///
/// # Errors
/// [`MeshError::Length`] where a length is not above 0 or not finite.
pub fn vents(
    mesh: &Mesh,
    up: Direction,
    deep: Millimetres,
    apart: Millimetres,
) -> Result<Vec<Vent>, MeshError> {
    let scale = mesh.scale.factor();
    let deep = above_zero("The depth of a pocket", deep)? / scale;
    let apart = above_zero("The distance of vents", apart)? / scale;
    let sight = Sight::along(mesh, up);
    let hills = hills(mesh, &sight, deep);

    let mut chosen: Vec<(u32, f64)> = Vec::new();
    for (depth, summit) in hills {
        let place = mesh.point(summit);
        let near = chosen.iter().any(|(other, _)| {
            super::vector::length(super::vector::sub(mesh.point(*other), place)) < apart
        });
        if !near && chosen.len() < MOST_VENTS {
            chosen.push((summit, depth));
        }
    }
    let vent = |(summit, depth): (u32, f64)| Vent {
        place: mesh.place(mesh.point(summit)),
        height: mesh.scale.length(Millimetres(f64::from(sight.points[summit as usize][2]))),
        pocket: mesh.scale.length(Millimetres(depth)),
    };
    Ok(chosen.into_iter().map(vent).collect())
}

/// Depths and summits of all hills at least so deep, deepest first.
fn hills(mesh: &Mesh, sight: &Sight, deep: f64) -> Vec<(f64, u32)> {
    let step = sight.extent[2] / (LEVELS - 1) as f64;
    if step <= 0.0 {
        return Vec::new();
    }
    let height = |point: u32| f64::from(sight.points[point as usize][2]);
    let level = |point: u32| ((height(point) / step) as usize).min(LEVELS - 1);
    // A side of a triangle joins from its lower end down: sides by that level,
    // highest first.
    let mut at = vec![0_u32; LEVELS + 1];
    let lower = |a: u32, b: u32| LEVELS - 1 - level(a).min(level(b));
    for [a, b, c] in &mesh.faces {
        at[lower(*a, *b) + 1] += 1;
        at[lower(*b, *c) + 1] += 1;
        at[lower(*c, *a) + 1] += 1;
    }
    let mut sum = 0;
    for begin in &mut at {
        sum += *begin;
        *begin = sum;
    }
    let mut order = vec![[0_u32; 2]; 3 * mesh.faces.len()];
    for face in &mesh.faces {
        for corner in 0..3 {
            let (from, to) = (face[corner], face[(corner + 1) % 3]);
            let place = &mut at[lower(from, to)];
            order[*place as usize] = [from, to];
            *place += 1;
        }
    }

    // Each hill's root keeps its summit and its lowest height so far.
    let mut parents = singles(mesh.points.len());
    let mut summits = singles(mesh.points.len());
    let mut lowest: Vec<f64> = (0..mesh.points.len() as u32).map(height).collect();
    let mut hills = Vec::new();
    for [from, to] in order {
        let level = height(from).min(height(to));
        let (a, b) = (root(&mut parents, from), root(&mut parents, to));
        if a == b {
            continue;
        }
        let (one, two) = (summits[a as usize], summits[b as usize]);
        let (higher, lower) = if height(one) >= height(two) { (one, two) } else { (two, one) };
        if height(lower) - level >= deep {
            hills.push((height(lower) - level, lower));
        }
        parents[b as usize] = a;
        summits[a as usize] = higher;
        lowest[a as usize] = lowest[a as usize].min(lowest[b as usize]);
    }
    // What no higher hill has taken in is the top of its part.
    for (point, lowest) in lowest.into_iter().enumerate() {
        let summit = summits[point];
        let depth = height(summit) - lowest;
        if parents[point] as usize == point && depth >= deep {
            hills.push((depth, summit));
        }
    }
    sorting::sort_by(&mut hills, |a, b| b.0.total_cmp(&a.0));
    hills
}
