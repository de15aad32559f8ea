//! A curve through points that never passes beyond its neighbours.
//!
//! Cubic Hermite pieces with slopes by weighted harmonic mean: F. N. Fritsch, J. Butland, "A Method
//! for Constructing Local Monotone Piecewise Cubic Interpolants", SIAM J. Sci. Stat. Comput. 5(2),
//! 1984 `[from memory]`. The crates that offer it are parts of whole numerical libraries; it is
//! these few lines.

/// A curve y(x).
#[derive(Debug, Clone)]
pub(super) struct Curve {
    points: Vec<[f64; 2]>,
    slopes: Vec<f64>,
}

impl Curve {
    /// Through at least one point, x rising.
    pub(super) fn through(points: Vec<[f64; 2]>) -> Self {
        let slopes = slopes(&points);
        Self { points, slopes }
    }

    /// The points it goes through.
    pub(super) fn points(&self) -> &[[f64; 2]] {
        &self.points
    }

    /// Least and greatest x.
    pub(super) fn ends(&self) -> [f64; 2] {
        [self.points[0][0], self.points[self.points.len() - 1][0]]
    }

    /// y at x; beyond an end the end's.
    pub(super) fn at(&self, x: f64) -> f64 {
        let last = self.points.len() - 1;
        let after = self.points.partition_point(|p| p[0] <= x);
        if after == 0 {
            return self.points[0][1];
        }
        if after > last {
            return self.points[last][1];
        }
        let ([x0, y0], [x1, y1]) = (self.points[after - 1], self.points[after]);
        let width = x1 - x0;
        let t = (x - x0) / width;
        let (m0, m1) = (self.slopes[after - 1] * width, self.slopes[after] * width);
        let rise = y1 - y0;
        y0 + t * (m0 + t * (3.0 * rise - 2.0 * m0 - m1 + t * (m0 + m1 - 2.0 * rise)))
    }
}

fn slopes(points: &[[f64; 2]]) -> Vec<f64> {
    let count = points.len();
    let widths: Vec<f64> = points.windows(2).map(|w| w[1][0] - w[0][0]).collect();
    let chords: Vec<f64> = points
        .windows(2)
        .map(|w| (w[1][1] - w[0][1]) / (w[1][0] - w[0][0]))
        .collect();
    match count {
        0 | 1 => return vec![0.0; count],
        2 => return vec![chords[0]; 2],
        _ => {}
    }
    let mut slopes = vec![0.0; count];
    for i in 1..count - 1 {
        let (before, after) = (chords[i - 1], chords[i]);
        if before * after > 0.0 {
            let (w0, w1) = (
                2.0 * widths[i] + widths[i - 1],
                widths[i] + 2.0 * widths[i - 1],
            );
            slopes[i] = (w0 + w1) / (w0 / before + w1 / after);
        }
    }
    slopes[0] = end_slope(widths[0], widths[1], chords[0], chords[1]);
    slopes[count - 1] = end_slope(
        widths[count - 2],
        widths[count - 3],
        chords[count - 2],
        chords[count - 3],
    );
    slopes
}

/// Slope at an end from the parabola through three points, held so that the curve stays monotone.
fn end_slope(near: f64, next: f64, near_chord: f64, next_chord: f64) -> f64 {
    let slope = ((2.0 * near + next) * near_chord - near * next_chord) / (near + next);
    if slope * near_chord <= 0.0 {
        0.0
    } else if near_chord * next_chord <= 0.0 && slope.abs() > 3.0 * near_chord.abs() {
        3.0 * near_chord
    } else {
        slope
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_goes_through_its_points_and_never_beyond() {
        let points = vec![[0.0, 0.0], [1.0, 0.0], [1.5, 2.0], [4.0, 2.1], [5.0, -1.0]];
        let curve = Curve::through(points.clone());
        for [x, y] in &points {
            assert!((curve.at(*x) - y).abs() < 1e-14);
        }
        for pair in points.windows(2) {
            for i in 0..=50 {
                let x = pair[0][0] + (pair[1][0] - pair[0][0]) * f64::from(i) / 50.0;
                let (lo, hi) = (pair[0][1].min(pair[1][1]), pair[0][1].max(pair[1][1]));
                assert!((lo - 1e-12..=hi + 1e-12).contains(&curve.at(x)), "{x}");
            }
        }
        assert_eq!(curve.at(0.5), 0.0, "along the centreline it stays there");
        assert_eq!((curve.at(-9.0), curve.at(9.0)), (0.0, -1.0));
    }

    #[test]
    fn a_straight_line_stays_straight() {
        let line = Curve::through(vec![[0.0, 1.0], [1.0, 3.0], [4.0, 9.0]]);
        assert!((line.at(2.3) - 5.6).abs() < 1e-12);
        assert_eq!(Curve::through(vec![[2.0, 7.0]]).at(0.0), 7.0);
    }
}
