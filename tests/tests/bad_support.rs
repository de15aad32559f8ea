//! Supports, weights and pads that make no sense: a clear finding each, never a figure that is no
//! number, never shares that do not add up.

#![allow(clippy::unwrap_used)]

use keelstead::check::check;
use keelstead::findings::Findings;
use keelstead_demo_data::FILES;
use keelstead_files::source::Memory;
use keelstead_files::{OpenJob, Silent, open_job};
use keelstead_load::load::{BlockOrientation, KeelHold, PlacedBlock, Reach, Seat};
use keelstead_load::material::{Material, Timber};
use keelstead_load::pads::PadState;
use keelstead_load::rig::Rig;
use keelstead_statics::carrying::{LimitState, Member};
use keelstead_units::verdict::Verdict;

/// A job of these tests, among the demo's files.
const THREE: &str = "jobs/petrel-on-three.json";

fn job(path: &str) -> OpenJob {
    let files = FILES
        .iter()
        .map(|(path, bytes)| ((*path).to_owned(), bytes.to_vec()));
    let files = files.chain([(
        THREE.to_owned(),
        include_bytes!("../jobs/petrel-on-three.json").to_vec(),
    )]);
    open_job(&Memory::new(files), path, &Silent).unwrap()
}

/// Petrel on three beams of oak.
fn three() -> OpenJob {
    job(THREE)
}

/// The findings, every figure in them a number and every sum right.
fn checked(job: &OpenJob) -> Findings {
    let findings = check(&job.hull, &job.rig, &job.job.load);
    // What is not a number is equal to nothing, itself included.
    assert!(findings == findings.clone(), "a figure is not a number");
    let text = serde_json::to_string(&findings).unwrap();
    let back: Result<Findings, _> = serde_json::from_str(&text);
    assert!(back.is_ok(), "a figure was written as null");
    if let Some(carrying) = &findings.carrying {
        let shares: f64 = carrying.supports.iter().map(|s| s.share).sum();
        assert!((shares - 1.0).abs() < 1e-9, "shares sum to {shares}");
        assert!(carrying.residual_n.abs() <= 1e-9 * carrying.weight_n);
        for s in &carrying.supports {
            assert!(s.load_n >= 0.0 && s.least_n <= s.load_n && s.load_n <= s.most_n);
        }
    }
    findings
}

fn verdict(findings: &Findings, id: &str) -> Verdict {
    let found = findings.list.iter().find(|f| f.id == id);
    found
        .unwrap_or_else(|| panic!("no finding {id} in {:#?}", ids(findings)))
        .verdict
}

fn ids(findings: &Findings) -> Vec<&str> {
    findings.list.iter().map(|f| f.id.as_str()).collect()
}

fn foul_input(rig: impl FnOnce(&mut Rig), id: &str) {
    let mut job = three();
    rig(&mut job.rig);
    let findings = checked(&job);
    assert_eq!(verdict(&findings, id), Verdict::Foul);
    assert!(findings.carrying.is_none() && findings.steadying.is_none());
}

#[test]
fn the_easy_job_is_clear_and_its_loads_are_known() {
    let findings = checked(&job("jobs/petrel-easy.json"));
    assert_eq!(findings.verdict, Verdict::Clear);
    let carrying = findings.carrying.unwrap();
    assert!(carrying.stiffness_known && carrying.supports.len() == 2);
    assert!(carrying.supports.iter().all(|s| s.least_n > 0.0));
    assert!(carrying.keel.len() > 40);
    // At either end nothing is left of shear and moment.
    let last = carrying.keel.last().unwrap();
    assert!(last.shear_n.abs() < 0.02 * carrying.weight_n);
    let steadying = findings.steadying.unwrap();
    assert_eq!((steadying.pushes.len(), steadying.pads.len()), (8, 6));
    assert_eq!(steadying.pad_weight_share, 0.0);
    assert!(steadying.with_pads_g.unwrap() > steadying.keel_alone_g);
}

