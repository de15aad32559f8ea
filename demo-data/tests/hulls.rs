//! The boats as a surveyor would look at them: sound, fair, floating on their marks, and the same as
//! the files that lie in `hulls/`.
#![allow(clippy::unwrap_used)]

use std::collections::{BTreeMap, BTreeSet};
use std::sync::LazyLock;

use keelstead_boat::loft::lines::Lines;
use keelstead_boat::loft::shell::Shell;
use keelstead_boat::loft::vector::{Vec3, cross, length, sub};
use keelstead_demo_data::boats::{self, Boat, Part};
use keelstead_demo_data::hydrostatics::{SEA_WATER_KG_M3, displaced};
use keelstead_demo_data::{file, glb};

/// The boats, lofted once for all tests.
static BOATS: LazyLock<[Boat; 4]> = LazyLock::new(|| boats::all().unwrap());

fn key(p: Vec3) -> [i64; 3] {
    p.map(|c| (c * 1e4).round() as i64)
}

fn for_each_part(check: impl Fn(&Boat, &Part)) {
    for boat in BOATS.iter() {
        boat.parts.iter().for_each(|part| check(boat, part));
    }
}

/// How many separate closed shells a part is made of.
fn count_shells(shell: &Shell) -> usize {
    let mut group: Vec<usize> = (0..shell.positions().len()).collect();
    fn root(group: &mut [usize], mut k: usize) -> usize {
        while group[k] != k {
            group[k] = group[group[k]];
            k = group[k];
        }
        k
    }
    for t in shell.triangles() {
        let a = root(&mut group, t[0] as usize);
        for k in &t[1..] {
            let b = root(&mut group, *k as usize);
            group[b] = a;
        }
    }
    (0..group.len()).filter(|k| group[*k] == *k).count()
}

#[test]
fn every_part_is_a_closed_surface_without_handles() {
    for_each_part(|boat, part| {
        let name = format!("{} {}", boat.particulars.name, part.name);
        let mut edges: BTreeMap<(u32, u32), usize> = BTreeMap::new();
        for t in part.shell.triangles() {
            for k in 0..3 {
                *edges.entry((t[k], t[(k + 1) % 3])).or_default() += 1;
            }
        }
        for ((a, b), n) in &edges {
            assert_eq!(*n, 1, "{name}: edge {a}-{b} is used twice one way");
            assert!(
                edges.contains_key(&(*b, *a)),
                "{name}: edge {a}-{b} is open"
            );
        }
        let euler = part.shell.positions().len() as i64 - edges.len() as i64 / 2
            + part.shell.triangles().len() as i64;
        assert_eq!(euler, 2 * count_shells(&part.shell) as i64, "{name}");
        assert!(part.shell.volume_m3() > 0.0, "{name} faces inward");
    });
}

#[test]
fn no_part_has_slivers_or_duplicate_or_unused_vertices() {
    for_each_part(|boat, part| {
        let name = format!("{} {}", boat.particulars.name, part.name);
        for [a, b, c] in part.shell.corners() {
            let area = 0.5 * length(cross(sub(b, a), sub(c, a)));
            assert!(area > 1e-8, "{name}: {area} m² at {a:?}");
        }
        let points: BTreeSet<[i64; 3]> = part.shell.positions().map(key).collect();
        assert_eq!(points.len(), part.shell.positions().len(), "{name}");
        let used: BTreeSet<u32> = part.shell.triangles().iter().flatten().copied().collect();
        assert_eq!(used.len(), part.shell.positions().len(), "{name}");
    });
}

#[test]
fn all_but_the_propeller_is_the_same_on_both_sides() {
    for_each_part(|boat, part| {
        if part.name.starts_with("propeller") {
            return;
        }
        let points: BTreeSet<[i64; 3]> = part.shell.positions().map(key).collect();
        for [x, y, z] in &points {
            assert!(
                points.contains(&[*x, -y, *z]),
                "{} {}: nothing mirrors {x} {y} {z}",
                boat.particulars.name,
                part.name
            );
        }
    });
}

