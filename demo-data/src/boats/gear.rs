//! Deck gear the boats share: rails, strakes, tubes, hatches.

use crate::shipwright::house::{Face, House, Window};
use keelstead_boat::loft::body::Body;
use keelstead_boat::loft::lines::bezier1;
use keelstead_boat::loft::shell::Shell;
use keelstead_boat::loft::sweep::{smooth_path, sweep, tube};
use keelstead_boat::loft::vector::{Vec3, add, even, mix, scale, unit};

/// Pieces in a rail along the sheer.
const RAIL_PIECES: usize = 64;
const UP: Vec3 = [0.0, 0.0, 1.0];

/// Points along the sheer over a range (0 transom, 1 stem), moved `inboard_m`.
fn along_sheer(body: &Body, range: (f64, f64), inboard_m: f64) -> Vec<Vec3> {
    even(RAIL_PIECES)
        .into_iter()
        .map(|t| {
            let u = mix(range.0, range.1, t);
            let p = body.lines.sheer(u);
            let ahead = body.lines.sheer((u + 1e-3).min(1.0));
            let behind = body.lines.sheer((u - 1e-3).max(0.0));
            let along = unit([ahead[0] - behind[0], ahead[1] - behind[1], 0.0]);
            // Starboard of the way forward along the port sheer is inboard.
            let inboard = [along[1], -along[0], 0.0];
            add(p, scale(inboard, inboard_m))
        })
        .collect()
}

/// Toe rails along both deck edges, `height_m` high, sitting on the sheer.
pub fn toe_rails(body: &Body, height_m: f64, width_m: f64) -> Shell {
    let path = along_sheer(body, (0.003, 0.985), 0.5 * width_m + 0.004);
    let (h, w) = (height_m, 0.5 * width_m);
    let outline = [[-w, -0.02], [w, -0.02], [0.75 * w, h], [-0.75 * w, h]];
    sweep(&path, &outline, UP).and_mirrored()
}

/// Half-round rubbing strakes along both sides, `below_m` under the sheer.
pub fn rubbing_strakes(body: &Body, below_m: f64, radius_m: f64) -> Shell {
    let path: Vec<Vec3> = even(RAIL_PIECES)
        .into_iter()
        .map(|t| body.lines.below_sheer(mix(0.004, 0.985, t), below_m))
        .collect();
    let r = radius_m;
    let outline = [
        [0.6 * r, r],
        [-0.4 * r, r],
        [-0.85 * r, 0.5 * r],
        [-r, 0.0],
        [-0.85 * r, -0.5 * r],
        [-0.4 * r, -r],
        [0.6 * r, -r],
    ];
    sweep(&path, &outline, UP).and_mirrored()
}

/// A pulpit or pushpit: a bent rail on posts that stand on the deck, and its mirror image.
///
/// `rail` runs along the port side; one that goes round the end of the boat ends just past the
/// centreline, so that the two halves overlap. `posts` are indices into it.
pub fn railing(body: &Body, rail: &[Vec3], posts: &[usize], radius_m: f64) -> Shell {
    let mut shell = tube(&smooth_path(rail, 6), radius_m, UP);
    for top in posts.iter().map(|k| rail[*k]) {
        let foot = [top[0], top[1], body.deck_z_m(top[0], top[1]) - 0.02];
        let head = [top[0], top[1], top[2] - 0.3 * radius_m];
        shell = shell.beside(tube(&[foot, head], 0.9 * radius_m, [1.0, 0.0, 0.0]));
    }
    shell.and_mirrored()
}

/// Stanchions with two lifelines between the stations `x_m`, `height_m` high, both sides.
pub fn lifelines(body: &Body, x_m: &[f64], height_m: f64) -> Shell {
    let foot = |x: f64| {
        let s = body.lines.sheer_at(x);
        [x, s[1] - 0.06, s[2]]
    };
    let mut shell = Shell::default();
    for x in x_m {
        let low = add(foot(*x), [0.0, 0.0, -0.02]);
        let high = add(low, [0.0, 0.0, height_m + 0.02]);
        shell = shell.beside(tube(&[low, high], 0.0125, [1.0, 0.0, 0.0]));
    }
    for share in [0.5, 0.97] {
        let up = [0.0, 0.0, height_m * share];
        let line: Vec<Vec3> = x_m.iter().map(|x| add(foot(*x), up)).collect();
        shell = shell.beside(tube(&line, 0.004, UP));
    }
    shell.and_mirrored()
}

