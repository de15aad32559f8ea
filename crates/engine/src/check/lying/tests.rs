use std::sync::Arc;

use super::*;
use crate::check::check;
use keelstead_boat::hull::{CentreOfGravity, Hull, HullFacts, HullPart, Mass, PartKind, PartUse};
use keelstead_geometry::math::Point;
use keelstead_geometry::solids::cuboid;
use keelstead_load::load::{BlockOrientation, HullPosition, PlacedBlock, Required};

fn rig() -> Rig {
    let file: serde_json::Value = serde_json::from_str(include_str!(
        "../../../../../demo-data/rigs/long-trailer.json"
    ))
    .unwrap();
    serde_json::from_value(file["rig"].clone()).unwrap()
}

fn beam(name: &str, seat: Seat, stack: &[(&str, BlockOrientation)]) -> PlacedBeam {
    let block = |(name, lie): &(&str, BlockOrientation)| PlacedBlock {
        block: (*name).into(),
        lie: *lie,
    };
    PlacedBeam {
        beam: name.into(),
        seat,
        stack: stack.iter().map(block).collect(),
        stack_y_m: 0.0,
        shim_m: 0.0,
        wedge_rad: 0.0,
        wanted_share: None,
        soft_packing_n_per_m: None,
    }
}

fn load(beams: Vec<PlacedBeam>) -> Load {
    Load {
        stand: HullPosition {
            x_m: -8.515,
            y_m: 0.0,
            yaw_rad: 0.0,
            heel_rad: 0.0,
            wanted: None,
        },
        beams,
        pads: Vec::new(),
        rail_top_m: 0.75,
        extra_weights: Vec::new(),
        measured: Vec::new(),
        required: Required::default(),
    }
}

/// Short ids of what one beam of the load says, with verdicts.
fn said(rig: &Rig, placed: PlacedBeam) -> Vec<(String, Verdict)> {
    let list = contradictions(rig, &load(vec![placed]));
    let short = |f: &Finding| {
        (
            f.id.trim_start_matches("input:beam:0:").to_owned(),
            f.verdict,
        )
    };
    list.iter().map(short).collect()
}

fn nothing() -> Vec<(String, Verdict)> {
    Vec::new()
}

fn one(key: &str, verdict: Verdict) -> Vec<(String, Verdict)> {
    vec![(key.into(), verdict)]
}

#[test]
fn a_block_lies_on_half_of_itself_at_least() {
    let rig = rig();
    let on = |name: &str, stack: &[(&str, BlockOrientation)]| {
        said(&rig, beam(name, Seat::Pocket(5), stack))
    };
    // 0.2 m on a beam of 0.15 m; 0.6 m along on it is a quarter.
    assert_eq!(
        on("steel 6 x 8", &[("oak 6 x 8", BlockOrientation::Flat)]),
        nothing()
    );
    assert_eq!(
        on("steel 6 x 8", &[("oak 6 x 8", BlockOrientation::FlatAlong)]),
        one("air:0", Verdict::Foul)
    );
    // Across, 0.6 m on a block that stands on edge along, 0.15 m wide.
    let across = [
        ("oak 6 x 8", BlockOrientation::EdgeAlong),
        ("oak 4 x 8", BlockOrientation::Flat),
    ];
    let found = on("oak 10 x 9", &across);
    assert!(
        found.contains(&("air:1".into(), Verdict::Foul)),
        "{found:?}"
    );
    // Half of it beyond the beam's end at 1.05 m is just borne; a little more is not.
    let mut aside = beam(
        "oak 10 x 9",
        Seat::OnRailsXM(-5.6),
        &[("oak 6 x 8", BlockOrientation::Flat)],
    );
    aside.stack_y_m = 1.05;
    assert_eq!(said(&rig, aside.clone()), nothing());
    aside.stack_y_m = 1.06;
    assert_eq!(said(&rig, aside), one("air:0", Verdict::Foul));
}