/// How often a vertical ray up from a point leaves the shell, less how often it enters.
fn lies_inside(shell: &Shell, [x, y, z]: Vec3) -> bool {
    let mut out = 0;
    for [a, b, c] in shell.corners() {
        let side = |p: Vec3, q: Vec3| (q[0] - p[0]) * (y - p[1]) - (x - p[0]) * (q[1] - p[1]);
        let (wc, wa, wb) = (side(a, b), side(b, c), side(c, a));
        let area = wa + wb + wc;
        let within = (wa >= 0.0 && wb >= 0.0 && wc >= 0.0) || (wa <= 0.0 && wb <= 0.0 && wc <= 0.0);
        if area != 0.0 && within && (wa * a[2] + wb * b[2] + wc * c[2]) / area > z {
            out += if area > 0.0 { 1 } else { -1 };
        }
    }
    out > 0
}

#[test]
fn no_part_floats_free_of_the_boat() {
    for boat in BOATS.iter() {
        // The mast only lies on its crutches.
        for part in boat.parts[1..].iter().filter(|p| p.name != "mast") {
            let others: Vec<(&Shell, [Vec3; 2])> = boat
                .parts
                .iter()
                .filter(|o| o.name != part.name)
                .map(|o| (&o.shell, o.shell.bounds()))
                .collect();
            let held = part.shell.positions().any(|p| {
                // Off the grid, so that no ray runs along an edge.
                let p = [p[0] + 1.7e-5, p[1] + 1.1e-5, p[2]];
                others.iter().any(|(shell, [low, high])| {
                    (0..3).all(|k| p[k] > low[k] && p[k] < high[k]) && lies_inside(shell, p)
                })
            });
            assert!(
                held,
                "{} {} hangs in the air",
                boat.particulars.name, part.name
            );
        }
    }
}

#[test]
fn boats_measure_what_is_stated() {
    for boat in BOATS.iter() {
        let p = boat.particulars;
        let body = &boat.parts[0];
        assert_eq!(body.name, "body");
        let [low, high] = body.shell.bounds();
        assert!(
            (high[0] - low[0] - p.loa_m).abs() < 0.05,
            "{} loa {}",
            p.name,
            high[0] - low[0]
        );
        assert!(
            (high[1] - low[1] - p.beam_m).abs() < 0.01,
            "{} beam {}",
            p.name,
            high[1] - low[1]
        );
        let lowest = boat
            .parts
            .iter()
            .map(|q| q.shell.bounds()[0][2])
            .fold(9.0, f64::min);
        let draft = p.waterline_z_m - lowest;
        assert!((draft - p.draft_m).abs() < 0.01, "{} draft {draft}", p.name);
        let x: Vec<f64> = slice(&body.shell, p.waterline_z_m)
            .iter()
            .map(|q| q[0])
            .collect();
        let lwl =
            x.iter().fold(-99.0_f64, |a, b| a.max(*b)) - x.iter().fold(99.0_f64, |a, b| a.min(*b));
        assert!((lwl / p.lwl_m - 1.0).abs() < 0.01, "{} lwl {lwl}", p.name);
    }
}

/// Points where the edges of a shell cross a level, port side, by station.
fn slice(shell: &Shell, z_m: f64) -> Vec<[f64; 2]> {
    let mut points = Vec::new();
    for t in shell.corners() {
        for k in 0..3 {
            let (a, b) = (t[k], t[(k + 1) % 3]);
            // Upward edges only: every crossing then counts once.
            if a[2] < z_m && b[2] >= z_m {
                let s = (z_m - a[2]) / (b[2] - a[2]);
                let y = a[1] + s * (b[1] - a[1]);
                if y >= 0.0 {
                    points.push([a[0] + s * (b[0] - a[0]), y]);
                }
            }
        }
    }
    points.sort_by(|a, b| a[0].total_cmp(&b[0]));
    points
}

