//! The error stratum of each contrast and its mean square: analysis of variance.

use ndarray::{Array1, Array2, ArrayRef1, ArrayView1};

use super::block_projection::{block_projection, classes, projection};
use super::contrast_estimate::ContrastEstimate;
use super::plot_scores::PlotScores;
use super::plot_table::{BlockStructure, InferenceSpace, PlotTable};
use crate::multiplicity::lambda_from_correlation;
use crate::numerics::projection::{
    Basis, NOTHING_LEFT, Projection, indicator, residual_traces, traces,
};

/// Blocks, covariate and treatments of a design, prepared once.
#[derive(Debug, Clone)]
pub(super) struct Strata {
    /// Everything; the residual of a response is the stratum of plots.
    known: Projection,
    /// Columns of the units above plots ([`PlotTable::whole_units`]), beyond `known`; empty without such units.
    whole: Basis,
    /// Each column of treatment, adjusted for everything else; `None` where it is confounded with the blocks.
    contrasts: Vec<Option<AdjustedContrast>>,
    plots: usize,
    /// Unit of each plot in the stratum above plots; empty without such units.
    units: Vec<usize>,
    /// Whether the error is the interaction of treatment and group.
    broad: bool,
}

/// A column of treatment with everything else taken out.
#[derive(Debug, Clone)]
struct AdjustedContrast {
    z: Array1<f64>,
    /// Squared length, and the part of it to which the mean square between whole units answers.
    length: f64,
    between: f64,
}

impl Strata {
    /// Each treatment less the control.
    pub(super) fn new(table: &PlotTable) -> Self {
        let codes = &table.treatment.codes;
        let levels = 1..table.treatment.levels.len();
        let columns: Vec<_> = levels.map(|level| indicator(codes, level)).collect();
        Self::with_columns(table, &columns)
    }

    /// Any coding of the treatments: the columns that stand for them beside the intercept, as many as there are
    /// treatments less one. The contrast of a column is its coefficient with all the others in the model.
    pub(super) fn with_columns(table: &PlotTable, columns: &[Array1<f64>]) -> Self {
        let plots = table.counts.len();
        let mut known = match classes(table) {
            Some(classes) => block_projection(table).with_classes(classes),
            None => block_projection(table),
        };
        let others = |j: usize| {
            let mut others = known.clone();
            for (_, column) in columns.iter().enumerate().filter(|(l, _)| *l != j) {
                others.add(column.clone());
            }
            others
        };
        let units = table.whole_units();
        let directions: Vec<(Array1<f64>, f64)> = (0..columns.len())
            .map(|j| {
                let column = columns[j].clone();
                let own = column.dot(&column);
                (others(j).residual(column), own)
            })
            .collect();
        for column in columns {
            known.add(column.clone());
        }
        let mut whole = Basis::empty(plots);
        if let Some((codes, number)) = &units {
            for level in 0..*number {
                let column = indicator(codes, level);
                let own = column.dot(&column);
                let mut left = known.residual(column);
                for _ in 0..2 {
                    whole.take_out(&mut left);
                }
                whole.add(&left, own);
            }
        }
        let contrasts = directions
            .into_iter()
            .map(|(z, own)| {
                let length = z.dot(&z);
                let between = match &units {
                    Some((codes, number)) => between(&z, codes, *number, &whole),
                    None => 0.0,
                };
                (length > NOTHING_LEFT * own).then_some(AdjustedContrast { z, length, between })
            })
            .collect();
        Self {
            known,
            whole,
            contrasts,
            plots,
            units: units.map(|(codes, _)| codes).unwrap_or_default(),
            broad: matches!(table.inference, InferenceSpace::Broad(_)),
        }
    }

    /// Residual degrees of freedom in the stratum of plots.
    fn within(&self) -> usize {
        self.plots
            .saturating_sub(self.known.rank() + self.whole.len())
    }

    /// Power of the scale on which this design compares counts ([`Transformation`](super::transformation::Transformation)): 1/2 - 1/d
    /// with d degrees of freedom in the stratum of plots, or in that of treatment by group where it is the error; 0 for two
    /// or fewer.
    ///
    /// With few plots one crowded plot makes the error as large as the difference, and the variance must be
    /// stabilised; the more plots there are, the more the crowded ones say of the mean. Chosen by
    /// simulation from four such rules, and measured by the bench.
    pub(super) fn power(&self) -> f64 {
        let df = if self.broad {
            self.whole.len()
        } else {
            self.within()
        };
        (0.5 - 1.0 / (df as f64)).max(0.0)
    }

