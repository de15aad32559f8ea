//! Random figures that are the same on every machine.

/// Marsaglia's xorshift, with a multiplier (xorshift64*).
pub struct Random(u64);

impl Random {
    pub fn new(seed: u64) -> Self {
        // Seeds that differ by little must not begin alike, and nought is a fixed point.
        Self(seed.wrapping_add(1).wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1)
    }

    fn next(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_f491_4f6c_dd1d)
    }

    /// Evenly from `least` to `most`.
    pub fn within(&mut self, least: f64, most: f64) -> f64 {
        let part = (self.next() >> 11) as f64 / (1_u64 << 53) as f64;
        least + part * (most - least)
    }

    /// One of so many, from 0.
    pub fn one_of(&mut self, count: usize) -> usize {
        (self.within(0.0, count as f64) as usize).min(count - 1)
    }
}
