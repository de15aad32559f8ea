//! What the crew measured after set-down: it narrows where she may be, honestly, and what contradicts it is said.

#![allow(clippy::unwrap_used)]

use keelstead::check::check;
use keelstead::findings::{Finding, Findings};
use keelstead_boat::hull::Hull;
use keelstead_demo_data::FILES;
use keelstead_files::source::Memory;
use keelstead_files::{Silent, open_job};
use keelstead_geometry::math::Point;
use keelstead_load::load::{Level, Load, Measured, Seat};
use keelstead_load::rig::Rig;
use keelstead_units::quantity::Span;
use keelstead_units::verdict::Verdict;

const EASY: &str = "jobs/petrel-easy.json";
/// A job of these tests, among the demo's files.
const THREE: &str = "jobs/petrel-on-three.json";

#[derive(Clone)]
struct Job {
    hull: Hull,
    rig: Rig,
    load: Load,
}

impl Job {
    /// A job in which nothing may be off but the height of each stack, by this much, m.
    fn of_stacks(path: &str, off_m: f64) -> Self {
        let mut job = Self::open(path);
        job.hull.shape_tolerance_m = 0.0;
        job.rig.tolerance_m = 0.0;
        let required = &mut job.load.required;
        required.strength.stack_tolerance_m = off_m;
        required.placing_tolerance_m = 0.0;
        required.heel_tolerance_rad = 0.0;
        required.overall_height_m = Some(9.0);
        job
    }

    fn open(path: &str) -> Self {
        let files = FILES.iter().map(|(p, b)| ((*p).to_owned(), b.to_vec()));
        let three = include_bytes!("../jobs/petrel-on-three.json").to_vec();
        let files = files.chain([(THREE.to_owned(), three)]);
        let open = open_job(&Memory::new(files), path, &Silent).unwrap();
        Self {
            hull: open.hull,
            rig: open.rig,
            load: open.job.load,
        }
    }

    fn check(&self) -> Findings {
        check(&self.hull, &self.rig, &self.load)
    }

    fn with(&self, measured: impl IntoIterator<Item = Measured>) -> Self {
        let mut job = self.clone();
        job.load.measured.extend(measured);
        job
    }

    fn place(&self, name: &str) -> Point {
        let places = self.hull.named_places();
        places.iter().find(|p| p.name == name).unwrap().at
    }

    /// Height of a place over the ground, as she stands in these findings, and this much more.
    fn height(&self, findings: &Findings, at: Point, more_m: f64) -> Measured {
        let stands = findings.trailer_from_hull.pose() * at.vec();
        Measured::Height {
            name: "a place".into(),
            at,
            over: Level::Ground,
            height_m: stands.z + more_m,
            tolerance_m: 0.003,
        }
    }
}

fn ends(job: &Job) -> [Point; 2] {
    [job.place("stem head"), job.place("top of the stern")]
}

fn finding<'f>(findings: &'f Findings, id: &str) -> &'f Finding {
    let ids: Vec<&str> = findings.list.iter().map(|f| f.id.as_str()).collect();
    findings
        .finding(id)
        .unwrap_or_else(|| panic!("no {id} in {ids:?}"))
}

fn figures(finding: &Finding) -> (f64, f64) {
    let value = |q: Option<keelstead_units::quantity::Quantity>| q.map_or(f64::NAN, |q| q.value);
    (value(finding.found), value(finding.tolerance))
}

fn words(finding: &Finding) -> String {
    let spans = finding.says.0.iter().map(|span| match span {
        Span::Words(words) => words.clone(),
        Span::Figure(quantity) => format!("{:.3}", quantity.value),
    });
    spans.collect()
}

/// Gap findings, but those of what moves with the stacks or follows her: beams and blocks, pads and their arms.
fn gaps(findings: &Findings) -> impl Iterator<Item = &Finding> {
    let stays = |f: &Finding| {
        let mut parts = findings.rig_parts.iter();
        let moves = parts.find(|p| {
            let own = p.beam.is_some() || p.pad.is_some();
            own && f.id.ends_with(&format!(":{}", p.name))
        });
        moves.is_none()
    };
    let all = findings.list.iter();
    all.filter(move |f| f.id.starts_with("gap:") && stays(f))
}

