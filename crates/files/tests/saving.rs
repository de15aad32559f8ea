//! Jobs written to disk: whole or not at all, and so that they open where they now stand.

#![allow(clippy::unwrap_used)]

use std::path::{Path, PathBuf};

use keelstead_files::job::Job;
use keelstead_files::kept::JobFiles;
use keelstead_files::save::{Saved, save_job};
use keelstead_files::source::{Disk, Memory, Source};
use keelstead_files::{FileError, OpenJob, Silent, open_job};
use tempfile::TempDir;

fn demo_files() -> Vec<(String, Vec<u8>)> {
    let files = keelstead_demo_data::FILES.iter();
    files
        .map(|(name, bytes)| ((*name).to_owned(), bytes.to_vec()))
        .collect()
}

/// A demo job, from memory.
fn demo() -> OpenJob {
    let source = Memory::new(demo_files());
    open_job(&source, "jobs/petrel-easy.json", &Silent).unwrap()
}

/// The demo as a yard's folder on disk.
fn yard() -> TempDir {
    let yard = tempfile::tempdir().unwrap();
    for (name, bytes) in demo_files() {
        let path = yard.path().join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, bytes).unwrap();
    }
    yard
}

fn opened(path: &Path) -> OpenJob {
    let (disk, name) = Disk::around(path).unwrap();
    open_job(&disk, &name, &Silent).unwrap()
}

fn save(job: &OpenJob, path: &Path) -> Result<Saved, FileError> {
    save_job(path, &job.job, &job.files)
}

/// Every file in a folder and below, with its content.
fn content(folder: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let mut files = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            files.extend(content(&path));
        } else {
            files.push((path.clone(), std::fs::read(path).unwrap()));
        }
    }
    files.sort();
    files
}

fn assert_opens_the_same(path: &Path, before: &OpenJob) {
    let back = opened(path);
    assert_eq!(back.job.load, before.job.load);
    assert_eq!(back.hull.name, before.hull.name);
    assert_eq!(back.hull.bounds, before.hull.bounds);
    assert_eq!(back.rig, before.rig);
}

#[test]
fn a_demo_job_brings_its_hull_mesh_and_rig_along() {
    let job = demo();
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("mine.json");
    let saved = save(&job, &path).unwrap();
    assert_opens_the_same(&path, &job);
    assert_eq!(saved.brought.len(), 3, "{:?}", saved.brought);
    assert_eq!(saved.job.hull, "hulls/petrel.json");
    // Saved again, nothing more needs to be written.
    let again = save_job(&path, &saved.job, &saved.files).unwrap();
    assert_eq!(again.brought, Vec::<PathBuf>::new());
    assert_eq!(save(&job, &path).unwrap().brought, Vec::<PathBuf>::new());
    assert_eq!(content(folder.path()).len(), 4);
    assert_opens_the_same(&path, &job);
}

#[test]
fn where_the_folders_are_next_to_it_only_the_references_change() {
    let yard = yard();
    let job = opened(&yard.path().join("jobs/petrel-easy.json"));
    let before = content(yard.path()).len();
    for (place, hull) in [
        ("jobs/other.json", "../hulls/petrel.json"),
        ("rigs/a job.json", "../hulls/petrel.json"),
    ] {
        let path = yard.path().join(place);
        let saved = save(&job, &path).unwrap();
        assert_eq!(saved.job.hull, hull);
        assert_eq!(saved.brought, Vec::<PathBuf>::new());
        assert_opens_the_same(&path, &job);
    }
    // A job beside the yard's folders.
    let path = yard.path().join("top.json");
    let saved = save(&job, &path).unwrap();
    assert_eq!(saved.job.rig, "rigs/long-trailer.json");
    assert_opens_the_same(&path, &job);
    assert_eq!(content(yard.path()).len(), before + 3);
}

#[test]
fn a_reference_that_leads_there_stays_as_it_is_written() {
    let yard = yard();
    let path = yard.path().join("jobs/petrel-easy.json");
    let mut job = opened(&path);
    job.job.hull = "./../hulls/../hulls/petrel.json".into();
    assert_eq!(save(&job, &path).unwrap().job.hull, job.job.hull);
    assert_opens_the_same(&path, &job);
}

#[test]
fn further_away_the_files_come_along() {
    let (yard, stick) = (yard(), tempfile::tempdir().unwrap());
    let job = opened(&yard.path().join("jobs/petrel-easy.json"));
    for folder in [stick.path().join("away"), yard.path().join("jobs/2026")] {
        std::fs::create_dir_all(&folder).unwrap();
        let path = folder.join("petrel.json");
        let saved = save(&job, &path).unwrap();
        assert_eq!(saved.brought.len(), 3);
        assert!(saved.brought.iter().all(|file| file.exists()));
        assert_opens_the_same(&path, &job);
    }
}

#[test]
fn another_file_in_the_way_is_never_written_over() {
    let job = demo();
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir(folder.path().join("rigs")).unwrap();
    std::fs::write(folder.path().join("rigs/long-trailer.json"), "mine").unwrap();
    let before = content(folder.path());
    let error = save(&job, &folder.path().join("mine.json")).unwrap_err();
    let text = error.to_string();
    assert!(
        text.contains("rigs/long-trailer.json") && text.contains("another folder"),
        "{text}"
    );
    assert_eq!(content(folder.path()), before, "nothing was written");
}

