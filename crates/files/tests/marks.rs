//! Marks on a hull: read from old and new descriptions, used by pads and slings, saved with the job.

#![allow(clippy::unwrap_used)]

use std::path::Path;

use keelstead::check::check;
use keelstead::findings::Findings;
use keelstead_boat::hull::{KeepOff, KeepOffKind, LiftingMark, Marks, StrongStation};
use keelstead_boat::sling::SLING_M;
use keelstead_files::kept::Place;
use keelstead_files::save::save_job;
use keelstead_files::source::{Disk, Memory};
use keelstead_files::{FileError, OpenJob, Silent, open_job};
use keelstead_geometry::math::Vec3;
use keelstead_units::verdict::Verdict;
use serde_json::{Value, json};
use tempfile::TempDir;

const EASY: &str = "jobs/petrel-easy.json";

fn demo(change: impl Fn(&mut Value)) -> Result<OpenJob, FileError> {
    let files = keelstead_demo_data::FILES.iter().map(|(path, bytes)| {
        let mut bytes = bytes.to_vec();
        if *path == "hulls/petrel.json" {
            let mut document: Value = serde_json::from_slice(&bytes).unwrap();
            change(&mut document);
            bytes = document.to_string().into_bytes();
        }
        ((*path).to_owned(), bytes)
    });
    open_job(&Memory::new(files.collect::<Vec<_>>()), EASY, &Silent)
}

fn checked(job: &OpenJob) -> Findings {
    check(&job.hull, &job.rig, &job.job.load)
}

/// Where a touching pad meets the hull, hull frame, with its name.
fn pad(job: &OpenJob) -> (String, Vec3) {
    let findings = checked(job);
    let hull_from_trailer = findings.trailer_from_hull.pose().inverse();
    let pad = findings
        .pads
        .iter()
        .find(|pad| pad.contact.is_some())
        .unwrap();
    (
        pad.name.clone(),
        hull_from_trailer * pad.contact.unwrap().vec(),
    )
}

#[test]
fn numbers_of_old_descriptions_are_stations_and_slips_are_told() {
    let job = demo(|hull| {
        hull.as_object_mut().unwrap().remove("strong_stations");
        hull["strong_stations_m"] = json!([1, 2.5]);
        hull["keep_offs"] = json!([{
            "name": "log",
            "min": { "x_m": 1.0, "y_m": 0.2, "z_m": 0.5 },
            "max": { "x_m": 1.2, "y_m": 0.4, "z_m": 1.0 },
        }]);
    })
    .unwrap();
    let marks = &job.hull.marks;
    assert_eq!(marks.strong_stations[1].x_m, 2.5);
    assert_eq!(
        marks.strong_stations[1].reach_m,
        StrongStation::usual_reach()
    );
    let zone = &marks.keep_offs[0];
    assert_eq!((zone.kind, zone.both_sides), (KeepOffKind::Other, false));
    for (change, wanted) in [
        (
            json!({ "strong_stations": [{ "x_m": 1.0, "reech_m": 1.0 }] }),
            "reech_m",
        ),
        (
            json!({ "strong_stations": [{ "x_m": 1000.0 }] }),
            "strong_stations[0].x_m",
        ),
        (
            json!({ "lifting_marks": [{ "name": "aft", "x_m": -400.0 }] }),
            "lifting_marks[0].x_m",
        ),
        (
            json!({ "keep_offs": [{
                "name": "log",
                "min": { "x_m": 1.0, "y_m": 0.4, "z_m": 0.5 },
                "max": { "x_m": 1.2, "y_m": 0.2, "z_m": 1.0 },
            }] }),
            "keep_offs[0]: found min",
        ),
    ] {
        let error = demo(|hull| {
            for (field, value) in change.as_object().unwrap() {
                hull[field] = value.clone();
            }
        });
        let text = error.unwrap_err().to_string();
        assert!(text.contains(wanted), "{wanted}: {text}");
    }
}

#[test]
fn a_pad_off_every_strong_station_is_told_with_the_nearest() {
    let (name, at) = pad(&demo(|_| {}).unwrap());
    let finding = |stations: Value| {
        let job = demo(|hull| hull["strong_stations"] = stations.clone()).unwrap();
        checked(&job)
            .finding(&format!("pad-strong:{name}"))
            .cloned()
    };
    assert_eq!(finding(json!([])), None, "nobody marked any");
    let on = finding(json!([at.x, at.x + 3.0])).unwrap();
    assert_eq!(on.verdict, Verdict::Clear);
    let off =
        finding(json!([{ "name": "main bulkhead", "x_m": at.x + 1.0, "reach_m": 0.2 }, 40.0]));
    let off = off.unwrap();
    assert_eq!(off.verdict, Verdict::Tight);
    // A metre less 0.2 m less half a pad of 0.5 m; it may touch anywhere along its face.
    let found = off.found.unwrap().value;
    assert!((0.30..=0.80).contains(&found), "{found}");
    let words: String = serde_json::to_string(&off.says).unwrap();
    assert!(words.contains("main bulkhead"), "{words}");
}

