//! Work that takes its time: what comes of it, and that it arrives whole from a worker.

#![allow(clippy::unwrap_used)]

use keelstead::check::check;
use keelstead_files::given::Given;
use keelstead_files::intake::Question;
use keelstead_files::kept::Place;
use keelstead_files::{FileError, Progress, Silent};
use keelstead_workbench::action::Request;
use keelstead_workbench::intake::Draft;
use keelstead_workbench::session::Session;
use keelstead_workbench::task::{Files, Outcome, Task, carry_out};

const DEMO: &[(&str, &[u8])] = keelstead_demo_data::FILES;

fn demo_job() -> &'static str {
    let names = DEMO.iter().map(|(name, _)| *name);
    let mut jobs = names.filter(|name| name.starts_with("jobs/"));
    jobs.next().unwrap()
}

/// What comes of a task that went to a worker and back.
fn in_a_worker(task: &Task) -> Result<Outcome, FileError> {
    let there = rmp_serde::to_vec_named(task).unwrap();
    let task = rmp_serde::from_slice(&there).unwrap();
    let back = rmp_serde::to_vec_named(&carry_out(task, DEMO, &Silent)).unwrap();
    rmp_serde::from_slice::<Result<Outcome, FileError>>(&back).unwrap()
}

#[test]
fn every_demo_job_arrives_whole_from_a_worker() {
    for (path, _) in DEMO.iter().filter(|(name, _)| name.starts_with("jobs/")) {
        let task = Task::Open(Files::Embedded((*path).to_owned()));
        let Ok(Outcome::Job(here, found_here)) = carry_out(task.clone(), DEMO, &Silent) else {
            panic!("{path} is no job");
        };
        let Ok(Outcome::Job(there, found_there)) = in_a_worker(&task) else {
            panic!("{path} did not arrive");
        };
        assert_eq!(there.path, here.path);
        assert_eq!(there.job, here.job);
        assert_eq!(there.rig, here.rig);
        assert_eq!(there.files, here.files);
        assert_eq!(there.notices, here.notices);
        let findings = |job: &keelstead_files::OpenJob| check(&job.hull, &job.rig, &job.job.load);
        assert_eq!(findings(&there), findings(&here), "{path}");
        assert_eq!(
            *found_here,
            findings(&here),
            "{path}: the first check is the engine's"
        );
        assert_eq!(found_there, found_here, "{path}");
    }
}