#[test]
fn heights_of_bow_and_stern_leave_the_tapes_tolerance_and_move_her() {
    let job = Job::of_stacks(EASY, 0.012);
    let before = job.check();
    let [bow, stern] = ends(&job);
    let measured = [
        job.height(&before, bow, 0.008),
        job.height(&before, stern, -0.006),
    ];
    let after = job.with(measured).check();
    assert!(
        after.measured.iter().all(|m| m.verdict == Verdict::Clear),
        "{:?}",
        after.measured
    );
    for (at, more_m) in [(bow, 0.008), (stern, -0.006)] {
        let stands = |f: &Findings| (f.trailer_from_hull.pose() * at.vec()).z;
        let moved_m = stands(&after) - stands(&before);
        assert!((moved_m - more_m).abs() < 0.003, "{moved_m} for {more_m}");
    }
    let (_, wide_m) = figures(finding(&before, "size:height"));
    let (_, narrow_m) = figures(finding(&after, "size:height"));
    assert!(wide_m > 0.010, "{wide_m}");
    assert!(narrow_m > 0.0 && narrow_m < 0.0065, "{narrow_m}");
    // What her shape may be off stays.
    let mut rough = job.clone();
    rough.hull.shape_tolerance_m = 0.004;
    let before = rough.check();
    let measured = [
        rough.height(&before, bow, 0.0),
        rough.height(&before, stern, 0.0),
    ];
    let (_, rough_m) = figures(finding(&rough.with(measured).check(), "size:height"));
    assert!(rough_m > 0.008 && rough_m < 0.018, "{rough_m}");
}

#[test]
fn over_the_rails_is_the_same_height_less_theirs() {
    let job = Job::of_stacks(EASY, 0.012);
    let before = job.check();
    let [bow, stern] = ends(&job);
    let over_ground = [
        job.height(&before, bow, 0.008),
        job.height(&before, stern, 0.004),
    ];
    let trailer_from_frame =
        keelstead_load::rig_parts::trailer_from_frame(&job.rig, job.load.rail_top_m);
    let over_rail = over_ground.clone().map(|measured| {
        let Measured::Height { at, height_m, .. } = measured else {
            unreachable!()
        };
        let ground = before.trailer_from_hull.pose() * at.vec();
        let point = keelstead_geometry::math::Vec3::new(ground.x, ground.y, height_m);
        Measured::Height {
            name: "a place".into(),
            at,
            over: Level::RailTop,
            height_m: (trailer_from_frame.inverse() * point).z,
            tolerance_m: 0.003,
        }
    });
    let [ground, rail] = [over_ground, over_rail].map(|m| job.with(m).check());
    assert!(rail.measured.iter().all(|m| m.verdict == Verdict::Clear));
    let apart =
        ground.trailer_from_hull.pose().translation - rail.trailer_from_hull.pose().translation;
    assert!(apart.length() < 2e-4, "{apart:?}");
}

/// Marsaglia's xorshift, evenly from `least` to `most`.
fn within(state: &mut u64, least: f64, most: f64) -> f64 {
    *state ^= *state << 13;
    *state ^= *state >> 7;
    *state ^= *state << 17;
    least + (*state >> 11) as f64 / (1_u64 << 53) as f64 * (most - least)
}

