//! Liquids on board, by volume.

/// A liquid that boats carry.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Liquid {
    /// Drinking water; a holding tank weighs no differently. Common practice.
    FreshWater,
    /// Sea water, as it stands in a bilge.
    SeaWater,
    /// Diesel oil.
    Diesel,
    /// Petrol (gasoline).
    Petrol,
}

/// Cubic metres in a US gallon: 231 cubic inches.
pub const US_GALLON_M3: f64 = 231.0 * 0.0254 * 0.0254 * 0.0254;
/// Cubic metres in an imperial gallon: 4.546 09 l.
pub const IMPERIAL_GALLON_M3: f64 = 0.004_546_09;

impl Liquid {
    /// Density, kg/m³. Water: [`crate::hydrostatics`]. Diesel 840 within EN 590's 820 to 845, petrol 750
    /// within EN 228's 720 to 775, both at 15 °C `[from memory]`: no tank is read closer.
    pub fn kg_m3(self) -> f64 {
        match self {
            Self::FreshWater => crate::hydrostatics::FRESH_WATER_KG_M3,
            Self::SeaWater => crate::hydrostatics::SEA_WATER_KG_M3,
            Self::Diesel => 840.0,
            Self::Petrol => 750.0,
        }
    }

    /// Mass of a volume of it, kg.
    ///
    /// ```
    /// # use keelstead::weigh::{Liquid, US_GALLON_M3};
    /// // A US gallon of fresh water is 8.34 lb (check-values 5.1, at 15 °C, `[derived]`).
    /// let pounds = Liquid::FreshWater.mass_kg(US_GALLON_M3) / 0.453_592_37;
    /// assert!((pounds - 8.34).abs() < 0.01, "{pounds}");
    /// ```
    pub fn mass_kg(self, volume_m3: f64) -> f64 {
        volume_m3 * self.kg_m3()
    }
}
