//! Holes: where a scan is open, and what covers them.
//!
//! Almost every scan is open somewhere: under the base, behind an ear. Without
//! covers it has no volume, so each hole is covered with a fan about its middle,
//! flat where its rim is flat, as a base's is.

use super::edges::{join, root, singles};
use super::vector::{Vector, add, cross, dot, length, sub};
use super::{MOST_LISTED, Mesh};
use crate::engine::quantity::Millimetres;

/// A rim that is open: a hole, or the edge of a surface that is no body.
/// Rims that touch count as one.
#[derive(Clone, Debug, PartialEq)]
pub struct Hole {
    /// Around it.
    pub length: Millimetres,
    /// Its middle, in the file's axes: the mean along the rim.
    pub middle: [Millimetres; 3],
    /// Its extent along the axis in which it is largest.
    pub extent: Millimetres,
}

/// All holes.
pub(super) struct Holes {
    /// How many.
    pub count: u32,
    /// The longest, at most [`MOST_LISTED`], longest first.
    pub listed: Vec<Hole>,
    /// Volume below the covers of those listed, seen from the place given, in the
    /// file's units.
    pub below_covers: f64,
}

/// Of the values above 0, the places of the greatest, at most [`MOST_LISTED`],
/// greatest first; and how many are above 0.
pub(super) fn greatest(values: &[f64]) -> (u32, Vec<usize>) {
    let (mut count, mut listed) = (0, Vec::<usize>::with_capacity(MOST_LISTED + 1));
    for (place, value) in values.iter().enumerate() {
        if *value <= 0.0 {
            continue;
        }
        count += 1;
        if listed.len() < MOST_LISTED || listed.last().is_some_and(|last| values[*last] < *value) {
            let before = listed.iter().take_while(|other| values[**other] >= *value).count();
            listed.insert(before, place);
            listed.truncate(MOST_LISTED);
        }
    }
    (count, listed)
}

/// Marks the listed ones: minus their place in the list, less one.
pub(super) fn mark(values: &mut [f64], listed: &[usize]) {
    for (slot, place) in listed.iter().enumerate() {
        values[*place] = -1.0 - slot as f64;
    }
}

/// Where in the list a marked value is.
#[inline(always)]
pub(super) fn slot(value: f64) -> Option<usize> {
    (value < 0.0).then(|| (-value) as usize - 1)
}

/// What is summed along a rim.
#[derive(Clone, Copy)]
struct Rim {
    length: f64,
    middle: Vector,
    low: Vector,
    high: Vector,
    /// Twice the cover's area, as a vector.
    across: Vector,
}

/// Finds the holes by their open sides; `from` is where volumes are seen from.
pub(super) fn find(mesh: &Mesh, open: &[[u32; 2]], from: Vector) -> Holes {
    if open.is_empty() {
        return Holes { count: 0, listed: Vec::new(), below_covers: 0.0 };
    }
    let mut parents = singles(mesh.points.len());
    for [a, b] in open {
        join(&mut parents, *a, *b);
    }
    let mut lengths = vec![0.0; mesh.points.len()];
    for [a, b] in open {
        lengths[root(&mut parents, *a) as usize] += length(sub(mesh.point(*b), mesh.point(*a)));
    }
    let (count, longest) = greatest(&lengths);
    mark(&mut lengths, &longest);

    let none = Rim {
        length: 0.0,
        middle: [0.0; 3],
        low: [f64::INFINITY; 3],
        high: [f64::NEG_INFINITY; 3],
        across: [0.0; 3],
    };
    let mut rims = vec![none; longest.len()];
    for [a, b] in open {
        let Some(slot) = slot(lengths[root(&mut parents, *a) as usize]) else { continue };
        let rim = &mut rims[slot];
        let (a, b) = (sub(mesh.point(*a), from), sub(mesh.point(*b), from));
        let side = length(sub(b, a));
        rim.length += side;
        add(&mut rim.middle, a, side / 2.0);
        add(&mut rim.middle, b, side / 2.0);
        // The cover's side runs the other way.
        add(&mut rim.across, cross(b, a), 1.0);
        for axis in 0..3 {
            rim.low[axis] = rim.low[axis].min(a[axis]).min(b[axis]);
            rim.high[axis] = rim.high[axis].max(a[axis]).max(b[axis]);
        }
    }
    let mut below_covers = 0.0;
    let listed = rims.into_iter().map(|rim| {
        let middle = rim.middle.map(|sum| sum / rim.length);
        below_covers += dot(middle, rim.across) / 6.0;
        let extent = sub(rim.high, rim.low).into_iter().fold(0.0, f64::max);
        let mut place = from;
        add(&mut place, middle, 1.0);
        Hole {
            length: mesh.scale.length(Millimetres(rim.length)),
            middle: mesh.place(place),
            extent: mesh.scale.length(Millimetres(extent)),
        }
    });
    let listed = listed.collect();
    Holes { count, listed, below_covers }
}
