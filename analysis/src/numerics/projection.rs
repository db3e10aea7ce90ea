//! Orthogonal projection: the residual of a response beside groups and further columns.

use ndarray::{Array1, Array2, ArrayRef1, ArrayView1};

use super::row_classes::RowClasses;

/// A column of whose squared length less than this share is left beside the others adds nothing: fewer
/// than five of its digits would be left.
pub(crate) const NOTHING_LEFT: f64 = 1e-10;

/// Orthonormal vectors, built one by one (Gram-Schmidt).
#[derive(Debug, Clone)]
pub(crate) struct Basis {
    /// One vector a row, so that each lies together in memory.
    vectors: Array2<f64>,
}

impl Basis {
    /// No vector yet, of `length` elements each.
    pub(crate) fn empty(length: usize) -> Self {
        Self {
            vectors: Array2::zeros((0, length)),
        }
    }

    /// Number of vectors.
    pub(crate) fn len(&self) -> usize {
        self.vectors.nrows()
    }

    /// The vectors.
    pub(crate) fn vectors(&self) -> impl Iterator<Item = ArrayView1<'_, f64>> {
        self.vectors.rows().into_iter()
    }

    /// Adds a column that is orthogonal to the others, unless nothing is left of the squared length `whole`
    /// that it had before it was made so.
    pub(crate) fn add(&mut self, left: &Array1<f64>, whole: f64) {
        let squares = left.dot(left);
        if squares > NOTHING_LEFT * whole {
            self.push(&(left * squares.sqrt().recip()));
        }
    }

    fn push(&mut self, unit: &Array1<f64>) {
        // Cannot fail: all vectors have one length.
        let _pushed = self.vectors.push_row(unit.view());
    }

    /// Takes the vectors out of a response, once.
    pub(crate) fn take_out(&self, from: &mut Array1<f64>) {
        for vector in self.vectors.rows() {
            let along = vector.dot(from);
            from.scaled_add(-along, &vector);
        }
    }
}

/// The space spanned by indicators of groups and further columns.
///
/// Groups are taken out by their means, which takes time in proportion to the rows however many groups there
/// are; only what is not a group needs columns. Columns that do not tell some rows apart are kept with one value
/// for all of these.
#[derive(Debug, Clone)]
pub(crate) struct Projection {
    /// Group of each row, and rows of each group.
    codes: Vec<usize>,
    sizes: Vec<f64>,
    /// Each adds up to nothing in every group; one value a row, or one a class of rows.
    basis: Basis,
    classes: Option<RowClasses>,
}

impl Projection {
    /// On `groups` groups alone; `codes` has the group of each row, from 0.
    pub(crate) fn on_groups(codes: &[usize], groups: usize) -> Self {
        let mut sizes = vec![0.0; groups];
        for &code in codes {
            sizes[code] += 1.0;
        }
        Self {
            codes: codes.to_vec(),
            sizes,
            basis: Basis::empty(codes.len()),
            classes: None,
        }
    }

    /// The same before any column is added, where rows of one class will have the same value in every column that is, once the
    /// groups are taken out; `codes` has the class of each row, from 0, each of which has rows.
    pub(crate) fn with_classes(self, codes: Vec<usize>) -> Self {
        let classes = RowClasses::new(codes);
        Self {
            basis: Basis::empty(classes.len()),
            classes: Some(classes),
            ..self
        }
    }

    /// Dimension: the groups that have rows, and the columns.
    pub(crate) fn rank(&self) -> usize {
        self.sizes.iter().filter(|&&n| n > 0.0).count() + self.basis.len()
    }

    /// Adds a column, if it adds anything.
    pub(crate) fn add(&mut self, column: Array1<f64>) {
        let whole = column.dot(&column);
        let left = self.residual(column);
        let Some(classes) = &self.classes else {
            self.basis.add(&left, whole);
            return;
        };
        let squares = left.dot(&left);
        if squares > NOTHING_LEFT * whole {
            self.basis
                .push(&classes.of_each(&(left * squares.sqrt().recip())));
        }
    }

    /// Adds an indicator for each level of a factor.
    pub(crate) fn add_factor(&mut self, codes: &[usize], levels: usize) {
        for level in 0..levels {
            self.add(indicator(codes, level));
        }
    }

    /// The residual of a response, each part taken out twice so that rounding leaves nothing.
    pub(crate) fn residual(&self, mut response: Array1<f64>) -> Array1<f64> {
        let mut means = vec![0.0; self.sizes.len()];
        for _ in 0..2 {
            means.fill(0.0);
            for (&code, v) in self.codes.iter().zip(&response) {
                means[code] += v / self.sizes[code];
            }
            for (&code, v) in self.codes.iter().zip(&mut response) {
                *v -= means[code];
            }
            match &self.classes {
                Some(classes) => classes.take_out(&self.basis, &mut response),
                None => self.basis.take_out(&mut response),
            }
        }
        response
    }

    /// The columns, each with a value for every row.
    fn columns(&self) -> Vec<Array1<f64>> {
        let vectors = self.basis.vectors();
        match &self.classes {
            Some(classes) => vectors.map(|v| classes.expanded(&v)).collect(),
            None => vectors.map(|v| v.to_owned()).collect(),
        }
    }
}

