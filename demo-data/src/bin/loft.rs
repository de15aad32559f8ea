//! Lofts the hulls of Tern Harbour into `demo-data/hulls`, or with `--check` compares them with what
//! lies there.

use std::path::PathBuf;
use std::process::ExitCode;

use keelstead_demo_data::{boats, glb};

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let check = match arguments.iter().map(String::as_str).collect::<Vec<_>>()[..] {
        [] => false,
        ["--check"] => true,
        _ => {
            eprintln!("usage: loft [--check]");
            return ExitCode::from(2);
        }
    };
    // Where cargo runs it from; where it was built may be another clone that shares the target directory.
    let run_from = std::env::var_os("CARGO_MANIFEST_DIR");
    let here = run_from.map_or_else(|| env!("CARGO_MANIFEST_DIR").into(), PathBuf::from);
    let folder = here.join("hulls");
    let mut all_well = true;
    let boats = match boats::all() {
        Ok(boats) => boats,
        Err(problem) => {
            eprintln!("{problem}");
            return ExitCode::FAILURE;
        }
    };
    for boat in boats {
        let path = folder.join(format!("{}.glb", boat.particulars.name));
        let outcome = glb::to_bytes(&boat)
            .map_err(|e| e.to_string())
            .and_then(|bytes| {
                if check {
                    compare(&path, &bytes)
                } else {
                    write(&path, &bytes)
                }
            });
        match outcome {
            Ok(done) => println!("{}: {done}", path.display()),
            Err(problem) => {
                eprintln!("{}: {problem}", path.display());
                all_well = false;
            }
        }
    }
    if all_well {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}

fn write(path: &PathBuf, bytes: &[u8]) -> Result<String, String> {
    std::fs::write(path, bytes).map_err(|e| format!("could not be written: {e}"))?;
    Ok(format!("{} bytes written", bytes.len()))
}

fn compare(path: &PathBuf, bytes: &[u8]) -> Result<String, String> {
    let lying = std::fs::read(path).map_err(|e| format!("could not be read: {e}"))?;
    if lying == bytes {
        Ok("as lofted".into())
    } else {
        Err("differs from what the lines give; run `loft` without --check and commit it".into())
    }
}