#[test]
fn boats_float_on_their_marks() {
    for boat in BOATS.iter() {
        let p = boat.particulars;
        let d = displaced(boat.parts.iter().map(|q| &q.shell), p.waterline_z_m, 0.02);
        let afloat_kg = d.volume_m3 * SEA_WATER_KG_M3;
        assert!(
            (afloat_kg / p.mass_kg - 1.0).abs() < 0.05,
            "{} displaces {afloat_kg} kg",
            p.name
        );
        let off = (d.centre_m[0] - p.cg_m[0]).abs();
        assert!(
            off < 0.03 * p.lwl_m,
            "{}: buoyancy at {:?}",
            p.name,
            d.centre_m
        );
    }
}

/// How far each point lies off the cubic through its four neighbours: what a batten would show.
fn worst_bump(points: &[[f64; 2]]) -> f64 {
    let mut worst = 0.0_f64;
    for w in points.windows(5) {
        let near = [w[0], w[1], w[3], w[4]];
        let x = w[2][0];
        let mut fair = 0.0;
        for (i, p) in near.iter().enumerate() {
            let mut term = p[1];
            for (j, q) in near.iter().enumerate() {
                if i != j {
                    term *= (x - q[0]) / (p[0] - q[0]);
                }
            }
            fair += term;
        }
        worst = worst.max((w[2][1] - fair).abs());
    }
    worst
}

/// The waterline of a hull side at a height, from the lines: a point at each of many stations that
/// reach that deep.
fn waterline(lines: &Lines, z_m: f64) -> Vec<[f64; 2]> {
    let stations = (0..=190).map(|k| f64::from(k) / 200.0);
    let crossing = |u: f64| {
        let strake = lines
            .strakes
            .iter()
            .find(|s| s.at(u, 0.0)[2] < z_m && s.at(u, 1.0)[2] >= z_m)?;
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..50 {
            let mid = 0.5 * (low + high);
            if strake.at(u, mid)[2] < z_m {
                low = mid;
            } else {
                high = mid;
            }
        }
        let p = strake.at(u, low);
        Some([p[0], p[1]])
    };
    stations.filter_map(crossing).collect()
}

#[test]
fn waterlines_are_fair() {
    for boat in BOATS.iter() {
        let p = boat.particulars;
        for above in [-0.10, 0.0, 0.25, 0.5] {
            // A chined hull's waterlines turn a corner where they meet the chine.
            if boat.lines.strakes.len() > 1 && above < 0.5 {
                continue;
            }
            // Leave out the rounded ends, where half-breadth is no function of the station.
            let line: Vec<[f64; 2]> = waterline(&boat.lines, p.waterline_z_m + above)
                .into_iter()
                .filter(|q| q[1] > 0.15 * p.beam_m)
                .collect();
            assert!(line.len() > 80, "{}: {} points", p.name, line.len());
            let bump = worst_bump(&line);
            assert!(bump < 3e-4, "{} at {above}: bump of {bump} m", p.name);
        }
    }
}

#[test]
fn sheer_and_bottom_are_fair_and_the_sheer_springs() {
    for boat in BOATS.iter() {
        let name = boat.particulars.name;
        for v in [0.0, 0.25, 0.5, 0.75, 1.0] {
            for strake in &boat.lines.strakes {
                let run: Vec<Vec3> = (0..=90)
                    .map(|k| strake.at(f64::from(k) / 100.0, v))
                    .collect();
                for axis in [1, 2] {
                    let line: Vec<[f64; 2]> = run.iter().map(|p| [p[0], p[axis]]).collect();
                    let bump = worst_bump(&line);
                    assert!(bump < 2e-4, "{name} row {v}: bump of {bump} m");
                }
            }
        }
        let sheer: Vec<f64> = (0..=50)
            .map(|k| boat.lines.sheer(f64::from(k) / 50.0)[2])
            .collect();
        let turns = sheer
            .windows(3)
            .filter(|w| w[0] + w[2] - 2.0 * w[1] < -2e-4)
            .count();
        assert_eq!(turns, 0, "{name}: the sheer hogs");
    }
}

