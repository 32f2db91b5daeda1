//! Three numbers at a time: what surfaces are worked out with.
//!
//! Always inlined: they run millions of times, and the app is built for size,
//! which would make calls of them. For the same reason none of them maps an array:
//! built for size, that alone takes a third of the time of a scan.

/// A place, a step or a direction.
pub(super) type Vector = [f64; 3];

/// A place kept in single precision.
#[inline(always)]
pub(super) fn wide(a: [f32; 3]) -> Vector {
    [f64::from(a[0]), f64::from(a[1]), f64::from(a[2])]
}

/// `a - b`.
#[inline(always)]
pub(super) fn sub(a: Vector, b: Vector) -> Vector {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

/// The scalar product.
#[inline(always)]
pub(super) fn dot(a: Vector, b: Vector) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

/// The vector product.
#[inline(always)]
pub(super) fn cross(a: Vector, b: Vector) -> Vector {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

/// How long it is.
#[inline(always)]
pub(super) fn length(a: Vector) -> f64 {
    dot(a, a).sqrt()
}

/// `sum + a * factor`, into the sum.
#[inline(always)]
pub(super) fn add(sum: &mut Vector, a: Vector, factor: f64) {
    for axis in 0..3 {
        sum[axis] += a[axis] * factor;
    }
}

/// Across a triangle, as long as twice its area; outwards if it runs
/// anticlockwise seen from outside.
#[inline(always)]
pub(super) fn normal([a, b, c]: [Vector; 3]) -> Vector {
    cross(sub(b, a), sub(c, a))
}
