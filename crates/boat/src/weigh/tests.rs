#![allow(clippy::unwrap_used)]

use std::sync::Arc;

use super::*;
use crate::hull::{HullFacts, HullPart, PartUse};
use crate::hydrostatics::{WaterPlane, float, immersed};
use keelstead_geometry::math::Vec3;
use keelstead_geometry::mesh::Mesh;
use keelstead_geometry::solids::cuboid;
use keelstead_units::fields::Range;
use keelstead_units::liquid::SEA_WATER_KG_M3;

fn part(name: &str, kind: PartKind, mesh: Mesh) -> HullPart {
    HullPart {
        name: name.into(),
        kind,
        part_use: PartUse::Checked,
        mesh: Arc::new(mesh),
    }
}

fn hull(parts: Vec<HullPart>, facts: HullFacts) -> Hull {
    Hull::new("test", parts, facts).unwrap()
}

/// 10 m × 4 m × 3 m, keel at z = 0, aft end at x = 0.
fn barge(facts: HullFacts) -> Hull {
    let mesh = cuboid([0.0, -2.0, 0.0], [10.0, 2.0, 3.0]);
    hull(vec![part("body", PartKind::Body, mesh)], facts)
}

fn facing_in(mesh: &Mesh) -> Mesh {
    let turned = mesh
        .triangles()
        .iter()
        .map(|&[a, b, c]| [a, c, b])
        .collect();
    Mesh::new(mesh.vertices().to_vec(), turned).unwrap()
}

fn marks(aft: [f64; 2], fore: [f64; 2], water: Water) -> WeightSources {
    let mark = |[x_m, z_m]: [f64; 2]| Mark { x_m, z_m };
    WeightSources {
        waterline: Some(MarkedWaterline {
            aft: mark(aft),
            fore: mark(fore),
            heel_rad: 0.0,
            tolerance_m: 0.01,
            water,
        }),
        ..WeightSources::default()
    }
}

fn near(found: f64, known: f64, within: f64, what: &str) {
    assert!(
        (found - known).abs() <= within,
        "{what}: {found} for {known}"
    );
}

#[test]
fn a_barge_on_a_level_waterline_weighs_its_box_of_water() {
    let found = weigh(
        &barge(HullFacts::default()),
        &marks([0.0, 1.0], [10.0, 1.0], Water::Salt),
    );
    let found = found.unwrap();
    let (source, mass) = found.mass.unwrap();
    assert_eq!(source, Source::Waterline);
    near(mass.mass_kg, 41_000.0, 1e-6, "mass");
    // 40 m² of waterplane at 10 mm, 5 kg/m³ of 40 m³; no shape tolerance, nothing overlaps.
    near(mass.tolerance_kg, 410.0 + 200.0, 1e-6, "tolerance");
    assert_eq!(mass.basis, Basis::Computed);
    let (_, centre) = found.centre.unwrap();
    near(centre.at.x_m, 5.0, 1e-9, "LCG");
    near(centre.at.y_m, 0.0, 0.0, "TCG");
    assert!(found.notes.is_empty() && found.untold.is_empty() && found.disagreements.is_empty());
}