    /// Column `j` (0 for the first treatment after the control) of the response `r`, a value for each plot.
    ///
    /// Where the model gives each response a variance of its own, up to a common factor, the mean squares are shared out
    /// by it: a mean square stands for the variance that its stratum should have on average, a contrast has that of its own plots,
    /// and the degrees of freedom are those of a sum of squares of unlike variances (Box 1954, Annals of Mathematical
    /// Statistics 25:290-302). So treatments that leave nothing to scatter do not make the error of the others small.
    pub(super) fn contrast(
        &self,
        j: usize,
        r: &ArrayRef1<f64>,
        variances: Option<&ArrayRef1<f64>>,
    ) -> ContrastEstimate {
        let nothing = ContrastEstimate {
            estimate: 0.0,
            standard_error: 0.0,
            df: 0.0,
            skewness: 0.0,
        };
        let Some(direction) = self.contrasts.get(j).and_then(Option::as_ref) else {
            return nothing;
        };
        let size = r.dot(r);
        let left = self.known.residual(r.to_owned());
        let mut inner = left.clone();
        for _ in 0..2 {
            self.whole.take_out(&mut inner);
        }
        // Squares below the last digits of the response are none.
        let real = |square: f64| if square > 1e-26 * size { square } else { 0.0 };
        let product = direction.z.dot(r);
        let estimate = if product * product > 1e-26 * size * direction.length {
            product / direction.length
        } else {
            0.0
        };
        let inside = (direction.length - direction.between).max(0.0);
        // What a contrast of this length is expected to vary, as the model has it.
        let own = variances.map_or(1.0, |v| {
            (&direction.z * &direction.z).dot(v) / direction.length
        });
        let share =
            |length: f64,
             squares: f64,
             stratum: fn(&Self, Option<&ArrayRef1<f64>>) -> (f64, f64)| {
                if length <= NOTHING_LEFT * direction.length {
                    return Some((0.0, 1.0));
                }
                let (expected, df) = stratum(self, variances);
                (df > 0.0).then(|| (length * own * squares / expected, df))
            };
        let between_squares = real(left.dot(&left) - inner.dot(&inner));
        let (Some((a, df_a)), Some((b, df_b))) = (
            share(inside, real(inner.dot(&inner)), Self::plots_stratum),
            share(direction.between, between_squares, Self::whole_stratum),
        ) else {
            return nothing;
        };
        let df = if direction.between <= NOTHING_LEFT * direction.length {
            df_a
        } else if inside <= NOTHING_LEFT * direction.length {
            df_b
        } else if a + b > 0.0 {
            (a + b).powi(2) / (a * a / df_a + b * b / df_b)
        } else {
            df_a.min(df_b)
        };
        ContrastEstimate {
            estimate,
            standard_error: (a + b).sqrt() / direction.length,
            df,
            skewness: 0.0,
        }
    }

    /// Expected sum of squares in the stratum of plots, up to the common factor, and its degrees of freedom.
    fn plots_stratum(&self, variances: Option<&ArrayRef1<f64>>) -> (f64, f64) {
        effective(
            self.within(),
            variances.map(|v| residual_traces(&self.known, &self.whole, v)),
        )
    }

    /// The same in the stratum above plots.
    fn whole_stratum(&self, variances: Option<&ArrayRef1<f64>>) -> (f64, f64) {
        effective(self.whole.len(), variances.map(|v| traces(&self.whole, v)))
    }

    /// Skewness of each contrast of these scores.
    pub(super) fn skewnesses(&self, scores: &PlotScores) -> Vec<f64> {
        (0..self.contrasts.len())
            .map(|j| self.skewness(j, scores))
            .collect()
    }

    /// Skewness of contrast `j` (0 for the first) of these scores; 0 where they have no third cumulants.
    pub(super) fn skewness(&self, j: usize, scores: &PlotScores) -> f64 {
        let (Some(direction), Some(variances), Some(third)) = (
            self.contrasts.get(j).and_then(Option::as_ref),
            &scores.variances,
            &scores.third_cumulants,
        ) else {
            return 0.0;
        };
        let squares = &direction.z * &direction.z;
        let variance = squares.dot(variances);
        if variance > 0.0 {
            (squares * &direction.z).dot(third) / variance.powf(1.5)
        } else {
            0.0
        }
    }

