//! Where plates go so that none covers another and all stay inside the view.

use egui::{Pos2, Rect, Vec2};

/// Room kept between plates and to the view's edge, points.
const ROOM: f32 = 3.0;

/// The plates placed so far.
pub(super) struct Plates {
    view: Rect,
    taken: Vec<Rect>,
}

impl Plates {
    pub fn new(view: Rect) -> Self {
        Self {
            view,
            taken: Vec::new(),
        }
    }

    pub fn view(&self) -> Rect {
        self.view
    }

    /// Keeps plates off `rect`.
    pub fn take(&mut self, rect: Rect) {
        self.taken.push(rect);
    }

    /// Takes `rect` if nothing else does.
    pub fn take_if_free(&mut self, rect: Rect) -> bool {
        let free = self.is_free(rect);
        if free {
            self.taken.push(rect);
        }
        free
    }

    /// Places a plate that must be shown, about `wanted` and clear of `point`, inside the view.
    pub fn place(&mut self, wanted: Pos2, size: Vec2, point: Pos2) -> Rect {
        let about = |centre: Pos2| clamp_inside(Rect::from_center_size(centre, size), self.view);
        let first = about(wanted);
        let away = wanted - point;
        let ways = [away, -away, away.rot90(), -away.rot90()];
        let rect = std::iter::once(first)
            .chain((1..4).flat_map(|step| {
                let far = 1.0 + step as f32 * 0.8;
                ways.map(|way| about(self.view.clamp(point) + way * far))
            }))
            .find(|rect| self.is_free(*rect))
            .unwrap_or(first);
        self.taken.push(rect);
        rect
    }

    /// Places a plate that must be shown about the first of `centres` where there is room; about the first of all if
    /// there is none.
    pub fn first_free(&mut self, centres: &[Pos2], size: Vec2) -> Rect {
        let about = |centre: &Pos2| clamp_inside(Rect::from_center_size(*centre, size), self.view);
        let found = centres.iter().map(about).find(|rect| self.is_free(*rect));
        let rect = found.unwrap_or_else(|| about(centres.first().unwrap_or(&self.view.center())));
        self.taken.push(rect);
        rect
    }

    /// Places a plate near `point` if there is room for it.
    pub fn near(&mut self, point: Pos2, size: Vec2) -> Option<Rect> {
        let half = size / 2.0;
        let ways = [
            Vec2::new(0.0, -half.y - 8.0),
            Vec2::new(0.0, half.y + 8.0),
            Vec2::new(half.x + 10.0, 0.0),
            Vec2::new(-half.x - 10.0, 0.0),
            Vec2::new(half.x + 10.0, -half.y - 16.0),
            Vec2::new(-half.x - 10.0, -half.y - 16.0),
            Vec2::new(0.0, -half.y - 34.0),
            Vec2::new(0.0, half.y + 34.0),
        ];
        let rect = ways
            .map(|way| clamp_inside(Rect::from_center_size(point + way, size), self.view))
            .into_iter()
            .find(|rect| self.is_free(*rect))?;
        self.taken.push(rect);
        Some(rect)
    }

    /// Places a plate beyond `point` the way `along` leads, as near as there is room, else beside
    /// it.
    pub fn beyond(&mut self, point: Pos2, along: Vec2, size: Vec2) -> Option<Rect> {
        /// How far from a point a plate still belongs to it, in steps.
        const STEPS: u8 = 6;
        const STEP: f32 = 22.0;
        let reach = (along.x.abs() * size.x + along.y.abs() * size.y) / 2.0 + 6.0;
        let rect = (0..STEPS)
            .map(|step| point + along * (reach + f32::from(step) * STEP))
            .map(|centre| clamp_inside(Rect::from_center_size(centre, size), self.view))
            .find(|rect| self.is_free(*rect));
        if let Some(rect) = rect {
            self.taken.push(rect);
            return Some(rect);
        }
        self.near(point, size)
    }

    fn is_free(&self, rect: Rect) -> bool {
        let roomy = rect.expand(ROOM);
        self.view.contains_rect(rect) && !self.taken.iter().any(|taken| taken.intersects(roomy))
    }
}

/// `rect` moved the least that brings it inside `view`; at the view's upper left if it is larger.
pub(super) fn clamp_inside(rect: Rect, view: Rect) -> Rect {
    let room = view.shrink(ROOM);
    let most = (room.max - rect.size()).max(room.min);
    let min = rect.min.clamp(room.min, most);
    Rect::from_min_size(min, rect.size())
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::{pos2, vec2};

    fn view() -> Rect {
        Rect::from_min_size(pos2(100.0, 50.0), vec2(390.0, 350.0))
    }

    #[test]
    fn a_plate_wanted_outside_ends_up_inside() {
        let mut plates = Plates::new(view());
        for wanted in [
            pos2(-500.0, 80.0),
            pos2(2000.0, 80.0),
            pos2(300.0, -900.0),
            pos2(300.0, 3000.0),
        ] {
            let rect = plates.place(wanted, vec2(90.0, 30.0), wanted + vec2(0.0, 30.0));
            assert!(view().contains_rect(rect), "{rect:?}");
        }
    }

    #[test]
    fn names_at_one_spot_never_overlap() {
        let mut plates = Plates::new(view());
        let mut placed: Vec<Rect> = Vec::new();
        for _ in 0..40 {
            placed.extend(plates.near(pos2(300.0, 200.0), vec2(80.0, 20.0)));
        }
        assert!(
            placed.len() >= 4,
            "there is room for some: {}",
            placed.len()
        );
        assert!(placed.len() < 40, "and not for all");
        for (i, a) in placed.iter().enumerate() {
            for b in &placed[i + 1..] {
                assert!(!a.intersects(*b), "{a:?} {b:?}");
            }
        }
    }

    #[test]
    fn a_mark_gives_way_to_a_plate() {
        let mut plates = Plates::new(view());
        let point = pos2(300.0, 200.0);
        let plate = plates.place(point, vec2(90.0, 30.0), point);
        assert!(!plates.take_if_free(plate));
        assert!(plates.take_if_free(plate.translate(vec2(0.0, 60.0))));
    }
}