/// By hand: a box of mean draft T whose waterline slopes by tan t has its centre of buoyancy
/// L² tan t / 12 T aft of the middle and T/2 + L² tan² t / 24 T up; the weight is on the upright line
/// through it.
#[test]
fn a_trimmed_barge_has_its_weight_upright_over_its_buoyancy() {
    let height_m = 2.2;
    let facts = HullFacts {
        centre: Some(CentreOfGravity {
            at: Point::new(9.0, 0.0, height_m),
            tolerance: Point::new(0.01, 0.02, 0.1),
            basis: Basis::AssumedDefault,
        }),
        ..HullFacts::default()
    };
    let found = weigh(&barge(facts), &marks([0.0, 1.3], [10.0, 0.7], Water::Fresh)).unwrap();
    let slope: f64 = 0.06;
    let (along, up) = (
        5.0 - 100.0 * slope / 12.0,
        0.5 + 100.0 * slope * slope / 24.0,
    );
    near(found.mass.unwrap().1.mass_kg, 40_000.0, 1e-6, "mass");
    let (source, centre) = found.centre.unwrap();
    assert_eq!(
        source,
        Source::Waterline,
        "what is measured goes before what is assumed"
    );
    near(centre.at.x_m, along + (height_m - up) * slope, 1e-9, "LCG");
    near(centre.at.z_m, height_m, 0.0, "height as stated");
    near(found.afloat.unwrap().trim_rad, slope.atan(), 1e-12, "trim");
    // The assumed one is told all the same: 9.0 m is nowhere near.
    assert_eq!(found.disagreements.len(), 1);
    assert_eq!(found.disagreements[0].id, "centre:stated:waterline");
}

/// The tolerance is what marks that are off by theirs really do.
#[test]
fn the_tolerance_of_the_centre_is_what_marks_that_are_off_make_of_it() {
    let hull = barge(HullFacts::default());
    let x = |aft: f64, fore: f64| {
        let found = weigh(&hull, &marks([1.0, aft], [8.0, fore], Water::Salt)).unwrap();
        found.centre.unwrap().1
    };
    let given = x(1.1, 1.0);
    let off = 0.01;
    let worst = [(off, off), (off, -off), (-off, off), (-off, -off)]
        .map(|(a, f)| (x(1.1 + a, 1.0 + f).at.x_m - given.at.x_m).abs())
        .into_iter()
        .fold(0.0, f64::max);
    let height_m = 0.1 / 7.0 * given.tolerance.z_m;
    near(
        given.tolerance.x_m - height_m,
        worst,
        0.02 * worst,
        "tolerance",
    );
}

#[test]
fn a_wedge_floats_on_its_closed_form() {
    // Section a triangle, apex down: half-breadth z/2 up to 2 m; 6 m long.
    let at = |x: f64, y: f64, z: f64| Vec3::new(x, y, z);
    let (a, b) = (
        [at(0.0, 0.0, 0.0), at(0.0, -1.0, 2.0), at(0.0, 1.0, 2.0)],
        6.0,
    );
    let f = a.map(|p| p + Vec3::X * b);
    let mesh = Mesh::welded(&[
        [a[0], a[2], a[1]],
        [f[0], f[1], f[2]],
        [a[0], a[1], f[1]],
        [a[0], f[1], f[0]],
        [a[2], f[2], f[1]],
        [a[2], f[1], a[1]],
        [a[0], f[0], f[2]],
        [a[0], f[2], a[2]],
    ])
    .unwrap();
    let hull = hull(
        vec![part("body", PartKind::Body, mesh)],
        HullFacts::default(),
    );
    // Level at 1 m: 6 × ½ × 1 × 1 = 3 m³.
    let level = weigh(&hull, &marks([0.0, 1.0], [6.0, 1.0], Water::KgM3(1010.0))).unwrap();
    near(level.mass.unwrap().1.mass_kg, 3030.0, 1e-6, "level");
    // From 1.4 m aft to 0.6 m forward: section z²/2, so ∫(1.4 − 2x/15)²/2 dx over 6 m, by hand
    // (1.4³ − 0.6³)·15/12 = 3.16 m³, centre ∫x(…)²/2 dx / 3.16.
    let trimmed = weigh(&hull, &marks([0.0, 1.4], [6.0, 0.6], Water::Fresh)).unwrap();
    near(trimmed.mass.unwrap().1.mass_kg, 3160.0, 1e-6, "trimmed");
    let s: f64 = 0.8 / 6.0;
    let moment = 0.5 * (1.4_f64.powi(2) * 18.0 - 2.0 * 1.4 * s * 72.0 + s * s * 324.0);
    let afloat = trimmed.afloat.unwrap();
    near(afloat.buoyancy.x_m, moment / 3.16, 1e-9, "LCB");
}

