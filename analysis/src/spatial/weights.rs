//! Who is whose neighbour, and with what weight.

use std::collections::BTreeMap;

use super::{Place, distance};

/// A sparse weight matrix by rows. No place is its own neighbour.
#[derive(Debug, Clone, PartialEq)]
pub struct SpatialWeights {
    /// Where the links of place `i` start in `to`; one longer than the number of places.
    pub starts: Vec<usize>,
    /// The neighbour at the far end of each link.
    pub to: Vec<usize>,
    /// Weight of each link.
    pub weight: Vec<f64>,
}

/// Sums of weights that the moments of Moran's and Geary's statistics need (Cliff & Ord 1981, p. 19).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WeightSums {
    /// Sum of all weights.
    pub s0: f64,
    /// Half the sum of squared two-way weights.
    pub s1: f64,
    /// Sum of squared row-plus-column totals.
    pub s2: f64,
}

impl SpatialWeights {
    /// Weights from a list of links `(from, to, weight)` between `n` places; links to itself and to
    /// places that do not exist are left out.
    #[must_use]
    pub fn from_links(n: usize, links: &[(usize, usize, f64)]) -> Self {
        let mut sorted: Vec<_> = links
            .iter()
            .filter(|l| l.0 < n && l.1 < n && l.0 != l.1)
            .collect();
        sorted.sort_by_key(|l| (l.0, l.1));
        let mut starts = vec![0; n + 1];
        for link in &sorted {
            starts[link.0 + 1] += 1;
        }
        for i in 0..n {
            starts[i + 1] += starts[i];
        }
        Self {
            starts,
            to: sorted.iter().map(|l| l.1).collect(),
            weight: sorted.iter().map(|l| l.2).collect(),
        }
    }

    /// Cells that share an edge, on a grid whose spacing is read off the places.
    #[must_use]
    pub fn rook(places: &[Place]) -> Self {
        Self::grid(places, &[(1, 0), (-1, 0), (0, 1), (0, -1)])
    }

    /// Cells that share an edge or a corner, on a grid whose spacing is read off the places.
    #[must_use]
    pub fn queen(places: &[Place]) -> Self {
        let steps = [
            (1, 0),
            (-1, 0),
            (0, 1),
            (0, -1),
            (1, 1),
            (1, -1),
            (-1, 1),
            (-1, -1),
        ];
        Self::grid(places, &steps)
    }

    fn grid(places: &[Place], steps: &[(i64, i64)]) -> Self {
        let columns = lines(places.iter().map(|p| p.0));
        let rows = lines(places.iter().map(|p| p.1));
        let mut cells: BTreeMap<(i64, i64), Vec<usize>> = BTreeMap::new();
        for i in 0..places.len() {
            cells.entry((columns[i], rows[i])).or_default().push(i);
        }
        let mut links = Vec::new();
        for i in 0..places.len() {
            for step in steps {
                let there = (columns[i] + step.0, rows[i] + step.1);
                links.extend(
                    cells
                        .get(&there)
                        .into_iter()
                        .flatten()
                        .map(|&j| (i, j, 1.0)),
                );
            }
        }
        Self::from_links(places.len(), &links)
    }

    /// All places further than `low` and up to `high` metres away, weight 1; duplicates of a place count
    /// as 0 m away and belong to a class that starts below 0.
    #[must_use]
    pub fn between(places: &[Place], low: f64, high: f64) -> Self {
        Self::by(places, |d| f64::from(u8::from(d > low && d <= high)))
    }

    /// All places up to `reach` metres away, weight 1.
    #[must_use]
    pub fn within(places: &[Place], reach: f64) -> Self {
        Self::between(places, -1.0, reach)
    }

    /// Weight 1 / d^`power` up to `reach` metres; places that coincide get no weight.
    #[must_use]
    pub fn inverse_distance(places: &[Place], power: f64, reach: f64) -> Self {
        Self::by(places, |d| {
            if d > 0.0 && d <= reach {
                d.powf(-power)
            } else {
                0.0
            }
        })
    }