#[test]
fn a_beam_lies_on_the_rails_with_all_its_width() {
    // Rails from -12.8 to -1.9 m; a beam of 0.2 m.
    let at = |x_m: f64| said(&rig(), beam("oak 8 x 8", Seat::OnRailsXM(x_m), &[]));
    assert_eq!(at(-2.1), nothing());
    assert_eq!(at(-2.003), one("end", Verdict::Tight));
    assert_eq!(at(-1.95), one("end", Verdict::Foul));
    assert_eq!(at(-12.75), one("end", Verdict::Foul));
}

#[test]
fn a_beam_that_fits_by_less_than_the_tolerance_is_tight() {
    let mut rig = rig();
    let placed = || beam("oak 8 x 8", Seat::Pocket(5), &[]);
    assert_eq!(said(&rig, placed()), nothing());
    rig.rails.pockets[4].opening_height_m = 0.203;
    assert_eq!(said(&rig, placed()), one("passes", Verdict::Tight));
    rig.rails.pockets[4].opening_height_m = 0.24;
    // Rails 1.8 m apart.
    rig.beams[0].length_m = 1.806;
    assert_eq!(said(&rig, placed()), one("reach", Verdict::Tight));
}

#[test]
fn a_wedge_needs_as_much_as_it_is_thick() {
    let rig = rig();
    let wedged = |shim_m: f64| {
        let mut placed = beam(
            "oak 10 x 9",
            Seat::Pocket(5),
            &[("oak 6 x 8", BlockOrientation::Flat)],
        );
        (placed.shim_m, placed.wedge_rad) = (shim_m, 0.165);
        said(&rig, placed)
    };
    // 0.1 m times 0.1665 is 16.7 mm; stacks are known to 1 mm.
    assert_eq!(wedged(0.03), nothing());
    assert_eq!(wedged(0.016), nothing());
    assert_eq!(wedged(0.015), one("thin-wedge", Verdict::Foul));
}

#[test]
fn shims_must_be_on_hand() {
    let mut rig = rig();
    let mut placed = beam("oak 10 x 9", Seat::Pocket(5), &[]);
    placed.shim_m = 0.034;
    assert_eq!(said(&rig, placed.clone()), nothing());
    rig.packing.shims_m = vec![0.02];
    assert_eq!(said(&rig, placed.clone()), one("shims", Verdict::Foul));
    rig.packing.shims_m.clear();
    assert_eq!(said(&rig, placed), one("shims", Verdict::Foul));
}

#[test]
fn a_keel_beyond_what_the_blocks_stand_on_tips_them() {
    let verdict = |width_m: f64| {
        let mut rig = rig();
        rig.beams[0].width_m = width_m;
        let stand = |n| {
            beam(
                "oak 8 x 8",
                Seat::Pocket(n),
                &[("oak 6 x 8", BlockOrientation::Flat)],
            )
        };
        let mesh = cuboid([0.0, -0.1, 0.0], [6.0, 0.1, 1.6]);
        let part = HullPart {
            name: "keel".into(),
            kind: PartKind::Keel,
            part_use: PartUse::Checked,
            mesh: Arc::new(mesh),
        };
        let facts = HullFacts {
            mass: Some(Mass {
                mass_kg: 2000.0,
                tolerance_kg: 50.0,
                basis: Basis::Measured,
            }),
            centre: Some(CentreOfGravity {
                at: Point::new(2.0, 0.0, 0.8),
                tolerance: Point::new(0.1, 0.02, 0.1),
                basis: Basis::Measured,
            }),
            ..HullFacts::default()
        };
        let hull = Hull::new("boat", vec![part], facts).unwrap();
        let findings = check(&hull, &rig, &load(vec![stand(10), stand(3)]));
        // A stack that the keel tips at once carries nothing that could be worked out.
        let stands = findings.finding("stand:0").map(|f| f.verdict);
        stands.or(findings.finding("support-tips:0").map(|f| f.verdict))
    };
    // The keel ends 85 mm ahead of the stack's middle and bears on the last 15 mm of its top, 92.5 mm off the middle.
    assert_eq!(verdict(0.1), Some(Verdict::Foul));
    assert_eq!(verdict(0.19), Some(Verdict::Tight));
    // As wide as the block: nothing hangs over.
    assert_eq!(verdict(0.2), None);
}
