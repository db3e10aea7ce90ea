//! Factors and covariates to named columns, most of whose cells are zero.

use std::collections::BTreeMap;
use std::ops::Range;

use ndarray::{Array1, Array2, ArrayView1};

use crate::Error;
use crate::numerics::bordered::Bordered;
use crate::numerics::cholesky::Cholesky;

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
        let mut places: BTreeMap<&str, usize> = reference.map(|r| (r, 0)).into_iter().collect();
        let codes = labels
            .iter()
            .map(|label| {
                *places.entry(label.as_ref()).or_insert_with(|| {
                    levels.push(label.as_ref().to_owned());
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
/// Only the cells that are not zero are kept: with hundreds of blocks nearly all are zero, and a fit passes over the
/// matrix thousands of times.
#[derive(Debug, Clone, PartialEq)]
pub struct ModelMatrix {
    terms: Vec<String>,
    starts: Vec<usize>,
    columns: Vec<usize>,
    values: Vec<f64>,
    /// Columns of the factor with the most levels: a plot is in one of them at most.
    longest: Range<usize>,
}

impl ModelMatrix {
    /// Starts a matrix of `rows` plots that has only the intercept.
    #[must_use]
    pub fn with_intercept(rows: usize) -> ModelMatrixBuilder {
        ModelMatrixBuilder {
            rows,
            terms: vec!["(intercept)".to_owned()],
            parts: vec![Part::Intercept],
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

    /// Value of plot `row` in `column`.
    #[must_use]
    pub fn value(&self, row: usize, column: usize) -> f64 {
        let mut cells = self.row(row);
        cells.find(|c| c.0 == column).map_or(0.0, |c| c.1)
    }

    /// The columns and values of a row's cells that are not zero, columns ascending.
    #[inline]
    pub(crate) fn cells(&self, row: usize) -> (&[usize], &[f64]) {
        let range = self.starts[row]..self.starts[row + 1];
        (&self.columns[range.clone()], &self.values[range])
    }

    /// The cells of a row that are not zero, as (column, value).
    #[inline]
    pub(crate) fn row(&self, row: usize) -> impl Iterator<Item = (usize, f64)> + '_ {
        let (columns, values) = self.cells(row);
        columns.iter().copied().zip(values.iter().copied())
    }

    /// A square of the width, all zero, into which [`add_square`](Self::add_square) adds.
    pub(crate) fn no_squares(&self) -> Bordered {
        Bordered::zeros(self.width(), self.longest.clone())
    }

    /// Adds `weight` x x' of a row to `gram`.
    #[inline]
    pub(crate) fn add_square(&self, row: usize, weight: f64, gram: &mut Bordered) {
        let (columns, values) = self.cells(row);
        gram.add_square(columns, values, weight);
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
        let mut gram = self.no_squares();
        for row in 0..self.rows() {
            self.add_square(row, 1.0, &mut gram);
        }
        if gram.factor(TIED).is_ok() {
            return Ok(());
        }
        self.first_tied().map_or(Ok(()), |column| {
            Err(Error::new(
                format!("column {}", self.terms[column]),
                format!("nothing in it that the {column} columns before it do not already say"),
                format!(
                    "each of the {} columns must differ over the {} plots",
                    self.width(),
                    self.rows()
                ),
                "leave one of the tied factors out, or add plots that separate them",
            ))
        })
    }

    /// The first column that those before it determine, in the order of the columns.
    fn first_tied(&self) -> Option<usize> {
        let mut gram = Array2::zeros((self.width(), self.width()));
        for row in 0..self.rows() {
            for (i, x) in self.row(row) {
                for (j, y) in self.row(row) {
                    gram[[i, j]] += x * y;
                }
            }
        }
        Cholesky::new(gram, TIED).err()
    }

    /// Linear predictor of a row.
    #[inline]
    pub(crate) fn predict(&self, row: usize, beta: &[f64]) -> f64 {
        self.row(row)
            .map(|(column, value)| value * beta[column])
            .sum()
    }
}

/// A column within 1e-5 of the span of the others (its squared length within 1e-10) would leave fewer than six
/// correct digits in its coefficient.
const TIED: f64 = 1e-10;

/// Collects columns, then checks that each adds something.
#[derive(Debug, Clone)]
pub struct ModelMatrixBuilder {
    rows: usize,
    terms: Vec<String>,
    parts: Vec<Part>,
}

/// Columns that come together.
#[derive(Debug, Clone)]
enum Part {
    /// Ones.
    Intercept,
    /// A factor: the level of each plot, and the column of each level that has one.
    Factor(Vec<usize>, Vec<Option<usize>>),
    /// A covariate and its column.
    Covariate(Array1<f64>, usize),
}

impl Part {
    /// Values that can be used.
    fn usable(&self, rows: usize) -> usize {
        match self {
            Self::Intercept => rows,
            Self::Factor(codes, levels) => codes.iter().filter(|c| **c < levels.len()).count(),
            Self::Covariate(values, _) => values.iter().filter(|v| v.is_finite()).count(),
        }
    }

    /// Values given.
    fn given(&self, rows: usize) -> usize {
        match self {
            Self::Intercept => rows,
            Self::Factor(codes, _) => codes.len(),
            Self::Covariate(values, _) => values.len(),
        }
    }

    /// Column and value of a row, where it is not zero.
    fn cell(&self, row: usize) -> Option<(usize, f64)> {
        match self {
            Self::Intercept => Some((0, 1.0)),
            Self::Factor(codes, columns) => columns[codes[row]].map(|column| (column, 1.0)),
            Self::Covariate(values, column) => Some((*column, values[row])),
        }
    }

    /// Its columns.
    fn columns(&self) -> Range<usize> {
        let mut columns: Vec<usize> = match self {
            Self::Factor(_, columns) => columns.iter().flatten().copied().collect(),
            Self::Intercept | Self::Covariate(..) => Vec::new(),
        };
        columns.sort_unstable();
        match columns.as_slice() {
            [first, .., last] => *first..last + 1,
            [only] => *only..only + 1,
            [] => 0..0,
        }
    }
}

impl ModelMatrixBuilder {
    /// Adds a column for every level of `factor` but the reference.
    #[must_use]
    pub fn factor(self, factor: &Factor) -> Self {
        self.factor_without(factor, &[0])
    }

    /// Adds a column for every level of `factor` but those left out.
    pub(crate) fn factor_without(mut self, factor: &Factor, left_out: &[usize]) -> Self {
        let mut columns = Vec::with_capacity(factor.levels.len());
        for (place, level) in factor.levels.iter().enumerate() {
            let kept = !left_out.contains(&place);
            columns.push(kept.then_some(self.terms.len()));
            if kept {
                self.terms.push(format!("{}[{level}]", factor.name));
            }
        }
        self.parts.push(Part::Factor(factor.codes.clone(), columns));
        self
    }

    /// Adds a covariate as it is.
    #[must_use]
    pub fn covariate<'v>(mut self, name: &str, values: impl Into<ArrayView1<'v, f64>>) -> Self {
        let column = self.terms.len();
        self.terms.push(name.to_owned());
        self.parts
            .push(Part::Covariate(values.into().to_owned(), column));
        self
    }

    /// Checks lengths and rank, and stores the matrix.
    ///
    /// # Errors
    /// A column of the wrong length, a value that is not finite, or a column that the columns before
    /// it already determine, named.
    pub fn build(self) -> Result<ModelMatrix, Error> {
        let rows = self.rows;
        for part in &self.parts {
            let usable = part.usable(rows);
            if usable != rows || part.given(rows) != rows {
                let at = match part {
                    Part::Covariate(_, column) => *column,
                    Part::Intercept | Part::Factor(..) => part.columns().start,
                };
                return Err(Error::new(
                    format!("column {}", self.terms[at]),
                    format!("{usable} usable values"),
                    format!("every one of the {rows} plots needs one"),
                    "give each plot a value, or leave the column out",
                ));
            }
        }
        let (mut starts, mut columns, mut values) = (vec![0], Vec::new(), Vec::new());
        for row in 0..rows {
            let cells = self.parts.iter().filter_map(|part| part.cell(row));
            for (column, value) in cells.filter(|c| c.1 != 0.0) {
                columns.push(column);
                values.push(value);
            }
            starts.push(columns.len());
        }
        let factors = self.parts.iter().map(Part::columns);
        let longest = factors.rev().max_by_key(Range::len).unwrap_or(0..0);
        let matrix = ModelMatrix {
            terms: self.terms,
            starts,
            columns,
            values,
            longest,
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
