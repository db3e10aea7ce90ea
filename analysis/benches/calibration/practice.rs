//! What people do today: does each common analysis claim a difference at 5 %?

use halfgreen_analysis::arithmetic::cholesky;
use halfgreen_analysis::chance::laws;
use halfgreen_analysis::counts::{Family, Fit, ModelMatrix, fit, likelihood_ratio};

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

/// Blocks as constants, with and without treatment.
#[derive(Debug)]
pub(crate) struct Columns {
    pub(crate) full: ModelMatrix,
    pub(crate) null: ModelMatrix,
}

/// Whether each analysis claims that treatments differ.
pub(crate) fn claims(columns: &Columns, counts: &[u64]) -> [bool; 7] {
    let offset = vec![0.0; counts.len()];
    let mut out = [false; 7];
    let transforms: [fn(f64) -> f64; 3] = [|x| x, f64::ln_1p, |x| (x + 0.5).sqrt()];
    for (claim, transform) in out.iter_mut().zip(transforms) {
        let values: Vec<f64> = counts.iter().map(|&y| transform(y as f64)).collect();
        *claim = anova(columns, &values) <= 0.05;
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
    out[4] = scale > 0.0 && laws::f_upper(f, ratio.df as f64, full.residual_df as f64) <= 0.05;
    let family = Family::NegativeBinomial;
    let (full, null) = (run(&columns.full, family), run(&columns.null, family));
    out[5] = wald(&full, ratio.df) <= 0.05;
    out[6] = likelihood_ratio(&full, &null).p <= 0.05;
    out
}

/// p-value of treatments in an analysis of variance.
fn anova(columns: &Columns, values: &[f64]) -> f64 {
    let (full, null) = (
        residual(&columns.full, values),
        residual(&columns.null, values),
    );
    let between = (columns.full.width() - columns.null.width()) as f64;
    let within = (values.len() - columns.full.width()) as f64;
    if full <= 1e-12 * null {
        return if null > 0.0 { 0.0 } else { 1.0 };
    }
    laws::f_upper((null - full) / between / (full / within), between, within)
}

/// Residual sum of squares.
fn residual(matrix: &ModelMatrix, values: &[f64]) -> f64 {
    let (rows, width) = (matrix.rows(), matrix.width());
    let mut gram = vec![0.0; width * width];
    let mut right = vec![0.0; width];
    for (row, value) in values.iter().enumerate() {
        for a in 0..width {
            right[a] += matrix.value(row, a) * value;
            for b in 0..=a {
                gram[a * width + b] += matrix.value(row, a) * matrix.value(row, b);
            }
        }
    }
    cholesky::factor(&mut gram, width, 0.0).unwrap();
    cholesky::solve(&gram, width, &mut right);
    (0..rows)
        .map(|row| {
            let fitted: f64 = (0..width).map(|a| matrix.value(row, a) * right[a]).sum();
            (values[row] - fitted).powi(2)
        })
        .sum()
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
    let mut v = vec![0.0; df * df];
    for a in 0..df {
        for b in 0..df {
            v[a * df + b] = full.covariance[(first + a) * width + first + b];
        }
    }
    if v.iter().any(|x| !x.is_finite()) || cholesky::factor(&mut v, df, 0.0).is_err() {
        return 1.0;
    }
    let mut solved = beta.clone();
    cholesky::solve(&v, df, &mut solved);
    let statistic: f64 = beta.iter().zip(&solved).map(|(a, b)| a * b).sum();
    laws::chi_squared_upper(statistic, df as f64)
}
