//! Exact conditional test of a fourfold table of totals: is the ratio of ratios 1?

use super::plot_table::PlotTable;
use crate::counts::Factor;

/// Totals of two levels of one factor under two levels of another. Given both margins, the first of the four totals
/// of Poisson counts is hypergeometric (Fisher 1935, JRSS 98:39-82), its odds the ratio of ratios of the exposures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Fourfold {
    /// Counts: both levels, the first factor's alone, the second's alone, neither.
    counts: [u64; 4],
    /// Log ratio of ratios of the exposures.
    ln_odds: f64,
}

impl Fourfold {
    /// Of level `i` of the first and `j` of the second factor, each beside the factor's first level; all further
    /// factors are summed over.
    pub(super) fn of(table: &PlotTable, factors: [&Factor; 2], [i, j]: [usize; 2]) -> Self {
        let mut counts = [0; 4];
        let mut exposure = [0.0; 4];
        for plot in 0..table.counts.len() {
            let cell = match (factors[0].codes[plot], factors[1].codes[plot]) {
                (a, b) if a == i && b == j => 0,
                (a, 0) if a == i => 1,
                (0, b) if b == j => 2,
                (0, 0) => 3,
                _ => continue,
            };
            counts[cell] += table.counts[plot];
            exposure[cell] += table.exposure[plot];
        }
        let [both, first, second, neither] = exposure;
        Self {
            counts,
            ln_odds: ((both * neither) / (first * second)).ln(),
        }
    }

    /// Two-sided p: twice the smaller tail, half of the observed case counted (Lancaster 1961, JASA 56:223-234); 1 where
    /// the margins leave one table only.
    pub(super) fn p(&self) -> f64 {
        let [both, first, second, neither] = self.counts;
        let (row, column, rest) = (both + first, both + second, second + neither);
        let (least, most) = (column.saturating_sub(rest), row.min(column));
        if least == most {
            return 1.0;
        }
        // Outward from the observed table, whose weight is 1, each follows from the one before.
        let odds = self.ln_odds.exp();
        let step = |low: u64| {
            (row - low) as f64 * (column - low) as f64 * odds
                / ((low + 1) as f64 * (rest + low + 1 - column) as f64)
        };
        let sum = |weights: &mut dyn Iterator<Item = f64>| {
            let mut weight = 1.0;
            weights.fold(0.0, |sum, step| {
                weight *= step;
                sum + weight
            })
        };
        let above = sum(&mut (both..most).map(step));
        let below = sum(&mut (least..both).rev().map(|low| step(low).recip()));
        let total = below + 1.0 + above;
        (2.0 * (below.min(above) + 0.5) / total).min(1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn p(counts: [u64; 4]) -> f64 {
        let ln_odds = 0.0;
        Fourfold { counts, ln_odds }.p()
    }

    /// Fisher's tea tasting (1935, "The Design of Experiments", section 5): of 70 tables 1 has all four right, 16 have three.
    #[test]
    fn the_tail_is_that_of_the_hypergeometric() {
        assert!((p([4, 0, 0, 4]) - 2.0 * 0.5 / 70.0).abs() < 1e-15);
        assert!((p([3, 1, 1, 3]) - 2.0 * (1.0 + 8.0) / 70.0).abs() < 1e-15);
        assert!((p([1, 3, 3, 1]) - 2.0 * (1.0 + 8.0) / 70.0).abs() < 1e-15);
    }

    #[test]
    fn margins_that_leave_one_table_say_nothing() {
        for counts in [[0, 0, 0, 0], [7, 0, 0, 0], [5, 4, 0, 0], [0, 3, 0, 2]] {
            assert_eq!(p(counts), 1.0, "{counts:?}");
        }
        assert!(p([1_000_000, 1, 1, 1_000_000]) < 1e-300);
    }

    #[test]
    fn unequal_areas_move_what_is_expected() {
        // Twice the area where both were done: twice the count there is what no interaction gives.
        let counts = [20, 10, 10, 10];
        let ln_odds = 2.0_f64.ln();
        assert!(Fourfold { counts, ln_odds }.p() > 0.9);
        assert!(p(counts) < 0.4);
    }
}
