//! The real boat meshes that lie outside the repository, as the readers read them: counts, bounds,
//! areas and volumes against the tables of shared/meshes/README.md.

#![allow(clippy::unwrap_used)]

use keelstead_files::mesh_file;
use keelstead_geometry::math::Vec3;
use keelstead_geometry::mesh::Mesh;
use keelstead_units::{Units, sentence};

/// Published figures of a file, for the mesh after exact welding.
struct Published {
    file: &'static str,
    parts: &'static [&'static str],
    triangles: usize,
    vertices: usize,
    min: [f64; 3],
    max: [f64; 3],
    boundary_edges: usize,
    non_manifold_edges: usize,
    euler: i64,
    area: f64,
    volume: Option<f64>,
}

const PUBLISHED: [Published; 5] = [
    Published {
        file: "sailing_yacht_cabin_12m.obj",
        parts: &["hull", "cabin", "deck"],
        triangles: 14_656,
        vertices: 7_425,
        min: [0.0, -1.76241, 0.031071],
        max: [11.87, 1.76241, 1.86855],
        boundary_edges: 192,
        non_manifold_edges: 0,
        euler: 1,
        area: 76.750198,
        volume: None,
    },
    Published {
        file: "motorboat_hard_chine_9m_mm.stl",
        parts: &["solid"],
        triangles: 11_712,
        vertices: 5_953,
        min: [0.0, -1125.0, 0.0],
        max: [9395.25, 1125.0, 1566.0],
        boundary_edges: 192,
        non_manifold_edges: 0,
        euler: 1,
        area: 39_568_109.0,
        volume: None,
    },
    Published {
        file: "open_launch_nonmanifold_9m.stl",
        parts: &["solid"],
        triangles: 984,
        vertices: 450,
        min: [-2.18153, -5.25171, -0.457978],
        max: [2.19097, 4.20966, 1.75794],
        boundary_edges: 0,
        non_manifold_edges: 26,
        euler: -16,
        area: 138.66227,
        volume: None,
    },
    Published {
        file: "developable_motorboat.obj",
        parts: &["mesh"],
        triangles: 32_416,
        vertices: 16_210,
        min: [-4.17627, 0.871639, -5.029],
        max: [-2.3354, 2.85904, 3.34663],
        boundary_edges: 0,
        non_manifold_edges: 0,
        euler: 2,
        area: 39.322278,
        volume: Some(11.917736),
    },
    Published {
        file: "enclosed_lifeboat_5m.stl",
        parts: &["solid"],
        triangles: 1_182,
        vertices: 593,
        min: [-1.0159, -2.4, -0.7],
        max: [1.0159, 3.06864, 1.5],
        boundary_edges: 0,
        non_manifold_edges: 0,
        euler: 2,
        area: 33.189207,
        volume: Some(13.126156),
    },
];

fn near(found: f64, published: f64, what: &str) {
    let allowed = 1e-6 * published.abs().max(1.0) * 2.0;
    assert!(
        (found - published).abs() < allowed.max(6e-6),
        "{what}: {found} for {published}"
    );
}

#[test]
fn the_readers_find_what_is_published() {
    let Some(folder) = keelstead_tests::shared("meshes") else {
        return;
    };
    for published in PUBLISHED {
        let file = published.file;
        let bytes = std::fs::read(folder.join(file)).unwrap();
        let read = mesh_file::read(&bytes, file).unwrap();
        let names: Vec<&str> = read.parts.iter().map(|part| part.name.as_str()).collect();
        assert_eq!(names, published.parts, "{file}");
        // Of the yacht's warped quadrilaterals, two by the cabin's edge cross themselves.
        let crossed: usize = read
            .notices
            .iter()
            .filter(|notice| sentence(&notice.says, Units::Metric).starts_with("2 polygons"))
            .count();
        assert_eq!(
            crossed,
            usize::from(file.starts_with("sailing")),
            "{:?}",
            read.notices
        );
        assert_eq!(read.notices.len(), crossed, "{file}: {:?}", read.notices);
        // The figures are for the file as a whole, so its parts are put together again.
        let corners: Vec<[Vec3; 3]> = read
            .parts
            .iter()
            .flat_map(|part| {
                let at = |i: u32| Vec3::from_array(part.positions[i as usize]);
                part.triangles.iter().map(move |corners| corners.map(at))
            })
            .collect();
        let mesh = Mesh::welded(&corners).unwrap();
        let topology = mesh.topology();
        assert_eq!(mesh.triangles().len(), published.triangles, "{file}");
        assert_eq!(mesh.vertices().len(), published.vertices, "{file}");
        assert_eq!(topology.boundary_edges, published.boundary_edges, "{file}");
        assert_eq!(
            topology.non_manifold_edges, published.non_manifold_edges,
            "{file}"
        );
        assert_eq!(
            (topology.shells, topology.euler),
            (1, published.euler),
            "{file}"
        );
        assert!(topology.consistent, "{file}");
        if read.notices.is_empty() {
            near(mesh.area_m2(), published.area, file);
        } else {
            // The published area cuts every quadrilateral from its first corner, even the hollow
            // ones, whose triangles then overlap: it is a little larger.
            let larger = published.area - mesh.area_m2();
            assert!((0.0..0.003).contains(&larger), "{file}: {larger}");
        }
        assert_eq!(
            mesh.volume_m3().is_some(),
            published.volume.is_some(),
            "{file}"
        );
        if let (Some(found), Some(volume)) = (mesh.volume_m3(), published.volume) {
            near(found, volume, file);
        }
        let bounds = mesh.aabb();
        for axis in 0..3 {
            near(bounds.mins[axis], published.min[axis], file);
            near(bounds.maxs[axis], published.max[axis], file);
        }
    }
}
