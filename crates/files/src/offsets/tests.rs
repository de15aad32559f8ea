#![allow(clippy::unwrap_used)]

use keelstead_boat::hydrostatics::{WaterPlane, immersed};
use keelstead_geometry::math::Vec3;
use keelstead_geometry::mesh::Mesh;

use super::*;
use crate::Silent;
use crate::hull_file::{Axes, HullFile};
use crate::open::hull_of;
use crate::source::Memory;

fn mesh(surface: &OffsetSurface) -> Mesh {
    let vertices = surface.positions.iter().copied().map(Vec3::from_array);
    let mesh = Mesh::new(vertices.collect(), surface.triangles.clone()).unwrap();
    let topology = mesh.topology();
    assert_eq!(topology.boundary_edges, 0, "closed");
    assert!(topology.consistent, "one side out");
    assert!(mesh.signed_volume_m3() > 0.0, "facing outward");
    mesh
}

fn lofted(text: &str) -> (Mesh, Vec<Sentence>) {
    let table = OffsetTable::read(text.as_bytes(), "table.csv").unwrap();
    let surface = table.surface("table.csv").unwrap();
    (mesh(&surface), surface.notices)
}

fn near(found: f64, known: f64, part: f64, what: &str) {
    assert!(
        (found - known).abs() <= part * known.abs(),
        "{what}: {found} for {known}"
    );
}

/// Wigley hull 10 × 3 × 1 m with 21 stations and 9 waterlines.
fn wigley() -> String {
    let mut text = String::from("\"# Wigley, hull\"\nz_m\\x_m");
    let stations: Vec<f64> = (0..=20).map(|i| f64::from(i) * 0.5).collect();
    for x in &stations {
        text += &format!(",{x}");
    }
    for k in 0..=8 {
        let z = f64::from(k) / 8.0;
        text += &format!("\n{z}");
        for x in &stations {
            let (along, down) = ((x - 5.0) / 5.0, 1.0 - z);
            text += &format!(",{:.6}", 1.5 * (1.0 - along * along) * (1.0 - down * down));
        }
    }
    text
}

/// Simpson's rule is exact for this hull: 4LBT/9.
fn written(sentence: &Sentence) -> String {
    keelstead_units::sentence(sentence, keelstead_units::Units::Metric)
}

#[test]
fn a_wigley_table_has_the_volume_simpsons_rule_gives() {
    let (mesh, notices) = lofted(&wigley());
    assert_eq!(notices.len(), 1, "how well it is known: {notices:?}");
    near(mesh.volume_m3().unwrap(), 40.0 / 3.0, 5e-3, "volume");
    let half = immersed(&mesh, &WaterPlane::level(0.5)).unwrap();
    near(half.volume_m3, 25.0 / 6.0, 1e-2, "at half draft");
    near(half.waterplane_m2, 15.0, 5e-3, "waterplane");
    // Every diagonal runs the same way, so fore and aft differ a little.
    assert!((half.centre.x - 5.0).abs() < 1e-3 && half.centre.y.abs() < 1e-9);
}

#[test]
fn a_table_may_lie_on_its_side_or_have_decimal_commas() {
    let upright = OffsetTable::read(wigley().as_bytes(), "a.csv").unwrap();
    let commas = wigley().replace(',', ";").replace('.', ",");
    assert_eq!(
        OffsetTable::read(commas.as_bytes(), "b.csv").unwrap(),
        upright
    );
    let mut turned = String::from("x_m\\z_m");
    for line in &upright.waterlines {
        turned += &format!(",{}", line.at);
    }
    for (i, x) in upright.stations.iter().enumerate() {
        turned += &format!("\n{x}");
        for line in &upright.waterlines {
            turned += &format!(",{:.6}", line.values[i].unwrap());
        }
    }
    assert_eq!(
        OffsetTable::read(turned.as_bytes(), "c.csv").unwrap(),
        upright
    );
}

/// A flat-bottomed skiff with straight flaring sides, in feet, inches and eighths: floor 3 ft wide,
/// sheer 5 ft wide, 2 ft deep, 12 ft between its two square ends.
const SKIFF: &str = "\
offsets,feet-inches-eighths
station,0-0-0,6-0-0,12-0-0
buttock 1-0-0,0-6-0,0-6-0,0-6-0
buttock 1-6-0,0-6-0,0-6-0,0-6-0
profile height,0-6-0,0-6-0,0-6-0
sheer height,2-6-0,2-6-0,2-6-0
sheer half-breadth,2-6-0,2-6-0,2-6-0
";

