//! What is worked out anew after every edit once the geometry stands: the weight shared among two to
//! eight supports within all tolerances, every check of strength, and eight pads in every push, to
//! both sides, with the search for what they stand. Target: 0.2 ms.

#![allow(missing_docs, clippy::unwrap_used)]

use std::hint::black_box;

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use keelstead_boat::profile::Profile;
use keelstead_geometry::math::{Point, Vec3};
use keelstead_load::load::{BlockOrientation, KeelHold, PlacedBeam, PlacedBlock, Seat};
use keelstead_load::load::{SteadyingLimits, StrengthLimits};
use keelstead_load::rig::Rig;
use keelstead_load::rig_parts::top_face;
use keelstead_statics::lateral_stability::{Footing, Pressing, SteadiedBoat, Wheels};
use keelstead_statics::riding::Riding;
use keelstead_statics::support::block_stack::BlockStack;
use keelstead_statics::support::patch::Patch;
use keelstead_statics::support::{Site, Supports, WeightDistribution};

const RIG: &str = include_str!("../../../demo-data/rigs/long-trailer.json");

fn rig() -> Rig {
    let file: serde_json::Value = serde_json::from_str(RIG).unwrap();
    serde_json::from_value(file["rig"].clone()).unwrap()
}

/// `count` supports, evenly spaced, heights a millimetre or two off.
fn supports(rig: &Rig, count: usize) -> Supports<'_> {
    let site = |i: usize| {
        let block = |name: &str| PlacedBlock {
            block: name.into(),
            lie: BlockOrientation::Flat,
        };
        let placed = PlacedBeam {
            beam: "oak 8 x 8".into(),
            seat: Seat::Pocket(i + 1),
            stack: vec![block("oak 6 x 8"), block("oak 4 x 8"), block("oak 2 x 8")],
            stack_y_m: 0.0,
            shim_m: 0.02,
            wedge_rad: 0.0,
            wanted_share: None,
            soft_packing_n_per_m: None,
        };
        let face = top_face(rig, &placed).unwrap();
        let patch = Patch {
            width_m: 0.12,
            sides_y_m: [-0.06, 0.06],
            ..Patch::whole(&face, Some(0.02))
        };
        let stand = BlockStack::new(rig, &placed, patch, 0.0).unwrap();
        Some(Site {
            turned_n_per_m: [stand.stiffness_n_per_m; 2],
            stand,
            at: Point::new(-11.0 + 6.0 * i as f64 / (count - 1) as f64, 0.0, 0.7),
            half_length_m: 0.1,
            bears_m: [0.2, 0.12],
            spread_m: 0.12,
            gap_m: 0.001 * (i * 7 % 3) as f64,
            height_tolerance_m: 0.011,
            placed_gap_m: [0.0005, -0.0005],
            removable_m: 0.02,
            addable_m: 0.03,
            wanted: 1.0,
        })
    };
    Supports {
        sites: (0..count).map(site).collect(),
        weighing: WeightDistribution {
            hull_n: 60_000.0,
            tolerance_n: 3_000.0,
            hull_x_m: -8.3,
            tolerance_x_m: Some(0.2),
            extras: Vec::new(),
            ends_x_m: [-13.0, -3.0],
            centre: Point::new(-8.3, 0.0, 2.1),
            height_m: 0.0,
        },
        placing_m: 0.01,
        bearing_moves_m: 0.0,
        stopped_m: 0.0,
        hull_bending_n_m2: None,
        rails: None,
        asked: StrengthLimits::default(),
        shim_step_m: 0.001,
    }
}

fn eight_pads() -> Vec<Pressing> {
    (0..8)
        .map(|pad| {
            let side = if pad % 2 == 0 { 1.0 } else { -1.0 };
            let rise = 1.0_f64;
            Pressing {
                pad,
                at: Vec3::new(-11.5 + 2.0 * (pad / 2) as f64, side * 0.6, 1.8),
                normal: Vec3::new(0.0, -side * rise.cos(), rise.sin()),
                area_m2: 0.175,
                rating_n: Some(27_000.0),
                stiffness_n_per_m: 1.0e6,
            }
        })
        .collect()
}

const BOAT: [Riding; 1] = [Riding {
    mass_kg: 6_100.0,
    mass_off_kg: 300.0,
    at: Vec3::new(-8.3, 0.0, 2.1),
    off_m: Vec3::new(0.2, 0.03, 0.15),
}];

const TARE: Riding = Riding {
    mass_kg: 7_800.0,
    mass_off_kg: 0.0,
    at: Vec3::new(-7.8, 0.0, 0.6),
    off_m: Vec3::ZERO,
};

fn upright<'a>(footings: &'a [Footing], pads: &'a [Pressing], hold: KeelHold) -> SteadiedBoat<'a> {
    SteadiedBoat {
        weight_n: 60_000.0,
        centre: Vec3::new(-8.3, 0.0, 2.1),
        toward_push_m: 0.0,
        tolerance_y_m: Some(0.03),
        footings,
        pads,
        pad_count: pads.len(),
        profile: Profile {
            area_m2: 21.0,
            centroid: Point::new(4.0, 0.0, 1.6),
        },
        profile_centre: Vec3::new(-7.5, 0.0, 2.3),
        wheels: Wheels {
            boat: &BOAT,
            tare: Some(TARE),
            track_m: 2.36,
            roll_stiffness_nm_per_rad: None,
        },
        keel_friction: 0.3,
        asked: SteadyingLimits {
            keel_hold: hold,
            ..SteadyingLimits::default()
        },
    }
}

fn carry(c: &mut Criterion) {
    let rig = rig();
    let pads = eight_pads();
    let mut group = c.benchmark_group("carry and steady");
    for (count, bending) in [(2, None), (3, None), (5, None), (8, None), (8, Some(5.0e7))] {
        let supports = Supports {
            hull_bending_n_m2: bending,
            ..supports(&rig, count)
        };
        for hold in [KeelHold::Friction, KeelHold::Chocked] {
            let run = || {
                let carrying = black_box(&supports).solve().unwrap().carrying;
                let footings = Footing::of(&carrying);
                let steadying = upright(&footings, &pads, hold).solve().unwrap();
                (carrying, steadying)
            };
            let (carrying, steadying) = run();
            assert!(carrying.residual_n.abs() < 1e-4 && steadying.pads.len() == 8);
            let kind = if bending.is_some() {
                "bending"
            } else {
                "rigid"
            };
            let name = format!("{kind} hull, keel by {hold:?}");
            group.bench_function(BenchmarkId::new(name, count), |b| b.iter(run));
        }
    }
    group.finish();
}

criterion_group!(benches, carry);
criterion_main!(benches);
