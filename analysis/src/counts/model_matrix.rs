//! Factors and covariates to named columns, most of whose cells are zero.

use ndarray::{Array1, Array2, ArrayView1, ArrayView2};

use crate::Error;
use crate::numerics::cholesky::Cholesky;
use crate::numerics::projection::indicator;

/// A factor: which level each plot has.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Factor {
    /// Name of the factor ("treatment", "block").
    pub name: String,
    /// Names of the levels; the first is the reference.
    pub levels: Vec<String>,
    /// For each plot, the place of its level in `levels`.
    pub codes: Vec<usize>,
}

impl Factor {
    /// Takes each plot's level by name; levels are ordered as they first appear, except that
    /// `reference`, where given, comes first.
    #[must_use]
    pub fn from_labels<S: AsRef<str>>(name: &str, labels: &[S], reference: Option<&str>) -> Self {
        let mut levels: Vec<String> = reference.map(str::to_owned).into_iter().collect();
        let codes = labels
            .iter()
            .map(|label| {
                let label = label.as_ref();
                levels.iter().position(|l| l == label).unwrap_or_else(|| {
                    levels.push(label.to_owned());
                    levels.len() - 1
                })
            })
            .collect();
        Self {
            name: name.to_owned(),
            levels,
            codes,
        }
    }
}

/// A design matrix: one row a plot, one column a coefficient.
///
/// Beside the array stand the cells that are not zero, row by row: with hundreds of blocks nearly all are zero,
/// and a fit passes over the matrix thousands of times.
#[derive(Debug, Clone, PartialEq)]
pub struct ModelMatrix {
    terms: Vec<String>,
    starts: Vec<usize>,
    columns: Vec<usize>,
    values: Vec<f64>,
    dense: Array2<f64>,
}

impl ModelMatrix {
    /// Starts a matrix of `rows` plots that has only the intercept.
    #[must_use]
    pub fn with_intercept(rows: usize) -> ModelMatrixBuilder {
        ModelMatrixBuilder {
            rows,
            columns: vec![("(intercept)".to_owned(), Array1::ones(rows))],
        }
    }

    /// Names of the columns: `(intercept)`, `treatment[X]`, `block[X]`, `before`.
    #[must_use]
    pub fn terms(&self) -> &[String] {
        &self.terms
    }

    /// Number of plots.
    #[must_use]
    pub fn rows(&self) -> usize {
        self.starts.len() - 1
    }

    /// Number of columns.
    #[must_use]
    pub fn width(&self) -> usize {
        self.terms.len()
    }

    /// The whole matrix, `rows` by `width`.
    #[must_use]
    pub fn view(&self) -> ArrayView2<'_, f64> {
        self.dense.view()
    }

    /// Value of plot `row` in `column`.
    #[must_use]
    pub fn value(&self, row: usize, column: usize) -> f64 {
        self.dense[[row, column]]
    }

    /// The columns and values of a row's cells that are not zero.
    #[inline]
    pub(crate) fn cells(&self, row: usize) -> (&[usize], &[f64]) {
        let range = self.starts[row]..self.starts[row + 1];
        (&self.columns[range.clone()], &self.values[range])
    }

    /// The cells of a row that are not zero, as (column, value).
    #[inline]
    pub(crate) fn row(&self, row: usize) -> impl Iterator<Item = (usize, f64)> + '_ {
        let range = self.starts[row]..self.starts[row + 1];
        self.columns[range.clone()]
            .iter()
            .copied()
            .zip(self.values[range].iter().copied())
    }

    /// Adds `weight` x x' of a row to the lower triangle of `gram` (width x width).
    #[inline]
    pub(crate) fn add_square(&self, row: usize, weight: f64, gram: &mut Array2<f64>) {
        let width = self.width();
        let gram = gram.as_slice_mut().unwrap_or_default();
        let (from, to) = (self.starts[row], self.starts[row + 1]);
        for a in from..to {
            let left = weight * self.values[a];
            let base = self.columns[a] * width;
            for b in from..=a {
                gram[base + self.columns[b]] += left * self.values[b];
            }
        }
    }

    /// Adds `by` times a row to `into`.
    #[inline]
    pub(crate) fn add_row(&self, row: usize, by: f64, into: &mut [f64]) {
        for (column, value) in self.row(row) {
            into[column] += by * value;
        }
    }

    /// Refuses the first column that those before it determine.
    fn check_rank(&self) -> Result<(), Error> {
        let (rows, width) = (self.rows(), self.width());
        let mut gram = Array2::zeros((width, width));
        for row in 0..rows {
            self.add_square(row, 1.0, &mut gram);
        }
        // A column within 1e-5 of the span of the others (its squared length within 1e-10) would leave
        // fewer than six correct digits in its coefficient.
        Cholesky::new(gram, 1e-10).map(|_| ()).map_err(|column| {
            Error::new(
                format!("column {}", self.terms[column]),
                format!("nothing in it that the {column} columns before it do not already say"),
                format!("each of the {width} columns must differ over the {rows} plots"),
                "leave one of the tied factors out, or add plots that separate them",
            )
        })
    }

    /// Linear predictor of a row.
    #[inline]
    pub(crate) fn predict(&self, row: usize, beta: &[f64]) -> f64 {
        self.row(row)
            .map(|(column, value)| value * beta[column])
            .sum()
    }
}

