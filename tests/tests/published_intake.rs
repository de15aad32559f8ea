//! The real boat meshes that lie outside the repository, made sense of: each must come into the hull
//! frame right with no more answers than shared/meshes/README.md gives. Values: its tables.

#![allow(clippy::unwrap_used)]

use keelstead_files::FileError;
use keelstead_files::hull_file::{Axis, LengthUnit};
use keelstead_files::intake::{Answers, Imported, Question, import};
use keelstead_files::mesh_file;

struct Published {
    file: &'static str,
    /// What the page says and the mesh does not tell.
    answers: Answers,
    unit: LengthUnit,
    up: Axis,
    forward: Axis,
    /// Length, beam and height, m.
    size_m: [f64; 3],
    open_edges: usize,
    shared_edges: usize,
}

fn answers(unit: Option<LengthUnit>, up: Option<Axis>, forward: Option<Axis>) -> Answers {
    Answers {
        unit,
        up,
        forward,
        ..Answers::default()
    }
}

fn published() -> [Published; 6] {
    let metre = Some(LengthUnit::Metre);
    let z_up = Some(Axis::PlusZ);
    [
        Published {
            file: "sailing_yacht_cabin_12m.obj",
            answers: answers(metre, z_up, None),
            unit: LengthUnit::Metre,
            up: Axis::PlusZ,
            forward: Axis::PlusX,
            size_m: [11.87, 3.52483, 1.83748],
            open_edges: 192,
            shared_edges: 0,
        },
        Published {
            file: "motorboat_hard_chine_9m_mm.stl",
            answers: Answers::default(),
            unit: LengthUnit::Millimetre,
            up: Axis::PlusZ,
            forward: Axis::PlusX,
            size_m: [9.39525, 2.25, 1.566],
            open_edges: 192,
            shared_edges: 0,
        },
        Published {
            file: "open_launch_nonmanifold_9m.stl",
            answers: answers(metre, z_up, None),
            unit: LengthUnit::Metre,
            up: Axis::PlusZ,
            forward: Axis::MinusY,
            size_m: [9.46136, 4.3725, 2.21592],
            open_edges: 0,
            // 26 with exact welding; four pairs of positions a few micrometres apart are joined here.
            shared_edges: 34,
        },
        Published {
            file: "developable_motorboat.obj",
            answers: answers(metre, Some(Axis::PlusY), None),
            unit: LengthUnit::Metre,
            up: Axis::PlusY,
            forward: Axis::PlusZ,
            size_m: [8.37564, 1.84087, 1.9874],
            open_edges: 0,
            shared_edges: 0,
        },
        Published {
            file: "enclosed_lifeboat_5m.stl",
            // Both ends are alike, and the page does not say which is the bow either.
            answers: answers(None, z_up, Some(Axis::PlusY)),
            unit: LengthUnit::Metre,
            up: Axis::PlusZ,
            forward: Axis::PlusY,
            size_m: [5.46864, 2.03181, 2.2],
            open_edges: 0,
            shared_edges: 0,
        },
        Published {
            file: "research_vessel_36m_offsets.csv",
            answers: Answers::default(),
            unit: LengthUnit::Metre,
            up: Axis::PlusZ,
            forward: Axis::PlusX,
            size_m: [36.25, 2.0 * 4.80513, 7.5],
            open_edges: 0,
            shared_edges: 2,
        },
    ]
}

fn imported(published: &Published, answers: &Answers) -> Option<Result<Imported, FileError>> {
    let path = keelstead_tests::shared("meshes")?.join(published.file);
    let bytes = std::fs::read(path).unwrap();
    let file = mesh_file::read(&bytes, published.file).unwrap();
    Some(import(file, published.file, "Boat", answers))
}

#[test]
fn every_file_comes_in_right() {
    for published in &published() {
        let file = published.file;
        let Some(hull) = imported(published, &published.answers) else {
            return;
        };
        let hull = hull.unwrap();
        let found = &hull.examined;
        assert_eq!(found.unit.value, Some(published.unit), "{file}");
        assert_eq!(found.up.value, Some(published.up), "{file}: {:?}", found.up);
        assert_eq!(
            found.forward.value,
            Some(published.forward),
            "{file}: {:?}",
            found.forward
        );
        assert_eq!(found.half.value, Some(false), "{file}");
        let open: usize = found.sides.holes.iter().map(|hole| hole.edges).sum();
        assert_eq!(open, published.open_edges, "{file}");
        assert_eq!(found.sides.shared_edges, published.shared_edges, "{file}");
        assert_eq!(found.sides.shells.len(), 1, "{file}");
        // The winding of all of them is consistent, and outward.
        assert_eq!(
            (found.sides.turned, found.sides.disagreeing),
            (0, 0),
            "{file}"
        );
        let positions = || hull.parts.iter().flat_map(|part| &part.positions);
        let size = |k: usize| {
            let along = positions().map(|p| p[k]);
            let (lo, hi) = along.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), c| {
                (l.min(c), h.max(c))
            });
            (lo, hi)
        };
        for k in 0..3 {
            let (lo, hi) = size(k);
            // The launch's two sides differ by millimetres; turning her upright moves her ends so.
            let allowed = if file.starts_with("open_launch") {
                0.05
            } else {
                2e-4
            };
            assert!(
                (hi - lo - published.size_m[k]).abs() < allowed,
                "{file}, axis {k}: {lo} to {hi}"
            );
        }
        let (port, starboard) = (size(1).1, -size(1).0);
        assert!(
            (port - starboard).abs() < 0.05,
            "{file}: {port} to port, {starboard} to starboard"
        );
    }
}

#[test]
fn what_a_file_does_not_tell_is_asked_for() {
    for published in &published() {
        let Some(result) = imported(published, &Answers::default()) else {
            return;
        };
        let asked: Vec<Question> = match result {
            Ok(_) => Vec::new(),
            Err(FileError::Ask(ask)) => ask.open.iter().map(|asked| asked.question).collect(),
            Err(other) => panic!("{}: {other}", published.file),
        };
        let answers = &published.answers;
        let wanted: Vec<Question> = [
            (Question::Unit, answers.unit.is_some()),
            (Question::Up, answers.up.is_some()),
            (Question::Forward, answers.forward.is_some()),
        ]
        .into_iter()
        .filter_map(|(question, given)| given.then_some(question))
        .collect();
        assert_eq!(asked, wanted, "{}", published.file);
    }
}
