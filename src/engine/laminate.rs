//! The laminate behind a mould face: how thick it gets, what it weighs, and in
//! which order its layers go on.
//!
//! Take-off says how much glass and resin to buy. Here the same amounts are
//! laid out ply by ply, so that the tubs can be weighed out in working order
//! and the thickness is known before the first brush is wet. It describes what
//! is laid; whether that is strong enough for its load is not computed.

#[cfg(test)]
mod laws;
mod layup;

pub use layup::{Laminate, LayFactors, Layer, LayerKind, Liquid, Zone, ZoneBuild, lay_up};

use super::mix::MixError;
use super::quantity::{GramsPerSquareMetre, Millimetres, Percent, Span};
use super::takeoff::{Quantity, Sum, TakeoffError, Worked, not_negative, positive};

/// Half width of the band around a thickness, as a share of it.
///
/// Another published constant for mat, that of BS 4994:1987 at 33 % of glass
/// (2.24 mm to 1 kg/m²), lies 7.5 % above the formula used here.
const BAND: f64 = 0.10;

/// Thickness of a laminate from its dry glass, in the form of ISO 12215-5:
/// t = (w / 3.072) (2.56 / psi - 1.36) mm, w in kg/m² and psi the share of glass
/// by mass, within 10 % either way. The formula is from memory. It is the rule
/// of mixtures for glass of 2.56 and cured resin of 1.20 g/ml without air.
///
/// # Errors
/// [`TakeoffError`] when the glass is not above 0 or its share outside 0 to 100 %.
pub fn thickness(
    glass: GramsPerSquareMetre,
    share: Percent,
) -> Result<Worked<Span<Millimetres>>, TakeoffError> {
    positive("The glass", glass.value())?;
    positive("The glass content", share.value())?;
    if share.value() > 100.0 {
        return Err(MixError::OverHundred { what: "the glass content" }.into());
    }
    let likely = glass.value() / 1000.0 / 3.072 * (2.56 / (share.value() / 100.0) - 1.36);
    let span = Span { low: 1.0 - BAND, likely: 1.0, high: 1.0 + BAND }
        .map(|factor| Millimetres(likely * factor));
    let sum = Sum::default()
        .with("Dry glass", Quantity::AreaMass(glass))
        .with("Glass content by weight", Quantity::Percent(share))
        .with("Thickness, at least", Quantity::Length(span.low))
        .with("Thickness, likely", Quantity::Length(span.likely))
        .with("Thickness, at most", Quantity::Length(span.high));
    Ok(Worked { result: span, sum })
}

/// The share of glass by mass in a laminate with this much resin to one of
/// glass: 1 / (1 + r), so that 2.5 : 1 leaves 28.6 %.
///
/// # Errors
/// [`TakeoffError`] when the resin is below 0.
pub fn glass_content(resin_to_glass: f64) -> Result<Percent, TakeoffError> {
    not_negative("The resin to the mat", resin_to_glass)?;
    Ok(Percent(100.0 / (1.0 + resin_to_glass)))
}