/// The stacks of a job are moved within their tolerance. With the heights measured that she then has, the job as it was
/// written promises no gap that the moved one does not keep.
#[test]
fn what_is_clear_with_what_was_measured_is_clear_wherever_she_really_stands() {
    const OFF_M: f64 = 0.010;
    let mut state = 0x9e37_79b9_7f4a_7c15;
    for path in [EASY, THREE] {
        let job = Job::of_stacks(path, OFF_M);
        let [bow, stern] = ends(&job);
        let before = job.check();
        let (mut compared, mut narrowed) = (0, 0);
        for round in 0..12 {
            let mut moved = job.clone();
            for beam in &mut moved.load.beams {
                beam.shim_m = (beam.shim_m + within(&mut state, -OFF_M, OFF_M)).max(0.0);
            }
            let truth = moved.check();
            let mut tape = || within(&mut state, -0.003, 0.003);
            let measured = [
                job.height(&truth, bow, tape()),
                job.height(&truth, stern, tape()),
            ];
            let said = job.with(measured).check();
            assert!(
                said.measured.iter().all(|m| m.verdict == Verdict::Clear),
                "{path} {round}: {:?}",
                said.measured
            );
            for promise in gaps(&said) {
                let (gap_m, off_m) = figures(promise);
                let wide_m = before.finding(&promise.id).map(|f| figures(f).1);
                narrowed += usize::from(wide_m.is_some_and(|wide_m| off_m < 0.8 * wide_m));
                let Some(kept) = truth.finding(&promise.id) else {
                    continue;
                };
                compared += 1;
                let (true_m, _) = figures(kept);
                assert!(
                    true_m >= gap_m - off_m - 2e-4,
                    "{path} {round} {}: {true_m} where {gap_m} ± {off_m} was promised",
                    promise.id
                );
            }
            let (height_m, off_m) = figures(finding(&said, "size:height"));
            let (true_m, _) = figures(finding(&truth, "size:height"));
            assert!(
                (true_m - height_m).abs() <= off_m + 2e-4,
                "{path} {round}: {true_m} {height_m} {off_m}"
            );
        }
        assert!(compared > 100, "{path}: {compared}");
        assert!(narrowed > 50, "{path}: {narrowed}");
    }
}

#[test]
fn a_height_that_cannot_be_narrows_nothing_and_is_foul() {
    let job = Job::of_stacks(EASY, 0.012);
    let before = job.check();
    let [bow, stern] = ends(&job);
    let measured = [
        job.height(&before, stern, 0.0),
        job.height(&before, bow, 0.3),
    ];
    let after = job.with(measured).check();
    assert_eq!(after.verdict, Verdict::Foul);
    let found = finding(&after, "measured:1");
    assert_eq!(found.verdict, Verdict::Foul);
    assert!(
        words(found).contains("past anything that her place allows"),
        "{}",
        words(found)
    );
    assert!(found.advice.is_some());
    assert!(after.finding("measured:0").is_none());
    assert_eq!(after.trailer_from_hull, before.trailer_from_hull);
    let mut told = 0;
    for gap in gaps(&before) {
        assert_eq!(
            figures(finding(&after, &gap.id)),
            figures(gap),
            "{}",
            gap.id
        );
        told += 1;
    }
    assert!(told > 10);
}

#[test]
fn heights_that_cannot_all_be_narrow_nothing() {
    let job = Job::of_stacks(EASY, 0.012);
    let before = job.check();
    let [bow, stern] = ends(&job);
    let middle = Point::new((bow.x_m + stern.x_m) / 2.0, 0.0, bow.z_m);
    // A rigid hull is no banana.
    let measured = [
        job.height(&before, bow, 0.008),
        job.height(&before, stern, 0.008),
        job.height(&before, middle, -0.008),
    ];
    let after = job.with(measured).check();
    let found = finding(&after, "measured:2");
    assert_eq!(found.verdict, Verdict::Foul);
    assert!(
        words(found).contains("with the other heights"),
        "{}",
        words(found)
    );
    assert_eq!(after.trailer_from_hull, before.trailer_from_hull);
    // One point twice.
    let twice = [
        job.height(&before, bow, 0.008),
        job.height(&before, bow, -0.008),
    ];
    let after = job.with(twice).check();
    assert_eq!(finding(&after, "measured:1:twice").verdict, Verdict::Foul);
    assert_eq!(after.trailer_from_hull, before.trailer_from_hull);
    // The same within both tolerances is no contradiction.
    let twice = [
        job.height(&before, bow, 0.002),
        job.height(&before, bow, -0.002),
    ];
    let after = job.with(twice).check();
    assert!(after.list.iter().all(|f| !f.id.starts_with("measured:")));
}

#[test]
fn a_point_that_is_none_of_hers_is_foul() {
    let job = Job::of_stacks(EASY, 0.012);
    let before = job.check();
    let measured = job.height(&before, Point::new(60.0, 0.0, 1.0), 0.0);
    let after = job.with([measured]).check();
    let found = finding(&after, "measured:0");
    assert!(
        words(found).contains("from all that is drawn of her"),
        "{}",
        words(found)
    );
    assert_eq!(
        (found.verdict, after.trailer_from_hull),
        (Verdict::Foul, before.trailer_from_hull)
    );
}