#[test]
fn two_scales_give_mass_and_centre_by_moments() {
    let hull = barge(HullFacts::default());
    let scale = |x_m: f64, mass_kg: f64| ScaleReading {
        x_m,
        mass_kg,
        tolerance_kg: 20.0,
    };
    let mut loads = SupportLoads {
        aft: scale(2.0, 3_000.0),
        fore: scale(7.0, 2_000.0),
        place_tolerance_m: 0.02,
        trim_rad: 0.0,
    };
    let with = |supports| WeightSources {
        supports: Some(supports),
        ..WeightSources::default()
    };
    let found = weigh(&hull, &with(loads)).unwrap();
    let mass = found.mass.unwrap().1;
    near(mass.mass_kg, 5_000.0, 0.0, "mass");
    near(mass.tolerance_kg, 40.0, 0.0, "tolerance");
    let centre = found.centre.unwrap().1;
    near(centre.at.x_m, 4.0, 1e-12, "LCG: 2 + 5 × 2/5");
    // 20 kg at 2 m and 3 m of 5000 kg, and the places.
    near(
        centre.tolerance.x_m,
        0.02 + 20.0 * 5.0 / 5_000.0,
        1e-12,
        "off",
    );
    // Bow up: a weight that is high lies further aft along the ground than along the keel.
    loads.trim_rad = 0.05;
    let tilted = weigh(&hull, &with(loads)).unwrap().centre.unwrap().1;
    near(
        tilted.at.x_m,
        4.0 + tilted.at.z_m * 0.05_f64.tan(),
        1e-12,
        "bow up",
    );
    loads.fore.x_m = 2.1;
    let error = weigh(&hull, &with(loads)).unwrap_err();
    assert_eq!(error.path, "supports.fore.x_m");
}

#[test]
fn sources_that_disagree_are_told_and_the_wider_reaches_the_other() {
    let facts = HullFacts {
        mass: Some(Mass {
            mass_kg: 42_500.0,
            tolerance_kg: 200.0,
            basis: Basis::Measured,
        }),
        ..HullFacts::default()
    };
    let found = weigh(
        &barge(facts.clone()),
        &marks([0.0, 1.0], [10.0, 1.0], Water::Salt),
    )
    .unwrap();
    let (source, mass) = found.mass.unwrap();
    assert_eq!(source, Source::Waterline, "± 610 kg is wider than ± 200 kg");
    near(mass.mass_kg, 41_000.0, 1e-6, "not averaged");
    near(
        mass.tolerance_kg,
        1_700.0,
        1e-6,
        "reaches as far as the other may be",
    );
    let told = &found.disagreements[0];
    assert_eq!(told.between, [Source::Stated, Source::Waterline]);
    near(told.apart.value, 1_500.0, 1e-6, "apart");
    near(told.allowed.value, 810.0, 1e-6, "allowed");
    // Within both tolerances nothing is told, and the narrower one is taken.
    let near_by = HullFacts {
        mass: facts.mass.map(|m| Mass {
            mass_kg: 41_700.0,
            ..m
        }),
        ..facts
    };
    let found = weigh(
        &barge(near_by),
        &marks([0.0, 1.0], [10.0, 1.0], Water::Salt),
    )
    .unwrap();
    assert!(found.disagreements.is_empty());
    let (source, mass) = found.mass.unwrap();
    assert_eq!(
        (source, mass.mass_kg, mass.tolerance_kg),
        (Source::Stated, 41_700.0, 200.0)
    );
}

