//! Counts with places -> clusters, told as numbers and as sentences.

use halfgreen_analysis::answers::{Caution, PValue};
use halfgreen_analysis::spatial::autocorrelation::{Likeness, autocorrelation};
use halfgreen_analysis::spatial::hot_spots::{Class, hot_spots};
use halfgreen_analysis::spatial::map_association::{MapAssociation, map_association};
use halfgreen_analysis::spatial::regularity::regularity;
use halfgreen_analysis::spatial::scan::scan;
use halfgreen_analysis::spatial::{Neighbours, Place};
use serde::Serialize;

use crate::Error;

/// Who counts as a neighbour.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Weights {
    /// Cells of a grid that share an edge or a corner.
    Queen,
    /// Cells of a grid that share an edge.
    Rook,
    /// Places up to this many metres away.
    Distance(f64),
    /// This many nearest places.
    Nearest(usize),
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
    /// Gi* as a z-score.
    pub gi_star: Option<f64>,
    /// Two-sided conditional p.
    pub p: Option<f64>,
    /// `p` adjusted for the number of places.
    pub q: Option<f64>,
    /// Hot, cold or neither at 5 % false discoveries.
    pub class: Class,
}

/// Distance to regularity of the whole map.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Evenness {
    /// Least movement that makes counts equal, larvae times metres.
    pub distance: f64,
    /// Index of aggregation, 1 for a random arrangement.
    pub index: Option<f64>,
    /// Its permutation p.
    pub p: Option<PValue>,
    /// Index of the patches.
    pub patch_index: Option<f64>,
    /// Index of the gaps.
    pub gap_index: Option<f64>,
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
    /// Larvae inside.
    pub inside: f64,
    /// Larvae expected inside if they lay evenly.
    pub expected: f64,
    /// Log likelihood ratio.
    pub llr: f64,
    /// Permutation p.
    pub p: Option<PValue>,
}

/// What a map of counts shows.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Hotspots {
    /// Moran's I.
    pub moran: Likeness,
    /// Geary's C.
    pub geary: Likeness,
    /// The hot-spot map, in the order of the counts.
    pub local: Vec<Local>,
    /// Distance to regularity.
    pub regularity: Evenness,
    /// Circular clusters, best first.
    pub scan: Vec<Cluster>,
    /// Correlation with a second map, where one was given.
    pub association: Option<MapAssociation>,
    /// What it means, in plain sentences.
    pub meaning: Vec<String>,
    /// What the reader must know.
    pub cautions: Vec<Caution>,
}

/// Finds clusters among `counts` at `places` (metres), each place sampled alike, and the link to a
/// second map `with` of the same places.
///
/// # Errors
/// When places, counts and the second map differ in length or a number is not finite.
pub fn hotspots(
    places: &[Place],
    counts: &[u32],
    with: Option<&[f64]>,
    weights: Weights,
    permutations: usize,
    seed: u64,
) -> Result<Hotspots, Error> {
    let values: Vec<f64> = counts.iter().map(|&c| f64::from(c)).collect();
    let even = regularity(places, &values, permutations, seed)?;
    let neighbours = match weights {
        Weights::Queen => Neighbours::queen(places),
        Weights::Rook => Neighbours::rook(places),
        Weights::Distance(reach) => Neighbours::within(places, reach),
        Weights::Nearest(k) => Neighbours::nearest(places, k),
    };
    let global = autocorrelation(
        &values,
        &neighbours.clone().row_standardised(),
        permutations,
        seed,
    )?;
    let spots = hot_spots(counts, &neighbours, 0.05)?;
    let local: Vec<Local> = spots
        .into_iter()
        .enumerate()
        .map(|(i, s)| Local {
            x_m: places[i].0,
            y_m: places[i].1,
            count: counts[i],
            gi_star: s.gi_star,
            p: s.p,
            q: s.q,
            class: s.class,
        })
        .collect();
    let scan = scan(
        places,
        &values,
        &vec![1.0; counts.len()],
        permutations,
        seed,
    )?
    .into_iter()
    .map(|w| Cluster {
        x_m: places[w.centre].0,
        y_m: places[w.centre].1,
        radius_m: w.radius_m,
        inside: w.inside,
        expected: w.expected,
        llr: w.llr,
        p: w.p,
    })
    .collect();
    let association = with
        .map(|with| map_association(places, &values, with))
        .transpose()?;
    let mut cautions = global.cautions;
    cautions.extend(even.cautions);
    Ok(Hotspots {
        meaning: meaning(&global.moran, &local),
        moran: global.moran,
        geary: global.geary,
        local,
        regularity: Evenness {
            distance: even.distance,
            index: even.index,
            p: even.p,
            patch_index: even.patch_index,
            gap_index: even.gap_index,
        },
        scan,
        association,
        cautions,
    })
}

fn meaning(moran: &Likeness, local: &[Local]) -> Vec<String> {
    let whole = match (moran.value, moran.p_permutation) {
        (Some(i), Some(p)) if p.value <= 0.05 && i > moran.expected => {
            "Near places are alike: larvae lie in clumps wider than one sampling place."
        }
        (Some(_), Some(p)) if p.value <= 0.05 => {
            "Near places differ more than chance would have it: high and low counts alternate."
        }
        (Some(_), Some(_)) => {
            "No clumps wider than one sampling place were shown; that does not prove there are none."
        }
        _ => "The map is too small or too even to tell of clumps.",
    };
    let hot = local.iter().filter(|l| l.class == Class::Hot).count();
    let cold = local.iter().filter(|l| l.class == Class::Cold).count();
    let total = local.len();
    vec![
        whole.to_owned(),
        format!(
            "{hot} of {total} places are hot and {cold} cold, allowing for the number of places looked at."
        ),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_clump_in_one_corner_is_found() {
        let places: Vec<Place> = (0..36)
            .map(|i| (f64::from(i % 6) * 2.0, f64::from(i / 6) * 2.0))
            .collect();
        let counts: Vec<u32> = (0..36)
            .map(|i| if i % 6 < 2 && i / 6 < 2 { 20 } else { i % 3 })
            .collect();
        let found = hotspots(&places, &counts, None, Weights::Queen, 199, 1).unwrap();
        assert_eq!(found.local[0].class, Class::Hot);
        assert!(found.regularity.index.unwrap() > 1.0);
        assert_eq!(found.scan[0].p.unwrap().value, 0.005);
        assert!(found.scan[0].inside >= 80.0);
    }
}
