//! Pads, pushes and wheels, by hand calculation.

use super::*;
use crate::riding::Riding;
use crate::steadying::{PushKind, Side};
use keelstead_geometry::math::Point;
use keelstead_units::quantity::STANDARD_GRAVITY;

const WEIGHT_N: f64 = 50_000.0;

const BOAT: [Riding; 1] = [Riding {
    mass_kg: WEIGHT_N / STANDARD_GRAVITY,
    mass_off_kg: 0.0,
    at: Vec3::new(0.0, 0.0, 1.5),
    off_m: Vec3::ZERO,
}];

const TARE: Riding = Riding {
    mass_kg: 5_000.0,
    mass_off_kg: 0.0,
    at: Vec3::new(0.0, 0.0, 0.6),
    off_m: Vec3::ZERO,
};

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

fn upright<'a>(footings: &'a [Footing], pads: &'a [Pressing]) -> SteadiedBoat<'a> {
    SteadiedBoat {
        weight_n: WEIGHT_N,
        centre: Vec3::new(0.0, 0.0, 1.5),
        toward_push_m: 0.0,
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
            boat: &BOAT,
            tare: Some(TARE),
            track_m: 2.2,
            roll_stiffness_nm_per_rad: None,
        },
        keel_friction: 0.3,
        asked: SteadyingLimits {
            keel_hold: KeelHold::Chocked,
            roll_rad_per_g: 0.0,
            ..SteadyingLimits::default()
        },
    }
}

/// By hand, what each of the two pads of a side presses with in a push, N: about the keel they hold the push at 1.5 m and
/// 75 kN·m/rad of the weight that leans over, less 2 kN·m/rad of the keel's four edges of 5 MN/m at 10 mm. She rolls by what a
/// pad of 1 MN/m gives at 1 m, and by what the chocks of 10 MN/m give sideways under both pads less the push.
fn pressed_n(push_n: f64) -> f64 {
    let leaning = 75_000.0 - 2_000.0;
    let roll_per_pad = 1.0 / 1.0e6 + 2.0 / 1.0e7;
    let roll_per_push = -1.0 / 1.0e7;
    push_n * (1.5 + leaning * roll_per_push) / (2.0 - leaning * roll_per_pad)
}

#[test]
fn pads_hold_the_moment_about_a_chocked_keel() {
    let (footings, pads) = (footings(), pads(Some(40_000.0)));
    let found = upright(&footings, &pads).solve().unwrap();
    let each = pressed_n(25_000.0);
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
    // At 1 g a pad presses with 39 kN, short of its 40.
    assert_eq!(found.with_pads_g, Some(Steadying::MOST_G));
    assert!((found.keel_alone_g - 0.01 / 1.5).abs() < 1e-12);
    assert_eq!(found.pad_weight_share, 0.0);
}

/// Chocks on stacks of unlike height would hold her up between them once she had rolled far enough: at rest she leans on
/// the pads long before.
#[test]
fn chocks_at_unlike_heights_do_not_hold_a_weight_beside_the_keel() {
    // Of three: two could yield to it by yawing.
    let footings = [(-2.0, -0.04), (0.0, 0.04), (2.0, -0.04)].map(|(x, z)| Footing {
        at: Vec3::new(x, 0.0, z),
        load_n: WEIGHT_N / 3.0,
        ..footings()[0]
    });
    let pads = pads(Some(40_000.0));
    let mut boat = upright(&footings, &pads);
    boat.centre.y = 0.05;
    let found = boat.solve().unwrap();
    let leans = found.pads.iter().any(|p| p.rest_n > 0.0);
    assert!(found.rests && leans, "{:?}", found.pads);
    assert!(found.pushes.iter().all(|p| p.held), "{:?}", found.pushes);
    // Without pads nothing does.
    let mut alone = upright(&footings, &[]);
    alone.centre.y = 0.05;
    assert!(!alone.solve().unwrap().rests);
}