/// Collects columns, then checks that each adds something.
#[derive(Debug, Clone)]
pub struct ModelMatrixBuilder {
    rows: usize,
    columns: Vec<(String, Array1<f64>)>,
}

impl ModelMatrixBuilder {
    /// Adds a column for every level of `factor` but the reference.
    #[must_use]
    pub fn factor(self, factor: &Factor) -> Self {
        self.factor_without(factor, &[0])
    }

    /// Adds a column for every level of `factor` but those left out.
    pub(crate) fn factor_without(mut self, factor: &Factor, left_out: &[usize]) -> Self {
        let levels = factor.levels.iter().enumerate();
        for (place, level) in levels.filter(|(place, _)| !left_out.contains(place)) {
            let column = indicator(&factor.codes, place);
            self.columns
                .push((format!("{}[{level}]", factor.name), column));
        }
        self
    }

    /// Adds a covariate as it is.
    #[must_use]
    pub fn covariate<'v>(mut self, name: &str, values: impl Into<ArrayView1<'v, f64>>) -> Self {
        let values = values.into().to_owned();
        self.columns.push((name.to_owned(), values));
        self
    }

    /// Checks lengths and rank, and stores the matrix.
    ///
    /// # Errors
    /// A column of the wrong length, a value that is not finite, or a column that the columns before
    /// it already determine, named.
    pub fn build(self) -> Result<ModelMatrix, Error> {
        let (rows, width) = (self.rows, self.columns.len());
        for (name, column) in &self.columns {
            if column.len() != rows || column.iter().any(|v| !v.is_finite()) {
                return Err(Error::new(
                    format!("column {name}"),
                    format!(
                        "{} usable values",
                        column.iter().filter(|v| v.is_finite()).count()
                    ),
                    format!("every one of the {rows} plots needs one"),
                    "give each plot a value, or leave the column out",
                ));
            }
        }
        let mut dense = Array2::zeros((rows, width));
        for ((_, column), mut into) in self.columns.iter().zip(dense.columns_mut()) {
            into.assign(column);
        }
        let terms: Vec<String> = self.columns.into_iter().map(|(name, _)| name).collect();
        let (mut starts, mut columns, mut values) = (vec![0], Vec::new(), Vec::new());
        for row in dense.rows() {
            for (j, &value) in row.iter().enumerate() {
                if value != 0.0 {
                    columns.push(j);
                    values.push(value);
                }
            }
            starts.push(columns.len());
        }
        let matrix = ModelMatrix {
            terms,
            starts,
            columns,
            values,
            dense,
        };
        matrix.check_rank()?;
        Ok(matrix)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_follow_the_factor_and_the_reference_is_left_out() {
        let treatment = Factor::from_labels("treatment", &["S", "C", "S"], Some("C"));
        let matrix = ModelMatrix::with_intercept(3)
            .factor(&treatment)
            .build()
            .unwrap();
        assert_eq!(matrix.terms(), ["(intercept)", "treatment[S]"]);
        assert_eq!((matrix.value(0, 1), matrix.value(1, 1)), (1.0, 0.0));
    }

    #[test]
    fn a_tied_column_is_named() {
        let labels = ["A", "B", "A", "B"];
        let error = ModelMatrix::with_intercept(4)
            .factor(&Factor::from_labels("block", &labels, None))
            .factor(&Factor::from_labels("treatment", &labels, None))
            .build()
            .unwrap_err();
        assert_eq!(error.what, "column treatment[B]");
    }
}