fn measured_gap(id: &str, gap_m: f64) -> Measured {
    let (hull, rig) = id.strip_prefix("gap:").unwrap().split_once(':').unwrap();
    Measured::Gap {
        hull_part: hull.into(),
        rig_part: rig.into(),
        gap_m,
        tolerance_m: 0.004,
    }
}

#[test]
fn a_measured_gap_stands_for_the_computed_one_where_both_may_be_right() {
    let job = Job::of_stacks(EASY, 0.012);
    let before = job.check();
    let mut told = 0;
    for gap in gaps(&before) {
        let probe = job.with([measured_gap(&gap.id, 0.0)]).check();
        let compared = &probe.measured[0];
        let (Some(computed_m), Some(off_m)) = (compared.computed_m, compared.tolerance_m) else {
            panic!("{compared:?}");
        };
        if !(0.03..4.0).contains(&computed_m) || off_m < 0.006 {
            continue;
        }
        // Nought was measured where there is a gap: both cannot be.
        if computed_m > off_m + 0.004 {
            let found = finding(&probe, &gap.id);
            assert_eq!(found.verdict, Verdict::Foul, "{}", gap.id);
            assert!(words(found).contains("both cannot be"), "{}", words(found));
            assert_eq!(
                (compared.verdict, probe.verdict),
                (Verdict::Foul, Verdict::Foul)
            );
        }
        // More than there can be is no better.
        let more = job
            .with([measured_gap(&gap.id, computed_m + off_m + 0.02)])
            .check();
        assert_eq!(finding(&more, &gap.id).verdict, Verdict::Foul, "{}", gap.id);
        let less_m = computed_m - 0.003;
        let after = job.with([measured_gap(&gap.id, less_m)]).check();
        let found = finding(&after, &gap.id);
        let (found_m, found_off_m) = figures(found);
        let (before_m, before_off_m) = figures(gap);
        assert!(
            words(found).contains("was measured at rest"),
            "{}",
            words(found)
        );
        assert_eq!(after.measured[0].verdict, Verdict::Clear);
        // A gap tells of one place: it moves nothing.
        assert_eq!(after.trailer_from_hull, before.trailer_from_hull);
        // On the road it closes by as much as before.
        assert!(
            (before_m - found_m - 0.003).abs() < 1e-9,
            "{}: {found_m} {before_m}",
            gap.id
        );
        let least_m = found_m - found_off_m;
        let was_m = before_m - before_off_m;
        assert!(least_m >= was_m - 0.004, "{}: {least_m} {was_m}", gap.id);
        told += usize::from(found_off_m < before_off_m);
    }
    assert!(told > 3, "{told}");
}

#[test]
fn a_measured_gap_of_a_pair_without_a_finding_gets_one() {
    let job = Job::open(EASY);
    let before = job.check();
    let none: Vec<String> = (job.hull.parts.iter())
        .flat_map(|h| {
            before
                .rig_parts
                .iter()
                .map(move |r| format!("gap:{}:{}", h.name, r.name))
        })
        .filter(|id| before.finding(id).is_none())
        .collect();
    let id = none.iter().find(|id| id.contains(":tyre")).unwrap();
    let probe = job.with([measured_gap(id, 1.0)]).check();
    let computed_m = probe.measured[0].computed_m.unwrap();
    let after = job.with([measured_gap(id, computed_m)]).check();
    let found = finding(&after, id);
    assert_eq!(found.verdict, Verdict::Clear, "{}", words(found));
}

#[test]
fn what_is_of_nothing_that_is_there_is_foul_with_advice() {
    let job = Job::open(EASY);
    let bears = |seat| Measured::Bears { seat, bears: true };
    for (measured, expected) in [
        (
            measured_gap("gap:wings:ground", 0.2),
            "the boat has no part called \"wings\"",
        ),
        (
            measured_gap("gap:keel:wings", 0.2),
            "no part of the trailer is called \"wings\"",
        ),
        (bears(Seat::Pocket(3)), "no beam lies there"),
        (bears(Seat::OnRailsXM(-4.0)), "no beam lies there"),
    ] {
        let findings = job.with([measured]).check();
        let found = finding(&findings, "measured:0");
        assert_eq!(found.verdict, Verdict::Foul);
        assert!(words(found).contains(expected), "{}", words(found));
        assert!(found.advice.is_some());
    }
}

