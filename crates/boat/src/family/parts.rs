//! The parts of a boat as closed shells, in the frame of the measures: x forward of the after end,
//! z over the lowest point.

use super::Family;
use super::keel::LowerEdge;
use super::plan::{Below, COLUMNS, Plan, Steering};
use super::space::{Figure, Shape};
use super::surface::Surface;
use crate::hull::PartKind;
use crate::loft::body::Body;
use crate::loft::foil::{Foil, Section, Slot};
use crate::loft::lines::{Lines, Strake};
use crate::loft::propeller::Propeller;
use crate::loft::shell::Shell;
use crate::loft::sweep::{sweep, turned};
use crate::loft::vector::{even, mix};

/// How finely parts are made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Detail {
    /// As far as a volume needs it.
    Coarse,
    /// As the check and the picture have it.
    Fine,
}

/// A named shell.
pub(super) struct Made {
    pub name: &'static str,
    pub kind: PartKind,
    /// Whether no measure and no tolerance says where it is.
    pub guessed: bool,
    pub shell: Shell,
}

/// How far roots reach into the hull, m.
const ROOT_M: f64 = 0.012;

/// Lines of the side.
pub(super) fn lines(plan: &Plan, shape: &Shape) -> Lines {
    let strake = |strip: &super::plan::Strip| Strake {
        rows: (strip.rows.0..=strip.rows.1)
            .map(|row| (0..COLUMNS).map(|c| shape.point(row, c)).collect())
            .collect(),
        cells: strip.cells,
    };
    Lines {
        strakes: plan.strips.iter().map(strake).collect(),
    }
}

/// The body: one hull, or two side by side.
pub(super) fn body(plan: &Plan, shape: &Shape) -> Shell {
    let hull = Body {
        lines: lines(plan, shape),
        columns: 96,
        camber: plan.camber,
        transom_bulge_m: 0.0,
        wells: Vec::new(),
    }
    .shell();
    if plan.twin.is_none() {
        return hull;
    }
    let apart = [0.0, 0.5 * shape.figure(Figure::Spacing), 0.0];
    hull.moved(apart).beside(hull.moved(apart.map(|c| -c)))
}

/// All that is not body.
pub(super) fn hung(plan: &Plan, shape: &Shape, detail: Detail) -> Vec<Made> {
    let hung = Hung {
        plan,
        shape,
        surface: Surface { plan, shape },
        fine: detail == Detail::Fine,
    };
    let mut made = Vec::new();
    match plan.below {
        Below::Nothing => {}
        Below::Fin => made.push(Made {
            name: "keel",
            kind: PartKind::Keel,
            guessed: false,
            shell: hung.fin(),
        }),
        Below::Long => hung.long(&mut made),
    }
    match plan.steering {
        Steering::None => {}
        Steering::OnKeel => made.push(hung.rudder(hung.keel_rudder(), true)),
        Steering::Spade => {
            made.push(hung.rudder(hung.spade(), false));
            if plan.family == Family::SkegWorkboat {
                hung.drive(&mut made);
            }
        }
        Steering::OnTransom => made.push(hung.rudder(hung.transom_rudder(), true)),
    }
    if plan.twin.is_some() {
        made.push(Made {
            name: "bridge-deck",
            kind: PartKind::Other,
            guessed: false,
            shell: hung.bridge(),
        });
    }
    made
}

struct Hung<'a> {
    plan: &'a Plan,
    shape: &'a Shape,
    surface: Surface<'a>,
    fine: bool,
}

/// Heights of the hull's bottom between two stations, for roots.
struct Roots {
    from: f64,
    to: f64,
    heights: Vec<f64>,
}

impl Roots {
    fn at(&self, x: f64) -> f64 {
        let cells = (self.heights.len() - 1) as f64;
        let t = ((x - self.from) / (self.to - self.from)).clamp(0.0, 1.0) * cells;
        let i = (t.floor() as usize).min(self.heights.len() - 2);
        mix(self.heights[i], self.heights[i + 1], t - i as f64)
    }
}

