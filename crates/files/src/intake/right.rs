//! A mesh put right step by step, once up and bow are settled; parts by their names in any case.

use keelstead_boat::hull::{PartKind, PartUse};
use keelstead_geometry::math::{Pose, Vec3};
use keelstead_units::quantity::{Quantity, Sentence};

use super::close::{self, Rim};
use super::look::Looked;
use super::orient::orient;
use super::parts::{self, Group};
use super::soup::Soup;
use super::{Answers, FoundPart, Proposal, Slit, made, slits, stand, trim};
use crate::hull_file::{Axes, LengthUnit};

impl Looked {
    /// Length of the unit of a soup, m, as it is drawn.
    pub(super) fn metres(&self, soup: &Soup) -> Option<f64> {
        if let Some(length_m) = self.drawn.length_m {
            // Before up and bow are settled the longest side is as good as any.
            let length = if self.groups.is_empty() {
                let [low, high] = soup.bounds();
                (high - low).max_element()
            } else {
                self.over_all()
            };
            return (length > 0.0 && length.is_finite()).then(|| length_m / length);
        }
        let unit = self.drawn.unit.or(self.examined.unit.value);
        unit.map(LengthUnit::metres)
    }

    /// All that needs up and bow: where they are only drawn so, the mesh is turned and nothing else is told by them.
    /// Parts by their names in any case.
    pub(super) fn put_right(&mut self) -> Result<(), Sentence> {
        let answers = &self.drawn.clone();
        let [up, forward] = [&self.examined.up, &self.examined.forward].map(|axis| axis.value);
        let settled = up.is_some() && forward.is_some();
        let axes = up
            .or(answers.up)
            .zip(forward.or(answers.forward))
            .filter(|(up, forward)| up.index() != forward.index())
            .map(|(up, forward)| Axes { forward, up });
        if let Some(axes) = axes {
            let [heel, yaw] = self.stand(axes, answers);
            if settled {
                (self.examined.heel_rad, self.examined.yaw_rad) = (heel, yaw);
            }
        }
        let upright = settled && axes.is_some();
        self.groups = parts::group(&mut self.soup, &self.sides, upright, answers);
        let gone = parts::answered(&mut self.groups, answers)?;
        self.soup.names = self.groups.iter().map(|g| g.name.clone()).collect();
        self.examined.parts = self.found_parts();
        self.take_out(&gone);
        if upright {
            self.trim(answers)?;
            let scale = self.metres(&self.soup);
            self.slits(answers, scale);
            self.holes(answers, scale);
            if answers.close_deck {
                self.close_deck();
            }
        }
        Ok(())
    }

    /// Turns it upright; gives heel and yaw as they are found.
    fn stand(&mut self, axes: Axes, answers: &Answers) -> [Proposal<f64>; 2] {
        stand::place(&mut self.soup, axes, &mut self.changed);
        let middle = self.examined.middle.as_ref();
        let (heel, yaw, askew) = stand::askew(&self.soup, axes, middle, answers);
        if middle.is_none() {
            self.left.push(
                "The two sides differ, so no middle plane was found: heel was not taken out, and the middle of the \
                 beam is taken for the centreline."
                    .into(),
            );
        }
        let upright = stand::upright(&mut self.soup, &askew, &mut self.changed);
        self.hull_from_file = upright * Pose::from_parts(Vec3::ZERO, stand::hull_from_axes(axes));
        if answers.mirror == Some(true) && self.examined.half.value == Some(true) {
            let doubled = made::mirrored(&mut self.soup);
            self.sides = orient(&mut self.soup);
            self.changed
                .push(format!("Mirrored in the middle plane: {doubled} triangles added.").into());
        }
        [heel, yaw]
    }

    /// Takes out what a person says is not of the boat.
    fn take_out(&mut self, gone: &[bool]) {
        if !gone.contains(&true) {
            return;
        }
        let part = &self.soup.part;
        let kept: Vec<bool> = part.iter().map(|&p| !gone[p as usize]).collect();
        self.soup.keep(|i| kept[i]);
        self.sides = orient(&mut self.soup);
        for (group, _) in self.groups.iter().zip(gone).filter(|(_, gone)| **gone) {
            self.changed
                .push(format!("\"{}\" taken out, as told.", group.name).into());
        }
    }

    fn trim(&mut self, answers: &Answers) -> Result<(), Sentence> {
        let level = answers
            .level
            .map(|points| points.map(|p| self.hull_from_file * Vec3::from_array(p)));
        if let Some(points) = level {
            let [low, high] = self.soup.bounds();
            trim::tell_of_trim(points, high.x - low.x)?;
        }
        let of_hull = |kind: Option<PartKind>| {
            matches!(
                kind,
                Some(PartKind::Body | PartKind::Keel | PartKind::Skeg | PartKind::Cabin)
            )
        };
        let body: Vec<bool> = self.groups.iter().map(|g| of_hull(g.kind.value)).collect();
        let soup = &self.soup;
        let trim = trim::trim(soup, |i| body[soup.part[i] as usize], level, answers);
        let trim_rad = trim.value.unwrap_or(0.0);
        if trim_rad == 0.0 {
            let says = Sentence::new("The trim is as the file has it:")
                .and(&trim.because)
                .words(".");
            self.left.push(says);
        }
        self.examined.trim_rad = trim;
        let turned = stand::trimmed(&mut self.soup, trim_rad, &mut self.changed);
        self.hull_from_file = turned * self.hull_from_file;
        Ok(())
    }