#[test]
fn what_is_usual_is_a_last_resort_and_told_when_far_off() {
    let typical = Typical {
        kind: BoatKind::FinKeel,
        waterline_m: Some(9.0),
        waterline_aft_x_m: Some(0.5),
        ratio: None,
    };
    let only = WeightSources {
        typical: Some(typical),
        ..WeightSources::default()
    };
    let found = weigh(&barge(HullFacts::default()), &only).unwrap();
    let (source, mass) = found.mass.unwrap();
    assert_eq!(
        (source, mass.basis),
        (Source::Typical, Basis::CommonPractice)
    );
    near(
        length_ratio(mass.mass_kg + mass.tolerance_kg, 9.0),
        300.0,
        1e-9,
        "upper end",
    );
    near(
        length_ratio(mass.mass_kg - mass.tolerance_kg, 9.0),
        100.0,
        1e-9,
        "lower end",
    );
    near(
        found.centre.unwrap().1.at.x_m,
        0.5 + 0.465 * 9.0,
        1e-12,
        "LCG",
    );
    let says = format!("{:?}", found.centres[0].says);
    assert!(says.contains("46.5 % of the waterline's length"), "{says}");
    let both = WeightSources {
        typical: Some(Typical {
            ratio: Some(Range {
                min: 20.0,
                max: 40.0,
            }),
            ..typical
        }),
        ..marks([0.0, 1.0], [10.0, 1.0], Water::Salt)
    };
    let found = weigh(&barge(HullFacts::default()), &both).unwrap();
    assert_eq!(found.mass.unwrap().0, Source::Waterline);
    near(
        found.mass.unwrap().1.tolerance_kg,
        610.0,
        1e-6,
        "a usual figure widens none that is measured",
    );
    assert_eq!(found.disagreements[0].id, "mass:waterline:typical");
    let nothing = WeightSources {
        typical: Some(Typical {
            waterline_m: None,
            ..typical
        }),
        ..WeightSources::default()
    };
    let found = weigh(&barge(HullFacts::default()), &nothing).unwrap();
    assert_eq!((found.mass, found.untold.len()), (None, 1));
}

/// A fin 0.2 m wide and 2 m long, half a metre of it inside the body: 0.2 m³ counted once.
#[test]
fn where_parts_overlap_water_is_pushed_aside_once() {
    let body = cuboid([0.0, -2.0, 0.0], [10.0, 2.0, 3.0]);
    let fin = cuboid([4.0, -0.1, -1.0], [6.0, 0.1, 0.5]);
    for fin in [fin.clone(), facing_in(&fin)] {
        let parts = vec![
            part("body", PartKind::Body, body.clone()),
            part("fin", PartKind::Keel, fin),
        ];
        let hull = hull(parts, HullFacts::default());
        let found = displaced(&hull, &WaterPlane::level(1.0)).unwrap();
        near(found.overlap_m3, 0.2, 1e-9, "overlap");
        near(found.below.volume_m3, 40.0 + 0.4, 1e-9, "volume");
        near(found.below.waterplane_m2, 40.0, 1e-9, "waterplane");
        near(found.below.centre.x, 5.0, 1e-7, "LCB");
        near(found.below.draft_m, 2.0, 1e-9, "draft");
        near(found.below.centre.z, (20.0 - 0.4 * 0.5) / 40.4, 1e-7, "VCB");
    }
    // Up to the water's surface the waterplane overlaps too.
    let trunk = cuboid([4.0, -0.1, -1.0], [6.0, 0.1, 2.0]);
    let parts = vec![
        part("body", PartKind::Body, body),
        part("trunk", PartKind::Keel, trunk),
    ];
    let found = displaced(&hull(parts, HullFacts::default()), &WaterPlane::level(1.0)).unwrap();
    near(found.below.volume_m3, 40.4, 1e-9, "volume");
    near(found.below.waterplane_m2, 40.0, 1e-9, "waterplane");
}

