//! What must hold for any supports and any weight, whatever the numbers.

#![allow(clippy::unwrap_used)]

use keelstead_geometry::math::Vec3;
use keelstead_statics::lateral_stability::hold::{Body, Contact, Wrench};
use keelstead_statics::support::bend::FreeBeam;
use keelstead_statics::support::share::{ElasticFoundation, Shared, Spring};
use proptest::prelude::*;

/// How far force and moment may miss, of the weight.
const BALANCED: f64 = 1e-9;

fn spring(x_m: f64, gap_m: f64, stiffness_n_per_m: f64) -> Spring {
    Spring {
        x_m,
        half_length_m: 0.1,
        gap_m,
        stiffness_n_per_m,
    }
}

/// Two to eight springs at least 0.3 m apart, gaps of some millimetres.
fn springs() -> impl Strategy<Value = Vec<Spring>> {
    prop::collection::vec((0.3..3.0_f64, 0.0..0.012_f64, 5.0..8.5_f64), 2..=8).prop_map(|rows| {
        let mut x = 0.0;
        rows.iter()
            .map(|&(step, gap, power)| {
                x += step;
                spring(x, gap, 10.0_f64.powf(power))
            })
            .collect()
    })
}

/// A station `along` of the way between the outermost springs.
fn between(springs: &[Spring], along: f64) -> f64 {
    let (aft, fore) = (springs[0].x_m, springs[springs.len() - 1].x_m);
    aft + along * (fore - aft)
}

fn balance(springs: &[Spring], shared: &Shared, weight: f64, x: f64) {
    let force: f64 = shared.load_n.iter().sum();
    let each = springs.iter().zip(&shared.load_n);
    let moment: f64 = each.map(|(s, p)| p * (s.x_m - x)).sum();
    assert!((force - weight).abs() <= BALANCED * weight, "{force}");
    assert!(
        moment.abs() <= BALANCED * weight * between(springs, 1.0),
        "{moment}"
    );
}

