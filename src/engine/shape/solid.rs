//! Shapes as checked plain numbers in mm, and their sums.
//!
//! Many shapes of the bench are few for geometry: a box, a cylinder and a prism
//! differ in their base alone, a frustum is a short lathe profile. What the
//! blanket on a convex body holds is Steiner's polynomial S t + M t² + 4/3 pi t³
//! (S its area, M its integrated mean curvature); a body with upright walls at
//! its base is half of a convex one cut through its middle, so half of that.

use super::elliptic::{ellipse_girth, ellipsoid_area, ellipsoid_bend};
use super::error::ShapeError;
use super::lathe::{self, Ring};
use crate::engine::maths::Maths;
use std::f64::consts::{FRAC_PI_2, PI};

/// A checked shape. All lengths in mm.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Solid {
    /// Semi-axes, the upright one last; `half` when it is cut across that.
    Ellipsoid { axes: [f64; 3], half: bool },
    /// Upright walls over any base. `wide` is its width from the front and from
    /// the side.
    Prism { area: f64, outline: f64, wide: [f64; 2], height: f64, convex: bool },
    /// Half a cylinder that lies on its flat.
    HalfRound { radius: f64, length: f64 },
    /// A ball's cap.
    Cap { ball: f64, height: f64 },
    /// A turned body from its base up. `volume` where it is known better than
    /// from the rings.
    Turned { rings: Vec<Ring>, volume: Option<f64> },
}

/// What a solid measures, in mm, mm² and mm³.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Plain {
    /// Area without the base.
    pub area: f64,
    /// Area of the flat that it stands on.
    pub base: f64,
    pub volume: f64,
    /// Length round the base; of a whole ellipsoid, round its middle.
    pub rim: f64,
    pub height: f64,
    /// Area and outline seen from above, from the front and from the side.
    pub views: [(f64, f64); 3],
}

/// Steiner's polynomial.
fn steiner(area: f64, bend: f64, t: f64) -> f64 {
    area * t + bend * t * t + 4.0 / 3.0 * PI * t * t * t
}

/// What a blanket holds below a flat base of this area and outline, out from
/// its rim too: half of Steiner's polynomial of a flat convex plate.
fn below_base(area: f64, outline: f64, t: f64) -> f64 {
    steiner(2.0 * area, FRAC_PI_2 * outline, t) / 2.0
}

/// Steiner's polynomial of a whole upright prism over a convex base.
fn prism_blanket(area: f64, outline: f64, height: f64, t: f64) -> f64 {
    steiner(2.0 * area + outline * height, FRAC_PI_2 * outline + PI * height, t)
}

/// Volume of a ball's cap: pi h² (3 R - h) / 3.
fn cap_volume(ball: f64, height: f64) -> f64 {
    PI * height * height * (3.0 * ball - height) / 3.0
}

/// What a blanket on a cap holds. Over the round it is a shell; at the rim it
/// fills the angle from the round's normal down to level (down to straight
/// below, when the base is covered too).
fn cap_blanket(ball: f64, height: f64, below: bool, t: f64) -> f64 {
    if !below && height > ball {
        // The round leans out over the board, which cuts the shell off.
        return cap_volume(ball + t, height + t) - cap_volume(ball, height);
    }
    let rim = (height * (2.0 * ball - height)).max(0.0).sqrt();
    // Sine of the angle at which the round's normal rises at the rim.
    let rise = (ball - height) / ball;
    let shell = 2.0 * PI * height / ball * ((ball + t).powi(3) - ball.powi(3)) / 3.0;
    let (angle, sines) =
        if below { (rise.asin() + FRAC_PI_2, rise + 1.0) } else { (rise.asin(), rise) };
    let edge = 2.0 * PI * (rim * t * t / 2.0 * angle + t * t * t / 3.0 * sines);
    let under = if below { PI * rim * rim * t } else { 0.0 };
    shell + edge + under
}

