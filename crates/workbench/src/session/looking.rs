//! What is shown, and from where.

use super::Session;
use crate::action::{Action, Request};
use crate::sight;
use crate::view::Camera;

impl Session {
    /// Actions that change only what is shown.
    pub(super) fn look(&mut self, action: Action, requests: &mut Vec<Request>) {
        match action {
            Action::Select(id) => self.select(id, requests),
            Action::SelectNext => self.select_by(1, requests),
            Action::SelectPrevious => self.select_by(-1, requests),
            Action::Units(units) => self.view.units = units,
            Action::Theme(theme) => self.view.theme = theme,
            Action::HullOpacity(opacity) if opacity.is_finite() => {
                self.view.hull_opacity = opacity.clamp(0.0, 1.0);
            }
            Action::Cut(station_m) => {
                self.view.cut_station_m = station_m.filter(|x_m| x_m.is_finite());
            }
            Action::Labels(on) => self.view.labels = on,
            Action::Loads(on) => self.view.loads = on,
            Action::Figure(on) => self.view.figure = on,
            Action::Water(on) => self.view.water = on,
            Action::LookFrom(from) => {
                if let Some(bounds) = self.scene_bounds() {
                    requests.push(Request::FlyTo(Camera::framing(&bounds, from, self.aspect)));
                }
            }
            Action::CameraMoved(camera) => {
                self.view.camera = camera;
                return;
            }
            Action::Tab(tab) => self.view.tab = tab,
            Action::Show(overlay) => self.view.overlay = overlay,
            Action::Touch(on) => self.view.touch = on,
            _ => return,
        }
        self.revision += 1;
    }

    fn select(&mut self, id: Option<String>, requests: &mut Vec<Request>) {
        self.view.selected = id;
        let camera = self.view.camera;
        if let Some(place) = self.selected().and_then(|finding| finding.place) {
            requests.push(Request::FlyTo(sight::of_place(&place, &camera)));
        }
    }

    fn select_by(&mut self, step: isize, requests: &mut Vec<Request>) {
        let Some(open) = &self.open else {
            return;
        };
        let list = &open.findings.list;
        let at = list
            .iter()
            .position(|finding| Some(&finding.id) == self.view.selected.as_ref());
        let to = match at {
            None => 0,
            Some(at) => at
                .saturating_add_signed(step)
                .min(list.len().saturating_sub(1)),
        };
        let id = list.get(to).map(|finding| finding.id.clone());
        self.select(id, requests);
    }

    /// Width over height of the picture, for views that show all of it.
    pub fn set_aspect(&mut self, aspect: f64) {
        if aspect.is_finite() && aspect > 0.0 {
            self.aspect = aspect;
        }
    }
}
