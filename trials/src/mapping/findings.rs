//! What a map of counts shows, as it is written out.

use halfgreen_analysis::results::{Caution, PValue};
use halfgreen_analysis::spatial::autocorrelation::AutocorrelationStatistic;
use halfgreen_analysis::spatial::hot_spots::Class;
use halfgreen_analysis::spatial::local_moran::Quadrant;
use serde::Serialize;

/// Moran's I of the map.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Moran {
    /// The statistic; none on a flat map.
    pub i: Option<f64>,
    /// Its expectation under random arrangement.
    pub expected: f64,
    /// Its variance under random arrangement.
    pub variance: Option<f64>,
    /// Standard deviations from expectation.
    pub z: Option<f64>,
    /// Two-sided normal p.
    pub p_normal: Option<f64>,
    /// Two-sided permutation p.
    pub p_permutation: Option<f64>,
    /// Its standard error, for being known from draws only.
    pub p_permutation_se: Option<f64>,
    /// Mean over the arrangements drawn.
    pub permutation_mean: Option<f64>,
    /// Standard deviation over them.
    pub permutation_sd: Option<f64>,
}

impl From<AutocorrelationStatistic> for Moran {
    fn from(found: AutocorrelationStatistic) -> Self {
        Self {
            i: found.value,
            expected: found.expected,
            variance: found.variance,
            z: found.z,
            p_normal: found.p_normal,
            p_permutation: plain(found.p_permutation),
            p_permutation_se: found.p_permutation.and_then(|p| p.monte_carlo_se()),
            permutation_mean: found.permutation_mean,
            permutation_sd: found.permutation_sd,
        }
    }
}

/// Geary's C of the map.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Geary {
    /// The statistic; none on a flat map.
    pub c: Option<f64>,
    /// Its expectation, 1.
    pub expected: f64,
    /// Its variance under random arrangement.
    pub variance: Option<f64>,
    /// Standard deviations from expectation, positive when near places are alike.
    pub z: Option<f64>,
    /// Two-sided normal p.
    pub p_normal: Option<f64>,
    /// Two-sided permutation p.
    pub p_permutation: Option<f64>,
    /// Its standard error, for being known from draws only.
    pub p_permutation_se: Option<f64>,
    /// Mean over the arrangements drawn.
    pub permutation_mean: Option<f64>,
    /// Standard deviation over them.
    pub permutation_sd: Option<f64>,
}

impl From<AutocorrelationStatistic> for Geary {
    fn from(found: AutocorrelationStatistic) -> Self {
        Self {
            c: found.value,
            expected: found.expected,
            variance: found.variance,
            z: found.z,
            p_normal: found.p_normal,
            p_permutation: plain(found.p_permutation),
            p_permutation_se: found.p_permutation.and_then(|p| p.monte_carlo_se()),
            permutation_mean: found.permutation_mean,
            permutation_sd: found.permutation_sd,
        }
    }
}

/// A p-value as a plain number.
pub(super) fn plain(p: Option<PValue>) -> Option<f64> {
    p.map(|p| p.value)
}

/// One place of the hot-spot map.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Local {
    /// East, metres.
    pub x_m: f64,
    /// North, metres.
    pub y_m: f64,
    /// Larvae counted.
    pub count: u32,
    /// Places that count as its neighbours.
    pub neighbours: usize,
    /// Gi* as a z-score.
    pub gi_star: Option<f64>,
    /// Two-sided conditional p.
    pub p: Option<f64>,
    /// `p` adjusted for the number of places.
    pub q: Option<f64>,
    /// Hot, cold or neither at 5 % false discoveries.
    pub class: Class,
    /// Local Moran: above 0 where the place is like its neighbours.
    pub moran_local: Option<f64>,
    /// Two-sided conditional p of the local Moran.
    pub moran_p: Option<f64>,
    /// `moran_p` adjusted for the number of places.
    pub moran_q: Option<f64>,
    /// How the place compares with its neighbours at 5 % false discoveries.
    pub moran_class: Quadrant,
    /// Index of the place in distance to regularity, 1 at random; none for an average count.
    pub patchiness: Option<f64>,
    /// Share of arrangements in which the same count has at least as large an index.
    pub patchiness_p: Option<f64>,
    /// `patchiness_p` adjusted for the number of places.
    pub patchiness_q: Option<f64>,
}