#[test]
fn keels_stand_on_the_origin_with_a_fair_sole() {
    for boat in BOATS.iter() {
        let name = boat.particulars.name;
        let sole_part = match name {
            "gannet" => "keel-2",
            "eider" => "skeg",
            _ => "keel",
        };
        let keel = &boat
            .parts
            .iter()
            .find(|p| p.name == sole_part)
            .unwrap()
            .shell;
        assert_eq!(keel.bounds()[0][2], 0.0, "{name}");
        let mut low: BTreeMap<i64, f64> = BTreeMap::new();
        for p in keel.positions().filter(|p| p[1] == 0.0 && p[2] < 0.12) {
            let z = low.entry(key(p)[0]).or_insert(p[2]);
            *z = z.min(p[2]);
        }
        // What stands on blocks: the sole within 40 mm of the ground plane.
        let sole: Vec<[f64; 2]> = low
            .iter()
            .filter(|(x, z)| **x >= 0 && **z < 0.04)
            .map(|(x, z)| [*x as f64 * 1e-4, *z])
            .collect();
        assert_eq!(
            sole[0],
            [0.0, 0.0],
            "{name}: the keel line does not start at the origin"
        );
        let bump = worst_bump(&sole);
        assert!(bump < 2e-3, "{name}: bump of {bump} m in the sole");
    }
}

#[test]
fn files_are_what_the_lines_give() {
    for boat in BOATS.iter() {
        let path = format!("hulls/{}.glb", boat.particulars.name);
        let fresh = glb::to_bytes(boat).unwrap();
        assert!(
            fresh == file(&path).unwrap(),
            "{path} differs: run `loft` and commit it"
        );
        assert!(fresh.len() <= 600_000, "{path} is {} bytes", fresh.len());
        let count: usize = boat.parts.iter().map(|p| p.shell.triangles().len()).sum();
        assert!(
            (10_000..=40_000).contains(&count),
            "{path} has {count} triangles"
        );
    }
}

#[test]
fn another_reader_sees_the_same_parts() {
    for boat in BOATS.iter() {
        let bytes = glb::to_bytes(boat).unwrap();
        let file = gltf::Gltf::from_slice(&bytes).unwrap();
        let roots: Vec<gltf::Node> = file.default_scene().unwrap().nodes().collect();
        assert_eq!(roots.len(), 1);
        // Forward, port and up of the hull frame are glTF's z, x and y.
        let [forward, port, up, _] = roots[0].transform().matrix();
        assert_eq!(
            [forward, port, up].map(|[x, y, z, _]| [x, y, z]),
            [[0.0, 0.0, 1.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]]
        );
        let nodes: Vec<gltf::Node> = roots[0].children().collect();
        assert_eq!(nodes.len(), boat.parts.len());
        for (node, part) in nodes.iter().zip(&boat.parts) {
            assert_eq!(node.name(), Some(part.name.as_str()));
            let primitive = node.mesh().unwrap().primitives().next().unwrap();
            let reader = primitive.reader(|_| file.blob.as_deref());
            let positions: Vec<[f32; 3]> = reader.read_positions().unwrap().collect();
            let ours: Vec<[f32; 3]> = part
                .shell
                .positions()
                .map(|p| p.map(|c| c as f32))
                .collect();
            assert_eq!(positions, ours);
            let indices: Vec<u32> = reader.read_indices().unwrap().into_u32().collect();
            let ours: Vec<u32> = part.shell.triangles().iter().flatten().copied().collect();
            assert_eq!(indices, ours);
        }
    }
}
