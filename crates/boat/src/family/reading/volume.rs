//! What a body displaces, from the lines of its side.

use crate::family::space::Figure;
use crate::family::surface::{Hit, Slope, Spot, Surface};
use crate::loft::vector::{Vec3, dot, even, scale, sub};

/// Half the volume under a hull side, and how it changes.
pub(super) struct Volume {
    pub m3: f64,
    pub slope: Slope,
}

/// Half the volume of the body under water: the half-breadth over the side's shadow on the
/// centreplane.
pub(super) fn half_volume(surface: &Surface<'_>) -> Volume {
    const ALONG: usize = 36;
    let shape = surface.shape;
    let draft = shape.figure(Figure::Draft);
    let mut slope = Slope::none(shape);
    let mut sum = 0.0;
    let mut waterplane = 0.0;
    for (strip, plan) in surface.plan.strips.iter().enumerate() {
        let across = plan.cells.min(12);
        let grid: Vec<Vec<Hit>> = even(ALONG)
            .into_iter()
            .map(|u| {
                let spots = even(across).into_iter().map(|v| Spot { strip, u, v });
                spots
                    .map(|spot| Hit {
                        spot,
                        p: surface.point(spot),
                    })
                    .collect()
            })
            .collect();
        for i in 0..ALONG {
            for j in 0..across {
                let (a, b) = (grid[i][j], grid[i + 1][j]);
                let (c, d) = (grid[i + 1][j + 1], grid[i][j + 1]);
                for corners in [[a, b, c], [a, c, d]] {
                    let part = under(corners.map(|h| h.p), draft);
                    sum += part.volume;
                    waterplane += part.waterplane;
                    // The skin pushes water aside as it moves square to itself.
                    let push = scale(part.area, 1.0 / 3.0);
                    if dot(push, push) > 0.0 {
                        for hit in corners {
                            surface.add_motion(&mut slope, hit.spot, push);
                        }
                    }
                }
            }
        }
        // The transom moves aft and takes water with it.
        for pair in grid[0].windows(2) {
            let rise = pair[1].p[2].min(draft) - pair[0].p[2].min(draft);
            for hit in pair {
                let push = -0.5 * rise * hit.p[1];
                surface.add_motion(&mut slope, hit.spot, [push, 0.0, 0.0]);
            }
        }
    }
    slope.0[shape.place(Figure::Draft)] += waterplane;
    Volume { m3: sum, slope }
}

struct Under {
    volume: f64,
    area: Vec3,
    waterplane: f64,
}

/// What of a triangle of the port side lies under water: the volume between it and the centreplane,
/// its area as a vector outward, and the waterplane's part it bounds.
fn under(corners: [Vec3; 3], draft: f64) -> Under {
    let mut kept: Vec<Vec3> = Vec::with_capacity(4);
    let mut cut: Vec<Vec3> = Vec::with_capacity(2);
    for k in 0..3 {
        let (a, b) = (corners[k], corners[(k + 1) % 3]);
        if a[2] <= draft {
            kept.push(a);
        }
        if (a[2] <= draft) != (b[2] <= draft) {
            let t = (draft - a[2]) / (b[2] - a[2]);
            let p = [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t, draft];
            kept.push(p);
            cut.push(p);
        }
    }
    let mut part = Under {
        volume: 0.0,
        area: [0.0; 3],
        waterplane: 0.0,
    };
    for k in 1..kept.len().saturating_sub(1) {
        let (a, b, c) = (kept[0], kept[k], kept[k + 1]);
        let (ab, ac) = (sub(b, a), sub(c, a));
        // Forward and up turn to starboard, so outward is the other way round.
        let area = [
            0.5 * (ac[1] * ab[2] - ac[2] * ab[1]),
            0.5 * (ac[2] * ab[0] - ac[0] * ab[2]),
            0.5 * (ac[0] * ab[1] - ac[1] * ab[0]),
        ];
        part.volume += area[1] * (a[1] + b[1] + c[1]) / 3.0;
        for (sum, one) in part.area.iter_mut().zip(area) {
            *sum += one;
        }
    }
    if let [a, b] = cut[..] {
        part.waterplane = 0.5 * (a[1] + b[1]) * (a[0] - b[0]).abs();
    }
    part
}
