//! What people do today: does each common analysis claim a difference at 5 %?

use halfgreen_analysis::counts::{Family, Fit, ModelMatrix, fit, likelihood_ratio};
use halfgreen_analysis::distributions;
use halfgreen_analysis::multiplicity::{Alternative, dunnett, lambda_from_replication};
use halfgreen_analysis::numerics::cholesky::Cholesky;
use ndarray::Array2;

/// Names of the common analyses, in the order of [`claims`].
pub(crate) const NAMES: [&str; 7] = [
    "ANOVA of counts",
    "ANOVA of log(x + 1)",
    "ANOVA of sqrt(x + 0.5)",
    "Poisson LR",
    "quasi-Poisson F",
    "NB Wald",
    "NB LR",
];

/// How many of them are analyses of variance; they come first.
pub(crate) const VARIANCE: usize = 3;

/// Blocks as constants, with and without treatment.
#[derive(Debug)]
pub(crate) struct Columns {
    full: ModelMatrix,
    null: ModelMatrix,
    variance: Variance,
}

impl Columns {
    /// Columns of a layout, the treatments last in `full`; `plots` of each treatment, the control first.
    pub(crate) fn new(full: ModelMatrix, null: ModelMatrix, plots: &[usize]) -> Option<Self> {
        let variance = Variance::new(&full, &null, plots)?;
        Some(Self {
            full,
            null,
            variance,
        })
    }
}

/// The common transformations before an analysis of variance.
const TRANSFORMS: [fn(f64) -> f64; VARIANCE] = [|x| x, f64::ln_1p, |x| (x + 0.5).sqrt()];

impl Columns {
    /// Whether each analysis of variance claims that the first treatment differs from the control, either way.
    pub(crate) fn first_differs(&self, counts: &[u64]) -> [bool; VARIANCE] {
        TRANSFORMS.map(|transform| {
            let values: Vec<f64> = counts.iter().map(|&y| transform(y as f64)).collect();
            self.variance.t(&values, 0).abs() > self.variance.bound
        })
    }
}

/// Whether each analysis claims something: where `first`, that the first treatment has less than the control,
/// else any difference. Of several treatments the analyses of variance make Dunnett's comparisons with the
/// control; the others only know any difference.
pub(crate) fn claims(columns: &Columns, counts: &[u64], first: bool) -> [bool; 7] {
    let offset = vec![0.0; counts.len()];
    let mut out = [false; 7];
    for (claim, transform) in out.iter_mut().zip(TRANSFORMS) {
        let values: Vec<f64> = counts.iter().map(|&y| transform(y as f64)).collect();
        *claim = columns.variance.claims(&values, first);
    }
    let run = |matrix, family| fit(counts, &offset, matrix, family).unwrap();
    let (full, null) = (
        run(&columns.full, Family::Poisson),
        run(&columns.null, Family::Poisson),
    );
    let ratio = likelihood_ratio(&full, &null);
    out[3] = ratio.p <= 0.05;
    let scale = full.pearson_chi2 / full.residual_df as f64;
    let f = (null.deviance - full.deviance) / ratio.df as f64 / scale;
    out[4] =
        scale > 0.0 && distributions::f_sf(f, ratio.df as f64, full.residual_df as f64) <= 0.05;
    let family = Family::NegativeBinomial;
    let (full, null) = (run(&columns.full, family), run(&columns.null, family));
    out[5] = wald(&full, ratio.df) <= 0.05;
    out[6] = likelihood_ratio(&full, &null).p <= 0.05;
    out
}

/// An analysis of variance of one layout, prepared once.
#[derive(Debug)]
struct Variance {
    /// Every column, orthonormal.
    basis: Vec<Vec<f64>>,
    /// Each treatment beside everything else, of length 1.
    treatments: Vec<Vec<f64>>,
    df: f64,
    /// What a t must exceed for a claim at 5 %, both sides.
    bound: f64,
}

impl Variance {
    fn new(full: &ModelMatrix, null: &ModelMatrix, plots: &[usize]) -> Option<Self> {
        let (rows, width, first) = (full.rows(), full.width(), null.width());
        let column = |c: usize| (0..rows).map(|r| full.value(r, c)).collect::<Vec<f64>>();
        let orthonormal = |order: Vec<usize>| {
            let mut basis: Vec<Vec<f64>> = Vec::new();
            for c in order {
                let left = beside(&basis, column(c));
                let length = dot(&left, &left).sqrt();
                basis.push(left.iter().map(|v| v / length).collect());
            }
            basis
        };
        let treatments = (first..width)
            .map(|c| {
                let mut order: Vec<usize> = (0..width).filter(|&other| other != c).collect();
                order.push(c);
                orthonormal(order).pop()
            })
            .collect::<Option<_>>()?;
        let df = (rows - width) as f64;
        let replication: Vec<f64> = plots.iter().map(|&n| n as f64).collect();
        let (control, treated) = replication.split_first()?;
        let lambda = lambda_from_replication(treated, *control).ok()?;
        Some(Self {
            basis: orthonormal((0..width).collect()),
            treatments,
            df,
            bound: dunnett::critical_value(0.05, &lambda, df, Alternative::TwoSided).ok()?,
        })
    }

    /// t of treatment `j`, 0 for the first after the control.
    fn t(&self, values: &[f64], j: usize) -> f64 {
        let left = beside(&self.basis, values.to_vec());
        let (rest, size) = (dot(&left, &left), dot(values, values));
        let along = dot(&self.treatments[j], values);
        // Differences and errors below the last digits of the values are none.
        if along * along <= 1e-24 * size {
            return 0.0;
        }
        if rest <= 1e-24 * size {
            return along.signum() * f64::INFINITY;
        }
        along / (rest / self.df).sqrt()
    }

    fn claims(&self, values: &[f64], first: bool) -> bool {
        if first {
            self.t(values, 0) < -self.bound
        } else {
            (0..self.treatments.len()).any(|j| self.t(values, j).abs() > self.bound)
        }
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

/// What is left of a column beside orthonormal ones, taken out twice so that rounding leaves nothing.
fn beside(basis: &[Vec<f64>], mut column: Vec<f64>) -> Vec<f64> {
    for _ in 0..2 {
        for q in basis {
            let along = dot(q, &column);
            for (c, v) in column.iter_mut().zip(q) {
                *c -= along * v;
            }
        }
    }
    column
}

/// p-value of the treatments' Wald statistic; the treatments are the last `df` columns.
fn wald(full: &Fit, df: usize) -> f64 {
    let width = full.coefficients.len();
    let first = width - df;
    let beta: Vec<f64> = full.coefficients[first..]
        .iter()
        .map(|c| c.estimate)
        .collect();
    if beta.iter().any(|b| !b.is_finite()) {
        // An empty arm: the usual printout shows a huge standard error and a p near 1.
        return 1.0;
    }
    let covariance = Array2::from_shape_fn((df, df), |(a, b)| {
        full.covariance.between(first + a, first + b)
    });
    if covariance.iter().any(|x| !x.is_finite()) {
        return 1.0;
    }
    let Ok(factor) = Cholesky::new(covariance, 0.0) else {
        return 1.0;
    };
    let mut solved = beta.clone();
    factor.solve(&mut solved);
    let statistic: f64 = beta.iter().zip(&solved).map(|(a, b)| a * b).sum();
    distributions::chi_squared_sf(statistic, df as f64)
}
