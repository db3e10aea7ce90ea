//! What value would be found between the places that were sampled?

use ndarray::Array2;
use rand_distr::{Distribution as _, StandardNormal};
use serde::Serialize;

use super::variogram::VariogramModel;
use super::{Place, check, distance};
use crate::Error;
use crate::numerics::cholesky::Cholesky;
use crate::random::Generator;

/// A predicted value.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Kriged {
    /// Prediction.
    pub value: f64,
    /// Its variance; see the method that made it for whether the nugget is in it.
    pub variance: f64,
}

/// Ordinary kriging: the best linear unbiased prediction under a constant unknown mean and a known
/// variogram (Matheron 1963, Econ. Geol. 58, 1246-1266; Cressie 1993, s. 3.2).
#[derive(Debug, Clone, PartialEq)]
pub struct Kriging {
    places: Vec<Place>,
    model: VariogramModel,
    /// Of the covariance between the places.
    factor: Cholesky,
    /// Inverse covariance times 1.
    ones: Vec<f64>,
    /// 1' inverse covariance 1.
    weight: f64,
    /// Inverse covariance times residuals from the mean.
    residual: Vec<f64>,
    values: Vec<f64>,
    /// Generalised least-squares mean.
    pub mean: f64,
}

impl Kriging {
    /// Prepares predictions from `values` at `places`.
    ///
    /// # Errors
    /// As [`check`]; or when the model makes two places identical, as coinciding places without a
    /// nugget do.
    pub fn new(places: &[Place], values: &[f64], model: VariogramModel) -> Result<Self, Error> {
        check(places, values)?;
        let n = places.len();
        let mut covariance = Array2::from_shape_fn((n, n), |(i, j)| {
            model.covariance(distance(places[i], places[j]))
        });
        covariance.diag_mut().mapv_inplace(|c| c + model.nugget);
        // Pivots lose some n * 2e-16 of the diagonal to rounding.
        let factor = Cholesky::new(covariance, 1e-13).map_err(|i| {
            Error::new(
                "places",
                format!("place {} that says nothing beside the others", i + 1),
                "the variogram must tell all places apart",
                "Merge places that coincide, or give the model a nugget.",
            )
        })?;
        let mut ones = vec![1.0; n];
        factor.solve(&mut ones);
        let weight = ones.iter().sum::<f64>();
        let mean = ones.iter().zip(values).map(|(w, v)| w * v).sum::<f64>() / weight;
        let mut residual: Vec<f64> = values.iter().map(|v| v - mean).collect();
        factor.solve(&mut residual);
        Ok(Self {
            places: places.to_vec(),
            model,
            factor,
            ones,
            weight,
            residual,
            values: values.to_vec(),
            mean,
        })
    }

    /// The value a new sample at `at` would have, its own nugget in the variance; at a sampled place the
    /// sampled value, with variance 0.
    #[must_use]
    pub fn sample(&self, at: Place) -> Kriged {
        let smooth = self.surface(at);
        let noisy = Kriged {
            variance: smooth.variance + self.model.nugget,
            ..smooth
        };
        let known = self.places.iter().position(|&p| p == at);
        known.map_or(noisy, |i| Kriged {
            value: self.values[i],
            variance: 0.0,
        })
    }

    /// The smooth surface at `at`, with its variance: the nugget is taken as noise of single samples.
    #[must_use]
    pub fn surface(&self, at: Place) -> Kriged {
        let (mean, covariance) = self.joint(&[at]);
        Kriged {
            value: mean[0],
            variance: covariance[[0, 0]].max(0.0),
        }
    }

    /// Joint mean and covariance of the smooth surface at several points.
    #[must_use]
    pub fn joint(&self, at: &[Place]) -> (Vec<f64>, Array2<f64>) {
        let m = at.len();
        let mut means = Vec::with_capacity(m);
        let mut gaps = Vec::with_capacity(m);
        let mut rows: Vec<Vec<f64>> = Vec::with_capacity(m);
        for &point in at {
            let mut c: Vec<f64> = self
                .places
                .iter()
                .map(|&p| self.model.covariance(distance(p, point)))
                .collect();
            means.push(self.mean + dot(&c, &self.residual));
            gaps.push(1.0 - dot(&c, &self.ones));
            self.factor.forward(&mut c);
            rows.push(c);
        }
        let covariance = Array2::from_shape_fn((m, m), |(i, j)| {
            self.model.covariance(distance(at[i], at[j])) - dot(&rows[i], &rows[j])
                + gaps[i] * gaps[j] / self.weight
        });
        (means, covariance)
    }

    /// Equally likely smooth surfaces at several points, drawn jointly from a normal law, one stream each.
    /// `None` where points lie so close together that their joint law cannot be worked out.
    #[must_use]
    pub fn alternatives(&self, at: &[Place], draws: u64, seed: u64) -> Option<Vec<Vec<f64>>> {
        let (means, mut covariance) = self.joint(at);
        // Points close together on a smooth surface nearly repeat one another; this much independent
        // noise, far below what samples can show, keeps the factor from breaking off.
        let noise = 1e-6 * self.model.sill;
        covariance.diag_mut().mapv_inplace(|c| c + noise);
        let factor = Cholesky::new(covariance, 1e-12).ok()?;
        let draw = |stream: u64| {
            let mut generator = Generator::new(seed, stream);
            let normal: Vec<f64> = means
                .iter()
                .map(|_| StandardNormal.sample(&mut generator))
                .collect();
            let points = means.iter().enumerate();
            points
                .map(|(i, mean)| mean + dot(factor.row(i), &normal))
                .collect()
        };
        Some((0..draws).map(draw).collect())
    }

    /// Each sample predicted from the others, with the model as fitted to all; the nugget is in the
    /// variance (Dubrule 1983, Math. Geol. 15, 687-699: no system needs solving anew).
    #[must_use]
    pub fn leave_one_out(&self) -> Vec<Kriged> {
        let n = self.places.len();
        (0..n)
            .map(|i| {
                // Diagonal of the inverse with the mean projected out.
                let own =
                    self.factor.inverse_diagonal(i) - self.ones[i] * self.ones[i] / self.weight;
                Kriged {
                    value: self.values[i] - self.residual[i] / own,
                    variance: 1.0 / own,
                }
            })
            .collect()
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}
