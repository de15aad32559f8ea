//! A whole job in and out: a box-shaped boat with a keel on a plain trailer.

#![allow(clippy::unwrap_used)]

use std::cell::Cell;

use keelstead_boat::hull::PartKind;
use keelstead_files::job::Job;
use keelstead_files::source::Memory;
use keelstead_files::{FileError, OpenJob, Progress, Silent, document, open_job, save};
use keelstead_load::load::{BlockOrientation, PlacedBlock, Reach};
use proptest::prelude::*;
use serde_json::{Value, json};

const BOX: [[usize; 3]; 12] = [
    [0, 2, 1],
    [1, 2, 3],
    [4, 5, 6],
    [5, 7, 6],
    [0, 1, 4],
    [1, 5, 4],
    [2, 6, 3],
    [3, 6, 7],
    [0, 4, 2],
    [2, 4, 6],
    [1, 3, 5],
    [3, 7, 5],
];

/// A box as an OBJ group; `scale` turns metres into the file's unit.
fn group(name: &str, low: [f64; 3], high: [f64; 3], first: usize, scale: f64) -> String {
    let mut text = String::new();
    for corner in 0..8_usize {
        let at: [f64; 3] = std::array::from_fn(|axis| {
            scale
                * if corner >> axis & 1 == 1 {
                    high[axis]
                } else {
                    low[axis]
                }
        });
        text += &format!("v {} {} {}\n", at[0], at[1], at[2]);
    }
    text += &format!("g {name}\n");
    for face in BOX {
        let [a, b, c] = face.map(|corner| first + corner);
        text += &format!("f {a} {b} {c}\n");
    }
    text
}

/// A boat of 8 m by 2.4 m: body from 0.5 m up, keel from x = 2 m to 6 m below it.
fn mesh(scale: f64) -> String {
    group("hull", [0.0, -1.2, 0.5], [8.0, 1.2, 2.0], 1, scale)
        + &group("lead", [2.0, -0.1, 0.0], [6.0, 0.1, 0.6], 9, scale)
}

fn hull() -> Value {
    json!({
        "version": 1,
        "name": "Dunlin",
        "mesh": "dunlin.obj",
        "unit": "millimetre",
        "axes": { "forward": "+x", "up": "+z" },
        "parts": [{ "node": "le*", "kind": "keel" }],
        "mass": { "mass_kg": 2500.0, "tolerance_kg": 100.0, "basis": "measured" },
        "centre": {
            "at": { "x_m": 2.0, "y_m": 0.0, "z_m": 0.6 },
            "tolerance": { "x_m": 0.2, "y_m": 0.05, "z_m": 0.1 },
            "basis": "computed",
        },
        "shape_tolerance_m": 0.01,
    })
}

fn rig() -> Value {
    let pocket = |x: f64| json!({ "x_m": x, "opening_width_m": 0.2, "opening_height_m": 0.22, "sill_below_top_m": 0.25 });
    json!({
        "version": 1,
        "rig": {
            "name": "Low loader",
            "rails": {
                "front_x_m": -0.5, "aft_x_m": -9.5, "clear_width_m": 1.6, "width_m": 0.15, "depth_m": 0.3,
                "pockets": [pocket(-3.0), pocket(-6.0)],
            },
            "members": [],
            "coupling": { "height_m": 1.2, "rating_kg": null },
            "axles": [{
                "x_m": -7.0, "track_m": 2.2, "tyre_diameter_m": 0.8, "tyre_width_m": 0.25,
                "dual_spacing_m": null, "rating_kg": 9000.0,
            }],
            "mudguards": [],
            "pads": [],
            "suspension": { "rail_top_m": { "min": 0.6, "max": 0.9 }, "level_m": 0.75 },
            "tractor": null,
            "beams": [{ "name": "oak", "count": 2, "length_m": 2.4, "width_m": 0.18, "depth_m": 0.2, "material": "white-oak" }],
            "blocks": [{ "name": "six by six", "count": 8, "length_m": 0.6, "width_m": 0.15, "thickness_m": 0.15, "material": "douglas-fir" }],
            "packing": { "shims_m": [0.005], "shims_at_most_m": 0.02, "wedge_rad": null },
            "ratings": { "payload_kg": 8000.0, "gross_kg": null },
            "tare": { "mass_kg": 3000.0, "centre": { "x_m": -5.5, "y_m": 0.0, "z_m": 0.7 } },
            "tolerance_m": 0.005,
        },
    })
}