impl Solid {
    /// Area, volume and views in closed form (any handbook of mensuration; an
    /// ellipsoid's area and girths by [`super::elliptic`]).
    pub(super) fn plain(&self) -> Plain {
        match self {
            Self::Ellipsoid { axes: [a, b, c], half } => {
                let base = PI * a * b;
                let girth = ellipse_girth(*a, *b);
                let (front, side) = (PI * b * c, PI * a * c);
                let (round_front, round_side) = (ellipse_girth(*b, *c), ellipse_girth(*a, *c));
                let area = ellipsoid_area([*a, *b, *c]);
                let volume = 4.0 / 3.0 * PI * a * b * c;
                if *half {
                    Plain {
                        area: area / 2.0,
                        base,
                        volume: volume / 2.0,
                        rim: girth,
                        height: *c,
                        views: [
                            (base, girth),
                            (front / 2.0, round_front / 2.0 + 2.0 * b),
                            (side / 2.0, round_side / 2.0 + 2.0 * a),
                        ],
                    }
                } else {
                    Plain {
                        area,
                        base: 0.0,
                        volume,
                        rim: girth,
                        height: 2.0 * c,
                        views: [(base, girth), (front, round_front), (side, round_side)],
                    }
                }
            }
            Self::Prism { area, outline, wide: [front, side], height, .. } => Plain {
                area: area + outline * height,
                base: *area,
                volume: area * height,
                rim: *outline,
                height: *height,
                views: [
                    (*area, *outline),
                    (front * height, 2.0 * (front + height)),
                    (side * height, 2.0 * (side + height)),
                ],
            },
            Self::HalfRound { radius: r, length: l } => {
                let (base, rim) = (2.0 * r * l, 4.0 * r + 2.0 * l);
                let end = PI * r * r / 2.0;
                Plain {
                    area: PI * r * l + 2.0 * end,
                    base,
                    volume: end * l,
                    rim,
                    height: *r,
                    views: [(base, rim), (end, (PI + 2.0) * r), (r * l, 2.0 * (r + l))],
                }
            }
            Self::Cap { ball, height } => {
                let rim = (height * (2.0 * ball - height)).max(0.0).sqrt();
                let widest = if height > ball { *ball } else { rim };
                let angle = ((ball - height) / ball).acos();
                let section = ball * ball * angle - (ball - height) * rim;
                let outline = 2.0 * ball * angle + 2.0 * rim;
                Plain {
                    area: 2.0 * PI * ball * height,
                    base: PI * rim * rim,
                    volume: cap_volume(*ball, *height),
                    rim: 2.0 * PI * rim,
                    height: *height,
                    views: [
                        (PI * widest * widest, 2.0 * PI * widest),
                        (section, outline),
                        (section, outline),
                    ],
                }
            }
            Self::Turned { rings, volume } => {
                let sums = lathe::strips(rings);
                let widest = rings.iter().fold(0.0_f64, |widest, ring| widest.max(ring.radius));
                let base = rings.first().map_or(0.0, |ring| ring.radius);
                let (top, height) =
                    rings.last().map_or((0.0, 0.0), |ring| (ring.radius, ring.height));
                let outline = 2.0 * (sums.slant + base + top);
                Plain {
                    area: sums.area + PI * top * top,
                    base: PI * base * base,
                    volume: volume.unwrap_or(sums.volume),
                    rim: 2.0 * PI * base,
                    height,
                    views: [
                        (PI * widest * widest, 2.0 * PI * widest),
                        (sums.section, outline),
                        (sums.section, outline),
                    ],
                }
            }
        }
    }

    /// What a blanket of thickness `t` holds, in mm³: above the board, or all
    /// round when `below` is set.
    pub(super) fn blanket(&self, below: bool, t: f64) -> f64 {
        let plain = self.plain();
        let above = match self {
            Self::Ellipsoid { axes, half } => {
                let whole = steiner(ellipsoid_area(*axes), ellipsoid_bend(*axes), t);
                if *half { whole / 2.0 } else { return whole }
            }
            Self::Prism { area, outline, height, .. } => {
                prism_blanket(*area, *outline, 2.0 * height, t) / 2.0
            }
            Self::HalfRound { radius, length } => {
                prism_blanket(PI * radius * radius, 2.0 * PI * radius, *length, t) / 2.0
            }
            Self::Cap { ball, height } => return cap_blanket(*ball, *height, below, t),
            Self::Turned { rings, .. } => {
                return lathe::blanket(rings, t, below);
            }
        };
        if below { above + below_base(plain.base, plain.rim, t) } else { above }
    }

