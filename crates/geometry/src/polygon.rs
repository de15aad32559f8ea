//! Convex polygons cut by planes, without a heap: triangles of a skin cut to what stands over a top
//! face.

use crate::math::Vec3;

/// Most corners: a triangle cut five times has no more.
const MOST: usize = 8;

/// A convex polygon of a few corners, none for one cut away.
#[derive(Debug, Clone, Copy)]
pub struct Polygon {
    corners: [Vec3; MOST],
    count: usize,
}

impl Polygon {
    /// The triangle.
    pub fn triangle(triangle: &[Vec3; 3]) -> Self {
        let mut corners = [Vec3::ZERO; MOST];
        corners[..3].copy_from_slice(triangle);
        Self { corners, count: 3 }
    }

    /// Its corners, in order.
    pub fn corners(&self) -> &[Vec3] {
        &self.corners[..self.count]
    }

    /// Cuts it to where `side`, a plane's, is not negative; returns whether anything is left.
    pub fn cut(&mut self, side: impl Fn(Vec3) -> f64) -> bool {
        let mut sides = [0.0; MOST];
        let mut within = 0;
        for (at, p) in sides.iter_mut().zip(self.corners()) {
            *at = side(*p);
            within += usize::from(*at >= 0.0);
        }
        // Mostly it lies on one side as a whole.
        if within == self.count {
            return within > 0;
        }
        if within == 0 {
            self.count = 0;
            return false;
        }
        let (before, count) = (self.corners, self.count);
        self.count = 0;
        let mut keep = |p: Vec3| {
            // More can only come of rounding along a sliver: nothing is lost with them.
            if self.count < MOST {
                self.corners[self.count] = p;
                self.count += 1;
            }
        };
        for i in 0..count {
            let next = (i + 1) % count;
            let (p, q, a, b) = (before[i], before[next], sides[i], sides[next]);
            if a >= 0.0 {
                keep(p);
            }
            if (a >= 0.0) != (b >= 0.0) {
                keep(p + (q - p) * (a / (a - b)));
            }
        }
        self.count > 0
    }

    /// Its level area, m², with what that area times a corner's place comes to, m³: as it stands
    /// upright over `about`, which places are measured from.
    pub fn level_area(&self, about: Vec3) -> (f64, Vec3) {
        let (mut area, mut moment) = (0.0, Vec3::ZERO);
        let Some((&first, rest)) = self.corners().split_first() else {
            return (area, moment);
        };
        let a = first - about;
        for pair in rest.windows(2) {
            let (b, c) = (pair[0] - about, pair[1] - about);
            let (u, v) = (b - a, c - a);
            let part = (u.x * v.y - u.y * v.x) / 2.0;
            area += part;
            moment += (a + b + c) * (part / 3.0);
        }
        if area < 0.0 {
            (-area, -moment)
        } else {
            (area, moment)
        }
    }

    /// From where to where the upright plane across at `x` cuts it, least and greatest y; none if it
    /// does not.
    pub fn across(&self, x: f64) -> Option<[f64; 2]> {
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for i in 0..self.count {
            let (p, q) = (self.corners[i], self.corners[(i + 1) % self.count]);
            if (p.x <= x) != (q.x <= x) {
                let y = p.y + (q.y - p.y) * ((x - p.x) / (q.x - p.x));
                (low, high) = (low.min(y), high.max(y));
            }
        }
        (low < high).then_some([low, high])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn triangle() -> Polygon {
        Polygon::triangle(
            &[[0.0, 0.0, 0.0], [3.0, 0.0, 0.3], [0.0, 2.0, 0.0]].map(Vec3::from_array),
        )
    }

    #[test]
    fn a_triangle_has_the_area_and_middle_of_the_textbook() {
        let (area, moment) = triangle().level_area(Vec3::new(5.0, 5.0, 0.0));
        assert!((area - 3.0).abs() < 1e-12);
        let middle = moment / area + Vec3::new(5.0, 5.0, 0.0);
        assert!((middle - Vec3::new(1.0, 2.0 / 3.0, 0.1)).length() < 1e-12);
    }

    #[test]
    fn what_a_plane_leaves_of_it() {
        let mut left = triangle();
        assert!(left.cut(|p| 1.5 - p.x));
        // By hand: the tip beyond x = 1.5 is a quarter of 3.
        assert!((left.level_area(Vec3::ZERO).0 - 2.25).abs() < 1e-12);
        assert_eq!(left.corners().len(), 4);
        assert_eq!(left.across(0.75).map(|[a, b]| (a, b)), Some((0.0, 1.5)));
        assert_eq!(left.across(1.6), None);
        assert!(!left.cut(|p| p.x - 2.0) && left.corners().is_empty());
    }
}