impl Hung<'_> {
    fn of(&self, figure: Figure) -> f64 {
        self.shape.figure(figure)
    }

    fn rudder(&self, shell: Shell, guessed: bool) -> Made {
        Made {
            name: "rudder",
            kind: PartKind::Rudder,
            guessed,
            shell,
        }
    }

    /// Height of the bottom `off` the centreline; that of the profile where the hull is narrower.
    fn bottom(&self, x: f64, off: f64) -> f64 {
        let off = off.max(0.002);
        if let Some(hit) = self.surface.crossing(x, off, |p| p[1]) {
            return hit.p[2];
        }
        let section = self.surface.section(x);
        section.first().map_or_else(
            || self.shape.point(0, if x > 0.0 { COLUMNS - 1 } else { 0 })[2],
            |hit| hit.p[2],
        )
    }

    fn roots(&self, from: f64, to: f64, off: f64) -> Roots {
        let cells = if self.fine { 48 } else { 16 };
        let heights = even(cells)
            .into_iter()
            .map(|t| self.bottom(mix(from, to, t), off) + ROOT_M)
            .collect();
        Roots { from, to, heights }
    }

    fn cells(&self, along: usize, up: usize) -> (usize, usize) {
        if self.fine {
            (along, up)
        } else {
            (along / 3, up.div_ceil(3))
        }
    }

    /// After end, forward end of the underside, and half its width.
    fn underside(&self) -> (f64, f64, f64) {
        let start = self.of(Figure::KeelStart);
        let keel = self.of(Figure::KeelLength).max(0.05);
        (
            start,
            start + keel,
            0.5 * self.of(Figure::KeelWidth).max(0.004),
        )
    }

    fn fin(&self) -> Shell {
        let (aft, fore, half) = self.underside();
        let root_aft = aft + self.of(Figure::RootAft);
        let root_fore = (fore + self.of(Figure::RootFore)).max(root_aft + 0.05);
        let roots = self.roots(root_aft, root_fore, half);
        let plane = |chord: f64, span: f64| {
            let x = mix(root_fore, root_aft, chord);
            [
                mix(mix(fore, aft, chord), x, span),
                mix(0.0, roots.at(x), span),
            ]
        };
        Foil {
            plane: &plane,
            half_m: &|span| half * (1.0 + 0.2 * span),
            section: Section::foil(0.10),
            edge_m: 0.25 * half,
            cells: self.cells(30, 24),
            slot: None,
        }
        .shell()
    }

    /// A keel or skeg that runs out into the forefoot, and the board in it.
    fn long(&self, made: &mut Vec<Made>) {
        let (aft, _, half) = self.underside();
        let root_aft = aft + self.of(Figure::RootAft);
        let edge = LowerEdge::of(&self.surface);
        let fore = edge.fore_m();
        let top = edge.top[0];
        let roots = self.roots(root_aft, top, half);
        let low = |chord: f64| edge.at(chord);
        let plane = |chord: f64, span: f64| {
            let [x, z] = low(chord);
            let root = mix(top, root_aft, chord);
            [mix(x, root, span), mix(z, roots.at(root).max(z), span)]
        };
        let board = self.plan.family == Family::Centreboarder;
        let cells = self.cells(72, 10);
        let depth = 0.5 * roots.at(mix(aft, fore, 0.5));
        let slot = (board && self.fine).then(|| Slot {
            stations: (cells.0 * 4 / 10, cells.0 * 7 / 10),
            half_m: 0.25 * half,
            depth_m: depth,
        });
        let shell = Foil {
            plane: &plane,
            half_m: &|span| half * (1.0 + 0.4 * span * span),
            section: Section::long(0.4),
            edge_m: 0.2 * half,
            cells,
            slot,
        }
        .shell();
        let (name, kind) = match self.plan.family {
            Family::SkegWorkboat => ("skeg", PartKind::Skeg),
            _ => ("keel", PartKind::Keel),
        };
        made.push(Made {
            name,
            kind,
            guessed: false,
            shell,
        });
        if board {
            let (from, to) = (low(0.43)[0], low(0.66)[0]);
            let plane = |chord: f64, span: f64| {
                [
                    mix(from, to, chord),
                    mix(
                        edge.under(mix(from, to, chord)).unwrap_or(0.0) + 0.004,
                        // Up into its case, so that it hangs in the keel.
                        1.3 * depth,
                        span,
                    ),
                ]
            };
            made.push(Made {
                name: "centreboard",
                kind: PartKind::Centreboard,
                guessed: false,
                shell: Foil {
                    plane: &plane,
                    half_m: &|_| 0.15 * half,
                    section: Section::plate(),
                    edge_m: 0.004,
                    cells: self.cells(24, 4),
                    slot: None,
                }
                .shell(),
            });
        }
    }

    /// The rudder hung on the sternpost, its heel a little above the keel's.
    fn keel_rudder(&self) -> Shell {
        let (aft, _, half) = self.underside();
        let root_aft = aft + self.of(Figure::RootAft);
        let top = self.bottom(root_aft, half);
        let size = self.of(Figure::Draft) / 1.5;
        let foot = self.of(Figure::RudderFoot).min(0.5 * top).max(0.0);
        let post = |z: f64| aft + (root_aft - aft) * z / top;
        let plane = |chord: f64, span: f64| {
            let z = mix(foot + 0.06 * size * chord * chord, top, span);
            let widths = [0.44, 0.60, 0.58, 0.34, 0.17];
            let width = size * crate::loft::lines::bezier1(&widths, span);
            [post(z) - 0.012 - width * chord, z]
        };
        let blade = Foil {
            plane: &plane,
            half_m: &|span| size * mix(0.026, 0.032, span),
            section: Section::foil(0.22),
            edge_m: 0.01 * size,
            cells: self.cells(20, 16),
            slot: None,
        }
        .shell();
        // The stock, along the sternpost up into the hull.
        let (from, along) = (0.87 * top, [(root_aft - aft) / top, 0.0, 1.0]);
        let radius = 0.026 * size;
        blade.beside(turned(
            [post(from) - 0.04 * size, 0.0, from],
            along,
            &[[0.0, radius], [0.27 * top, radius]],
            2,
        ))
    }

    /// A blade under the hull and its stock.
    fn spade(&self) -> Shell {
        let start = self.of(Figure::RudderStart);
        let size = self.of(Figure::Length) / 10.5;
        let stock = start - 0.15 * size;
        let ceiling = self.bottom(stock, 0.0);
        let foot = self.of(Figure::RudderFoot).min(0.8 * ceiling).max(0.0);
        let roots = self.roots(start - 0.6 * size, start, 0.0);
        let plane = |chord: f64, span: f64| {
            let width = size * mix(0.36, 0.50, span);
            let x = start - width * chord;
            [x, mix(foot, (roots.at(x) - 0.03).max(foot + 0.05), span)]
        };
        let half = 0.035 * size;
        let blade = Foil {
            plane: &plane,
            half_m: &|span| half * mix(0.7, 1.2, span),
            section: Section::foil(0.12),
            edge_m: 0.2 * half,
            cells: self.cells(24, 20),
            slot: None,
        }
        .shell();
        let from = mix(foot, ceiling, 0.7);
        let up = ceiling + 0.08 - from;
        blade.beside(turned(
            [stock, 0.0, from],
            [0.0, 0.0, 1.0],
            &[[0.0, 0.6 * half], [up, 0.6 * half]],
            2,
        ))
    }

    /// Propeller, shaft and strut in the aperture between skeg and rudder.
    fn drive(&self, made: &mut Vec<Made>) {
        let (aft, _, _) = self.underside();
        let rudder = self.of(Figure::RudderStart);
        let gap = aft - rudder;
        if gap < 0.25 {
            return;
        }
        let x = rudder + 0.4 * gap;
        let ceiling = self.bottom(x, 0.0);
        let diameter = (0.62 * ceiling).min(0.9 * gap);
        let z = 0.48 * ceiling;
        let size = diameter / 0.58;
        let behind = [-1.0, 0.0, 0.0];
        made.push(Made {
            name: "propeller",
            kind: PartKind::Propeller,
            guessed: true,
            shell: Propeller {
                centre: [x, 0.0, z],
                aft: behind,
                diameter_m: diameter,
                pitch_m: 0.72 * diameter,
                hub_m: (0.055 * size, 0.15 * size),
            }
            .shell(),
        });
        let start = aft + 0.3 * size;
        let r = 0.024 * size;
        let run = start - x;
        made.push(Made {
            name: "shaft",
            kind: PartKind::Shaft,
            guessed: true,
            shell: turned([start, 0.0, z], behind, &[[0.0, r], [run, r]], 2),
        });
        let leg = x + 0.2 * size;
        let roof = self.bottom(leg, 0.0) + ROOT_M;
        let plane =
            |chord: f64, span: f64| [leg + 0.06 * size - 0.12 * size * chord, mix(z, roof, span)];
        made.push(Made {
            name: "strut",
            kind: PartKind::Strut,
            guessed: true,
            shell: Foil {
                plane: &plane,
                half_m: &|_| 0.02 * size,
                section: Section::foil(0.25),
                edge_m: 0.004,
                cells: self.cells(14, 8),
                slot: None,
            }
            .shell(),
        });
    }

    /// A rudder on the transom: its blade kicked up, and the stock it turns in.
    fn transom_rudder(&self) -> Shell {
        let size = self.of(Figure::Length) / 7.0;
        let head = self.shape.point(self.plan.sheer(), 0);
        let foot = self.shape.point(0, 0);
        let (top, low) = (head[2], foot[2]);
        let plane = |chord: f64, span: f64| {
            let width = size * mix(0.22, 0.30, span) * chord;
            let x = mix(-0.70 * size, -0.08 * size, span);
            let z = mix(0.6 * low, mix(low, top, 0.6), span);
            [x - 0.77 * width, z + 0.64 * width]
        };
        let blade = Foil {
            plane: &plane,
            half_m: &|_| 0.016 * size,
            section: Section::foil(0.25),
            edge_m: 0.006,
            cells: self.cells(18, 18),
            slot: None,
        }
        .shell();
        let stock = |chord: f64, span: f64| {
            let x = mix(0.04 * size, -0.26 * size, chord);
            [
                x + mix(foot[0], head[0], span),
                mix(mix(low, top, 0.2), top + 0.1 * size, span),
            ]
        };
        blade.beside(
            Foil {
                plane: &stock,
                half_m: &|_| 0.035 * size,
                section: Section::plate(),
                edge_m: 0.006,
                cells: self.cells(12, 6),
                slot: None,
            }
            .shell(),
        )
    }

    /// The deck between two hulls.
    fn bridge(&self) -> Shell {
        let length = self.of(Figure::Length);
        let half = 0.5 * self.of(Figure::Spacing).max(0.1);
        let low = self.of(Figure::Bridge);
        let high = self.surface.sheer(0.5 * length).p[2].max(low + 0.02);
        let outline = [
            [-half, 0.0],
            [half, 0.0],
            [half, high - low],
            [-half, high - low],
        ];
        let path = [[0.06 * length, 0.0, low], [0.70 * length, 0.0, low]];
        sweep(&path, &outline, [0.0, 0.0, 1.0])
    }
}
