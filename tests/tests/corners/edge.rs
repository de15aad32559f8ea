//! Asking for just what is there, so that verdicts stand at the edge of clear.

use keelstead::findings::{Finding, Findings};
use keelstead_load::load::Required;
use keelstead_load::rig_parts::RigPartKind;
use keelstead_statics::carrying::LimitState;

use super::claims::kind;
use super::job::Job;

/// Asks for what is there less the stated tolerance and this part of it, of everything that can be asked for.
pub fn at_the_edge(job: &mut Job, over: f64) {
    job.load.required.overall_height_m = Some(20.0);
    job.load.required.overall_width_m = Some(20.0);
    let findings = job.check();
    gaps(job, &findings, over);
    let more = |id: &str| findings.finding(id).and_then(|f| found_and(f, 1.0 + over));
    let required = &mut job.load.required;
    required.overall_height_m = more("size:height");
    required.overall_width_m = more("size:width");
    let strength = &mut required.strength;
    for (id, limit_m, most) in [
        ("keel:span", &mut strength.keel_span_m, 100.0),
        ("keel:bow", &mut strength.bow_overhang_m, 100.0),
        ("keel:stern", &mut strength.stern_overhang_m, 100.0),
    ] {
        if let Some(found) = more(id) {
            *limit_m = found.clamp(0.1, most);
        }
    }
    job.rig.ratings.payload_kg = more("weight:payload").or(job.rig.ratings.payload_kg);
    job.rig.ratings.gross_kg = more("weight:gross").or(job.rig.ratings.gross_kg);
    if let Some(holds) = findings
        .finding("steady:rollover")
        .and_then(|f| found_and(f, -1.0 - over))
    {
        job.load.required.steadying.rollover_g = holds.clamp(0.0, 2.0);
    }
    // What the load at rest and the load of the road ask takes turns to govern.
    for _ in 0..3 {
        let findings = job.check();
        strengths(job, &findings, 1.0 - over);
    }
    pads(job, over);
}

/// What was found and so many times its tolerance.
fn found_and(finding: &Finding, tolerances: f64) -> Option<f64> {
    Some(finding.found?.value + tolerances * finding.tolerance?.value)
}

/// The field of what is asked that a kind of part is held to.
type Asked = fn(&mut Required) -> &mut f64;

fn gaps(job: &mut Job, findings: &Findings, over: f64) {
    use RigPartKind as Kind;
    let fields: [(&[Kind], Asked); 6] = [
        (&[Kind::Tyre], |r| &mut r.tyre_gap_m),
        (&[Kind::Mudguard], |r| &mut r.mudguard_gap_m),
        (&[Kind::Rail, Kind::Member, Kind::PadArm], |r| {
            &mut r.frame_gap_m
        }),
        (&[Kind::Tractor], |r| &mut r.tractor_gap_m),
        (&[Kind::Ground], |r| &mut r.ground_gap_m),
        (&[Kind::Beam, Kind::Block, Kind::Packing, Kind::Pad], |r| {
            &mut r.appendage_gap_m
        }),
    ];
    for (kinds, field) in fields {
        let of_kind = |f: &&Finding| {
            let name = f.id.splitn(3, ':').nth(2);
            kind(&f.id) == "gap"
                && f.found.is_some_and(|q| q.value > 0.0)
                && findings
                    .rig_parts
                    .iter()
                    .any(|p| Some(p.name.as_str()) == name && kinds.contains(&p.kind))
        };
        let there = findings.list.iter().filter(of_kind);
        let room = there
            .filter_map(|f| found_and(f, -1.0 - over))
            .reduce(f64::min);
        if let Some(room_m) = room.filter(|m| (0.0..2.5).contains(m)) {
            *field(&mut job.load.required) = room_m;
        }
    }
}

/// Loads so great, and limits so low, that beams, blocks and keel are used to this part.
fn strengths(job: &mut Job, findings: &Findings, part: f64) {
    let Some(carrying) = &findings.carrying else {
        return;
    };
    let uses = || carrying.supports.iter().flat_map(|s| &s.uses);
    let most = |of: &[LimitState]| {
        let these = uses().filter(|u| of.contains(&u.check));
        these.filter_map(|u| u.worst_ratio).reduce(f64::max)
    };
    let strength = &mut job.load.required.strength;
    let mut harder = 1.0;
    if let Some(most) = most(&[
        LimitState::Bending,
        LimitState::Shear,
        LimitState::RailBearing,
        LimitState::AcrossGrain,
        LimitState::AlongGrain,
    ]) {
        let factor = (strength.road_factor * part / most).clamp(1.0, 10.0);
        harder = factor / strength.road_factor;
        strength.road_factor = factor;
    }
    if let Some(most) = most(&[LimitState::KeelPressure]) {
        strength.keel_pressure_pa =
            (strength.keel_pressure_pa * most * harder / part).clamp(1.0e3, 1.0e9);
    }
    if let Some(most) = most(&[LimitState::Deflection]) {
        strength.span_over_deflection =
            (strength.span_over_deflection * part / most).clamp(10.0, 1.0e4);
    }
}

/// Ratings and a turn that the pads only just hold.
fn pads(job: &mut Job, over: f64) {
    turn(job, over);
    let findings = job.check();
    let worst = findings
        .list
        .iter()
        .filter(|f| kind(&f.id) == "steady:pad")
        .filter_map(|f| found_and(f, 1.0 + over))
        .reduce(f64::max);
    if let Some(worst) = worst.filter(|w| *w > 0.0) {
        for pad in &mut job.rig.pads {
            pad.rating_n = pad.rating_n.map(|n| n * worst);
        }
        job.load.required.steadying.hull_pressure_pa *= worst;
    }
    // Pads of less rating hold less.
    turn(job, over);
}

fn turn(job: &mut Job, over: f64) {
    let mut findings = job.check();
    if findings
        .finding("steady:hold")
        .is_some_and(|f| f.found.is_none())
    {
        // Not held at all: less is asked until it is.
        let steadying = &mut job.load.required.steadying;
        steadying.lateral_g = 0.05;
        steadying.working_lateral_g = 0.05;
        steadying.wind_m_s = 8.0;
        steadying.cross_slope_rad = 0.01;
        findings = job.check();
    }
    let holds = findings.finding("steady:hold");
    if let Some(holds) = holds.and_then(|f| found_and(f, -1.0 - over)) {
        let steadying = &mut job.load.required.steadying;
        steadying.lateral_g = holds.clamp(0.05, 1.0);
        steadying.working_lateral_g = steadying.working_lateral_g.min(steadying.lateral_g);
    }
}
