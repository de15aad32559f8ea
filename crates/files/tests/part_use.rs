//! What hull parts count for in a check: all, height alone, or nothing; told in every case.

#![allow(clippy::unwrap_used)]

use keelstead::check::check;
use keelstead::findings::Findings;
use keelstead_boat::hull::PartUse;
use keelstead_files::source::Memory;
use keelstead_files::{OpenJob, Silent, open_job};
use keelstead_units::verdict::Verdict;

/// A demo job with parts of her hull counted otherwise.
fn opened(uses: &[(&str, &str)]) -> (OpenJob, Findings) {
    let files = keelstead_demo_data::FILES.iter().map(|(name, bytes)| {
        let mut bytes = bytes.to_vec();
        if *name == "hulls/petrel.json" {
            let mut hull: serde_json::Value = serde_json::from_slice(&bytes).unwrap();
            for rule in hull["parts"].as_array_mut().unwrap() {
                let node = rule["node"].as_str().unwrap().to_owned();
                if let Some((_, part_use)) = uses.iter().find(|(name, _)| node.starts_with(name)) {
                    rule["use"] = (*part_use).into();
                }
            }
            bytes = serde_json::to_vec(&hull).unwrap();
        }
        ((*name).to_owned(), bytes)
    });
    let open = open_job(&Memory::new(files), "jobs/petrel-easy.json", &Silent).unwrap();
    let found = check(&open.hull, &open.rig, &open.job.load);
    (open, found)
}

fn verdict(found: &Findings, start: &str) -> Option<Verdict> {
    let of = found.list.iter().filter(|f| f.id.starts_with(start));
    of.map(|f| f.verdict).min()
}

fn notices(open: &OpenJob) -> String {
    open.notices.iter().map(ToString::to_string).collect()
}

#[test]
fn a_part_left_out_is_in_nothing_and_is_named() {
    let (whole, with) = opened(&[]);
    let (open, without) = opened(&[
        ("mast", "left-out"),
        ("deck-gear", "left-out"),
        ("cabin", "left-out"),
    ]);
    assert!(open.hull.bounds.maxs.z < whole.hull.bounds.maxs.z - 0.1);
    assert!(open.hull.profile.area_m2 < whole.hull.profile.area_m2 - 0.1);
    assert!(without.size.height_m < with.size.height_m - 0.1);
    assert_eq!(
        with.trailer_from_hull, without.trailer_from_hull,
        "she stands as before"
    );
    assert!(verdict(&without, "gap:mast").is_none() && verdict(&without, "gap:cabin").is_none());
    assert!(verdict(&without, "use:mast").is_some() && verdict(&with, "use:").is_none());
    assert!(notices(&open).contains("left out of every check") && notices(&open).contains("mast"));
    assert!(!notices(&whole).contains("left out"));
}

#[test]
fn a_part_kept_for_height_counts_for_size_and_is_clear_only_where_boxes_prove_it() {
    let (_, with) = opened(&[]);
    let (open, kept) = opened(&[("mast", "height-only"), ("keel", "height-only")]);
    assert_eq!(with.size.height_m > 0.0, kept.size.height_m > 0.0);
    assert!(open.hull.bounds.mins.z < 0.001, "the keel is in the size");
    assert_eq!(verdict(&kept, "use:mast"), Some(Verdict::Clear));
    assert_eq!(
        verdict(&kept, "use:keel"),
        Some(Verdict::Unknown),
        "it hangs among the blocks"
    );
    assert_ne!(kept.verdict, Verdict::Clear, "unknown never reads as clear");
    assert!(verdict(&kept, "gap:keel").is_none());
    assert!(notices(&open).contains("kept for height"));
}

#[test]
fn a_hull_of_parts_left_out_is_none() {
    let all =
        ["body", "keel", "rudder", "cabin", "deck-gear", "mast"].map(|name| (name, "left-out"));
    let files = keelstead_demo_data::FILES.iter();
    let Some((_, bytes)) = files.clone().find(|(name, _)| *name == "hulls/petrel.json") else {
        panic!("no petrel");
    };
    let mut hull: serde_json::Value = serde_json::from_slice(bytes).unwrap();
    for rule in hull["parts"].as_array_mut().unwrap() {
        rule["use"] = all[0].1.into();
    }
    let files = files.map(|(name, bytes)| match *name {
        "hulls/petrel.json" => ((*name).to_owned(), serde_json::to_vec(&hull).unwrap()),
        _ => ((*name).to_owned(), bytes.to_vec()),
    });
    let result = open_job(&Memory::new(files), "jobs/petrel-easy.json", &Silent);
    let error = result.unwrap_err().to_string();
    assert!(error.contains("parts"), "{error}");
}

#[test]
fn every_use_has_its_word() {
    let words = [
        (PartUse::Checked, "checked"),
        (PartUse::Guessed, "guessed"),
        (PartUse::HeightOnly, "height-only"),
        (PartUse::LeftOut, "left-out"),
        (PartUse::VolumeOnly, "volume-only"),
    ];
    for (part_use, word) in words {
        assert_eq!(serde_json::to_value(part_use).unwrap(), word);
    }
}