#[test]
fn stiffnesses_of_zero_less_or_no_number_are_refused() {
    for bad in [0.0, -1.0e6, f64::NAN] {
        foul_input(
            |rig| rig.rails.seat_stiffness_n_per_m = Some(bad),
            "input:rig:rails.seat_stiffness_n_per_m",
        );
        foul_input(
            |rig| rig.rails.bending_n_m2 = Some(bad),
            "input:rig:rails.bending_n_m2",
        );
        foul_input(
            |rig| rig.pads[2].stiffness_n_per_m = Some(bad),
            "input:rig:pads[2].stiffness_n_per_m",
        );
        foul_input(
            |rig| rig.suspension.roll_stiffness_nm_per_rad = Some(bad),
            "input:rig:suspension.roll_stiffness_nm_per_rad",
        );
    }
    foul_input(
        |rig| rig.beams[1].grade = Some("driftwood".into()),
        "input:rig:beams[1].grade",
    );
}

#[test]
fn a_material_without_values_is_unknown_and_never_clear() {
    let nothing = Timber {
        name: "yard stock".into(),
        source: "nobody knows".into(),
        format: keelstead_load::material::Format::AllowableStress,
        bending_pa: None,
        shear_pa: None,
        across_grain_pa: None,
        along_grain_pa: None,
        modulus_pa: None,
        modulus_across_pa: None,
    };
    type Change = Box<dyn Fn(&mut Rig)>;
    let changes: [Change; 3] = [
        Box::new(move |rig| {
            rig.timbers.push(nothing.clone());
            rig.beams[1].grade = Some("yard stock".into());
        }),
        Box::new(|rig| {
            rig.beams[1].material = Material::Unknown;
            rig.beams[1].grade = None;
        }),
        Box::new(|rig| {
            rig.beams[1].material = Material::Steel;
            rig.beams[1].grade = None;
            rig.beams[1].section = None;
        }),
    ];
    for change in changes {
        let mut job = three();
        change(&mut job.rig);
        assert_eq!(job.rig.beams[1].name, "oak 10 x 9");
        let findings = checked(&job);
        assert_eq!(verdict(&findings, "strength:beam:0"), Verdict::Unknown);
        // Three supports share by stiffness: without it the shares are a guess.
        assert_eq!(verdict(&findings, "share:0"), Verdict::Unknown);
        assert!(!findings.carrying.unwrap().stiffness_known);
        assert_eq!(findings.verdict, Verdict::Unknown);
    }
}

#[test]
fn two_supports_of_unknown_stiffness_still_share_by_statics() {
    let mut job = job("jobs/avocet-high-blocking.json");
    let known = checked(&job).carrying.unwrap();
    let beam = job.rig.beams.iter_mut().find(|b| b.name == "steel 6 x 4");
    beam.unwrap().section = None;
    let findings = checked(&job);
    assert_eq!(verdict(&findings, "share:0"), Verdict::Clear);
    assert_eq!(verdict(&findings, "strength:beam:0"), Verdict::Unknown);
    let loads = findings.carrying.unwrap();
    for (a, b) in known.supports.iter().zip(&loads.supports) {
        assert!((a.load_n - b.load_n).abs() < 1e-6);
    }
}

#[test]
fn blocks_out_of_reach_and_no_beam_at_all_say_so() {
    let mut job = three();
    for (beam, pocket) in job.job.load.beams.iter_mut().zip([1, 2, 3]) {
        beam.seat = Seat::Pocket(pocket);
        beam.stack.clear();
        beam.wedge_rad = 0.0;
    }
    for none in [false, true] {
        if none {
            job.job.load.beams.clear();
        }
        let findings = checked(&job);
        assert_eq!(verdict(&findings, "balance"), Verdict::Foul);
        assert!(findings.carrying.is_none() && findings.steadying.is_none());
    }
}

#[test]
fn one_support_holds_only_what_stands_over_it() {
    let mut job = three();
    job.job.load.beams.remove(0);
    job.job.load.beams.remove(1);
    let findings = checked(&job);
    // The hull tips over the one left; whatever is said of it, it is not clear.
    assert_ne!(verdict(&findings, "balance"), Verdict::Clear);
    if let Some(carrying) = findings.carrying {
        assert!((carrying.supports[0].share - 1.0).abs() < 1e-9);
    }
    // Right under the centre of gravity, and long enough not to rock over, it carries all.
    job.job.load.beams[0].stack[0].lie = BlockOrientation::FlatAlong;
    job.job.load.beams[0].wedge_rad = 0.0;
    let centre = job.hull.centre.unwrap().at.x_m;
    job.job.load.stand.x_m = job.rig.rails.pockets[9].x_m - centre;
    let findings = checked(&job);
    assert_ne!(verdict(&findings, "balance"), Verdict::Clear);
    let carrying = findings.carrying.unwrap();
    assert!((carrying.supports[0].load_n - carrying.weight_n).abs() < 1e-6);
}

