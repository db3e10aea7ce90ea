//! How often one length goes into another.

/// Rounding allowance when a length is divided, metres: a tenth of a micrometre.
const ROUNDING: f64 = 1e-7;

/// Whole times `piece` goes into `length`; 0 for a negative length.
pub(crate) fn times(length: f64, piece: f64) -> usize {
    let whole = ((length + ROUNDING) / piece).floor().max(0.0);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "floored and at least 0; the cast saturates"
    )]
    let whole = whole as usize;
    whole
}
