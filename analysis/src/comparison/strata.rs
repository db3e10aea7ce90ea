//! The error stratum of each contrast and its mean square: analysis of variance.

use ndarray::{Array1, ArrayRef1};

use super::plot_table::{BlockStructure, PlotTable};
use crate::counts::Factor;
use crate::numerics::projection::{Basis, NOTHING_LEFT, Projection, indicator};

/// Blocks, covariate and treatments of a design, prepared once.
#[derive(Debug, Clone)]
pub(super) struct Strata {
    /// Everything; the residual of a response is the stratum of plots.
    known: Projection,
    /// Columns of the whole plots, beyond `known`; empty unless plots were split.
    whole: Basis,
    /// Each column of treatment, adjusted for everything else; `None` where it is confounded with the blocks.
    contrasts: Vec<Option<AdjustedContrast>>,
    plots: usize,
}

/// A column of treatment with everything else taken out.
#[derive(Debug, Clone)]
struct AdjustedContrast {
    z: Array1<f64>,
    /// Squared length, and the part of it that lies between whole plots.
    length: f64,
    between: f64,
}

/// The coefficient of a column of treatment, in a response: a treatment less the control, or another contrast.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct ContrastEstimate {
    pub(super) estimate: f64,
    pub(super) standard_error: f64,
    /// Degrees of freedom, Satterthwaite's (1946, Biometrics Bulletin 2:110-114) where two strata
    /// share in the error; 0 where there is no error to test it against.
    pub(super) df: f64,
}

impl ContrastEstimate {
    /// Student's t, signed; infinite where nothing scatters, 0 where nothing differs either.
    pub(super) fn t(&self) -> f64 {
        if self.estimate == 0.0 {
            0.0
        } else {
            self.estimate / self.standard_error
        }
    }
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
        let blocks: &[_] = match &table.block_structure {
            BlockStructure::SplitPlot([block, _]) => std::slice::from_ref(block),
            _ => table.blocking_factors(),
        };
        let mut known = block_projection(blocks, table);
        let others = |j: usize| {
            let mut others = known.clone();
            for (_, column) in columns.iter().enumerate().filter(|(l, _)| *l != j) {
                others.add(column.clone());
            }
            others
        };
        let split = match &table.block_structure {
            BlockStructure::SplitPlot([_, whole]) => Some(whole),
            _ => None,
        };
        let contrasts = (0..columns.len())
            .map(|j| {
                let column = columns[j].clone();
                let own = column.dot(&column);
                let z = others(j).residual(column);
                let length = z.dot(&z);
                let between = split.map_or(0.0, |w| between(&z, &w.codes, w.levels.len()));
                (length > NOTHING_LEFT * own).then_some(AdjustedContrast { z, length, between })
            })
            .collect();
        for column in columns {
            known.add(column.clone());
        }
        let mut whole = Basis::empty(plots);
        if let Some(factor) = split {
            for level in 0..factor.levels.len() {
                let column = indicator(&factor.codes, level);
                let own = column.dot(&column);
                let mut left = known.residual(column);
                for _ in 0..2 {
                    whole.take_out(&mut left);
                }
                whole.add(&left, own);
            }
        }
        Self {
            known,
            whole,
            contrasts,
            plots,
        }
    }

    /// Residual degrees of freedom in the stratum of plots.
    fn within(&self) -> usize {
        self.plots
            .saturating_sub(self.known.rank() + self.whole.len())
    }

    /// Power of the scale on which this design compares counts ([`Transformation`](super::transformation::Transformation)): 1/2 - 1/d
    /// with d degrees of freedom in the stratum of plots, 0 for two or fewer.
    ///
    /// With few plots one crowded plot makes the error as large as the difference, and the variance must be
    /// stabilised; the more plots there are, the more the crowded ones say of the mean. Chosen by
    /// simulation from four such rules, and measured by the bench.
    pub(super) fn power(&self) -> f64 {
        (0.5 - 1.0 / (self.within() as f64)).max(0.0)
    }

    /// Column `j` (0 for the first treatment after the control) of the response `r`, a value for each plot.
    pub(super) fn contrast(&self, j: usize, r: &ArrayRef1<f64>) -> ContrastEstimate {
        let nothing = ContrastEstimate {
            estimate: 0.0,
            standard_error: 0.0,
            df: 0.0,
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
        let mean_square = |squares: f64, df: usize| squares / df as f64;
        let (within, wholes) = (self.within(), self.whole.len());
        let inside = direction.length - direction.between;
        let share = |length: f64, squares: f64, df: usize| {
            if length <= NOTHING_LEFT * direction.length {
                Some((0.0, 1.0))
            } else if df == 0 {
                None
            } else {
                Some((length * mean_square(squares, df), df as f64))
            }
        };
        let between_squares = real(left.dot(&left) - inner.dot(&inner));
        let (Some((a, df_a)), Some((b, df_b))) = (
            share(inside, real(inner.dot(&inner)), within),
            share(direction.between, between_squares, wholes),
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
        }
    }

    /// The residual of a response on blocks and covariate alone.
    pub(super) fn centred(table: &PlotTable, r: Array1<f64>) -> Array1<f64> {
        let blocks = match &table.block_structure {
            BlockStructure::SplitPlot(_) => &[],
            _ => table.blocking_factors(),
        };
        block_projection(blocks, table).residual(r)
    }
}