    /// `lambda` of the contrasts of the first `columns` for [`dunnett`](crate::multiplicity::dunnett): contrasts i and j correlate by the product of
    /// their two, or by more.
    ///
    /// Exact where the design gives the correlations this form, as with equal replication in every block; else the
    /// smallest correlation stands for all, over every ratio of the variances of the two strata. Less correlated contrasts
    /// exceed a bound more often (Sidak 1968, Annals of Mathematical Statistics 39:1425-1434), so that the error is on the careful side.
    pub(super) fn lambda(&self, columns: usize) -> Vec<f64> {
        let compared = || self.contrasts.iter().take(columns);
        let known: Vec<_> = compared().flatten().collect();
        let correlation = |i: &AdjustedContrast, j: &AdjustedContrast| {
            let product = i.z.dot(&j.z);
            let between = if self.whole.len() == 0 {
                0.0
            } else {
                self.between_product(&i.z, &j.z)
            };
            let at = |ratio: f64| {
                let variance =
                    |c: &AdjustedContrast| c.length + (ratio - 1.0) * c.between.min(c.length);
                (product + (ratio - 1.0) * between) / (variance(i) * variance(j)).sqrt()
            };
            // The ratio of the strata's variances is not known before counting.
            let ratios: &[f64] = if between == 0.0 {
                &[1.0]
            } else {
                &[1.0, 2.0, 5.0, 20.0, 1e3]
            };
            ratios
                .iter()
                .map(|&ratio| at(ratio))
                .fold(f64::INFINITY, f64::min)
        };
        let n = known.len();
        let matrix = Array2::from_shape_fn((n, n), |(i, j)| {
            if i == j {
                1.0
            } else {
                correlation(known[i], known[j])
            }
        });
        let exact = lambda_from_correlation(&matrix, 1e-9);
        let least = || {
            let least = matrix.iter().copied().fold(1.0, f64::min).max(0.0);
            vec![least.sqrt(); n]
        };
        let mut found = exact.unwrap_or_else(least).into_iter();
        compared()
            .map(|c| c.as_ref().and_then(|_| found.next()).unwrap_or(0.0))
            .collect()
    }

    /// The part of the product of two directions that lies between whole units.
    fn between_product(&self, a: &Array1<f64>, b: &Array1<f64>) -> f64 {
        let totals = |z: &Array1<f64>| {
            let mut totals = vec![(0.0, 0.0); self.units.iter().max().map_or(0, |m| m + 1)];
            for (&unit, v) in self.units.iter().zip(z) {
                totals[unit].0 += v;
                totals[unit].1 += 1.0;
            }
            totals
        };
        let pairs = totals(a).into_iter().zip(totals(b));
        pairs
            .filter(|(a, _)| a.1 > 0.0)
            .map(|(a, b)| a.0 * b.0 / a.1)
            .sum()
    }

    /// The residual of a response on blocks and covariate alone.
    pub(super) fn centred(table: &PlotTable, r: Array1<f64>) -> Array1<f64> {
        let blocks = match &table.block_structure {
            BlockStructure::SplitPlot(_) => &[],
            _ => table.blocking_factors(),
        };
        projection(blocks, table).residual(r)
    }
}

/// Expected sum of squares and degrees of freedom of a stratum of this dimension, with its traces where variances are unlike.
fn effective(dimension: usize, traces: Option<(f64, f64)>) -> (f64, f64) {
    match traces {
        Some((first, second)) if first > 0.0 && second > 0.0 => {
            let (df, most) = (first * first / second, dimension as f64);
            // Equal variances give the dimension but for rounding.
            (first, if df < most * (1.0 - 1e-9) { df } else { most })
        }
        _ => (dimension as f64, dimension as f64),
    }
}

/// How much of the squared length of `z` answers to the mean square between whole units (`codes`, of which there are
/// `units`; `whole` spans their stratum), so that variance times length is estimated without bias: with n plots a unit,
/// on average as the stratum weighs them (Henderson 1953, Biometrics 9:226-252, method 3), the sum of the squared
/// totals of `z` over n. Where units have equal plots it is the squared length between them; where they have not, it
/// may exceed the whole length, and the stratum within then has no share, which errs on the careful side.
fn between(z: &ArrayRef1<f64>, codes: &[usize], units: usize, whole: &Basis) -> f64 {
    let squared_totals = |values: ArrayView1<'_, f64>| -> f64 {
        let mut totals = vec![0.0; units];
        for (&code, v) in codes.iter().zip(values) {
            totals[code] += v;
        }
        totals.iter().map(|t| t * t).sum()
    };
    let of_stratum: f64 = whole.vectors().map(squared_totals).sum();
    if of_stratum > 0.0 {
        squared_totals(z.view()) * whole.len() as f64 / of_stratum
    } else {
        // Without degrees of freedom between units: all of it that lies there cannot be tested.
        let mut sizes = vec![0.0; units];
        let mut totals = vec![0.0; units];
        for (&code, v) in codes.iter().zip(z) {
            sizes[code] += 1.0;
            totals[code] += v;
        }
        let of_unit = totals.iter().zip(&sizes).filter(|(_, n)| **n > 0.0);
        of_unit.map(|(t, n)| t * t / n).sum()
    }
}
