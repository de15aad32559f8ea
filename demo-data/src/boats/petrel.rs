//! Petrel: a long-keeled sloop of the old school, keel-hung rudder, mast lowered on deck.

use super::moulded::{LoftError, Moulded};
use super::{BASIS, Boat, Particulars, gear, part};
use keelstead_boat::loft::body::{Body, Well};
use keelstead_boat::loft::lines::Lines;
use keelstead_boat::loft::shell::Shell;
use keelstead_boat::loft::sweep::{sweep, turned};

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

fn body(lines: Lines) -> Body {
    Body {
        lines,
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
///
/// # Errors
/// [`LoftError`] if her measures make no hull.
pub fn loft() -> Result<Boat, LoftError> {
    let Moulded { lines, hung } = Moulded::of(PARTICULARS.name)?;
    let body = body(lines);
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
    let mut parts = vec![part("body", body.shell())];
    parts.extend(hung);
    parts.extend([
        part("cabin", cabin(&body)),
        part("deck-gear", deck),
        part("deck-gear-2", rails),
        part("deck-gear-3", fittings),
        part("deck-gear-4", crutches),
        part("mast", mast),
    ]);
    Ok(Boat {
        particulars: PARTICULARS,
        parts,
        lines: body.lines,
    })
}
