//! Avocet: a beamy shoal-draft centreboarder that dries out upright; her mast travels apart.

use super::{BASIS, Boat, Particulars, gear, part};
use keelstead::loft::body::{Body, Well};
use keelstead::loft::foil::{Foil, Section, Slot};
use keelstead::loft::lines::{Lines, Strake, bezier1, bezier2, row};
use keelstead::loft::shell::Shell;
use keelstead::loft::vector::mix;

/// Dimensions and weights.
pub const PARTICULARS: Particulars = Particulars {
    name: "avocet",
    kind: "shoal-draft centreboarder",
    loa_m: 7.0,
    lwl_m: 6.5,
    beam_m: 2.75,
    draft_m: 0.78,
    waterline_z_m: 0.75,
    mass_kg: 2_300.0,
    mass_tolerance_kg: 120.0,
    cg_m: [1.58, 0.0, 0.80],
    cg_tolerance_m: [0.12, 0.03, 0.12],
    basis: BASIS,
};

/// The hull side: control points from transom to stem, centreline to sheer.
fn lines() -> Lines {
    let rows = vec![
        row(
            [-1.70, -0.75, 0.25, 1.25, 2.25, 3.22, 4.45, 4.78],
            [0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0],
            [0.76, 0.61, 0.46, 0.34, 0.29, 0.31, 0.41, 0.62],
        ),
        row(
            [-1.70, -0.75, 0.25, 1.25, 2.26, 3.22, 4.55, 4.92],
            [0.45, 0.55, 0.62, 0.64, 0.58, 0.40, 0.13, 0.0],
            [0.77, 0.63, 0.49, 0.37, 0.32, 0.36, 0.48, 0.79],
        ),
        row(
            [-1.70, -0.75, 0.25, 1.25, 2.27, 3.25, 4.68, 5.02],
            [0.85, 1.08, 1.24, 1.28, 1.16, 0.80, 0.18, 0.0],
            [0.83, 0.71, 0.60, 0.52, 0.50, 0.57, 0.74, 1.04],
        ),
        row(
            [-1.71, -0.76, 0.25, 1.25, 2.28, 3.30, 4.94, 5.10],
            [1.06, 1.34, 1.54, 1.60, 1.48, 1.08, 0.20, 0.0],
            [0.98, 0.92, 0.87, 0.83, 0.83, 0.90, 1.03, 1.25],
        ),
        row(
            [-1.71, -0.76, 0.25, 1.25, 2.29, 3.35, 5.11, 5.18],
            [1.08, 1.34, 1.52, 1.58, 1.50, 1.20, 0.21, 0.0],
            [1.25, 1.22, 1.20, 1.19, 1.21, 1.27, 1.36, 1.48],
        ),
        row(
            [-1.72, -0.76, 0.25, 1.25, 2.30, 3.40, 5.25, 5.25],
            [1.02, 1.26, 1.44, 1.52, 1.48, 1.28, 0.23, 0.0],
            [1.50, 1.47, 1.45, 1.45, 1.48, 1.55, 1.64, 1.72],
        ),
    ];
    Lines {
        strakes: vec![Strake { rows, cells: 24 }],
    }
    .with_beam(PARTICULARS.beam_m)
}

fn body() -> Body {
    Body {
        lines: lines(),
        columns: 100,
        camber: 0.075,
        transom_bulge_m: 0.03,
        wells: vec![Well {
            x_m: (-1.4, 0.85),
            breadth: 0.5,
            sole_z_m: 0.93,
        }],
    }
}

/// Chord stations of the keel, and which of them the centreboard's slot spans.
const KEEL_STATIONS: usize = 60;
const SLOT_STATIONS: (usize, usize) = (22, 44);

