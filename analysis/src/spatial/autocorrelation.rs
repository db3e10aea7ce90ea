//! Spatial autocorrelation: Moran's I, Geary's C and the correlogram.

use rayon::prelude::*;
use serde::Serialize;
use statrs::function::erf::erfc;

use super::cross_products::{CrossProducts, LANES};
use super::permutation::{permute, sampled};
use super::{Place, SpatialWeights, check, check_links, distance};
use crate::Error;
use crate::random::Generator;
use crate::results::{Caution, PValue};

/// One global statistic of spatial autocorrelation.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AutocorrelationStatistic {
    /// The statistic; `None` when all values are equal or nobody has a neighbour.
    pub value: Option<f64>,
    /// Its expectation when values are arranged at random.
    pub expected: f64,
    /// Its variance under random arrangement; `None` below four places.
    pub variance: Option<f64>,
    /// Its variance for independent normal values.
    pub variance_normal: Option<f64>,
    /// Distance from expectation in standard deviations under random arrangement, positive when near
    /// places are alike (so for Geary's C it is expectation less value).
    pub z: Option<f64>,
    /// Two-sided normal p of `z`.
    pub p_normal: Option<f64>,
    /// Two-sided permutation p: arrangements at least as far from expectation.
    pub p_permutation: Option<PValue>,
    /// Mean of the statistic over the arrangements drawn; `None` without any.
    pub permutation_mean: Option<f64>,
    /// Its standard deviation over them, divisor n - 1; `None` below two.
    pub permutation_sd: Option<f64>,
}

impl AutocorrelationStatistic {
    /// Takes over what the arrangements showed.
    fn with(mut self, drawn: Option<Drawn>) -> Self {
        self.p_permutation = drawn.map(|d| d.p);
        self.permutation_mean = drawn.map(|d| d.mean);
        self.permutation_sd = drawn.and_then(|d| d.sd);
        self
    }
}

/// A statistic over the arrangements drawn.
#[derive(Debug, Clone, Copy)]
struct Drawn {
    p: PValue,
    mean: f64,
    sd: Option<f64>,
}

impl Drawn {
    /// Of these values, `reached` of which lie as far out as the one observed.
    fn new(values: &[f64], reached: usize) -> Self {
        let n = values.len() as f64;
        let mean = values.iter().sum::<f64>() / n;
        let squares: f64 = values.iter().map(|v| (v - mean).powi(2)).sum();
        Self {
            p: sampled(reached, values.len()),
            mean,
            sd: (values.len() > 1).then(|| (squares / (n - 1.0)).sqrt()),
        }
    }
}

/// Moran's I and Geary's C of one map.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Autocorrelation {
    /// Moran's I (1950, Biometrika 37, 17-23).
    pub moran: AutocorrelationStatistic,
    /// Geary's C (1954, Incorporated Statistician 5, 115-145).
    pub geary: AutocorrelationStatistic,
    /// What the reader must know.
    pub cautions: Vec<Caution>,
}