fn job() -> Value {
    let beam = |pocket: usize| {
        json!({
            "beam": "oak", "seat": { "pocket": pocket },
            "stack": [{ "block": "six by six" }], "shim_m": 0.005,
        })
    };
    json!({
        "version": 1,
        "name": "Dunlin to the shed",
        "hull": "../hulls/dunlin.json",
        "rig": "../rigs/low.json",
        "load": { "stand": { "x_m": -6.5 }, "beams": [beam(1), beam(2)], "rail_top_m": 0.75 },
    })
}

fn yard(job: &str, hull: &str, rig: &str, mesh: &str) -> Memory {
    let file = |name: &str, text: &str| (name.to_owned(), text.as_bytes().to_vec());
    Memory::new([
        file("jobs/a.json", job),
        file("hulls/dunlin.json", hull),
        file("rigs/low.json", rig),
        file("hulls/dunlin.obj", mesh),
    ])
}

fn open(job: &Value, hull: &Value, rig: &Value, mesh: &str) -> Result<OpenJob, FileError> {
    let source = yard(&job.to_string(), &hull.to_string(), &rig.to_string(), mesh);
    open_job(&source, "jobs/a.json", &Silent)
}

fn with(mut document: Value, at: &str, value: Value) -> Value {
    *document.pointer_mut(at).unwrap() = value;
    document
}

fn said(result: Result<OpenJob, FileError>) -> String {
    result.unwrap_err().to_string()
}

#[test]
fn a_job_opens_in_the_hull_frame() {
    let open = open(&job(), &hull(), &rig(), &mesh(1000.0)).unwrap();
    assert_eq!(open.path, "jobs/a.json");
    assert_eq!(
        (open.hull.name.as_str(), open.rig.name.as_str()),
        ("Dunlin", "Low loader")
    );
    let kinds: Vec<_> = open.hull.parts.iter().map(|part| part.kind).collect();
    assert_eq!(kinds, [PartKind::Body, PartKind::Keel]);
    // The keel's aft end, at x = 2 m, z = 0 of the file, is the origin.
    let bounds = open.hull.bounds;
    for (found, want) in [
        (bounds.mins, [-2.0, -1.2, 0.0]),
        (bounds.maxs, [6.0, 1.2, 2.0]),
    ] {
        assert!(
            (found - keelstead_geometry::math::Vec3::from_array(want)).length() < 1e-9,
            "{found}"
        );
    }
    let notices: Vec<_> = open.notices.iter().map(ToString::to_string).collect();
    assert_eq!(notices.len(), 1, "{notices:?}");
    assert!(
        notices[0].contains("\"hull\" is taken as body"),
        "{notices:?}"
    );
}

#[test]
fn axes_and_origin_are_as_declared() {
    // Bow along -z, up along y: file (x, y, z) is forward -z, port -x … as a right-handed frame.
    let turned: String = mesh(1000.0)
        .lines()
        .map(|line| match line.split(' ').collect::<Vec<_>>()[..] {
            ["v", x, y, z] => format!("v {} {z} {}\n", negative(y), negative(x)),
            _ => format!("{line}\n"),
        })
        .collect();
    let hull = with(hull(), "/axes", json!({ "forward": "-z", "up": "+y" }));
    let straight = open(&job(), &self::hull(), &rig(), &mesh(1000.0)).unwrap();
    let open_turned = open(&job(), &hull, &rig(), &turned).unwrap();
    let (a, b) = (straight.hull.bounds, open_turned.hull.bounds);
    assert!(
        (a.mins - b.mins).length() < 1e-9 && (a.maxs - b.maxs).length() < 1e-9,
        "{a:?} {b:?}"
    );
    // Turned, not mirrored: the solids still face outward.
    assert!(
        open_turned
            .hull
            .parts
            .iter()
            .all(|part| part.mesh.signed_volume_m3() > 0.0)
    );

    let mut at = self::hull();
    at["origin"] = json!({ "at": [1000.0, 0.0, 500.0] });
    let open = open(&job(), &at, &rig(), &mesh(1000.0)).unwrap();
    assert!((open.hull.bounds.mins.x + 1.0).abs() < 1e-9);
    assert!((open.hull.bounds.mins.z + 0.5).abs() < 1e-9);
}

fn negative(number: &str) -> String {
    number
        .strip_prefix('-')
        .map_or_else(|| format!("-{number}"), str::to_owned)
}

/// It was taken for nought, and the boat for known exactly.
#[test]
fn a_shape_tolerance_below_nought_is_refused_and_says_where() {
    for (off_m, said_as) in [(-1e-9, "-1e-9"), (-1.0, "-1"), (-1e300, "-1e300")] {
        let mut hull = hull();
        hull["shape_tolerance_m"] = json!(off_m);
        let text = said(open(&job(), &hull, &rig(), &mesh(1000.0)));
        let wanted =
            format!("at shape_tolerance_m: found {said_as}, expected a number from 0 to 1");
        assert!(
            text.contains(&wanted) && text.contains("ut that right"),
            "{text}"
        );
    }
}

