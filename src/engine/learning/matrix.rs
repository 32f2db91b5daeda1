//! As much of linear algebra as three unknowns need.

/// Three numbers.
pub type Vector = [f64; 3];
/// Three rows of three.
pub type Matrix = [Vector; 3];

pub fn dot(a: Vector, b: Vector) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

pub fn times(m: Matrix, v: Vector) -> Vector {
    m.map(|row| dot(row, v))
}

pub fn transposed_times(m: Matrix, v: Vector) -> Vector {
    let mut sum = [0.0; 3];
    for (row, share) in m.iter().zip(v) {
        for (sum, cell) in sum.iter_mut().zip(row) {
            *sum += share * cell;
        }
    }
    sum
}

fn cross(a: Vector, b: Vector) -> Vector {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

/// The inverse of a symmetric matrix whose least eigenvalue is 1 or more: the
/// cross products of its rows over its determinant.
pub fn inverse([a, b, c]: Matrix) -> Matrix {
    let columns = [cross(b, c), cross(c, a), cross(a, b)];
    let determinant = dot(a, columns[0]);
    columns.map(|column| column.map(|cell| cell / determinant))
}

/// The lower triangle whose product with its own transpose is `m`, a covariance.
/// A part without variance gives a row of noughts.
pub fn cholesky(m: Matrix) -> Matrix {
    let mut lower: Matrix = [[0.0; 3]; 3];
    for row in 0..3 {
        for column in 0..=row {
            let left = m[row][column] - dot(lower[row], lower[column]);
            let pivot = lower[column][column];
            lower[row][column] = if row == column {
                left.max(0.0).sqrt()
            } else if pivot > 0.0 {
                left / pivot
            } else {
                0.0
            };
        }
    }
    lower
}