#[test]
fn an_inner_skin_keeps_water_out_and_is_told() {
    let outer = cuboid([0.0, -2.0, 0.0], [10.0, 2.0, 3.0]);
    let inner = facing_in(&cuboid([0.1, -1.9, 0.1], [9.9, 1.9, 2.9]));
    let both = hull(
        vec![
            part("body", PartKind::Body, outer),
            part("liner", PartKind::Body, inner),
        ],
        HullFacts::default(),
    );
    let found = weigh(&both, &marks([0.0, 1.0], [10.0, 1.0], Water::Salt)).unwrap();
    near(found.mass.unwrap().1.mass_kg, 41_000.0, 1e-6, "mass");
    near(
        found.afloat.unwrap().inner_m3,
        9.8 * 3.8 * 0.9,
        1e-9,
        "inner",
    );
    assert_eq!(found.notes.len(), 1);
}

#[test]
fn an_open_hull_is_told_and_parts_cut_apart_close_one_another() {
    let whole = cuboid([0.0, -2.0, 0.0], [10.0, 2.0, 3.0]);
    let corners: Vec<[Vec3; 3]> = whole
        .triangles()
        .iter()
        .map(|t| t.map(|i| whole.vertices()[i as usize]))
        .collect();
    let bottom = |t: &[Vec3; 3]| t.iter().all(|v| v.z == 0.0);
    let (under, rest): (Vec<_>, Vec<_>) = corners.into_iter().partition(bottom);
    let sides = part("sides", PartKind::Body, Mesh::welded(&rest).unwrap());
    let floor = part("floor", PartKind::Body, Mesh::welded(&under).unwrap());
    let open = hull(vec![sides.clone()], HullFacts::default());
    let waterline = marks([0.0, 1.0], [10.0, 1.0], Water::Salt);
    let found = weigh(&open, &waterline).unwrap();
    assert_eq!((found.mass, found.centre), (None, None));
    assert!(
        matches!(&found.untold[0].says.0[0], keelstead_units::quantity::Span::Words(w) if w.contains("sides is open"))
    );
    let closed = hull(vec![sides, floor], HullFacts::default());
    near(
        weigh(&closed, &waterline).unwrap().mass.unwrap().1.mass_kg,
        41_000.0,
        1e-6,
        "mass",
    );
}

#[test]
fn absurd_marks_are_refused_by_name() {
    let hull = barge(HullFacts::default());
    for (weighing, path) in [
        (
            marks([0.0, f64::NAN], [10.0, 1.0], Water::Salt),
            "waterline.aft.z_m",
        ),
        (
            marks([0.0, 1.0], [10.0, 7.0], Water::Salt),
            "waterline.fore.z_m",
        ),
        (
            marks([0.0, -0.2], [10.0, 1.0], Water::Salt),
            "waterline.aft.z_m",
        ),
        (
            marks([0.0, 1.0], [0.4, 1.0], Water::Salt),
            "waterline.fore.x_m",
        ),
        (
            marks([9.0, 1.0], [1.0, 1.0], Water::Salt),
            "waterline.fore.x_m",
        ),
        (marks([0.0, 2.9], [4.0, 0.1], Water::Salt), "waterline"),
        (
            marks([0.0, 1.0], [10.0, 1.0], Water::KgM3(1.025)),
            "waterline.water.kg_m3",
        ),
        (
            marks([0.0, 1.0], [40.0, 1.0], Water::Salt),
            "waterline.fore.x_m",
        ),
    ] {
        assert_eq!(weigh(&hull, &weighing).unwrap_err().path, path);
    }
}

#[test]
fn no_waterline_is_longer_than_the_hull() {
    let usual = |waterline_m| WeightSources {
        typical: Some(Typical {
            waterline_m: Some(waterline_m),
            ..Typical::of(BoatKind::FullKeel)
        }),
        ..WeightSources::default()
    };
    let hull = barge(HullFacts::default());
    assert!(weigh(&hull, &usual(10.0)).is_ok());
    let told = weigh(&hull, &usual(99.0)).unwrap_err().to_string();
    assert!(told.contains("typical.waterline_m: found 99 m"), "{told}");
}

