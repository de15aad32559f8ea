//! The most memory that large scans take, file included. Targets: 1 GB for a million triangles as STL
//! to a checked hull, 1 GB for five million points to a surface. Prints a line each.

#![allow(missing_docs, clippy::unwrap_used)]

mod scan;

use std::hint::black_box;
use std::time::Instant;

use keelstead_files::mesh_file;
use scan::{imported, opened, scan};

/// Points of the cloud.
const POINTS: usize = 5_000_000;

fn main() {
    let bytes = scan();
    measured("a million triangles, STL to a checked hull", || {
        black_box(opened(&imported(&bytes)));
    });
    drop(bytes);
    let bytes = cloud();
    measured("five million points, PLY to a surface", || {
        black_box(mesh_file::read(&bytes, "cloud.ply").unwrap());
    });
}

fn measured(what: &str, work: impl FnOnce()) {
    // Forgets the peak so far (Linux; proc_pid_clear_refs(5)).
    let forgotten = std::fs::write("/proc/self/clear_refs", "5");
    let start = Instant::now();
    work();
    let time_s = start.elapsed().as_secs_f64();
    let peak_kb = std::fs::read_to_string("/proc/self/status")
        .ok()
        .and_then(|status| {
            let line = status
                .lines()
                .find_map(|line| line.strip_prefix("VmHWM:"))?;
            line.trim().strip_suffix("kB")?.trim().parse::<f64>().ok()
        });
    match peak_kb {
        Some(peak_kb) if forgotten.is_ok() => {
            println!(
                "peak memory {:.0} MB in {time_s:.2} s: {what}",
                peak_kb / 1024.0
            );
        }
        _ => println!("peak memory is not told by this system: {what}"),
    }
}

/// The skin of a boat of formula, 9 m long, as a scanner sees it: with colours and a millimetre of noise.
fn cloud() -> Vec<u8> {
    let mut bytes = format!(
        "ply\nformat binary_little_endian 1.0\nelement vertex {POINTS}\nproperty float x\nproperty float y\n\
         property float z\nproperty uchar red\nproperty uchar green\nproperty uchar blue\nend_header\n"
    )
    .into_bytes();
    for i in 0..POINTS {
        // The fractions of multiples of irrational numbers spread evenly.
        let part = |by: f64| (i as f64 * by).fract();
        let (u, v) = (2.0 * part(0.819_172_513) - 1.0, part(0.671_043_607));
        let side = if i % 2 == 0 { 1.0 } else { -1.0 };
        let noise = 0.002 * (part(0.549_700_478) - 0.5);
        let point = [
            4.5 * u,
            side * 0.8 * (1.0 - u * u) * (1.0 - v * v) + noise,
            noise - v,
        ];
        bytes.extend(point.into_iter().flat_map(|c| (c as f32).to_le_bytes()));
        bytes.extend([200, 190, 180]);
    }
    bytes
}
