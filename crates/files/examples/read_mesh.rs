//! Reads a mesh file a few times and says how long reading and preparing it took.
//!
//! `cargo run --release -p keelstead-files --example read_mesh -- hull.stl`

use std::time::{Duration, Instant};

use keelstead_files::{FileError, mesh_file};
use keelstead_geometry::math::Vec3;
use keelstead_geometry::mesh::Mesh;

const ROUNDS: usize = 5;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let path = std::env::args().nth(1).ok_or("say which mesh file")?;
    let bytes = std::fs::read(&path)?;
    let mut rounds = Vec::with_capacity(ROUNDS);
    for _ in 0..ROUNDS {
        rounds.push(round(&bytes, &path)?);
    }
    rounds.sort();
    let (read, prepared, triangles) = rounds[ROUNDS / 2];
    println!(
        "{triangles} triangles: read and welded in {read:.0?}, ready for queries {prepared:.0?} later (medians of {ROUNDS})"
    );
    Ok(())
}

fn round(bytes: &[u8], name: &str) -> Result<(Duration, Duration, usize), FileError> {
    let start = Instant::now();
    let file = mesh_file::read(bytes, name)?;
    let read = start.elapsed();
    let mut triangles = 0;
    for part in file.parts {
        let vertices = part.positions.into_iter().map(Vec3::from_array).collect();
        if let Ok(mesh) = Mesh::new(vertices, part.triangles) {
            triangles += mesh.triangles().len();
        }
    }
    Ok((read, start.elapsed() - read, triangles))
}
