//! A boat from a tape has no house, rails, outdrive or trim tabs drawn: each check says so, and what rests on them is not
//! called clear.

#![allow(clippy::unwrap_used)]

use keelstead::check::check;
use keelstead::findings::{Bound, Findings, Verdict};
use keelstead_files::document;
use keelstead_files::hull_file::HullFile;
use keelstead_files::source::Memory;
use keelstead_files::{Silent, open_job};
use serde_json::{Value, json};

/// A demo job whose bare hull is taken as measured with a tape, its height on the road limited.
fn checked(taped: &Value, limit_m: f64) -> Findings {
    let files = keelstead_demo_data::FILES.iter().map(|(name, bytes)| {
        let mut bytes = bytes.to_vec();
        let change = |bytes: &[u8], change: &dyn Fn(&mut Value)| {
            let mut value: Value = serde_json::from_slice(bytes).unwrap();
            change(&mut value);
            serde_json::to_vec(&value).unwrap()
        };
        if *name == "hulls/petrel.json" {
            bytes = change(&bytes, &|hull| {
                for rule in hull["parts"].as_array_mut().unwrap() {
                    let node = rule["node"].as_str().unwrap().to_owned();
                    if ["mast", "deck-gear", "cabin"]
                        .iter()
                        .any(|part| node.starts_with(part))
                    {
                        rule["use"] = "left-out".into();
                    }
                }
                if !taped.is_null() {
                    hull["taped"] = taped.clone();
                }
            });
            // What it says survives being read and written.
            let read: HullFile = document::read(&bytes, name).unwrap();
            bytes = read.text(name).unwrap().into_bytes();
        }
        if *name == "jobs/petrel-easy.json" {
            bytes = change(&bytes, &|job| {
                job["load"]["required"]["overall_height_m"] = limit_m.into();
            });
        }
        ((*name).to_owned(), bytes)
    });
    let open = open_job(&Memory::new(files), "jobs/petrel-easy.json", &Silent).unwrap();
    check(&open.hull, &open.rig, &open.job.load)
}

fn verdict(found: &Findings, id: &str) -> Verdict {
    found
        .finding(id)
        .unwrap_or_else(|| panic!("no {id}"))
        .verdict
}

/// The worst of the findings that wind has a say in.
fn held(found: &Findings) -> Verdict {
    let by_wind = |id: &str| id == "steady:hold" || id.starts_with("steady:pad:");
    let all = found.list.iter().filter(|f| by_wind(&f.id));
    all.map(|f| f.verdict).min().unwrap()
}

#[test]
fn a_scanned_boat_has_no_such_finding() {
    let found = checked(&Value::Null, 20.0);
    assert_eq!(found.size.height_is, Bound::Exact);
    assert!(found.finding("taped:above").is_none() && found.finding("taped:under").is_none());
    assert_eq!(verdict(&found, "size:height"), Verdict::Clear);
}

#[test]
fn a_height_that_nobody_measured_is_a_lower_bound_and_never_clear() {
    let bare = checked(&Value::Null, 20.0);
    let taped = json!({ "family": "full-keel" });
    let found = checked(&taped, 20.0);
    assert_eq!(found.size.height_is, Bound::AtLeast);
    assert!((found.size.height_m - bare.size.height_m).abs() < 1e-9);
    for id in ["size:height", "taped:above", "taped:under"] {
        assert_eq!(verdict(&found, id), Verdict::Unknown, "{id}");
        assert!(found.finding(id).unwrap().advice.is_some(), "{id}");
    }
    assert!(
        held(&found) <= Verdict::Unknown,
        "the wind on a house that is not drawn"
    );
    assert!(found.verdict <= Verdict::Unknown);
    // What the bare hull fouls already, it fouls.
    let low = checked(&taped, bare.size.height_m - 0.5);
    assert_eq!(verdict(&low, "size:height"), Verdict::Foul);
}

#[test]
fn a_measured_height_is_an_upper_bound_that_can_be_clear_tight_unknown_or_foul() {
    let bare = checked(&Value::Null, 20.0);
    let taped = |highest_m: f64| {
        json!({
            "family": "full-keel", "highest_m": highest_m, "highest_tolerance_m": 0.02,
            "nothing_under": true
        })
    };
    let found = checked(&taped(4.0), 20.0);
    assert_eq!(found.size.height_is, Bound::AtMost);
    assert!(found.size.height_m > bare.size.height_m);
    for id in ["size:height", "taped:above", "taped:under"] {
        assert_eq!(
            verdict(&found, id),
            Verdict::Clear,
            "{id}: {:?}",
            found.finding(id)
        );
    }
    // The highest point stands over the lowest point of the keel, which stands over the ground.
    let keel_m = found
        .supports
        .iter()
        .map(|s| s.top.z_m)
        .fold(f64::MAX, f64::min);
    assert!(
        (found.size.height_m - keel_m - 4.02).abs() < 0.3,
        "{} {keel_m}",
        found.size.height_m
    );
    let at = |limit_m: f64| verdict(&checked(&taped(4.0), limit_m), "size:height");
    assert_eq!(at(found.size.height_m + 0.001), Verdict::Tight);
    assert_eq!(
        at(found.size.height_m - 0.001),
        Verdict::Unknown,
        "it may be just that low"
    );
    assert_eq!(at(found.size.height_m - 1.0), Verdict::Foul);
    // Wind on a wall of that height all along her is harder to hold than on the bare hull, never easier.
    assert!(held(&found) <= held(&bare));
    // A point no higher than what is drawn changes nothing.
    let flush = checked(&taped(0.5), 20.0);
    assert_eq!(flush.size.height_is, Bound::Exact);
    assert!((flush.size.height_m - bare.size.height_m).abs() < 1e-9);
}