#[test]
fn a_pad_behind_the_hull_presses_on_nothing() {
    let mut job = three();
    let pad = job.rig.pads.iter_mut().find(|p| p.name == "pad 4 left");
    pad.unwrap().pivot.x_m = -16.0;
    let findings = checked(&job);
    assert_eq!(verdict(&findings, "pad:pad 4 left"), Verdict::Foul);
    let at = findings.pads.iter().position(|p| p.name == "pad 4 left");
    assert_eq!(findings.pads[at.unwrap()].state, PadState::OutOfReach);
    let steadying = findings.steadying.unwrap();
    assert!(steadying.pads.iter().all(|p| Some(p.pad) != at));
    assert!(
        steadying
            .pushes
            .iter()
            .all(|p| !p.held || p.pads_n[at.unwrap()] == 0.0)
    );
}

#[test]
fn impossible_tolerances_are_never_clear() {
    let mut job = three();
    let centre = job.hull.centre.as_mut().unwrap();
    centre.tolerance.x_m = 50.0;
    centre.tolerance.y_m = 5.0;
    let findings = checked(&job);
    assert_ne!(verdict(&findings, "balance"), Verdict::Clear);
    assert_ne!(verdict(&findings, "share:0"), Verdict::Clear);
    assert_ne!(verdict(&findings, "steady:rest"), Verdict::Clear);
    let carrying = findings.carrying.unwrap();
    // At either end the hull tips: then one support has all of it.
    assert!(carrying.supports[0].aft_n.is_none());
    assert!(carrying.supports[0].most_n >= carrying.weight_n);

    let mut job = three();
    job.hull.mass.as_mut().unwrap().tolerance_kg = 400_000.0;
    let findings = checked(&job);
    assert_ne!(verdict(&findings, "strength:beam:0"), Verdict::Clear);

    let mut job = three();
    job.job.load.required.strength.stack_tolerance_m = -1.0;
    let findings = checked(&job);
    let id = "input:load:required.strength.stack_tolerance_m";
    assert_eq!(verdict(&findings, id), Verdict::Foul);
}

#[test]
fn without_a_weight_or_a_centre_nothing_is_clear() {
    let mut job = three();
    job.hull.mass = None;
    let findings = checked(&job);
    assert_eq!(verdict(&findings, "carry"), Verdict::Unknown);
    assert!(findings.carrying.is_none());

    let mut job = three();
    job.hull.centre = None;
    let findings = checked(&job);
    assert_ne!(findings.verdict, Verdict::Clear);
    if findings.carrying.is_some() {
        assert_ne!(verdict(&findings, "share:0"), Verdict::Clear);
        assert_ne!(verdict(&findings, "steady:rest"), Verdict::Clear);
    }
}

#[test]
fn a_hand_built_stack_over_three_times_its_base_is_foul() {
    let mut job = three();
    let block = |name: &str| PlacedBlock {
        block: name.into(),
        lie: BlockOrientation::Edge,
    };
    // Six planks on edge: 0.05 m of base under 0.20 m each.
    let stack = &mut job.job.load.beams[0];
    stack.stack = vec![block("oak 2 x 8"); 1];
    let findings = checked(&job);
    assert_eq!(verdict(&findings, "strength:stack:0"), Verdict::Foul);
    let used = findings.carrying.unwrap().supports[0]
        .governing(Member::Stack)
        .copied()
        .unwrap();
    assert_eq!(used.check, LimitState::StackHeight);
    // By hand: 0.20 m of plank and 0.044 m of shims over 3 x 0.05 m.
    assert!((used.ratio.unwrap() - 0.244 / 0.15).abs() < 1e-9);
}

