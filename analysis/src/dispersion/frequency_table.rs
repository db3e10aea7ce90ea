//! Frequency table of counts, with its moments.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::Error;

/// How many units held each count, with the moments that every measure uses.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FrequencyTable {
    /// (count, number of units with it), ascending, without empty entries.
    pub values: Vec<(u64, u64)>,
    /// Number of units.
    pub n: u64,
    /// Sum of the counts.
    pub total: u64,
    /// Mean count a unit.
    pub mean: f64,
    /// Variance with divisor n - 1; none for a single unit.
    pub variance: Option<f64>,
}

impl FrequencyTable {
    /// Gathers single counts.
    ///
    /// # Errors
    /// When there are none, or their sum does not fit into 53 bits.
    pub fn of(counts: &[u64]) -> Result<Self, Error> {
        Self::of_frequencies(counts.iter().map(|&count| (count, 1)))
    }

    /// Gathers (count, frequency) pairs, in any order; the same count may come twice.
    ///
    /// # Errors
    /// As [`of`](Self::of).
    pub fn of_frequencies(pairs: impl IntoIterator<Item = (u64, u64)>) -> Result<Self, Error> {
        let mut gathered: BTreeMap<u64, u64> = BTreeMap::new();
        for (count, frequency) in pairs {
            if frequency > 0 {
                let units = gathered.entry(count).or_default();
                *units = units.saturating_add(frequency);
            }
        }
        let values: Vec<(u64, u64)> = gathered.into_iter().collect();
        let n: u128 = values.iter().map(|v| u128::from(v.1)).sum();
        let total: u128 = values
            .iter()
            .map(|v| u128::from(v.0) * u128::from(v.1))
            .sum();
        if n == 0 {
            return Err(Error::new(
                "counts",
                "none",
                "at least one counted unit is needed",
                "check the column and the frequencies",
            ));
        }
        // Beyond 2^53 a double no longer tells neighbouring whole numbers apart.
        let (Some(n), Some(total)) = (whole(n), whole(total)) else {
            return Err(Error::new(
                "counts",
                format!("{n} units with {total} in all"),
                "the sum must stay below 9e15",
                "check the unit of the column",
            ));
        };
        let mean = total as f64 / n as f64;
        let squares: f64 = values
            .iter()
            .map(|&(count, units)| units as f64 * (count as f64 - mean).powi(2))
            .sum();
        Ok(Self {
            values,
            n,
            total,
            mean,
            variance: (n > 1).then(|| squares / (n - 1) as f64),
        })
    }

    /// Sum of x (x - 1) over the units: ordered pairs that share a unit.
    #[must_use]
    pub fn pairs(&self) -> f64 {
        self.values
            .iter()
            .map(|&(x, units)| x as f64 * (x as f64 - 1.0) * units as f64)
            .sum()
    }

    /// The largest count.
    #[must_use]
    pub fn largest(&self) -> u64 {
        self.values.last().map_or(0, |v| v.0)
    }
}

/// A sum that a double holds exactly.
fn whole(sum: u128) -> Option<u64> {
    u64::try_from(sum).ok().filter(|&s| s < 1 << 53)
}