#[test]
fn a_wrong_unit_is_named_with_the_right_one() {
    let text = said(open(
        &job(),
        &with(hull(), "/unit", json!("metre")),
        &rig(),
        &mesh(1000.0),
    ));
    assert!(
        text.contains("8,000.00 m (26,246 ft 8 5/8 in) long"),
        "{text}"
    );
    assert!(
        text.contains(
            "In millimetres it would be 8.00 m (26 ft 3 in): set \"unit\": \"millimetre\""
        ),
        "{text}"
    );
    let text = said(open(&job(), &hull(), &rig(), &mesh(1.0)));
    assert!(text.contains("set \"unit\": \"metre\""), "{text}");
    let text = said(open(
        &job(),
        &with(hull(), "/unit", json!("metre")),
        &rig(),
        &mesh(1e6 / 8.0),
    ));
    assert!(
        text.contains("1,000,000.00 m (") && text.contains("No unit"),
        "{text}"
    );
}

#[test]
fn documents_are_read_strictly() {
    let check = |text: String, wanted: &[&str]| {
        for piece in wanted {
            assert!(text.contains(piece), "{piece:?} is not in: {text}");
        }
    };
    let opened = |job: &Value, hull: &Value, rig: &Value| said(open(job, hull, rig, &mesh(1000.0)));
    let mut wrong = rig();
    let rails = wrong
        .pointer_mut("/rig/rails")
        .unwrap()
        .as_object_mut()
        .unwrap();
    rails.remove("depth_m");
    rails.insert("depth_mm".into(), json!(300));
    check(
        opened(&job(), &hull(), &wrong),
        &[
            "rigs/low.json",
            "rig.rails",
            "depth_mm",
            "line 1",
            "write \"depth_m\", in metres, not millimetres",
        ],
    );
    let mut wrong = job();
    wrong["load"]["beams"][1]["shims_m"] = json!(0.1);
    check(
        opened(&wrong, &hull(), &rig()),
        &[
            "jobs/a.json",
            "load.beams[1]",
            "shims_m",
            "Perhaps \"shim_m\" is meant",
        ],
    );
    check(
        opened(
            &with(job(), "/load/rail_top_m", json!("0.75 m")),
            &hull(),
            &rig(),
        ),
        &[
            "load.rail_top_m",
            "string \"0.75 m\"",
            "expected a number",
            "without quotation marks",
        ],
    );
    check(
        opened(
            &with(job(), "/load/rail_top_m", json!(750.0)),
            &hull(),
            &rig(),
        ),
        &["jobs/a.json", "load.rail_top_m", "750"],
    );
    check(
        opened(&job(), &with(hull(), "/mass/mass_kg", json!(-5.0)), &rig()),
        &["hulls/dunlin.json", "mass.mass_kg", "-5"],
    );
    check(
        opened(&job(), &with(hull(), "/unit", json!("milimetre")), &rig()),
        &["unit", "milimetre", "Perhaps \"millimetre\" is meant"],
    );
    check(
        opened(&job(), &with(hull(), "/axes/up", json!("-x")), &rig()),
        &["axes", "same axis"],
    );
    check(
        opened(&with(job(), "/version", json!(3)), &hull(), &rig()),
        &["jobs/a.json", "version 3", "up to 1", "update the program"],
    );
    check(
        opened(&with(job(), "/version", json!("1")), &hull(), &rig()),
        &["version", "\"1\""],
    );
    check(
        opened(
            &with(job(), "/hull", json!("../hulls/gone.json")),
            &hull(),
            &rig(),
        ),
        &[
            "hulls/gone.json",
            "no such file",
            "jobs/a.json refers to it",
        ],
    );
    check(
        opened(&with(job(), "/rig", json!("../../x.json")), &hull(), &rig()),
        &["../../x.json", "outside", "jobs/a.json"],
    );
    let mut strict = hull();
    strict["strict_parts"] = json!(true);
    check(
        opened(&job(), &strict, &rig()),
        &["no rule fits the part \"hull\""],
    );
}

