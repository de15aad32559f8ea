//! Ratings that a rig gives are held against loads, and weight off the middle rolls a rig over sooner.

#![allow(clippy::unwrap_used)]

use keelstead::check::check;
use keelstead::findings::{Finding, Findings};
use keelstead_files::source::Memory;
use keelstead_files::{Silent, open_job};
use keelstead_units::verdict::Verdict;
use serde_json::{Value, json};

/// A demo job with some of its documents changed: file, place in it, new value (null takes it out).
fn checked(job: &str, changes: &[(&str, &str, Value)]) -> Findings {
    let files = keelstead_demo_data::FILES.iter().map(|(name, bytes)| {
        let mut bytes = bytes.to_vec();
        for (_, at, value) in changes.iter().filter(|change| change.0 == *name) {
            let mut document: Value = serde_json::from_slice(&bytes).unwrap();
            let (parent, field) = at.rsplit_once('/').unwrap();
            let parent = document.pointer_mut(parent).unwrap();
            match parent {
                Value::Object(fields) if value.is_null() => drop(fields.remove(field)),
                Value::Object(fields) => drop(fields.insert(field.to_owned(), value.clone())),
                other => other[field.parse::<usize>().unwrap()] = value.clone(),
            }
            bytes = serde_json::to_vec(&document).unwrap();
        }
        ((*name).to_owned(), bytes)
    });
    let open = open_job(&Memory::new(files), &format!("jobs/{job}.json"), &Silent).unwrap();
    check(&open.hull, &open.rig, &open.job.load)
}

fn finding<'a>(found: &'a Findings, id: &str) -> &'a Finding {
    found
        .finding(id)
        .unwrap_or_else(|| panic!("no finding {id}"))
}

const AVOCET: &str = "avocet-high-blocking";
const SHORT: &str = "rigs/short-trailer.json";

#[test]
fn ratings_of_coupling_and_axles_are_used() {
    let found = checked(
        AVOCET,
        &[
            (SHORT, "/rig/coupling/rating_kg", json!(100.0)),
            (SHORT, "/rig/axles/0/rating_kg", json!(500.0)),
            (SHORT, "/rig/axles/1/rating_kg", json!(500.0)),
        ],
    );
    // By hand: 2,300 kg at x -5.32 m and 1,150 kg at -5.0, on 0 and -6.05 m: 477 and 2,973 kg. The trim of
    // frame and boat moves the weights by millimetres.
    let coupling = finding(&found, "weight:coupling");
    assert_eq!(coupling.verdict, Verdict::Foul);
    assert!(
        (coupling.found.unwrap().value - 477.1).abs() < 10.0,
        "{coupling:?}"
    );
    for id in ["weight:axle:1", "weight:axle:2"] {
        let axle = finding(&found, id);
        assert_eq!(axle.verdict, Verdict::Foul);
        assert!(
            (axle.found.unwrap().value - 2_972.9 / 2.0).abs() < 5.0,
            "{axle:?}"
        );
    }
    let road = found.road.as_ref().unwrap();
    let sum = road.coupling.load_kg + 2.0 * road.each_axle.load_kg;
    assert!((sum - 3_450.0).abs() < 1e-6, "{sum}");
    assert_eq!(road.axles, 2);
}

#[test]
fn as_the_demo_has_them_they_are_kept() {
    for job in ["avocet-high-blocking", "petrel-easy"] {
        let found = checked(job, &[]);
        let of = found.list.iter().filter(|f| f.id.starts_with("weight:"));
        for finding in of {
            assert_eq!(finding.verdict, Verdict::Clear, "{job}: {finding:?}");
        }
        assert_eq!(
            finding(&found, "weight:coupling:down")
                .required
                .unwrap()
                .value,
            0.0
        );
    }
}

