//! Gannet: a fin-keeled sloop with a lead bulb, spade rudder and a sail drive; her mast travels apart.

use super::moulded::{LoftError, Moulded};
use super::{BASIS, Boat, Particulars, gear, part};
use keelstead_boat::loft::body::{Body, Well};
use keelstead_boat::loft::bulb::Bulb;
use keelstead_boat::loft::foil::{Foil, Section};
use keelstead_boat::loft::lines::{Lines, row};
use keelstead_boat::loft::propeller::Propeller;
use keelstead_boat::loft::shell::Shell;
use keelstead_boat::loft::sweep::turned;
use keelstead_boat::loft::vector::mix;

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

fn body(lines: Lines) -> Body {
    Body {
        lines,
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

/// The lead bulb: its flat begins under the after corner of the fin.
fn bulb() -> Shell {
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
///
/// # Errors
/// [`LoftError`] if her measures make no hull.
pub fn loft() -> Result<Boat, LoftError> {
    let Moulded { lines, hung } = Moulded::of(PARTICULARS.name)?;
    let body = body(lines);
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
    let mut parts = vec![part("body", body.shell())];
    parts.extend(hung);
    parts.extend([
        part("keel-2", bulb()),
        part("strut", sail_drive(&body)),
        part("propeller", propeller.shell()),
        part("cabin", cabin),
        part("deck-gear", deck),
        part("deck-gear-2", rails(&body)),
        part("deck-gear-3", fittings),
    ]);
    Ok(Boat {
        particulars: PARTICULARS,
        parts,
        lines: body.lines,
    })
}
