//! Petrel: a long-keeled sloop of the old school, keel-hung rudder, mast lowered on deck.

use super::{BASIS, Boat, Particulars, gear, part};
use keelstead::loft::body::{Body, Well};
use keelstead::loft::foil::{Foil, Section};
use keelstead::loft::lines::{Lines, Strake, bezier1, bezier2, row};
use keelstead::loft::shell::Shell;
use keelstead::loft::sweep::{sweep, turned};
use keelstead::loft::vector::mix;

/// Dimensions and weights.
pub const PARTICULARS: Particulars = Particulars {
    name: "petrel",
    kind: "long-keeled sloop",
    loa_m: 9.4,
    lwl_m: 7.45,
    beam_m: 2.9,
    draft_m: 1.5,
    waterline_z_m: 1.5,
    mass_kg: 5_200.0,
    mass_tolerance_kg: 250.0,
    cg_m: [2.90, 0.0, 1.42],
    cg_tolerance_m: [0.15, 0.03, 0.15],
    basis: BASIS,
};

/// The hull side: control points from transom to stem, centreline to sheer.
fn lines() -> Lines {
    let rows = vec![
        row(
            [-1.00, 0.10, 1.20, 2.30, 3.40, 4.50, 5.50, 6.30],
            [0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0],
            [1.60, 1.32, 1.03, 0.80, 0.70, 0.72, 0.90, 1.22],
        ),
        row(
            [-1.04, 0.07, 1.18, 2.30, 3.42, 4.56, 5.80, 6.70],
            [0.30, 0.40, 0.50, 0.56, 0.53, 0.38, 0.11, 0.0],
            [1.62, 1.38, 1.10, 0.87, 0.76, 0.78, 0.99, 1.36],
        ),
        row(
            [-1.12, 0.02, 1.16, 2.30, 3.46, 4.66, 6.40, 7.08],
            [0.58, 0.90, 1.18, 1.34, 1.26, 0.88, 0.15, 0.0],
            [1.74, 1.52, 1.26, 1.04, 0.97, 1.06, 1.30, 1.62],
        ),
        row(
            [-1.20, -0.03, 1.13, 2.30, 3.50, 4.76, 7.10, 7.45],
            [0.80, 1.18, 1.50, 1.68, 1.60, 1.18, 0.18, 0.0],
            [1.98, 1.80, 1.62, 1.50, 1.48, 1.58, 1.78, 1.96],
        ),
        row(
            [-1.28, -0.08, 1.11, 2.30, 3.55, 4.90, 7.65, 7.76],
            [0.88, 1.22, 1.52, 1.68, 1.62, 1.32, 0.20, 0.0],
            [2.26, 2.15, 2.05, 1.98, 2.00, 2.10, 2.24, 2.36],
        ),
        row(
            [-1.32, -0.12, 1.08, 2.30, 3.60, 5.00, 8.04, 8.04],
            [0.86, 1.18, 1.46, 1.62, 1.60, 1.40, 0.22, 0.0],
            [2.52, 2.45, 2.39, 2.36, 2.40, 2.50, 2.65, 2.80],
        ),
    ];
    Lines {
        strakes: vec![Strake { rows, cells: 26 }],
    }
    .with_beam(PARTICULARS.beam_m)
}

fn body() -> Body {
    Body {
        lines: lines(),
        columns: 112,
        camber: 0.085,
        transom_bulge_m: 0.04,
        wells: vec![Well {
            x_m: (-0.65, 1.15),
            breadth: 0.5,
            sole_z_m: 2.02,
        }],
    }
}

/// The after edge of the keel at a height: the sternpost, raked aft from the heel.
fn sternpost_x_m(z_m: f64) -> f64 {
    -0.27 * z_m
}

/// The long keel: a straight sole with a little rocker, its toe rounded up into a sloping leading edge.
fn keel(body: &Body) -> Shell {
    let sole = [
        [4.85, 0.50],
        [4.52, 0.20],
        [4.1, 0.105],
        [3.4, 0.05],
        [2.2, 0.012],
        [1.0, 0.0],
        [0.0, 0.0],
    ];
    let root_z = |x: f64| body.lines.bottom_z_m(x, 0.09) + 0.02;
    // Where the sternpost enters the hull: three steps settle it to well under a millimetre.
    let aft_end = (0..3).fold(-0.3, |x, _| sternpost_x_m(root_z(x)));
    let plane = |chord: f64, span: f64| {
        let low = bezier2(&sole, chord);
        let x_root = mix(5.95, aft_end, chord);
        [mix(low[0], x_root, span), mix(low[1], root_z(x_root), span)]
    };
    // A flare at the root runs the keel into the garboards.
    let half = |span: f64| bezier1(&[0.07, 0.085, 0.10, 0.105, 0.12, 0.22], span);
    Foil {
        plane: &plane,
        half_m: &half,
        section: Section::long(0.3),
        edge_m: 0.02,
        cells: (76, 12),
        slot: None,
    }
    .shell()
}