/// A cabin trunk: sides leaning in, cambered roof, raked front, sunk windows.
pub struct Trunk<'a> {
    /// After and forward end at the deck, on the centreline.
    pub x_m: (f64, f64),
    /// Half-breadth at the deck from aft to forward (control values of a Bézier curve).
    pub half_m: &'a [f64],
    /// Height of the roof on the centreline, aft and forward.
    pub top_z_m: (f64, f64),
    /// How far the front leans aft from deck to roof.
    pub front_rake_m: f64,
    /// Windows in the sides: first and last of [`Trunk::CELLS`] corners along.
    pub windows: &'a [(usize, usize)],
}

impl Trunk<'_> {
    /// Faces along, out and up.
    const CELLS: (usize, usize, usize) = (40, 8, 7);

    /// The closed shell, its floor just under the deck.
    pub fn shell(&self, body: &Body) -> Shell {
        let shape = |a: f64, o: f64, u: f64| {
            let y = (bezier1(self.half_m, a) - 0.10 * u) * o;
            let rake = u * (self.front_rake_m * a * a * a - 0.03);
            // The front is rounded in plan.
            let x = mix(self.x_m.0, self.x_m.1, a) - rake - 0.16 * a * a * o * o;
            let deck = body.deck_z_m(x, y) - 0.05;
            let top = mix(self.top_z_m.0, self.top_z_m.1, a) - 0.085 * o * o;
            [x, y, mix(deck, top, u)]
        };
        let window = |along: &(usize, usize)| Window {
            face: Face::Side,
            along: *along,
            up: (3, 6),
        };
        let windows: Vec<Window> = self.windows.iter().map(window).collect();
        House {
            shape: &shape,
            cells: Self::CELLS,
            windows: &windows,
            recess_m: 0.03,
        }
        .shell()
    }
}

/// A hatch or box on the centreline: from `x_m.0` to `x_m.1`, `half_m` out, from `z_m.0` up to
/// `z_m.1`, its top a little smaller than its foot.
pub fn hatch(x_m: (f64, f64), half_m: f64, z_m: (f64, f64)) -> Shell {
    let mid = 0.5 * (x_m.0 + x_m.1);
    let shape = |a: f64, o: f64, u: f64| {
        let k = 1.0 - 0.12 * u * u;
        [
            mid + (mix(x_m.0, x_m.1, a) - mid) * k,
            half_m * o * k,
            mix(z_m.0, z_m.1, u) + 0.015 * u * (1.0 - o * o),
        ]
    };
    House {
        shape: &shape,
        cells: (4, 3, 2),
        windows: &[],
        recess_m: 0.0,
    }
    .shell()
}

/// A coaming on both sides of a well: an upright board from `x_m.0` to `x_m.1` at `share` of the
/// deck's half-breadth, `height_m` above the deck.
pub fn coamings(body: &Body, x_m: (f64, f64), share: f64, height_m: f64) -> Shell {
    let path: Vec<Vec3> = even(16)
        .into_iter()
        .map(|t| {
            let x = mix(x_m.0, x_m.1, t);
            let y = body.lines.sheer_at(x)[1] * share;
            [x, y, body.deck_z_m(x, y)]
        })
        .collect();
    let h = height_m;
    sweep(
        &path,
        &[[-0.05, -0.03], [0.03, -0.03], [0.012, h], [-0.035, h]],
        UP,
    )
    .and_mirrored()
}

/// Winch drums at a point and its mirror image.
pub fn winches(foot: Vec3, height_m: f64) -> Shell {
    let profile = [
        [0.0, 0.06],
        [0.25 * height_m, 0.058],
        [0.4 * height_m, 0.04],
        [0.8 * height_m, 0.042],
        [height_m, 0.055],
    ];
    keelstead_boat::loft::sweep::turned(foot, UP, &profile, 2).and_mirrored()
}
