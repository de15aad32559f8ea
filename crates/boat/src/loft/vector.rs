//! Points and directions as plain triples, in metres, and the few operations lofting needs.
//!
//! Only `+ - * /` and `sqrt` are used anywhere in the loft: IEEE 754 fixes their results to the
//! last bit, so every machine lofts the same hull. Trigonometry would not give that.

/// A point or direction: x forward, y to port, z up; metres.
pub type Vec3 = [f64; 3];

/// `a + b`.
pub fn add(a: Vec3, b: Vec3) -> Vec3 {
    [a[0] + b[0], a[1] + b[1], a[2] + b[2]]
}

/// `a - b`.
pub fn sub(a: Vec3, b: Vec3) -> Vec3 {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

/// `a · k`.
pub fn scale(a: Vec3, k: f64) -> Vec3 {
    [a[0] * k, a[1] * k, a[2] * k]
}

/// Dot product.
pub fn dot(a: Vec3, b: Vec3) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

/// Cross product.
pub fn cross(a: Vec3, b: Vec3) -> Vec3 {
    [
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    ]
}

/// Length of `a`.
pub fn length(a: Vec3) -> f64 {
    dot(a, a).sqrt()
}

/// `a` with length one; a zero vector stays zero.
pub fn unit(a: Vec3) -> Vec3 {
    let l = length(a);
    if l > 0.0 { scale(a, 1.0 / l) } else { a }
}

/// The part of `a` square to the unit vector `axis`, with length one.
pub fn square_to(a: Vec3, axis: Vec3) -> Vec3 {
    unit(sub(a, scale(axis, dot(a, axis))))
}

/// `a` at `t = 0`, `b` at `t = 1`.
pub fn mix(a: f64, b: f64, t: f64) -> f64 {
    a + (b - a) * t
}

/// `a` at `t = 0`, `b` at `t = 1`, for points.
pub fn mix3(a: Vec3, b: Vec3, t: f64) -> Vec3 {
    add(a, scale(sub(b, a), t))
}

/// `count + 1` numbers from 0 to 1, evenly spaced.
pub fn even(count: usize) -> Vec<f64> {
    (0..=count).map(|i| i as f64 / count as f64).collect()
}

/// Points of the unit circle, anticlockwise from (1, 0), by halving the right angle `halvings` times:
/// 8 points for one, 16 for two. Needs no trigonometry.
pub fn circle(halvings: u32) -> Vec<[f64; 2]> {
    let mut points: Vec<[f64; 2]> = vec![[1.0, 0.0], [0.0, 1.0], [-1.0, 0.0], [0.0, -1.0]];
    for _ in 0..halvings {
        let n = points.len();
        points = (0..n)
            .flat_map(|i| {
                let (a, b) = (points[i], points[(i + 1) % n]);
                let m = [a[0] + b[0], a[1] + b[1]];
                let l = (m[0] * m[0] + m[1] * m[1]).sqrt();
                [a, [m[0] / l, m[1] / l]]
            })
            .collect();
    }
    points
}

/// The first quarter of [`circle`], from (1, 0) to (0, 1), both included.
pub fn quarter(halvings: u32) -> Vec<[f64; 2]> {
    let all = circle(halvings);
    all[..=all.len() / 4].to_vec()
}