#[test]
fn text_that_is_no_document_says_so() {
    let read = |text: &str| {
        document::read::<Job>(text.as_bytes(), "a.json")
            .unwrap_err()
            .to_string()
    };
    assert!(read("").contains("empty"));
    assert!(read("{}").contains("version is missing"));
    assert!(read("{\"version\": 1").contains("cut short"));
    assert!(read("[1]").contains("a.json"));
    assert!(read("hello").contains("a.json"));
    let whole = job().to_string();
    assert!(
        read(&whole.replacen("{", "{\"name\":\"twice\",", 1)).contains("duplicate field `name`")
    );
    assert!(read(&format!("{whole} x")).contains("trailing"));
    let error = document::read::<Job>(b"\xff\xfe{", "a.json")
        .unwrap_err()
        .to_string();
    assert!(
        error.contains("byte 0") && error.contains("not text"),
        "{error}"
    );
    let bom = [b"\xEF\xBB\xBF", whole.as_bytes()].concat();
    document::read::<Job>(&bom, "a.json").unwrap();
}

#[test]
fn opening_reports_how_far_it_is_and_stops_when_asked() {
    struct Watch {
        last: Cell<f64>,
        stop_after: f64,
    }
    impl Progress for Watch {
        fn report(&self, fraction: f64, _: &str) {
            assert!(fraction >= self.last.get() && fraction <= 1.0);
            self.last.set(fraction);
        }
        fn cancelled(&self) -> bool {
            self.last.get() >= self.stop_after
        }
    }
    let source = yard(
        &job().to_string(),
        &hull().to_string(),
        &rig().to_string(),
        &mesh(1000.0),
    );
    let watch = Watch {
        last: Cell::new(0.0),
        stop_after: 2.0,
    };
    open_job(&source, "jobs/a.json", &watch).unwrap();
    assert_eq!(watch.last.get(), 1.0);
    for stop_after in [0.0, 0.05, 0.2, 0.6] {
        let watch = Watch {
            last: Cell::new(0.0),
            stop_after,
        };
        assert_eq!(
            open_job(&source, "jobs/a.json", &watch).unwrap_err(),
            FileError::Cancelled
        );
    }
}

fn a_job() -> Job {
    document::read(job().to_string().as_bytes(), "a.json").unwrap()
}

fn lie() -> impl Strategy<Value = BlockOrientation> {
    prop::sample::select(vec![
        BlockOrientation::Flat,
        BlockOrientation::FlatAlong,
        BlockOrientation::Edge,
        BlockOrientation::EdgeAlong,
        BlockOrientation::End,
    ])
}

proptest! {
    #[test]
    fn a_job_written_reads_back_the_same(
        name in "\\PC{0,12}",
        numbers in prop::array::uniform8(-1e6..1e6_f64),
        stack in prop::collection::vec(("[a-z ]{1,8}", lie()), 0..4),
        height in prop::option::of(0.1..6.0_f64),
        touching in any::<bool>(),
    ) {
        let mut job = a_job();
        job.name = name.clone();
        job.note = name;
        let load = &mut job.load;
        load.stand.x_m = numbers[0];
        load.stand.y_m = numbers[1] * 1e-9;
        load.stand.yaw_rad = numbers[2] / 3.0;
        load.stand.wanted = height.map(|_| keelstead_load::load::TargetAttitude { keel_over_rail_m: numbers[3], trim_rad: numbers[4] });
        load.beams[0].stack = stack
            .into_iter()
            .map(|(block, lie)| PlacedBlock { block, lie })
            .collect();
        load.beams[0].wedge_rad = numbers[5];
        load.pads.push(keelstead_load::load::PadSetting {
            pad: "p".into(),
            elevation_rad: numbers[6],
            reach: if touching { Reach::UntilTouching } else { Reach::SetM(numbers[7]) },
        });
        load.extra_weights.push(keelstead_load::load::ExtraWeight {
            name: "bilge water".into(),
            mass_kg: numbers[7],
            at: keelstead_geometry::math::Point::new(numbers[0], numbers[1], numbers[2]),
        });
        load.required.overall_height_m = height;
        let text = save::job_text(&job, "a.json").unwrap();
        let back: Job = document::read(text.as_bytes(), "a.json").unwrap();
        prop_assert_eq!(back, job);
    }

    #[test]
    fn damaged_documents_never_open_as_something_else(
        at in any::<prop::sample::Index>(),
        byte in any::<u8>(),
        cut in any::<bool>(),
    ) {
        let mut bytes = job().to_string().into_bytes();
        let at = at.index(bytes.len());
        bytes[at] = byte;
        if cut {
            bytes.truncate(at);
        }
        match document::read::<Job>(&bytes, "a.json") {
            Ok(job) => prop_assert_eq!(job.version, 1),
            Err(error) => prop_assert!(error.to_string().starts_with("a.json")),
        }
    }
}
