//! Whole things: nobody lays half a weight, and half a person does not come.

/// The least whole number that is not below `x` (0 for a negative one), less what rounding alone may have added: a part in a
/// thousand million.
pub(super) fn at_least(x: f64) -> u64 {
    let up = (x * (1.0 - 1e-9)).ceil().max(0.0);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "at least 0, whole, and the cast saturates"
    )]
    let up = up as u64;
    up
}