    fn slits(&mut self, answers: &Answers, scale: Option<f64>) {
        let [low, high] = self.soup.bounds();
        let usual = slits::LOOKED_FOR * (high - low).max_element();
        let told = answers
            .join_slits_m
            .zip(scale)
            .map(|(width_m, scale)| width_m / scale);
        let found = match told {
            Some(width) => slits::join(&mut self.soup, &mut self.sides, width),
            None => slits::slits(&self.soup, &self.sides, usual),
        };
        for slit in found.iter().take(6) {
            let Some(scale) = scale else {
                continue;
            };
            let says = Sentence::new("A slit up to")
                .figure(Quantity::thickness(scale * slit.width))
                .words("wide and")
                .length(scale * slit.length)
                .words("long was");
            match told {
                Some(_) => self.changed.push(says.words("joined.")),
                None => self
                    .left
                    .push(says.words("left open; its sides can be joined.")),
            }
        }
        let back = |p: [f64; 3]| {
            let p = Vec3::from_array(p);
            self.hull_from_file.inverse_transform_point(p).to_array()
        };
        let in_file = |slit: Slit| Slit {
            ends: slit.ends.map(back),
            ..slit
        };
        self.examined.slits = found.into_iter().map(in_file).collect();
    }

    fn holes(&mut self, answers: &Answers, scale: Option<f64>) {
        let Some(most) = answers
            .close_holes_m
            .zip(scale)
            .map(|(size_m, scale)| size_m / scale)
        else {
            return;
        };
        let small = |rim: &Rim| rim.size().max_element() <= most;
        let [filled, failed] = close::fill(&mut self.soup, &mut self.sides, small);
        if filled > 0 {
            self.changed
                .push(format!("{filled} small holes closed with skin.").into());
        }
        if failed > 0 {
            self.left.push(
                format!("{failed} small holes could not be closed: their rims cross themselves.")
                    .into(),
            );
        }
    }

    /// Closes the openings upward, each by a part of its own that counts for volume alone.
    fn close_deck(&mut self) {
        let bounds = self.body_bounds();
        let decks: Vec<Rim> = close::openings(&self.soup, &self.sides)
            .into_iter()
            .filter(|rim| rim.is_deck(bounds))
            .collect();
        if decks.is_empty() {
            self.left
                .push("No opening faces up, so none was closed for volume.".into());
        }
        for rim in decks {
            let Some(triangles) = close::cap(&self.soup, &rim) else {
                self.left.push(
                    format!(
                        "An opening with {} open edges faces up, but its rim crosses itself as seen from above and \
                         could not be closed.",
                        rim.edges()
                    )
                    .into(),
                );
                continue;
            };
            let number = self.soup.names.len();
            let name = (1..)
                .map(|n| {
                    if n == 1 {
                        "deck cap".to_owned()
                    } else {
                        format!("deck cap {n}")
                    }
                })
                .find(|name| !self.soup.names.contains(name))
                .unwrap_or_default();
            let area = close::area(&self.soup, &triangles);
            self.groups.push(Group {
                name: name.clone(),
                kind: Proposal::decided(PartKind::Other, "it closes an opening upward"),
                part_use: Proposal::decided(PartUse::VolumeOnly, "nothing is there in truth"),
                triangles: triangles.len(),
            });
            self.soup.names.push(name);
            self.soup.triangles.extend_from_slice(&triangles);
            self.soup
                .part
                .resize(self.soup.triangles.len(), number as u32);
            self.caps.push((number, rim, area));
        }
    }

    /// Length over all as a tape has it, in the soup's unit: of the body, without mast, gear and rudder; of everything where
    /// nothing is known to be the body.
    pub(super) fn over_all(&self) -> f64 {
        let [low, high] = self.body_bounds();
        if high.x > low.x {
            return high.x - low.x;
        }
        let [low, high] = self.soup.bounds();
        high.x - low.x
    }

    fn body_bounds(&self) -> [Vec3; 2] {
        let body = |i: &usize| {
            let group = &self.groups[self.soup.part[*i] as usize];
            group.kind.value == Some(PartKind::Body)
        };
        let ends = [Vec3::splat(f64::INFINITY), Vec3::splat(f64::NEG_INFINITY)];
        (0..self.soup.triangles.len())
            .filter(body)
            .flat_map(|i| self.soup.corners(i))
            .fold(ends, |[lo, hi], p| [lo.min(p), hi.max(p)])
    }

    /// The groups with their boxes in the file's axes, largest first.
    fn found_parts(&self) -> Vec<FoundPart> {
        let ends = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]);
        let mut boxes = vec![ends; self.groups.len()];
        let file_from_hull = self.hull_from_file.inverse();
        let in_file: Vec<Vec3> = self
            .soup
            .positions
            .iter()
            .map(|&p| file_from_hull * p)
            .collect();
        for (triangle, &part) in self.soup.triangles.iter().zip(&self.soup.part) {
            let (min, max) = &mut boxes[part as usize];
            for p in triangle.map(|i| in_file[i as usize].to_array()) {
                for k in 0..3 {
                    min[k] = min[k].min(p[k]);
                    max[k] = max[k].max(p[k]);
                }
            }
        }
        let mut found: Vec<FoundPart> = self
            .groups
            .iter()
            .zip(boxes)
            .map(|(group, (min, max))| FoundPart {
                name: group.name.clone(),
                kind: group.kind.clone(),
                part_use: group.part_use.clone(),
                triangles: group.triangles,
                min,
                max,
            })
            .collect();
        found.sort_by_key(|part| std::cmp::Reverse(part.triangles));
        found
    }
}
