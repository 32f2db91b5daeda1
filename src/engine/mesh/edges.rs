//! Edges: which triangles meet, and at what angle.
//!
//! Each triangle's three sides are put into buckets by the lower of their two
//! points; in a bucket of half a dozen, partners are found at a glance. That takes
//! no table and no big sort, so a million triangles stay within their time.

use super::Mesh;
use super::vector::{cross, dot, length, normal, sub};
use crate::engine::sorting;

/// What the edges say.
pub(super) struct Edges {
    /// Sides with no partner, from point to point in their triangle's sense.
    pub open: Vec<[u32; 2]>,
    /// Edges where more than two triangles meet.
    pub crowded: u32,
    /// Edges of two triangles that run in opposite senses.
    pub clashing: u32,
    /// All edges.
    pub count: u32,
    /// Half the sum of length times angle over all edges of two triangles, in the
    /// file's units; angles of convex edges are above 0.
    pub curvature: f64,
    /// The least and the greatest angle, in radians.
    pub angles: [f64; 2],
    /// For each triangle another one of the same part; a part's last one names
    /// itself.
    pub parts: Vec<u32>,
}

/// The last in the chain from here, which gets shorter by the way.
#[inline(always)]
pub(super) fn root(parents: &mut [u32], mut at: u32) -> u32 {
    while parents[at as usize] != at {
        let next = parents[parents[at as usize] as usize];
        parents[at as usize] = next;
        at = next;
    }
    at
}

/// Joins two chains: the later root comes under the earlier one.
#[inline(always)]
pub(super) fn join(parents: &mut [u32], a: u32, b: u32) {
    let (a, b) = (root(parents, a), root(parents, b));
    parents[a.max(b) as usize] = a.min(b);
}

/// Each one its own chain.
pub(super) fn singles(count: usize) -> Vec<u32> {
    (0..count as u32).collect()
}

/// Buckets up to this size are sorted by insertion; a bigger one is rare (a fan
/// about one point), and there insertion would take forever.
const SMALL: usize = 32;

impl Edges {
    /// Looks at all edges of a mesh.
    pub fn of(mesh: &Mesh) -> Edges {
        let (begins, mut sides) = buckets(mesh);
        let mut edges = Edges {
            open: Vec::new(),
            crowded: 0,
            clashing: 0,
            count: 0,
            curvature: 0.0,
            angles: [0.0; 2],
            parts: singles(mesh.faces.len()),
        };
        let mut begin = 0;
        for end in begins {
            let bucket = &mut sides[begin..end as usize];
            begin = end as usize;
            sort(bucket);
            let mut rest = &*bucket;
            while let Some(first) = rest.first() {
                let same = rest.iter().take_while(|side| *side >> 32 == first >> 32).count();
                let (edge, after) = rest.split_at(same);
                rest = after;
                edges.take(mesh, edge);
            }
        }
        edges.curvature *= 0.5;
        edges
    }

    /// Takes in the sides that are one edge.
    #[inline(always)]
    fn take(&mut self, mesh: &Mesh, sides: &[u64]) {
        self.count += 1;
        let first = Side::new(mesh, sides[0]);
        for other in &sides[1..] {
            join(&mut self.parts, first.face, (*other as u32) / 3);
        }
        match sides {
            [_] => self.open.push([first.from, first.to]),
            [_, other] => {
                let other = Side::new(mesh, *other);
                if first.from == other.from {
                    self.clashing += 1;
                    return;
                }
                let (a, b) = (mesh.point(first.from), mesh.point(first.to));
                let (c, d) = (mesh.point(first.off), mesh.point(other.off));
                let (one, two) = (normal([a, b, c]), normal([b, a, d]));
                let along = sub(b, a);
                let length = length(along);
                let angle = (dot(along, cross(one, two)) / length).atan2(dot(one, two));
                self.curvature += angle * length;
                if angle < self.angles[0] {
                    self.angles[0] = angle;
                } else if angle > self.angles[1] {
                    self.angles[1] = angle;
                }
            }
            _ => self.crowded += 1,
        }
    }
}

/// A side of a triangle, in its sense.
struct Side {
    face: u32,
    from: u32,
    to: u32,
    /// The triangle's third point.
    off: u32,
}

impl Side {
    #[inline(always)]
    fn new(mesh: &Mesh, packed: u64) -> Side {
        let side = packed as u32;
        let face = side / 3;
        let [a, b, c] = mesh.faces[face as usize];
        let [from, to, off] = match side % 3 {
            0 => [a, b, c],
            1 => [b, c, a],
            _ => [c, a, b],
        };
        Side { face, from, to, off }
    }
}

/// All sides, packed (the higher point, then the side's number), one bucket
/// after another; and where each bucket ends.
fn buckets(mesh: &Mesh) -> (Vec<u32>, Vec<u64>) {
    let mut at = vec![0_u32; mesh.points.len() + 1];
    for [a, b, c] in &mesh.faces {
        at[*a.min(b) as usize + 1] += 1;
        at[*b.min(c) as usize + 1] += 1;
        at[*c.min(a) as usize + 1] += 1;
    }
    let mut sum = 0;
    for begin in &mut at {
        sum += *begin;
        *begin = sum;
    }
    let mut sides = vec![0_u64; 3 * mesh.faces.len()];
    for (face, corners) in mesh.faces.iter().enumerate() {
        for corner in 0..3 {
            let (from, to) = (corners[corner], corners[(corner + 1) % 3]);
            let place = &mut at[from.min(to) as usize];
            sides[*place as usize] = u64::from(from.max(to)) << 32 | (3 * face + corner) as u64;
            *place += 1;
        }
    }
    // Each begin was moved to its bucket's end.
    at.pop();
    (at, sides)
}

fn sort(bucket: &mut [u64]) {
    if bucket.len() > SMALL {
        let mut copy = bucket.to_vec();
        sorting::sort_by_key(&mut copy, |side| *side);
        bucket.copy_from_slice(&copy);
        return;
    }
    for end in 1..bucket.len() {
        let side = bucket[end];
        let mut at = end;
        while at > 0 && bucket[at - 1] > side {
            bucket[at] = bucket[at - 1];
            at -= 1;
        }
        bucket[at] = side;
    }
}
