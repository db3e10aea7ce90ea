//! Round ratios for the log axis of every figure that sets a method against the control.

/// Ratios that may be named on the axis, the more telling first.
const TICKS: [f64; 19] = [
    1.0, 0.5, 2.0, 0.1, 10.0, 0.2, 5.0, 0.05, 20.0, 0.02, 50.0, 0.3, 0.7, 1.5, 3.0, 0.4, 0.8, 0.6,
    1.25,
];

/// Those whose logarithms lie between two ends, the more telling first.
pub(in crate::report) fn ticks_of(ends: (f64, f64)) -> impl Iterator<Item = f64> {
    let inside = move |t: &f64| (ends.0..=ends.1).contains(&t.ln());
    TICKS.into_iter().filter(inside)
}

/// "−50 %", "0 %", "+100 %".
pub(in crate::report) fn per_cent(ratio: f64) -> String {
    let whole = (100.0 * (ratio - 1.0)).round();
    match whole {
        w if w < 0.0 => format!("−{:.0} %", -w),
        w if w > 0.0 => format!("+{w:.0} %"),
        _ => "0 %".to_owned(),
    }
}