#[test]
fn a_stack_beyond_the_rails_is_bad_input() {
    let mut job = three();
    job.job.load.beams[1].stack_y_m = 1.2;
    job.job.load.stand.y_m = 1.2;
    let findings = checked(&job);
    assert_eq!(verdict(&findings, "input:beam:1:stack"), Verdict::Foul);
    assert!(findings.carrying.is_none());
}

#[test]
fn weight_beside_the_keel_leans_on_the_pads_and_that_is_said() {
    let mut job = three();
    job.hull.centre.as_mut().unwrap().at.y_m = 0.2;
    let findings = checked(&job);
    assert_eq!(verdict(&findings, "steady:rest"), Verdict::Foul);
    let steadying = findings.steadying.unwrap();
    assert!(
        steadying.rests && steadying.pad_weight_share > 0.02,
        "{steadying:?}"
    );
    // Those on the side it leans to press at rest, the others do not.
    for load in &steadying.pads {
        let left = findings.pads[load.pad].name.ends_with("left");
        assert!(left || load.rest_n == 0.0, "{load:?}");
    }
    assert_eq!(steadying.keel_alone_g, 0.0);
}

#[test]
fn a_pad_set_into_the_hull_carries_a_share_nobody_can_tell() {
    let mut job = three();
    let easy = checked(&job);
    let pad = job.job.load.pads[0].pad.clone();
    let reach = easy.pads.iter().find(|p| p.name == pad).unwrap().reach_m;
    job.job.load.pads[0].reach = Reach::SetM(reach + 0.05);
    let findings = checked(&job);
    assert_eq!(verdict(&findings, "steady:rest"), Verdict::Foul);
}

#[test]
fn a_keel_held_by_nothing_leaves_all_to_the_pads() {
    let mut job = three();
    let force = |job: &OpenJob| {
        let findings = checked(job);
        let steadying = findings.steadying.unwrap();
        let held = steadying.pushes.iter().all(|p| p.held);
        let most = steadying.pads.iter().map(|p| p.most_n).fold(0.0, f64::max);
        (held, most)
    };
    let (held, chocked) = force(&job);
    assert!(held);
    job.job.load.required.steadying.keel_hold = KeelHold::Nothing;
    let (held, loose) = force(&job);
    assert!(!held || loose > chocked);
}

#[test]
fn without_pads_the_keel_alone_is_not_enough() {
    let mut job = three();
    job.job.load.pads.clear();
    let findings = checked(&job);
    assert_eq!(verdict(&findings, "steady:hold"), Verdict::Foul);
    let steadying = findings.steadying.unwrap();
    assert!(steadying.pads.is_empty() && steadying.with_pads_g.is_none());
    assert!(steadying.keel_alone_g < 0.1 && steadying.rests);
}

#[test]
fn extra_weight_moves_the_loads_its_way() {
    let mut job = three();
    let before = checked(&job).carrying.unwrap();
    let mut at = job.hull.centre.unwrap().at;
    at.x_m += 2.0;
    job.job.load.extra_weights = vec![keelstead_load::load::ExtraWeight {
        name: "bilge water".into(),
        mass_kg: 400.0,
        at,
    }];
    let after = checked(&job).carrying.unwrap();
    let gained = after.weight_n - before.weight_n;
    assert!((gained - 400.0 * 9.806_65).abs() < 1e-6);
    // The foremost gains more than the added weight's share; the dry loads are those of before.
    let foremost = after.supports.len() - 1;
    assert!(after.supports[foremost].load_n > before.supports[foremost].load_n);
    for (a, b) in after.supports.iter().zip(&before.supports) {
        assert!((a.without_extra_n.unwrap() - b.load_n).abs() < 0.02 * before.weight_n);
    }
}

