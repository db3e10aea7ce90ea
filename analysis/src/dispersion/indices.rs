//! Indices of aggregation from one sample.

use serde::Serialize;

use super::FrequencyTable;
use crate::distributions::{chi_squared_quantile, chi_squared_sf};

/// Fisher's index of dispersion and its relatives.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct IndexOfDispersion {
    /// (n - 1) s^2 / m, chi-squared on n - 1 degrees of freedom for Poisson counts.
    pub value: f64,
    /// n - 1.
    pub df: f64,
    /// Upper tail: the chance of counts at least this variable, were they Poisson.
    pub p: f64,
    /// Lower tail: the chance of counts at most this variable, were they Poisson.
    pub p_regular: f64,
    /// s^2 / m: 1 for Poisson counts.
    pub variance_to_mean: f64,
    /// Green's coefficient (s^2/m - 1) / (total - 1): 0 for Poisson counts, 1 when all sit in one unit.
    /// None for a total of 1.
    pub green: Option<f64>,
}

/// Index of dispersion (Fisher, Thornton & Mackenzie 1922, Ann. Appl. Biol. 9, 325-359), Green's coefficient
/// (R. H. Green 1966, Res. Popul. Ecol. 8, 1-7). None when all counts are 0 or there is one unit.
/// # Example
/// Deaths by horse kick in 200 corps-years (L. von Bortkiewicz 1898): as near to Poisson as any counts.
/// ```
/// use halfgreen_analysis::dispersion::negative_binomial_k::by_likelihood;
/// use halfgreen_analysis::dispersion::{FrequencyTable, index_of_dispersion};
///
/// let deaths = FrequencyTable::of_frequencies([(0, 109), (1, 65), (2, 22), (3, 3), (4, 1)])?;
/// let index = index_of_dispersion(&deaths).ok_or("no deaths")?;
/// assert!((index.value - 199.3115).abs() < 1e-4);
///
/// let k = by_likelihood(&[deaths], 0.95).ok_or("no deaths")?;
/// assert!(k.interval.high.is_infinite());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
#[must_use]
pub fn index_of_dispersion(tally: &FrequencyTable) -> Option<IndexOfDispersion> {
    let variance = tally.variance.filter(|_| tally.total > 0)?;
    let df = (tally.n - 1) as f64;
    let ratio = variance / tally.mean;
    let upper = chi_squared_sf(df * ratio, df);
    Some(IndexOfDispersion {
        value: df * ratio,
        df,
        p: upper,
        p_regular: 1.0 - upper,
        variance_to_mean: ratio,
        green: (tally.total > 1).then(|| (ratio - 1.0) / (tally.total - 1) as f64),
    })
}

/// Lloyd's measures.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Crowding {
    /// m + s^2/m - 1: how many others share the average animal's unit, estimated for the population
    /// that was sampled.
    pub crowding: f64,
    /// Sum x (x - 1) / sum x: the same for the counted animals alone, without regard to sampling.
    pub crowding_census: f64,
    /// crowding / m: 1 for Poisson counts, 1 + 1/k for the negative binomial.
    pub patchiness: f64,
}

/// Mean crowding and patchiness (M. Lloyd 1967, J. Anim. Ecol. 36, 1-30). None when all counts are 0 or
/// there is one unit.
#[must_use]
pub fn crowding(tally: &FrequencyTable) -> Option<Crowding> {
    let variance = tally.variance.filter(|_| tally.total > 0)?;
    let crowding = tally.mean + variance / tally.mean - 1.0;
    Some(Crowding {
        crowding,
        crowding_census: tally.pairs() / tally.total as f64,
        patchiness: crowding / tally.mean,
    })
}

/// Morisita's index.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Morisita {
    /// n sum x(x - 1) / (T (T - 1)), T the total: how much likelier two animals share a unit than by
    /// chance. 1 for Poisson counts, n when all sit in one unit.
    pub index: f64,
    /// `index` (T - 1) + n - T, chi-squared on n - 1 degrees of freedom for Poisson counts.
    pub chi2: f64,
    /// Upper tail of `chi2`.
    pub p: f64,
    /// Standardised index of Smith-Gill: from -1 (even) over 0 (chance) to 1 (one clump), beyond
    /// +-0.5 outside the 95 % range of chance.
    pub standardised: f64,
}

/// Morisita's index of dispersion (M. Morisita 1962, Res. Popul. Ecol. 4, 1-7), standardised after S. J.
/// Smith-Gill 1975, Ecology 56, 1-22. None for a total below 2 or one unit.
#[must_use]
pub fn morisita(tally: &FrequencyTable) -> Option<Morisita> {
    if tally.total < 2 || tally.n < 2 {
        return None;
    }
    let (n, total) = (tally.n as f64, tally.total as f64);
    let index = n * tally.pairs() / (total * (total - 1.0));
    let chi2 = index * (total - 1.0) + n - total;
    let limit = |p: f64| (chi_squared_quantile(p, n - 1.0) - n + total) / (total - 1.0);
    let (even, aggregated) = (limit(0.025), limit(0.975));
    let standardised = if index >= aggregated && n > aggregated {
        0.5 + 0.5 * (index - aggregated) / (n - aggregated)
    } else if index >= 1.0 {
        0.5 * (index - 1.0) / (aggregated - 1.0)
    } else if index > even {
        0.5 * (index - 1.0) / (1.0 - even)
    } else {
        -0.5 + 0.5 * (index - even) / even
    };
    Some(Morisita {
        index,
        chi2,
        p: chi_squared_sf(chi2, n - 1.0),
        standardised: standardised.clamp(-1.0, 1.0),
    })
}
