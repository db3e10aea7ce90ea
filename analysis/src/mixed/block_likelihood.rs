//! The likelihood of counts with one random block effect and its derivatives, block by block.

use std::array::from_fn;
use std::sync::LazyLock;

use super::block::POINTS;
use super::block_plots::BlockPlots;
use super::newton::{LogLikelihood, Point};
use crate::counts::Kernel;
use crate::counts::kernel::{self, TermsAbreast};
use crate::numerics::quadrature::{Rule, hermite};

/// 1 / sqrt(2 pi).
const ROOT_TWO_PI_INVERSE: f64 = 0.398_942_280_401_432_7;

/// A Gauss-Hermite rule of `N` points for the weight exp(-x^2), ready to be moved to a mode.
#[derive(Debug, Clone)]
pub(super) struct Nodes<const N: usize> {
    places: [f64; N],
    /// Log of each weight, times exp of the place's square.
    log_weights: [f64; N],
}

static USUAL: LazyLock<Rule> = LazyLock::new(|| hermite(POINTS));

impl<const N: usize> Nodes<N> {
    pub(super) fn new() -> Self {
        let own;
        let rule = if N == POINTS {
            &*USUAL
        } else {
            own = hermite(N);
            &own
        };
        let (x, w) = (&rule.nodes, &rule.weights);
        Self {
            places: from_fn(|q| x[q]),
            log_weights: from_fn(|q| x[q] * x[q] + w[q].ln()),
        }
    }
}

/// Buffers of one search over a model with a random block.
pub(super) struct BlockLikelihood<'m, const N: usize> {
    plots: &'m BlockPlots,
    kernel: &'m Kernel,
    nodes: &'m Nodes<N>,
    /// Mode of each block's effect at the last evaluation: where the next search for it starts.
    modes: Vec<f64>,
    /// Count of each plot of the present block, and its linear predictor and mean without the block's effect.
    means: Vec<(f64, f64, f64)>,
    /// Points of the present block.
    points: Points<N>,
    /// Of each plot of the present block, its terms at every point.
    terms: Vec<TermsAbreast<N>>,
    /// Of each parameter that the present block knows, its score at every point, plain and weighted, and its mean.
    scores: Vec<Score<N>>,
}

/// Points of a block's effect.
struct Points<const N: usize> {
    /// The standardised effect.
    u: [f64; N],
    /// Posterior weights.
    weight: [f64; N],
}

/// Score of one parameter at every point of a block's effect.
struct Score<const N: usize> {
    plain: [f64; N],
    weighted: [f64; N],
    mean: f64,
}

impl<'m, const N: usize> BlockLikelihood<'m, N> {
    pub(super) fn new(plots: &'m BlockPlots, kernel: &'m Kernel, nodes: &'m Nodes<N>) -> Self {
        Self {
            plots,
            kernel,
            nodes,
            modes: vec![0.0; plots.blocks()],
            means: Vec::with_capacity(plots.largest()),
            points: Points {
                u: [0.0; N],
                weight: [0.0; N],
            },
            terms: Vec::with_capacity(plots.largest()),
            scores: Vec::new(),
        }
    }

    /// A block's effect on the log scale at every point, with its posterior weight, at the parameters `at`.
    pub(super) fn posterior(&mut self, block: usize, at: &[f64]) -> Vec<(f64, f64)> {
        self.take_points(block, at);
        let sigma = at[at.len() - 2];
        let points = self.points.u.iter().zip(&self.points.weight);
        points.map(|(u, weight)| (sigma * u, *weight)).collect()
    }

    /// Mode of a block's standardised effect and the curvature there.
    fn mode(&self, sigma: f64, a: f64, start: f64) -> (f64, f64) {
        let mut u = start;
        let mut curvature = 1.0;
        // The log density is concave with curvature at least 1: Newton with held steps settles in
        // well under thirty from any start.
        for _ in 0..30 {
            let lift = (sigma * u).exp();
            let (mut slope, mut weight) = (0.0, 0.0);
            for &(y, _, mean) in &self.means {
                let mean = mean * lift;
                let share = 1.0 / (1.0 + a * mean);
                slope += (y - mean) * share;
                weight += mean * (1.0 + a * y) * share * share;
            }
            curvature = 1.0 + sigma * sigma * weight;
            let step = ((sigma * slope - u) / curvature).clamp(-2.0, 2.0);
            u += step;
            // Quadrature is centred here, not differentiated: a hundredth of a standard deviation
            // off the mode is as good as the mode.
            if step * step * curvature < 1e-4 {
                break;
            }
        }
        (u, curvature)
    }

