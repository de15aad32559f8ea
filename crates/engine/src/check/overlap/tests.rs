use std::sync::Arc;

use super::*;
use crate::check::check;
use crate::findings::{Findings, Place, Topic};
use keelstead_boat::hull::{Hull, HullFacts, HullPart, PartKind, PartUse};
use keelstead_geometry::math::{Point, Vec3};
use keelstead_geometry::shape::Shape;
use keelstead_geometry::solids::cuboid;
use keelstead_load::load::{
    BlockOrientation, HullPosition, Load, PadSetting, PlacedBeam, PlacedBlock, Reach, Required,
};
use keelstead_load::rig::{Member, Rig};

/// Rails 0.90 to 1.02 m off the middle, tops of pocket beams 0.11 m below the rails' top, tyres from 1.06 m out.
fn rig() -> Rig {
    let file: serde_json::Value = serde_json::from_str(include_str!(
        "../../../../../demo-data/rigs/long-trailer.json"
    ))
    .unwrap();
    serde_json::from_value(file["rig"].clone()).unwrap()
}

/// A keel of 6 m under a body.
fn boat() -> Hull {
    let part = |name: &str, kind, lo, hi| HullPart {
        name: name.into(),
        kind,
        part_use: PartUse::Checked,
        mesh: Arc::new(cuboid(lo, hi)),
    };
    let parts = vec![
        part("keel", PartKind::Keel, [0.0, -0.1, 0.0], [6.0, 0.1, 1.6]),
        part("body", PartKind::Body, [0.0, -0.5, 1.5], [6.0, 0.5, 2.5]),
    ];
    Hull::new("boat", parts, HullFacts::default()).unwrap()
}

fn beam(name: &str, seat: Seat) -> PlacedBeam {
    PlacedBeam {
        beam: name.into(),
        seat,
        stack: Vec::new(),
        stack_y_m: 0.0,
        shim_m: 0.0,
        wedge_rad: 0.0,
        wanted_share: None,
        soft_packing_n_per_m: None,
    }
}

fn on_rails(x_m: f64) -> PlacedBeam {
    beam("oak 8 x 8", Seat::OnRailsXM(x_m))
}

fn in_pocket(number: usize) -> PlacedBeam {
    beam("oak 10 x 9", Seat::Pocket(number))
}

fn stacked(mut placed: PlacedBeam, block: &str) -> PlacedBeam {
    placed.stack.push(PlacedBlock {
        block: block.into(),
        lie: BlockOrientation::Flat,
    });
    placed
}

