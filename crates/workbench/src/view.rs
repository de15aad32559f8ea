//! What of the job is shown, and from where: plain data, no pixels.

use keelstead_geometry::math::{Aabb, Point, Vec3};
use keelstead_units::Units;
use serde::{Deserialize, Serialize};

/// Light or dark.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ThemeChoice {
    /// Dark text on a light ground: readable in sunlight.
    Light,
    /// Light text on a dark ground: readable at night.
    Dark,
    /// As the device is set.
    #[default]
    System,
}

/// A side to look from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum LookFrom {
    /// From the left (port) side, level.
    Port,
    /// From the right (starboard) side, level.
    Starboard,
    /// From ahead, level.
    Bow,
    /// From astern, level.
    Stern,
    /// From straight above, bow up.
    Above,
    /// From straight below.
    Below,
    /// From port, astern and a little above: the view a job opens with, the tractor behind the boat.
    Corner,
}

impl LookFrom {
    /// All of them, in the order of their buttons and number keys.
    pub const ALL: [Self; 7] = [
        Self::Corner,
        Self::Port,
        Self::Starboard,
        Self::Bow,
        Self::Stern,
        Self::Above,
        Self::Below,
    ];

    /// The word on its button.
    pub fn word(self) -> &'static str {
        match self {
            Self::Port => "Port side",
            Self::Starboard => "Starboard side",
            Self::Bow => "Bow",
            Self::Stern => "Stern",
            Self::Above => "Above",
            Self::Below => "Below",
            Self::Corner => "Corner",
        }
    }

    /// Azimuth and elevation of the eye as seen from the focus, rad; see [`Camera`].
    fn angles(self) -> (f64, f64) {
        use std::f64::consts::{FRAC_PI_2, PI};
        // Not quite upright, so that "up" on the screen stays defined.
        let upright = FRAC_PI_2 - 1e-3;
        match self {
            Self::Port => (FRAC_PI_2, 0.05),
            Self::Starboard => (-FRAC_PI_2, 0.05),
            Self::Bow => (0.0, 0.05),
            Self::Stern => (PI, 0.05),
            Self::Above => (PI, upright),
            Self::Below => (PI, -upright),
            Self::Corner => (2.25, 0.30),
        }
    }
}

/// A camera that looks at a point and turns round it. Trailer frame.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Camera {
    /// What it looks at.
    pub focus: Point,
    /// Direction from focus to eye in plan, rad: 0 ahead of the focus, positive towards port.
    pub azimuth_rad: f64,
    /// Direction from focus to eye above level, rad; below −π/2 and above π/2 never.
    pub elevation_rad: f64,
    /// From focus to eye, m.
    pub distance_m: f64,
}

impl Default for Camera {
    fn default() -> Self {
        let (azimuth_rad, elevation_rad) = LookFrom::Corner.angles();
        Self {
            focus: Point::new(-6.0, 0.0, 1.5),
            azimuth_rad,
            elevation_rad,
            distance_m: 18.0,
        }
    }
}

/// Half the camera's upright angle of view, rad: the viewer projects with it, and
/// [`Camera::framing`] counts on it.
pub const HALF_FIELD_OF_VIEW_RAD: f64 = 0.35;

/// How much further away than a picture filled to its edges.
const ROOM_AROUND: f64 = 1.08;

impl Camera {
    /// Where the eye is.
    pub fn eye(&self) -> Point {
        let (sin_a, cos_a) = self.azimuth_rad.sin_cos();
        let (sin_e, cos_e) = self.elevation_rad.sin_cos();
        let out = Vec3::new(cos_e * cos_a, cos_e * sin_a, sin_e);
        (self.focus.vec() + out * self.distance_m).into()
    }

    /// Looks at all of `bounds` from a side; `aspect` is width over height of the picture.
    pub fn framing(bounds: &Aabb, from: LookFrom, aspect: f64) -> Self {
        let (azimuth_rad, elevation_rad) = from.angles();
        let looking = Self {
            focus: bounds.center().into(),
            azimuth_rad,
            elevation_rad,
            distance_m: 1.0,
        };
        let back = looking.eye().vec() - bounds.center();
        let right = Vec3::Z.cross(back).normalize_or_zero();
        let up = back.cross(right);
        let tan_up = HALF_FIELD_OF_VIEW_RAD.tan();
        let tan_across = tan_up * aspect.max(0.1);
        // Each corner asks for the distance at which it just comes into the picture.
        let needed = bounds.vertices().into_iter().map(|corner| {
            let off = corner - bounds.center();
            let sideways = (off.dot(right).abs() / tan_across).max(off.dot(up).abs() / tan_up);
            sideways + off.dot(back)
        });
        Self {
            distance_m: needed.fold(1.0, f64::max) * ROOM_AROUND,
            ..looking
        }
    }