#[test]
fn of_two_assumptions_the_worst_stays_within_what_is_taken() {
    let facts = HullFacts {
        mass: Some(Mass {
            mass_kg: 5_200.0,
            tolerance_kg: 250.0,
            basis: Basis::CommonPractice,
        }),
        ..HullFacts::default()
    };
    let skiff = WeightSources {
        typical: Some(Typical {
            waterline_m: Some(8.0),
            ..Typical::of(BoatKind::Skiff)
        }),
        ..WeightSources::default()
    };
    let found = weigh(&barge(facts), &skiff).unwrap();
    let (source, mass) = found.mass.unwrap();
    assert_eq!(source, Source::Typical, "the wider");
    near(mass.mass_kg + mass.tolerance_kg, 5_450.0, 1e-9, "heaviest");
}

/// Float it with a mass and centre, mark that waterline, weigh it: the same mass and centre.
#[test]
fn what_floats_on_its_marks_weighs_what_it_was_given() {
    // Fuller aft, finer forward, with flare: what a box would not tell.
    let section = |x: f64, half: f64, low: f64| {
        [
            [-0.7 * half, low],
            [-half, 2.0],
            [half, 2.0],
            [0.7 * half, low],
        ]
        .map(|[y, z]| Vec3::new(x, y, z))
    };
    let rings = [
        section(0.0, 1.3, 0.3),
        section(3.0, 1.6, 0.0),
        section(7.0, 1.1, 0.2),
        section(9.0, 0.3, 0.9),
    ];
    let mut corners = Vec::new();
    for pair in rings.windows(2) {
        for k in 0..4 {
            let (a, b) = (k, (k + 1) % 4);
            corners.push([pair[0][a], pair[0][b], pair[1][b]]);
            corners.push([pair[0][a], pair[1][b], pair[1][a]]);
        }
    }
    for (ring, turned) in [(rings[0], true), (rings[3], false)] {
        for [a, b, c] in [[0, 1, 2], [0, 2, 3]] {
            let t = [ring[a], ring[b], ring[c]];
            corners.push(if turned { [t[0], t[2], t[1]] } else { t });
        }
    }
    let mesh = Mesh::welded(&corners).unwrap();
    assert!(mesh.topology().closed() && mesh.topology().consistent);
    for (mass_kg, x_m, z_m, heel_rad) in [
        (8_000.0, 3.6, 0.9, 0.0),
        (12_000.0, 4.2, 1.3, 0.0),
        (10_000.0, 3.9, 1.0, 0.1),
    ] {
        let given = Vec3::new(x_m, 0.0, z_m);
        let afloat = float(&mesh, mass_kg, given, SEA_WATER_KG_M3, heel_rad).unwrap();
        let plane = afloat.water;
        let z_at = |x: f64| (plane.height_m - plane.up.x * x) / plane.up.z;
        let mut weighing = marks([0.5, z_at(0.5)], [8.0, z_at(8.0)], Water::Salt);
        if let Some(marked) = &mut weighing.waterline {
            marked.heel_rad = heel_rad;
        }
        let facts = HullFacts {
            centre: Some(CentreOfGravity {
                at: Point::new(0.0, 0.0, z_m),
                tolerance: Point::new(8.0, 0.05, 0.1),
                basis: Basis::AssumedDefault,
            }),
            ..HullFacts::default()
        };
        let hull = hull(vec![part("body", PartKind::Body, mesh.clone())], facts);
        let found = weigh(&hull, &weighing).unwrap();
        let mass = found.mass.unwrap().1;
        near(mass.mass_kg / mass_kg, 1.0, 1e-6, "mass");
        near(found.centre.unwrap().1.at.x_m, x_m, 1e-3, "LCG");
        let below = immersed(&mesh, &plane).unwrap();
        near(
            found.afloat.unwrap().volume_m3,
            below.volume_m3,
            1e-9,
            "volume",
        );
    }
}
