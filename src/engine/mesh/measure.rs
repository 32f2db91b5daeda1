//! What a scan measures: area, volume, holes, parts, curvature.
//!
//! Volume is the sum of signed tetrahedra under the triangles, seen from the
//! middle of the scan rather than from the file's origin, which may lie metres
//! away and would cost digits.

use super::edges::{Edges, root};
use super::holes::{self, Hole};
use super::vector::{cross, dot, length, sub};
use super::{Mesh, MeshError, Scale, above_zero};
use crate::engine::quantity::{Millilitres, Millimetres, SquareMetres};

/// A bend inwards of less than this, in radians, is single precision's noise and
/// not a dent: about a twentieth of a degree (common practice).
const FLAT: f64 = 1e-3;

/// A part: triangles that hang together by their edges.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Its triangles.
    pub triangles: u32,
    /// Its area.
    pub area: SquareMetres,
    /// Its volume, below 0 for a hollow inside another part. Not to be relied
    /// on where the part is open: no covers are counted.
    pub volume: Millilitres,
}

/// What a scan measures, at the scale that the mesh had.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// Triangles measured.
    pub triangles: u32,
    /// Triangles without area, those left out at reading among them.
    pub degenerate: u32,
    /// Length, width and height along the file's axes.
    pub size: [Millimetres; 3],
    /// Area of the surface, without covers for holes.
    pub area: SquareMetres,
    /// Volume, with the holes that are listed covered as in [`Hole`]: exact if
    /// watertight. Never below 0.
    pub volume: Millilitres,
    /// Whether every edge belongs to exactly two triangles, in opposite senses.
    pub watertight: bool,
    /// Whether the surface was inside out and has been turned.
    pub inside_out: bool,
    /// Sides of triangles without a neighbour.
    pub open_edges: u32,
    /// Edges with more than two triangles.
    pub crowded_edges: u32,
    /// Edges where two neighbours run in opposite senses: one is inside out.
    pub clashing_edges: u32,
    /// How many holes there are.
    pub hole_count: u32,
    /// The longest holes, at most [`super::MOST_LISTED`], longest first.
    pub holes: Vec<Hole>,
    /// How many parts there are.
    pub part_count: u32,
    /// The largest parts by area, at most [`super::MOST_LISTED`], largest first.
    pub parts: Vec<Part>,
    /// Integrated mean curvature: half the sum over edges of length times the
    /// angle between the two triangles, convex ones above 0 (Steiner 1840).
    pub curvature: Millimetres,
    /// Points less edges plus triangles: 2 for each body without a tunnel.
    pub euler: i64,
    /// Whether it is one closed body without dents.
    pub convex: bool,
}

/// A blanket of even thickness all over a scan.
#[derive(Clone, Debug, PartialEq)]
pub struct Blanket {
    /// Its volume by Steiner's formula.
    pub volume: Millilitres,
    /// Area times thickness, for comparison: too little on a convex piece.
    pub flat: Millilitres,
    /// Whether the formula is exact here. If not it is an estimate: in narrow
    /// hollows a blanket meets itself, and over holes there is none.
    pub exact: bool,
}

impl Mesh {
    /// Measures the surface; turns it if it was inside out, which is when its
    /// volume comes out below 0.
    pub fn measure(&mut self) -> Measured {
        let (low, high) = self.bounds();
        let middle = [0, 1, 2].map(|axis| (low[axis] + high[axis]) / 2.0);
        let edges = Edges::of(self);
        let holes = holes::find(self, &edges.open, middle);
        let Edges { parts: mut parents, mut curvature, angles, .. } = edges;

        // One look at all triangles gives each part's sums, at its root.
        let mut sums = vec![[0.0_f64; 2]; self.faces.len()];
        let (mut area, mut volume, mut flat) = (0.0, 0.0, 0);
        for (index, face) in self.faces.iter().enumerate() {
            let [a, b, c] = self.corners(*face);
            let across = cross(sub(b, a), sub(c, a));
            let twice = length(across);
            let six = dot(sub(a, middle), across);
            flat += u32::from(twice <= 0.0);
            area += twice / 2.0;
            volume += six / 6.0;
            let sum = &mut sums[root(&mut parents, index as u32) as usize];
            sum[0] += twice / 2.0;
            sum[1] += six / 6.0;
        }
        volume += holes.below_covers;
        let inside_out = volume < 0.0;
        let sign = if inside_out { -1.0 } else { 1.0 };
        if inside_out {
            self.flip();
            curvature = -curvature;
        }

        let scale = self.scale.factor();
        let (part_count, parts) = self.parts(&mut parents, &sums, sign);
        let watertight = edges.open.is_empty() && edges.crowded == 0 && edges.clashing == 0;
        let euler = i64::from(self.used()) - i64::from(edges.count) + i64::from(self.triangles());
        let dent = if inside_out { angles[1] } else { -angles[0] };
        Measured {
            triangles: self.triangles(),
            degenerate: self.dropped + flat,
            size: self.size(),
            area: square(area, scale),
            volume: cube(volume * sign, scale),
            watertight,
            inside_out,
            open_edges: edges.open.len() as u32,
            crowded_edges: edges.crowded,
            clashing_edges: edges.clashing,
            hole_count: holes.count,
            holes: holes.listed,
            part_count,
            parts,
            curvature: Millimetres(curvature * scale),
            euler,
            convex: watertight && part_count == 1 && euler == 2 && dent < FLAT,
        }
    }

