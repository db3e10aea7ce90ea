//! Laplace's approximation with its exact first and second derivatives.
//!
//! With h(theta, u) the joint log density of counts and standardised effects u, and H minus its second derivative
//! in u, the approximation is F = h - log|H| / 2 at the mode u(theta). Along T = (I; du/dtheta) its second
//! derivative is T' (F'' + c.g'') T, with g = dh/du, du/dtheta = H^-1 dg/dtheta and c = H^-1 dF/du: the last
//! part stands for the mode's own second derivative (implicit differentiation of g = 0, twice).

use super::conditional_mode::{ConditionalMode, Parameters, Plot, clear};
use super::laplace::RandomEffects;
use super::newton::{LogLikelihood, Point};
use crate::numerics::cholesky;

/// Buffers of one search; those of a component have one line for each of its effects.
pub(super) struct Laplace<'m, 'a> {
    mode: ConditionalMode<'m, 'a>,
    /// du/dtheta: a line over parameters for each effect.
    moved: Vec<f64>,
    /// dH/dtheta, and H^-1 times it: a line over parameters for each pair of effects.
    turned: Vec<f64>,
    levelled: Vec<f64>,
    /// -2 c.
    pull: Vec<f64>,
    /// Motion of one plot's linear predictor with the parameters.
    motion: Vec<f64>,
    /// What `motion` is multiplied by to give the plot's share of half the information.
    beside: Vec<f64>,
}

impl<'m, 'a> Laplace<'m, 'a> {
    pub(super) fn new(model: &'m RandomEffects<'a>) -> Self {
        Self {
            mode: ConditionalMode::new(model),
            moved: Vec::new(),
            turned: Vec::new(),
            levelled: Vec::new(),
            pull: Vec::new(),
            motion: Vec::new(),
            beside: Vec::new(),
        }
    }

    /// Adds one component's value and gradient, and to the information a matrix that gives it once its transpose
    /// is added; all in a for the last parameter.
    fn add_component(&mut self, component: usize, with: Parameters<'_>, out: &mut Point) {
        out.value += self.mode.integrate(component, with);
        let mode = &mut self.mode;
        let all = mode.effects(component).len();
        let line = out.at.len();
        spread(&mode.inverse, &mode.cross, all, line, &mut self.moved);
        clear(&mut self.pull, all);
        for plot in &mut mode.plots {
            let places = mode.model.components.places(plot.row);
            for (&e, s) in places.iter().zip(with.sigma) {
                for (&f, r) in places.iter().zip(with.sigma) {
                    plot.variance += s * r * mode.inverse[e * all + f];
                }
            }
            for (&e, s) in places.iter().zip(with.sigma) {
                self.pull[e] += s * plot.variance * plot.curvature.eta;
            }
        }
        cholesky::solve(&mode.curvature, all, &mut self.pull);
        clear(&mut self.turned, all * all * line);
        for at in 0..self.mode.plots.len() {
            self.add_plot(self.mode.plots[at], component, with, out);
        }
        // The rest of h'' and of log|H|''.
        for moved in self.moved.chunks_exact(line) {
            add_product(&mut out.information, 0.5, moved, moved);
        }
        spread(
            &self.mode.inverse,
            &self.turned,
            all,
            all * line,
            &mut self.levelled,
        );
        for e in 0..all {
            for f in 0..all {
                let (one, other) = ((e * all + f) * line, (f * all + e) * line);
                add_product(
                    &mut out.information,
                    -0.25,
                    &self.levelled[one..one + line],
                    &self.levelled[other..other + line],
                );
            }
        }
    }

    /// Adds one plot's share of the same, and of the motion of the curvature.
    fn add_plot(&mut self, plot: Plot, component: usize, with: Parameters<'_>, out: &mut Point) {
        let model = self.mode.model;
        let (t, b, variance) = (plot.terms, plot.curvature, plot.variance);
        let u = self.mode.effects(component);
        let (all, width) = (u.len(), with.beta.len());
        let last = width + with.sigma.len();
        let line = last + 1;
        let places = model.components.places(plot.row);

        let mut carried = 0.0;
        clear(&mut self.motion, line);
        model.matrix.add_row(plot.row, 1.0, &mut self.motion);
        for (m, (&e, s)) in places.iter().zip(with.sigma).enumerate() {
            carried += s * self.pull[e];
            self.motion[width + m] += u[e];
            let moved = &self.moved[e * line..(e + 1) * line];
            for (d, moved) in self.motion.iter_mut().zip(moved) {
                *d += s * moved;
            }
        }
        let slope = t.eta - 0.5 * (variance * b.eta - carried * t.weight);
        let bend = t.weight + 0.5 * (variance * b.eta_eta - carried * b.eta);
        let cross = t.eta_a - 0.5 * (variance * b.eta_a - carried * b.a);

        model.matrix.add_row(plot.row, slope, &mut out.gradient);
        out.gradient[last] += t.a - 0.5 * (variance * b.a + carried * t.eta_a);
        out.information[last * line + last] -=
            0.5 * t.a_a - 0.25 * (variance * b.a_a + carried * b.slope_a_a);
        self.beside.clear();
        self.beside
            .extend(self.motion.iter().map(|d| 0.5 * bend * d));
        self.beside[last] -= cross;

        for (m, (&e, s)) in places.iter().zip(with.sigma).enumerate() {
            let mut own = 0.0;
            let pull = 0.5 * self.pull[e];
            let root = (width + m) * line;
            for (n, (&f, r)) in places.iter().zip(with.sigma).enumerate() {
                let inverse = self.mode.inverse[e * all + f];
                own += r * inverse;
                out.information[root + width + n] += 0.5 * t.weight * inverse;
                let turned = &mut self.turned[(e * all + f) * line..(e * all + f + 1) * line];
                for (turned, d) in turned.iter_mut().zip(&self.motion) {
                    *turned += s * r * b.eta * d;
                }
                turned[last] += s * r * b.a;
                turned[width + m] += t.weight * r;
                turned[width + n] += t.weight * s;
            }
            out.gradient[width + m] += slope * u[e] - t.weight * own - t.eta * pull;
            self.beside[width + m] += b.eta * own - t.weight * pull;
            out.information[root + last] += b.a * own + t.eta_a * pull;
            let moved = &self.moved[e * line..(e + 1) * line];
            for (into, moved) in out.information[root..root + line].iter_mut().zip(moved) {
                *into -= slope * moved;
            }
        }
        add_product(&mut out.information, 1.0, &self.motion, &self.beside);
    }
}

