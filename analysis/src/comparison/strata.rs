//! The error stratum of each contrast and its mean square: analysis of variance.

use ndarray::{Array1, ArrayRef1, ArrayView1};

use super::plot_table::{BlockStructure, InferenceSpace, PlotTable};
use crate::counts::Factor;
use crate::numerics::projection::{Basis, NOTHING_LEFT, Projection, indicator};

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
        let mut known = block_projection(table);
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

    /// Whether two strata share in the error of treatment `j` (0 for the first after the control), so that its
    /// degrees of freedom follow from the counts.
    pub(super) fn shared(&self, j: usize) -> bool {
        let direction = self.contrasts.get(j).and_then(Option::as_ref);
        direction.is_some_and(|d| {
            let nothing = NOTHING_LEFT * d.length;
            d.between > nothing && d.length - d.between > nothing
        })
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
        let inside = (direction.length - direction.between).max(0.0);
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
        projection(blocks, table).residual(r)
    }
}

/// Projection on the blocks of a design and its covariate; of split plots on the blocks alone.
pub(super) fn block_projection(table: &PlotTable) -> Projection {
    let blocks: &[_] = match &table.block_structure {
        BlockStructure::SplitPlot([block, _]) => std::slice::from_ref(block),
        _ => table.blocking_factors(),
    };
    projection(blocks, table)
}

fn projection(terms: &[Factor], table: &PlotTable) -> Projection {
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
