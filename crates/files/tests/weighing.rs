//! Boats that are weighed as they are opened: the demo's boats at the waterlines they were drawn to.

#![allow(clippy::unwrap_used)]

use keelstead::check::check;
use keelstead_boat::weigh::{BoatKind, Source, Weighed, length_ratio};
use keelstead_demo_data::boats;
use keelstead_demo_data::hydrostatics::displaced;
use keelstead_files::open::{OpenHull, open_hull};
use keelstead_files::source::Memory;
use keelstead_files::{FileError, Silent, open_job};
use keelstead_units::quantity::Basis;
use keelstead_units::verdict::Verdict;
use serde_json::{Value, json};

/// The demo's files, one hull description changed.
fn yard(boat: &str, change: impl FnOnce(&mut Value)) -> Memory {
    let name = format!("hulls/{boat}.json");
    let mut change = Some(change);
    let files = keelstead_demo_data::FILES.iter().map(|(path, bytes)| {
        let mut bytes = bytes.to_vec();
        if *path == name {
            let mut document: Value = serde_json::from_slice(&bytes).unwrap();
            if let Some(change) = change.take() {
                change(&mut document);
            }
            bytes = document.to_string().into_bytes();
        }
        ((*path).to_owned(), bytes)
    });
    Memory::new(files.collect::<Vec<_>>())
}

fn opened(boat: &str, change: impl FnOnce(&mut Value)) -> Result<OpenHull, FileError> {
    open_hull(&yard(boat, change), &format!("hulls/{boat}.json"), &Silent)
}

fn marked(aft: [f64; 2], fore: [f64; 2]) -> Value {
    json!({
        "aft": { "x_m": aft[0], "z_m": aft[1] },
        "fore": { "x_m": fore[0], "z_m": fore[1] },
        "tolerance_m": 0.005,
        "water": "salt",
    })
}

fn weighed(opened: &OpenHull) -> &Weighed {
    opened.hull.weighed.as_ref().unwrap()
}

/// Fin, bulb, rudder and drive leg reach into the body: the columns of water that the loft counts
/// over all parts know that too.
#[test]
fn the_demo_boats_weigh_what_their_columns_of_water_do() {
    for boat in boats::all().unwrap() {
        let p = boat.particulars;
        let z_m = p.waterline_z_m;
        let open = opened(p.name, |hull| {
            hull["weighing"] = json!({ "waterline": marked([0.0, z_m], [4.0, z_m]) });
        })
        .unwrap();
        let found = weighed(&open);
        let afloat = found.afloat.unwrap();
        let columns = displaced(boat.parts.iter().map(|part| &part.shell), z_m, 0.01);
        let volume = afloat.volume_m3 / columns.volume_m3;
        assert!((volume - 1.0).abs() < 5e-4, "{}: {volume}", p.name);
        let along_m = afloat.buoyancy.x_m - columns.centre_m[0];
        assert!(along_m.abs() < 1e-3, "{}: {along_m}", p.name);
        assert!(
            afloat.overlap_m3 > 1e-3,
            "{}: {}",
            p.name,
            afloat.overlap_m3
        );
        assert!(found.untold.is_empty(), "{:?}", found.untold);
        let (source, mass) = found.mass.unwrap();
        assert_eq!((source, mass.basis), (Source::Waterline, Basis::Computed));
        assert!((mass.mass_kg / p.mass_kg - 1.0).abs() < 0.05, "{}", p.name);
        assert_eq!(open.hull.mass, Some(mass));
        assert!(
            (afloat.length_m / p.lwl_m - 1.0).abs() < 0.02,
            "{}: {}",
            p.name,
            afloat.length_m
        );
        let kind = match p.name {
            "petrel" => BoatKind::FullKeel,
            "gannet" => BoatKind::FinKeel,
            "avocet" => BoatKind::Centreboarder,
            _ => BoatKind::Workboat,
        };
        let ratio = length_ratio(p.mass_kg, p.lwl_m);
        assert!(kind.usual_ratio().contains(ratio), "{}: {ratio}", p.name);
        assert!(
            open.notices
                .iter()
                .any(|n| n.to_string().contains("kg (") && n.to_string().contains("lb)"))
        );
    }
}

