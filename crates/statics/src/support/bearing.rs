//! The level area of a keel that bears on a top face: the skin over the face up to some height, each
//! place counted once however many skins lie over each other there.
//!
//! Pieces of skin are cut out exactly and their areas summed. Where a body and the root of its keel,
//! or a skin doubled, lie over each other, the sum is too large: lines across tell by how much.

use keelstead_boat::hull::Hull;
use keelstead_geometry::math::{Pose, Vec3};
use keelstead_geometry::polygon::Polygon;
use keelstead_load::rig_parts::TopFace;
use keelstead_load::setdown::top_face::TopFaceQuery;

/// Lines across what bears: what lies over each other is told to a few hundredths of itself.
const LINES: usize = 32;

/// A piece smaller than this adds nothing and reaches nowhere, m²: a side that stands upright.
const LEAST_AREA_M2: f64 = 1.0e-10;

/// Pieces nearer to each other than this are one length of keel, m.
const JOINT_M: f64 = 1.0e-6;

/// What of a hull bears on a face. Frame coordinates.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Bearing {
    /// Level area, m².
    pub(super) area_m2: f64,
    /// Middle of that area, at its mean height.
    pub(super) middle: Vec3,
    /// Length fore and aft over which anything bears, gaps left out, m.
    pub(super) length_m: f64,
    /// Aft and fore end, m.
    pub(super) ends_x_m: [f64; 2],
    /// Right and left side, m.
    pub(super) sides_y_m: [f64; 2],
    /// Of the pieces of skin, the middle of the one nearest to `middle`.
    pub(super) on_skin: Vec3,
}

impl Bearing {
    /// What stands up to `most_m` over the face; none if nothing has an area there.
    pub(super) fn of(
        hull: &Hull,
        frame_from_hull: &Pose,
        face: &TopFace,
        most_m: f64,
    ) -> Option<Self> {
        let over = TopFaceQuery::new(face, frame_from_hull);
        let mut pieces = Vec::with_capacity(64);
        for part in hull.bearing_parts() {
            let look = |triangle: u32| {
                let triangle = part.mesh.triangle(triangle);
                if over.lowest_corner_m(&triangle) > most_m {
                    return;
                }
                let mut piece = over.piece(&triangle);
                if piece.cut(|p| most_m - over.over_m(p)) {
                    pieces.extend(Piece::of(piece, face.middle));
                }
            };
            (part.mesh.tree()).each(|node| over.least_m(node) <= most_m, look);
        }
        Self::together(&pieces, face.middle)
    }

    fn together(pieces: &[Piece], about: Vec3) -> Option<Self> {
        let ends_x_m = ends(pieces.iter().map(|p| p.x_m))?;
        let sides_y_m = ends(pieces.iter().map(|p| p.y_m))?;
        let sum_m2: f64 = pieces.iter().map(|p| p.area_m2).sum();
        let moment: Vec3 = pieces.iter().map(|p| p.moment).sum();
        let twice = Twice::of(pieces, ends_x_m, about);
        // Lines tell shares; the exact sum tells how much that is.
        let per_line = sum_m2 / twice.sum_m.max(f64::MIN_POSITIVE);
        let area_m2 = sum_m2 - twice.over_m * per_line;
        let level = moment - twice.over_moment * per_line;
        let middle = about + Vec3::new(level.x / area_m2, level.y / area_m2, moment.z / sum_m2);
        let away = |p: &&Piece| (p.middle(about) - middle).length_squared();
        let nearest = pieces
            .iter()
            .min_by(|a, b| away(a).total_cmp(&away(b)))?
            .middle(about);
        (area_m2.is_finite() && area_m2 > 0.0).then_some(Self {
            area_m2,
            middle,
            length_m: length_m(pieces),
            ends_x_m,
            sides_y_m,
            on_skin: nearest,
        })
    }
}

/// A piece of skin over the face.
struct Piece {
    polygon: Polygon,
    area_m2: f64,
    /// Area times its middle, from the face's middle, m³.
    moment: Vec3,
    x_m: [f64; 2],
    y_m: [f64; 2],
}

impl Piece {
    fn of(polygon: Polygon, about: Vec3) -> Option<Self> {
        let (area_m2, moment) = polygon.level_area(about);
        let reach = |axis: usize| ends(polygon.corners().iter().map(|p| [p[axis]; 2]));
        (area_m2 > LEAST_AREA_M2).then_some(Self {
            area_m2,
            moment,
            x_m: reach(0)?,
            y_m: reach(1)?,
            polygon,
        })
    }

    fn middle(&self, about: Vec3) -> Vec3 {
        about + self.moment / self.area_m2
    }
}

/// Least and greatest of them all; none where there are none.
fn ends(of: impl Iterator<Item = [f64; 2]>) -> Option<[f64; 2]> {
    of.reduce(|a, b| [a[0].min(b[0]), a[1].max(b[1])])
}

/// Length fore and aft over which any piece lies, m.
fn length_m(pieces: &[Piece]) -> f64 {
    let mut stretches: Vec<[f64; 2]> = pieces.iter().map(|p| p.x_m).collect();
    stretches.sort_unstable_by(|a, b| a[0].total_cmp(&b[0]));
    let (mut length, mut to) = (0.0, f64::NEG_INFINITY);
    for [from, end] in stretches {
        if from > to + JOINT_M {
            length += end - from;
        } else {
            length += (end - to).max(0.0);
        }
        to = to.max(end);
    }
    length
}

/// What lines across meet, and what of it more than once.
struct Twice {
    /// All that they meet, m.
    sum_m: f64,
    /// What of it lies over other, m.
    over_m: f64,
    /// That times its place level, from the face's middle, m².
    over_moment: Vec3,
}

impl Twice {
    fn of(pieces: &[Piece], [aft, fore]: [f64; 2], about: Vec3) -> Self {
        let step = (fore - aft) / LINES as f64;
        let station = |line: usize| aft + (line as f64 + 0.5) * step;
        let mut met: Vec<(usize, [f64; 2])> = Vec::with_capacity(4 * LINES);
        for piece in pieces {
            // Stations within the piece; a cast of what is negative gives zero.
            let first = ((piece.x_m[0] - aft) / step - 0.5).ceil() as usize;
            let end = ((piece.x_m[1] - aft) / step + 0.5).ceil() as usize;
            for line in first..end.min(LINES) {
                met.extend(piece.polygon.across(station(line)).map(|y| (line, y)));
            }
        }
        met.sort_unstable_by(|a, b| a.0.cmp(&b.0).then(a.1[0].total_cmp(&b.1[0])));
        let mut twice = Self {
            sum_m: 0.0,
            over_m: 0.0,
            over_moment: Vec3::ZERO,
        };
        let mut reached = (usize::MAX, f64::NEG_INFINITY);
        for (line, [from, to]) in met {
            twice.sum_m += to - from;
            if reached.0 != line {
                reached = (line, f64::NEG_INFINITY);
            }
            let over = to.min(reached.1) - from;
            if over > 0.0 {
                twice.over_m += over;
                let at = Vec3::new(station(line), from + over / 2.0, about.z);
                twice.over_moment += (at - about) * over;
            }
            reached.1 = reached.1.max(to);
        }
        twice
    }
}