#[test]
fn wherever_the_hull_is_put_no_figure_is_nonsense() {
    let jobs = FILES.iter().map(|(path, _)| *path);
    for path in jobs.filter(|path| path.starts_with("jobs/")) {
        let mut job = job(path);
        let start = job.job.load.stand;
        let shims = job.job.load.beams[0].shim_m;
        for step in 0..24 {
            let off = f64::from(step) - 12.0;
            let load = &mut job.job.load;
            load.stand.x_m = start.x_m + 0.23 * off;
            load.stand.y_m = 0.004 * off;
            load.stand.heel_rad = 0.002 * off;
            load.beams[0].shim_m = (shims + 0.003 * off).max(0.0);
            let findings = checked(&job);
            if let Some(steadying) = findings.steadying {
                assert!(steadying.pads.iter().all(|p| p.most_n.is_finite()));
                assert!((0.0..=1.0 + 1e-9).contains(&steadying.pad_weight_share));
            }
        }
    }
}

/// A tolerance larger than the thing it is of is a slip, and says where.
#[test]
fn a_tolerance_larger_than_the_thing_is_refused() {
    use keelstead_boat::hull::{Hull, HullFacts};
    use keelstead_geometry::math::Point;

    let job = job("jobs/petrel-easy.json");
    let load_problem = |change: &dyn Fn(&mut keelstead_load::load::Required)| {
        let mut load = job.job.load.clone();
        change(&mut load.required);
        let problems = load.validate().err().unwrap_or_default();
        problems.iter().map(ToString::to_string).collect::<Vec<_>>()
    };
    assert_eq!(load_problem(&|_| ()), Vec::<String>::new());
    assert_eq!(
        load_problem(&|r| r.placing_tolerance_m = 0.6),
        ["required.placing_tolerance_m: found 0.6, expected a number from 0 to 0.5"]
    );
    assert_eq!(
        load_problem(&|r| r.contact_m = 0.2),
        ["required.contact_m: found 0.2, expected a number from 0 to 0.05"]
    );
    assert!(load_problem(&|r| r.placing_tolerance_m = f64::NAN).len() == 1);

    let mut rig = job.rig.clone();
    rig.tolerance_m = rig.rails.depth_m + 0.01;
    let problems = rig.validate().unwrap_err();
    assert!(
        problems.iter().any(|p| p.path == "tolerance_m"),
        "{problems:?}"
    );

    let hull = |change: &dyn Fn(&mut HullFacts)| {
        let mut facts = HullFacts {
            mass: job.hull.mass,
            centre: job.hull.centre,
            shape_tolerance_m: job.hull.shape_tolerance_m,
            ..HullFacts::default()
        };
        change(&mut facts);
        Hull::new("boat", job.hull.parts.clone(), facts)
            .map(|_| ())
            .map_err(|e| e.to_string())
    };
    assert_eq!(hull(&|_| ()), Ok(()));
    let mass_kg = job.hull.mass.unwrap().mass_kg;
    let refused = |change: &dyn Fn(&mut HullFacts), path: &str| {
        let error = hull(change).unwrap_err();
        assert!(error.starts_with(path), "{error}");
    };
    refused(
        &|f| f.mass.as_mut().unwrap().tolerance_kg = mass_kg + 1.0,
        "mass.tolerance_kg: found",
    );
    refused(
        &|f| f.shape_tolerance_m = 1.5,
        "shape_tolerance_m: found 1.5",
    );
    for (x_m, y_m, z_m, path) in [
        (30.0, 0.0, 0.0, "centre.tolerance.x_m: found 30"),
        (0.0, 6.0, 0.0, "centre.tolerance.y_m: found 6"),
        (0.0, 0.0, 20.0, "centre.tolerance.z_m: found 20"),
        (f64::NAN, 0.0, 0.0, "centre.tolerance.x_m: found NaN"),
    ] {
        refused(
            &|f| f.centre.as_mut().unwrap().tolerance = Point::new(x_m, y_m, z_m),
            path,
        );
    }
}

#[test]
fn a_stack_that_may_be_off_by_all_its_height_is_foul() {
    let mut job = job("jobs/petrel-easy.json");
    job.job.load.required.strength.stack_tolerance_m = 0.09;
    let findings = check(&job.hull, &job.rig, &job.job.load);
    // 2 inches of oak and 30 mm of shims on the first; 8 inches on the other.
    assert_eq!(
        verdict(&findings, "input:beam:0:stack-tolerance"),
        Verdict::Foul
    );
    assert!(!ids(&findings).contains(&"input:beam:1:stack-tolerance"));
}
