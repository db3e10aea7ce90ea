//! The one place where numbers become text.
//!
//! Pages and the terminal show the same digits: three significant ones for quantities, whole per cent
//! for changes, three decimals for p-values. Full precision stands in `results.json`.
//!
//! What decided something is told with as many digits as it takes to see on which side of the bar it fell: a limit that
//! rules 40 % out is not shown as 40 %, and a p that is let by is not shown like one that is not.

mod changes;

pub use changes::{Changes, between, change};

/// What stands where there is no number.
pub const NONE: &str = "–";

/// Three significant digits, at most six decimals.
#[must_use]
pub fn figure(x: f64) -> String {
    // Below half of the sixth decimal there is no digit left to show.
    if x.abs() < 5e-7 {
        return "0".to_owned();
    }
    // A value that does not fit the range is an order of magnitude no count has.
    // Taken after rounding, so that 0.9999 is shown as 1.00 and not as 1.000.
    let rounded = format!("{:.2e}", x.abs()).parse().unwrap_or(x.abs());
    let magnitude = f64::log10(rounded).floor();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between 0 and 6"
    )]
    let decimals = (2.0 - magnitude).clamp(0.0, 6.0) as usize;
    format!("{x:.decimals$}")
}

/// A number that was typed: its own digits, at most six decimals.
#[must_use]
pub fn plain(x: f64) -> String {
    let text = format!("{x:.6}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// The same as [`figure`], or a dash.
#[must_use]
pub fn maybe(x: Option<f64>) -> String {
    x.map_or(NONE.to_owned(), figure)
}

/// Two limits, or one dash where there is no interval at all.
#[must_use]
pub fn span(low: Option<f64>, high: Option<f64>) -> String {
    match (low, high) {
        (None, None) => NONE.to_owned(),
        _ => format!("{} to {}", maybe(low), maybe(high)),
    }
}

/// Error rates that people ask for, which are bars for a p-value.
const BARS: [f64; 4] = [0.1, 0.05, 0.02, 0.01];

/// Most decimals of a p-value.
const FINEST: usize = 6;

/// A p-value to three decimals, or below 0.001; with more decimals where three would put it on one of the usual bars
/// while it lies above or below.
#[must_use]
pub fn chance(p: f64) -> String {
    if p < 0.001 {
        return "< 0.001".to_owned();
    }
    let told = |decimals: usize| format!("{p:.decimals$}");
    let on_bar = |text: &str| {
        let shown = text.parse::<f64>().unwrap_or(p);
        BARS.iter().any(|bar| shown == *bar && p != *bar)
    };
    (3..FINEST)
        .map(told)
        .find(|text| !on_bar(text))
        .unwrap_or_else(|| told(FINEST))
}

/// The same in a sentence: "p = 0.030".
#[must_use]
pub fn p_value(p: f64) -> String {
    match chance(p) {
        below if below.starts_with('<') => format!("p {below}"),
        told => format!("p = {told}"),
    }
}

/// A smallest p-value, which may be far below what [`chance`] shows.
#[must_use]
pub fn step(p: f64) -> String {
    if p < 0.001 {
        format!("{p:.1e}")
    } else {
        chance(p)
    }
}

/// A p-value, or a dash.
#[must_use]
pub fn maybe_chance(p: Option<f64>) -> String {
    p.map_or(NONE.to_owned(), chance)
}

/// How many of a hundred a share is, the same on every page: all and none only where it is so.
#[must_use]
pub fn of_hundred(share: f64) -> String {
    let whole = share <= 0.0 || share >= 1.0;
    let times = (100.0 * share).round();
    let times = if whole { times } else { times.clamp(1.0, 99.0) };
    format!("{times:.0}")
}

/// A share as whole per cent; neither all nor nothing where it is not.
#[must_use]
pub fn percent(share: f64) -> String {
    let whole = (100.0 * share).round();
    if whole == 0.0 && share > 0.0 {
        return "under 1 %".to_owned();
    }
    if whole == 100.0 && share < 1.0 {
        return "over 99 %".to_owned();
    }
    format!("{whole:.0} %")
}

/// The largest of 1, 2 and 5 times a power of ten that is at most `x`.
pub(crate) fn round_down(x: f64) -> f64 {
    let power = 10.0_f64.powf(x.log10().floor());
    let lead = [5.0, 2.0, 1.0]
        .into_iter()
        .find(|l| l * power <= x * (1.0 + 1e-9));
    lead.unwrap_or(1.0) * power
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_are_significant_ones() {
        assert_eq!(figure(0.9999999), "1.00");
        let shown = [0.0, 0.012345, 1.0, 2.345, 41.678, 512.4, 12345.6].map(figure);
        assert_eq!(
            shown,
            ["0", "0.0123", "1.00", "2.35", "41.7", "512", "12346"]
        );
        assert_eq!(maybe(None), NONE);
        assert_eq!([0.05, 40.0, 0.1 + 0.2].map(plain), ["0.05", "40", "0.3"]);
    }

    #[test]
    fn steps_are_round() {
        assert_eq!([7.0, 50.0, 0.3].map(round_down), [5.0, 50.0, 0.2]);
    }

    #[test]
    fn chances_below_a_thousandth_are_not_shown_as_nil() {
        assert_eq!(chance(0.0004), "< 0.001");
        assert_eq!(chance(0.0078125), "0.008");
        assert_eq!([0.0004, 0.03].map(p_value), ["p < 0.001", "p = 0.030"]);
    }

    #[test]
    fn a_chance_beside_a_bar_shows_its_side() {
        assert_eq!(chance(0.05), "0.050");
        assert_eq!(chance(0.0501), "0.0501");
        assert_eq!(chance(0.04996), "0.04996");
        assert_eq!(chance(0.020), "0.020");
        assert_eq!(chance(0.0494), "0.049");
        assert_eq!(chance(0.050_000_01), "0.050000");
    }

    #[test]
    fn shares_are_rounded_without_claiming_all_or_nothing() {
        let shown = [0.604, 0.999, 1.0, 0.001, 0.0, 13.2].map(percent);
        let told = ["60 %", "over 99 %", "100 %", "under 1 %", "0 %", "1320 %"];
        assert_eq!(shown, told);
    }
}
