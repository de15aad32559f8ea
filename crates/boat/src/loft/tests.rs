//! The tools, each on a piece whose result is known.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeMap;

use super::foil::{Foil, Section, Slot};
use super::lines::bezier;
use super::shell::Shell;
use super::sweep::{sweep, turned};
use super::vector::circle;

fn is_closed(shell: &Shell) -> bool {
    let mut edges: BTreeMap<(u32, u32), usize> = BTreeMap::new();
    for t in shell.triangles() {
        for k in 0..3 {
            *edges.entry((t[k], t[(k + 1) % 3])).or_default() += 1;
        }
    }
    !edges.is_empty()
        && edges
            .iter()
            .all(|((a, b), n)| *n == 1 && edges.get(&(*b, *a)) == Some(&1))
}

#[test]
fn a_slot_takes_its_volume_out_of_a_keel() {
    let keel = |slot| {
        Foil {
            plane: &|c, s| [1.0 - c, s],
            half_m: &|_| 0.1,
            section: Section::plate(),
            edge_m: 0.01,
            cells: (20, 4),
            slot,
        }
        .shell()
    };
    let whole = keel(None);
    let slotted = keel(Some(Slot {
        stations: (8, 12),
        half_m: 0.02,
        depth_m: 0.2,
    }));
    assert!(is_closed(&whole) && is_closed(&slotted));
    let length = {
        // The walls stand at stations 8 and 12.
        let x = |t: f64| {
            bezier(
                &[
                    [0.0; 3],
                    [0.0; 3],
                    [0.03, 0.0, 0.0],
                    [0.5, 0.0, 0.0],
                    [0.97, 0.0, 0.0],
                    [1.0, 0.0, 0.0],
                ],
                t,
            )[0]
        };
        x(0.6) - x(0.4)
    };
    let taken = whole.volume_m3() - slotted.volume_m3();
    assert!((taken - length * 0.04 * 0.2).abs() < 2e-5, "{taken}");
}

#[test]
fn sweeps_and_turned_parts_face_outward() {
    let square = [[-0.1, -0.1], [0.1, -0.1], [0.1, 0.1], [-0.1, 0.1]];
    let bar = sweep(&[[0.0; 3], [2.0, 0.0, 0.0]], &square, [0.0, 0.0, 1.0]);
    assert!(is_closed(&bar));
    assert!((bar.volume_m3() - 0.08).abs() < 1e-9);
    for direction in [[-1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.6, 0.0, 0.8]] {
        let cone = turned([0.0; 3], direction, &[[0.0, 0.5], [3.0, 0.0]], 4);
        assert!(is_closed(&cone));
        let ideal = core::f64::consts::PI * 0.25;
        assert!((cone.volume_m3() / ideal - 1.0).abs() < 0.01);
    }
}

#[test]
fn circles_are_round_and_even() {
    let c = circle(2);
    assert_eq!(c.len(), 16);
    for (k, [x, y]) in c.into_iter().enumerate() {
        let angle = core::f64::consts::TAU * k as f64 / 16.0;
        assert!((x - angle.cos()).abs() < 1e-12 && (y - angle.sin()).abs() < 1e-12);
    }
}

#[test]
fn a_mirrored_shell_keeps_its_volume_and_sits_on_the_other_side() {
    let port = turned(
        [0.0, 1.0, 0.0],
        [1.0, 0.0, 0.0],
        &[[0.0, 0.2], [1.0, 0.2]],
        1,
    );
    let starboard = port.mirrored();
    assert!((port.volume_m3() - starboard.volume_m3()).abs() < 1e-12);
    assert!(starboard.bounds()[1][1] < 0.0);
    assert!(is_closed(&port.and_mirrored()));
}
