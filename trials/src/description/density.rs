//! Counts in units of a known area -> mean per square metre with its interval.

use halfgreen_analysis::dispersion::{FrequencyTable, mean_interval};

use super::Row;
use crate::Error;
use crate::threshold::{Beside, ThresholdRow};

/// Confidence level of the interval.
const LEVEL: f64 = 0.95;

/// The mean of all rows per square metre, units of `area_m2` each, beside the user's own figure.
///
/// # Errors
/// When there is no counted unit, or the counts are too large to add up.
pub fn per_m2(rows: &[Row], area_m2: f64, own_per_m2: Option<f64>) -> Result<Beside, Error> {
    let all = FrequencyTable::of_frequencies(rows.iter().map(|r| (r.count, r.frequency)))?;
    let interval = mean_interval(&all, LEVEL);
    let high = Some(interval.high / area_m2).filter(|high| high.is_finite());
    let limits = (Some(interval.low / area_m2), high);
    let row = ThresholdRow::new("all units", all.mean / area_m2, limits, own_per_m2);
    Ok(Beside::new(own_per_m2, vec![row]))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::threshold::Side;

    #[test]
    fn a_mean_a_core_is_brought_to_the_square_metre() {
        let count = |count| Row {
            count,
            frequency: 1,
            group: Vec::new(),
        };
        let rows = [0, 2, 1, 4, 0, 3, 1, 1, 2, 6].map(count);
        let found = per_m2(&rows, 0.01, Some(20.0)).unwrap();
        let row = &found.rows[0];
        assert_eq!(row.mean, 200.0);
        assert!(
            row.low.unwrap() > 80.0 && row.high.unwrap() < 420.0,
            "{row:?}"
        );
        assert_eq!(row.side, Some(Side::Above));
        let one = per_m2(&rows[..1], 0.01, Some(20.0)).unwrap();
        assert_eq!(
            (one.rows[0].high, one.rows[0].side),
            (None, Some(Side::CannotTell))
        );
    }
}
