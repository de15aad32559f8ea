//! Eider: a hard-chine workboat with a long skeg, one propeller in a strut and a spade rudder.

use super::moulded::{LoftError, Moulded};
use super::{BASIS, Boat, Particulars, gear, part};
use crate::shipwright::house::{Face, House, Window};
use keelstead_boat::loft::body::{Body, Well};
use keelstead_boat::loft::lines::Lines;
use keelstead_boat::loft::shell::Shell;
use keelstead_boat::loft::vector::mix;

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

fn body(lines: Lines) -> Body {
    Body {
        lines,
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
///
/// # Errors
/// [`LoftError`] if her measures make no hull.
pub fn loft() -> Result<Boat, LoftError> {
    let Moulded { lines, hung } = Moulded::of(PARTICULARS.name)?;
    let body = body(lines);
    let (house, roof) = wheelhouse(&body);
    let trunk = gear::Trunk {
        x_m: (5.2, 7.35),
        half_m: &[1.05, 1.08, 1.0, 0.85, 0.5],
        top_z_m: (2.72, 2.80),
        front_rake_m: 0.3,
        windows: &[(8, 14), (18, 24)],
    }
    .shell(&body);
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
    let mut parts = vec![part("body", body.shell())];
    parts.extend(hung);
    parts.extend([
        part("cabin", house),
        part("cabin-2", roof),
        part("cabin-3", trunk),
        part("deck-gear", deck),
        part(
            "deck-gear-2",
            gear::railing(&body, &pulpit, &[0, 1, 2], 0.019),
        ),
        part("deck-gear-3", fittings),
    ]);
    Ok(Boat {
        particulars: PARTICULARS,
        parts,
        lines: body.lines,
    })
}
