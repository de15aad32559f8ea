//! Kinds of file that are often taken for a mesh and are none that is read here: what it is, and what
//! to do instead.

const CAD: &str = "Export the hull from the program it is drawn in as a mesh: STL, OBJ, 3MF or GLB, to about 1 mm";
const SCENE: &str = "Open it in the program that made it and export the hull as GLB, OBJ or STL";
const SCAN: &str = "Export the points as LAZ, PLY or XYZ from the scanner's program";
const DRAWING: &str = "A drawing is no hull: take a table of offsets from it, or import a mesh";
const PACKED: &str = "Unpack it and choose the hull's file inside";

/// What the bytes are and what to do, if they are known to be no mesh that is read.
pub(super) fn known(bytes: &[u8]) -> Option<(&'static str, &'static str)> {
    begun(bytes).or_else(|| told(bytes))
}

/// What a ZIP archive without a 3MF model is; `whole` if it can be opened.
pub(super) fn archive(bytes: &[u8], whole: bool) -> (&'static str, &'static str) {
    // The name of its first member stands behind the archive's first 30 bytes.
    let length = bytes
        .get(26..28)
        .map_or(0, |n| usize::from(n[0]) | usize::from(n[1]) << 8);
    let first = bytes
        .get(30..30 + length)
        .unwrap_or_default()
        .to_ascii_lowercase();
    let ends = |end: &str| first.ends_with(end.as_bytes());
    if ends(".usdc") || ends(".usda") || ends(".usd") {
        return ("a USDZ scene", SCENE);
    }
    if whole {
        return ("a ZIP archive that is no 3MF", PACKED);
    }
    (
        "a ZIP archive that cannot be opened: cut short or damaged",
        "Copy or export it again; a 3MF is such an archive",
    )
}

/// By the first bytes alone.
fn begun(bytes: &[u8]) -> Option<(&'static str, &'static str)> {
    const BEGINNINGS: &[(&[u8], &str, &str)] = &[
        (b"ISO-10303-21", "a STEP file (CAD surfaces)", CAD),
        (b"3D Geometry File Format", "a 3DM file (Rhino)", CAD),
        (b"AC10", "a DWG drawing", CAD),
        (b"AutoCAD Binary DXF", "a DXF drawing", CAD),
        (
            b"**ABCDEFGHIJKLMNOPQRSTUVWXYZ",
            "a Parasolid file (CAD surfaces)",
            CAD,
        ),
        (
            b"\xD0\xCF\x11\xE0",
            "a compound document (CAD or office)",
            CAD,
        ),
        (
            b"\xFF\xFE\xFF\x0ES\0k\0e\0t\0c\0h\0U\0p\0",
            "a SketchUp model",
            SCENE,
        ),
        (b"Kaydara FBX Binary", "an FBX scene", SCENE),
        (b"; FBX", "an FBX scene", SCENE),
        (b"BLENDER", "a Blender scene", SCENE),
        (b"PXR-USDC", "a USD scene", SCENE),
        (b"#usda", "a USD scene", SCENE),
        (b"#VRML", "a VRML scene", SCENE),
        (b"ASTM-E57", "an E57 scan", SCAN),
        (b"# .PCD", "a PCD cloud of points", SCAN),
        (b"%PDF", "a PDF document", DRAWING),
        (b"\x89PNG", "a picture (PNG)", DRAWING),
        (b"\xFF\xD8\xFF", "a picture (JPEG)", DRAWING),
        (b"GIF8", "a picture (GIF)", DRAWING),
        (b"II*\0", "a picture (TIFF)", DRAWING),
        (b"MM\0*", "a picture (TIFF)", DRAWING),
        (b"\x1F\x8B", "a gzip file", PACKED),
        (b"\x28\xB5\x2F\xFD", "a zstd file", PACKED),
        (b"7z\xBC\xAF\x27\x1C", "a 7z archive", PACKED),
        (b"Rar!", "a RAR archive", PACKED),
        (b"\xFD7zXZ\0", "an xz file", PACKED),
        (
            b"version https://git-lfs.github.com/spec/",
            "a Git LFS pointer: the file itself was not fetched",
            "Run git lfs pull, or download the file itself",
        ),
    ];
    BEGINNINGS
        .iter()
        .find(|(beginning, ..)| bytes.starts_with(beginning))
        .map(|&(_, what, advice)| (what, advice))
}

/// By more than the first bytes.
fn told(bytes: &[u8]) -> Option<(&'static str, &'static str)> {
    if bytes.starts_with(b"RIFF") && bytes.get(8..12) == Some(b"WEBP") {
        return Some(("a picture (WebP)", DRAWING));
    }
    let length = bytes.get(2..6).and_then(|n| n.try_into().ok());
    let length = length.map(|n| u32::from_le_bytes(n) as usize);
    if bytes.starts_with(b"MM") && length == Some(bytes.len()) {
        return Some(("a 3DS scene", SCENE));
    }
    if bytes.starts_with(b"BM") && length == Some(bytes.len()) {
        return Some(("a picture (BMP)", DRAWING));
    }
    let start = String::from_utf8_lossy(&bytes[..bytes.len().min(4096)]);
    let start = start.trim_start_matches('\u{feff}').trim_start();
    // Column 73 of an IGES line tells its section, the line's number follows.
    let iges = |line: &str| {
        line.is_ascii()
            && line.get(72..73) == Some("S")
            && line.get(73..80).is_some_and(|n| n.trim() == "1")
    };
    if start.lines().next().is_some_and(iges) {
        return Some(("an IGES file (CAD surfaces)", CAD));
    }
    let mut lines = start.lines().map(str::trim);
    if lines.clone().take(40).any(|line| line == "SECTION")
        && lines.next().is_some_and(|line| matches!(line, "0" | "999"))
    {
        return Some(("a DXF drawing", CAD));
    }
    if start.contains("<COLLADA") {
        return None;
    }
    let small = start.to_ascii_lowercase();
    if small.starts_with("<!doctype html") || small.starts_with("<html") {
        return Some((
            "a web page: the download gave an error or a log-in, not the file",
            "Download the file again, or ask whoever holds it",
        ));
    }
    let has = |tag: &str| small.starts_with('<') && small.contains(tag);
    if has("<svg") {
        return Some(("a drawing (SVG)", DRAWING));
    }
    if has("<x3d") || has("<amf") {
        return Some(("an X3D or AMF scene", SCENE));
    }
    ptx(start).then_some(("a PTX scan", SCAN))
}

/// A PTX scan begins with two counts, then the scanner's place and axes, three numbers each.
fn ptx(start: &str) -> bool {
    let columns = |line: &str| -> usize {
        let words = line.split_ascii_whitespace();
        match words.clone().all(|word| word.parse::<f64>().is_ok()) {
            true => words.count(),
            false => 0,
        }
    };
    start
        .lines()
        .map(columns)
        .take(10)
        .eq([1, 1, 3, 3, 3, 3, 4, 4, 4, 4])
}
