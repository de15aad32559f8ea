//! A keel's load on its way down through a stack: over what area each level is pressed, and how hard
//! at its worst edge.
//!
//! The load spreads at 45 degrees as it goes down (common practice), within what lies above. It acts
//! where the keel bears all the way down: nothing moves it sideways. So it spreads as far to one side
//! as the other lets it.

use super::patch::Patch;

/// From where to where, m.
pub(super) type Stretch = [f64; 2];

/// The stretch `length_m` long about `middle_m`.
pub(super) fn about(middle_m: f64, length_m: f64) -> Stretch {
    [middle_m - length_m / 2.0, middle_m + length_m / 2.0]
}

/// How a level of the stack is pressed: fore and aft first, across second.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Pressed {
    /// The load over this area is the pressure on the hardest pressed edge, m².
    pub(super) area_m2: f64,
    /// Stretch that is pressed, m.
    pub(super) over_m: [Stretch; 2],
}

impl Pressed {
    /// Length pressed along the grain, m, that a bearing area factor may count on: without end where
    /// the member ends near by, so that none counts.
    pub(super) fn along_grain_m(&self, axis: usize, member: Stretch, near_end_m: f64) -> f64 {
        let [from, to] = self.over_m[axis];
        if from - member[0] < near_end_m || member[1] - to < near_end_m {
            f64::INFINITY
        } else {
            to - from
        }
    }
}

/// The load at some depth under the keel.
#[derive(Debug, Clone, Copy)]
pub(super) struct Descent<'p> {
    patch: &'p Patch,
    /// What every block so far has in common, fore and aft and across.
    within: [Stretch; 2],
    depth_m: f64,
}

impl<'p> Descent<'p> {
    pub(super) fn new(patch: &'p Patch) -> Self {
        Self {
            patch,
            within: [[f64::MIN, f64::MAX]; 2],
            depth_m: 0.0,
        }
    }

    /// Where the load acts, fore and aft and across.
    fn at(&self) -> [f64; 2] {
        [self.patch.middle.x, self.patch.middle.y]
    }

    /// Comes to a level that reaches over these stretches; whether it can take the load there.
    pub(super) fn onto(&mut self, level: [Stretch; 2]) -> bool {
        let at = self.at();
        (0..2).all(|axis| {
            let within = &mut self.within[axis];
            *within = [within[0].max(level[axis][0]), within[1].min(level[axis][1])];
            within[0] < at[axis] && at[axis] < within[1]
        })
    }

    /// Goes down by so much.
    pub(super) fn down(&mut self, by_m: f64) {
        self.depth_m += by_m;
    }

    /// Area it has spread over so much lower, m², and how far that reaches each way.
    fn spread(&self, lower_m: f64) -> (f64, [f64; 2]) {
        let depth = self.depth_m + lower_m;
        let contact = [self.patch.ends_x_m, self.patch.sides_y_m];
        let at = self.at();
        let mut area = self.patch.area_m2();
        // A region of any shape grows each way by what it reaches over the other way.
        let mut other = [self.patch.width_m, self.patch.length_m];
        let mut reach = [0.0; 2];
        for axis in 0..2 {
            let ([from, to], [low, high]) = (contact[axis], self.within[axis]);
            let bears = (to - from).max(f64::MIN_POSITIVE);
            let room = (from - low).min(high - to);
            if room >= 0.0 {
                let grows = 2.0 * depth.min(room);
                area += other[axis] * grows;
                other[1] += if axis == 0 { grows } else { 0.0 };
                reach[axis] = bears + grows;
            } else {
                // What sticks out past a block brings its load in to it.
                reach[axis] = bears.min(2.0 * (at[axis] - low).min(high - at[axis]));
                area *= reach[axis] / bears;
                other[1] = other[1].min(if axis == 0 { reach[0] } else { f64::MAX });
            }
        }
        (area, reach)
    }

    /// Area that gives, so much lower, m².
    pub(super) fn gives_m2(&self, lower_m: f64) -> f64 {
        self.spread(lower_m).0
    }

    /// How the level it has come to is pressed.
    ///
    /// Right under the keel that is where it bears. Below, a stiff block on another presses it in a
    /// straight line from edge to edge, or over 3 (w/2 - e) without pulling (middle third): hardest
    /// at the near edge. The harder of that and of the spreading counts.
    pub(super) fn presses(&self) -> Pressed {
        let (spread_m2, reach) = self.spread(0.0);
        let at = self.at();
        let mut pressed = reach;
        if self.depth_m > 0.0 {
            for axis in 0..2 {
                pressed[axis] = reach[axis].min(evenly_m(self.within[axis], at[axis]));
            }
        }
        let area_m2 = if self.depth_m > 0.0 {
            spread_m2.min(pressed[0] * pressed[1])
        } else {
            spread_m2
        };
        let over = |axis: usize| {
            let [low, high] = self.within[axis];
            let [from, to] = about(at[axis], pressed[axis]);
            [from.max(low), to.min(high)]
        };
        Pressed {
            area_m2,
            over_m: [over(0), over(1)],
        }
    }
}