#[test]
fn the_whole_face_of_a_pad_keeps_off_a_zone_and_off_its_mirror_image() {
    let clear = demo(|_| {}).unwrap();
    let (name, at) = pad(&clear);
    let size = Vec3::new(0.04, 0.3, 0.04);
    let verdict = |shift: Vec3, side: f64, both_sides: bool| {
        let about = Vec3::new(at.x, at.y * side, at.z) + shift;
        let zone = KeepOff::about("log", KeepOffKind::Transducer, about, size, both_sides);
        let marks = Marks {
            keep_offs: vec![zone],
            ..Marks::default()
        };
        let hull = clear.hull.marked(marks).unwrap();
        let findings = check(&hull, &clear.rig, &clear.job.load);
        findings.finding(&format!("pad:{name}")).unwrap().verdict
    };
    let none = Vec3::ZERO;
    assert_eq!(verdict(none, 1.0, false), Verdict::Foul);
    assert_eq!(
        verdict(none, -1.0, false),
        Verdict::Clear,
        "on the other side only"
    );
    assert_eq!(verdict(none, -1.0, true), Verdict::Foul, "on both sides");
    assert_eq!(
        verdict(Vec3::X * 0.10, 1.0, false),
        Verdict::Foul,
        "under the face's end"
    );
    // Moved forward from under it: foul, then within what measurements may be off, then clear.
    let ahead = (0..90).map(|step| verdict(Vec3::X * 0.01 * f64::from(step), 1.0, false));
    let mut seen: Vec<Verdict> = ahead.collect();
    seen.dedup();
    assert_eq!(seen, [Verdict::Foul, Verdict::Tight, Verdict::Clear]);
}

#[test]
fn slings_at_lifting_marks_must_miss_the_rudder_and_what_is_kept_off() {
    let job = demo(|hull| {
        hull["lifting_marks"] = json!([
            { "name": "SLING fore", "x_m": 4.0 },
            { "name": "SLING aft", "x_m": -0.6 },
            { "name": "off the bow", "x_m": 30.0 },
        ]);
    })
    .unwrap();
    let findings = checked(&job);
    let verdict = |id: &str| findings.finding(id).unwrap().verdict;
    assert_eq!(verdict("lifting:0"), Verdict::Clear);
    assert_eq!(
        verdict("lifting:1"),
        Verdict::Foul,
        "the rudder hangs there"
    );
    assert_eq!(verdict("lifting:2"), Verdict::Foul);
    let told = serde_json::to_string(&findings.finding("lifting:1").unwrap().says).unwrap();
    assert!(told.contains("rudder"), "{told}");
}

#[test]
fn all_of_a_stack_keeps_off_a_zone() {
    let clear = demo(|_| {}).unwrap();
    let verdict = |from_m: f64, to_m: f64| {
        let zone = KeepOff {
            name: "sounder".into(),
            kind: KeepOffKind::Transducer,
            min: Vec3::new(from_m, -0.3, -0.1).into(),
            max: Vec3::new(to_m, 0.3, 0.3).into(),
            both_sides: false,
        };
        let hull = clear.hull.marked(Marks {
            keep_offs: vec![zone],
            ..Marks::default()
        });
        let findings = check(&hull.unwrap(), &clear.rig, &clear.job.load);
        let mut stacks = findings
            .list
            .iter()
            .filter(|f| f.id.starts_with("keep-off:"));
        stacks.next().map(|finding| finding.verdict)
    };
    // The stack in pocket 12 bears on 0.25 m about 1.40 m forward of the origin: none of these holds its middle.
    assert_eq!(verdict(1.30, 1.39), Some(Verdict::Foul));
    assert_eq!(verdict(1.41, 1.50), Some(Verdict::Foul));
    assert_eq!(verdict(1.53, 1.60), Some(Verdict::Tight), "5 mm off it");
    assert_eq!(verdict(1.60, 1.70), None);
}

#[test]
fn slings_are_held_with_the_tolerance_of_laying_and_drawing_them() {
    let clear = demo(|_| {}).unwrap();
    let off_m = clear.hull.shape_tolerance_m + clear.job.load.required.placing_tolerance_m;
    let log_m = 4.08;
    let verdict = |gap_m: f64| {
        let log = KeepOff {
            name: "log".into(),
            kind: KeepOffKind::Transducer,
            min: Vec3::new(log_m, -2.0, -1.0).into(),
            max: Vec3::new(log_m + 0.1, 2.0, 2.0).into(),
            both_sides: false,
        };
        let marks = Marks {
            keep_offs: vec![log],
            ..lifted_at(log_m - SLING_M / 2.0 - gap_m)
        };
        let hull = clear.hull.marked(marks).unwrap();
        let findings = check(&hull, &clear.rig, &clear.job.load);
        findings.finding("lifting:0").unwrap().verdict
    };
    assert_eq!(verdict(-0.005), Verdict::Foul);
    assert_eq!(verdict(0.005), Verdict::Tight);
    assert_eq!(verdict(off_m + 0.005), Verdict::Clear);
}