/// The stub keel: broad and flat enough to dry out on, with a slot for the board.
fn keel(body: &Body) -> Shell {
    let sole = [
        [3.45, 0.26],
        [3.15, 0.09],
        [2.75, 0.03],
        [2.0, 0.01],
        [1.0, 0.0],
        [0.0, 0.0],
    ];
    let root_z = |x: f64| body.lines.bottom_z_m(x, 0.12) + 0.02;
    let plane = |chord: f64, span: f64| {
        let low = bezier2(&sole, chord);
        let x = mix(3.75, -0.12, chord);
        [mix(low[0], x, span), mix(low[1], root_z(x), span)]
    };
    Foil {
        plane: &plane,
        half_m: &|span| bezier1(&[0.085, 0.10, 0.11, 0.20], span),
        section: Section::long(0.4),
        edge_m: 0.02,
        cells: (KEEL_STATIONS, 8),
        slot: Some(Slot {
            stations: SLOT_STATIONS,
            half_m: 0.028,
            depth_m: 0.16,
        }),
    }
    .shell()
}

/// The centreboard, hauled up: its lower edge still shows three centimetres below the keel.
fn centreboard() -> Shell {
    let edge = [
        [1.93, 0.04],
        [1.86, -0.045],
        [1.50, -0.045],
        [1.20, -0.035],
        [1.00, -0.02],
        [0.93, 0.04],
    ];
    let plane = |chord: f64, span: f64| {
        let low = bezier2(&edge, chord);
        [
            mix(low[0], mix(1.93, 0.93, chord), span),
            mix(low[1], 0.14, span),
        ]
    };
    Foil {
        plane: &plane,
        half_m: &|_| 0.018,
        section: Section::plate(),
        edge_m: 0.008,
        cells: (36, 4),
        slot: None,
    }
    .shell()
}

/// The transom-hung rudder: blade kicked up aft, clear of the ground, in its stock.
fn rudder() -> Shell {
    let plane = |chord: f64, span: f64| {
        let width = mix(0.22, 0.30, span) * chord;
        let (x, z) = (mix(-2.42, -1.80, span), mix(0.46, 1.20, span));
        [x - 0.77 * width, z + 0.64 * width]
    };
    let blade = Foil {
        plane: &plane,
        half_m: &|_| 0.016,
        section: Section::foil(0.25),
        edge_m: 0.006,
        cells: (18, 18),
        slot: None,
    }
    .shell();
    let stock = gear::hatch((-1.98, -1.69), 0.035, (0.88, 1.62));
    blade.beside(stock)
}

/// Lofts the boat.
pub fn loft() -> Boat {
    let body = body();
    let cabin = gear::Trunk {
        x_m: (0.95, 3.75),
        half_m: &[0.88, 0.98, 1.00, 0.90, 0.50],
        top_z_m: (2.02, 1.86),
        front_rake_m: 0.42,
        windows: &[(5, 15), (18, 27)],
    }
    .shell(&body);
    let edge = |x: f64| body.lines.sheer_at(x)[1] - 0.05;
    let pulpit = [
        [4.2, edge(4.2), 2.14],
        [4.8, edge(4.8), 2.17],
        [5.17, 0.13, 2.19],
        [5.26, -0.01, 2.20],
    ];
    let deck =
        gear::toe_rails(&body, 0.035, 0.03).beside(gear::rubbing_strakes(&body, 0.06, 0.022));
    let fittings = gear::coamings(&body, (-1.45, 0.95), 0.62, 0.16)
        .beside(gear::hatch((1.05, 1.65), 0.30, (1.94, 2.08)))
        .beside(gear::hatch((3.95, 4.35), 0.22, (1.66, 1.77)))
        .beside(gear::winches([0.35, 0.98, 1.52], 0.14));
    Boat {
        particulars: PARTICULARS,
        parts: vec![
            part("body", body.shell()),
            part("keel", keel(&body)),
            part("centreboard", centreboard()),
            part("rudder", rudder()),
            part("cabin", cabin),
            part("deck-gear", deck),
            part(
                "deck-gear-2",
                gear::railing(&body, &pulpit, &[0, 1], 0.0125),
            ),
            part("deck-gear-3", fittings),
        ],
        lines: body.lines,
    }
}