proptest! {
    #[test]
    fn forces_and_moments_balance_and_nothing_pulls(
        springs in springs(), along in 0.0..=1.0_f64, weight in 1.0e3..4.0e5_f64,
        bending in prop::option::of(5.0..9.0_f64),
    ) {
        let x = between(&springs, along);
        let mut bed = ElasticFoundation::new(springs.clone()).unwrap();
        if let Some(power) = bending {
            let hull = FreeBeam { bending_n_m2: 10.0_f64.powf(power), clamp_x_m: -1.0 };
            bed.give(|i, j| hull.moves(i, j));
        }
        let shared = bed.share(weight, x, &[]).unwrap();
        balance(&springs, &shared, weight, x);
        for (i, &load) in shared.load_n.iter().enumerate() {
            // One-way contact: a load or a gap, never both, never a pull, never sunk in.
            prop_assert!(load >= 0.0 && shared.left_m[i] >= 0.0);
            prop_assert!(load == 0.0 || shared.left_m[i] == 0.0);
            let sunk = shared.sink_m + shared.turn_rad * springs[i].x_m;
            let over = sunk - springs[i].gap_m - bed.given(&shared.load_n, i);
            if load > 0.0 {
                prop_assert!(over.abs() < 1e-9, "{} at {}", over, i);
            } else {
                prop_assert!(over < 1e-9, "{} at {}", over, i);
            }
        }
    }

    #[test]
    fn two_supports_are_plain_statics(
        stations in (0.0..5.0_f64, 0.2..8.0_f64), along in 0.0..=1.0_f64, weight in 1.0e3..4.0e5_f64,
        gaps in (0.0..0.02_f64, 0.0..0.02_f64), powers in (4.0..9.0_f64, 4.0..9.0_f64),
    ) {
        let (aft, fore) = (stations.0, stations.0 + stations.1);
        let springs = vec![
            spring(aft, gaps.0, 10.0_f64.powf(powers.0)),
            spring(fore, gaps.1, 10.0_f64.powf(powers.1)),
        ];
        let x = aft + along * (fore - aft);
        let shared = ElasticFoundation::new(springs).unwrap().share(weight, x, &[]).unwrap();
        let known = weight * (x - aft) / (fore - aft);
        prop_assert!((shared.load_n[1] - known).abs() <= BALANCED * weight);
        prop_assert!((shared.load_n[0] - (weight - known)).abs() <= BALANCED * weight);
    }

    /// On supports that all touch at rest: with gaps, stiffer supports close them less.
    #[test]
    fn stiffening_every_support_alike_changes_no_share(
        springs in springs(), along in 0.0..=1.0_f64, weight in 1.0e3..4.0e5_f64, power in -2.0..2.0_f64,
    ) {
        let touching = |factor: f64| springs.iter().map(|s| Spring {
            gap_m: 0.0,
            stiffness_n_per_m: s.stiffness_n_per_m * factor,
            ..*s
        }).collect();
        let x = between(&springs, along);
        let before = ElasticFoundation::new(touching(1.0)).unwrap().share(weight, x, &[]).unwrap();
        let after = ElasticFoundation::new(touching(10.0_f64.powf(power))).unwrap().share(weight, x, &[]).unwrap();
        for (a, b) in before.load_n.iter().zip(&after.load_n) {
            prop_assert!((a - b).abs() <= 1e-7 * weight, "{} became {}", a, b);
        }
    }

    #[test]
    fn a_support_that_carries_nothing_changes_nothing(
        springs in springs(), along in 0.0..=1.0_f64, weight in 1.0e3..4.0e5_f64,
        at in 0.0..=1.0_f64, short in 1e-6..0.05_f64, power in 5.0..8.5_f64,
    ) {
        let x = between(&springs, along);
        let before = ElasticFoundation::new(springs.clone()).unwrap().share(weight, x, &[]).unwrap();
        let place = between(&springs, at);
        let sunk = before.sink_m + before.turn_rad * place;
        let mut more = springs.clone();
        more.push(spring(place, sunk + short, 10.0_f64.powf(power)));
        let after = ElasticFoundation::new(more).unwrap().share(weight, x, &[]).unwrap();
        prop_assert!(after.load_n[springs.len()] == 0.0);
        for (a, b) in before.load_n.iter().zip(&after.load_n) {
            prop_assert!((a - b).abs() <= 1e-7 * weight, "{} became {}", a, b);
        }
    }

    /// Whatever holds a body balances what pushes it, and no contact pulls or exceeds its friction.
    #[test]
    fn what_holds_a_body_balances_it(
        feet in prop::collection::vec((-3.0..3.0_f64, 0.02..0.4_f64), 2..5),
        pads in prop::collection::vec((-3.0..3.0_f64, 0.2..1.2_f64, 0.2..1.4_f64), 0..4),
        push in -0.5..0.5_f64, friction in 0.0..0.6_f64,
    ) {
        let mut contacts = Vec::new();
        let mut add = |at: Vec3, normal: Vec3, friction: f64| contacts.push(Contact {
            at, normal, gap_m: 0.0, stiffness_n_per_m: 2.0e6, friction,
        });
        for (x, half) in feet {
            for side in [-half, half] {
                add(Vec3::new(x, side, 0.0), Vec3::Z, friction);
            }
        }
        for (x, y, rise) in pads {
            for side in [-1.0, 1.0] {
                let normal = Vec3::new(0.0, -side * rise.cos(), rise.sin());
                add(Vec3::new(x, side * y, 1.0), normal, 0.0);
            }
        }
        let weight = 5.0e4;
        let load = Wrench::of(Vec3::new(0.0, push * weight, -weight), Vec3::new(0.1, 0.0, 1.5));
        let Some(held) = Body::new(&contacts, 0.0).hold(load, &[0.0; 5]) else { return Ok(()) };
        let mut sum = load;
        for (contact, force) in contacts.iter().zip(&held.forces) {
            let press = force.dot(contact.normal);
            prop_assert!(press >= 0.0);
            let across = (*force - contact.normal * press).length();
            prop_assert!(across <= contact.friction * press + 1e-6 * weight);
            sum = sum.and(Wrench::of(*force, contact.at));
        }
        for part in sum.0 {
            prop_assert!(part.abs() <= 1e-8 * weight, "{:?}", sum);
        }
    }
}
