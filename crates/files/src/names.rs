//! From a file's name to a boat's.

/// A file's name without folder and ending, whichever way its slashes lean.
pub fn stem(path: &str) -> &str {
    let last = path.rsplit(['/', '\\']).next().unwrap_or(path);
    match last.rsplit_once('.') {
        Some((stem, _)) if !stem.is_empty() => stem,
        _ => last,
    }
}

/// What a boat is called to begin with: as its file, in words. The other way leads [`crate::shelf::id_of`].
pub fn boat_of(path: &str) -> String {
    let words = stem(path).replace(['_', '.'], " ");
    let words = words.trim();
    if words.is_empty() { "Hull" } else { words }.to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_s_name_becomes_a_boat_s() {
        assert_eq!(boat_of("scans/old_wren.v2.stl"), "old wren v2");
        assert_eq!(boat_of("C:\\boats\\Eider.PLY"), "Eider");
        assert_eq!(boat_of("folder/"), "Hull");
        assert_eq!(stem(".stl"), ".stl");
        assert_eq!(stem("a/b.hull.json"), "b.hull");
    }
}