#[test]
fn a_boat_hangs_between_her_slings_or_is_not_clear() {
    let job = demo(|_| {}).unwrap();
    let centre = job.hull.centre.unwrap();
    let (at_m, off_m) = (centre.at.x_m, centre.tolerance.x_m);
    let verdict = |stations: &[f64]| {
        let marks = stations.iter().enumerate().map(|(i, &x_m)| LiftingMark {
            name: format!("SLING {i}"),
            x_m,
        });
        let hull = job.hull.marked(Marks {
            lifting_marks: marks.collect(),
            ..Marks::default()
        });
        let findings = check(&hull.unwrap(), &job.rig, &job.job.load);
        findings.finding("lifting:balance").map(|f| f.verdict)
    };
    assert_eq!(verdict(&[]), None);
    assert_eq!(verdict(&[at_m - 1.5, at_m + 2.0]), Some(Verdict::Clear));
    assert_eq!(
        verdict(&[at_m + 0.7, at_m + 2.0]),
        Some(Verdict::Foul),
        "both ahead of the weight"
    );
    assert_eq!(
        verdict(&[at_m - 0.5 * off_m, at_m + 2.0]),
        Some(Verdict::Tight)
    );
    assert_eq!(verdict(&[at_m]), Some(Verdict::Unknown), "one alone");
}

/// The demo as a yard's folder on disk.
fn yard() -> TempDir {
    let yard = tempfile::tempdir().unwrap();
    for (name, bytes) in keelstead_demo_data::FILES {
        let path = yard.path().join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, bytes).unwrap();
    }
    yard
}

fn opened(path: &Path) -> OpenJob {
    let (disk, name) = Disk::around(path).unwrap();
    open_job(&disk, &name, &Silent).unwrap()
}

fn lifted_at(x_m: f64) -> Marks {
    Marks {
        lifting_marks: vec![LiftingMark {
            name: "SLING".into(),
            x_m,
        }],
        ..Marks::default()
    }
}

#[test]
fn marks_are_saved_beside_the_job_and_a_shared_description_is_left_alone() {
    let yard = yard();
    let path = yard.path().join(EASY);
    let shared = yard.path().join("hulls/petrel.json");
    let before = std::fs::read(&shared).unwrap();
    let mut job = opened(&path);
    job.files = job.files.marked(&lifted_at(4.0)).unwrap();
    let saved = save_job(&path, &job.job, &job.files).unwrap();
    assert_eq!(saved.job.hull, "petrel-easy.hull.json");
    assert_eq!(
        saved.brought.len(),
        1,
        "told, and the mesh is not copied: {:?}",
        saved.brought
    );
    let back = opened(&path);
    assert_eq!(back.hull.marks, lifted_at(4.0));
    assert_eq!(back.hull.bounds, job.hull.bounds);
    assert_eq!(std::fs::read(&shared).unwrap(), before);
    // The job's own description is written over; what is not the job's is not.
    let files = saved.files.marked(&lifted_at(3.0)).unwrap();
    let saved = save_job(&path, &saved.job, &files).unwrap();
    assert_eq!(saved.job.hull, "petrel-easy.hull.json");
    assert_eq!(opened(&path).hull.marks, lifted_at(3.0));
    let other = yard.path().join("jobs/other.json");
    std::fs::write(yard.path().join("jobs/other.hull.json"), "mine").unwrap();
    let files = saved.files.marked(&lifted_at(2.0)).unwrap();
    let again = save_job(&other, &saved.job, &files).unwrap();
    assert_eq!(again.job.hull, "other-2.hull.json");
    assert_eq!(opened(&other).hull.marks, lifted_at(2.0));
    assert_eq!(opened(&path).hull.marks, lifted_at(3.0));
    // Saved far away it brings description and mesh along.
    let far = tempfile::tempdir().unwrap();
    let path = far.path().join("deep/far.json");
    std::fs::create_dir(far.path().join("deep")).unwrap();
    let files = saved.files.marked(&lifted_at(1.5)).unwrap();
    save_job(&path, &saved.job, &files).unwrap();
    assert_eq!(opened(&path).hull.marks, lifted_at(1.5));
}

#[test]
fn a_description_in_memory_is_made_anew_and_handed_over() {
    let job = demo(|_| {}).unwrap();
    let files = job.files.marked(&lifted_at(4.0)).unwrap();
    assert!(matches!(files.hull[0].place, Place::Made(_)) && files.marks.is_none());
    let made: Vec<&str> = files.made().map(|(name, _)| name).collect();
    assert_eq!(made, ["hulls/petrel.json"]);
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("mine.json");
    save_job(&path, &job.job, &files).unwrap();
    assert_eq!(opened(&path).hull.marks, lifted_at(4.0));
}
