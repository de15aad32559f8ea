//! The look: two sets of colours made for sunlight and for night, two fonts, and a shape for each
//! verdict, so that colour never carries one alone.

use std::collections::BTreeMap;
use std::sync::Arc;

use egui::epaint::{CornerRadiusF32, Shadow};
use egui::{
    Color32, CornerRadius, FontData, FontDefinitions, FontFamily, FontId, Margin, Stroke, Style,
    TextStyle, Theme, ThemePreference, Vec2, Visuals,
};
use keelstead_units::verdict::Verdict;

use crate::view::ThemeChoice;

/// Least size of anything a finger aims at, points.
pub const FINGER: f32 = 44.0;
/// Least size of anything a mouse aims at, points.
pub const MOUSE: f32 = 32.0;
/// Smallest text, points.
pub const SMALL_TEXT: f32 = 14.0;

/// One set of colours.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Palette {
    /// Behind panels and lists.
    pub panel: Color32,
    /// Behind cards, fields and rows.
    pub raised: Color32,
    /// Buttons at rest.
    pub button: Color32,
    /// Behind what is chosen.
    pub chosen: Color32,
    /// Rails of sliders, boxes to tick.
    pub rail: Color32,
    /// Edges of fields and buttons.
    pub line: Color32,
    /// Text.
    pub text: Color32,
    /// Text of less weight, readable all the same.
    pub quiet: Color32,
    /// What asks to be pressed; focus.
    pub accent: Color32,
    /// Text on the accent.
    pub on_accent: Color32,
    /// What carries: arrows and marks at blocks.
    pub bears: Color32,
    /// What only steadies: arrows and marks at pads.
    pub steadies: Color32,
    /// Behind the caution line.
    pub caution: Color32,
    /// Text on the caution line.
    pub on_caution: Color32,
    clear: Color32,
    tight: Color32,
    foul: Color32,
    unknown: Color32,
    /// The sign drawn inside a verdict's shape.
    pub sign: Color32,
}

const LIGHT: Palette = Palette {
    panel: Color32::from_rgb(0xf3, 0xf6, 0xf8),
    raised: Color32::from_rgb(0xff, 0xff, 0xff),
    button: Color32::from_rgb(0xe1, 0xe8, 0xed),
    chosen: Color32::from_rgb(0xd3, 0xe5, 0xf5),
    rail: Color32::from_rgb(0xc6, 0xd1, 0xd9),
    line: Color32::from_rgb(0x7b, 0x88, 0x93),
    text: Color32::from_rgb(0x12, 0x1c, 0x26),
    quiet: Color32::from_rgb(0x42, 0x4f, 0x5b),
    accent: Color32::from_rgb(0x0b, 0x4f, 0x86),
    on_accent: Color32::from_rgb(0xff, 0xff, 0xff),
    bears: Color32::from_rgb(0x0b, 0x4f, 0x8a),
    steadies: Color32::from_rgb(0x8a, 0x3d, 0x1c),
    caution: Color32::from_rgb(0x1d, 0x2b, 0x38),
    on_caution: Color32::from_rgb(0xff, 0xe2, 0x9a),
    clear: Color32::from_rgb(0x0a, 0x5c, 0x9e),
    tight: Color32::from_rgb(0x86, 0x50, 0x00),
    foul: Color32::from_rgb(0xb2, 0x30, 0x00),
    unknown: Color32::from_rgb(0x4b, 0x56, 0x60),
    sign: Color32::WHITE,
};

const DARK: Palette = Palette {
    panel: Color32::from_rgb(0x18, 0x1f, 0x26),
    raised: Color32::from_rgb(0x22, 0x2b, 0x34),
    button: Color32::from_rgb(0x30, 0x3c, 0x47),
    chosen: Color32::from_rgb(0x1d, 0x42, 0x61),
    rail: Color32::from_rgb(0x48, 0x56, 0x63),
    line: Color32::from_rgb(0x7d, 0x8b, 0x98),
    text: Color32::from_rgb(0xf4, 0xf7, 0xf9),
    quiet: Color32::from_rgb(0xc2, 0xcc, 0xd5),
    accent: Color32::from_rgb(0x86, 0xc8, 0xff),
    on_accent: Color32::from_rgb(0x08, 0x16, 0x22),
    bears: Color32::from_rgb(0x8f, 0xcb, 0xff),
    steadies: Color32::from_rgb(0xff, 0xb5, 0x8e),
    caution: Color32::from_rgb(0x0d, 0x12, 0x17),
    on_caution: Color32::from_rgb(0xff, 0xd7, 0x78),
    clear: Color32::from_rgb(0x86, 0xc5, 0xff),
    tight: Color32::from_rgb(0xff, 0xc6, 0x4d),
    foul: Color32::from_rgb(0xff, 0x93, 0x6b),
    unknown: Color32::from_rgb(0xc4, 0xcc, 0xd4),
    sign: Color32::from_rgb(0x0d, 0x12, 0x17),
};

