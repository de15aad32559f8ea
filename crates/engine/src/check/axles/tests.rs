//! Coupling and axles, by hand and by trying every corner.

use super::*;
use keelstead_geometry::math::Vec3;

fn exact(mass_kg: f64, x_m: f64) -> Riding {
    Riding {
        mass_kg,
        mass_off_kg: 0.0,
        at: Vec3::new(x_m, 0.0, 1.0),
        off_m: Vec3::ZERO,
    }
}

#[test]
fn loads_follow_the_lever_rule() {
    // check-values.md 2.4, derived: 30 ft from coupling to axles, a boat of 20,000 lb 2 ft and a trailer of
    // 9,000 lb 4 ft ahead of them.
    const FT: f64 = 0.3048;
    const LB: f64 = 0.453_592_37;
    let boat = exact(20_000.0 * LB, -28.0 * FT);
    let trailer = exact(9_000.0 * LB, -26.0 * FT);
    let alone = shared(&[boat], -30.0 * FT, 0.0);
    let both = shared(&[boat, trailer], -30.0 * FT, 0.0);
    for (found, pounds) in [
        (alone[0], 1_333.33),
        (alone[1], 18_666.67),
        (both[0], 2_533.33),
        (both[1], 26_466.67),
    ] {
        assert!((found.load_kg / LB - pounds).abs() < 0.01, "{found:?}");
        assert!((found.least_kg - found.load_kg).abs() < 1e-9);
        assert!((found.most_kg - found.load_kg).abs() < 1e-9);
    }
    let behind = shared(&[exact(1_000.0, -31.0 * FT)], -30.0 * FT, 0.0);
    assert!((behind[0].load_kg + 1_000.0 / 30.0).abs() < 1e-9);
}

#[test]
fn least_and_most_are_those_of_all_corners() {
    let off = |mass_kg: f64, mass_off_kg: f64, x_m: f64, off_m: f64| Riding {
        mass_kg,
        mass_off_kg,
        at: Vec3::new(x_m, 0.0, 1.0),
        off_m: Vec3::splat(off_m),
    };
    // One far behind the axles, one ahead of the coupling, one on the middle of the axles, and one that may
    // weigh nothing.
    let riding = [
        off(9_000.0, 500.0, -9.5, 0.3),
        off(300.0, 50.0, 0.5, 0.1),
        off(4_000.0, 0.0, -8.0, 0.02),
        off(100.0, 200.0, -4.0, 0.0),
    ];
    let (axles, tolerance) = (-8.0_f64, 0.05);
    let found = shared(&riding, axles, tolerance);
    let mut spans = [(f64::MAX, f64::MIN); 2];
    // Two bits of each weight's own, one of the axles': heavy or light, ahead or behind.
    for corner in 0..(1_u32 << 9) {
        let sign = |bit: u32| if corner >> bit & 1 == 1 { 1.0 } else { -1.0 };
        let back = axles + tolerance * sign(8);
        let (mut moment, mut mass) = (0.0, 0.0);
        for (i, one) in (0..).zip(&riding) {
            let kg = (one.mass_kg + one.mass_off_kg * sign(2 * i)).max(0.0);
            mass += kg;
            moment += kg * (one.at.x + one.off_m.x * sign(2 * i + 1));
        }
        // Moments about the coupling give the axles, the sum of forces the coupling.
        let on_axles = moment / back;
        for (span, load) in spans.iter_mut().zip([mass - on_axles, on_axles]) {
            *span = (span.0.min(load), span.1.max(load));
        }
    }
    for (found, (least, most)) in found.iter().zip(spans) {
        assert!(
            (found.least_kg - least).abs() < 1e-6,
            "{found:?} for {least}"
        );
        assert!((found.most_kg - most).abs() < 1e-6, "{found:?} for {most}");
    }
}
