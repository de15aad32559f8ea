//! The command line as a script meets it: what it prints, and how it exits.

#![allow(clippy::unwrap_used)]

use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use keelstead_files::source::Memory;
use serde_json::{Value, json};
use xtask::{place, test};

fn keelstead(arguments: &[&str]) -> Output {
    let program = test::built("keelstead").unwrap();
    Command::new(program).args(arguments).output().unwrap()
}

fn status(output: &Output) -> i32 {
    output.status.code().unwrap()
}

fn printed(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn told(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

fn demo() -> PathBuf {
    place::root().join("demo-data")
}

/// A copy of the demo yard, to be spoilt.
struct Yard(tempfile::TempDir);

impl Yard {
    fn new() -> Self {
        let yard = Self(tempfile::tempdir().unwrap());
        for folder in ["jobs", "hulls", "rigs"] {
            std::fs::create_dir(yard.0.path().join(folder)).unwrap();
            for file in std::fs::read_dir(demo().join(folder)).unwrap() {
                let file = file.unwrap();
                let copy = yard.0.path().join(folder).join(file.file_name());
                std::fs::copy(file.path(), copy).unwrap();
            }
        }
        yard
    }

    fn path(&self, file: &str) -> PathBuf {
        self.0.path().join(file)
    }

    fn edit(&self, file: &str, change: impl FnOnce(&mut Value)) {
        let text = std::fs::read_to_string(self.path(file)).unwrap();
        let mut document: Value = serde_json::from_str(&text).unwrap();
        change(&mut document);
        std::fs::write(self.path(file), document.to_string()).unwrap();
    }

    fn check(&self, job: &str) -> Output {
        keelstead(&["check", self.path(job).to_str().unwrap()])
    }
}

const EASY: &str = "jobs/petrel-easy.json";

#[test]
fn the_exit_status_says_how_the_demo_jobs_stand() {
    for (job, expected) in [
        ("petrel-easy", 0),
        ("avocet-high-blocking", 0),
        ("avocet-foul-mudguard", 1),
        ("eider-too-high", 1),
        ("gannet-pad-out-of-reach", 1),
        ("petrel-idle-block", 1),
    ] {
        let path = demo().join(format!("jobs/{job}.json"));
        let output = keelstead(&["check", path.to_str().unwrap()]);
        assert_eq!(
            status(&output),
            expected,
            "{job}: {}{}",
            printed(&output),
            told(&output)
        );
        assert_eq!(told(&output), "", "{job}");
    }
}

#[test]
fn what_is_not_known_is_not_clear() {
    let yard = Yard::new();
    yard.edit("hulls/petrel.json", |hull| {
        hull["mass"] = Value::Null;
        hull["centre"] = Value::Null;
    });
    let output = yard.check(EASY);
    assert_eq!(status(&output), 2, "{}", printed(&output));
    assert!(
        printed(&output).contains("? UNKNOWN"),
        "{}",
        printed(&output)
    );
}

#[test]
fn a_job_that_contradicts_its_rig_is_bad_input() {
    let yard = Yard::new();
    yard.edit(EASY, |job| {
        job["load"]["beams"][0]["seat"] = json!({ "pocket": 99 })
    });
    let output = yard.check(EASY);
    assert_eq!(status(&output), 3, "{}", printed(&output));
    assert!(printed(&output).contains("99"), "{}", printed(&output));
}

#[test]
fn each_bad_file_has_its_own_message() {
    let yard = Yard::new();
    let refused = |file: &str, wanted: &[&str]| {
        let output = yard.check(file);
        let text = told(&output);
        assert_eq!(status(&output), 3, "{file}: {text}");
        assert_eq!(printed(&output), "", "{file}");
        for piece in wanted {
            assert!(text.contains(piece), "{file}: {piece:?} is not in: {text}");
        }
    };
    refused("jobs/gone.json", &["gone.json", "no such file"]);
    let spoil = |name: &str, change: &dyn Fn(&mut Value)| {
        let file = format!("jobs/{name}.json");
        std::fs::copy(yard.path(EASY), yard.path(&file)).unwrap();
        yard.edit(&file, change);
        file
    };
    refused(
        &spoil("newer", &|job| job["version"] = json!(7)),
        &["version 7", "update the program"],
    );
    refused(
        &spoil("lost", &|job| job["hull"] = json!("../hulls/gone.json")),
        &["hulls/gone.json", "lost.json"],
    );
    refused(
        &spoil("typo", &|job| job["load"]["rail_top_mm"] = json!(1)),
        &["rail_top_mm", "metres"],
    );
    std::fs::write(yard.path("jobs/cut.json"), "{\"version\": 1,").unwrap();
    refused("jobs/cut.json", &["cut.json", "cut short"]);

    yard.edit("hulls/petrel.json", |hull| {
        hull["unit"] = json!("millimetre")
    });
    refused(EASY, &["unit looks wrong", "set \"unit\": \"metre\""]);
    yard.edit("hulls/petrel.json", |hull| {
        hull["unit"] = json!("metre");
        hull["mass"]["mass_kg"] = json!(-1);
    });
    refused(EASY, &["mass.mass_kg", "-1"]);
    let mesh = yard.path("hulls/petrel.glb");
    let bytes = std::fs::read(&mesh).unwrap();
    std::fs::write(&mesh, &bytes[..bytes.len() / 2]).unwrap();
    refused(EASY, &["petrel.glb", "cut short"]);
    std::fs::write(&mesh, b"").unwrap();
    refused(EASY, &["petrel.glb", "empty"]);
}

#[test]
fn a_message_names_a_file_so_that_it_is_found_from_here() {
    let yard = Yard::new();
    std::fs::write(yard.path("hulls/petrel.glb"), "glTF").unwrap();
    let elsewhere = told(&yard.check(EASY));
    let whole = yard.path("hulls/petrel.glb").canonicalize().unwrap();
    assert!(elsewhere.contains(whole.to_str().unwrap()), "{elsewhere}");
    let program = test::built("keelstead").unwrap();
    let inside = Command::new(program)
        .current_dir(yard.path("hulls"))
        .args(["hull", "inspect", "petrel.glb"])
        .output()
        .unwrap();
    let inside = told(&inside);
    assert!(inside.starts_with("error: petrel.glb"), "{inside}");
}

#[test]
fn a_demo_job_saved_to_another_folder_is_checked_alike() {
    let files = keelstead_demo_data::FILES.iter();
    let source = Memory::new(files.map(|(name, bytes)| ((*name).to_owned(), bytes.to_vec())));
    let folder = tempfile::tempdir().unwrap();
    for job in ["jobs/petrel-easy.json", "jobs/avocet-foul-mudguard.json"] {
        let open = keelstead_files::open_job(&source, job, &keelstead_files::Silent).unwrap();
        let path = folder.path().join("mine.json");
        keelstead_files::save::save_job(&path, &open.job, &open.files).unwrap();
        let json = |path: &Path| printed(&keelstead(&["check", "--json", path.to_str().unwrap()]));
        assert_eq!(json(&path), json(&demo().join(job)));
    }
}

#[test]
fn json_holds_every_finding_worst_first() {
    let path = demo().join("jobs/avocet-foul-mudguard.json");
    let output = keelstead(&["check", path.to_str().unwrap(), "--json"]);
    assert_eq!(status(&output), 1);
    let checked: Value = serde_json::from_str(&printed(&output)).unwrap();
    let findings = &checked["findings"];
    assert_eq!(findings["verdict"], "foul");
    let rank = |finding: &Value| {
        let verdict = finding["verdict"].as_str().unwrap();
        ["foul", "unknown", "tight", "clear"]
            .iter()
            .position(|&word| word == verdict)
            .unwrap()
    };
    let ranks: Vec<usize> = findings["list"]
        .as_array()
        .unwrap()
        .iter()
        .map(rank)
        .collect();
    assert!(ranks.len() > 10 && ranks.is_sorted(), "{ranks:?}");
}

#[test]
fn the_report_says_what_carries_and_what_to_add() {
    let path = demo().join("jobs/petrel-idle-block.json");
    let text = printed(&keelstead(&["check", path.to_str().unwrap()]));
    for piece in [
        "What carries the boat",
        "How hard it is used",
        "Do: add 19 mm at the beam in pocket 10: it then carries",
        "What pads must hold",
        "rolls over at",
    ] {
        assert!(text.contains(piece), "{piece:?} is not in: {text}");
    }
    let json = printed(&keelstead(&["check", path.to_str().unwrap(), "--json"]));
    let checked: Value = serde_json::from_str(&json).unwrap();
    let supports = &checked["findings"]["carrying"]["supports"];
    let shares = supports.as_array().unwrap().iter();
    let sum: f64 = shares.map(|s| s["share"].as_f64().unwrap()).sum();
    assert!((sum - 1.0).abs() < 1e-9, "{sum}");
    assert!(supports[0]["uses"][0]["ratio"].as_f64().unwrap() > 0.0);
    let pads = &checked["findings"]["steadying"]["pads"];
    assert!(pads[0]["force"]["z_n"].as_f64().unwrap() > 0.0);
}

#[test]
fn the_report_fits_a_plain_terminal() {
    for job in std::fs::read_dir(demo().join("jobs")).unwrap() {
        let job = job.unwrap().path();
        for units in ["metric", "imperial"] {
            let output = keelstead(&["check", job.to_str().unwrap(), "--all", "--units", units]);
            let text = printed(&output);
            let widest = text.lines().map(|line| line.chars().count()).max().unwrap();
            assert!(widest <= 80, "{}: {widest}", job.display());
            assert!(!text.contains('\u{1b}'), "no colour where no terminal is");
            assert!(text.contains("Never go under a boat"), "{text}");
            assert_eq!(text.contains(" mm"), units == "metric", "{text}");
        }
    }
}

#[test]
fn inspect_tells_what_is_in_a_mesh() {
    let path = demo().join("hulls/petrel.glb");
    let output = keelstead(&["hull", "inspect", path.to_str().unwrap(), "--json"]);
    assert_eq!(status(&output), 0, "{}", told(&output));
    let contents: Value = serde_json::from_str(&printed(&output)).unwrap();
    assert_eq!(contents["format"], "GLB");
    let body = contents["parts"]
        .as_array()
        .unwrap()
        .iter()
        .find(|part| part["name"] == "body");
    assert_eq!(body.unwrap()["closed"], true);

    let folder = tempfile::tempdir().unwrap();
    let junk = folder.path().join("junk.stl");
    std::fs::write(&junk, [0_u8; 90]).unwrap();
    let output = keelstead(&["hull", "inspect", junk.to_str().unwrap()]);
    assert_eq!(status(&output), 3);
    assert!(told(&output).contains("junk.stl"), "{}", told(&output));
}

#[test]
fn a_hull_is_weighed_by_what_is_told_and_by_what_its_file_holds() {
    let yard = Yard::new();
    let hull = yard.path("hulls/gannet.json");
    let hull = hull.to_str().unwrap();
    let weigh = |more: &[&str]| keelstead(&[&["hull", "weigh", hull], more].concat());
    let plain = weigh(&[]);
    assert_eq!(status(&plain), 0, "{}", told(&plain));
    assert!(
        printed(&plain).contains("4,800 kg (10,582 lb)"),
        "{}",
        printed(&plain)
    );
    let marks = [
        "--waterline",
        "aft=1.95m@-2m,fore=6ft 4 3/4in@3m",
        "--water",
        "salt",
    ];
    let output = weigh(&[&marks[..], &["--json"]].concat());
    assert_eq!(status(&output), 0, "{}{}", printed(&output), told(&output));
    let found: Value = serde_json::from_str(&printed(&output)).unwrap();
    let mass = &found["weighed"]["mass"];
    assert_eq!(mass[0], "waterline", "measured goes before assumed: {mass}");
    let mass_kg = mass[1]["mass_kg"].as_f64().unwrap();
    assert!(
        (mass_kg / 4_800.0 - 1.0).abs() < 0.05,
        "drawn to 1.95 m: {mass_kg}"
    );
    let overlap = found["weighed"]["afloat"]["overlap_m3"].as_f64().unwrap();
    assert!(
        overlap > 0.01,
        "fin and bulb reach into each other: {overlap}"
    );
    let scales = [
        "--scales",
        "aft=3,300kg@0m,fore=2400kg@1.5m",
        "--scale-tolerance",
        "20kg",
    ];
    let output = weigh(&[&marks[..], &scales].concat());
    assert_eq!(
        status(&output),
        2,
        "5700 kg is too much: {}",
        printed(&output)
    );
    assert!(
        printed(&output).contains("DISAGREE"),
        "{}",
        printed(&output)
    );
    for (wrong, piece) in [
        (&["--waterline", "aft=1.95m,fore=1.95m"][..], "--water"),
        (&["--waterline", "aft=1.95m", "--water", "salt"], "fore="),
        (&["--water", "salt"], "--waterline"),
        (&["--water", "muddy"], "salt, fresh"),
        (
            &["--waterline", "aft=9m,fore=1m", "--water", "salt"],
            "waterline.aft.z_m",
        ),
        (&["--scales", "aft=9kg@1m,fore=1kg@2m"], "--scale-tolerance"),
    ] {
        let output = weigh(wrong);
        assert_eq!(status(&output), 3, "{wrong:?}");
        assert!(
            told(&output).contains(piece),
            "{wrong:?}: {}",
            told(&output)
        );
    }
    yard.edit("hulls/gannet.json", |hull| {
        hull["weighing"] = json!({ "typical": { "kind": "fin-keel", "waterline_m": 9.45 } });
        hull["mass"] = Value::Null;
        hull["lifting_marks"] = json!([{ "name": "SLING aft", "x_m": -1.0 }]);
    });
    let output = keelstead(&["hull", "inspect", hull, "--units", "imperial"]);
    assert_eq!(status(&output), 0, "{}", told(&output));
    for piece in [
        "common practice",
        " lb ",
        "Keel",
        "keel",
        "saildrive inlet",
        "Sling: SLING aft",
    ] {
        assert!(
            printed(&output)
                .to_lowercase()
                .contains(&piece.to_lowercase()),
            "{piece}: {}",
            printed(&output)
        );
    }
}

#[test]
fn help_schema_and_slips_of_the_keyboard() {
    for arguments in [
        &["--help"][..],
        &["check", "--help"],
        &["hull", "inspect", "--help"],
        &["hull", "weigh", "--help"],
        &["schema", "--help"],
    ] {
        let output = keelstead(arguments);
        assert_eq!(status(&output), 0, "{arguments:?}");
        assert!(
            printed(&output).contains("Examples:"),
            "{arguments:?}: {}",
            printed(&output)
        );
    }
    for document in ["job", "rig", "hull"] {
        let output = keelstead(&["schema", document]);
        assert_eq!(status(&output), 0);
        let published = place::root().join(format!("crates/files/schema/{document}.json"));
        assert_eq!(
            printed(&output),
            std::fs::read_to_string(published).unwrap()
        );
    }
    for arguments in [
        &["chekc"][..],
        &["check"],
        &["check", "a.json", "--units", "cubits"],
    ] {
        assert_eq!(status(&keelstead(arguments)), 3, "{arguments:?}");
    }
}

#[test]
fn a_reader_who_has_seen_enough_is_no_error() {
    let path: &Path = &demo().join(EASY);
    let mut child = Command::new(test::built("keelstead").unwrap())
        .args(["check", path.to_str().unwrap(), "--json"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert_eq!(told(&output), "");
    assert_eq!(status(&output), 0);
}

#[test]
fn a_mesh_is_inspected_imported_and_exported() {
    let yard = Yard::new();
    let path = |name: &str| yard.path(name).to_str().unwrap().to_owned();
    let (mesh, out) = (path("hulls/gannet.glb"), path("hulls/mine.json"));
    let inspected = keelstead(&["hull", "inspect", &mesh]);
    assert_eq!(status(&inspected), 0, "{}", told(&inspected));
    for piece in [
        "Unit: metre",
        "Bow: +z",
        "Half a hull: no",
        "Part \"rudder\": rudder",
    ] {
        assert!(
            printed(&inspected).contains(piece),
            "{}",
            printed(&inspected)
        );
    }
    let import = |more: &[&str]| {
        let arguments = [&["hull", "import", &mesh, "-o", &out], more].concat();
        keelstead(&arguments)
    };
    let refused = import(&["--up", "+x", "--forward", "-x"]);
    assert_eq!(status(&refused), 3);
    assert!(told(&refused).contains("same axis"), "{}", told(&refused));
    let refused = import(&["--up", "upwards"]);
    assert_eq!(status(&refused), 3);
    assert!(told(&refused).contains("+x, -x"), "{}", told(&refused));
    assert!(!Path::new(&out).exists());

    let refused = import(&["--part", "sail=left-out"]);
    assert_eq!(status(&refused), 3);
    assert!(told(&refused).contains("deck-gear"), "{}", told(&refused));

    // The demo's boats say how they lie: nothing is asked.
    let imported = import(&["--scale-length", "9.5m", "--part", "deck-gear=height-only"]);
    assert_eq!(status(&imported), 0, "{}", told(&imported));
    assert!(
        printed(&imported).contains("scaled to 9.50 m over all"),
        "{}",
        printed(&imported)
    );
    assert!(
        printed(&imported).contains("kept for height"),
        "{}",
        printed(&imported)
    );
    let again = import(&[]);
    assert_eq!(status(&again), 3, "nothing is written over");
    let stl = path("mine.stl");
    let exported = keelstead(&["hull", "export", &out, "-o", &stl]);
    assert_eq!(status(&exported), 0, "{}", told(&exported));
    let inspected = keelstead(&["hull", "inspect", &stl, "--json"]);
    let contents: Value = serde_json::from_str(&printed(&inspected)).unwrap();
    let at = |end: &str| contents[end][0].as_f64().unwrap();
    // Her body is as long as was told; her rudder reaches 40 mm farther.
    assert!((at("max") - at("min") - 9.54).abs() < 0.005);
    assert_eq!(contents["proposed"]["forward"]["value"], "+x");
    // What is exported comes back without a question.
    let back = keelstead(&[
        "hull",
        "import",
        &stl,
        "--json",
        "-o",
        &path("hulls/back.json"),
    ]);
    assert_eq!(status(&back), 0, "{}", told(&back));
    let made: Value = serde_json::from_str(&printed(&back)).unwrap();
    assert_eq!(
        made["found"]["up"]["because"],
        json!(["the file states it"])
    );
    // The hull is ready for a job.
    yard.edit(EASY, |job| job["hull"] = json!("../hulls/mine.json"));
    assert_ne!(status(&yard.check(EASY)), 3, "{}", told(&yard.check(EASY)));
    let exported = keelstead(&["hull", "export", &out, "-o", &path("mine.doc")]);
    assert_eq!(status(&exported), 3);
}

/// The metric figures in a text: "12.5 mm", "3 m", "40 kg".
fn metric_figures(text: &str) -> Vec<String> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let bare = |word: &str| {
        word.trim_matches(|c: char| !c.is_ascii_alphanumeric())
            .to_owned()
    };
    let is_figure = |word: &str| word.starts_with(|c: char| c.is_ascii_digit());
    words
        .windows(2)
        .filter(|pair| is_figure(&bare(pair[0])))
        .filter(|pair| matches!(bare(pair[1]).as_str(), "mm" | "cm" | "m" | "kg" | "kN"))
        .map(|pair| pair.join(" "))
        .collect()
}

/// A shell in millimetres, open on top, its transom a hair from the sides: it has a unit to find, a slit to tell of, and
/// an opening to close.
fn launch() -> String {
    let mut obj = String::from("o launch\n");
    let corners = [
        [0.0, -1100.0, 900.0],
        [0.0, -800.0, 0.0],
        [0.0, 800.0, 0.0],
        [0.0, 1100.0, 900.0],
        [6500.0, -1100.0, 900.0],
        [6500.0, -800.0, 0.0],
        [6500.0, 800.0, 0.0],
        [6500.0, 1100.0, 900.0],
        [9000.0, 0.0, 1200.0],
        [8000.0, 0.0, 0.0],
        [-3.0, -1100.0, 900.0],
        [-3.0, -800.0, 0.0],
        [-3.0, 800.0, 0.0],
        [-3.0, 1100.0, 900.0],
    ];
    for [x, y, z] in corners {
        obj += &format!("v {x} {y} {z}\n");
    }
    for face in [
        "1 2 6 5",
        "2 3 7 6",
        "3 4 8 7",
        "5 6 10 9",
        "6 7 10",
        "7 8 9 10",
        "11 14 13 12",
    ] {
        obj += &format!("f {face}\n");
    }
    obj
}

#[test]
fn what_is_said_of_a_mesh_is_in_the_units_asked_for() {
    let yard = Yard::new();
    let path = |name: &str| yard.path(name).to_str().unwrap().to_owned();
    let (mesh, out) = (path("hulls/launch.obj"), path("hulls/launch.json"));
    std::fs::write(&mesh, launch()).unwrap();
    let run = |command: &str, more: &[&str]| {
        let output = keelstead(&[&["hull", command, &mesh], more].concat());
        (status(&output), printed(&output) + &told(&output))
    };
    let answers = [
        "--up",
        "+z",
        "--forward",
        "+x",
        "--scale-length",
        "9.2m",
        "--close-deck",
        "--join-slits",
        "5mm",
        "--whole",
    ];
    for (units, figures) in [("metric", true), ("imperial", false)] {
        let has = |text: &str| {
            assert_eq!(!metric_figures(text).is_empty(), figures, "{units}: {text}");
        };
        // What it refuses: no boat is that many feet long.
        let wrong = [
            &answers[..4],
            &["--unit", "foot", "--units", units, "-o", &out],
        ]
        .concat();
        let (code, asked) = run("import", &wrong);
        assert_eq!(code, 3, "{asked}");
        has(&asked);
        let (code, inspected) = run("inspect", &["--units", units]);
        assert_eq!(code, 0, "{inspected}");
        has(&inspected);
        let more = [&answers[..], &["--units", units, "-o", &out]].concat();
        let (code, imported) = run("import", &more);
        assert_eq!(code, 0, "{imported}");
        has(&imported);
        assert!(
            imported.contains("An opening") && imported.contains("Scaled by"),
            "{imported}"
        );
        assert!(imported.contains("slit"), "{imported}");
        let described = keelstead(&["hull", "inspect", &out, "--units", units]);
        has(&printed(&described));
        std::fs::remove_file(&out).unwrap();
        std::fs::remove_file(path("hulls/launch.glb")).unwrap();
    }
    // As data the figures stay figures.
    let (_, json) = run("inspect", &["--json"]);
    let found: Value = serde_json::from_str(&json).unwrap();
    let because = found["proposed"]["unit"]["because"].as_array().unwrap();
    let figure = because.iter().find(|span| span.is_object()).unwrap();
    assert_eq!(figure["unit"], "length");
    assert!((figure["value"].as_f64().unwrap() - 9.0).abs() < 1e-6);
}

#[test]
fn a_question_names_the_option_that_answers_it() {
    let yard = Yard::new();
    let mesh = yard.path("hulls/box.obj");
    let mut obj = String::new();
    for i in 0..8 {
        let pick = |bit: usize, to: f64| if i & bit == 0 { 0.0 } else { to };
        obj += &format!("v {} {} {}\n", pick(1, 9.0), pick(2, 2.8), pick(4, 1.7));
    }
    obj += "f 1 3 4 2\nf 5 6 8 7\nf 1 2 6 5\nf 3 7 8 4\nf 1 5 7 3\nf 2 4 8 6\n";
    std::fs::write(&mesh, obj).unwrap();
    let (mesh, out) = (mesh.to_str().unwrap(), yard.path("hulls/box.json"));
    let output = keelstead(&["hull", "import", mesh, "-o", out.to_str().unwrap()]);
    assert_eq!(status(&output), 3);
    let text = told(&output);
    for piece in [
        "box.obj",
        "metre or foot",
        "--unit",
        "--scale-length",
        "--up",
        "--forward",
    ] {
        assert!(text.contains(piece), "{piece:?} is not in: {text}");
    }
}

#[test]
fn a_hull_goes_on_the_shelf_is_listed_and_comes_off() {
    let folder = tempfile::tempdir().unwrap();
    let on = |arguments: &[&str]| {
        let mut program = Command::new(test::built("keelstead").unwrap());
        program.env("KEELSTEAD_SHELF", folder.path().join("shelf"));
        program.arg("shelf").args(arguments).output().unwrap()
    };
    assert!(printed(&on(&["list"])).contains("No hull on the shelf"));
    let hull = demo().join("hulls/gannet.json");
    let hull = hull.to_str().unwrap();
    let added = on(&["add", hull]);
    assert_eq!(status(&added), 0, "{}", told(&added));
    let list: Value = serde_json::from_slice(&on(&["list", "--json"]).stdout).unwrap();
    let id = list[0]["id"].as_str().unwrap();
    let imperial = printed(&on(&["list", "--units", "imperial"]));
    assert!(
        imperial.contains(id) && imperial.contains("ft"),
        "{imperial}"
    );

    // What stands on the shelf is a hull like any other.
    let path = printed(&on(&["path", id]));
    let out = folder.path().join("out.stl");
    let exported = keelstead(&["hull", "export", path.trim(), "-o", out.to_str().unwrap()]);
    assert_eq!(status(&exported), 0, "{}", told(&exported));
    assert!(out.is_file());

    let again = on(&["add", hull]);
    assert_eq!(status(&again), 3);
    assert!(told(&again).contains("--replace"), "{}", told(&again));
    assert_eq!(status(&on(&["add", hull, "--replace"])), 0);
    assert_eq!(status(&on(&["remove", id])), 0);
    let gone = on(&["remove", id]);
    assert_eq!(status(&gone), 3);
    assert!(told(&gone).contains(id), "{}", told(&gone));
}

#[test]
fn a_hull_is_made_of_measures_and_checked() {
    let yard = Yard::new();
    let measures = yard.path("hulls/wren.measures.json");
    let hull = yard.path("hulls/wren.json");
    let arguments = [
        "hull",
        "measure",
        measures.to_str().unwrap(),
        "--family",
        "full-keel",
        "--length",
        "30ft 10in",
        "--beam",
        "2.9m",
        "--draft",
        "1.5m",
        "--height-bow",
        "2.8m",
        "--height-middle",
        "2.4m",
        "--height-stern",
        "2.52m",
        "--keel-start",
        "1.3m",
        "--keel-length",
        "3.5m",
        "--displacement",
        "5.2t",
        "--half-breadth",
        "4m:1.5m:1.4m",
        "-o",
        hull.to_str().unwrap(),
    ];
    let output = keelstead(&arguments);
    assert_eq!(status(&output), 0, "{}", told(&output));
    let said = printed(&output);
    for word in [
        "length over all",
        "9.40 m",
        "Shape tolerance",
        "Measure next",
        "5,200 kg",
    ] {
        assert!(said.contains(word), "{word} is not in {said}");
    }
    // A second time nothing is written over.
    let output = keelstead(&arguments);
    assert_eq!(status(&output), 3);
    assert!(told(&output).contains("wren.measures.json"));

    let output = keelstead(&["hull", "measure", measures.to_str().unwrap(), "--json"]);
    let concluded: Value = serde_json::from_str(&printed(&output)).unwrap();
    assert!((concluded["measures"][0]["asked"].as_f64().unwrap() - 9.398).abs() < 0.001);
    let tolerance = concluded["tolerance_m"].as_f64().unwrap();

    // The tolerance follows into the verdicts: what was clear by less is tight.
    yard.edit("jobs/petrel-easy.json", |job| {
        job["hull"] = json!("../hulls/wren.json")
    });
    let job = yard.path("jobs/petrel-easy.json");
    let output = keelstead(&["check", job.to_str().unwrap(), "--json"]);
    let findings: Value = serde_json::from_str(&printed(&output)).unwrap();
    assert_ne!(status(&output), 0);
    assert!(tolerance > 0.1, "{tolerance}");
    assert!(findings.to_string().contains("\"tight\""));

    let output = keelstead(&["hull", "measure", "--families"]);
    assert!(printed(&output).contains("skeg-workboat") && printed(&output).contains("forefoot"));
    let output = keelstead(&["hull", "measure", "--family", "skiff", "--length", "5m"]);
    assert_eq!(status(&output), 3);
    assert!(told(&output).contains("--beam"));
}

/// What is told beside a document was once left out without a word.
#[test]
fn measures_beside_a_document_are_added_to_it() {
    let yard = Yard::new();
    let path = |name: &str| yard.path(name).to_str().unwrap().to_owned();
    let kept = path("hulls/tern.measures.json");
    let measure = |more: &[&str]| keelstead(&[&["hull", "measure"], more].concat());
    let first = [
        &kept,
        "--family",
        "full-keel",
        "--length",
        "9.4m",
        "--beam",
        "2.9m",
        "--draft",
        "1.5m",
        "--girth",
        "4m:2.8m",
    ];
    let output = measure(&first);
    assert_eq!(status(&output), 0, "{}", told(&output));
    let before = std::fs::read(&kept).unwrap();

    // A measure that cannot be, with what the document says.
    let output = measure(&[&kept, "--draft", "9m"]);
    assert_eq!(status(&output), 3);
    assert!(
        told(&output).contains("measures.draft_m"),
        "{}",
        told(&output)
    );
    let output = measure(&[&path("hulls/none.measures.json"), "--draft", "1m"]);
    assert_eq!(status(&output), 3);
    assert!(
        told(&output).contains("no such document"),
        "{}",
        told(&output)
    );

    let more = [
        &kept,
        "--draft",
        "1.4m",
        "--girth",
        "5m:2.8m",
        "--highest",
        "3.2m",
        "--beyond-bow",
        "0.4m",
        "--nothing-under",
    ];
    let output = measure(&more);
    assert_eq!(status(&output), 0, "{}", told(&output));
    let said = printed(&output);
    for word in [
        "1.40 m",
        "girth at 5.00 m",
        "reaches 3.20 m",
        "Not written: ",
    ] {
        assert!(said.contains(word), "{word} is not in {said}");
    }
    // Written to a document of its own, which a second time is not written over.
    let hull = path("hulls/tern.json");
    let output = measure(&[&more[..], &["-o", &hull]].concat());
    assert_eq!(
        status(&output),
        3,
        "the document read has the name of the one to write"
    );
    assert!(!Path::new(&hull).exists());
    let hull = path("hulls/tern-2.json");
    let output = measure(&[&more[..], &["-o", &hull]].concat());
    assert_eq!(status(&output), 0, "{}", told(&output));
    let text = std::fs::read_to_string(path("hulls/tern-2.measures.json")).unwrap();
    let written: Value = serde_json::from_str(&text).unwrap();
    let measures = &written["measures"];
    assert_eq!(
        (&measures["draft_m"], &measures["beam_m"]),
        (&json!(1.4), &json!(2.9))
    );
    assert_eq!(measures["girths"].as_array().unwrap().len(), 2);
    assert_eq!(measures["nothing_under"], true);
    let described: Value = serde_json::from_str(&std::fs::read_to_string(&hull).unwrap()).unwrap();
    assert_eq!(described["mesh"], "tern-2.measures.json");
    assert_eq!(std::fs::read(&kept).unwrap(), before);

    // Less than nothing is a figure, not an option.
    for option in ["--stem-rake", "--stern-rake", "--keel-start"] {
        let output = measure(&[&kept, option, "-0.05m"]);
        assert_eq!(status(&output), 0, "{option}: {}", told(&output));
    }
}

/// A hull was once written that every other command then refused.
#[test]
fn a_hull_that_is_too_open_is_not_written() {
    let yard = Yard::new();
    let path = |name: &str| yard.path(name).to_str().unwrap().to_owned();
    let (kept, hull) = (path("hulls/big.measures.json"), path("hulls/big.json"));
    let output = keelstead(&[
        "hull",
        "measure",
        &kept,
        "--family",
        "full-keel",
        "--length",
        "16m",
        "--beam",
        "4.5m",
        "-o",
        &hull,
    ]);
    assert_eq!(status(&output), 3, "{}", printed(&output));
    for word in ["measure next the ", "expected 1.00 m at most"] {
        assert!(told(&output).contains(word), "{}", told(&output));
    }
    assert!(!Path::new(&hull).exists() && !Path::new(&kept).exists());
}

#[test]
fn an_export_says_what_the_mesh_does_not_carry() {
    let yard = Yard::new();
    let path = |name: &str| yard.path(name).to_str().unwrap().to_owned();
    let (kept, hull) = (path("hulls/tern.measures.json"), path("hulls/tern.json"));
    let output = keelstead(&[
        "hull",
        "measure",
        &kept,
        "--family",
        "full-keel",
        "--length",
        "9.4m",
        "--beam",
        "2.9m",
        "--draft",
        "1.5m",
        "-o",
        &hull,
    ]);
    assert_eq!(status(&output), 0, "{}", told(&output));
    let output = keelstead(&["hull", "measure", &kept, "--json"]);
    let concluded: Value = serde_json::from_str(&printed(&output)).unwrap();
    let tolerance_mm = (concluded["tolerance_m"].as_f64().unwrap() * 1e3).ceil();
    let said = printed(&keelstead(&[
        "hull",
        "export",
        &hull,
        "-o",
        &path("tern.stl"),
    ]));
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    for word in [
        format!("\"shape_tolerance_m\": {:.3}", tolerance_mm / 1e3),
        "carries no tolerance".into(),
        "Keep the measures document".into(),
    ] {
        assert!(said.contains(&word), "{word} is not in {said}");
    }
    // A mesh of which nobody said more has nothing to lose.
    let petrel = path("hulls/petrel.json");
    let said = printed(&keelstead(&[
        "hull",
        "export",
        &petrel,
        "-o",
        &path("petrel.stl"),
    ]));
    assert!(!said.contains("Note"), "{said}");
}

/// A demo yard and the command about what was measured, on the easy job.
fn set_down(yard: &Yard, arguments: &[&str]) -> Output {
    let path = yard.path(EASY);
    let mut all = vec!["set-down", path.to_str().unwrap()];
    all.extend(arguments);
    keelstead(&all)
}

fn job_in(yard: &Yard) -> Value {
    serde_json::from_str(&std::fs::read_to_string(yard.path(EASY)).unwrap()).unwrap()
}

#[test]
fn what_is_measured_is_entered_listed_and_taken_back() {
    let yard = Yard::new();
    let before = job_in(&yard);
    let listed = set_down(&yard, &[]);
    assert_eq!(status(&listed), 0, "{}", told(&listed));
    assert!(
        printed(&listed).contains("Nothing was measured"),
        "{}",
        printed(&listed)
    );
    assert!(printed(&listed).contains("stem head"));
    assert!(printed(&listed).contains("pocket 8"));
    assert_eq!(job_in(&yard), before, "listing writes nothing");

    for arguments in [
        &[
            "height",
            "pulpit",
            "--at",
            "9.1,0,2.4",
            "--over",
            "rail-top",
            "--is",
            "2.35m",
        ][..],
        &["gap", "keel", "ground", "--is", "0.6m", "--within", "8mm"],
        &["bears", "pocket 8", "no"],
        &["bears", "pocket 8", "yes"],
    ] {
        let done = set_down(&yard, arguments);
        assert_eq!(status(&done), 0, "{arguments:?}: {}", told(&done));
    }
    let after = job_in(&yard);
    assert_eq!(
        after["load"]["measured"],
        json!([
            {"height": {"name": "pulpit", "at": {"x_m": 9.1, "y_m": 0.0, "z_m": 2.4}, "over": "rail-top",
                        "height_m": 2.35, "tolerance_m": 0.005}},
            {"gap": {"hull_part": "keel", "rig_part": "ground", "gap_m": 0.6, "tolerance_m": 0.008}},
            {"bears": {"seat": {"pocket": 8}, "bears": true}},
        ])
    );
    for key in ["name", "hull", "rig", "note", "version"] {
        assert_eq!(after[key], before[key], "{key}");
    }
    for key in ["stand", "pads", "rail_top_m"] {
        assert_eq!(after["load"][key], before["load"][key], "{key}");
    }
    let text = printed(&set_down(&yard, &[]));
    for part in [
        "Measured after set-down",
        "height of pulpit",
        "gap of keel",
        "seen bearing",
    ] {
        assert!(text.contains(part), "{part}: {text}");
    }
    let checked = yard.check(EASY);
    assert!(
        printed(&checked).contains("Measured after set-down"),
        "{}",
        printed(&checked)
    );
    let imperial = printed(&set_down(&yard, &["--units", "imperial"]));
    assert!(imperial.contains(" ft "), "{imperial}");

    assert_eq!(status(&set_down(&yard, &["forget", "2"])), 0);
    assert_eq!(
        job_in(&yard)["load"]["measured"].as_array().unwrap().len(),
        2
    );
    assert_eq!(status(&set_down(&yard, &["forget", "all"])), 0);
    assert_eq!(job_in(&yard)["load"]["measured"], json!([]));
}

/// A named place needs no figures; what it computes there it takes as fitting.
#[test]
fn a_named_place_is_found_and_what_fits_is_told_from_what_cannot_be() {
    let yard = Yard::new();
    let path = yard.path(EASY);
    let findings = keelstead(&["check", path.to_str().unwrap(), "--json"]);
    assert_eq!(status(&findings), 0);
    let done = set_down(&yard, &["height", "stem head", "--is", "20m"]);
    assert_eq!(status(&done), 0);
    assert!(printed(&done).contains("contradicts"), "{}", printed(&done));
    assert!(
        printed(&done).contains("Do: measure again"),
        "{}",
        printed(&done)
    );
    // A job that contradicts itself.
    assert_eq!(status(&yard.check(EASY)), 3);
    let text = printed(&done);
    let mut words = text.split_whitespace().skip_while(|word| *word != "out");
    assert!(words.next().is_some(), "{text}");
}

#[test]
fn a_slip_in_what_is_measured_says_what_to_do_and_leaves_the_job_as_it_was() {
    let yard = Yard::new();
    assert_eq!(status(&set_down(&yard, &["bears", "pocket 8", "yes"])), 0);
    let before = std::fs::read(yard.path(EASY)).unwrap();
    for (arguments, expected) in [
        (
            &["height", "figurehead", "--is", "2m"][..],
            "no place called \"figurehead\", expected one of: stem head",
        ),
        (
            &["height", "stem head", "--is", "two"],
            "--is: \"two\" is neither a number nor a unit",
        ),
        (
            &["height", "stem head", "--is", "3.42"],
            "--is: \"3.42\" of what?",
        ),
        (
            &["height", "stem head", "--is", "2m", "--within", "1m"],
            "tolerance_m: found 1, expected a number from 0 to 0.2",
        ),
        (
            &["height", "x", "--at", "1,2", "--is", "2m"],
            "--at: found \"1,2\", expected three lengths",
        ),
        (
            &["height", "x", "--at", "nan,0,0", "--is", "2m"],
            "height.at.x_m: found NaN",
        ),
        (
            &["gap", "wings", "ground", "--is", "1m"],
            "the boat has no part called \"wings\", expected one of: ",
        ),
        (
            &["gap", "keel", "wings", "--is", "1m"],
            "the trailer has no part called \"wings\", expected one of: ",
        ),
        (
            &["gap", "keel", "ground", "--is", "-1m"],
            "gap.gap_m: found -1, expected a number from 0 to 5",
        ),
        (
            &["bears", "pocket 3", "yes"],
            "no beam lies at \"pocket 3\", expected one of: pocket 12, pocket 8",
        ),
        (&["bears", "amidships", "yes"], "expected where a beam lies"),
        (
            &["forget", "2"],
            "found \"2\", expected a number from 1 to 1, or all",
        ),
        (&["forget", "0"], "expected a number from 1 to 1"),
    ] {
        let output = set_down(&yard, arguments);
        assert_eq!(status(&output), 3, "{arguments:?}");
        let told = told(&output);
        assert!(told.contains(expected), "{arguments:?}: {told}");
        assert!(told.contains("petrel-easy.json"), "{told}");
        assert_eq!(
            std::fs::read(yard.path(EASY)).unwrap(),
            before,
            "{arguments:?}"
        );
    }
    // A job that cannot be read is left alone too.
    std::fs::write(yard.path(EASY), "{").unwrap();
    assert_eq!(status(&set_down(&yard, &["forget", "all"])), 3);
    assert_eq!(std::fs::read(yard.path(EASY)).unwrap(), b"{");
}