impl Palette {
    /// The colours of the light or the dark theme.
    pub fn of(dark: bool) -> &'static Self {
        if dark { &DARK } else { &LIGHT }
    }

    /// The colours in use.
    pub fn current(ctx: &egui::Context) -> &'static Self {
        Self::of(ctx.theme() == Theme::Dark)
    }

    /// A verdict's colour.
    pub fn verdict(&self, verdict: Verdict) -> Color32 {
        match verdict {
            Verdict::Clear => self.clear,
            Verdict::Tight => self.tight,
            Verdict::Foul => self.foul,
            Verdict::Unknown | Verdict::Pending => self.unknown,
        }
    }

    /// A verdict's colour as sRGB bytes, for the scene.
    pub fn verdict_rgb(&self, verdict: Verdict) -> [u8; 3] {
        let [r, g, b, _] = self.verdict(verdict).to_array();
        [r, g, b]
    }
}

/// Bold text of the family the panels use.
pub fn bold(size: f32) -> FontId {
    FontId::new(size, FontFamily::Name("bold".into()))
}

/// Hands the fonts over. Call it before the first pass; [`crate::ui::workbench_ui`] does so too, but
/// then leaves its first pass empty.
pub fn install(ctx: &egui::Context) {
    let mut fonts = FontDefinitions::empty();
    let mut add = |name: &str, bytes: &'static [u8]| {
        let data = Arc::new(FontData::from_static(bytes));
        fonts.font_data.insert(name.to_owned(), data);
    };
    add(
        "text",
        include_bytes!("../../../assets/fonts/AtkinsonHyperlegibleNext-Regular.ttf"),
    );
    add(
        "bold",
        include_bytes!("../../../assets/fonts/AtkinsonHyperlegibleNext-Bold.ttf"),
    );
    add(
        "signs",
        include_bytes!("../../../assets/fonts/InterSigns-Medium.ttf"),
    );
    let families = [
        (FontFamily::Proportional, "text"),
        (FontFamily::Monospace, "text"),
        (FontFamily::Name("bold".into()), "bold"),
    ];
    for (family, first) in families {
        let names = vec![first.to_owned(), "signs".to_owned()];
        fonts.families.insert(family, names);
    }
    ctx.set_fonts(fonts);
    // A press is a press however long it lasts. After a rest the first picture's clock still shows when the one before
    // was drawn, so egui would take a finger that has just come down for one held long, and drop its drag.
    ctx.options_mut(|options| options.input_options.max_click_duration = f64::INFINITY);
    ctx.data_mut(|data| data.insert_temp(installed_id(), true));
}

/// Whether [`install`] was called for this context.
pub(crate) fn is_installed(ctx: &egui::Context) -> bool {
    ctx.data(|data| data.get_temp(installed_id()).unwrap_or(false))
}

fn installed_id() -> egui::Id {
    egui::Id::new("keelstead fonts")
}

/// Applies colours and sizes; `touch` makes everything big enough for fingers. Cheap when nothing
/// changed.
pub fn apply(ctx: &egui::Context, choice: ThemeChoice, touch: bool) {
    ctx.set_theme(match choice {
        ThemeChoice::Light => ThemePreference::Light,
        ThemeChoice::Dark => ThemePreference::Dark,
        ThemeChoice::System => ThemePreference::System,
    });
    let id = egui::Id::new("keelstead style");
    if ctx.data(|data| data.get_temp(id)) == Some(touch) {
        return;
    }
    ctx.data_mut(|data| data.insert_temp(id, touch));
    ctx.set_style_of(Theme::Light, style(&LIGHT, false, touch));
    ctx.set_style_of(Theme::Dark, style(&DARK, true, touch));
}

fn style(palette: &Palette, dark: bool, touch: bool) -> Style {
    let target = if touch { FINGER } else { MOUSE };
    let mut style = Style {
        text_styles: BTreeMap::from([
            (TextStyle::Small, FontId::proportional(SMALL_TEXT)),
            (TextStyle::Body, FontId::proportional(15.0)),
            (TextStyle::Button, FontId::proportional(15.0)),
            (TextStyle::Monospace, FontId::proportional(15.0)),
            (TextStyle::Heading, bold(18.0)),
        ]),
        visuals: visuals(palette, dark),
        ..Style::default()
    };
    style.spacing.interact_size = Vec2::splat(target);
    style.spacing.item_spacing = Vec2::new(8.0, 6.0);
    style.spacing.button_padding = Vec2::new(10.0, 5.0);
    style.spacing.icon_width = if touch { 24.0 } else { 20.0 };
    style.spacing.icon_width_inner = if touch { 14.0 } else { 12.0 };
    style.spacing.menu_margin = Margin::same(6);
    style.spacing.window_margin = Margin::same(16);
    style.spacing.slider_rail_height = 6.0;
    style.spacing.scroll.bar_width = 8.0;
    style.spacing.scroll.floating = false;
    style.interaction.selectable_labels = false;
    style
}

