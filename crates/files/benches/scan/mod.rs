//! A scan of a million triangles, and what becomes of it.

use keelstead_files::hull_file::{Axis, HullFile};
use keelstead_files::intake::{Answers, Imported, Written, glb, import, stl};
use keelstead_files::source::Memory;
use keelstead_files::{Silent, mesh_file, open};

/// Pieces along and down each side.
const ALONG: usize = 500;
const DOWN: usize = 500;

/// An open boat of formula, 9.4 m long in millimetres, heeled a little, bow towards −x.
pub fn scan() -> Vec<u8> {
    let point = |i: usize, j: usize, side: f64| {
        let (along, up) = (i as f64 / ALONG as f64, j as f64 / DOWN as f64);
        let (x, z) = (9.4 * along, 1.3 * up + 0.1 * along);
        let y = side * 1.5 * (1.0 - along * along) * up.sqrt();
        let (sin, cos) = 0.03_f64.sin_cos();
        [-x, y * cos - z * sin, y * sin + z * cos].map(|c| 1000.0 * c)
    };
    let mut positions = Vec::new();
    let mut triangles: Vec<[u32; 3]> = Vec::new();
    for side in [-1.0, 1.0] {
        let base = positions.len();
        for i in 0..=ALONG {
            positions.extend((0..=DOWN).map(|j| point(i, j, side)));
        }
        let at = |i: usize, j: usize| (base + i * (DOWN + 1) + j) as u32;
        for i in 0..ALONG {
            for j in 0..DOWN {
                let [a, b, c, d] = [at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)];
                // Every third pair is inside out.
                if (i + j) % 3 == 0 {
                    triangles.extend([[a, b, c], [a, c, d]]);
                } else {
                    triangles.extend([[a, c, b], [a, d, c]]);
                }
            }
        }
    }
    stl(&[Written {
        name: "scan",
        positions: &positions,
        triangles: &triangles,
    }])
}

/// Made sense of.
pub fn imported(bytes: &[u8]) -> Imported {
    let file = mesh_file::read(bytes, "scan.stl").unwrap();
    // Her transom is open as well as her deck, so up must be told.
    let answers = Answers {
        up: Some(Axis::PlusZ),
        ..Answers::default()
    };
    import(file, "scan.stl", "Scan", &answers).unwrap()
}

/// The hull as a job will open it.
pub fn opened(hull: &Imported) -> keelstead_boat::hull::Hull {
    let described = HullFile {
        mesh: "scan.glb".into(),
        ..hull.described.clone()
    };
    let source = Memory::new([("scan.glb".to_owned(), glb(&hull.written()).unwrap())]);
    let open = open::hull_of(&source, &described, "scan.json", &Silent).unwrap();
    open.hull
}
