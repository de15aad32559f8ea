//! Where the keel bears and what follows from it: over what area, where on its beam, how hard on one
//! edge of a block. Answers by hand, or by another method: upright rays.

#![allow(clippy::unwrap_used)]

use keelstead::check::check;
use keelstead::findings::Findings;
use keelstead_demo_data::FILES;
use keelstead_files::source::Memory;
use keelstead_files::{OpenJob, Silent, open_job};
use keelstead_geometry::math::{Pose, Vec3};
use keelstead_load::load::{BlockOrientation, PlacedBlock};
use keelstead_load::rig_parts::{TopFace, top_face};
use keelstead_load::setdown::set_down;
use keelstead_statics::carrying::{LimitState, Member};
use keelstead_statics::support::patch::Patch;
use keelstead_units::verdict::Verdict;

/// A job of these tests, among the demo's files.
const THREE: &str = "jobs/petrel-on-three.json";

fn job(path: &str) -> OpenJob {
    let files = FILES
        .iter()
        .map(|(path, bytes)| ((*path).to_owned(), bytes.to_vec()));
    let files = files.chain([(
        THREE.to_owned(),
        include_bytes!("../jobs/petrel-on-three.json").to_vec(),
    )]);
    open_job(&Memory::new(files), path, &Silent).unwrap()
}

/// Petrel on three beams of oak.
fn three() -> OpenJob {
    job(THREE)
}

fn checked(job: &OpenJob) -> Findings {
    check(&job.hull, &job.rig, &job.job.load)
}

/// What a check demands for each newton that the beam `beam` carries.
fn per_newton(findings: &Findings, beam: usize, member: Member, check: LimitState) -> f64 {
    let carried = &findings.carrying.as_ref().unwrap().supports[beam];
    let found = (carried.uses.iter()).find(|u| u.member == member && u.check == check);
    found.unwrap().demand.unwrap().value / carried.load_n
}

fn of_beam(findings: &Findings, beam: usize, check: LimitState) -> f64 {
    per_newton(findings, beam, Member::Beam, check)
}

fn close(found: f64, known: f64, part: f64, what: &str) {
    assert!(
        (found - known).abs() <= part * known.abs(),
        "{what}: {found} for {known}"
    );
}

/// Half the span of the long trailer's beams, between the middles of its rails, m.
const HALF_M: f64 = 0.96;

#[test]
fn a_boat_off_the_middle_presses_the_near_rail_harder() {
    let (middle, mut off) = (three(), three());
    off.job.load.stand.y_m = 0.2;
    let (middle, off) = (checked(&middle), checked(&off));
    for beam in 0..3 {
        // By hand: the near rail takes (0.96 + 0.2) / 1.92 of the load where it took half.
        for what in [LimitState::Shear, LimitState::RailBearing] {
            let times = of_beam(&off, beam, what) / of_beam(&middle, beam, what);
            close(times, (HALF_M + 0.2) / HALF_M, 2e-3, "near rail");
        }
        // The moment under it falls as a b does.
        let times =
            of_beam(&off, beam, LimitState::Bending) / of_beam(&middle, beam, LimitState::Bending);
        close(times, 1.0 - (0.2 / HALF_M).powi(2), 2e-3, "bending");
    }
}

#[test]
fn a_block_off_the_middle_bends_its_beam_where_the_keel_bears() {
    let mut off_job = three();
    off_job.job.load.beams[2].stack_y_m = 0.2;
    let (middle, off) = (checked(&three()), checked(&off_job));
    for what in [
        LimitState::Bending,
        LimitState::Shear,
        LimitState::RailBearing,
    ] {
        let known = of_beam(&middle, 2, what);
        close(of_beam(&off, 2, what), known, 1e-3, "under the keel");
    }
    // By hand: 0.6 m long, pressed 0.2 m from its middle: the beam under it feels an edge of
    // 3 (0.3 - 0.2), pressed as hard as if half of that bore evenly. Fore and aft 0.2 m at the most.
    // The road governs across the grain.
    let road_factor = off_job.job.load.required.strength.road_factor;
    let pressed = of_beam(&off, 2, LimitState::AcrossGrain) / road_factor;
    let least = 1.0 / (0.2 * 1.5 * (0.3 - 0.2));
    assert!(
        pressed >= least * (1.0 - 1e-3),
        "{pressed} for {least} and more"
    );
}

#[test]
fn a_bare_beam_is_its_own_top_wherever_its_stack_would_stand() {
    let (middle, mut off) = (three(), three());
    assert!(off.job.load.beams[0].stack.is_empty());
    off.job.load.beams[0].stack_y_m = 0.6;
    let (middle, off) = (checked(&middle), checked(&off));
    assert_eq!(off.supports[0].top, middle.supports[0].top);
    assert_eq!(off.carrying, middle.carrying);
    // Shims on it are drawn on it, not past its end.
    assert_eq!(off.rig_parts, middle.rig_parts);
    // Nor does a figure for a stack that is not there stand in the way.
    let mut beyond = three();
    beyond.job.load.beams[0].stack_y_m = 1.2;
    let beyond = checked(&beyond);
    assert!(beyond.list.iter().all(|f| f.id != "input:beam:0:stack"));
    assert_eq!(beyond.carrying, middle.carrying);
}

#[test]
fn a_keel_past_the_edge_of_a_lower_block_is_told() {
    let mut job = three();
    let block = |name: &str, lie| PlacedBlock {
        block: name.into(),
        lie,
    };
    // The lower block is 0.2 m across, the upper 0.6 m; the keel bears 0.18 m off their middle.
    job.job.load.beams[2].stack = vec![
        block("oak 4 x 8", BlockOrientation::FlatAlong),
        block("oak 2 x 8", BlockOrientation::Flat),
    ];
    job.job.load.beams[2].stack_y_m = 0.18;
    let findings = checked(&job);
    let found = findings.list.iter().find(|f| f.id == "stand:2");
    assert_eq!(found.unwrap().verdict, Verdict::Foul);
    assert!(findings.carrying.is_none());
}

