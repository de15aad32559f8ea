//! Families at their usual proportions, measures reached, and what they leave open.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeSet;

use super::*;
use crate::hull::{Hull, HullFacts, PartKind};
use crate::load::Stand;
use crate::math::Vec3;
use crate::setdown::{Rest, set_down};
use crate::standing::TopFace;

/// Length and beam of a usual boat of a family, m.
fn usual(family: Family) -> (f64, f64) {
    match family {
        Family::FullKeel => (9.4, 2.9),
        Family::FinKeel => (10.5, 3.3),
        Family::Centreboarder => (7.0, 2.75),
        Family::Planing => (9.0, 2.9),
        Family::SkegWorkboat => (11.0, 3.6),
        Family::Catamaran => (11.5, 6.4),
        Family::DoubleEnder => (8.0, 2.5),
        Family::Skiff => (5.0, 1.6),
    }
}

fn fitted(family: Family) -> Fitted {
    let (length_m, beam_m) = usual(family);
    fit(family, &Measures::new(length_m, beam_m)).unwrap()
}

#[test]
fn every_family_is_closed_outward_and_the_same_on_both_sides() {
    for family in Family::ALL {
        let fitted = fitted(family);
        assert_eq!(fitted.parts[0].kind, PartKind::Body);
        for part in &fitted.parts {
            let name = format!("{} {}", family.word(), part.name);
            assert!(part.mesh.topology().closed(), "{name} is open");
            assert!(part.mesh.signed_volume_m3() > 0.0, "{name} faces inward");
            if part.kind == PartKind::Propeller {
                continue;
            }
            let key = |v: Vec3| v.to_array().map(|c| (c * 1e4).round() as i64);
            let points: BTreeSet<[i64; 3]> = part.mesh.vertices().iter().map(|&v| key(v)).collect();
            for [x, y, z] in &points {
                assert!(points.contains(&[*x, -y, *z]), "{name}: {x} {y} {z}");
            }
        }
    }
}

#[test]
fn the_lowest_point_is_at_nought_and_the_keel_begins_at_the_origin() {
    for family in Family::ALL {
        let fitted = fitted(family);
        let word = family.word();
        let lowest = fitted.parts.iter().map(|p| p.mesh.aabb().mins.z);
        let lowest = lowest.fold(f64::INFINITY, f64::min);
        assert!(lowest.abs() < 2e-3, "{word}: {lowest}");
        if let Some(keel) = fitted
            .parts
            .iter()
            .find(|p| matches!(p.kind, PartKind::Keel | PartKind::Skeg))
        {
            let low = keel.mesh.vertices().iter().filter(|v| v.z < 0.01);
            let aft = low.map(|v| v.x).fold(f64::INFINITY, f64::min);
            assert!(aft.abs() < 0.02, "{word}: {aft}");
        }
    }
}

#[test]
fn every_family_can_be_set_down() {
    for family in Family::ALL {
        let fitted = fitted(family);
        let length = usual(family).0;
        let hull = Hull::new("boat", fitted.parts, HullFacts::default()).unwrap();
        let bearing = hull.bearing_parts().map(|p| p.mesh.aabb());
        let (from, to) = bearing.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), aabb| {
            (a.min(aabb.mins.x), b.max(aabb.maxs.x))
        });
        let middle = if family == Family::FinKeel {
            0.06 * length
        } else {
            0.5 * (from + to)
        };
        let apart = if family == Family::FinKeel {
            0.03
        } else {
            0.12
        } * length;
        let face = |x: f64| TopFace {
            middle: Vec3::new(x, 0.0, 0.3),
            half_length_m: 0.05,
            half_width_m: 4.0,
            slope: 0.0,
            beam_top_m: 0.2,
        };
        let stand = Stand {
            x_m: 0.0,
            y_m: 0.0,
            yaw_rad: 0.0,
            heel_rad: 0.0,
            wanted: None,
        };
        let faces = [face(middle - apart), face(middle + apart)];
        let centre = Vec3::new(middle, 0.0, 1.0);
        let rest = set_down(&hull, &stand, &faces, centre, Vec3::Z);
        assert_eq!(rest.rest, Rest::Settled, "{}", family.word());
    }
}
