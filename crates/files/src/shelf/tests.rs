#![allow(clippy::unwrap_used)]

use keelstead_geometry::math::Vec3;

use super::*;
use crate::hull_file::{Axes, LengthUnit};
use crate::kept::Place;
use crate::open::{hull_of, open_hull};
use crate::progress::Silent;
use crate::source::{Disk, Memory};

/// A boat's body as an OBJ in a folder, with its description in another.
fn boat(name: &str, length_m: f64) -> ToShelve {
    let mut obj = String::from("mtllib paint/colours.mtl\no body\n");
    for corner in 0..8 {
        let pick = |bit: usize, end: f64| if corner & bit == 0 { 0.0 } else { end };
        let at = Vec3::new(pick(1, length_m), pick(2, 2.0) - 1.0, pick(4, 1.5));
        obj += &format!("v {} {} {}\n", at.x, at.y, at.z);
    }
    obj += "f 1 3 4 2\nf 5 6 8 7\nf 1 2 6 5\nf 3 7 8 4\nf 1 5 7 3\nf 2 4 8 6\n";
    let mut described = HullFile::for_mesh(
        name,
        "../meshes/body.obj",
        LengthUnit::Metre,
        Axes::default(),
    );
    described.note = "surveyed ashore".into();
    let files = Memory::new([("meshes/body.obj".to_owned(), obj.into_bytes())]);
    let opened = hull_of(&files, &described, "hulls/boat.json", &Silent).unwrap();
    let mut kept = vec![KeptFile {
        name: "hulls/boat.json".into(),
        place: Place::Made(serde_json::to_vec(&described).unwrap().into()),
    }];
    kept.extend(opened.files);
    ToShelve::new(&opened.hull, &kept, false)
}

#[test]
fn a_hull_put_on_the_shelf_is_listed_and_opens_as_it_was() {
    let folder = tempfile::tempdir().unwrap();
    let shelf = DiskShelf::new(folder.path().join("not/there/yet"));
    assert_eq!(shelf.list().unwrap(), []);
    let Put::Done(entry) = shelf.put(&boat("Gürgen & Söhne No. 3", 9.0)).unwrap() else {
        panic!("the shelf was empty");
    };
    assert_eq!(entry.id, "gürgen-söhne-no-3");
    let size = entry.size_m.unwrap();
    assert!(
        (size[0] - 9.0).abs() < 1e-9 && (size[1] - 2.0).abs() < 1e-9,
        "{size:?}"
    );
    assert!(entry.day().is_some_and(|day| day.len() == 10), "{entry:?}");
    assert_eq!(shelf.list().unwrap(), std::slice::from_ref(&entry));

    let (disk, name) = Disk::around(&shelf.get(&entry.id).unwrap()).unwrap();
    let opened = open_hull(&disk, &name, &Silent).unwrap();
    assert_eq!(opened.hull.name, "Gürgen & Söhne No. 3");
    assert!((opened.hull.bounds.extents().x - 9.0).abs() < 1e-9);
    let described = std::fs::read(shelf.get(&entry.id).unwrap()).unwrap();
    let described: HullFile = document::read(&described, DESCRIPTION).unwrap();
    assert_eq!(
        (described.mesh.as_str(), described.note.as_str()),
        ("body.obj", "surveyed ashore")
    );

    shelf.remove(&entry.id).unwrap();
    assert_eq!(shelf.list().unwrap(), []);
    let left = std::fs::read_dir(shelf.folder()).unwrap().count();
    assert_eq!(left, 0, "nothing unfinished is left behind");
}

#[test]
fn what_stands_there_is_written_over_only_when_told() {
    let folder = tempfile::tempdir().unwrap();
    let shelf = DiskShelf::new(folder.path());
    shelf.put(&boat("Dunlin", 8.0)).unwrap();
    let longer = boat("DUNLIN", 9.5);
    let Put::Taken(old) = shelf.put(&longer).unwrap() else {
        panic!("the first one was written over");
    };
    assert_eq!((old.name.as_str(), old.size_m.unwrap()[0]), ("Dunlin", 8.0));
    let told = ToShelve {
        replace: true,
        ..longer
    };
    let Put::Done(new) = shelf.put(&told).unwrap() else {
        panic!("told to replace it");
    };
    assert_eq!(new.size_m.unwrap()[0], 9.5);
    assert_eq!(shelf.list().unwrap(), [new]);
}

