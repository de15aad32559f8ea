//! What a file is: a job, a hull description, measures, a rig or a mesh; and which files can be opened at all.

use std::collections::BTreeMap;

use serde::de::IgnoredAny;

use crate::mesh_file::Format;

/// What a file is, likeliest to be the main one of several first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// A job.
    Job,
    /// A hull description.
    Hull,
    /// A measures document: it stands where a mesh does, and is open to more measures.
    Measures,
    /// A mesh, or anything else: the mesh reader says what is wrong with it.
    Mesh,
    /// A rig: only ever beside a job.
    Rig,
    /// What only ever stands beside a mesh: its buffers, materials, pictures.
    Beside,
}

/// Extensions of files that only ever stand beside a mesh.
const BESIDE: [&str; 5] = ["bin", "mtl", "png", "jpg", "jpeg"];

impl Kind {
    /// Told by content: a document says what it holds by its fields, whatever its name.
    pub fn of(name: &str, bytes: &[u8]) -> Self {
        let extension = extension(name);
        if BESIDE.contains(&extension.as_str()) {
            return Self::Beside;
        }
        let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
        let object = bytes.trim_ascii_start().starts_with(b"{");
        if !object {
            return if extension == "json" {
                Self::Job
            } else {
                Self::Mesh
            };
        }
        let Ok(fields) = serde_json::from_slice::<BTreeMap<String, IgnoredAny>>(bytes) else {
            // A broken one: the reader its name asks for says where.
            return if extension == "gltf" {
                Self::Mesh
            } else {
                Self::Job
            };
        };
        let has = |field: &str| fields.contains_key(field);
        if has("asset") {
            Self::Mesh
        } else if has("family") && has("measures") {
            Self::Measures
        } else if has("mesh") {
            Self::Hull
        } else if has("rails") || (has("rig") && !has("load")) {
            Self::Rig
        } else {
            Self::Job
        }
    }
}

fn extension(name: &str) -> String {
    name.rsplit_once('.')
        .map(|(_, last)| last.to_ascii_lowercase())
        .unwrap_or_default()
}

/// Extensions of every file that can be opened, or chosen together with one: what dialogs offer.
pub fn extensions() -> Vec<&'static str> {
    let mut all = vec!["json"];
    for extension in Format::ALL.iter().flat_map(|format| format.extensions()) {
        if !all.contains(extension) {
            all.push(extension);
        }
    }
    all.extend(BESIDE);
    all
}

/// What can be opened, for readers: "a job, a hull, or a mesh (binary STL, …)".
pub fn in_words() -> String {
    let words: Vec<&str> = Format::ALL.iter().map(|format| format.word()).collect();
    format!("a job, a hull, or a mesh ({})", words.join(", "))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_are_told_apart_by_what_they_hold() {
        for (name, bytes, kind) in [
            (
                "a.json",
                br#"{"load": {}, "rig": "r"}"#.as_slice(),
                Kind::Job,
            ),
            ("a.JSON", br#"{"mesh": "m.stl"}"#, Kind::Hull),
            ("a.txt", br#"  {"mesh": "m.stl"}"#, Kind::Hull),
            ("hull", b"\xef\xbb\xbf{\"mesh\": \"m.stl\"}", Kind::Hull),
            ("a.json", br#"{"rig": {}}"#, Kind::Rig),
            ("a.json", b"{ broken", Kind::Job),
            ("a.json", b"[1]", Kind::Job),
            ("a.json", br#"{"asset": {"version": "2.0"}}"#, Kind::Mesh),
            (
                "a.json",
                br#"{"family": "skiff", "measures": {}}"#,
                Kind::Measures,
            ),
            ("a.gltf", b"{ broken", Kind::Mesh),
            ("a.stl", b"solid", Kind::Mesh),
            ("offsets.csv", b"offsets,1\n", Kind::Mesh),
            ("a.mtl", b"newmtl x", Kind::Beside),
        ] {
            assert_eq!(Kind::of(name, bytes), kind, "{name}");
        }
    }

    #[test]
    fn every_format_can_be_chosen() {
        let offered = extensions();
        for format in Format::ALL {
            let endings = format.extensions();
            assert!(endings.iter().all(|e| offered.contains(e)), "{format:?}");
        }
        let once = |e: &&str| offered.iter().filter(|o| *o == e).count() == 1;
        assert!(offered.iter().all(once), "{offered:?}");
    }
}
