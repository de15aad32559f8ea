//! A boat from a tape has no house, rails, outdrive or trim tabs drawn: each check says so, and what rests on them is not
//! called clear.

#![allow(clippy::unwrap_used)]

use keelstead::check::check;
use keelstead::findings::{Bound, Findings, Place, Topic};
use keelstead_files::document;
use keelstead_files::hull_file::HullFile;
use keelstead_files::source::Memory;
use keelstead_files::{Silent, open_job};
use keelstead_units::verdict::Verdict;
use serde_json::{Value, json};

/// A demo job whose bare hull is taken as measured with a tape, its height on the road limited.
fn checked(taped: &Value, limit_m: f64) -> Findings {
    checked_within(taped, json!({ "overall_height_m": limit_m }))
}

/// The same with limits of whatever kind.
#[allow(clippy::needless_pass_by_value)]
fn checked_within(taped: &Value, limits: Value) -> Findings {
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
                // Below the sheer, where what stands above it is none of theirs.
                for pad in job["load"]["pads"].as_array_mut().unwrap() {
                    pad["elevation_rad"] = 1.25.into();
                }
                let required = job["load"]["required"].as_object_mut().unwrap();
                required.extend(limits.as_object().unwrap().clone());
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
    let size = found.size;
    let others = [size.width_is, size.length_is, size.rear_overhang_is];
    assert_eq!(others, [Bound::Exact; 3]);
    assert!(!found.list.iter().any(|f| f.id.starts_with("taped:")));
    assert_eq!(verdict(&found, "size:height"), Verdict::Clear);
}