/// Width, m, that pressed evenly feels what the near edge of the stretch feels under a load at `at`.
fn evenly_m([low, high]: Stretch, at: f64) -> f64 {
    let width = high - low;
    let off = (at - (low + high) / 2.0).abs();
    if off <= width / 6.0 {
        width / (1.0 + 6.0 * off / width)
    } else {
        // A triangle 3 (w/2 - e) long, at its height.
        1.5 * (width / 2.0 - off)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use keelstead_geometry::math::Vec3;

    /// A contact 0.2 m along and 0.1 m across, this far off the middle.
    fn patch(x: f64, y: f64) -> Patch {
        Patch {
            middle: Vec3::new(x, y, 0.0),
            length_m: 0.2,
            width_m: 0.1,
            ends_x_m: about(x, 0.2),
            sides_y_m: about(y, 0.1),
            slope: None,
        }
    }

    fn close(found: f64, known: f64) {
        assert!((found - known).abs() < 1e-12, "{found} for {known}");
    }

    #[test]
    fn a_load_in_the_middle_spreads_at_45_degrees_as_far_as_the_block_goes() {
        let patch = patch(0.0, 0.0);
        let mut load = Descent::new(&patch);
        assert!(load.onto([about(0.0, 0.2), about(0.0, 0.6)]));
        close(load.presses().area_m2, 0.02);
        load.down(0.15);
        close(load.presses().area_m2, 0.2 * 0.4);
        load.down(0.15);
        close(load.presses().area_m2, 0.2 * 0.6);
    }

    #[test]
    fn off_the_middle_the_near_edge_is_pressed_as_the_middle_third_rule_says() {
        let block = [about(0.0, 0.2), about(0.0, 0.6)];
        for (y, across) in [
            // 0.6 wide, 0.1 = w/6 off: twice the mean at the near edge.
            (0.1, 0.3),
            // Within the middle third: (1 + 6 e / w) of the mean.
            (0.05, 0.4),
            // Beyond: a triangle 3 (0.3 - 0.2) long.
            (0.2, 0.15),
            (-0.2, 0.15),
        ] {
            let patch = patch(0.0, y);
            let mut load = Descent::new(&patch);
            assert!(load.onto(block));
            // Where the keel bears nothing presses but the keel.
            close(load.presses().area_m2, 0.02);
            load.down(1.0);
            close(load.presses().area_m2, 0.2 * across);
        }
    }

    #[test]
    fn a_load_past_the_edge_of_a_lower_block_is_not_taken() {
        let patch = patch(0.0, 0.18);
        let mut load = Descent::new(&patch);
        assert!(load.onto([about(0.0, 0.2), about(0.0, 0.6)]));
        load.down(0.05);
        assert!(!load.onto([about(0.0, 0.6), about(0.0, 0.2)]));
        // Inside, but the contact sticks out: 2 (0.2 - 0.18) across at the most, and 3/4 of that.
        let mut load = Descent::new(&patch);
        load.down(0.05);
        assert!(load.onto([about(0.0, 0.2), about(0.0, 0.4)]));
        close(load.presses().area_m2, 0.2 * 1.5 * 0.02);
    }

    #[test]
    fn a_triangle_spreads_as_one() {
        // Half a rectangle 0.2 by 0.1, its middle a third in.
        let patch = Patch {
            width_m: 0.05,
            middle: Vec3::new(-0.2 / 6.0, -0.1 / 6.0, 0.0),
            ..patch(0.0, 0.0)
        };
        let mut load = Descent::new(&patch);
        assert!(load.onto([about(0.0, 0.6), about(0.0, 0.6)]));
        close(load.presses().area_m2, 0.01);
        // Not less than its parts: itself, its mean width and its length times the growth, corners.
        close(load.gives_m2(0.05), 0.01 + 0.05 * 0.1 + 0.2 * 0.1 + 0.01);
        // Not more than the whole of it: by hand, the triangle and the strip about its sides.
        let hypotenuse_adds = 0.05 * (0.2 + 0.1);
        let all = 0.01 + 0.05 * (0.2 + 0.1) + hypotenuse_adds + 0.01;
        assert!(load.gives_m2(0.05) <= all + 1e-12);
    }
}
