//! Houses and columns of water, each on a piece whose result is known.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeMap;

use keelstead_boat::loft::shell::Shell;

use super::house::{Face, House, Window};
use crate::hydrostatics::displaced;

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

fn unit_box(windows: &[Window]) -> Shell {
    House {
        shape: &|a, o, u| [2.0 * a, 0.5 * o, 3.0 * u],
        cells: (4, 3, 3),
        windows,
        recess_m: 0.1,
    }
    .shell()
}

#[test]
fn a_box_holds_its_volume_and_a_window_takes_its_share() {
    let plain = unit_box(&[]);
    assert!(is_closed(&plain));
    assert!((plain.volume_m3() - 6.0).abs() < 1e-9);
    let window = |face, along| Window {
        face,
        along,
        up: (1, 2),
    };
    for (face, along, sunk) in [
        (Face::Side, (1, 3), 2.0 * 1.0 * 1.0 * 0.1),
        (Face::Front, (0, 1), 2.0 / 6.0 * 0.1),
        (Face::Back, (1, 2), 2.0 / 6.0 * 0.1),
    ] {
        let shell = unit_box(&[window(face, along)]);
        assert!(is_closed(&shell));
        let taken = plain.volume_m3() - shell.volume_m3();
        assert!((taken - sunk).abs() < 1e-3, "{face:?}: {taken} not {sunk}");
    }
}

#[test]
fn overlapping_shells_displace_their_common_water_once() {
    let one = unit_box(&[]);
    let two = House {
        shape: &|a, o, u| [1.0 + 2.0 * a, 0.5 * o, 3.0 * u],
        cells: (4, 3, 3),
        windows: &[],
        recess_m: 0.0,
    }
    .shell();
    let d = displaced([&one, &two], 1.5, 0.01);
    assert!((d.volume_m3 - 4.5).abs() < 0.02, "{}", d.volume_m3);
    assert!((d.centre_m[0] - 1.5).abs() < 0.01 && (d.centre_m[2] - 0.75).abs() < 0.01);
}
