//! Dragging things of the scene: where a thing was taken hold of, and what each move asks for.

use keelstead_geometry::math::Vec3;
use keelstead_load::load::{Reach, Seat};
use keelstead_load::rig_parts::RigPart;
use keelstead_workbench::Session;
use keelstead_workbench::action::Action;

use crate::pick::{Ray, Target};

/// A ray nearer than this to the line it drags along says nothing: sine of 6°.
const TOO_PARALLEL: f64 = 0.1;

/// What can be dragged.
#[derive(Debug, Clone, PartialEq)]
pub enum Handle {
    /// The hull, fore and aft.
    Hull,
    /// A beam with its stack, from pocket to pocket; index in the load.
    Beam(usize),
    /// A pad, in and out; index in the rig.
    Pad(usize),
}

impl Handle {
    /// What is dragged by a target; none if it is fixed.
    pub fn of(target: Target, session: &Session) -> Option<Self> {
        match target {
            Target::Hull(_) => Some(Self::Hull),
            Target::Rig(index) => {
                let part = part(session, index)?;
                let beam = part.beam.map(Self::Beam);
                beam.or(part.pad.map(Self::Pad))
            }
        }
    }

    /// What a drag of it does, in a few words.
    pub fn hint(&self) -> &'static str {
        match self {
            Self::Hull => "Drag to move the hull fore and aft",
            Self::Beam(_) => "Drag to move the beam to another pocket",
            Self::Pad(_) => "Drag to run the pad in or out",
        }
    }
}

/// A thing held, and the line it moves along.
#[derive(Debug, Clone, PartialEq)]
pub struct Grab {
    handle: Handle,
    /// Where it was taken hold of. Trailer frame.
    at: Vec3,
    /// Which way it can move, length 1. Trailer frame.
    along: Vec3,
    /// What was set when it was taken, m.
    from_m: f64,
}

impl Grab {
    /// Takes hold at a point; none if what is there cannot be moved just now.
    pub fn take(handle: Handle, at: Vec3, session: &Session) -> Option<Self> {
        let (load, rig, findings) = (session.load()?, session.rig()?, session.findings()?);
        let (along, from_m) = match handle {
            Handle::Hull => (Vec3::X, load.stand.x_m),
            Handle::Beam(beam) => {
                let x_m = match load.beams.get(beam)?.seat {
                    Seat::Pocket(number) => rig.rails.pockets.get(number.checked_sub(1)?)?.x_m,
                    Seat::OnRailsXM(x_m) => x_m,
                };
                (Vec3::X, x_m)
            }
            Handle::Pad(pad) => {
                let (mount, as_set) = (rig.pads.get(pad)?, findings.pads.get(pad)?);
                let setting = load.pads.iter().find(|set| set.pad == mount.name)?;
                let inward = if mount.pivot.y_m > 0.0 { -1.0 } else { 1.0 };
                let (sin, cos) = setting.elevation_rad.sin_cos();
                (Vec3::new(0.0, inward * cos, sin), as_set.reach_m)
            }
        };
        Some(Self {
            handle,
            at,
            along,
            from_m,
        })
    }

    /// What to do when the pointer's ray is now this one; none if nothing changes.
    pub fn drag(&self, ray: Ray, session: &Session) -> Option<Action> {
        let to_m = self.from_m + self.moved_m(ray)?;
        let (load, rig) = (session.load()?, session.rig()?);
        match self.handle {
            Handle::Hull => Some(Action::HullForward(to_m)),
            Handle::Beam(beam) => {
                let placed = load.beams.get(beam)?;
                let seat = match placed.seat {
                    Seat::OnRailsXM(_) => {
                        Seat::OnRailsXM(to_m.clamp(rig.rails.aft_x_m, rig.rails.front_x_m))
                    }
                    Seat::Pocket(_) => Seat::Pocket(nearest_free_pocket(session, beam, to_m)?),
                };
                (seat != placed.seat).then_some(Action::SeatBeam { beam, seat })
            }
            Handle::Pad(pad) => {
                let mount = rig.pads.get(pad)?;
                Some(Action::PadReach {
                    pad: mount.name.clone(),
                    reach: Some(Reach::SetM(mount.reach_m.nearest(to_m))),
                })
            }
        }
    }

    /// How far along its line the ray passes, m, counted from where it was taken.
    fn moved_m(&self, ray: Ray) -> Option<f64> {
        let between = self.at - ray.origin;
        let cos = self.along.dot(ray.direction);
        let sine_squared = 1.0 - cos * cos;
        if sine_squared < TOO_PARALLEL * TOO_PARALLEL {
            return None;
        }
        let moved = (cos * ray.direction.dot(between) - self.along.dot(between)) / sine_squared;
        moved.is_finite().then_some(moved)
    }
}

/// Number of the pocket nearest to a station among those without another beam.
fn nearest_free_pocket(session: &Session, beam: usize, x_m: f64) -> Option<usize> {
    let (load, rig) = (session.load()?, session.rig()?);
    let taken = |number: usize| {
        let others = load.beams.iter().enumerate().filter(|(i, _)| *i != beam);
        others
            .into_iter()
            .any(|(_, other)| other.seat == Seat::Pocket(number))
    };
    let pockets = rig.rails.pockets.iter().enumerate();
    pockets
        .map(|(index, pocket)| (index + 1, (pocket.x_m - x_m).abs()))
        .filter(|(number, _)| !taken(*number))
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(number, _)| number)
}

fn part(session: &Session, index: usize) -> Option<&RigPart> {
    session.findings()?.rig_parts.get(index)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_ray_across_moves_along_by_what_it_passes() {
        let grab = Grab {
            handle: Handle::Hull,
            at: Vec3::new(-4.0, 1.0, 2.0),
            along: Vec3::X,
            from_m: -8.0,
        };
        let origin = Vec3::new(-4.0, 10.0, 3.0);
        let ray = |to: Vec3| Ray {
            origin,
            direction: (to - origin).normalize(),
        };
        assert!(grab.moved_m(ray(grab.at)).unwrap().abs() < 1e-12);
        let moved = grab.moved_m(ray(Vec3::new(-3.25, 1.0, 2.0))).unwrap();
        assert!((moved - 0.75).abs() < 1e-9, "{moved}");
        let along = Ray {
            origin,
            direction: Vec3::X,
        };
        assert!(grab.moved_m(along).is_none());
    }
}