/// The rudder, hung on the sternpost, its heel a hand's breadth above the keel's.
fn rudder() -> Shell {
    let plane = |chord: f64, span: f64| {
        let z = mix(0.09 + 0.09 * chord * chord, 1.47, span);
        let width = bezier1(&[0.44, 0.60, 0.58, 0.34, 0.17], span);
        [sternpost_x_m(z) - 0.012 - width * chord, z]
    };
    Foil {
        plane: &plane,
        half_m: &|span| mix(0.026, 0.032, span),
        section: Section::foil(0.22),
        edge_m: 0.01,
        cells: (20, 16),
        slot: None,
    }
    .shell()
    // The stock, up into the hull along the sternpost.
    .beside(turned(
        [sternpost_x_m(1.3) - 0.06, 0.0, 1.3],
        [sternpost_x_m(1.0), 0.0, 1.0],
        &[[0.0, 0.026], [0.4, 0.026]],
        2,
    ))
}

fn cabin(body: &Body) -> Shell {
    gear::Trunk {
        x_m: (1.2, 4.95),
        half_m: &[0.92, 1.02, 1.04, 0.98, 0.62],
        top_z_m: (3.00, 2.88),
        front_rake_m: 0.34,
        windows: &[(5, 12), (14, 21), (24, 28), (31, 33)],
    }
    .shell(body)
}

/// The mast on its crutches, heel aft, and the crutches it lies in.
fn mast() -> (Shell, Shell) {
    let profile = [
        [0.0, 0.055],
        [0.05, 0.066],
        [7.5, 0.066],
        [10.6, 0.045],
        [10.65, 0.0],
    ];
    let lying = turned([-1.85, 0.0, 3.34], [10.6, 0.0, 0.04], &profile, 2);
    // Each crutch is two legs and a bar the mast lies on.
    let square = [
        [-0.025, -0.025],
        [0.025, -0.025],
        [0.025, 0.025],
        [-0.025, 0.025],
    ];
    let ahead = [1.0, 0.0, 0.0];
    let crutch = |x: f64, foot_y: f64, foot_z: f64, bar_z: f64| {
        let leg = [[x, foot_y, foot_z], [x, 0.10, bar_z + 0.12]];
        let bar = [[x, 0.16, bar_z], [x, -0.16, bar_z]];
        sweep(&leg, &square, ahead)
            .and_mirrored()
            .beside(sweep(&bar, &square, ahead))
    };
    let aft = crutch(-0.85, 0.55, 2.50, 3.255);
    let fore = crutch(6.25, 0.40, 2.60, 3.282);
    (lying, aft.beside(fore))
}

/// Lofts the boat.
pub fn loft() -> Boat {
    let body = body();
    let (mast, crutches) = mast();
    let pulpit = [
        [6.55, body.lines.sheer_at(6.55)[1] - 0.06, 3.24],
        [7.3, body.lines.sheer_at(7.3)[1] - 0.05, 3.28],
        [7.95, 0.13, 3.33],
        [8.08, -0.01, 3.34],
    ];
    let pushpit = [
        [-0.35, body.lines.sheer_at(-0.35)[1] - 0.06, 3.04],
        [-0.95, body.lines.sheer_at(-0.95)[1] - 0.07, 3.05],
        [-1.26, 0.62, 3.06],
        [-1.32, -0.01, 3.06],
    ];
    let deck =
        gear::toe_rails(&body, 0.055, 0.035).beside(gear::rubbing_strakes(&body, 0.10, 0.026));
    let rails = gear::railing(&body, &pulpit, &[0, 1], 0.0125)
        .beside(gear::railing(&body, &pushpit, &[0, 1, 2], 0.0125))
        .beside(gear::lifelines(&body, &[-0.35, 1.2, 2.9, 4.7, 6.55], 0.6));
    let fittings = gear::coamings(&body, (-0.7, 1.25), 0.62, 0.2)
        .beside(gear::hatch((1.35, 2.1), 0.34, (2.92, 3.09)))
        .beside(gear::hatch((5.35, 5.9), 0.26, (2.5, 2.70)))
        .beside(gear::winches([0.55, 0.93, 2.5], 0.17));
    Boat {
        particulars: PARTICULARS,
        parts: vec![
            part("body", body.shell()),
            part("keel", keel(&body)),
            part("rudder", rudder()),
            part("cabin", cabin(&body)),
            part("deck-gear", deck),
            part("deck-gear-2", rails),
            part("deck-gear-3", fittings),
            part("deck-gear-4", crutches),
            part("mast", mast),
        ],
        lines: body.lines,
    }
}
