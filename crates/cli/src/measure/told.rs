//! Measures as options of the command.

use anyhow::bail;
use clap::Args;
use keelstead::family::{BottomHeight, Family, Girth, HalfBreadth, Measures};
use keelstead_files::units::{Units, parse_length, parse_mass};

/// What is measured, where no document says it.
#[derive(Args, Clone, Debug, Default)]
#[command(next_help_heading = "Measures")]
pub(crate) struct Told {
    /// Kind of hull; --families lists them
    #[arg(long, value_parser = family)]
    family: Option<Family>,
    /// Length over all: 9.42m, 31ft
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    length: Option<f64>,
    /// Greatest beam
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    beam: Option<f64>,
    /// Draft
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    draft: Option<f64>,
    /// Length of the waterline
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    waterline_length: Option<f64>,
    /// Height of the deck's edge at the stem, over the lowest point of the keel
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    height_bow: Option<f64>,
    /// The same at half the length
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    height_middle: Option<f64>,
    /// The same at the stern
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    height_stern: Option<f64>,
    /// Breadth across the top of the transom
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    transom_breadth: Option<f64>,
    /// How far the head of the stem stands forward of the stem at the waterline
    #[arg(long, value_name = "LENGTH", value_parser = length, allow_hyphen_values = true)]
    stem_rake: Option<f64>,
    /// How far the top of the transom stands aft of its foot
    #[arg(long, value_name = "LENGTH", value_parser = length, allow_hyphen_values = true)]
    stern_rake: Option<f64>,
    /// From the after end of the boat to the after end of the keel's underside
    #[arg(long, value_name = "LENGTH", value_parser = length, allow_hyphen_values = true)]
    keel_start: Option<f64>,
    /// Length of the keel's underside
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    keel_length: Option<f64>,
    /// Width of the keel's underside
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    keel_width: Option<f64>,
    /// From the after end of the boat to where the underside has risen 100 mm
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    forefoot: Option<f64>,
    /// From the after end of the boat to the rudder's forward edge
    #[arg(long, value_name = "LENGTH", value_parser = length, allow_hyphen_values = true)]
    rudder_start: Option<f64>,
    /// Height of the rudder's foot
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    rudder_foot: Option<f64>,
    /// Breadth of one hull of a catamaran
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    hull_breadth: Option<f64>,
    /// Height of the bridge deck's underside
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    bridge_height: Option<f64>,
    /// Height of the highest point that travels with her, over the lowest point of the keel: house, rails, arch, mast
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    highest: Option<f64>,
    /// How far anything that travels with her reaches forward of the head of the stem (bowsprit, pulpit, anchor); 0mm if nothing
    /// does
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    beyond_bow: Option<f64>,
    /// How far anything that travels with her reaches aft of the length over all (platform, bracket, davits); 0mm if nothing
    /// does
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    beyond_stern: Option<f64>,
    /// Greatest breadth with rubbing strakes, rails and all else fixed to her sides
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    beam_over_all: Option<f64>,
    /// Somebody looked under her: nothing hangs there but keel, skeg and rudder
    #[arg(long)]
    nothing_under: bool,
    /// What the boat weighs: 5200kg, 11500lb
    #[arg(long, value_name = "MASS", value_parser = mass)]
    displacement: Option<f64>,
    /// From the centreline to the skin, as STATION:HEIGHT:BREADTH (4m:1.2m:1.31m; "sheer" for the height of the deck)
    #[arg(long, value_name = "S:H:B", value_parser = half_breadth)]
    half_breadth: Vec<HalfBreadth>,
    /// Of the bottom over the lowest point, as STATION:OFF CENTRE:HEIGHT
    #[arg(long, value_name = "S:O:H", value_parser = bottom_height)]
    bottom_height: Vec<BottomHeight>,
    /// Along the skin from deck to centreline, as STATION:GIRTH
    #[arg(long, value_name = "S:G", value_parser = girth)]
    girth: Vec<Girth>,
}

fn family(text: &str) -> Result<Family, String> {
    let word = text.to_lowercase();
    Family::ALL
        .into_iter()
        .find(|family| family.word() == word)
        .ok_or_else(|| {
            let all: Vec<_> = Family::ALL.iter().map(|family| family.word()).collect();
            format!("write one of {}", all.join(", "))
        })
}

fn length(text: &str) -> Result<f64, String> {
    parse_length(text, Units::Metric).map_err(|error| error.to_string())
}

fn mass(text: &str) -> Result<f64, String> {
    parse_mass(text, Units::Metric).map_err(|error| error.to_string())
}

fn parted<const N: usize>(text: &str, shape: &str) -> Result<[String; N], String> {
    let parts: Vec<String> = text.split(':').map(|part| part.trim().to_owned()).collect();
    parts
        .try_into()
        .map_err(|_| format!("write {shape}, lengths with their unit"))
}

fn half_breadth(text: &str) -> Result<HalfBreadth, String> {
    let [station, height, breadth] = parted(text, "STATION:HEIGHT:BREADTH")?;
    let at_sheer = height.eq_ignore_ascii_case("sheer");
    Ok(HalfBreadth {
        station_m: length(&station)?,
        height_m: (!at_sheer).then(|| length(&height)).transpose()?,
        half_breadth_m: length(&breadth)?,
    })
}

fn bottom_height(text: &str) -> Result<BottomHeight, String> {
    let [station, off, height] = parted(text, "STATION:OFF CENTRE:HEIGHT")?;
    Ok(BottomHeight {
        station_m: length(&station)?,
        off_m: length(&off)?,
        height_m: length(&height)?,
    })
}

fn girth(text: &str) -> Result<Girth, String> {
    let [station, girth] = parted(text, "STATION:GIRTH")?;
    Ok(Girth {
        station_m: length(&station)?,
        girth_m: length(&girth)?,
    })
}

impl Told {
    /// Family and measures; none if none are told.
    pub(super) fn measures(&self) -> anyhow::Result<Option<(Family, Measures)>> {
        let (family, length_m, beam_m) = match (self.family, self.length, self.beam) {
            (Some(family), Some(length), Some(beam)) => (family, length, beam),
            (None, None, None) => return Ok(None),
            _ => bail!(
                "measures without a document need at least --family, --length and --beam; --families lists the families"
            ),
        };
        let measures = Measures {
            draft_m: self.draft,
            waterline_length_m: self.waterline_length,
            height_bow_m: self.height_bow,
            height_middle_m: self.height_middle,
            height_stern_m: self.height_stern,
            transom_breadth_m: self.transom_breadth,
            stem_rake_m: self.stem_rake,
            stern_rake_m: self.stern_rake,
            keel_start_m: self.keel_start,
            keel_length_m: self.keel_length,
            keel_width_m: self.keel_width,
            forefoot_m: self.forefoot,
            rudder_start_m: self.rudder_start,
            rudder_foot_m: self.rudder_foot,
            hull_breadth_m: self.hull_breadth,
            bridge_height_m: self.bridge_height,
            highest_m: self.highest,
            beyond_bow_m: self.beyond_bow,
            beyond_stern_m: self.beyond_stern,
            beam_over_all_m: self.beam_over_all,
            nothing_under: self.nothing_under,
            displacement_kg: self.displacement,
            half_breadths: self.half_breadth.clone(),
            bottom_heights: self.bottom_height.clone(),
            girths: self.girth.clone(),
            ..Measures::new(length_m, beam_m)
        };
        Ok(Some((family, measures)))
    }
}