    /// What stays free, in mm³, in a cut of this shape that is lined `t` thick
    /// but for its mouth. True for upright walls that are round, square to each
    /// other or regular, with the mouth on one end or both, and for parts of a
    /// ball; any other is taken as a body that a ball touches all over.
    pub(super) fn left_inside(&self, plain: &Plain, mouth: f64, t: f64) -> f64 {
        let shrunk = |half: f64| (1.0 - t / half).max(0.0);
        if let Self::Prism { area, outline, wide: [front, side], height, .. } = self {
            // A mouth on an uncovered base counts half, and is as open.
            let closed_ends = (2.0 - (mouth / area - 0.25).ceil()).clamp(0.0, 2.0);
            let round = shrunk(2.0 * area / outline).powi(2);
            let square = shrunk(front / 2.0) * shrunk(side / 2.0);
            return area * round.min(square) * (height - closed_ends * t).max(0.0);
        }
        let walls = plain.area + plain.base - mouth;
        plain.volume * shrunk(3.0 * plain.volume / walls).powi(3)
    }

    /// Whether the blanket is the true one and no estimate.
    pub(super) fn is_exact(&self) -> bool {
        match self {
            Self::Prism { convex, .. } => *convex,
            Self::Turned { volume, .. } => volume.is_none(),
            _ => true,
        }
    }
}

/// What a contact takes off the blankets of two parts that touch there: what
/// would lie between them, below the face of one and in the corner round it on
/// the other. Exact for a round part that stands well inside a flat; a contact
/// of another outline has a longer corner, so a little is left on.
pub(super) fn contact_blanket(contact: f64, t: f64) -> f64 {
    let radius = (contact / PI).sqrt();
    let corner = PI * (radius + t) * (radius + t) * t;
    below_base(contact, 2.0 * PI * radius, t) + corner
}

/// Area, outline and greatest width of a regular polygon.
pub(super) fn regular(sides: u32, side: f64) -> (f64, f64, f64) {
    let number = f64::from(sides);
    let angle = PI / number;
    let (sine, cosine) = angle.sine_cosine();
    let round = side / (2.0 * sine);
    // An odd number of corners has none just opposite: the farthest is next to it.
    let wide = if sides.is_multiple_of(2) {
        2.0 * round
    } else {
        2.0 * round * (angle / 2.0).sine_cosine().1
    };
    (number * side * side * cosine / (4.0 * sine), number * side, wide)
}

/// Area and greatest width of a triangle, by Heron's formula as Kahan orders it
/// (stable for flat ones).
pub(super) fn triangle(sides: [f64; 3]) -> Result<(f64, f64), ShapeError> {
    let mut sorted = sides;
    sorted.sort_by(f64::total_cmp);
    let [c, b, a] = sorted;
    if a >= b + c {
        return Err(ShapeError::NotATriangle);
    }
    let product = (a + (b + c)) * (c - (a - b)) * (c + (a - b)) * (a + (b - c));
    Ok((product.max(0.0).sqrt() / 4.0, a))
}

/// Rings of a body that tapers from `radius` at its base so that it holds
/// `form` times the cylinder round it: r = R (1 - z/h)^p with
/// form = 1/(2 p + 1). These are forest mensuration's bodies: cylinder 1,
/// paraboloid 1/2, cone 1/3, neiloid 1/4 (from memory; the integral proves them).
pub(super) fn tapered(radius: f64, height: f64, form: f64) -> Solid {
    /// Rings; they crowd towards the tip, where the outline bends most.
    const RINGS: u32 = 48;
    let power = (1.0 / form - 1.0) / 2.0;
    let rings = (0..=RINGS)
        .map(|index| {
            let left = 1.0 - f64::from(index) / f64::from(RINGS);
            Ring {
                height: height * (1.0 - left * left),
                radius: radius * left.to_power(2.0 * power),
            }
        })
        .collect();
    Solid::Turned { rings, volume: Some(form * PI * radius * radius * height) }
}
