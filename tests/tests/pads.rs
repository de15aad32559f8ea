//! Pads of the demo jobs lie on what is under them, and not on a corner of theirs: measured by lines square to their faces.

#![allow(clippy::unwrap_used)]

use keelstead::check::check;
use keelstead::findings::Findings;
use keelstead_boat::hull::Hull;
use keelstead_demo_data::FILES;
use keelstead_files::source::Memory;
use keelstead_files::{OpenJob, Silent, open_job};
use keelstead_geometry::math::{Pose, Vec3};
use keelstead_geometry::shape::Shape;
use keelstead_load::pads::PadState;
use keelstead_units::verdict::Verdict;

fn demo_jobs() -> Vec<OpenJob> {
    let files = FILES.iter().map(|(p, b)| ((*p).to_owned(), b.to_vec()));
    let demo = Memory::new(files.collect::<Vec<_>>());
    let jobs = FILES.iter().filter(|(path, _)| path.starts_with("jobs/"));
    jobs.map(|(path, _)| open_job(&demo, path, &Silent).unwrap())
        .collect()
}

/// How far the hull is off a pad's face, along the face's normal, at a place of it in parts of its half edges; none where
/// nothing of her is ahead.
fn off_m(hull: &Hull, pad: &Pad, along: f64, up: f64) -> Option<f64> {
    const BACK_M: f64 = 0.02;
    let on_face = Vec3::new(along * pad.half.x, pad.out * pad.half.y, up * pad.half.z);
    let at = pad.hull_from_pad * on_face;
    let out = pad.hull_from_pad.rotation * (Vec3::Y * pad.out);
    let hits = hull.parts.iter();
    let hits = hits.filter_map(|p| p.mesh.cast_ray(at - out * BACK_M, out));
    let first = hits.map(|h| h.distance).fold(f64::INFINITY, f64::min);
    first.is_finite().then_some(first - BACK_M)
}

struct Pad {
    hull_from_pad: Pose,
    half: Vec3,
    /// Which way of its axis y its face looks.
    out: f64,
}

/// The box of a pad, by its index.
fn pad(findings: &Findings, index: usize) -> Pad {
    let parts = findings.rig_parts.iter();
    let part = parts.into_iter().find(|p| p.pad == Some(index)).unwrap();
    let Shape::Box { half } = part.shape else {
        panic!("{:?}", part.shape);
    };
    let pose = part.trailer_from_part.pose();
    let hull_from_pad = findings.trailer_from_hull.pose().inverse() * pose;
    let contact = findings.pads[index].contact.unwrap().vec();
    Pad {
        hull_from_pad,
        half: half.vec(),
        out: (pose.inverse() * contact).y.signum(),
    }
}

#[test]
fn a_pad_that_is_said_to_lie_flat_stands_off_alike_on_all_its_sides() {
    let mut seen = 0;
    for job in demo_jobs() {
        let findings = check(&job.hull, &job.rig, &job.job.load);
        for (i, shown) in findings.pads.iter().enumerate() {
            let flat = shown.face_angle_rad.is_some_and(|angle| angle < 0.05);
            if shown.state != PadState::Touching || !flat {
                continue;
            }
            let at = format!("{}: {}", job.path, shown.name);
            let pad = pad(&findings, i);
            let off = |along, up| off_m(&job.hull, &pad, along, up);
            // It stands in her nowhere.
            for k in 0..81 {
                let (along, up) = (f64::from(k % 9) / 4.0 - 1.0, f64::from(k / 9) / 4.0 - 1.0);
                let off_m = off(0.99 * along, 0.99 * up).unwrap_or(0.0);
                assert!(off_m > -2e-3, "{at}: {off_m} in her at {along} {up}");
            }
            // Opposite sides: as far off as each other, but for what it stays off by and what is not round alike.
            for (ends, width_m) in [
                ([off(0.8, 0.0), off(-0.8, 0.0)], 1.6 * pad.half.x),
                ([off(0.0, 0.8), off(0.0, -0.8)], 1.6 * pad.half.z),
            ] {
                if let [Some(one), Some(other)] = ends {
                    let leans = ((one - other) / width_m).abs();
                    assert!(leans < 0.06, "{at}: {leans} rad, {one} m and {other} m off");
                }
            }
            // It is touched within its middle half and not at a corner.
            let middle = off(0.0, 0.0).unwrap();
            assert!(middle < 0.012, "{at}: {middle} m off in the middle");
            seen += 1;
        }
    }
    assert!(seen >= 30, "{seen}");
}

/// Second order, reckoned apart from the engine: the push's moment over what pads give and the weight that leans over with it.
/// Pads of 1 kN/mm hold Petrel in a turn of half a g; of 30 N/mm she rolls 0.2 rad, and her weight carries her over.
#[test]
fn pads_too_soft_for_a_weight_that_leans_over_do_not_hold_her() {
    let jobs = demo_jobs();
    let petrel = jobs
        .iter()
        .find(|j| j.path.contains("petrel-easy"))
        .unwrap();
    let held = |stiffness_n_per_m: f64| {
        let (mut rig, mut load) = (petrel.rig.clone(), petrel.job.load.clone());
        for pad in &mut rig.pads {
            pad.stiffness_n_per_m = Some(stiffness_n_per_m);
        }
        load.required.steadying.lateral_g = 0.5;
        let findings = check(&petrel.hull, &rig, &load);
        findings.finding("steady:hold").unwrap().verdict
    };
    assert_ne!(held(1.0e6), Verdict::Foul);
    assert_eq!(held(3.0e4), Verdict::Foul);
}