    /// Comes near to `point` from where it looks now.
    pub fn near(&self, point: Point) -> Self {
        Self {
            focus: point,
            elevation_rad: self.elevation_rad.clamp(-0.6, 0.6),
            distance_m: self.distance_m.clamp(2.5, 5.5),
            ..*self
        }
    }
}

/// One of the sheets at the foot of a narrow screen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Tab {
    /// What was found.
    #[default]
    Findings,
    /// Hull, beams, stacks, pads, suspension.
    Arrange,
    /// What of it is shown, and from where.
    View,
    /// Open, save, demo jobs.
    File,
}

impl Tab {
    /// All of them, in order.
    pub const ALL: [Self; 4] = [Self::Findings, Self::Arrange, Self::View, Self::File];

    /// The word on its button.
    pub fn word(self) -> &'static str {
        match self {
            Self::Findings => "Findings",
            Self::Arrange => "Arrange",
            Self::View => "View",
            Self::File => "File",
        }
    }
}

/// Something laid over everything until it is put away.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Overlay {
    /// The keys and gestures.
    Help,
    /// The cautions in full.
    Cautions,
    /// The demo jobs to choose from.
    Demos,
}

/// What of the job is shown, how and from where.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct View {
    /// How figures are written.
    pub units: Units,
    /// Light or dark.
    pub theme: ThemeChoice,
    /// Id of the finding looked at.
    pub selected: Option<String>,
    /// 1: the hull is solid; 0: it is not drawn.
    pub hull_opacity: f64,
    /// The hull is cut at this station and the half on the viewer's side left out: m forward of
    /// the hull's origin, hull frame.
    pub cut_station_m: Option<f64>,
    /// Whether parts are named in the scene.
    pub labels: bool,
    /// Whether the loads are shown: arrows, and beams and blocks by how hard they are used.
    pub loads: bool,
    /// Whether a person of 1.75 m stands beside the trailer.
    pub figure: bool,
    /// Whether the water is shown at the waterline that was marked on a hull being brought in.
    pub water: bool,
    /// Where the scene is seen from; the viewer moves it, and flies it where
    /// [`crate::Request::FlyTo`] asks.
    pub camera: Camera,
    /// The sheet shown on a narrow screen.
    pub tab: Tab,
    /// What lies over everything.
    pub overlay: Option<Overlay>,
    /// Whether fingers are at work: widgets grow to 44 points on wide screens too.
    pub touch: bool,
}

impl Default for View {
    fn default() -> Self {
        Self {
            units: Units::Metric,
            theme: ThemeChoice::System,
            selected: None,
            hull_opacity: 1.0,
            cut_station_m: None,
            labels: false,
            loads: true,
            figure: true,
            water: true,
            camera: Camera::default(),
            tab: Tab::Findings,
            overlay: None,
            touch: false,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_eye_is_where_the_angles_say() {
        let camera = Camera {
            focus: Point::new(1.0, 2.0, 3.0),
            azimuth_rad: std::f64::consts::FRAC_PI_2,
            elevation_rad: 0.0,
            distance_m: 4.0,
        };
        let off = camera.eye().vec() - Vec3::new(1.0, 6.0, 3.0);
        assert!(off.length() < 1e-12, "seen from port: {off:?}");
    }

    #[test]
    fn framing_from_each_side_keeps_the_whole_box_in_the_picture() {
        let bounds = Aabb::new(Vec3::new(-12.0, -1.3, 0.0), Vec3::new(3.0, 1.3, 4.0));
        for from in LookFrom::ALL {
            for aspect in [0.9, 1.6] {
                let camera = Camera::framing(&bounds, from, aspect);
                let eye = camera.eye().vec();
                let ahead = (camera.focus.vec() - eye).normalize();
                let right = ahead.cross(Vec3::Z).normalize();
                let up = right.cross(ahead);
                for corner in bounds.vertices() {
                    let to = corner - eye;
                    let depth = to.dot(ahead);
                    assert!(depth > 0.0, "{from:?}: a corner lies behind the eye");
                    let tan = HALF_FIELD_OF_VIEW_RAD.tan();
                    let (u, v) = (to.dot(right) / depth, to.dot(up) / depth);
                    assert!(
                        v.abs() <= tan && u.abs() <= tan * aspect,
                        "{from:?} {aspect} {u} {v}"
                    );
                }
            }
        }
    }
}