fn visuals(palette: &Palette, dark: bool) -> Visuals {
    let mut visuals = if dark {
        Visuals::dark()
    } else {
        Visuals::light()
    };
    visuals.panel_fill = palette.panel;
    // Each blink would be a picture of the whole scene.
    visuals.text_cursor.blink = false;
    visuals.window_fill = palette.panel;
    visuals.window_stroke = Stroke::new(1.0, palette.line);
    visuals.window_corner_radius = CornerRadius::same(10);
    visuals.menu_corner_radius = CornerRadius::same(8);
    visuals.window_shadow = Shadow::NONE;
    visuals.popup_shadow = Shadow::NONE;
    visuals.extreme_bg_color = palette.raised;
    visuals.faint_bg_color = palette.raised;
    visuals.text_edit_bg_color = Some(palette.raised);
    visuals.weak_text_color = Some(palette.quiet);
    visuals.hyperlink_color = palette.accent;
    visuals.error_fg_color = palette.foul;
    visuals.warn_fg_color = palette.tight;
    visuals.selection.bg_fill = palette.chosen;
    visuals.selection.stroke = Stroke::new(1.5, palette.accent);
    visuals.slider_trailing_fill = true;
    visuals.disabled_alpha = 0.55;

    let text = Stroke::new(1.5, palette.text);
    let corner_radius = CornerRadius::same(6);
    let widgets = &mut visuals.widgets;
    widgets.noninteractive.bg_fill = palette.panel;
    widgets.noninteractive.weak_bg_fill = palette.panel;
    widgets.noninteractive.bg_stroke = Stroke::new(1.0, palette.line.gamma_multiply(0.55));
    widgets.noninteractive.fg_stroke = text;
    for widget in [
        &mut widgets.inactive,
        &mut widgets.hovered,
        &mut widgets.active,
        &mut widgets.open,
    ] {
        widget.bg_fill = palette.rail;
        widget.weak_bg_fill = palette.button;
        widget.bg_stroke = Stroke::new(1.0, palette.line);
        widget.fg_stroke = text;
        widget.corner_radius = corner_radius;
        widget.expansion = 0.0;
    }
    // Hover darkens a little, keyboard focus and pressing draw a thick edge in the accent colour.
    widgets.hovered.weak_bg_fill = palette.chosen;
    widgets.hovered.bg_fill = palette.chosen;
    widgets.hovered.bg_stroke = Stroke::new(1.5, palette.accent);
    widgets.active.weak_bg_fill = palette.chosen;
    widgets.active.bg_fill = palette.accent;
    widgets.active.bg_stroke = Stroke::new(2.5, palette.accent);
    visuals
}

/// How much lighter or darker `a` is than `b`, as the web's accessibility guidelines count it: 1 to
/// 21; text wants 4.5 at least.
pub fn contrast(a: Color32, b: Color32) -> f64 {
    let (one, other) = (luminance(a), luminance(b));
    (one.max(other) + 0.05) / (one.min(other) + 0.05)
}

fn luminance(colour: Color32) -> f64 {
    let [r, g, b, _] = colour.to_array().map(|byte| {
        let value = f64::from(byte) / 255.0;
        if value <= 0.040_45 {
            value / 12.92
        } else {
            ((value + 0.055) / 1.055).powf(2.4)
        }
    });
    0.2126 * r + 0.7152 * g + 0.0722 * b
}

/// Corners of buttons and cards, for painters.
pub(crate) const CORNER: CornerRadiusF32 = CornerRadiusF32 {
    nw: 6.0,
    ne: 6.0,
    sw: 6.0,
    se: 6.0,
};

#[cfg(test)]
mod tests {
    use super::*;

    const VERDICTS: [Verdict; 5] = [
        Verdict::Foul,
        Verdict::Unknown,
        Verdict::Pending,
        Verdict::Tight,
        Verdict::Clear,
    ];

    #[test]
    fn contrast_of_black_and_white_is_21() {
        let most = contrast(Color32::BLACK, Color32::WHITE);
        assert!((most - 21.0).abs() < 1e-9, "{most}");
    }

    #[test]
    fn text_can_be_read_on_all_it_stands_on() {
        for dark in [false, true] {
            let p = Palette::of(dark);
            let mut pairs = vec![("on accent", p.on_accent, p.accent)];
            pairs.push(("caution", p.on_caution, p.caution));
            for ground in [p.panel, p.raised, p.button, p.chosen] {
                pairs.push(("text", p.text, ground));
                pairs.push(("quiet", p.quiet, ground));
                pairs.push(("accent", p.accent, ground));
            }
            for verdict in VERDICTS {
                for ground in [p.panel, p.raised, p.chosen] {
                    pairs.push((verdict.word(), p.verdict(verdict), ground));
                }
                pairs.push((verdict.word(), p.sign, p.verdict(verdict)));
            }
            for (what, ink, ground) in pairs {
                let ratio = contrast(ink, ground);
                assert!(ratio >= 4.5, "{what}, dark {dark}: {ratio:.2}");
            }
        }
    }

    #[test]
    fn edges_of_controls_stand_out() {
        for dark in [false, true] {
            let p = Palette::of(dark);
            for ground in [p.panel, p.raised] {
                for ink in [p.line, p.bears, p.steadies] {
                    let ratio = contrast(ink, ground);
                    assert!(ratio >= 3.0, "{ink:?}, dark {dark}: {ratio:.2}");
                }
            }
        }
    }
}