/// The residual projector M of `space` and `further` vectors that are orthogonal to it: tr(M V)
/// and tr(M V M V) for V = diag(`v`). The expected residual sum of squares of independent responses with these
/// variances is the first, its variance for normal ones twice the second (Box 1954, Annals of Mathematical Statistics
/// 25:290-302).
pub(crate) fn residual_traces(
    space: &Projection,
    further: &Basis,
    v: &ArrayRef1<f64>,
) -> (f64, f64) {
    let own = space.columns();
    let vectors: Vec<ArrayView1<'_, f64>> = own
        .iter()
        .map(|column| column.view())
        .chain(further.vectors())
        .collect();
    let mut leverage: Array1<f64> = space
        .codes
        .iter()
        .map(|&g| space.sizes[g].recip())
        .collect();
    for q in &vectors {
        for (h, q) in leverage.iter_mut().zip(q) {
            *h += q * q;
        }
    }
    let (mut first, mut second) = (0.0, 0.0);
    for (h, v) in leverage.iter().zip(v) {
        first += v * (1.0 - h);
        second += v * v * (1.0 - 2.0 * h);
    }
    let mut means = vec![0.0; space.sizes.len()];
    for (&g, v) in space.codes.iter().zip(v) {
        means[g] += v / space.sizes[g];
    }
    second += means.iter().map(|mean| mean * mean).sum::<f64>();
    for q in &vectors {
        let mut sums = vec![0.0; space.sizes.len()];
        for ((&g, q), v) in space.codes.iter().zip(q).zip(v) {
            sums[g] += q * v;
        }
        let within_groups = sums.iter().zip(&space.sizes).filter(|(_, n)| **n > 0.0);
        second += 2.0 * within_groups.map(|(sum, n)| sum * sum / n).sum::<f64>();
    }
    second += match &space.classes {
        Some(classes) if further.len() == 0 => {
            let vectors: Vec<_> = space.basis.vectors().collect();
            squared_products(&vectors, &classes.sums(v))
        }
        _ => squared_products(&vectors, v),
    };
    (first.max(0.0), second.max(0.0))
}

/// The sum of the squares of all products of two vectors, weighted by `v`.
fn squared_products(vectors: &[ArrayView1<'_, f64>], v: &ArrayRef1<f64>) -> f64 {
    let mut sum = 0.0;
    for (at, q) in vectors.iter().enumerate() {
        let weighted: Array1<f64> = q.iter().zip(v).map(|(q, v)| q * v).collect();
        for other in &vectors[..at] {
            sum += 2.0 * weighted.dot(other).powi(2);
        }
        sum += weighted.dot(q).powi(2);
    }
    sum
}

/// As [`residual_traces`], for the projector on the vectors themselves.
pub(crate) fn traces(vectors: &Basis, v: &ArrayRef1<f64>) -> (f64, f64) {
    let (mut first, mut second) = (0.0, 0.0);
    let all: Vec<_> = vectors.vectors().collect();
    for (at, q) in all.iter().enumerate() {
        let weighted: Array1<f64> = q.iter().zip(v).map(|(q, v)| q * v).collect();
        let own = weighted.dot(q);
        first += own;
        second += own * own;
        for other in &all[..at] {
            second += 2.0 * weighted.dot(other).powi(2);
        }
    }
    (first, second)
}

/// 1 in the rows of a level, 0 elsewhere.
pub(crate) fn indicator(codes: &[usize], level: usize) -> Array1<f64> {
    codes
        .iter()
        .map(|&c| f64::from(u8::from(c == level)))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use ndarray::array;

    /// Six rows in two groups of three, and a slope: the residual is orthogonal to all of them, and nothing is
    /// left of what they span.
    #[test]
    fn a_residual_is_orthogonal() {
        let codes = [0, 0, 0, 1, 1, 1];
        let slope = array![0.0, 1.0, 2.0, 4.0, 3.0, 2.0];
        let mut space = Projection::on_groups(&codes, 2);
        space.add(slope.clone());
        space.add_factor(&codes, 2);
        assert_eq!(space.rank(), 3);
        let left = space.residual(array![3.0, 1.0, 4.0, 1.0, 5.0, 9.0]);
        for column in [&slope, &indicator(&codes, 0), &indicator(&codes, 1)] {
            assert!(column.dot(&left).abs() < 1e-14);
        }
        let spanned = slope.mapv(|x| 7.0 - 2.0 * x);
        assert!(space.residual(spanned).iter().all(|x| x.abs() < 1e-14));
    }

    /// Three treatments in three groups, of which one lacks a row: the same columns, kept by row and by class.
    #[test]
    fn classes_of_rows_change_no_residual_and_no_trace() {
        let groups = [0, 0, 0, 1, 1, 1, 2, 2];
        let treatments = [0, 1, 2, 2, 0, 1, 1, 0];
        let classes = vec![0, 1, 2, 2, 0, 1, 3, 4];
        let plain = Projection::on_groups(&groups, 3);
        let mut spaces = [plain.clone(), plain.with_classes(classes)];
        for space in &mut spaces {
            space.add_factor(&treatments, 3);
        }
        assert_eq!([spaces[0].rank(), spaces[1].rank()], [5, 5]);
        let response = array![3.0, 1.0, 4.0, 1.0, 5.0, 9.0, 2.0, 6.0];
        let [rows, by_class] = &spaces;
        let (one, other) = (
            rows.residual(response.clone()),
            by_class.residual(response.clone()),
        );
        assert!((&one - &other).iter().all(|x| x.abs() < 1e-14));
        let further = Basis::empty(8);
        let (a, b) = (
            residual_traces(rows, &further, &response),
            residual_traces(by_class, &further, &response),
        );
        // By NumPy 2.4: `M = eye(8) - X @ pinv(X)` with the indicators of groups and treatments, `trace(M @ V)`, `trace(M @ V @ M @ V)`.
        for (found, expected) in [
            (a.0, 11.833333333333),
            (a.1, 52.472222222222),
            (b.0, 11.833333333333),
            (b.1, 52.472222222222),
        ] {
            assert!(
                (found - expected).abs() < 1e-11 * expected,
                "{found} {expected}"
            );
        }
    }
}