#[test]
fn a_skiff_of_flat_faces_is_exact() {
    let (mesh, _) = lofted(SKIFF);
    near(
        mesh.volume_m3().unwrap(),
        12.0 * 2.0 * 0.5 * (3.0 + 5.0),
        1e-12,
        "cubic feet",
    );
    let bounds = mesh.aabb();
    assert!((bounds.mins.z - 0.5).abs() < 1e-12 && (bounds.maxs.y - 2.5).abs() < 1e-12);
}

/// A stem makes a bow of the forward end: straight to a point 4 ft on, it adds a third of the last
/// section's prism less what the curve along the waterlines rounds off.
#[test]
fn a_stem_closes_the_bow() {
    let with_stem = format!("{SKIFF}stem x,16-0-0,16-0-0\nstem height,0-6-0,2-6-0\n");
    let (mesh, _) = lofted(&with_stem);
    assert!((mesh.aabb().maxs.x - 16.0).abs() < 1e-12);
    let bow = mesh.volume_m3().unwrap() - 96.0;
    // Section 8 ft², four feet: a straight-sided wedge holds half the prism; a round bow more.
    assert!((16.0..22.0).contains(&bow), "{bow}");
}

/// A transom raked 1 ft at its foot and 3 ft at its top adds, by hand, the integral over the two feet of height of
/// breadth (3 + z) by run (1 + z): 6 + 8 + 8/3 cubic feet.
#[test]
fn a_raked_transom_closes_the_stern() {
    let raked = format!("{SKIFF}transom x,-1-0-0,-3-0-0\ntransom height,0-6-0,2-6-0\n");
    let (mesh, notices) = lofted(&raked);
    assert!(
        notices
            .iter()
            .any(|n| written(n).contains("how wide the raked transom")),
        "{notices:?}"
    );
    assert!(mesh.topology().closed() && mesh.topology().consistent);
    assert!((mesh.aabb().mins.x + 3.0).abs() < 1e-12);
    near(
        mesh.volume_m3().unwrap(),
        96.0 + 50.0 / 3.0,
        1e-4,
        "straight on",
    );
    // Half as wide at its after edge as the section is, so the mean of both by the run.
    let tucked = format!("{raked}transom half-breadth,0-9-0,1-3-0\n");
    let (mesh, notices) = lofted(&tucked);
    assert!(
        !notices.iter().any(|n| written(n).contains("transom")),
        "{notices:?}"
    );
    let more = mesh.volume_m3().unwrap() - 96.0;
    assert!(
        (0.74 * 50.0 / 3.0..0.9 * 50.0 / 3.0).contains(&more),
        "{more}"
    );
}

/// Simpson's rule of the same table: a hull of parabolas, 8 m to her stem, her transom raked from 0.4 m to 1.2 m abaft
/// station 0.
#[test]
fn a_raked_transom_holds_what_simpsons_rule_says() {
    let half = |x: f64, z: f64| 1.4 * (1.0 - (x / 8.0).powi(2)) * (1.0 - (1.0 - z).powi(2));
    let end = |z: f64| -0.4 - 0.8 * z;
    let row = |title: String, values: &mut dyn Iterator<Item = f64>| {
        values.fold(title, |line, v| format!("{line},{v:.7}")) + "\n"
    };
    let tenths = || (0..=20).map(|i| f64::from(i) / 20.0);
    let mut text =
        "offsets,metre\n".to_owned() + &row("station".into(), &mut tenths().map(|s| 8.0 * s));
    for z in tenths() {
        text += &row(
            format!("waterline {z}"),
            &mut tenths().map(|s| half(8.0 * s, z)),
        );
    }
    text += &row("transom x".into(), &mut tenths().map(end));
    text += &row("transom height".into(), &mut tenths());
    text += &row(
        "transom half-breadth".into(),
        &mut tenths().map(|z| half(end(z), z)),
    );
    let simpson = |from: f64, to: f64, f: &dyn Fn(f64) -> f64| {
        let h = (to - from) / 20.0;
        let weight = |i: u32| match i {
            0 | 20 => 1.0,
            i if i % 2 == 1 => 4.0,
            _ => 2.0,
        };
        (0..=20)
            .map(|i| weight(i) * f(from + h * f64::from(i)))
            .sum::<f64>()
            * h
            / 3.0
    };
    let area = |z: f64| {
        let of = |x: f64| 2.0 * half(x, z);
        simpson(end(z), 0.0, &of) + simpson(0.0, 8.0, &of)
    };
    let (mesh, _) = lofted(&text);
    near(
        mesh.volume_m3().unwrap(),
        simpson(0.0, 1.0, &area),
        2e-3,
        "volume",
    );
}

