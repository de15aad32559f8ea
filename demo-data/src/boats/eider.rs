//! Eider: a hard-chine workboat with a long skeg, one propeller in a strut and a spade rudder.

use super::{BASIS, Boat, Particulars, gear, part};
use crate::shipwright::house::{Face, House, Window};
use keelstead::loft::body::{Body, Well};
use keelstead::loft::foil::{Foil, Section};
use keelstead::loft::lines::{Lines, Strake, bezier1, bezier2, row};
use keelstead::loft::propeller::Propeller;
use keelstead::loft::shell::Shell;
use keelstead::loft::sweep::turned;
use keelstead::loft::vector::{Vec3, mix};

/// Dimensions and weights.
pub const PARTICULARS: Particulars = Particulars {
    name: "eider",
    kind: "hard-chine workboat",
    loa_m: 11.0,
    lwl_m: 10.3,
    beam_m: 3.6,
    draft_m: 1.15,
    waterline_z_m: 1.15,
    mass_kg: 9_500.0,
    mass_tolerance_kg: 500.0,
    cg_m: [2.55, 0.0, 1.45],
    cg_tolerance_m: [0.20, 0.04, 0.20],
    basis: BASIS,
};

/// The hull side: the bottom up to the chine, then the topsides up to the sheer.
fn lines() -> Lines {
    let chine = row(
        [-1.86, -0.20, 1.40, 3.00, 4.60, 6.30, 8.45, 8.74],
        [1.46, 1.62, 1.76, 1.82, 1.74, 1.42, 0.30, 0.0],
        [1.04, 1.00, 0.96, 0.94, 0.99, 1.16, 1.50, 1.88],
    );
    let bottom = vec![
        row(
            [-1.84, -0.20, 1.40, 3.00, 4.60, 6.20, 7.85, 8.30],
            [0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0],
            [0.84, 0.73, 0.62, 0.51, 0.43, 0.42, 0.58, 1.00],
        ),
        row(
            [-1.85, -0.20, 1.40, 3.00, 4.60, 6.24, 8.12, 8.53],
            [0.74, 0.84, 0.92, 0.95, 0.88, 0.66, 0.17, 0.0],
            [0.92, 0.82, 0.73, 0.66, 0.64, 0.73, 0.98, 1.38],
        ),
        chine.clone(),
    ];
    let topsides = vec![
        chine,
        row(
            [-1.89, -0.20, 1.40, 3.00, 4.62, 6.36, 8.86, 8.96],
            [1.54, 1.71, 1.85, 1.91, 1.85, 1.58, 0.34, 0.0],
            [1.50, 1.48, 1.46, 1.48, 1.56, 1.75, 2.05, 2.36],
        ),
        row(
            [-1.92, -0.20, 1.40, 3.00, 4.64, 6.42, 9.05, 9.05],
            [1.56, 1.74, 1.89, 1.96, 1.95, 1.82, 0.40, 0.0],
            [1.92, 1.90, 1.90, 1.95, 2.07, 2.29, 2.55, 2.83],
        ),
    ];
    Lines {
        strakes: vec![
            Strake {
                rows: bottom,
                cells: 14,
            },
            Strake {
                rows: topsides,
                cells: 10,
            },
        ],
    }
    .with_beam(PARTICULARS.beam_m)
}

fn body() -> Body {
    Body {
        lines: lines(),
        columns: 104,
        camber: 0.05,
        transom_bulge_m: 0.03,
        wells: vec![Well {
            x_m: (-1.55, 3.1),
            breadth: 0.8,
            sole_z_m: 1.42,
        }],
    }
}

/// The skeg: a long straight shoe she stands on, running out into the forefoot.
fn skeg(body: &Body) -> Shell {
    let shoe = [
        [6.75, 0.46],
        [6.20, 0.24],
        [5.40, 0.14],
        [4.10, 0.07],
        [2.70, 0.015],
        [1.30, 0.0],
        [0.0, 0.0],
    ];
    let root_z = |x: f64| body.lines.bottom_z_m(x, 0.06) + 0.02;
    let plane = |chord: f64, span: f64| {
        let low = bezier2(&shoe, chord);
        let x = mix(7.0, -0.10, chord);
        [mix(low[0], x, span), mix(low[1], root_z(x), span)]
    };
    Foil {
        plane: &plane,
        half_m: &|span| bezier1(&[0.065, 0.075, 0.08, 0.12], span),
        section: Section::long(0.55),
        edge_m: 0.012,
        cells: (84, 8),
        slot: None,
    }
    .shell()
}

/// A point on the shaft's axis, which falls a little towards the propeller.
fn on_shaft(x_m: f64) -> Vec3 {
    [x_m, 0.0, 0.415 + 0.05 * x_m]
}

/// Along the shaft, aft.
const SHAFT_AFT: Vec3 = [-1.0, 0.0, -0.05];

fn shaft() -> Shell {
    let profile = [[0.0, 0.05], [0.42, 0.05], [0.46, 0.024], [1.02, 0.024]];
    turned(on_shaft(0.35), SHAFT_AFT, &profile, 2)
}

