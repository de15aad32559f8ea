//! Rig parts that stand inside a boat whose skin is split over parts, or wound twice: foul in a check, however far they
//! are from every skin.

#![allow(clippy::unwrap_used)]

use std::sync::Arc;

use keelstead::check::check;
use keelstead::findings::Findings;
use keelstead_boat::hull::{Hull, HullPart, PartKind};
use keelstead_files::source::Memory;
use keelstead_files::{OpenJob, Silent, open_job};
use keelstead_geometry::math::{Pose, Vec3};
use keelstead_geometry::mesh::Mesh;
use keelstead_load::clearance::all_pairs;
use keelstead_load::rig::Member;
use keelstead_units::verdict::Verdict;

const JOB: &str = "jobs/petrel-easy.json";

fn opened() -> OpenJob {
    let files = keelstead_demo_data::FILES.iter();
    let files = files.map(|(name, bytes)| ((*name).to_owned(), bytes.to_vec()));
    open_job(&Memory::new(files), JOB, &Silent).unwrap()
}

fn corners(mesh: &Mesh) -> Vec<[Vec3; 3]> {
    let at = |i: u32| mesh.vertices()[i as usize];
    mesh.triangles().iter().map(|t| t.map(at)).collect()
}

/// The hull with its body made of other meshes.
fn with_body(hull: &Hull, make: impl Fn(Vec<[Vec3; 3]>) -> Vec<Vec<[Vec3; 3]>>) -> Hull {
    let mut made = hull.clone();
    made.parts.clear();
    for part in &hull.parts {
        if part.kind != PartKind::Body {
            made.parts.push(part.clone());
            continue;
        }
        for (i, skin) in make(corners(&part.mesh)).into_iter().enumerate() {
            made.parts.push(HullPart {
                name: format!("{} {i}", part.name),
                mesh: Arc::new(Mesh::welded(&skin).unwrap()),
                ..part.clone()
            });
        }
    }
    made
}

fn parted(skin: &[[Vec3; 3]], beyond: impl Fn(Vec3) -> bool) -> Vec<Vec<[Vec3; 3]>> {
    let side = |t: &[Vec3; 3]| beyond((t[0] + t[1] + t[2]) / 3.0);
    let (one, other) = skin.iter().partition(|t| side(t));
    vec![one, other]
}

fn gaps_of<'a>(found: &'a Findings, rig_part: &str) -> Vec<&'a keelstead::findings::Finding> {
    let of = |f: &&keelstead::findings::Finding| {
        f.id.starts_with("gap:") && f.id.ends_with(&format!(":{rig_part}"))
    };
    found.list.iter().filter(of).collect()
}

#[test]
fn a_member_through_a_boat_fouls_however_her_skin_is_made() {
    let open = opened();
    let there = check(&open.hull, &open.rig, &open.job.load);
    // An arm in the middle of the body, below the sheer, clear of every skin; where she stands.
    let body = (open.hull.parts.iter())
        .find(|p| p.kind == PartKind::Body)
        .unwrap();
    let at = body.mesh.aabb().center();
    let floor_m = body.mesh.lowest_surface(at.x, at.y).unwrap();
    let at = Vec3::new(at.x, at.y, floor_m + 0.4);
    let frame_from_trailer = standing(&open, &there);
    let end =
        |y: f64| (frame_from_trailer * there.trailer_from_hull.pose() * (at + Vec3::Y * y)).into();
    let mut rig = open.rig.clone();
    rig.members.push(Member {
        name: "arm through her".into(),
        from: end(-0.2),
        to: end(0.2),
        width_m: 0.09,
        depth_m: 0.09,
    });
    let middle = at.y;
    let hulls = [
        ("whole", open.hull.clone()),
        (
            "sides",
            with_body(&open.hull, |skin| parted(&skin, |v| v.y > middle)),
        ),
        (
            "heights",
            with_body(&open.hull, |skin| parted(&skin, |v| v.z > at.z + 0.02)),
        ),
        (
            "twice",
            with_body(&open.hull, |skin| vec![[skin.clone(), skin].concat()]),
        ),
    ];
    for (how, hull) in hulls {
        let found = check(&hull, &rig, &open.job.load);
        let gaps = gaps_of(&found, "arm through her");
        let worst = gaps.iter().map(|f| f.verdict).min();
        assert_eq!(worst, Some(Verdict::Foul), "{how}: {gaps:?}");
        let least_m = gaps.iter().filter_map(|f| f.found).map(|q| q.value);
        assert!(least_m.fold(f64::MAX, f64::min) < -0.09, "{how}: {gaps:?}");
        let mut ids: Vec<_> = found.list.iter().map(|f| &f.id).collect();
        let all = ids.len();
        ids.sort();
        ids.dedup();
        assert_eq!(ids.len(), all, "{how}: one finding has one id");
        // What is measured pair by pair says the same.
        let pairs = all_pairs(&hull, &found.rig_parts, &found.trailer_from_hull.pose());
        for finding in gaps {
            let value = finding.found.unwrap().value;
            assert!(
                // On the road she sinks a few millimetres deeper than she stands at rest.
                pairs
                    .iter()
                    .any(|c| (0.0..0.012).contains(&(c.gap_m - value))),
                "{how}: {value}"
            );
        }
        // Nothing else became foul by it.
        let others = |found: &Findings| {
            let gaps = found.list.iter().filter(|f| f.id.starts_with("gap:"));
            let foul = gaps.filter(|f| f.verdict == Verdict::Foul && !f.id.contains("arm through"));
            foul.count()
        };
        assert_eq!(others(&found), others(&there), "{how}");
    }
}

/// Frame from trailer, as the first beam of the rig's list of parts has it: members are given in the frame.
fn standing(open: &OpenJob, found: &Findings) -> Pose {
    let rails = keelstead_load::rig_parts::trailer_from_frame(&open.rig, open.job.load.rail_top_m);
    assert!(found.rig_parts.len() > 10);
    rails.inverse()
}
