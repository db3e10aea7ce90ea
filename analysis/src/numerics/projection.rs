//! Orthogonal projection: the residual of a response beside groups and further columns.

use ndarray::{Array1, Array2, ArrayRef1, ArrayView1};

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
            let unit = left * squares.sqrt().recip();
            // Cannot fail: all vectors have one length.
            let _pushed = self.vectors.push_row(unit.view());
        }
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
/// are; only what is not a group needs columns.
#[derive(Debug, Clone)]
pub(crate) struct Projection {
    /// Group of each row, and rows of each group.
    codes: Vec<usize>,
    sizes: Vec<f64>,
    /// Each adds up to nothing in every group.
    basis: Basis,
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
        self.basis.add(&left, whole);
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
            self.basis.take_out(&mut response);
        }
        response
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
    let vectors: Vec<_> = space.basis.vectors().chain(further.vectors()).collect();
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
    for (at, q) in vectors.iter().enumerate() {
        let weighted: Array1<f64> = q.iter().zip(v).map(|(q, v)| q * v).collect();
        let mut sums = vec![0.0; space.sizes.len()];
        for (&g, x) in space.codes.iter().zip(&weighted) {
            sums[g] += x;
        }
        let within_groups = sums.iter().zip(&space.sizes).filter(|(_, n)| **n > 0.0);
        second += 2.0 * within_groups.map(|(sum, n)| sum * sum / n).sum::<f64>();
        for other in &vectors[..at] {
            second += 2.0 * weighted.dot(other).powi(2);
        }
        second += weighted.dot(q).powi(2);
    }
    (first.max(0.0), second.max(0.0))
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
}
