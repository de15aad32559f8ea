//! Pads, pushes and wheels, by hand calculation.

use super::*;
use crate::findings::{PushKind, Side};
use crate::math::Point;

const WEIGHT_N: f64 = 50_000.0;

/// A keel 0.02 m wide on two stacks, its weight 1.5 m above them.
fn footings() -> [Footing; 2] {
    [-2.0, 2.0].map(|x| Footing {
        at: Vec3::new(x, 0.0, 0.0),
        width_m: 0.02,
        load_n: WEIGHT_N / 2.0,
        stiffness_n_per_m: 1.0e7,
    })
}

/// A pad on each side at both ends, 1 m up, pressing level.
fn pads(rating_n: Option<f64>) -> Vec<Pressing> {
    let mut pads = Vec::new();
    for x in [-2.0, 2.0] {
        for side in [1.0, -1.0] {
            pads.push(Pressing {
                pad: pads.len(),
                at: Vec3::new(x, side, 1.0),
                normal: Vec3::new(0.0, -side, 0.0),
                area_m2: 0.1,
                rating_n,
                stiffness_n_per_m: 1.0e6,
            });
        }
    }
    pads
}

fn upright<'a>(footings: &'a [Footing], pads: &'a [Pressing]) -> Upright<'a> {
    Upright {
        weight_n: WEIGHT_N,
        centre: Vec3::new(0.0, 0.0, 1.5),
        tolerance_y_m: Some(0.0),
        footings,
        pads,
        pad_count: pads.len(),
        profile: Profile {
            area_m2: 20.0,
            centroid: Point::new(0.0, 0.0, 1.2),
        },
        profile_centre: Vec3::new(0.0, 0.0, 1.2),
        wheels: Wheels {
            tare_kg: 5_000.0,
            tare_centre: Vec3::new(0.0, 0.0, 0.6),
            track_m: 2.2,
            roll_stiffness_nm_per_rad: None,
        },
        keel_friction: 0.3,
        asked: SteadyingAsked {
            keel_hold: KeelHold::Chocked,
            roll_rad_per_g: 0.0,
            ..SteadyingAsked::default()
        },
    }
}

#[test]
fn pads_hold_the_moment_about_a_chocked_keel() {
    let (footings, pads) = (footings(), pads(Some(40_000.0)));
    let found = upright(&footings, &pads).solve().unwrap();
    // By hand, about the keel: two pads of 1 MN/m at 1 m and the keel's four edges of 5 MN/m at
    // 10 mm, 2 kN·m/rad, hold 25 kN at 1.5 m.
    let each = 25_000.0 * 1.5 / (2.0 + 4.0 * 5.0e6 * 0.01 * 0.01 / 1.0e6);
    let most = found.pads.iter().map(|p| p.most_n).fold(0.0, f64::max);
    assert!((most - each).abs() < 5.0, "{most} for {each}");
    assert!(found.pushes.iter().all(|p| p.held));
    // The pad away from the push does nothing.
    let turn = found
        .pushes
        .iter()
        .find(|p| p.kind == PushKind::Turn && p.to == Side::Left)
        .unwrap();
    assert!(turn.pads_n[0] > 0.0 && turn.pads_n[1] == 0.0, "{turn:?}");
    // At 1 g a pad presses with 37 kN, short of its 40.
    assert_eq!(found.with_pads_g, Some(Steadying::MOST_G));
    assert!((found.keel_alone_g - 0.01 / 1.5).abs() < 1e-12);
    assert_eq!(found.pad_weight_share, 0.0);
}

#[test]
fn the_margin_ends_where_a_pad_reaches_its_rating() {
    let (footings, rated) = (footings(), pads(Some(20_000.0)));
    let found = upright(&footings, &rated).solve().unwrap();
    let stands = 2.002 * 20_000.0 / (WEIGHT_N * 1.5);
    let with_pads = found.with_pads_g.unwrap();
    assert!(
        (with_pads - stands).abs() < 0.003,
        "{with_pads} for {stands}"
    );
    assert!(with_pads <= stands);
    let unrated = pads(None);
    let found = upright(&footings, &unrated).solve().unwrap();
    assert_eq!(found.with_pads_g, None);
}

#[test]
fn a_soft_suspension_leans_and_rolls_over_sooner() {
    let footings = footings();
    let mut rig = upright(&footings, &[]);
    let rigid = rig.solve().unwrap().rollover;
    // T / 2h, the common centre by hand.
    let tare = 5_000.0 * STANDARD_GRAVITY;
    let height = (WEIGHT_N * 1.5 + tare * 0.6) / (WEIGHT_N + tare);
    assert!((rigid.rigid_g - 1.1 / height).abs() < 1e-12);
    assert_eq!(rigid.leaning_g, rigid.rigid_g);
    let moment = WEIGHT_N * 1.5 + tare * 0.6;
    rig.wheels.roll_stiffness_nm_per_rad = Some(11.0 * moment);
    // K φ = a M + M φ: a tenth of a radian for each g.
    let soft = rig.solve().unwrap().rollover;
    assert!((soft.leaning_g - rigid.rigid_g / 1.1).abs() < 1e-12);
    rig.wheels.roll_stiffness_nm_per_rad = Some(0.5 * moment);
    assert!(rig.solve().unwrap().rollover.leaning_g < 1e-3);
}

#[test]
fn a_gust_is_its_pressure_on_the_profile() {
    let footings = footings();
    let found = upright(&footings, &[]).solve().unwrap();
    let wind = found
        .pushes
        .iter()
        .find(|p| p.kind == PushKind::Wind)
        .unwrap();
    // 382.81 Pa x 1.2 x 20 m².
    assert!((wind.force_n - 9_187.5).abs() < 0.1, "{wind:?}");
}