fn load(beams: Vec<PlacedBeam>) -> Load {
    Load {
        stand: HullPosition {
            x_m: -9.5,
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

fn overlaps(findings: &Findings) -> Vec<&Finding> {
    let of_parts = |f: &&Finding| f.id.starts_with("overlap:");
    findings.list.iter().filter(of_parts).collect()
}

/// Id, verdict and gap of each overlap.
fn found(rig: &Rig, load: &Load) -> Vec<(String, Verdict, f64)> {
    let findings = check(&boat(), rig, load);
    let short = |f: &&Finding| (f.id.clone(), f.verdict, f.found.unwrap().value);
    let mut found: Vec<_> = overlaps(&findings).iter().map(short).collect();
    found.sort_by(|a, b| a.0.cmp(&b.0));
    found
}

fn assert_found(found: &[(String, Verdict, f64)], want: &[(&str, Verdict, f64)]) {
    assert_eq!(found.len(), want.len(), "{found:?}");
    for (found, want) in found.iter().zip(want) {
        assert_eq!((found.0.as_str(), found.1), (want.0, want.1), "{found:?}");
        assert!(
            (found.2 - want.2).abs() < 1e-6,
            "{found:?} against {want:?}"
        );
    }
}

#[test]
fn the_same_beam_twice_on_the_rails_is_foul() {
    let twice = load(vec![on_rails(-5.3), on_rails(-5.3), on_rails(-7.4)]);
    let findings = check(&boat(), &rig(), &twice);
    assert_eq!(findings.verdict, Verdict::Foul);
    let [one] = overlaps(&findings)[..] else {
        panic!("{:?}", findings.list);
    };
    assert_eq!((one.verdict, one.topic), (Verdict::Foul, Topic::Input));
    assert_eq!(one.title, "two beams on the rails");
    // 200 mm wide and deep: that is the shortest way apart.
    assert!((one.found.unwrap().value + 0.2).abs() < 1e-9, "{one:?}");
    let Some(Place::Point(at)) = one.place else {
        panic!("{one:?}");
    };
    assert!(
        (at.x_m + 5.3).abs() < 0.01 && (at.z_m - 0.85).abs() < 0.01,
        "{at:?}"
    );
}

#[test]
fn beams_side_by_side_may_touch() {
    let apart = |x_m: f64| {
        found(
            &rig(),
            &load(vec![on_rails(-5.3), on_rails(-5.3 - x_m), on_rails(-7.4)]),
        )
    };
    assert_found(
        &apart(0.15),
        &[("overlap:beam:0:beam:1", Verdict::Foul, -0.05)],
    );
    assert_found(
        &apart(0.199),
        &[("overlap:beam:0:beam:1", Verdict::Foul, -0.001)],
    );
    for x_m in [0.1996, 0.2, 0.202] {
        assert_found(&apart(x_m), &[]);
    }
    let findings = check(
        &boat(),
        &rig(),
        &load(vec![on_rails(-5.3), on_rails(-5.35)]),
    );
    let advice = overlaps(&findings)[0].advice.clone().unwrap();
    assert!(
        advice.0.iter().any(
            |span| matches!(span, keelstead_units::quantity::Span::Figure(q) if (q.value - 0.15).abs() < 1e-9)
        ),
        "{advice:?}"
    );
}

#[test]
fn a_beam_on_the_rails_may_lie_over_a_pocket_beam_but_not_in_its_stack() {
    let over =
        |below: PlacedBeam| found(&rig(), &load(vec![on_rails(-5.6), below, on_rails(-7.4)]));
    assert_found(&over(in_pocket(5)), &[]);
    // Blocks of 150 mm on the beam 110 mm down rise 40 mm over the rails.
    let stack = stacked(in_pocket(5), "oak 6 x 8");
    assert_found(
        &over(stack),
        &[("overlap:beam:0:beam:1", Verdict::Foul, -0.04)],
    );
}

#[test]
fn two_beams_in_one_pocket_are_said_once() {
    let twice = load(vec![in_pocket(5), in_pocket(5), in_pocket(9)]);
    assert_found(&found(&rig(), &twice), &[]);
    let findings = check(&boat(), &rig(), &twice);
    assert!(findings.finding("input:beam:1:twice").is_some());
}

#[test]
fn a_beam_through_a_stowed_pad_or_its_post_is_foul() {
    for x_m in [-4.7, -5.0] {
        let found = found(&rig(), &load(vec![on_rails(x_m), on_rails(-7.4)]));
        let ids: Vec<_> = found.iter().map(|f| (f.0.as_str(), f.1)).collect();
        let left = ("overlap:beam:0:pad 1 left", Verdict::Foul);
        let right = ("overlap:beam:0:pad 1 right", Verdict::Foul);
        assert_eq!(ids, [left, right], "{found:?}");
    }
}

#[test]
fn a_beam_too_long_for_wheels_and_mudguards_is_foul() {
    // 2.4 m long, 0.25 m deep: 0.14 m over the tyre's inner face, 20 mm up into mudguards that begin at 0.23 m. Set at
    // 0.75 m it is 70 mm into the tyre of 0.82 m at most; bags empty it lies beside its upper part.
    let long = beam("oak 10 x 10", Seat::OnRailsXM(-9.0));
    let load = load(vec![long, on_rails(-5.3)]);
    let foul = |id: &'static str, gap_m: f64| (id, Verdict::Foul, gap_m);
    let want = [
        foul("overlap:beam:0:left mudguard", -0.02),
        foul("overlap:beam:0:right mudguard", -0.02),
        foul("overlap:beam:0:tyre, axle 1 left", -0.14),
        foul("overlap:beam:0:tyre, axle 1 right", -0.14),
    ];
    assert_found(&found(&rig(), &load), &want);
    let findings = check(&boat(), &rig(), &load);
    let low = |id: &str| {
        let says = format!("{:?}", findings.finding(id).unwrap().says);
        says.contains("with the suspension right down")
    };
    assert!(low(want[2].0) && !low(want[0].0));
}

#[test]
fn nearer_to_a_wheel_than_the_figures_are_known_to_is_tight() {
    let of_length = |length_m: f64| {
        let mut rig = rig();
        for beam in &mut rig.beams {
            beam.length_m = length_m;
        }
        found(&rig, &load(vec![in_pocket(11), in_pocket(5)]))
    };
    // Half of 2.12 m is 1.06 m, where the tyre begins; 5 mm is the rig's tolerance.
    assert_found(&of_length(2.1), &[]);
    let sides = [
        "overlap:beam:0:tyre, axle 1 left",
        "overlap:beam:0:tyre, axle 1 right",
    ];
    let want = |verdict, gap_m| sides.map(|id| (id, verdict, gap_m));
    assert_found(&of_length(2.115), &want(Verdict::Tight, 0.0025));
    assert_found(&of_length(2.14), &want(Verdict::Foul, -0.01));
}

#[test]
fn a_stack_through_a_rail_is_foul() {
    let mut placed = stacked(in_pocket(5), "oak 6 x 8");
    // 0.6 m across: it ends at 0.85 and at 1.0 m; the rail begins at 0.9 m.
    placed.stack_y_m = 0.55;
    assert_found(
        &found(&rig(), &load(vec![placed.clone(), in_pocket(9)])),
        &[],
    );
    placed.stack_y_m = 0.7;
    let found = found(&rig(), &load(vec![placed, in_pocket(9)]));
    assert_found(&found, &[("overlap:beam:0:left rail", Verdict::Foul, -0.1)]);
}

#[test]
fn a_beam_may_lie_on_a_member_and_not_in_or_close_beside_it() {
    let with_brace = |x_m: f64, placed: PlacedBeam| {
        let mut rig = rig();
        rig.members.push(Member {
            name: "brace".into(),
            from: Point::new(x_m, -0.9, -0.15),
            to: Point::new(x_m, 0.9, -0.15),
            width_m: 0.1,
            depth_m: 0.3,
        });
        found(&rig, &load(vec![placed, in_pocket(9)]))
    };
    assert_found(&with_brace(-5.6, on_rails(-5.6)), &[]);
    // 0.25 m and 0.1 m wide with one middle: 0.175 m fore or aft; up and down it would be 0.19 m.
    let foul = [("overlap:beam:0:brace", Verdict::Foul, -0.175)];
    assert_found(&with_brace(-5.6, in_pocket(5)), &foul);
    let tight = [("overlap:beam:0:brace", Verdict::Tight, 0.002)];
    assert_found(&with_brace(-5.423, in_pocket(5)), &tight);
    assert_found(&with_brace(-5.415, in_pocket(5)), &[]);
}

/// Where an arm is fastened it is drawn in what holds it; farther out nothing of the frame may be in its way.
#[test]
fn a_member_across_an_arm_is_foul_and_what_the_arm_is_fastened_to_is_not() {
    let mut load = load(vec![in_pocket(5), in_pocket(9)]);
    load.pads = vec![PadSetting {
        pad: "pad 1 left".into(),
        elevation_rad: 0.8,
        reach: Reach::SetM(0.6),
    }];
    let arm = check(&boat(), &rig(), &load);
    let arm = arm.rig_parts.iter().find(|p| p.name == "arm of pad 1 left");
    let Shape::Box { half } = arm.unwrap().shape else {
        panic!("an arm is a box");
    };
    let trailer_from_arm = arm.unwrap().trailer_from_part.pose();
    let frame_from_trailer = trailer_from_frame(&rig(), load.rail_top_m).inverse();
    let bar_at = |from_pivot_m: f64| {
        let along = Vec3::X * (from_pivot_m - half.x_m);
        let at = frame_from_trailer * (trailer_from_arm * along);
        let mut rig = rig();
        rig.members.push(Member {
            name: "bar".into(),
            from: (at - Vec3::X * 0.3).into(),
            to: (at + Vec3::X * 0.3).into(),
            width_m: 0.04,
            depth_m: 0.04,
        });
        let found = found(&rig, &load).into_iter();
        found.map(|f| (f.0, f.1)).collect::<Vec<_>>()
    };
    let foul = ("overlap:pad 1 left:bar".to_owned(), Verdict::Foul);
    assert!(bar_at(half.x_m).contains(&foul));
    assert_eq!(bar_at(0.02), []);
}

/// A box around a wheel is a mudguard; a plate that ends below the tyre's top stands in the tyre.
#[test]
fn a_mudguard_in_its_tyre_is_foul_and_a_box_around_the_wheel_is_not() {
    let beams = || load(vec![in_pocket(5), in_pocket(9)]);
    let with = |low_m: f64, high_m: f64| {
        let mut rig = rig();
        for guard in &mut rig.mudguards {
            (guard.min.z_m, guard.max.z_m) = (low_m, high_m);
        }
        found(&rig, &beams())
    };
    assert_eq!(with(0.23, 0.27), []);
    assert_eq!(with(-0.3, 0.27), []);
    // Bags empty, the tyres stand up to 0.20 m over the rails' top.
    // Bags empty the frame lies lower aft: this one's foremost end is over the tyres' tops, and it is 34 mm in the last tyre.
    for found in [with(0.02, 0.05), with(-0.3, 0.05), with(0.14, 0.18)] {
        assert_eq!(found.len(), 1, "{found:?}");
        assert_eq!(
            (found[0].0.as_str(), found[0].1),
            ("overlap:rig", Verdict::Foul)
        );
    }
}

#[test]
fn a_pad_entered_twice_in_the_rig_holds_once() {
    let mut rig = rig();
    let mut again = rig.pads[0].clone();
    again.name = "spare pad".into();
    rig.pads.push(again);
    let beams = vec![in_pocket(5), in_pocket(9)];
    assert_found(&found(&rig, &load(beams.clone())), &[]);
    let mut both = load(beams);
    both.pads = ["pad 1 left", "spare pad"]
        .map(|pad| PadSetting {
            pad: pad.into(),
            elevation_rad: 0.8,
            reach: Reach::SetM(0.4),
        })
        .to_vec();
    let found = found(&rig, &both);
    let ids: Vec<_> = found.iter().map(|f| (f.0.as_str(), f.1)).collect();
    assert_eq!(ids, [("overlap:pad 1 left:spare pad", Verdict::Foul)]);
}

#[test]
fn wheels_in_the_rails_are_said_once() {
    let beams = || load(vec![in_pocket(5), in_pocket(7)]);
    let mut narrow = rig();
    for axle in &mut narrow.axles {
        axle.track_m = 2.2;
    }
    // Inner faces at 0.98 m, rails to 1.02 m, three axles on two sides.
    assert_found(
        &found(&narrow, &beams()),
        &[("overlap:rig", Verdict::Foul, -0.04)],
    );
    let mut twice = rig();
    twice.axles[1].x_m = twice.axles[0].x_m;
    let found = found(&twice, &beams());
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(found[0].0, "overlap:rig");
}

#[test]
fn the_stock_counts_whatever_the_seat_and_names_are_taken_to_the_letter() {
    let has = |load: &Load, id: &str| check(&boat(), &rig(), load).finding(id).map(|f| f.verdict);
    // Four of each on hand, blocks ten.
    let mut five = load([-2.5, -3.4, -5.6, -7.4].map(on_rails).to_vec());
    let id = "input:stock:beams \"oak 8 x 8\"";
    assert_eq!(has(&five, id), None);
    five.beams.push(beam("oak 8 x 8", Seat::Pocket(9)));
    assert_eq!(has(&five, id), Some(Verdict::Foul));
    let tall = |n: usize| (0..4).fold(in_pocket(n), |p, _| stacked(p, "oak 6 x 8"));
    let twelve = load(vec![tall(5), tall(7), tall(9)]);
    assert_eq!(
        has(&twelve, "input:stock:blocks \"oak 6 x 8\""),
        Some(Verdict::Foul)
    );
    let shouted = load(vec![beam("OAK 8 x 8", Seat::Pocket(5)), in_pocket(9)]);
    assert_eq!(has(&shouted, "input:beam:0:name"), Some(Verdict::Foul));
}
