//! Dynamic pressure of moving air.

/// Density of air that EN 1991-1-4:2005 recommends, kg per m3.
pub const AIR_KG_PER_M3: f64 = 1.25;

/// Dynamic pressure of a gust, pascals (newtons per square metre): half the density times the speed squared, EN 1991-1-4:2005,
/// expression 4.10. Not below 0; a speed below 0 counts as its size.
///
/// ```
/// let pascals = halfgreen::night::wind::dynamic_pressure(40.9);
/// assert!((pascals - 1045.5).abs() < 0.05);
/// ```
#[must_use]
pub fn dynamic_pressure(gust_m_s: f64) -> f64 {
    0.5 * AIR_KG_PER_M3 * gust_m_s * gust_m_s
}
