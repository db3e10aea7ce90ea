//! Agreement to a stated tolerance, with a message that shows both numbers.

/// Fails unless `got` is within `relative` of `want`, measured against the larger of |want| and 1e-3
/// (near zero, where a relative error has no meaning, the digits after the point are compared).
#[track_caller]
pub(crate) fn close(what: &str, got: f64, want: f64, relative: f64) {
    let scale = want.abs().max(1e-3);
    assert!(
        (got - want).abs() <= relative * scale,
        "{what}: got {got:.10}, the source says {want:.10} (allowed {relative:e} relative)"
    );
}