#[test]
fn a_job_never_takes_the_place_of_its_own_hull_or_rig() {
    let yard = yard();
    let job = opened(&yard.path().join("jobs/petrel-easy.json"));
    let before = content(yard.path());
    for own in [
        "hulls/petrel.json",
        "hulls/petrel.glb",
        "rigs/long-trailer.json",
    ] {
        let error = save(&job, &yard.path().join(own)).unwrap_err().to_string();
        assert!(
            error.contains(own) && error.contains("another name"),
            "{error}"
        );
    }
    assert_eq!(content(yard.path()), before);
}

#[cfg(unix)]
#[test]
fn a_folder_reached_through_a_link_counts_as_where_it_really_is() {
    let (yard, other) = (yard(), tempfile::tempdir().unwrap());
    let job = opened(&yard.path().join("jobs/petrel-easy.json"));
    std::os::unix::fs::symlink(yard.path().join("jobs"), other.path().join("link")).unwrap();
    let path = other.path().join("link/new.json");
    assert_eq!(save(&job, &path).unwrap().brought, Vec::<PathBuf>::new());
    assert_opens_the_same(&path, &job);
}

#[test]
fn where_nothing_is_known_of_files_references_stay() {
    let folder = tempfile::tempdir().unwrap();
    let job = demo().job;
    let saved = save_job(&folder.path().join("a.json"), &job, &JobFiles::default()).unwrap();
    assert_eq!(saved.job, job);
    assert_eq!(content(folder.path()).len(), 1);
}

#[test]
fn the_files_of_a_job_are_those_it_was_read_from() {
    let yard = yard();
    let job = opened(&yard.path().join("jobs/gannet-pad-out-of-reach.json"));
    let names = |files: &[keelstead_files::kept::KeptFile]| {
        files
            .iter()
            .map(|file| file.name.clone())
            .collect::<Vec<_>>()
    };
    assert_eq!(
        names(&job.files.hull),
        ["hulls/gannet.json", "hulls/gannet.glb"]
    );
    assert_eq!(names(&job.files.rig).len(), 1);
    assert_eq!(job.files.made().count(), 0);
    let disk = Disk::new(yard.path());
    assert!(disk.place("hulls/gannet.glb").unwrap().is_file());
}

fn a_job() -> Job {
    demo().job
}

fn save_alone(path: &Path, job: &Job) -> Result<Saved, FileError> {
    save_job(path, job, &JobFiles::default())
}

#[test]
fn a_saved_job_replaces_the_old_one_whole() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.json");
    let mut job = a_job();
    save_alone(&path, &job).unwrap();
    job.note = "second".into();
    save_alone(&path, &job).unwrap();
    let text = std::fs::read_to_string(&path).unwrap();
    assert!(text.ends_with("}\n"));
    assert_eq!(
        keelstead_files::document::read::<Job>(text.as_bytes(), "a.json").unwrap(),
        job
    );
    assert_eq!(
        std::fs::read_dir(folder.path()).unwrap().count(),
        1,
        "nothing else left behind"
    );
}

#[test]
fn a_number_that_is_none_is_never_written() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.json");
    save_alone(&path, &a_job()).unwrap();
    let before = std::fs::read(&path).unwrap();
    for spoil in [
        (|job: &mut Job| job.load.rail_top_m = f64::NAN) as fn(&mut Job),
        |job| job.load.required.overall_height_m = Some(f64::INFINITY),
    ] {
        let mut job = a_job();
        spoil(&mut job);
        let error = save_alone(&path, &job).unwrap_err();
        assert!(matches!(error, FileError::NotSaved { .. }), "{error}");
        assert_eq!(std::fs::read(&path).unwrap(), before);
    }
}

#[test]
fn what_cannot_be_written_leaves_the_old_file() {
    let folder = tempfile::tempdir().unwrap();
    let gone = folder.path().join("gone/a.json");
    let error = save_alone(&gone, &a_job()).unwrap_err().to_string();
    assert!(
        error.contains("not saved") && error.contains("another folder"),
        "{error}"
    );
    // A folder in the way cannot be replaced by a file, whoever asks.
    let path = folder.path().join("a.json");
    std::fs::create_dir_all(path.join("inside")).unwrap();
    let error = save_alone(&path, &a_job()).unwrap_err();
    assert!(matches!(error, FileError::NotSaved { .. }), "{error}");
    assert!(path.join("inside").is_dir());
    assert_eq!(
        std::fs::read_dir(folder.path()).unwrap().count(),
        1,
        "nothing left behind"
    );
}

#[test]
fn a_write_protected_file_stays() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.json");
    std::fs::write(&path, "old").unwrap();
    let mut permissions = std::fs::metadata(&path).unwrap().permissions();
    permissions.set_readonly(true);
    std::fs::set_permissions(&path, permissions).unwrap();
    let error = save_alone(&path, &a_job()).unwrap_err().to_string();
    assert!(error.contains("write-protected"), "{error}");
    assert_eq!(std::fs::read_to_string(&path).unwrap(), "old");
}

#[cfg(unix)]
#[test]
fn a_write_protected_folder_keeps_its_file() {
    use std::os::unix::fs::PermissionsExt;
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.json");
    std::fs::write(&path, "old").unwrap();
    std::fs::set_permissions(folder.path(), std::fs::Permissions::from_mode(0o555)).unwrap();
    let protected = std::fs::write(folder.path().join("probe"), "").is_err();
    let saved = save_alone(&path, &a_job());
    std::fs::set_permissions(folder.path(), std::fs::Permissions::from_mode(0o755)).unwrap();
    if !protected {
        println!("skipped: this user may write to a protected folder");
        return;
    }
    assert!(matches!(saved, Err(FileError::NotSaved { .. })));
    assert_eq!(std::fs::read_to_string(&path).unwrap(), "old");
}
