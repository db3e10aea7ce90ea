//! Which places are part of a patch or a gap?

use super::permutation::sampled;
use super::regularity::Arrangement;
use crate::results::PValue;

/// Indices of places and of their two sides, with their tests.
pub(super) struct Patches {
    /// Index of each place; `None` for a count equal to the mean.
    pub(super) local: Vec<Option<f64>>,
    pub(super) local_p: Vec<Option<PValue>>,
    /// Mean over places above the average, with its p.
    pub(super) patch: Option<(f64, PValue)>,
    /// Mean over places below the average, with its p.
    pub(super) gap: Option<(f64, PValue)>,
}

impl Patches {
    pub(super) fn none(places: usize) -> Self {
        Self {
            local: vec![None; places],
            local_p: vec![None; places],
            patch: None,
            gap: None,
        }
    }
}

/// Sum and number of terms.
#[derive(Clone, Copy, Default)]
struct Mean(f64, f64);

impl Mean {
    fn add(&mut self, x: f64) {
        self.0 += x;
        self.1 += 1.0;
    }

    fn value(self) -> f64 {
        self.0 / self.1
    }
}

/// Mean distances of flow over many arrangements, by which one is told to be long.
struct Usual {
    average: f64,
    /// Different counts, rising.
    levels: Vec<f64>,
    /// Below and above the average.
    side: [Mean; 2],
    /// The same at each place.
    here: Vec<[Mean; 2]>,
    /// By level.
    same: Vec<Mean>,
}

impl Usual {
    /// The observed arrangement is one of them: only when all are treated alike is its rank among them fair.
    fn new(observed: &Arrangement, draws: &[Arrangement]) -> Self {
        let counts = &observed.counts;
        let mut levels = counts.clone();
        levels.sort_by(f64::total_cmp);
        levels.dedup();
        let mut usual = Self {
            average: counts.iter().sum::<f64>() / counts.len() as f64,
            side: [Mean::default(); 2],
            here: vec![[Mean::default(); 2]; counts.len()],
            same: vec![Mean::default(); levels.len()],
            levels,
        };
        for draw in draws.iter().chain([observed]) {
            for (i, (&count, &reach)) in draw.counts.iter().zip(&draw.reach).enumerate() {
                if let Some(side) = usual.side(count) {
                    let level = usual.level(count);
                    usual.side[side].add(reach);
                    usual.here[i][side].add(reach);
                    usual.same[level].add(reach);
                }
            }
        }
        usual
    }

    fn side(&self, count: f64) -> Option<usize> {
        (count != self.average).then(|| usize::from(count > self.average))
    }

    fn level(&self, count: f64) -> usize {
        self.levels.partition_point(|&l| l < count)
    }

    /// The index of place `i` in an arrangement.
    fn index(&self, arrangement: &Arrangement, i: usize) -> Option<f64> {
        let count = arrangement.counts[i];
        let side = self.side(count)?;
        let index = arrangement.reach[i] * self.side[side].value()
            / self.here[i][side].value()
            / self.same[self.level(count)].value();
        index.is_finite().then_some(index)
    }

    /// Mean index of the places on one side of the average.
    fn mean(&self, arrangement: &Arrangement, indices: &[Option<f64>], side: usize) -> Option<f64> {
        let mut mean = Mean::default();
        for (&count, index) in arrangement.counts.iter().zip(indices) {
            if self.side(count) == Some(side)
                && let Some(index) = index
            {
                mean.add(*index);
            }
        }
        (mean.1 > 0.0).then(|| mean.value())
    }
}

/// Indices of the observed arrangement, tested against those of the draws.
pub(super) fn patches(observed: &Arrangement, draws: &[Arrangement]) -> Patches {
    let usual = Usual::new(observed, draws);
    let all = |arrangement: &Arrangement| -> Vec<Option<f64>> {
        (0..arrangement.counts.len())
            .map(|i| usual.index(arrangement, i))
            .collect()
    };
    let local = all(observed);
    let mut drawn: Vec<Vec<f64>> = vec![Vec::new(); usual.levels.len()];
    let mut sides: [Vec<f64>; 2] = [Vec::new(), Vec::new()];
    for draw in draws {
        let indices = all(draw);
        for (&count, index) in draw.counts.iter().zip(&indices) {
            drawn[usual.level(count)].extend(index);
        }
        for (side, means) in sides.iter_mut().enumerate() {
            means.extend(usual.mean(draw, &indices, side));
        }
    }
    for indices in &mut drawn {
        indices.sort_unstable_by(f64::total_cmp);
    }
    // Equal plans may differ in the last bits of their distances.
    let least = |x: f64| x * (1.0 - 1e-10);
    let local_p = (0..local.len())
        .map(|i| {
            let (index, null) = (local[i]?, &drawn[usual.level(observed.counts[i])]);
            let below = null.partition_point(|&x| x < least(index));
            Some(sampled(null.len() - below, null.len()))
        })
        .collect();
    let tested = |side: usize| {
        let mean = usual.mean(observed, &local, side)?;
        let reached = sides[side].iter().filter(|&&x| x >= least(mean)).count();
        Some((mean, sampled(reached, sides[side].len())))
    };
    let (gap, patch) = (tested(0), tested(1));
    Patches {
        local,
        local_p,
        patch,
        gap,
    }
}