#[test]
fn keel_and_rabbet_stand_below_the_planking() {
    let text = format!(
        "{}rabbet height,0-9-0,0-9-0,0-9-0\nrabbet half-breadth,0-3-0,0-3-0,0-3-0\nwaterline 1-6-0,2-0-0,2-0-0,2-0-0\n",
        SKIFF
            .lines()
            .filter(|line| !line.starts_with("buttock"))
            .map(|line| format!("{line}\n"))
            .collect::<String>()
    );
    let (mesh, _) = lofted(&text);
    // The keel is six inches wide and three deep; a row of the mesh cuts across its corner.
    let keel = immersed(&mesh, &WaterPlane::level(0.75)).unwrap();
    near(keel.volume_m3, 12.0 * 0.5 * 0.25, 1e-3, "keel");
}

#[test]
fn a_bottom_that_is_not_given_is_told() {
    let text = "z_m\\x_m,0,1,2\n0,,0,\n0.5,1,1,1\n1,1.2,1.2,1.2\n";
    let (mesh, notices) = lofted(text);
    assert_eq!(notices.len(), 2, "{notices:?}");
    assert!(written(&notices[0]).contains("2 stations"), "{notices:?}");
    assert_eq!(mesh.aabb().mins.z, 0.0);
}

#[test]
fn a_hull_description_opens_a_table_whatever_it_is_called() {
    let opened = |file: &str, unit| {
        let described = HullFile::for_mesh("W", file, unit, Axes::default());
        let source = Memory::new([(file.to_owned(), wigley().into_bytes())]);
        hull_of(&source, &described, "w.json", &Silent)
    };
    let hull = opened("w.csv", LengthUnit::Metre).unwrap();
    assert!(
        hull.notices
            .iter()
            .all(|n| !n.to_string().contains("read as")),
        "{:?}",
        hull.notices
    );
    near(
        hull.hull.parts[0].mesh.volume_m3().unwrap(),
        40.0 / 3.0,
        5e-3,
        "volume",
    );
    let misnamed = opened("w.stl", LengthUnit::Metre).unwrap();
    assert!(
        misnamed
            .notices
            .iter()
            .any(|n| n.to_string().contains("table of offsets"))
    );
    let error = opened("w.csv", LengthUnit::Foot).unwrap_err().to_string();
    assert!(
        error.contains("\"metre\"") && error.contains("w.csv"),
        "{error}"
    );
}

