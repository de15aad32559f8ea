//! The boat's weight along the keel: a bar for the share of each support, and how the keel bends.

use egui::{Align2, FontId, Painter, Pos2, Rect, Sense, Shape, Stroke, Ui, Vec2, pos2, vec2};
use egui::{WidgetInfo, WidgetType};
use keelstead::findings::{Findings, Support};
use keelstead_statics::carrying::{Carried, Carrying};
use keelstead_units::Units;

use super::super::widgets::quiet;
use crate::shape;
use crate::theme::{Palette, SMALL_TEXT, bold};
use crate::words::loads as words;

/// Height of the longest bar, points.
const BAR: f32 = 64.0;
/// Height of the curve of bending, points.
const CURVE: f32 = 52.0;
/// Room for a line of text, points.
const LINE: f32 = 18.0;
/// Rows that labels may fall back to.
const ROWS: usize = 3;
/// Points across a verdict's shape at the top of a bar.
const SIGN: f32 = 16.0;

/// Stations as points across: the bow at the left, as seen from port.
#[derive(Clone, Copy)]
struct Along {
    left: f32,
    width: f32,
    fore_m: f64,
    length_m: f64,
}

impl Along {
    fn of(carrying: &Carrying, supports: &[Support], rect: Rect) -> Self {
        let stations = carrying.keel.iter().map(|station| station.x_m);
        let stations = stations.chain(supports.iter().map(|support| support.top.x_m));
        let (aft, fore) = stations.fold((f64::MAX, f64::MIN), |(a, f), x| (a.min(x), f.max(x)));
        let room = rect.shrink2(vec2(16.0, 0.0));
        Self {
            left: room.left(),
            width: room.width(),
            fore_m: fore,
            length_m: (fore - aft).max(1e-3),
        }
    }

    fn at(self, x_m: f64) -> f32 {
        self.left + ((self.fore_m - x_m) / self.length_m) as f32 * self.width
    }
}

/// The bars under the keel line, and the curve below them.
pub(super) fn diagram_ui(ui: &mut Ui, findings: &Findings, carrying: &Carrying, units: Units) {
    let palette = Palette::current(ui.ctx());
    let rows = ROWS as f32 * LINE;
    let size = vec2(ui.available_width(), LINE + BAR + rows + CURVE + 8.0);
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    let text = words::shares(findings, carrying, units);
    response.widget_info(|| WidgetInfo::labeled(WidgetType::Label, true, &text));
    if ui.is_rect_visible(rect) {
        let painter = ui.painter_at(rect);
        let along = Along::of(carrying, &findings.supports, rect);
        let keel = rect.top() + LINE;
        ends_ui(&painter, along, keel, palette);
        bars_ui(&painter, along, keel, findings, carrying, units);
        let top = keel + BAR + rows;
        let curve = Rect::from_min_size(pos2(rect.left(), top), vec2(rect.width(), CURVE));
        curve_ui(&painter, along, curve, carrying, palette);
    }
    if let Some(keel) = words::keel(carrying, units) {
        quiet(ui, keel);
    }
}

fn ends_ui(painter: &Painter, along: Along, keel: f32, palette: &Palette) {
    let (bow, stern) = (along.left, along.left + along.width);
    let font = FontId::proportional(SMALL_TEXT);
    let above = keel - 3.0;
    for (x, align, word) in [
        (bow, Align2::LEFT_BOTTOM, "Bow"),
        (stern, Align2::RIGHT_BOTTOM, "Stern"),
    ] {
        painter.text(pos2(x, above), align, word, font.clone(), palette.quiet);
    }
    let line = Stroke::new(3.0, palette.text);
    painter.line_segment([pos2(bow, keel), pos2(stern, keel)], line);
}

/// A bar for each support, the greatest share the longest, and its figure in the first row of
/// labels where it has room.
fn bars_ui(
    painter: &Painter,
    along: Along,
    keel: f32,
    findings: &Findings,
    carrying: &Carrying,
    units: Units,
) {
    let palette = Palette::current(painter.ctx());
    let greatest = carrying
        .supports
        .iter()
        .map(|c| c.share)
        .fold(0.0, f64::max);
    let mut each: Vec<(f32, &Carried)> = findings
        .supports
        .iter()
        .zip(&carrying.supports)
        .map(|(support, carried)| (along.at(support.top.x_m), carried))
        .collect();
    each.sort_by(|a, b| a.0.total_cmp(&b.0));
    let nearest = each.windows(2).map(|pair| pair[1].0 - pair[0].0);
    let width = nearest.fold(26.0, f32::min).clamp(6.0, 26.0) - 2.0;
    let mut ends = [f32::MIN; ROWS];
    for (x, carried) in each {
        let share = if greatest > 0.0 {
            carried.share / greatest
        } else {
            0.0
        };
        let below = keel + 2.0 + (share as f32 * (BAR - 4.0)).max(3.0);
        let bar = Rect::from_min_max(
            pos2(x - width / 2.0, keel + 2.0),
            pos2(x + width / 2.0, below),
        );
        let verdict = carried.verdict();
        let edge = Stroke::new(1.5, palette.verdict(verdict));
        let fill = palette.raised.lerp_to_gamma(palette.verdict(verdict), 0.3);
        painter.rect(bar, 2.0, fill, edge, egui::StrokeKind::Inside);
        if bar.height() > SIGN + 4.0 && width > SIGN {
            let at = bar.center_top() + Vec2::new(0.0, SIGN / 2.0 + 3.0);
            shape::paint(painter, at, SIGN, verdict, palette);
        }
        let text = words::ratio(carried.share, units);
        let galley = painter.layout_no_wrap(text, bold(SMALL_TEXT), palette.text);
        let half = galley.size().x / 2.0;
        let row = ends.iter().position(|end| x - half > *end + 4.0);
        let Some(row) = row else { continue };
        ends[row] = x + half;
        let top = keel + BAR + row as f32 * LINE;
        painter.line_segment(
            [bar.center_bottom(), pos2(x, top)],
            Stroke::new(1.0, palette.line),
        );
        painter.galley(pos2(x - half, top), galley, palette.text);
    }
}

/// The keel's bending moment, down where it sags and up where it hogs.
fn curve_ui(painter: &Painter, along: Along, rect: Rect, carrying: &Carrying, palette: &Palette) {
    let greatest = carrying
        .keel
        .iter()
        .map(|k| k.moment_nm.abs())
        .fold(0.0, f64::max);
    if greatest <= 0.0 {
        return;
    }
    let middle = rect.center().y;
    let half = f64::from(rect.height() / 2.0 - 4.0);
    let points: Vec<Pos2> = carrying
        .keel
        .iter()
        .map(|k| {
            pos2(
                along.at(k.x_m),
                middle + (k.moment_nm / greatest * half) as f32,
            )
        })
        .collect();
    let thin = Stroke::new(1.0, palette.line);
    let ends = [
        pos2(along.left, middle),
        pos2(along.left + along.width, middle),
    ];
    painter.line_segment(ends, thin);
    for point in &points {
        painter.line_segment([pos2(point.x, middle), *point], thin);
    }
    painter.add(Shape::line(points, Stroke::new(2.0, palette.accent)));
}