#[test]
fn an_error_says_the_same_in_a_worker() {
    let given = |name: &str, bytes: &[u8]| Files::Given(vec![Given::new(name, bytes)]);
    for files in [
        given("a.json", b"{ \"version\": 1, "),
        given("a.json", br#"{"version": 99, "rig": "", "load": {}}"#),
        given(
            "a.stl",
            b"solid x\nfacet normal 0 0 1\nouter loop\nvertex 1 2 z\n",
        ),
        given("a.obj", b"v 0 0 0\nf 1 2 3\n"),
        given("a.xyz", b"\x00\x01"),
        given("h.json", br#"{"version": 1, "mesh": "../../m.stl"}"#),
        Files::Embedded("jobs/none.json".into()),
        Files::Given(Vec::new()),
    ] {
        let task = Task::Open(files);
        let here = carry_out(task.clone(), DEMO, &Silent).unwrap_err();
        let there = in_a_worker(&task).unwrap_err();
        assert_eq!(there, here);
        assert_eq!(there.to_string(), here.to_string());
    }
}

#[test]
fn a_job_handed_over_finds_the_demos_files() {
    let bytes = DEMO.iter().find(|(name, _)| *name == demo_job()).unwrap().1;
    // Beside something that only ever stands beside a mesh, and comes first.
    let files = vec![
        Given::new("a.mtl", b"x".as_slice()),
        Given::new("mine.json", bytes),
    ];
    let task = Task::Open(Files::Given(files));
    assert_eq!(task.name(), "mine.json");
    let outcome = in_a_worker(&task);
    let Ok(Outcome::Job(job, _)) = outcome else {
        panic!("{outcome:?}");
    };
    assert_eq!(job.path, "mine.json");
}

/// The demo's mesh stood in for one that a person's hull names and nobody handed over.
#[test]
fn a_hull_of_ones_own_never_stands_with_the_demos_mesh() {
    let of_demo = |name: &str| DEMO.iter().find(|(path, _)| *path == name).unwrap().1;
    let hull = || Given::new("myboat.json", of_demo("hulls/petrel.json"));
    let open = |files: Vec<Given>| in_a_worker(&Task::Open(Files::Given(files)));
    let error = open(vec![hull()]).unwrap_err();
    let FileError::Missing { path, referred_by } = &error else {
        panic!("{error:?}");
    };
    assert_eq!(path, "petrel.glb");
    assert_eq!(referred_by.as_deref(), Some("myboat.json"));
    let mesh = Given::new("petrel.glb", of_demo("hulls/petrel.glb"));
    let both = open(vec![hull(), mesh.clone()]);
    assert!(matches!(both, Ok(Outcome::Hull(..))), "{both:?}");

    // Nor where a job from a demo brings a hull along, even under the demo's own name, or a job called as its hull.
    let job = DEMO.iter().find(|(path, _)| path.contains("petrel-easy"));
    let job = |name: &str| Given::new(name, job.unwrap().1);
    let own = Given::new("petrel.json", of_demo("hulls/petrel.json"));
    let error = open(vec![job("mine.json"), own.clone()]).unwrap_err();
    assert!(error.to_string().contains("petrel.glb"), "{error}");
    for files in [vec![job("mine.json"), own, mesh], vec![job("petrel.json")]] {
        let opened = open(files);
        assert!(matches!(opened, Ok(Outcome::Job(..))), "{opened:?}");
    }
}

#[test]
fn a_missing_mesh_is_told_with_the_advice_to_drop_both() {
    let bytes = DEMO.iter().find(|(path, _)| *path == "hulls/petrel.json");
    let files = Files::Given(vec![Given::new("myboat.json", bytes.unwrap().1)]);
    let mut session = Session::empty();
    for request in session.handed_over(files) {
        let Request::Carry(task) = request else {
            continue;
        };
        session.finished("myboat.json", carry_out(*task, DEMO, &Silent));
    }
    let text = &session.messages().last().unwrap().text;
    let text = keelstead_units::sentence(text, keelstead_units::Units::Metric);
    assert!(
        text.contains("petrel.glb: no such file (myboat.json"),
        "{text}"
    );
    assert!(text.contains("drop both together"), "{text}");
}

/// A box of a boat, 9 m long, as OBJ.
fn boat() -> Given {
    let mut obj = String::from("o hull\n");
    for i in 0..8 {
        let pick = |bit: usize, low: f64, high: f64| if i & bit == 0 { low } else { high };
        let (x, y, z) = (pick(1, 0.0, 9.0), pick(2, -1.4, 1.4), pick(4, 0.0, 1.7));
        obj += &format!("v {x} {y} {z}\n");
    }
    obj += "f 1 3 4 2\nf 5 6 8 7\nf 1 2 6 5\nf 3 7 8 4\nf 1 5 7 3\nf 2 4 8 6\n";
    Given::new("shearwater.obj", obj.into_bytes())
}

#[test]
fn a_mesh_is_stood_up_with_answers() {
    let files = Files::Given(vec![boat()]);
    let mut draft = Draft {
        name: "Shearwater".into(),
        ..Draft::default()
    };
    let stand = |draft: &Draft| {
        let task = Task::Stand {
            files: files.clone(),
            draft: Box::new(draft.clone()),
        };
        match in_a_worker(&task) {
            Ok(Outcome::Stood(stood)) => stood,
            other => panic!("not stood: {other:?}"),
        }
    };
    let stood = stand(&draft);
    // A box has no bow; it stands to be looked at, and the question comes with it.
    assert_eq!(stood.examined.as_ref().unwrap().forward.value, None);
    let asked: Vec<Question> = stood.open.iter().map(|asked| asked.question).collect();
    assert!(asked.contains(&Question::Forward), "{asked:?}");
    for asked in &stood.open {
        assert!(
            !asked.because.is_empty() && asked.choices.len() > 1,
            "{asked:?}"
        );
    }
    draft.answers.unit = Some(keelstead_files::hull_file::LengthUnit::Metre);
    draft.answers.up = Some(keelstead_files::hull_file::Axis::PlusZ);
    draft.answers.forward = Some(keelstead_files::hull_file::Axis::PlusX);
    let arrived = stand(&draft);
    assert_eq!(arrived.open, []);
    let hull = &arrived.opened.hull;
    assert_eq!(hull.name, "Shearwater");
    assert!((hull.bounds.extents().x - 9.0).abs() < 1e-6);
    let made = |file: &keelstead_files::kept::KeptFile| matches!(file.place, Place::Made(_));
    assert!(
        arrived.opened.files.iter().all(made),
        "nobody has its files yet"
    );
}

#[test]
fn what_is_stopped_leaves_the_open_job() {
    struct Impatient;
    impl Progress for Impatient {
        fn report(&self, _: f64, _: &str) {}
        fn cancelled(&self) -> bool {
            true
        }
    }
    let task = Task::Open(Files::Embedded(demo_job().into()));
    let mut session = Session::empty();
    session.finished("demo", carry_out(task, DEMO, &Silent));
    let before = session.job().cloned();
    let stopped = carry_out(Task::Open(Files::Given(vec![boat()])), DEMO, &Impatient);
    assert_eq!(stopped.as_ref().unwrap_err(), &FileError::Cancelled);
    session.loading("shearwater.obj", Some(0.4), "mesh");
    session.finished("shearwater.obj", stopped);
    assert!(session.loading_now().is_none());
    assert_eq!(session.job().cloned(), before);
}