/// Projection on the blocks of a design and its covariate.
fn block_projection(terms: &[Factor], table: &PlotTable) -> Projection {
    let mut known = match terms.first() {
        Some(factor) => Projection::on_groups(&factor.codes, factor.levels.len()),
        None => Projection::on_groups(&vec![0; table.counts.len()], 1),
    };
    for factor in terms.iter().skip(1) {
        known.add_factor(&factor.codes, factor.levels.len());
    }
    if let Some(before) = &table.before {
        known.add(Array1::from(before.clone()));
    }
    known
}

/// Squared length of the group means of a column.
fn between(z: &ArrayRef1<f64>, codes: &[usize], groups: usize) -> f64 {
    let mut sums = vec![(0.0, 0.0); groups];
    for (&code, v) in codes.iter().zip(z) {
        sums[code].0 += v;
        sums[code].1 += 1.0;
    }
    sums.iter()
        .filter(|(_, n)| *n > 0.0)
        .map(|(sum, n)| sum * sum / n)
        .sum()
}

/// Yields of oats in a split plot (Yates 1935, JRSS Supplement 2:181-247; as `oats` in R's MASS 7.3):
/// six blocks, three varieties on whole plots, four rates of nitrogen within each.
#[cfg(test)]
pub(super) const OATS: [f64; 72] = [
    111.0, 130.0, 157.0, 174.0, 117.0, 114.0, 161.0, 141.0, 105.0, 140.0, 118.0, 156.0, 61.0, 91.0,
    97.0, 100.0, 70.0, 108.0, 126.0, 149.0, 96.0, 124.0, 121.0, 144.0, 68.0, 64.0, 112.0, 86.0,
    60.0, 102.0, 89.0, 96.0, 89.0, 129.0, 132.0, 124.0, 74.0, 89.0, 81.0, 122.0, 64.0, 103.0,
    132.0, 133.0, 70.0, 89.0, 104.0, 117.0, 62.0, 90.0, 100.0, 116.0, 80.0, 82.0, 94.0, 126.0,
    63.0, 70.0, 109.0, 99.0, 53.0, 74.0, 118.0, 113.0, 89.0, 82.0, 86.0, 104.0, 97.0, 99.0, 119.0,
    121.0,
];

#[cfg(test)]
mod tests {
    use super::*;
    use ndarray::ArrayView1;

    fn oats() -> PlotTable {
        let label = |of: &dyn Fn(usize) -> String| (0..72).map(of).collect::<Vec<_>>();
        let blocks = label(&|i| (i / 12).to_string());
        let wholes = label(&|i| (i / 4).to_string());
        let treatments = label(&|i| format!("{} {}", i / 4 % 3, i % 4));
        PlotTable {
            counts: vec![0; 72],
            exposure: vec![1.0; 72],
            treatment: Factor::from_labels("treatment", &treatments, Some("0 0")),
            block_structure: BlockStructure::SplitPlot([
                Factor::from_labels("block", &blocks, None),
                Factor::from_labels("whole", &wholes, None),
            ]),
            before: None,
        }
    }

    /// Standard errors and degrees of freedom from the mean squares of R 4.2.2's `aov` with an error
    /// stratum: 601.330556 on 10 between whole plots, 177.083333 on 45 within.
    #[test]
    fn a_split_plot_tests_each_contrast_in_its_own_stratum() {
        let table = oats();
        let strata = Strata::new(&table);
        let at = |name: &str| {
            table
                .treatment
                .levels
                .iter()
                .position(|l| l == name)
                .unwrap()
                - 1
        };
        let same_whole = strata.contrast(at("0 2"), &ArrayView1::from(&OATS));
        let other_whole = strata.contrast(at("1 0"), &ArrayView1::from(&OATS));
        let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-6 * b, "{a} {b}");
        near(same_whole.estimate, 110.833_333_33 - 71.5);
        near(same_whole.standard_error, 7.682_953_71);
        near(same_whole.df, 45.0);
        near(other_whole.estimate, 8.5);
        near(other_whole.standard_error, 9.715_025_11);
        near(other_whole.df, 30.230_780);
    }

    #[test]
    fn a_treatment_confounded_with_blocks_has_no_test() {
        let mut table = oats();
        let label = |i: usize| if i < 36 { "a" } else { "b" };
        let labels: Vec<&str> = (0..72).map(label).collect();
        table.treatment = Factor::from_labels("treatment", &labels, None);
        let found = Strata::new(&table).contrast(0, &ArrayView1::from(&OATS));
        assert_eq!((found.estimate, found.df), (0.0, 0.0));
    }

    #[test]
    fn what_scatters_nowhere_has_no_t_or_an_infinite_one() {
        let table = oats();
        let strata = Strata::new(&table);
        assert_eq!(strata.contrast(0, &ArrayView1::from(&[3.0; 72])).t(), 0.0);
        let codes = table.treatment.codes.iter();
        let steps: Array1<f64> = codes.map(|&c| if c == 1 { 5.0 } else { 1.0 }).collect();
        assert!(strata.contrast(0, &steps).t().abs() > 1e6);
    }
}