/// `inverse` (`all` x `all`) times `lines` (`all` lines of length `line`), into `out`.
fn spread(inverse: &[f64], lines: &[f64], all: usize, line: usize, out: &mut Vec<f64>) {
    clear(out, all * line);
    for (row, out) in inverse
        .chunks_exact(all.max(1))
        .zip(out.chunks_exact_mut(line.max(1)))
    {
        for (by, from) in row.iter().zip(lines.chunks_exact(line.max(1))) {
            for (o, f) in out.iter_mut().zip(from) {
                *o += by * f;
            }
        }
    }
}

/// Adds `by` times x y' to `matrix`.
fn add_product(matrix: &mut [f64], by: f64, x: &[f64], y: &[f64]) {
    for (line, x) in matrix.chunks_exact_mut(y.len()).zip(x) {
        for (into, y) in line.iter_mut().zip(y) {
            *into += by * x * y;
        }
    }
}

impl LogLikelihood for Laplace<'_, '_> {
    fn evaluate(&mut self, at: &[f64], out: &mut Point) {
        out.reset(at);
        let with = self.mode.split(at);
        for component in 0..self.mode.model.components.len() {
            self.add_component(component, with, out);
        }
        let (value, first, second) = self.mode.model.kernel.sums(with.a);
        out.value += value;
        let (line, last) = (at.len(), at.len() - 1);
        out.gradient[last] += first;
        out.information[last * line + last] -= 0.5 * second;
        for row in 0..line {
            for column in 0..=row {
                out.information[row * line + column] += out.information[column * line + row];
            }
        }
        // From a to its square root.
        let chain = 2.0 * at[last];
        for information in &mut out.information[last * line..] {
            *information *= chain;
        }
        out.information[last * line + last] *= chain;
        out.information[last * line + last] -= 2.0 * out.gradient[last];
        out.gradient[last] *= chain;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::counts::{Factor, ModelMatrix};

    /// Value, gradient and information against central differences of the value and gradient.
    fn check(terms: &[Vec<usize>], at: &[f64]) {
        let counts = [3, 0, 7, 2, 5, 1, 0, 12, 4, 260, 1, 6];
        let codes = (0..12).map(|i| i % 3).collect();
        let levels = ["a", "b", "c"].map(str::to_owned).to_vec();
        let name = "treatment".to_owned();
        let treatment = Factor {
            name,
            levels,
            codes,
        };
        let matrix = ModelMatrix::with_intercept(12)
            .factor(&treatment)
            .build()
            .unwrap();
        let offset = vec![0.1; 12];
        let model = RandomEffects::new(&counts, &offset, &matrix, terms).unwrap();
        let mut surface = Laplace::new(&model);
        let mut point = |at: &[f64]| {
            let mut out = Point::new(at.len());
            surface.evaluate(at, &mut out);
            out
        };
        let here = point(at);
        let by = 1e-4;
        for j in 0..at.len() {
            let mut moved = at.to_vec();
            moved[j] += by;
            let up = point(&moved);
            moved[j] -= 2.0 * by;
            let down = point(&moved);
            // Central differences are good to about by^2 = 1e-8 of the third derivative.
            let near = |what: &str, got: f64, rough: f64| {
                let error = (got - rough).abs() / (1.0 + rough.abs());
                assert!(error < 3e-6, "{what} {j}: {got} {rough}");
            };
            near(
                "gradient",
                here.gradient[j],
                (up.value - down.value) / (2.0 * by),
            );
            for i in 0..at.len() {
                let got = here.information[i.max(j) * at.len() + i.min(j)];
                let rough = (down.gradient[i] - up.gradient[i]) / (2.0 * by);
                near(&format!("information {i}"), got, rough);
            }
        }
    }

    #[test]
    fn derivatives_agree_with_differences() {
        let rows: Vec<usize> = (0..12).map(|i| i / 4).collect();
        let columns: Vec<usize> = (0..12).map(|i| i % 4).collect();
        let plots: Vec<usize> = (0..12).map(|i| i / 2).collect();
        for (sigma, alpha) in [(0.5, 0.8), (1.5, 0.2), (0.0, 0.5), (0.7, 0.0), (-0.4, 1.7)] {
            check(&[], &[1.0, 0.3, -0.2, alpha]);
            check(std::slice::from_ref(&rows), &[1.0, 0.3, -0.2, sigma, alpha]);
            for other in [&columns, &plots] {
                let terms = [rows.clone(), other.clone()];
                check(&terms, &[1.0, 0.3, -0.2, sigma, 0.6, alpha]);
            }
        }
    }
}