/// Moran's I and Geary's C with moments under random arrangement (Cliff & Ord 1981, pp. 17-21) and
/// `permutations` seeded permutations. Islands count as places: they enter the mean and variance of the
/// values and no link. A permutation costs one pass over the links.
///
/// # Example
/// Four places in a row whose values rise by one: I = (4 / 6) (2.5 / 5) by hand.
/// ```
/// use halfgreen_analysis::spatial::autocorrelation::autocorrelation;
/// use halfgreen_analysis::spatial::{Place, SpatialWeights};
///
/// let row: Vec<Place> = (0..4).map(|i| (f64::from(i), 0.0)).collect();
/// let found = autocorrelation(&[1.0, 2.0, 3.0, 4.0], &SpatialWeights::rook(&row), 999, 1)?;
/// let moran = found.moran;
/// assert!((moran.value.unwrap_or(f64::NAN) - 1.0 / 3.0).abs() < 1e-12);
/// assert!((moran.expected + 1.0 / 3.0).abs() < 1e-12);
/// # Ok::<(), halfgreen_analysis::Error>(())
/// ```
///
/// # Errors
/// When values are not finite or differ in number from the places.
pub fn autocorrelation(
    values: &[f64],
    neighbours: &SpatialWeights,
    permutations: usize,
    seed: u64,
) -> Result<Autocorrelation, Error> {
    let n = values.len();
    check_links(values, neighbours)?;
    let mean = values.iter().sum::<f64>() / n as f64;
    let centred: Vec<f64> = values.iter().map(|v| v - mean).collect();
    let scale = values.iter().fold(0.0_f64, |a, v| a.max(v.abs()));
    let mut cautions = Vec::new();
    let islands = neighbours.islands().len();
    if islands > 0 {
        let text = format!(
            "{islands} of {n} places have no neighbour and say nothing about autocorrelation."
        );
        cautions.push(Caution::new("islands", text));
    }
    let moments = Moments::new(&centred, neighbours);
    // Spread below rounding of the values themselves is no spread.
    let flat = centred.iter().all(|z| z.abs() <= 1e-12 * scale);
    if flat || moments.s0 == 0.0 {
        let text = if flat {
            "All values are equal: there is no pattern to find."
        } else {
            "No place has a neighbour."
        };
        cautions.push(Caution::new("no-pattern", text));
        let none = |expected| AutocorrelationStatistic {
            value: None,
            expected,
            variance: None,
            variance_normal: None,
            z: None,
            p_normal: None,
            p_permutation: None,
            permutation_mean: None,
            permutation_sd: None,
        };
        return Ok(Autocorrelation {
            moran: none(-1.0 / (n as f64 - 1.0).max(1.0)),
            geary: none(1.0),
            cautions,
        });
    }
    let sums = CrossProducts::new(neighbours);
    let (i, c) = moments.statistics(sums.of(&centred));
    let (moran, geary) = test(&sums, &centred, &moments, permutations, seed);
    Ok(Autocorrelation {
        moran: moments.moran(i).with(moran),
        geary: moments.geary(c).with(geary),
        cautions,
    })
}

/// Both statistics over the arrangements.
fn test(
    sums: &CrossProducts,
    z: &[f64],
    m: &Moments,
    draws: usize,
    seed: u64,
) -> (Option<Drawn>, Option<Drawn>) {
    if draws == 0 {
        return (None, None);
    }
    let (i, c) = m.statistics(sums.of(z));
    // Equal arrangements may differ in the last bits of their sums.
    let far_i = (i - m.moran_mean()).abs() * (1.0 - 1e-10);
    let far_c = (c - 1.0).abs() * (1.0 - 1e-10);
    let found: Vec<[(f64, f64); LANES]> = (0..draws.div_ceil(LANES))
        .into_par_iter()
        .with_min_len(16)
        .map_init(
            || (z.to_vec(), vec![[0.0; LANES]; z.len()]),
            |(order, lanes), group| {
                for lane in 0..LANES {
                    order.copy_from_slice(z);
                    let draw = (group * LANES + lane) as u64;
                    permute(&mut Generator::new(seed, draw), order);
                    for (into, &z) in lanes.iter_mut().zip(order.iter()) {
                        into[lane] = z;
                    }
                }
                sums.products(lanes).map(|products| m.statistics(products))
            },
        )
        .collect();
    let drawn = |of: fn(&(f64, f64)) -> f64, expected: f64, far: f64| {
        let values: Vec<f64> = found.iter().flatten().take(draws).map(of).collect();
        let reached = values.iter().filter(|v| (*v - expected).abs() >= far);
        Some(Drawn::new(&values, reached.count()))
    };
    (
        drawn(|s| s.0, m.moran_mean(), far_i),
        drawn(|s| s.1, 1.0, far_c),
    )
}

/// What the moments need from values and weights.
struct Moments {
    n: f64,
    square: f64,
    kurtosis: f64,
    s0: f64,
    s1: f64,
    s2: f64,
}

impl Moments {
    fn new(z: &[f64], neighbours: &SpatialWeights) -> Self {
        let n = z.len() as f64;
        let square: f64 = z.iter().map(|z| z * z).sum();
        let fourth: f64 = z.iter().map(|z| z.powi(4)).sum();
        let sums = neighbours.sums();
        Self {
            n,
            square,
            kurtosis: n * fourth / (square * square),
            s0: sums.s0,
            s1: sums.s1,
            s2: sums.s2,
        }
    }

    fn moran_mean(&self) -> f64 {
        -1.0 / (self.n - 1.0)
    }

