//! Gannet: a fin-keeled sloop with a lead bulb, spade rudder and a sail drive; her mast travels apart.

use super::{BASIS, Boat, Particulars, gear, part};
use keelstead::loft::body::{Body, Well};
use keelstead::loft::bulb::Bulb;
use keelstead::loft::foil::{Foil, Section};
use keelstead::loft::lines::{Lines, Strake, bezier1, row};
use keelstead::loft::propeller::Propeller;
use keelstead::loft::shell::Shell;
use keelstead::loft::sweep::turned;
use keelstead::loft::vector::mix;

/// Dimensions and weights.
pub const PARTICULARS: Particulars = Particulars {
    name: "gannet",
    kind: "fin-keeled sloop with bulb",
    loa_m: 10.5,
    lwl_m: 9.45,
    beam_m: 3.3,
    draft_m: 1.95,
    waterline_z_m: 1.95,
    mass_kg: 4_800.0,
    mass_tolerance_kg: 200.0,
    cg_m: [0.52, 0.0, 1.55],
    cg_tolerance_m: [0.15, 0.03, 0.15],
    basis: BASIS,
};

/// The hull side: control points from transom to stem, centreline to sheer.
fn lines() -> Lines {
    let rows = vec![
        row(
            [-4.65, -3.20, -1.70, -0.20, 1.30, 2.80, 4.85, 5.40],
            [0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0],
            [2.04, 1.86, 1.62, 1.40, 1.33, 1.44, 1.57, 1.80],
        ),
        row(
            [-4.65, -3.19, -1.70, -0.20, 1.30, 2.82, 4.95, 5.52],
            [0.50, 0.62, 0.72, 0.74, 0.66, 0.45, 0.15, 0.0],
            [2.04, 1.87, 1.63, 1.42, 1.35, 1.48, 1.65, 1.97],
        ),
        row(
            [-4.62, -3.17, -1.69, -0.20, 1.31, 2.86, 5.15, 5.59],
            [1.02, 1.28, 1.46, 1.50, 1.34, 0.88, 0.20, 0.0],
            [2.08, 1.94, 1.74, 1.56, 1.50, 1.62, 1.86, 2.22],
        ),
        row(
            [-4.56, -3.13, -1.68, -0.20, 1.32, 2.90, 5.46, 5.66],
            [1.34, 1.60, 1.80, 1.86, 1.70, 1.20, 0.22, 0.0],
            [2.24, 2.17, 2.09, 2.01, 1.99, 2.07, 2.24, 2.50],
        ),
        row(
            [-4.48, -3.10, -1.66, -0.20, 1.34, 2.95, 5.66, 5.74],
            [1.37, 1.61, 1.79, 1.86, 1.75, 1.36, 0.24, 0.0],
            [2.55, 2.55, 2.54, 2.54, 2.56, 2.62, 2.74, 2.86],
        ),
        row(
            [-4.40, -3.06, -1.64, -0.20, 1.36, 3.00, 5.81, 5.81],
            [1.30, 1.55, 1.74, 1.82, 1.75, 1.46, 0.26, 0.0],
            [2.92, 2.91, 2.91, 2.93, 2.97, 3.03, 3.10, 3.16],
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
        columns: 106,
        camber: 0.07,
        transom_bulge_m: 0.04,
        wells: vec![Well {
            x_m: (-3.85, -1.45),
            breadth: 0.5,
            sole_z_m: 2.36,
        }],
    }
}

/// The lead bulb and how far it was moved to put its flat at the origin.
fn bulb() -> (Shell, f64) {
    let x = [-0.45, -0.10, 0.40, 0.95, 1.50, 1.98, 1.98];
    let rows = vec![
        row(
            x,
            [0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0],
            [0.20, 0.13, 0.00, -0.07, -0.06, -0.02, 0.17],
        ),
        row(
            x,
            [0.0, 0.05, 0.14, 0.19, 0.18, 0.11, 0.0],
            [0.20, 0.13, 0.00, -0.07, -0.06, -0.02, 0.17],
        ),
        row(
            x,
            [0.0, 0.07, 0.19, 0.26, 0.25, 0.15, 0.0],
            [0.20, 0.17, 0.11, 0.08, 0.08, 0.10, 0.17],
        ),
        row(
            x,
            [0.0, 0.05, 0.15, 0.20, 0.19, 0.12, 0.0],
            [0.20, 0.23, 0.33, 0.38, 0.37, 0.32, 0.17],
        ),
        row(
            x,
            [0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0],
            [0.20, 0.25, 0.36, 0.42, 0.41, 0.35, 0.17],
        ),
    ];
    Bulb {
        rows,
        cells: (64, 26),
    }
    .shell()
}

fn fin(body: &Body, shift_m: f64) -> Shell {
    let plane = |chord: f64, span: f64| {
        let x_root = mix(1.26, -0.06, chord);
        let x_tip = mix(1.52, 0.52, chord) + shift_m;
        let z_root = body.lines.bottom_z_m(x_root, 0.05) + 0.02;
        [mix(x_tip, x_root, span), mix(0.20, z_root, span)]
    };
    Foil {
        plane: &plane,
        half_m: &|span| bezier1(&[0.062, 0.066, 0.072, 0.078, 0.115], span),
        section: Section::foil(0.10),
        edge_m: 0.01,
        cells: (30, 24),
        slot: None,
    }
    .shell()
}

fn rudder(body: &Body) -> Shell {
    let plane = |chord: f64, span: f64| {
        let width = bezier1(&[0.27, 0.40, 0.48, 0.52], span);
        let x = mix(-3.46, -3.40, span) - width * chord;
        let z_root = body.lines.bottom_z_m(x, 0.0) - 0.012;
        [x, mix(0.52 + 0.05 * chord, z_root, span)]
    };
    Foil {
        plane: &plane,
        half_m: &|span| mix(0.022, 0.046, span),
        section: Section::foil(0.12),
        edge_m: 0.008,
        cells: (24, 22),
        slot: None,
    }
    .shell()
    // The stock, through the daylight between blade and hull.
    .beside(turned(
        [-3.56, 0.0, 1.6],
        [0.0, 0.0, 1.0],
        &[[0.0, 0.024], [0.5, 0.024]],
        2,
    ))
}

/// Where the sail drive's propeller turns.
const PROPELLER_M: [f64; 3] = [-2.22, 0.0, 1.24];

/// The sail drive's leg and gear case.
fn sail_drive(body: &Body) -> Shell {
    let plane = |chord: f64, span: f64| {
        let x = mix(-1.70, -1.70 - mix(0.26, 0.34, span), chord);
        [x, mix(1.22, body.lines.bottom_z_m(x, 0.0) + 0.03, span)]
    };
    let leg = Foil {
        plane: &plane,
        half_m: &|span| mix(0.035, 0.05, span),
        section: Section::foil(0.2),
        edge_m: 0.008,
        cells: (16, 6),
        slot: None,
    }
    .shell();
    let case = [
        [0.0, 0.0],
        [0.02, 0.03],
        [0.08, 0.055],
        [0.18, 0.065],
        [0.40, 0.06],
        [0.50, 0.05],
    ];
    leg.beside(turned([-1.66, 0.0, 1.24], [-1.0, 0.0, 0.0], &case, 2))
}

fn rails(body: &Body) -> Shell {
    let edge = |x: f64| body.lines.sheer_at(x)[1] - 0.06;
    let pulpit = [
        [4.5, edge(4.5), 3.68],
        [5.25, edge(5.25), 3.71],
        [5.74, 0.15, 3.74],
        [5.84, -0.01, 3.75],
    ];
    let pushpit = [
        [-3.4, edge(-3.4), 3.51],
        [-4.05, edge(-4.05), 3.52],
        [-4.32, 1.0, 3.52],
    ];
    let side = |p: &[[f64; 3]]| gear::railing(body, p, &[0, 1, 2], 0.0125);
    gear::railing(body, &pulpit, &[0, 1], 0.0125)
        .beside(side(&pushpit))
        .beside(gear::lifelines(
            body,
            &[-3.4, -1.6, 0.2, 2.1, 3.8, 4.5],
            0.6,
        ))
}

/// Lofts the boat.
pub fn loft() -> Boat {
    let body = body();
    let (bulb, shift_m) = bulb();
    let cabin = gear::Trunk {
        x_m: (-1.35, 3.3),
        half_m: &[1.08, 1.16, 1.14, 0.98, 0.56],
        top_z_m: (3.42, 3.22),
        front_rake_m: 0.5,
        windows: &[(6, 17), (19, 28)],
    }
    .shell(&body);
    let propeller = Propeller {
        centre: PROPELLER_M,
        aft: [-1.0, 0.0, 0.0],
        diameter_m: 0.42,
        pitch_m: 0.28,
        hub_m: (0.045, 0.12),
    };
    let deck = gear::toe_rails(&body, 0.035, 0.03);
    let fittings = gear::coamings(&body, (-3.8, -1.3), 0.62, 0.18)
        .beside(gear::hatch((-1.2, -0.4), 0.33, (3.34, 3.49)))
        .beside(gear::hatch((3.85, 4.35), 0.26, (3.06, 3.20)))
        .beside(gear::winches([-2.0, 1.12, 3.0], 0.16));
    Boat {
        particulars: PARTICULARS,
        parts: vec![
            part("body", body.shell()),
            part("keel", fin(&body, shift_m)),
            part("keel-2", bulb),
            part("rudder", rudder(&body)),
            part("strut", sail_drive(&body)),
            part("propeller", propeller.shell()),
            part("cabin", cabin),
            part("deck-gear", deck),
            part("deck-gear-2", rails(&body)),
            part("deck-gear-3", fittings),
        ],
        lines: body.lines,
    }
}