/// Distance to regularity of the whole map.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RegularityRow {
    /// Least movement that makes counts equal, larvae per core times metres; none on a map too large.
    pub distance: Option<f64>,
    /// Index of aggregation, 1 for a random arrangement.
    pub index: Option<f64>,
    /// Its permutation p.
    pub p: Option<f64>,
    /// Index of the patches.
    pub patch_index: Option<f64>,
    /// Its permutation p.
    pub patch_p: Option<f64>,
    /// Index of the gaps.
    pub gap_index: Option<f64>,
    /// Its permutation p.
    pub gap_p: Option<f64>,
    /// Standard error of `p`, for being known from draws only.
    pub p_se: Option<f64>,
    /// That of `patch_p`.
    pub patch_p_se: Option<f64>,
    /// That of `gap_p`.
    pub gap_p_se: Option<f64>,
    /// Arrangements drawn: more than were asked for where a p-value lay near 0.05.
    pub draws: Option<usize>,
}

/// One circular cluster.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Cluster {
    /// East of its centre, metres.
    pub x_m: f64,
    /// North of its centre, metres.
    pub y_m: f64,
    /// Radius, metres.
    pub radius_m: f64,
    /// Places inside.
    pub places: usize,
    /// Which they are, by their position in `local`, the first being 0; nearest to the centre first.
    pub members: Vec<usize>,
    /// Larvae inside.
    pub inside: f64,
    /// Larvae expected inside if they lay evenly.
    pub expected: f64,
    /// Log likelihood ratio.
    pub llr: f64,
    /// Permutation p.
    pub p: Option<f64>,
}

/// Correlation with a second map.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Association {
    /// What the second map shows.
    pub name: String,
    /// Pearson's correlation; none when a map is flat.
    pub r: Option<f64>,
    /// How many independent places the maps are worth.
    pub effective_sample_size: Option<f64>,
    /// Two-sided p that allows for the clustering of both maps.
    pub p: Option<f64>,
}

/// Moran's I of counts set against the mean of their treatment; blocks are not allowed for.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Residuals {
    /// The statistic; none when nothing is left over.
    pub i: Option<f64>,
    /// Two-sided p, exchanging plots within treatments.
    pub p: Option<f64>,
}

/// One class of the correlogram.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DistanceStep {
    /// Beyond this distance, metres.
    pub low_m: f64,
    /// Up to this distance, metres.
    pub high_m: f64,
    /// Pairs of places.
    pub pairs: usize,
    /// Moran's I.
    pub i: Option<f64>,
    /// Two-sided permutation p.
    pub p: Option<f64>,
}

/// Who counts as a neighbour of whom.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Neighbours {
    /// The rule, as it is written in a request.
    pub rule: String,
    /// Pairs of a place and a neighbour of it; those of a place weigh alike and add up to 1 for Moran and Geary, and weigh 1 each,
    /// the place itself included, for Gi*.
    pub links: usize,
    /// Places without a neighbour.
    pub islands: usize,
}

/// What a map of counts shows.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Hotspots {
    /// Who counts as a neighbour.
    pub weights: Neighbours,
    /// Moran's I.
    pub moran: Moran,
    /// Geary's C.
    pub geary: Geary,
    /// The hot-spot map, in the order of the counts.
    pub local: Vec<Local>,
    /// Distance to regularity.
    pub regularity: RegularityRow,
    /// Circular clusters, best first.
    pub scan: Vec<Cluster>,
    /// Correlation with a second map, where one was given.
    pub association: Option<Association>,
    /// Moran's I by distance.
    pub correlogram: Vec<DistanceStep>,
    /// Residuals after treatment, for a trial.
    pub residuals: Option<Residuals>,
    /// Arrangements drawn for each permutation p.
    pub permutations: usize,
    /// What it means, in plain sentences.
    pub meaning: Vec<String>,
    /// What the reader must know.
    #[serde(skip)]
    pub cautions: Vec<Caution>,
}