#[test]
fn what_is_wrong_is_named_with_its_line() {
    let refused = |text: &str, pieces: &[&str]| {
        let error = OffsetTable::read(text.as_bytes(), "t.csv")
            .and_then(|table| table.surface("t.csv"))
            .unwrap_err()
            .to_string();
        for piece in pieces.iter().chain(&["t.csv"]) {
            assert!(error.contains(piece), "{piece:?} is not in: {error}");
        }
    };
    refused("", &["offsets"]);
    refused(
        "offsets,cubits\n",
        &["line 1", "cubits", "feet-inches-eighths"],
    );
    refused(
        "# c\noffsets,metre\nwaterline 1,0\n",
        &["line 3", "station"],
    );
    refused(
        "offsets,metre\nstation,0,2,1\n",
        &["line 2", "1 stands behind 2"],
    );
    refused(
        "offsets,metre\nstation,0,,1\n",
        &["line 2", "column 3 is empty"],
    );
    refused(
        "offsets,metre\nstation,0,1\nwaterline 0,0,0\n",
        &["2 stations", "three"],
    );
    refused(
        "z_m\\x_m,0,1,2\n0,0,0,0\n\n1,1,x,1\n",
        &["line 4", "\"x\" in column 3", "decimal"],
    );
    refused("z_m\\x_m,0,1,2\n1,1,1,1\n0,0,0,0\n", &["line 3", "rising"]);
    refused(
        "z_m\\x_m,0,1,2\n0,0,0,0\n1,1,1,1,5\n",
        &["line 3", "\"5\" stands behind"],
    );
    refused("z_m\\x_m,0,1,2\n0,0,0,0\n1,1,-1,1\n", &["station 1", "-1"]);
    refused(
        "z_m\\x_m,0,1,2\n0,0,0,0\n1,1,,1\n",
        &["station 1", "1 heights"],
    );
    refused(
        "z_m\\x_m,0,1,2\n0,0,0,0\n1,1,1\n",
        &["line 3", "2 cells", "expected 3", "empty cell"],
    );
    let skiff = |line: &str| format!("{SKIFF}{line}\n");
    refused(
        &skiff("waterline 1-6-0,2-0-0,2-0-0"),
        &["line 8", "2 cells", "expected 3", "empty cell"],
    );
    refused(
        &SKIFF.replace(
            "sheer height,2-6-0,2-6-0,2-6-0",
            "sheer height,2-6-0,2-6-0,",
        ),
        &["sheer at station 12", "a half-breadth and no height"],
    );
    refused(&skiff("knuckle,1-0-0"), &["line 8", "knuckle", "waterline"]);
    refused(
        &skiff("profile height,0-6-0,0-6-0,0-6-0"),
        &["line 8", "second"],
    );
    refused(
        &skiff("rabbet height,0-9-0,0-9-0,0-9-0"),
        &["rabbet", "half-breadth"],
    );
    refused(
        &skiff("waterline 1-0-0,1-13-0,2-0-0,2-0-0"),
        &["line 8", "1-13-0", "eighths"],
    );
    refused(
        &skiff("waterline 3-0-0,2-0-0,2-0-0,2-0-0"),
        &["station 0", "over the sheer"],
    );
    refused(
        &skiff("buttock 2-0-0,1-0-0,1-0-0,1-0-0\nwaterline 1-0-0,1-0-0,1-0-0,1-0-0"),
        &["both"],
    );
    refused(
        &skiff("stem x,11-0-0\nstem height,1-0-0"),
        &["stem", "abaft"],
    );
    refused(&skiff("stem x,13-0-0"), &["stem height 0"]);
    refused(
        &skiff("transom x,1-0-0,2-0-0\ntransom height,0-6-0,2-6-0"),
        &["transom", "forward of the first station"],
    );
    refused(
        &skiff("transom x,-1-0-0,-2-0-0\ntransom height,0-6-0,2-6-0\ntransom half-breadth,1-0-0"),
        &["transom half-breadth has 1"],
    );
}

#[test]
fn a_table_cut_short_anywhere_gives_a_message_or_a_table() {
    let text = format!("{SKIFF}stem x,16-0-0,16-0-0\nstem height,0-6-0,2-6-0\n");
    for end in 0..text.len() {
        if let Ok(table) = OffsetTable::read(&text.as_bytes()[..end], "cut.csv") {
            let _ = table.surface("cut.csv");
        }
    }
    for bytes in [
        &b"offsets,metre\nstation,\"0,1\n"[..],
        b"z_m\\x_m\n",
        b"offsets",
        &[0xFF; 40],
    ] {
        assert!(OffsetTable::read(bytes, "bad.csv").is_err());
    }
}

/// Half-breadth of a hull given by a formula.
type Form = dyn Fn(f64, f64) -> f64;

/// A compact table in metres of a hull given by a formula.
fn tabled(form: &Form, stations: &[f64], heights: &[f64]) -> String {
    let mut text = String::from("z_m\\x_m");
    for x in stations {
        text += &format!(",{x}");
    }
    for z in heights {
        text += &format!("\n{z}");
        for &x in stations {
            text += &format!(",{:.4}", form(x, *z));
        }
    }
    text
}

fn evenly(from: f64, to: f64, pieces: u32) -> Vec<f64> {
    (0..=pieces)
        .map(|i| from + (to - from) * f64::from(i) / f64::from(pieces))
        .collect()
}

/// Greatest distance of the surface's port side from the formula's, to first order in the half-breadth, at corners and
/// middles of triangles.
fn off(surface: &OffsetSurface, form: &Form) -> f64 {
    let corner = |c: u32| Vec3::from_array(surface.positions[c as usize]);
    let away = |p: Vec3| {
        let step = 1e-5;
        let along = (form(p.x + step, p.z) - form(p.x - step, p.z)) / (2.0 * step);
        let up = (form(p.x, p.z + step) - form(p.x, p.z - step)) / (2.0 * step);
        (form(p.x, p.z) - p.y).abs() / (1.0 + along * along + up * up).sqrt()
    };
    let sides = surface.triangles.iter().map(|t| t.map(corner));
    sides
        // Not deck, floor or transom.
        .filter(|[a, b, c]| (*b - *a).cross(*c - *a).normalize_or_zero().y > 1e-6)
        .flat_map(|[a, b, c]| [a, b, c, (a + b) / 2.0, (b + c) / 2.0, (a + b + c) / 3.0])
        .map(away)
        .fold(0.0, f64::max)
}

