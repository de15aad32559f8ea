//! What rides on the trailer's wheels: the boat, what is on board, and the trailer itself, each with
//! how far its weight and place may be off.
//!
//! Boat and trailer move apart when they are off, so each keeps its own tolerance instead of one for
//! their common centre: whoever asks takes the worst corner of all.

use keelstead_geometry::math::Vec3;

/// One weight as it stands on the trailer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Riding {
    /// Mass, kg.
    pub mass_kg: f64,
    /// How far that may be off, kg, either way.
    pub mass_off_kg: f64,
    /// Where it acts. Trailer frame.
    pub at: Vec3,
    /// How far that may be off along each axis of the trailer frame, m, either way.
    pub off_m: Vec3,
}

impl Riding {
    /// The mass at the light (`heavy` -1), stated (0) or heavy (1) end, kg; never below nothing.
    pub fn mass_at(&self, heavy: f64) -> f64 {
        (self.mass_kg + heavy * self.mass_off_kg).max(0.0)
    }
}
