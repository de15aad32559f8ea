//! What is written over the picture of a hull being brought in: dimensions, waterline, marks, which
//! end is the bow.

use egui::{FontId, Painter, Pos2, Stroke, Vec2};
use keelstead_boat::hull::Hull;
use keelstead_geometry::math::{Pose, Vec3};
use keelstead_units::verdict::Verdict;

use super::place::Plates;
use super::{Project, dimensions, plate};
use crate::intake::{Intake, Step};
use crate::marks::{self, MarkKind, ShownMark};
use crate::session::Session;
use crate::theme::Palette;
use crate::words::capital;

/// Corners of a box that its edges join, by their number in `corners`.
const EDGES: [[usize; 2]; 12] = [
    [0, 1],
    [1, 3],
    [3, 2],
    [2, 0],
    [4, 5],
    [5, 7],
    [7, 6],
    [6, 4],
    [0, 4],
    [1, 5],
    [2, 6],
    [3, 7],
];

/// Draws it all.
pub(super) fn intake_ui(
    painter: &Painter,
    plates: &mut Plates,
    intake: &Intake,
    session: &Session,
    project: Project,
) {
    let Some((hull, pose)) = session.drawn_hull() else {
        begin_ui(painter, plates, intake);
        return;
    };
    let over = Over {
        painter,
        palette: Palette::current(painter.ctx()),
        pose,
        project,
    };
    let marked = matches!(intake.step(), Step::Marks | Step::Done).then(|| Hull {
        marks: intake.draft().marks.clone(),
        ..Hull::clone(hull)
    });
    let marks = marked.iter().flat_map(marks::shown).collect::<Vec<_>>();
    // Lines first: no line may cross a figure or a word.
    let eye = pose.inverse() * session.view().camera.eye().vec();
    over.waterline(intake, eye);
    for mark in &marks {
        over.mark(mark);
    }
    let figures = dimensions::lines_ui(painter, intake, session, project);
    for (ends, text) in figures {
        dimensions::figure_ui(painter, plates, &text, ends);
    }
    over.words(plates, intake, hull);
    for mark in &marks {
        over.word(plates, mark.place, &capital(&mark.label), over.stroke(mark));
    }
}

/// What to do while nothing stands there.
fn begin_ui(painter: &Painter, plates: &mut Plates, intake: &Intake) {
    if intake.step() != Step::Measure {
        return;
    }
    let palette = Palette::current(painter.ctx());
    let words = "Type length over all and beam to see the hull here";
    let font = FontId::proportional(16.0);
    let galley = painter.layout(
        words.to_owned(),
        font,
        palette.text,
        plates.view().width() - 40.0,
    );
    let size = galley.size() + Vec2::new(20.0, 12.0);
    let rect = egui::Rect::from_center_size(plates.view().center(), size);
    plate(painter, rect, Stroke::new(1.0, palette.line), palette);
    painter.galley(rect.min + Vec2::new(10.0, 6.0), galley, palette.text);
}

/// The hull in the picture, to write over.
struct Over<'o> {
    painter: &'o Painter,
    palette: &'o Palette,
    pose: Pose,
    project: Project<'o>,
}

impl Over<'_> {
    /// A point of the hull frame on the screen.
    fn at(&self, point: Vec3) -> Option<Pos2> {
        (self.project)(self.pose * point)
    }

    fn line(&self, ends: [Vec3; 2], stroke: Stroke) {
        if let (Some(a), Some(b)) = (self.at(ends[0]), self.at(ends[1])) {
            self.painter.line_segment([a, b], stroke);
        }
    }

    /// A word on a plate near a point of the hull frame.
    fn word(&self, plates: &mut Plates, point: Vec3, text: &str, stroke: Stroke) {
        let Some(screen) = self.at(point).filter(|at| plates.view().contains(*at)) else {
            return;
        };
        let font = FontId::proportional(14.0);
        let galley = self
            .painter
            .layout_no_wrap(text.to_owned(), font, self.palette.text);
        let size = galley.size() + Vec2::new(10.0, 4.0);
        let Some(rect) = plates.near(screen, size) else {
            return;
        };
        let from = rect.clamp(screen);
        if from.distance(screen) > 2.0 {
            self.painter.line_segment([from, screen], stroke);
        }
        plate(self.painter, rect, stroke, self.palette);
        let text_at = rect.min + Vec2::new(5.0, 2.0);
        self.painter.galley(text_at, galley, self.palette.text);
    }

    /// Which end is the bow, and which line the water.
    fn words(&self, plates: &mut Plates, intake: &Intake, hull: &Hull) {
        let foremost =
            |points: &mut dyn Iterator<Item = Vec3>| points.max_by(|a, b| a.x.total_cmp(&b.x));
        let ends = hull.parts.iter().map(|part| part.mesh.farthest(Vec3::X));
        if let Some(stem) = foremost(&mut ends.into_iter()) {
            self.word(plates, stem, "Bow", Stroke::new(1.0, self.palette.line));
        }
        let wet = intake.waterline().iter().flat_map(|cut| cut.ends);
        let wet = wet.map(|end| end.vec());
        if let Some(point) = foremost(&mut wet.into_iter()) {
            let stroke = Stroke::new(2.0, self.palette.bears);
            self.word(plates, point, "Waterline", stroke);
        }
    }

    /// Where the marked water meets the skin; faint where the skin looks away from `eye`.
    fn waterline(&self, intake: &Intake, eye: Vec3) {
        let near = Stroke::new(2.0, self.palette.bears);
        let far = Stroke::new(1.0, self.palette.bears.gamma_multiply(0.3));
        for cut in intake.waterline() {
            let ends = cut.ends.map(|end| end.vec());
            let seen = (eye - ends[0]).dot(cut.out.vec()) > 0.0;
            self.line(ends, if seen { near } else { far });
        }
    }

    fn stroke(&self, mark: &ShownMark) -> Stroke {
        let colour = match mark.kind {
            MarkKind::KeepOff(_) => self.palette.verdict(Verdict::Foul),
            MarkKind::Strong => self.palette.steadies,
            MarkKind::Lifting => self.palette.accent,
        };
        Stroke::new(2.0, colour)
    }

    fn mark(&self, mark: &ShownMark) {
        for [low, high] in &mark.boxes {
            let corners = corners(*low, *high);
            for [a, b] in EDGES {
                self.line([corners[a], corners[b]], self.stroke(mark));
            }
        }
    }
}

fn corners(low: Vec3, high: Vec3) -> [Vec3; 8] {
    let pick = |bit: usize, axis: usize, which: usize| {
        if which & bit == 0 {
            low[axis]
        } else {
            high[axis]
        }
    };
    std::array::from_fn(|which| Vec3::new(pick(4, 0, which), pick(2, 1, which), pick(1, 2, which)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_edges_of_a_box_run_along_its_axes_and_join_all_its_corners() {
        let corners = corners(Vec3::ZERO, Vec3::new(1.0, 2.0, 3.0));
        let mut met = [0; 8];
        for [a, b] in EDGES {
            let along = (corners[a] - corners[b]).abs();
            let axes = along.to_array().into_iter().filter(|by| *by > 0.0).count();
            assert_eq!(axes, 1, "{a} {b}");
            met[a] += 1;
            met[b] += 1;
        }
        assert_eq!(met, [3; 8]);
    }
}