#[test]
fn the_margin_ends_where_a_pad_reaches_its_rating() {
    let (footings, rated) = (footings(), pads(Some(20_000.0)));
    let found = upright(&footings, &rated).solve().unwrap();
    let stands = 20_000.0 / pressed_n(WEIGHT_N);
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

/// A wide keel holds her to a point, and past it the pads take all that is more: the search went to and fro between two
/// guesses there, and told 0.19 g of a boat that stands 0.30 g.
#[test]
fn the_margin_is_where_a_pad_reaches_its_rating_whatever_holds_her_before() {
    for width_m in [0.02, 0.1, 0.3, 0.6] {
        for rating_n in [500.0, 2_000.0, 5_000.0, 12_000.0, 20_000.0] {
            for asked_g in [0.02, 0.1, 0.18, 0.3, 0.6] {
                let footings = footings().map(|f| Footing { width_m, ..f });
                let pads = pads(Some(rating_n));
                let mut boat = upright(&footings, &pads);
                boat.asked = SteadyingLimits {
                    lateral_g: asked_g,
                    working_lateral_g: 0.0,
                    cross_slope_rad: 0.0,
                    wind_m_s: 0.0,
                    ..boat.asked
                };
                let stands_g = boat.solve().unwrap().with_pads_g.unwrap();
                let mut used = |g: f64| {
                    boat.asked.lateral_g = g;
                    let found = boat.solve().unwrap();
                    let each = found.pads.iter().filter_map(|p| p.rating_ratio);
                    let held = found.pushes.iter().all(|p| p.held);
                    if held {
                        each.fold(0.0, f64::max)
                    } else {
                        f64::INFINITY
                    }
                };
                let case = format!("{width_m} m, {rating_n} N, {asked_g} g: {stands_g} g");
                assert!(used(stands_g) < 1.0 + 1e-6, "{case}: {}", used(stands_g));
                let most = stands_g >= Steadying::MOST_G;
                assert!(most || used(stands_g + 0.003) > 1.0, "{case}");
            }
        }
    }
}

#[test]
fn a_soft_suspension_leans_and_rolls_over_sooner() {
    let footings = footings();
    let mut rig = upright(&footings, &[]);
    let rigid = rig.solve().unwrap().rollover.unwrap();
    // T / 2h, the common centre by hand.
    let tare = 5_000.0 * STANDARD_GRAVITY;
    let height = (WEIGHT_N * 1.5 + tare * 0.6) / (WEIGHT_N + tare);
    assert!((rigid.rigid_g - 1.1 / height).abs() < 1e-12);
    assert_eq!(rigid.leaning_g, rigid.rigid_g);
    let moment = WEIGHT_N * 1.5 + tare * 0.6;
    rig.wheels.roll_stiffness_nm_per_rad = Some(11.0 * moment);
    // K φ = a M + M φ: a tenth of a radian for each g.
    let soft = rig.solve().unwrap().rollover.unwrap();
    assert!((soft.leaning_g - rigid.rigid_g / 1.1).abs() < 1e-12);
    rig.wheels.roll_stiffness_nm_per_rad = Some(0.5 * moment);
    assert!(rig.solve().unwrap().rollover.unwrap().leaning_g < 1e-3);
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

/// Riding as far off as `off`, at a place sideways and upright.
fn riding(mass_kg: f64, mass_off_kg: f64, at: (f64, f64), off: (f64, f64)) -> Riding {
    Riding {
        mass_kg,
        mass_off_kg,
        at: Vec3::new(0.0, at.0, at.1),
        off_m: Vec3::new(0.0, off.0, off.1),
    }
}

#[test]
fn weight_off_the_middle_rolls_over_sooner() {
    // check-values.md 7, derived: T / 2h.
    assert!((rollover_g(72.0, 84.0, 0.0, 0.0) - 0.428_57).abs() < 1e-5);
    assert!((rollover_g(1.90, 2.20, 0.0, 0.0) - 0.431_82).abs() < 1e-5);
    let boat = [riding(14_200.0, 0.0, (1_800.0 / 14_200.0, 2.0), (0.0, 0.0))];
    let mut wheels = Wheels {
        boat: &boat,
        tare: Some(riding(7_800.0, 0.0, (0.0, 0.6), (0.0, 0.0))),
        track_m: 2.36,
        roll_stiffness_nm_per_rad: None,
    };
    let height = (14_200.0 * 2.0 + 7_800.0 * 0.6) / 22_000.0;
    let rigid = wheels.rollover(0.0).unwrap();
    let by_hand = (1.18 - 1_800.0 / 22_000.0) / height;
    assert!(
        (rigid.rigid_g - by_hand).abs() < 1e-12,
        "{rigid:?} for {by_hand}"
    );
    assert_eq!(rigid.rigid_g, rigid.leaning_g);
    assert!((rigid.centre_left_m - 1_800.0 / 22_000.0).abs() < 1e-12);
    // The same to the other side.
    let right = [riding(
        14_200.0,
        0.0,
        (-1_800.0 / 14_200.0, 2.0),
        (0.0, 0.0),
    )];
    let mirrored = Wheels {
        boat: &right,
        ..wheels
    }
    .rollover(0.0)
    .unwrap();
    assert!((mirrored.leaning_g - rigid.leaning_g).abs() < 1e-12);
    assert!(mirrored.centre_left_m < 0.0);
    // With a soft suspension: turn harder until the inner wheels bear nothing, the lean found by letting it
    // settle: K φ = a W h + W (off + h φ).
    let stiffness = 3.0e6;
    wheels.roll_stiffness_nm_per_rad = Some(stiffness);
    let soft = wheels.rollover(0.06).unwrap();
    let weight = 22_000.0 * STANDARD_GRAVITY;
    let inner = |a: f64| {
        let mut lean = 0.0;
        for _ in 0..500 {
            let out = 1_800.0 / 22_000.0 + height * lean;
            lean = weight * (a * height + out) / stiffness;
        }
        1.18 - 1_800.0 / 22_000.0 - height * lean - a * height
    };
    assert!(
        inner(soft.leaning_g).abs() < 1e-9,
        "{soft:?} {}",
        inner(soft.leaning_g)
    );
    assert!(inner(soft.leaning_g - 0.01) > 0.0 && inner(soft.leaning_g + 0.01) < 0.0);
}

#[test]
fn the_worst_is_that_of_every_corner() {
    let stiff = [None, Some(9.0e5), Some(2.5e6)];
    let boats = [
        [
            riding(5_000.0, 900.0, (0.02, 1.9), (0.05, 0.2)),
            riding(9_000.0, 0.0, (0.2, 0.4), (0.01, 0.02)),
        ],
        [
            riding(9_000.0, 4_000.0, (-0.3, 0.3), (0.1, 0.2)),
            riding(500.0, 0.0, (0.9, 5.0), (0.01, 0.02)),
        ],
        [
            riding(900.0, 900.0, (-1.5, 2.0), (0.5, 0.3)),
            riding(4_000.0, 0.0, (0.3, 1.0), (0.01, 0.02)),
        ],
    ];
    let tare = riding(7_000.0, 0.0, (-0.01, 0.7), (0.005, 0.07));
    for (boat, roll_stiffness_nm_per_rad) in
        boats.iter().zip(stiff).chain(boats.iter().rev().zip(stiff))
    {
        let wheels = Wheels {
            boat,
            tare: Some(tare),
            track_m: 2.0,
            roll_stiffness_nm_per_rad,
        };
        let found = wheels.rollover(0.06).unwrap();
        let mut worst = f64::MAX;
        // Every weight's own mass, height and side, at both ends and in the middle, apart from the others.
        for corner in 0..3_u32.pow(8) {
            let sign = |digit: u32| f64::from(corner / 3_u32.pow(digit) % 3) - 1.0;
            let (mut mass, mut up, mut out) = (0.0, 0.0, 0.0);
            for (i, one) in (0..).zip(boat.iter().chain([&tare])) {
                let kg = one.mass_kg
                    + if i == 0 {
                        one.mass_off_kg * sign(0)
                    } else {
                        0.0
                    };
                mass += kg;
                up += kg * (one.at.z + one.off_m.z * sign(1 + 2 * i));
                out += kg * (one.at.y + one.off_m.y * sign(2 + 2 * i));
            }
            // Wheels lift where a h + φ h + |off| = T / 2, with K φ = W (a h + |off| + φ h).
            let (h, off) = (up / mass, f64::abs(out / mass));
            let lean = match roll_stiffness_nm_per_rad {
                Some(k) => (up * STANDARD_GRAVITY) / k,
                None => 0.06 / 1.06,
            };
            // φ h = lean T / 2 at that moment.
            worst = worst.min((1.0 * (1.0 - lean).max(0.0) - off) / h);
        }
        // Six millionths: what cannot stand at all is taken as leaning a million radians.
        assert!(
            (found.worst_g - worst).abs() < 6e-6,
            "{found:?} for {worst}"
        );
        assert!(found.worst_g <= found.leaning_g);
    }
}

#[test]
fn without_the_trailers_weight_nobody_knows_when_it_rolls_over() {
    let (footings, pads) = (footings(), pads(Some(40_000.0)));
    let mut rig = upright(&footings, &pads);
    rig.wheels.tare = None;
    rig.asked.roll_rad_per_g = 0.06;
    let found = rig.solve().unwrap();
    assert!(found.rollover.is_none());
    // And the pads are not held against less lean than the setting says.
    rig.wheels.roll_stiffness_nm_per_rad = Some(1.0e12);
    let stiff = rig.solve().unwrap();
    assert!(stiff.pushes[0].lean_rad >= found.pushes[0].lean_rad);
}