#[test]
fn a_broken_hull_is_listed_with_what_is_wrong_and_can_be_removed() {
    let folder = tempfile::tempdir().unwrap();
    let shelf = DiskShelf::new(folder.path());
    shelf.put(&boat("Knot", 7.0)).unwrap();
    shelf.put(&boat("Ruff", 7.0)).unwrap();
    std::fs::remove_file(folder.path().join("knot/body.obj")).unwrap();
    std::fs::write(folder.path().join("ruff/hull.json"), "{ broken").unwrap();
    std::fs::create_dir(folder.path().join("empty")).unwrap();
    let list = shelf.list().unwrap();
    let trouble = |id: &str| {
        let entry = list.iter().find(|entry| entry.id == id).unwrap();
        entry.trouble.clone().unwrap()
    };
    assert!(trouble("knot").contains("body.obj"), "{}", trouble("knot"));
    assert!(trouble("ruff").contains("line 1"), "{}", trouble("ruff"));
    assert!(
        trouble("empty").contains("hull.json"),
        "{}",
        trouble("empty")
    );
    shelf.remove("ruff").unwrap();
    assert_eq!(shelf.list().unwrap().len(), 2);
}

#[test]
fn nothing_off_the_shelf_is_touched() {
    let folder = tempfile::tempdir().unwrap();
    let outside = folder.path().join("outside");
    std::fs::create_dir(&outside).unwrap();
    let shelf = DiskShelf::new(folder.path().join("shelf"));
    shelf.put(&boat("Sanderling", 6.0)).unwrap();
    for id in ["../outside", "", ".", "..", "sanderling/..", "/tmp"] {
        assert!(shelf.get(id).is_err(), "{id}");
        assert!(shelf.remove(id).is_err(), "{id}");
    }
    assert!(outside.is_dir());
}

#[test]
fn a_place_that_cannot_be_written_is_told_and_changes_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("a-file");
    std::fs::write(&file, "in the way").unwrap();
    let error = DiskShelf::new(&file).put(&boat("Smew", 6.0)).unwrap_err();
    assert!(matches!(error, FileError::NotSaved { .. }), "{error}");
    assert!(DiskShelf::new(&file).list().is_err());
    assert_eq!(std::fs::read(&file).unwrap(), b"in the way");
}

#[test]
fn a_meshs_files_go_along_where_it_expects_them() {
    let mut hull = boat("Garganey", 6.0);
    let beside = |name: &str| KeptFile {
        name: name.into(),
        place: Place::Memory(b"newmtl x".as_slice().into()),
    };
    hull.files.push(beside("meshes/paint/colours.mtl"));
    let packed = hull.packed().unwrap();
    let names: Vec<&str> = packed.iter().map(|file| file.name.as_str()).collect();
    assert_eq!(names, ["hull.json", "body.obj", "paint/colours.mtl"]);
    hull.files.push(beside("elsewhere/colours.mtl"));
    let error = hull.packed().unwrap_err().to_string();
    assert!(error.contains("elsewhere/colours.mtl"), "{error}");
}

#[test]
fn ids_are_names_that_any_system_takes() {
    for (name, id) in [
        ("Petrel", "petrel"),
        ("  M/V  Gannet II ", "m-v-gannet-ii"),
        ("../..", "hull"),
        ("", "hull"),
        ("AUX", "aux-hull"),
        ("Lpt1", "lpt1-hull"),
    ] {
        assert_eq!(id_of(name), id, "{name}");
    }
    assert!(id_of(&"鵜".repeat(300)).len() <= 84);
}

#[test]
fn days_are_those_of_the_calendar() {
    let entry = |since_s| Shelved {
        id: String::new(),
        name: String::new(),
        size_m: None,
        since_s: Some(since_s),
        trouble: None,
    };
    // Seconds as `date -u +%s` gives them.
    for (since_s, day) in [
        (0.0, "1970-01-01"),
        (951_782_400.0, "2000-02-29"),
        (1_795_651_199.0, "2026-11-25"),
        (4_107_542_400.0, "2100-03-01"),
    ] {
        assert_eq!(entry(since_s).day().as_deref(), Some(day));
    }
    assert_eq!(entry(f64::NAN).day(), None);
    assert_eq!(entry(-1.0).day(), None);
}