    fn statistics(&self, (cross, square): (f64, f64)) -> (f64, f64) {
        let i = self.n / self.s0 * cross / self.square;
        let c = (self.n - 1.0) * (square - 2.0 * cross) / (2.0 * self.s0 * self.square);
        (i, c)
    }

    fn moran(&self, i: f64) -> AutocorrelationStatistic {
        let Self {
            n,
            kurtosis: b,
            s0,
            s1,
            s2,
            ..
        } = *self;
        let e = self.moran_mean();
        let normal = (n * n * s1 - n * s2 + 3.0 * s0 * s0) / ((n * n - 1.0) * s0 * s0) - e * e;
        let random = (n * ((n * n - 3.0 * n + 3.0) * s1 - n * s2 + 3.0 * s0 * s0)
            - b * ((n * n - n) * s1 - 2.0 * n * s2 + 6.0 * s0 * s0))
            / ((n - 1.0) * (n - 2.0) * (n - 3.0) * s0 * s0)
            - e * e;
        self.likeness(i, e, 1.0, random, normal)
    }

    fn geary(&self, c: f64) -> AutocorrelationStatistic {
        let Self {
            n,
            kurtosis: b,
            s0,
            s1,
            s2,
            ..
        } = *self;
        let normal = ((2.0 * s1 + s2) * (n - 1.0) - 4.0 * s0 * s0) / (2.0 * (n + 1.0) * s0 * s0);
        let random = ((n - 1.0) * s1 * (n * n - 3.0 * n + 3.0 - (n - 1.0) * b)
            - 0.25 * (n - 1.0) * s2 * (n * n + 3.0 * n - 6.0 - (n * n - n + 2.0) * b)
            + s0 * s0 * (n * n - 3.0 - (n - 1.0) * (n - 1.0) * b))
            / (n * (n - 2.0) * (n - 3.0) * s0 * s0);
        self.likeness(c, 1.0, -1.0, random, normal)
    }

    fn likeness(
        &self,
        value: f64,
        expected: f64,
        sign: f64,
        random: f64,
        normal: f64,
    ) -> AutocorrelationStatistic {
        // A statistic that no arrangement can change has a variance of rounding errors only.
        let usable = |v: f64| (v.is_finite() && v > 1e-14).then_some(v);
        let variance = if self.n < 4.0 { None } else { usable(random) };
        let z = variance.map(|v| sign * (value - expected) / v.sqrt());
        AutocorrelationStatistic {
            value: Some(value),
            expected,
            variance,
            variance_normal: usable(normal),
            z,
            p_normal: z.map(|z| erfc(z.abs() / std::f64::consts::SQRT_2)),
            p_permutation: None,
            permutation_mean: None,
            permutation_sd: None,
        }
    }
}

/// One distance class of a correlogram.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DistanceClass {
    /// Beyond this distance, metres.
    pub low_m: f64,
    /// Up to this distance, metres.
    pub high_m: f64,
    /// Pairs of places in the class.
    pub pairs: usize,
    /// Moran's I of the class.
    pub moran: AutocorrelationStatistic,
}

/// Moran's I by `classes` equal distance classes up to half the greatest distance, beyond which few
/// places take part (Legendre & Legendre, *Numerical Ecology*, ch. 13).
///
/// # Errors
/// As [`check`].
pub fn correlogram(
    places: &[Place],
    values: &[f64],
    classes: usize,
    permutations: usize,
    seed: u64,
) -> Result<Vec<DistanceClass>, Error> {
    check(places, values)?;
    let far = places
        .iter()
        .flat_map(|&a| places.iter().map(move |&b| distance(a, b)))
        .fold(0.0, f64::max);
    let width = far / 2.0 / classes.max(1) as f64;
    let mut out = Vec::new();
    for class in 0..if far > 0.0 { classes } else { 0 } {
        let low_m = width * class as f64;
        let high_m = low_m + width;
        let neighbours =
            SpatialWeights::between(places, if class == 0 { -1.0 } else { low_m }, high_m);
        let moran = autocorrelation(
            values,
            &neighbours,
            permutations,
            seed.wrapping_add(class as u64),
        )?
        .moran;
        out.push(DistanceClass {
            low_m,
            high_m,
            pairs: neighbours.to.len() / 2,
            moran,
        });
    }
    Ok(out)
}