#[test]
fn a_rating_is_clear_only_with_everything_at_its_worst() {
    let nominal = checked(AVOCET, &[]).road.unwrap().coupling;
    // A little over what it is said to be, but not over the worst corner.
    let rating = (nominal.load_kg + nominal.most_kg) / 2.0;
    let found = checked(AVOCET, &[(SHORT, "/rig/coupling/rating_kg", json!(rating))]);
    assert_eq!(finding(&found, "weight:coupling").verdict, Verdict::Tight);
    // Mass, centre fore and aft and place at their ends, in the documents: by hand the lever rule.
    let mass = 2_300.0 + 120.0;
    let x = -5.32 + 0.12 + 0.01;
    let by_hand = mass * (1.0 + x / 6.05) + 1_150.0 * (1.0 - 5.0 / 6.05);
    assert!(nominal.most_kg > by_hand, "{nominal:?} for {by_hand}");
    assert!(
        nominal.most_kg < by_hand + 30.0,
        "{nominal:?} for {by_hand}"
    );
}

#[test]
fn a_hull_far_aft_lifts_the_coupling() {
    let found = checked(AVOCET, &[(SHORT, "/rig/tare/centre/x_m", json!(-8.0))]);
    // 277 kg of the boat's, less 1,150 kg at 1.95 m behind the axles: -371.
    let down = finding(&found, "weight:coupling:down");
    assert_eq!(down.verdict, Verdict::Foul);
    assert!((down.found.unwrap().value + 93.0).abs() < 10.0, "{down:?}");
}

#[test]
fn without_the_trailers_own_weight_or_its_centre_nobody_can_tell() {
    for (at, gross) in [("/rig/tare", false), ("/rig/tare/centre", true)] {
        let found = checked(AVOCET, &[(SHORT, at, Value::Null)]);
        assert!(found.road.is_none());
        assert_eq!(finding(&found, "weight:road").verdict, Verdict::Unknown);
        assert!(found.finding("weight:coupling").is_none());
        let roll = finding(&found, "steady:rollover");
        assert_eq!(roll.verdict, Verdict::Unknown, "{roll:?}");
        let verdict = finding(&found, "weight:gross").verdict;
        assert_eq!(verdict == Verdict::Clear, gross, "{at}");
        assert!(gross || verdict == Verdict::Unknown);
    }
    let no_centre = checked(AVOCET, &[("hulls/avocet.json", "/centre", Value::Null)]);
    assert_eq!(finding(&no_centre, "weight:road").verdict, Verdict::Unknown);
    let no_rating = checked(AVOCET, &[(SHORT, "/rig/axles/0/rating_kg", Value::Null)]);
    assert_eq!(
        finding(&no_rating, "weight:axle:1").verdict,
        Verdict::Unknown
    );
    assert_eq!(finding(&no_rating, "weight:axle:2").verdict, Verdict::Clear);
}

#[test]
fn ratings_of_the_tractor_are_said_not_to_be_used() {
    let told = |found: &Findings| {
        let text = serde_json::to_string(&finding(found, "weight:coupling").says).unwrap();
        let mind = serde_json::to_string(&found.road.as_ref().unwrap().mind).unwrap();
        text.contains("tractor") && mind.contains("tractor")
    };
    assert!(told(&checked("petrel-easy", &[])));
    assert!(!told(&checked(
        "petrel-easy",
        &[("rigs/long-trailer.json", "/rig/tractor", Value::Null)]
    )));
}

#[test]
fn weight_off_the_middle_rolls_over_sooner() {
    let extra = |y: f64| {
        json!([{
            "name": "engine on deck", "mass_kg": 9_000.0,
            "at": { "x_m": 2.9, "y_m": y, "z_m": 1.42 },
        }])
    };
    let g = |y: f64| {
        let changes = [("jobs/petrel-easy.json", "/load/extra_weights", extra(y))];
        let found = checked("petrel-easy", &changes);
        found.steadying.unwrap().rollover.unwrap()
    };
    let (middle, off) = (g(0.0), g(0.2));
    // (T / 2 - offset) / h with 9 t of 22 t 0.2 m off.
    let offset = 9_000.0 * 0.2 / (5_200.0 + 9_000.0 + 7_800.0);
    let by_hand = (middle.track_m / 2.0 - offset) / middle.centre_height_m;
    assert!(
        (off.rigid_g - by_hand).abs() < 1e-3,
        "{} for {by_hand}",
        off.rigid_g
    );
    assert!(
        off.leaning_g < middle.leaning_g - 0.04,
        "{off:?} {middle:?}"
    );
    assert!(off.worst_g < off.leaning_g);
}
