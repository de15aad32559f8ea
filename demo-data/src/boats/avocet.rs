//! Avocet: a beamy shoal-draft centreboarder that dries out upright; her mast travels apart.

use super::moulded::{LoftError, Moulded};
use super::{BASIS, Boat, Particulars, gear, part};
use keelstead_boat::loft::body::{Body, Well};
use keelstead_boat::loft::lines::Lines;

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

fn body(lines: Lines) -> Body {
    Body {
        lines,
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

/// How far the board lies lower than its family has it: hauled up, its lower edge still shows three centimetres below
/// the keel.
const BOARD_M: f64 = 0.034;

/// Lofts the boat.
///
/// # Errors
/// [`LoftError`] if her measures make no hull.
pub fn loft() -> Result<Boat, LoftError> {
    let Moulded { lines, mut hung } = Moulded::of(PARTICULARS.name)?;
    for board in hung.iter_mut().filter(|p| p.name == "centreboard") {
        board.shell = board.shell.moved([0.0, 0.0, -BOARD_M]);
    }
    let body = body(lines);
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
    let mut parts = vec![part("body", body.shell())];
    parts.extend(hung);
    parts.extend([
        part("cabin", cabin),
        part("deck-gear", deck),
        part(
            "deck-gear-2",
            gear::railing(&body, &pulpit, &[0, 1], 0.0125),
        ),
        part("deck-gear-3", fittings),
    ]);
    Ok(Boat {
        particulars: PARTICULARS,
        parts,
        lines: body.lines,
    })
}