#[test]
fn a_keel_beyond_a_rail_is_told() {
    let mut job = three();
    job.job.load.stand.y_m = 1.0;
    for beam in &mut job.job.load.beams {
        beam.stack_y_m = 0.9;
    }
    let findings = checked(&job);
    assert!(findings.carrying.is_none());
    let told = |f: &&keelstead::findings::Finding| f.id.starts_with("stand:");
    let found = findings.list.iter().find(told);
    assert_eq!(found.unwrap().verdict, Verdict::Foul);
}

#[test]
fn a_stack_narrow_across_is_slender_too() {
    let mut job = three();
    let stock = job.rig.blocks.iter_mut();
    for block in stock.filter(|b| b.name == "oak 6 x 8") {
        (block.length_m, block.width_m) = (0.22, 0.16);
    }
    job.job.load.beams[2].stack[0].lie = BlockOrientation::FlatAlong;
    let findings = checked(&job);
    let used = &findings.carrying.as_ref().unwrap().supports[2].uses;
    let found = used
        .iter()
        .find(|u| u.check == LimitState::StackHeight)
        .unwrap();
    // By hand: 0.15 m and 0.03 m of shims on 0.22 m fore and aft and 0.16 m across; three times the
    // narrower is allowed.
    close(found.ratio.unwrap(), 0.18 / 0.48, 1e-9, "height over base");
}

/// Whether the lowest of the hull over (`x`, `y`) bears: an upright ray through every part.
fn bears(
    job: &OpenJob,
    hull_from_frame: &Pose,
    face: &TopFace,
    [x, y]: [f64; 2],
    most: f64,
) -> bool {
    let from_z = face.middle.z - 0.5;
    let origin = *hull_from_frame * Vec3::new(x, y, from_z);
    let up = hull_from_frame.transform_vector(Vec3::Z);
    let top = face.middle.z + face.slope * (x - face.middle.x);
    (job.hull.bearing_parts())
        .filter_map(|p| p.mesh.cast_ray(origin, up))
        .any(|hit| from_z + hit.distance - top <= most)
}

/// Places in the middle of `count`² cells of a rectangle.
fn grid(x: [f64; 2], y: [f64; 2], count: usize) -> impl Iterator<Item = [f64; 2]> {
    let at =
        move |[from, to]: [f64; 2], i: usize| from + (to - from) * (i as f64 + 0.5) / count as f64;
    (0..count * count).map(move |i| [at(x, i % count), at(y, i / count)])
}

#[test]
fn the_area_is_what_upright_rays_say() {
    /// Rays to each side of what bears, and over the whole face.
    const FINE: usize = 200;
    const COARSE: usize = 60;
    let mut worst = (0.0, String::new());
    for (path, heel_rad, wedge_rad) in [
        ("jobs/petrel-easy.json", 0.0, 0.0),
        ("jobs/petrel-easy.json", 0.03, 0.02),
        ("jobs/petrel-idle-block.json", -0.01, 0.0),
        ("jobs/avocet-high-blocking.json", 0.0, 0.0),
        ("jobs/avocet-foul-mudguard.json", 0.02, -0.03),
        ("jobs/eider-too-high.json", 0.0, 0.0),
        ("jobs/eider-too-high.json", 0.05, 0.01),
        ("jobs/gannet-pad-out-of-reach.json", 0.0, 0.0),
        ("jobs/gannet-pad-out-of-reach.json", 0.015, 0.04),
    ] {
        let mut job = job(path);
        job.job.load.stand.heel_rad = heel_rad;
        for beam in &mut job.job.load.beams {
            beam.wedge_rad += wedge_rad;
        }
        let placed = &job.job.load.beams;
        let faces: Vec<TopFace> = placed
            .iter()
            .filter_map(|b| top_face(&job.rig, b))
            .collect();
        let centre = job.hull.centre.unwrap().at.vec();
        let resting = set_down(&job.hull, &job.job.load.stand, &faces, centre, Vec3::Z);
        let pose = resting.frame_from_hull;
        let hull_from_frame = pose.inverse();
        for (i, (face, touch)) in faces.iter().zip(&resting.touches).enumerate() {
            let Some(touch) = touch else { continue };
            let give_m = job.job.load.required.contact_m;
            let patch = Patch::under(&job.hull, &pose, face, touch, give_m);
            let bears = |at| bears(&job, &hull_from_frame, face, at, touch.gap_m + give_m);
            let (x, y) = (face.middle.x, face.middle.y);
            let (along, across) = (face.half_length_m, face.half_width_m);
            let ([aft, fore], [right, left]) = (patch.ends_x_m, patch.sides_y_m);
            // Nothing bears outside of it.
            let hair = 1e-6;
            for [x, y] in grid([x - along, x + along], [y - across, y + across], COARSE) {
                let within = (aft - hair..=fore + hair).contains(&x)
                    && (right - hair..=left + hair).contains(&y);
                assert!(within || !bears([x, y]), "{path}, beam {i}: {x}, {y}");
            }
            let hits = grid([aft, fore], [right, left], FINE).filter(|at| bears(*at));
            let cell = (fore - aft) * (left - right) / (FINE * FINE) as f64;
            let known = hits.count() as f64 * cell;
            let off = (patch.area_m2() - known).abs() / known;
            if off > worst.0 {
                worst = (off, format!("{path}, beam {i}: {patch:?} for {known}"));
            }
        }
    }
    assert!(worst.0 < 0.005, "{worst:?}");
}
