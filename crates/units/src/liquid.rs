//! Liquids: densities, and what a volume of one weighs.

/// Density of sea water for design, kg/m³. Convention `[from memory]`; standard sea water at 15 °C
/// has 1025.98 (TEOS-10, `[derived]`).
pub const SEA_WATER_KG_M3: f64 = 1025.0;
/// Density of fresh water for design, kg/m³. Convention `[from memory]`; at 15 °C it has 999.10
/// (IAPWS-97, `[derived]`).
pub const FRESH_WATER_KG_M3: f64 = 1000.0;
/// Pounds a cubic foot of sea water, US custom `[from memory]`, in kg/m³: 64 lb/ft³.
pub const SEA_WATER_US_KG_M3: f64 = 64.0 * 0.453_592_37 / (0.3048 * 0.3048 * 0.3048);

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
    /// Density, kg/m³. Water: the constants of this module. Diesel 840 within EN 590's 820 to 845, petrol 750
    /// within EN 228's 720 to 775, both at 15 °C `[from memory]`: no tank is read closer.
    pub fn kg_m3(self) -> f64 {
        match self {
            Self::FreshWater => FRESH_WATER_KG_M3,
            Self::SeaWater => SEA_WATER_KG_M3,
            Self::Diesel => 840.0,
            Self::Petrol => 750.0,
        }
    }

    /// Mass of a volume of it, kg.
    ///
    /// ```
    /// # use keelstead_units::liquid::{Liquid, US_GALLON_M3};
    /// // A US gallon of fresh water is 8.34 lb (check-values 5.1, at 15 °C, `[derived]`).
    /// let pounds = Liquid::FreshWater.mass_kg(US_GALLON_M3) / 0.453_592_37;
    /// assert!((pounds - 8.34).abs() < 0.01, "{pounds}");
    /// ```
    pub fn mass_kg(self, volume_m3: f64) -> f64 {
        volume_m3 * self.kg_m3()
    }
}
