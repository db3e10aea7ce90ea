//! Agreement to a stated tolerance, with a message that shows both numbers.

pub(crate) mod rows;

/// Fails unless `got` is within `relative` of `want`, measured against the larger of |want| and 1e-3
/// (near zero, where a relative error has no meaning, the digits after the point are compared).
#[track_caller]
pub(crate) fn close(what: &str, got: f64, want: f64, relative: f64) {
    close_above(1e-3, what, got, want, relative);
}

/// The same, measured against the larger of |want| and `floor`.
#[track_caller]
pub(crate) fn close_above(floor: f64, what: &str, got: f64, want: f64, relative: f64) {
    let scale = want.abs().max(floor);
    assert!(
        (got - want).abs() <= relative * scale,
        "{what}: got {got:.10}, the source says {want:.10} (allowed {relative:e} relative)"
    );
}