/// The strut that holds the shaft ahead of the propeller: a leg and a bearing.
fn strut(body: &Body) -> Shell {
    let plane = |chord: f64, span: f64| {
        let x = mix(-0.33, -0.47, chord) + 0.04 * span;
        [x, mix(0.40, body.lines.bottom_z_m(x, 0.02) + 0.02, span)]
    };
    Foil {
        plane: &plane,
        half_m: &|span| mix(0.018, 0.022, span),
        section: Section::foil(0.25),
        edge_m: 0.004,
        cells: (14, 8),
        slot: None,
    }
    .shell()
    .beside(turned(
        on_shaft(-0.31),
        SHAFT_AFT,
        &[[0.0, 0.036], [0.02, 0.044], [0.17, 0.044], [0.19, 0.036]],
        2,
    ))
}

fn rudder(body: &Body) -> Shell {
    let plane = |chord: f64, span: f64| {
        let x = mix(-1.06, -1.02, span) - mix(0.46, 0.54, span) * chord;
        let z = mix(0.10, body.lines.bottom_z_m(x, 0.0) - 0.015, span);
        [x, z]
    };
    Foil {
        plane: &plane,
        half_m: &|_| 0.032,
        section: Section::foil(0.2),
        edge_m: 0.008,
        cells: (22, 16),
        slot: None,
    }
    .shell()
    .beside(turned(
        [-1.18, 0.0, 0.6],
        [0.0, 0.0, 1.0],
        &[[0.0, 0.028], [0.45, 0.028]],
        2,
    ))
}

/// The wheelhouse and its roof.
fn wheelhouse(body: &Body) -> (Shell, Shell) {
    let (aft, fore) = (3.25, 5.35);
    let shape = |a: f64, o: f64, u: f64| {
        let y = (mix(1.14, 1.02, a) - 0.06 * u) * o;
        // The front leans forward at its top and bows out in plan; the back stands plumb.
        let x = mix(aft, fore, a) + a * (0.20 * u - 0.14 * o * o);
        let deck = body.deck_z_m(x, y) - 0.06;
        [x, y, mix(deck, 3.98 - 0.04 * o * o, u)]
    };
    let side = |from, to| Window {
        face: Face::Side,
        along: (from, to),
        up: (6, 11),
    };
    let front = |from, to| Window {
        face: Face::Front,
        along: (from, to),
        up: (6, 11),
    };
    let house = House {
        shape: &shape,
        cells: (20, 12, 12),
        windows: &[
            side(2, 8),
            side(9, 14),
            side(15, 19),
            front(0, 3),
            front(4, 11),
            Window {
                face: Face::Back,
                along: (5, 10),
                up: (6, 11),
            },
        ],
        recess_m: 0.035,
    }
    .shell();
    let lid = |a: f64, o: f64, u: f64| {
        let x = mix(aft - 0.35, fore + 0.34, a) - 0.16 * a * o * o;
        [x, mix(1.18, 1.08, a) * o, mix(3.93, 4.0, u) - 0.04 * o * o]
    };
    let roof = House {
        shape: &lid,
        cells: (14, 8, 2),
        windows: &[],
        recess_m: 0.0,
    }
    .shell();
    (house, roof)
}

/// Lofts the boat.
pub fn loft() -> Boat {
    let body = body();
    let (house, roof) = wheelhouse(&body);
    let trunk = gear::Trunk {
        x_m: (5.2, 7.35),
        half_m: &[1.05, 1.08, 1.0, 0.85, 0.5],
        top_z_m: (2.72, 2.80),
        front_rake_m: 0.3,
        windows: &[(8, 14), (18, 24)],
    }
    .shell(&body);
    let propeller = Propeller {
        centre: on_shaft(-0.66),
        aft: SHAFT_AFT,
        diameter_m: 0.58,
        pitch_m: 0.42,
        hub_m: (0.055, 0.15),
    };
    let edge = |x: f64| body.lines.sheer_at(x)[1] - 0.08;
    let pulpit = [
        [6.6, edge(6.6), 3.10],
        [7.7, edge(7.7), 3.26],
        [8.75, 0.34, 3.44],
        [9.0, -0.01, 3.47],
    ];
    let deck = gear::toe_rails(&body, 0.09, 0.06).beside(gear::rubbing_strakes(&body, 0.10, 0.05));
    let fittings = gear::hatch((0.9, 2.3), 0.55, (1.40, 1.95))
        .beside(gear::hatch((7.55, 8.0), 0.24, (2.52, 2.74)))
        .beside(gear::winches([-1.72, 1.12, 1.94], 0.25));
    Boat {
        particulars: PARTICULARS,
        parts: vec![
            part("body", body.shell()),
            part("skeg", skeg(&body)),
            part("shaft", shaft()),
            part("strut", strut(&body)),
            part("propeller", propeller.shell()),
            part("rudder", rudder(&body)),
            part("cabin", house),
            part("cabin-2", roof),
            part("cabin-3", trunk),
            part("deck-gear", deck),
            part(
                "deck-gear-2",
                gear::railing(&body, &pulpit, &[0, 1, 2], 0.019),
            ),
            part("deck-gear-3", fittings),
        ],
        lines: body.lines,
    }
}
