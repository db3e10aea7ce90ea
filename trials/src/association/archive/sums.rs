//! Number, mean and variance of counts, without rounding until they are asked for.

use std::collections::BTreeMap;

use serde::Serialize;

/// Sums of counts, which are whole numbers, so that their order does not matter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct Sums {
    /// Counts.
    pub n: u64,
    /// Animals.
    pub total: u64,
    /// Sum of the squares. A thousand million counts of a million animals still fit.
    pub squares: u128,
}

impl Sums {
    /// Takes in a count.
    #[inline]
    pub fn add(&mut self, count: u32) {
        let count = u64::from(count);
        self.n += 1;
        self.total += count;
        self.squares += u128::from(count * count);
    }

    /// Takes in other sums.
    pub fn merge(&mut self, other: &Self) {
        self.n += other.n;
        self.total += other.total;
        self.squares += other.squares;
    }

    /// Mean count; `None` of none.
    #[must_use]
    pub fn mean(&self) -> Option<f64> {
        (self.n > 0).then(|| self.total as f64 / self.n as f64)
    }

    /// Sample variance, with `n - 1` below: the sum of squared deviations is a whole number over `n` and is formed as one.
    /// `None` below two counts.
    #[must_use]
    pub fn variance(&self) -> Option<f64> {
        let n = u128::from(self.n);
        let total = u128::from(self.total);
        let deviations = (n * self.squares).checked_sub(total * total)?;
        (self.n > 1).then(|| deviations as f64 / (n as f64 * (n - 1) as f64))
    }
}

/// Sums by club and treatment.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct SumsBy {
    /// In the order of clubs, then treatments.
    pub groups: BTreeMap<(String, String), Sums>,
}

impl SumsBy {
    /// Takes in the sums of a group.
    pub fn add(&mut self, club: &str, treatment: &str, sums: &Sums) {
        let group = (club.to_owned(), treatment.to_owned());
        self.groups.entry(group).or_default().merge(sums);
    }

    /// Takes in other groups.
    pub fn merge(&mut self, other: &Self) {
        for (group, sums) in &other.groups {
            self.groups.entry(group.clone()).or_default().merge(sums);
        }
    }
}