fn loads(findings: &Findings) -> Vec<f64> {
    let carrying = findings.carrying.as_ref().unwrap();
    carrying.supports.iter().map(|s| s.load_n).collect()
}

#[test]
fn a_stack_seen_free_carries_nothing_and_the_others_share() {
    let job = Job::of_stacks(THREE, 0.020);
    let before = job.check();
    let all: f64 = loads(&before).iter().sum();
    // The one between the others: without an outer one she would tip.
    let x = |i: &usize| before.supports[*i].top.x_m;
    let mut order: Vec<usize> = (0..3).collect();
    order.sort_by(|a, b| x(a).total_cmp(&x(b)));
    let middle = order[1];
    let seat = job.load.beams[middle].seat;
    let seen = |bears| job.with([Measured::Bears { seat, bears }]).check();
    let free = seen(false);
    assert_eq!(
        free.measured[0].verdict,
        Verdict::Clear,
        "{:?}",
        free.measured
    );
    let loads = loads(&free);
    assert_eq!(loads[middle], 0.0);
    assert!((loads.iter().sum::<f64>() - all).abs() < 1e-6 * all);
    let found = finding(&free, &format!("support:{middle}"));
    assert_eq!(found.verdict, Verdict::Foul);
    // Her keel does not press into what stands free, however it was drawn.
    let pressed = |f: &&Finding| {
        let overlaps = f.id.starts_with("gap:") && f.verdict == Verdict::Foul;
        overlaps && f.found.is_some_and(|q| q.value < -0.001)
    };
    assert_eq!(
        free.list
            .iter()
            .filter(pressed)
            .map(words)
            .collect::<Vec<_>>(),
        Vec::<String>::new()
    );
    // Seen bearing it is no longer in doubt.
    let share = format!("share:{middle}");
    assert_eq!(finding(&before, &share).verdict, Verdict::Tight);
    assert_eq!(finding(&seen(true), &share).verdict, Verdict::Clear);
    // Both cannot be.
    let both = [true, false].map(|bears| Measured::Bears { seat, bears });
    let both = job.with(both).check();
    assert_eq!(finding(&both, "measured:1:twice").verdict, Verdict::Foul);
}

#[test]
fn a_stack_seen_as_it_cannot_be_is_foul() {
    let mut job = Job::of_stacks(THREE, 0.002);
    let before = job.check();
    let x = |i: &usize| before.supports[*i].top.x_m;
    let mut order: Vec<usize> = (0..3).collect();
    order.sort_by(|a, b| x(a).total_cmp(&x(b)));
    let middle = order[1];
    let seat = job.load.beams[middle].seat;
    let found = |job: &Job, bears| {
        let findings = job.with([Measured::Bears { seat, bears }]).check();
        findings.measured[0].verdict
    };
    job.load.beams[middle].shim_m += 0.08;
    assert_eq!(
        found(&job, false),
        Verdict::Foul,
        "far too high to stand free"
    );
    job.load.beams[middle].shim_m = 0.0;
    job.load.beams[middle].stack.pop();
    assert_eq!(found(&job, true), Verdict::Foul, "far too low to bear");
    assert_eq!(found(&job, false), Verdict::Clear);
}

#[test]
fn figures_out_of_range_stop_the_check_and_say_where() {
    let job = Job::open(EASY);
    let before = job.check();
    let [bow, _] = ends(&job);
    let mut slip = job.height(&before, bow, 0.0);
    if let Measured::Height { tolerance_m, .. } = &mut slip {
        *tolerance_m = 5.0;
    }
    let findings = job.with([slip]).check();
    let found = finding(&findings, "input:load:measured[0].height.tolerance_m");
    assert_eq!(found.verdict, Verdict::Foul);
    assert!(findings.supports.is_empty());
}