#[test]
fn a_height_that_nobody_measured_is_a_lower_bound_and_never_clear() {
    let bare = checked(&Value::Null, 20.0);
    let taped = json!({ "family": "full-keel" });
    let found = checked(&taped, 20.0);
    assert_eq!(found.size.height_is, Bound::AtLeast);
    assert!((found.size.height_m - bare.size.height_m).abs() < 1e-9);
    for id in ["size:height", "taped:above", "taped:around", "taped:under"] {
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
    // What reaches beyond her hull nobody measured, so nobody knows the wind on her.
    assert!(held(&found) <= Verdict::Unknown);
    // Wind on a wall of that height all along her is harder to hold than on the bare hull, never easier.
    assert!(held(&found) <= held(&bare));
    // A point no higher than what is drawn adds what a trim may lift it by where the drawn hull is lower.
    let flush = checked(&taped(0.5), 20.0);
    let lifted_m = flush.size.height_m - bare.size.height_m;
    let most_m = bare.size.length_m * flush.trim_rad.abs().sin() + 1e-9;
    assert!((0.0..=most_m).contains(&lifted_m), "{lifted_m} {most_m}");
}

/// Measured all round: 0.4 m of pulpit, 0.6 m of platform, strakes that make her this wide.
fn measured(beam_over_all_m: f64) -> Value {
    json!({
        "family": "full-keel", "highest_m": 4.0, "highest_tolerance_m": 0.02, "beyond_bow_m": 0.4, "beyond_stern_m": 0.6,
        "beyond_tolerance_m": 0.03, "beam_over_all_m": beam_over_all_m, "beam_over_all_tolerance_m": 0.01,
        "nothing_under": true
    })
}

#[test]
fn what_reaches_beyond_her_hull_is_unknown_until_it_is_measured() {
    let bare = checked(&Value::Null, 20.0);
    let found = checked(&json!({ "family": "full-keel", "highest_m": 4.0 }), 20.0);
    let size = found.size;
    for is in [size.width_is, size.length_is, size.rear_overhang_is] {
        assert_eq!(is, Bound::AtLeast);
    }
    let [width, length, overhang] = [
        size.width_m - bare.size.width_m,
        size.length_m - bare.size.length_m,
        size.rear_overhang_m - bare.size.rear_overhang_m,
    ];
    assert!(width.abs() + length.abs() + overhang.abs() < 1e-9);
    // One of the three is not enough to say she is clear all round, but it is for the width.
    let wide =
        json!({ "family": "full-keel", "beam_over_all_m": 4.0, "beam_over_all_tolerance_m": 0.01 });
    let found = checked_within(&wide, json!({ "overall_width_m": 4.5 }));
    assert_eq!(verdict(&found, "taped:around"), Verdict::Unknown);
    let says = format!("{:?}", found.finding("taped:around").unwrap().says);
    assert!(
        says.contains("reach beyond the bow, reach beyond the stern."),
        "{says}"
    );
    assert_eq!(verdict(&found, "size:width"), Verdict::Clear);
    // A skin under the limit proves nothing of her strakes.
    let found = checked_within(
        &json!({ "family": "full-keel" }),
        json!({ "overall_width_m": 4.5 }),
    );
    assert_eq!(verdict(&found, "size:width"), Verdict::Unknown);
    let advice = &found.finding("size:width").unwrap().advice;
    assert!(
        format!("{advice:?}").contains("beam over all"),
        "{advice:?}"
    );
}

#[test]
fn a_measured_breadth_and_reach_bound_width_length_and_overhang() {
    let bare = checked(&Value::Null, 20.0).size;
    let found = checked(&measured(4.0), 20.0);
    let size = found.size;
    assert_eq!(
        verdict(&found, "taped:around"),
        Verdict::Clear,
        "{:?}",
        found.finding("taped:around")
    );
    assert_eq!(size.width_is, Bound::AtMost);
    // By hand: 4 m and 10 mm across; the demo boat stands square and nearly level.
    assert!((size.width_m - 4.01).abs() < 0.01, "{}", size.width_m);
    assert_eq!(size.rear_overhang_is, Bound::AtMost);
    let farther_m = size.rear_overhang_m - bare.rear_overhang_m;
    assert!((0.6..0.8).contains(&farther_m), "{farther_m}");
    let at = |limit_m: f64| {
        let found = checked_within(&measured(4.0), json!({ "overall_width_m": limit_m }));
        let finding = found.finding("size:width").unwrap();
        let place = format!("{:?}", finding.place);
        assert_eq!(
            place,
            format!("{:?}", Some(Place::Point(found.size.widest)))
        );
        finding.verdict
    };
    assert_eq!(at(size.width_m + 0.2), Verdict::Clear);
    assert_eq!(at(size.width_m + 0.001), Verdict::Tight);
    assert_eq!(
        at(size.width_m - 0.001),
        Verdict::Unknown,
        "it may be just that narrow"
    );
    assert_eq!(at(size.width_m - 0.1), Verdict::Foul);
    // Strakes within the skin and the trailer change nothing.
    let narrow = checked(&measured(1.0), 20.0).size;
    assert_eq!(
        (narrow.width_is, narrow.width_m),
        (Bound::Exact, bare.width_m)
    );
}

#[test]
fn a_bowsprit_that_may_meet_the_rig_is_not_clear() {
    let mut long = measured(4.0);
    long["beyond_bow_m"] = 9.0.into();
    let found = checked(&long, 20.0);
    assert_eq!(verdict(&found, "taped:around"), Verdict::Unknown);
    assert!(found.size.length_m > checked(&measured(4.0), 20.0).size.length_m + 5.0);
}

#[test]
fn where_the_shape_is_hardly_known_the_ranges_are_wide_and_stay_answers() {
    let open = |shape_tolerance_m: f64| {
        let source = Memory::new(keelstead_demo_data::FILES.iter().map(|(name, bytes)| {
            let mut bytes = bytes.to_vec();
            if *name == "hulls/petrel.json" {
                let mut hull: Value = serde_json::from_slice(&bytes).unwrap();
                hull["shape_tolerance_m"] = shape_tolerance_m.into();
                bytes = serde_json::to_vec(&hull).unwrap();
            }
            ((*name).to_owned(), bytes)
        }));
        let open = open_job(&source, "jobs/petrel-easy.json", &Silent).unwrap();
        check(&open.hull, &open.rig, &open.job.load)
    };
    let touching = [
        Topic::Balance,
        Topic::Support,
        Topic::Strength,
        Topic::Pad,
        Topic::Steadying,
    ];
    let verdicts = |found: &Findings| {
        let of = found.list.iter().filter(|f| touching.contains(&f.topic));
        of.map(|f| f.verdict).collect::<Vec<_>>()
    };
    // Two beams share by her weight alone: what carries her stays an answer, over a wider range.
    let loads = |found: &Findings| -> Vec<f64> {
        let carrying = found.carrying.as_ref().unwrap();
        carrying
            .supports
            .iter()
            .map(|s| s.most_n - s.least_n)
            .collect()
    };
    let (well, hardly) = (open(0.005), open(0.2));
    assert!(verdicts(&well).iter().all(|v| *v == Verdict::Clear));
    assert!(verdicts(&hardly).iter().all(|v| *v != Verdict::Unknown));
    assert!(verdicts(&hardly).contains(&Verdict::Tight));
    assert_eq!(hardly.finding("support:0").unwrap().verdict, Verdict::Clear);
    for (well, hardly) in loads(&well).iter().zip(loads(&hardly)) {
        assert!(hardly >= *well, "{hardly} {well}");
    }
    // Pads touch where the hull is, and that is hardly known: they may not reach.
    let pads = hardly.list.iter().filter(|f| f.id.starts_with("pad:"));
    assert!(pads.clone().any(|f| f.verdict == Verdict::Tight));
}
