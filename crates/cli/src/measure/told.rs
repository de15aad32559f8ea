//! Measures as options of the command.

use clap::Args;
use keelstead_boat::family::{BottomHeight, Family, Girth, HalfBreadth, MeasureKind, Measures};
use keelstead_files::measures_file::MeasuresFile;
use keelstead_units::{Units, parse_length, parse_mass};

/// What is measured, where no document says it or besides what one says.
#[derive(Args, Clone, Debug, Default, PartialEq)]
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
    /// Whether nothing is told.
    pub(super) fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// Family and measures, where what is told is enough for a boat of its own: family, length and beam at least.
    pub(super) fn whole(&self) -> Option<(Family, Measures)> {
        let mut measures = Measures::new(self.length?, self.beam?);
        self.add_to(&mut measures);
        Some((self.family?, measures))
    }

    /// Sets what is told beside what `measured` says already; measures at places join those there.
    pub(super) fn add(&self, measured: &mut MeasuresFile) {
        measured.family = self.family.unwrap_or(measured.family);
        self.add_to(&mut measured.measures);
    }

    fn add_to(&self, measures: &mut Measures) {
        for kind in MeasureKind::ALL {
            if let Some(value) = self.value(kind) {
                measures.set(kind, Some(value));
            }
        }
        measures.nothing_under |= self.nothing_under;
        measures.half_breadths.extend(&self.half_breadth);
        measures.bottom_heights.extend(&self.bottom_height);
        measures.girths.extend(&self.girth);
    }

    /// The measure of a kind that is measured once.
    fn value(&self, kind: MeasureKind) -> Option<f64> {
        match kind {
            MeasureKind::Length => self.length,
            MeasureKind::Beam => self.beam,
            MeasureKind::Draft => self.draft,
            MeasureKind::WaterlineLength => self.waterline_length,
            MeasureKind::HeightBow => self.height_bow,
            MeasureKind::HeightMiddle => self.height_middle,
            MeasureKind::HeightStern => self.height_stern,
            MeasureKind::TransomBreadth => self.transom_breadth,
            MeasureKind::StemRake => self.stem_rake,
            MeasureKind::SternRake => self.stern_rake,
            MeasureKind::KeelStart => self.keel_start,
            MeasureKind::KeelLength => self.keel_length,
            MeasureKind::KeelWidth => self.keel_width,
            MeasureKind::Forefoot => self.forefoot,
            MeasureKind::RudderStart => self.rudder_start,
            MeasureKind::RudderFoot => self.rudder_foot,
            MeasureKind::HullBreadth => self.hull_breadth,
            MeasureKind::BridgeHeight => self.bridge_height,
            MeasureKind::Highest => self.highest,
            MeasureKind::BeyondBow => self.beyond_bow,
            MeasureKind::BeyondStern => self.beyond_stern,
            MeasureKind::BeamOverAll => self.beam_over_all,
            MeasureKind::Displacement => self.displacement,
            MeasureKind::HalfBreadth | MeasureKind::BottomHeight | MeasureKind::Girth => None,
        }
    }
}
