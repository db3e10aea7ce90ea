//! Several numbers typed as one value: a pair such as `1.5,1.2`, a range such as `6-12`.

use std::ops::RangeInclusive;

use crate::next_season::wish::MOST;

/// Reads `N` or `LOW-HIGH`: whole numbers of which a plan may have so many. The complaint is shown by the
/// command line with the flag's name.
pub(super) fn range(text: &str) -> Result<RangeInclusive<usize>, String> {
    let number = |part: &str| part.trim().parse::<usize>().ok();
    let (low, high) = text.split_once('-').unwrap_or((text, text));
    match number(low).zip(number(high)) {
        Some((low, high)) if low <= high && high <= MOST => Ok(low..=high),
        _ => Err(format!(
            "a whole number up to {MOST}, several with commas between, or a range is needed, such as 6,8,12 or 6-12"
        )),
    }
}

/// Reads `A,B`. The complaint is shown by the command line with the flag's name.
pub(super) fn pair(text: &str) -> Result<(f64, f64), String> {
    let number = |part: &str| part.trim().parse::<f64>().ok();
    match text.split_once(',') {
        Some((a, b)) => number(a).zip(number(b)),
        None => None,
    }
    .ok_or_else(|| "two numbers with a comma between are needed, such as 1.5,1.2".to_owned())
}