/// Stations and heights of a table of a hull 10 m long.
fn layouts() -> [(Vec<f64>, Vec<f64>); 7] {
    [
        (vec![0.0, 5.0, 10.0], vec![0.0, 1.0, 1.8]),
        (evenly(0.0, 10.0, 5), vec![0.0, 0.5, 1.0, 1.8]),
        (evenly(0.0, 10.0, 4), vec![0.0, 0.25, 0.5, 0.75, 1.0]),
        (
            vec![
                0.0, 0.5, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 9.5, 10.0,
            ],
            vec![0.0, 0.1, 0.25, 0.5, 0.75, 1.0, 1.4, 1.8],
        ),
        (evenly(0.0, 10.0, 10), evenly(0.0, 1.0, 5)),
        (evenly(0.0, 10.0, 9), evenly(0.0, 1.75, 7)),
        (evenly(0.0, 10.0, 20), evenly(0.0, 1.75, 14)),
    ]
}

/// A Wigley hull with sides run straight up, a full one, and one with a transom.
#[test]
fn hulls_given_by_formulas_are_within_the_tolerance() {
    let bow = |x: f64| (x - 5.0) / 5.0;
    let under = |z: f64| (1.0 - z).max(0.0);
    let wigley = move |x: f64, z: f64| 1.5 * (1.0 - bow(x).powi(2)) * (1.0 - under(z).powi(2));
    let full = move |x: f64, z: f64| 1.5 * (1.0 - bow(x).powi(4)) * (1.0 - under(z).powi(4));
    let run = |x: f64| 1.0 - ((x - 4.0).max(0.0) / 6.0).powi(2);
    let transomed = move |x: f64, z: f64| 1.5 * run(x) * (1.0 - under(z).powi(3));
    let forms: [(&str, &Form); 3] = [
        ("Wigley", &wigley),
        ("full", &full),
        ("transomed", &transomed),
    ];
    for (name, form) in forms {
        for (stations, heights) in layouts() {
            let text = tabled(form, &stations, &heights);
            let table = OffsetTable::read(text.as_bytes(), "t.csv").unwrap();
            let surface = table.surface("t.csv").unwrap();
            let what = format!("{name}, {} x {}", stations.len(), heights.len());
            let (found, off) = (surface.tolerance, off(&surface, form));
            assert!(off <= found, "{what}: {off} off, within {found}");
            // Three stations and three waterlines are those of the full hull as well.
            if stations.len() > 3 {
                assert!(found < 8.0 * off, "{what}: within {found}, {off} off");
            }
        }
    }
}

/// The Wigley hull's half-breadths themselves, which are farther off than the surface is, against figures known from a
/// second program: 99 mm, 80 mm and 11 mm.
#[test]
fn a_sparse_table_says_how_little_it_knows() {
    let form = |x: f64, z: f64| 0.06 * x * (10.0 - x) * (1.0 - (1.0 - z).max(0.0).powi(2));
    for ((stations, heights), [least, most]) in layouts()
        .into_iter()
        .filter(|(stations, _)| [3, 6, 13].contains(&stations.len()))
        .zip([[0.48, 0.55], [0.081, 0.16], [0.0112, 0.045]])
    {
        let text = tabled(&form, &stations, &heights);
        let file = crate::mesh_file::read(text.as_bytes(), "t.csv").unwrap();
        assert!(
            (least..most).contains(&file.tolerance),
            "{} stations: {}",
            stations.len(),
            file.tolerance
        );
        let said = file
            .notices
            .iter()
            .any(|n| n.to_string().contains("lofted"));
        assert!(said, "{:?}", file.notices);
    }
}

#[test]
fn flat_faces_are_as_good_as_their_figures() {
    let table = OffsetTable::read(SKIFF.as_bytes(), "t.csv").unwrap();
    let surface = table.surface("t.csv").unwrap();
    // Half an eighth of an inch, in feet.
    assert!((surface.tolerance - 1.0 / 192.0).abs() < 1e-12);
}