    /// Moves the points to a block's mode, takes the terms of its plots there, and returns its
    /// log-likelihood.
    fn take_points(&mut self, block: usize, at: &[f64]) -> f64 {
        let (sigma, alpha) = (at[at.len() - 2], at[at.len() - 1]);
        let a = alpha * alpha;
        let columns = self.plots.columns(block);
        self.means.clear();
        for plot in self.plots.of(block) {
            let known: f64 = plot.cells.iter().map(|&(c, v)| v * at[columns[c]]).sum();
            let eta = plot.offset + known;
            self.means.push((plot.count, eta, eta.exp()));
        }
        let (mode, curvature) = self.mode(sigma, a, self.modes[block]);
        self.modes[block] = mode;
        let spread = (2.0 / curvature).sqrt();
        let u = self.nodes.places.map(|x| mode + spread * x);
        let shift = u.map(|u| sigma * u);
        let lift = shift.map(f64::exp);
        let mut value: [f64; N] = from_fn(|q| self.nodes.log_weights[q] - 0.5 * u[q] * u[q]);
        self.terms.clear();
        for &(y, eta, mean) in &self.means {
            let t = kernel::terms_abreast(y, shift.map(|s| eta + s), lift.map(|l| mean * l), a);
            add(&mut value, &t.value);
            self.terms.push(t);
        }
        let top = value.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let weight = value.map(|v| (v - top).exp());
        let total: f64 = weight.iter().sum();
        self.points = Points {
            u,
            weight: weight.map(|w| w / total),
        };
        // log of (spread / sqrt(2 pi)) times the sum over points.
        top + (total * spread * ROOT_TWO_PI_INVERSE).ln()
    }

    /// Adds a block's information within each point, averaged over points plot by plot.
    fn add_information(&self, block: usize, at: &[f64], out: &mut Point) {
        let all = at.len();
        let alpha = at[all - 1];
        let (sigma_row, alpha_row) = ((all - 2) * all, (all - 1) * all);
        let columns = self.plots.columns(block);
        for (plot, t) in self.plots.of(block).zip(&self.terms) {
            let mut mean = [0.0; 6];
            for q in 0..N {
                let (u, weight) = (self.points.u[q], self.points.weight[q]);
                let (w, cross) = (weight * t.weight[q], weight * t.eta_a[q]);
                mean[0] += w;
                mean[1] += w * u;
                mean[2] += w * u * u;
                mean[3] += cross;
                mean[4] += cross * u;
                mean[5] += weight * (4.0 * alpha * alpha * t.a_a[q] + 2.0 * t.a[q]);
            }
            for (i, &(c, v)) in plot.cells.iter().enumerate() {
                let column = columns[c];
                let line = &mut out.information[column * all..=column * all + column];
                for &(d, w) in &plot.cells[..=i] {
                    line[columns[d]] += mean[0] * v * w;
                }
                out.information[sigma_row + column] += mean[1] * v;
                out.information[alpha_row + column] -= 2.0 * alpha * mean[3] * v;
            }
            out.information[sigma_row + all - 2] += mean[2];
            out.information[alpha_row + all - 2] -= 2.0 * alpha * mean[4];
            out.information[alpha_row + all - 1] -= mean[5];
        }
    }

    /// Takes the scores of the parameters that a block knows: those of its columns, then those of both roots.
    fn take_scores(&mut self, block: usize, alpha: f64) {
        let columns = self.plots.columns(block).len();
        self.scores.clear();
        self.scores.resize_with(columns + 2, || Score {
            plain: [0.0; N],
            weighted: [0.0; N],
            mean: 0.0,
        });
        let (by_column, roots) = self.scores.split_at_mut(columns);
        let (mut slope, mut bend) = ([0.0; N], [0.0; N]);
        for (plot, t) in self.plots.of(block).zip(&self.terms) {
            for &(c, v) in plot.cells {
                add(&mut by_column[c].plain, &t.eta.map(|score| v * score));
            }
            add(&mut slope, &t.eta);
            add(&mut bend, &t.a);
        }
        roots[0].plain = from_fn(|q| slope[q] * self.points.u[q]);
        roots[1].plain = bend.map(|b| 2.0 * alpha * b);
        for score in &mut self.scores {
            score.weighted = from_fn(|q| self.points.weight[q] * score.plain[q]);
            score.mean = score.weighted.iter().sum();
        }
    }

    /// Adds a block's mean score, and takes from the information the scatter of the score between points.
    fn add_scores(&mut self, block: usize, at: &[f64], out: &mut Point) {
        let all = at.len();
        self.take_scores(block, at[all - 1]);
        let columns = self.plots.columns(block);
        let place = |j: usize| {
            columns
                .get(j)
                .copied()
                .unwrap_or(all - 2 + j - columns.len())
        };
        for (j, score) in self.scores.iter().enumerate() {
            let row = place(j);
            out.gradient[row] += score.mean;
            for (i, other) in self.scores[..=j].iter().enumerate() {
                let into = &mut out.information[row * all + place(i)];
                let scatter = score.weighted.iter().zip(&other.plain);
                let within = scatter.fold(*into, |left, (w, s)| left - w * s);
                *into = within + score.mean * other.mean;
            }
        }
    }
}

#[inline]
fn add<const N: usize>(into: &mut [f64; N], x: &[f64; N]) {
    for (into, x) in into.iter_mut().zip(x) {
        *into += x;
    }
}

impl<const N: usize> LogLikelihood for BlockLikelihood<'_, N> {
    fn evaluate(&mut self, at: &[f64], out: &mut Point) {
        out.reset(at);
        let (all, alpha) = (at.len(), at[at.len() - 1]);
        for block in 0..self.plots.blocks() {
            out.value += self.take_points(block, at);
            // Posterior means of the score and of the information, by Louis' identity.
            self.add_information(block, at, out);
            self.add_scores(block, at, out);
        }
        let (value, first, second) = self.kernel.sums(alpha * alpha);
        out.value += value;
        out.gradient[all - 1] += 2.0 * alpha * first;
        out.information[all * all - 1] -= 4.0 * alpha * alpha * second + 2.0 * first;
    }
}