    /// How many parts, and the largest; `sums` are of area and volume at the roots.
    fn parts(&self, parents: &mut [u32], sums: &[[f64; 2]], sign: f64) -> (u32, Vec<Part>) {
        let scale = self.scale.factor();
        let areas: Vec<f64> = sums.iter().map(|sum| sum[0]).collect();
        let (_, largest) = holes::greatest(&areas);
        let mut values = areas;
        holes::mark(&mut values, &largest);
        let mut parts: Vec<Part> = largest
            .into_iter()
            .map(|at| Part {
                triangles: 0,
                area: square(sums[at][0], scale),
                volume: cube(sums[at][1] * sign, scale),
            })
            .collect();
        let mut count = 0;
        for index in 0..parents.len() as u32 {
            let root = root(parents, index);
            count += u32::from(root == index);
            if let Some(slot) = holes::slot(values[root as usize]) {
                parts[slot].triangles += 1;
            }
        }
        (count, parts)
    }

    /// How many points have a triangle: those of dropped triangles may have none.
    fn used(&self) -> u32 {
        let mut used = vec![false; self.points.len()];
        for corner in self.faces.iter().flatten() {
            used[*corner as usize] = true;
        }
        used.into_iter().map(u32::from).sum()
    }
}

impl Measured {
    /// What the same scan measures at a scale, if it was measured at
    /// [`Scale::MILLIMETRE`].
    #[must_use]
    pub fn scaled(mut self, scale: Scale) -> Measured {
        let factor = scale.factor();
        self.size = self.size.map(|side| side * factor);
        self.area = self.area * (factor * factor);
        self.volume = self.volume * factor.powi(3);
        self.curvature = self.curvature * factor;
        for hole in &mut self.holes {
            hole.length = hole.length * factor;
            hole.middle = hole.middle.map(|along| along * factor);
            hole.extent = hole.extent * factor;
        }
        for part in &mut self.parts {
            part.area = part.area * (factor * factor);
            part.volume = part.volume * factor.powi(3);
        }
        self
    }

    /// The volume of a blanket all over the outside.
    ///
    /// Steiner's formula: S t + M t² + (2/3) π χ t³, with the area S, the
    /// integrated mean curvature M and χ = 2 for a body without a tunnel, which
    /// makes the last term the sphere's 4/3 π t³ (Steiner 1840; χ after Weyl 1939,
    /// from memory; held against trimesh). Exact for convex bodies.
    ///
    /// # Errors
    /// [`MeshError::Length`] where the thickness is not above 0 or not finite.
    pub fn blanket(&self, thickness: Millimetres) -> Result<Blanket, MeshError> {
        let t = above_zero("The thickness", thickness)?;
        let flat = self.area * thickness;
        // What is open, or not a surface at all, is taken as one body.
        let euler = if self.watertight { self.euler as f64 } else { 2.0 };
        let edges = self.curvature.value() * t * t;
        let corners = std::f64::consts::PI * 2.0 / 3.0 * euler * t.powi(3);
        let volume = flat + Millilitres((edges + corners) / MM3_PER_ML);
        Ok(Blanket { volume: volume.max(Millilitres(0.0)), flat, exact: self.convex })
    }
}

/// Cubic millimetres to a millilitre.
const MM3_PER_ML: f64 = 1000.0;

/// An area in the file's units, at so many millimetres to the unit.
pub(super) fn square(area: f64, scale: f64) -> SquareMetres {
    SquareMetres(area * scale * scale / 1e6)
}

/// A volume in the file's units, at so many millimetres to the unit.
fn cube(volume: f64, scale: f64) -> Millilitres {
    Millilitres(volume * scale.powi(3) / MM3_PER_ML)
}