    fn by(places: &[Place], weight: impl Fn(f64) -> f64) -> Self {
        let n = places.len();
        let mut links = Vec::new();
        for i in 0..n {
            for j in (0..n).filter(|&j| j != i) {
                let w = weight(distance(places[i], places[j]));
                if w > 0.0 {
                    links.push((i, j, w));
                }
            }
        }
        Self::from_links(n, &links)
    }

    /// The `k` nearest places, weight 1; of equally near ones the earlier in the list.
    #[must_use]
    pub fn nearest(places: &[Place], k: usize) -> Self {
        let n = places.len();
        let mut links = Vec::new();
        for i in 0..n {
            let mut others: Vec<_> = (0..n)
                .filter(|&j| j != i)
                .map(|j| (distance(places[i], places[j]), j))
                .collect();
            others.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            links.extend(others.iter().take(k).map(|&(_, j)| (i, j, 1.0)));
        }
        Self::from_links(n, &links)
    }

    /// The same links with the weights of each place divided by their sum; islands stay without.
    #[must_use]
    pub fn row_standardised(mut self) -> Self {
        for i in 0..self.places() {
            let row = &mut self.weight[self.starts[i]..self.starts[i + 1]];
            let sum: f64 = row.iter().sum();
            for w in row {
                *w /= sum;
            }
        }
        self
    }

    /// Number of places.
    #[must_use]
    pub fn places(&self) -> usize {
        self.starts.len().saturating_sub(1)
    }

    /// The neighbours of place `i` with their weights.
    pub fn of(&self, i: usize) -> impl Iterator<Item = (usize, f64)> + '_ {
        let range = self.starts[i]..self.starts[i + 1];
        self.to[range.clone()]
            .iter()
            .copied()
            .zip(self.weight[range].iter().copied())
    }

    /// Places without a neighbour.
    #[must_use]
    pub fn islands(&self) -> Vec<usize> {
        (0..self.places())
            .filter(|&i| self.starts[i] == self.starts[i + 1])
            .collect()
    }

    /// The sums S0, S1 and S2.
    #[must_use]
    pub fn sums(&self) -> WeightSums {
        let (s1, both) = (
            self.pairs().weight.iter().map(|w| w * w).sum(),
            self.totals(),
        );
        WeightSums {
            s0: self.weight.iter().sum(),
            s1,
            s2: both.iter().map(|t| t * t).sum(),
        }
    }

    /// Row sum plus column sum of each place.
    pub(super) fn totals(&self) -> Vec<f64> {
        let mut totals = vec![0.0; self.places()];
        for i in 0..self.places() {
            for (j, w) in self.of(i) {
                totals[i] += w;
                totals[j] += w;
            }
        }
        totals
    }

    /// Each unordered pair once, from the lower place, with both directions' weights added.
    pub(super) fn pairs(&self) -> Self {
        let mut both: BTreeMap<(usize, usize), f64> = BTreeMap::new();
        for i in 0..self.places() {
            for (j, w) in self.of(i) {
                *both.entry((i.min(j), i.max(j))).or_default() += w;
            }
        }
        let links: Vec<_> = both.into_iter().map(|((i, j), w)| (i, j, w)).collect();
        Self::from_links(self.places(), &links)
    }
}

/// Grid line of each coordinate: steps of the smallest gap from the lowest.
fn lines(coordinates: impl Iterator<Item = f64> + Clone) -> Vec<i64> {
    let mut sorted: Vec<f64> = coordinates.clone().collect();
    sorted.sort_by(f64::total_cmp);
    let Some((&low, &high)) = sorted.first().zip(sorted.last()) else {
        return Vec::new();
    };
    // Gaps below a millionth of the extent are rounding of the file, not spacing.
    let noise = 1e-6 * (high - low);
    let gaps = sorted
        .windows(2)
        .map(|w| w[1] - w[0])
        .filter(|&g| g > noise);
    let step = gaps.fold(f64::INFINITY, f64::min);
    #[expect(
        clippy::cast_possible_truncation,
        reason = "the extent over its own smallest gap is below 1e6"
    )]
    coordinates
        .map(|c| ((c - low) / step).round() as i64)
        .collect()
}
