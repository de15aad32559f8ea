//! The real boat meshes that lie outside the repository, against the heights published with them:
//! the lowest surface a vertical line meets, by station and breadth. Values: the tables of
//! shared/meshes/README.md, plain double-precision ray tests made there with other code; agreement
//! to about 1e-5 of the boat's length is what it tells one to expect.
//!
//! Counts, bounds, areas and volumes of the same files are held against the same page in
//! `published_files.rs`.

#![allow(clippy::unwrap_used)]

use std::path::Path;

use keelstead_files::mesh_file;
use keelstead_geometry::math::Vec3;
use keelstead_geometry::mesh::Mesh;

/// Breadths of the columns, in half beams from the middle.
const BREADTHS: [f64; 4] = [0.0, 0.05, 0.3, 0.7];

/// Stations as parts of the length from the low end, and the heights there, file units.
type Heights = [(f64, [Option<f64>; 4]); 5];

struct Published {
    file: &'static str,
    /// Which of the file's axes run along the boat, across it and up.
    along_across_up: [usize; 3],
    lowest: Heights,
}

const PUBLISHED: [Published; 5] = [
    Published {
        file: "sailing_yacht_cabin_12m.obj",
        along_across_up: [0, 1, 2],
        lowest: [
            (
                0.1,
                [
                    Some(0.463429),
                    Some(0.463583),
                    Some(0.482252),
                    Some(0.945203),
                ],
            ),
            (
                0.25,
                [
                    Some(0.216399),
                    Some(0.216652),
                    Some(0.226525),
                    Some(0.391069),
                ],
            ),
            (
                0.5,
                [
                    Some(0.039846),
                    Some(0.0399355),
                    Some(0.0490817),
                    Some(0.207097),
                ],
            ),
            (
                0.75,
                [Some(0.0660228), Some(0.0650553), Some(0.129519), None],
            ),
            (0.9, [Some(0.211394), Some(0.254172), Some(1.43502), None]),
        ],
    },
    Published {
        file: "motorboat_hard_chine_9m_mm.stl",
        along_across_up: [0, 1, 2],
        lowest: [
            (
                0.1,
                [Some(0.0), Some(5.40668), Some(82.0158), Some(282.614)],
            ),
            (
                0.25,
                [Some(0.0), Some(5.36474), Some(81.8372), Some(283.955)],
            ),
            (
                0.5,
                [Some(0.0), Some(7.32123), Some(105.083), Some(343.648)],
            ),
            (
                0.75,
                [Some(11.2109), Some(62.2106), Some(378.504), Some(1163.97)],
            ),
            (0.9, [None, Some(808.555), Some(1124.87), None]),
        ],
    },
    Published {
        file: "open_launch_nonmanifold_9m.stl",
        along_across_up: [1, 0, 2],
        lowest: [
            (0.1, [Some(0.767674), Some(0.761039), Some(1.21704), None]),
            (
                0.25,
                [
                    Some(-0.0943073),
                    Some(-0.06098),
                    Some(0.10046),
                    Some(0.81006),
                ],
            ),
            (
                0.5,
                [
                    Some(-0.430731),
                    Some(-0.358956),
                    Some(-0.257425),
                    Some(-0.0989986),
                ],
            ),
            (
                0.75,
                [
                    Some(-0.442157),
                    Some(-0.426817),
                    Some(-0.335244),
                    Some(-0.243195),
                ],
            ),
            (
                0.9,
                [
                    Some(-0.414202),
                    Some(-0.420149),
                    Some(-0.371092),
                    Some(-0.293962),
                ],
            ),
        ],
    },
    Published {
        file: "developable_motorboat.obj",
        along_across_up: [2, 0, 1],
        lowest: [
            (
                0.1,
                [Some(1.32624), Some(1.33091), Some(1.36869), Some(1.49384)],
            ),
            (
                0.25,
                [Some(0.956492), Some(0.962701), Some(0.993864), Some(1.0911)],
            ),
            (
                0.5,
                [Some(0.902956), Some(0.913238), Some(0.964816), Some(1.0999)],
            ),
            (
                0.75,
                [Some(0.936881), Some(0.951549), Some(1.02492), Some(1.23956)],
            ),
            (0.9, [Some(1.51197), Some(1.52467), Some(1.60854), None]),
        ],
    },
    Published {
        file: "enclosed_lifeboat_5m.stl",
        along_across_up: [1, 0, 2],
        lowest: [
            (
                0.1,
                [
                    Some(-0.614174),
                    Some(-0.609094),
                    Some(-0.5536),
                    Some(-0.208276),
                ],
            ),
            (
                0.25,
                [
                    Some(-0.677958),
                    Some(-0.672879),
                    Some(-0.623641),
                    Some(-0.315259),
                ],
            ),
            (
                0.5,
                [
                    Some(-0.697669),
                    Some(-0.69259),
                    Some(-0.645286),
                    Some(-0.348342),
                ],
            ),
            (
                0.75,
                [
                    Some(-0.682501),
                    Some(-0.677422),
                    Some(-0.62863),
                    Some(-0.322885),
                ],
            ),
            (
                0.9,
                [
                    Some(-0.600269),
                    Some(-0.59519),
                    Some(-0.538331),
                    Some(-0.184944),
                ],
            ),
        ],
    },
];

/// The whole file as one mesh: x along the boat, y across, z up.
fn mesh(path: &Path, published: &Published) -> Mesh {
    let bytes = std::fs::read(path).unwrap();
    let read = mesh_file::read(&bytes, published.file).unwrap();
    let corners: Vec<[Vec3; 3]> = read
        .parts
        .iter()
        .flat_map(|part| {
            let turned = |i: u32| {
                let at = part.positions[i as usize];
                Vec3::from_array(published.along_across_up.map(|axis| at[axis]))
            };
            part.triangles.iter().map(move |t| t.map(turned))
        })
        .collect();
    Mesh::welded(&corners).unwrap()
}

#[test]
fn the_lowest_surface_is_where_it_is_published() {
    let Some(folder) = keelstead_tests::shared("meshes") else {
        return;
    };
    let mut compared = 0;
    for published in &PUBLISHED {
        let mesh = mesh(&folder.join(published.file), published);
        let bounds = mesh.aabb();
        let (middle, half) = (bounds.center(), bounds.half_extents());
        let length = 2.0 * half.x;
        for (part, heights) in &published.lowest {
            for (breadth, height) in BREADTHS.iter().zip(heights) {
                let x = bounds.mins.x + part * length;
                let found = mesh.lowest_surface(x, middle.y + breadth * half.y);
                let at = format!("{} at {part}, {breadth}", published.file);
                match (found, height) {
                    (Some(found), Some(height)) => assert!(
                        (found - height).abs() < 1e-5 * length,
                        "{at}: {found} for {height}"
                    ),
                    _ => assert_eq!(found, *height, "{at}"),
                }
                compared += 1;
            }
        }
    }
    assert_eq!(compared, 100);
}