#[test]
fn a_description_without_weighing_is_read_as_before() {
    let open = opened("petrel", |_| {}).unwrap();
    assert!(open.hull.weighed.is_none());
    assert_eq!(open.hull.mass.unwrap().mass_kg, 5_200.0);
    assert_eq!(open.notices, []);
}

#[test]
fn scales_that_contradict_a_measured_weight_are_a_finding_of_every_job() {
    let source = yard("petrel", |hull| {
        hull["mass"]["basis"] = json!("measured");
        hull["weighing"] = json!({ "supports": {
            "aft": { "x_m": 1.0, "mass_kg": 3300.0, "tolerance_kg": 30.0 },
            "fore": { "x_m": 4.0, "mass_kg": 2700.0, "tolerance_kg": 30.0 },
        }});
    });
    let job = open_job(&source, "jobs/petrel-easy.json", &Silent).unwrap();
    // 6000 ± 60 kg against 5200 ± 250 kg: the wider is kept and reaches the far end of the other.
    let mass = job.hull.mass.unwrap();
    assert_eq!((mass.mass_kg, mass.tolerance_kg), (5_200.0, 860.0));
    let centre = job.hull.centre.unwrap();
    assert!((centre.at.x_m - 2.35).abs() < 1e-9, "{centre:?}");
    let findings = check(&job.hull, &job.rig, &job.job.load);
    let told = findings.finding("weighed:mass:stated:supports").unwrap();
    assert_eq!(told.verdict, Verdict::Tight);
    assert!(
        job.notices
            .iter()
            .any(|n| n.to_string().contains("800 kg (1,764 lb) apart")),
        "{:?}",
        job.notices
    );
}

#[test]
fn what_cannot_be_right_is_refused_by_its_field() {
    let refused = |weighing: Value, wanted: &[&str]| {
        let error = opened("petrel", |hull| hull["weighing"] = weighing.clone()).unwrap_err();
        let text = error.to_string();
        for piece in wanted.iter().chain(&["hulls/petrel.json"]) {
            assert!(
                text.contains(piece),
                "{weighing}: {piece:?} is not in: {text}"
            );
        }
    };
    refused(
        json!({ "waterline": marked([0.0, 9.0], [4.0, 1.5]) }),
        &["weighing.waterline.aft.z_m", "found 9"],
    );
    refused(
        json!({ "waterline": marked([4.0, 1.5], [0.0, 1.5]) }),
        &["weighing.waterline.fore.x_m"],
    );
    let mut misspelt = marked([0.0, 1.5], [4.0, 1.5]);
    misspelt["watter"] = json!("salt");
    refused(json!({ "waterline": misspelt }), &["watter", "water"]);
    let mut light = marked([0.0, 1.5], [4.0, 1.5]);
    light["water"] = json!({ "kg_m3": 1.025 });
    refused(
        json!({ "waterline": light }),
        &["weighing.waterline.water.kg_m3", "950"],
    );
    let scale = json!({ "x_m": 1.0, "mass_kg": -5.0, "tolerance_kg": 1.0 });
    refused(
        json!({ "supports": { "aft": scale, "fore": scale } }),
        &["weighing.supports.aft.mass_kg"],
    );
    // A boat that may weigh nothing is not weighed.
    let scale =
        |x_m: f64, off_kg: f64| json!({ "x_m": x_m, "mass_kg": 2500.0, "tolerance_kg": off_kg });
    refused(
        json!({ "supports": { "aft": scale(1.0, 99_999.0), "fore": scale(4.0, 20.0) } }),
        &[
            "weighing.supports.aft.tolerance_kg",
            "99999",
            "0 to 2500",
            "ut that right",
        ],
    );
    refused(json!({ "typical": { "kind": "bathtub" } }), &["bathtub"]);
    refused(
        json!({ "typical": { "kind": "skiff", "ratio": { "min": 90.0, "max": 40.0 } } }),
        &["weighing.typical.ratio", "min not above max"],
    );
}
