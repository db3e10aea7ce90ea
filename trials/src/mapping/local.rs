//! Place by place: hot or cold, like its neighbours or not, patch or gap.

use halfgreen_analysis::results::{Caution, Origin};
use halfgreen_analysis::spatial::SpatialWeights;
use halfgreen_analysis::spatial::hot_spots::{Spot, hot_spots};
use halfgreen_analysis::spatial::local_moran::local_moran;
use halfgreen_analysis::spatial::regularity::Regularity;

use super::findings::{Local, plain};
use super::survey::Survey;
use crate::Error;

/// False discoveries accepted among the places called.
const LEVEL: f64 = 0.05;

/// The places, and what their readers must know.
pub(super) struct Places {
    pub(super) places: Vec<Local>,
    pub(super) caution: Option<Caution>,
}

/// Looks at every place of a survey; `neighbours` weigh alike.
pub(super) fn local(
    survey: &Survey,
    neighbours: &SpatialWeights,
    even: Option<&Regularity>,
    permutations: usize,
    seed: u64,
) -> Result<Places, Error> {
    let values = survey.values();
    // The same draws serve both: given a place's own value they ask the same of chance.
    let standard = neighbours.clone().row_standardised();
    let company = local_moran(&values, &standard, LEVEL, permutations, seed)?;
    let spots = hot_spots(&values, neighbours, LEVEL, permutations, seed)?;
    let caution = too_few_draws(&spots);
    let places = spots.into_iter().zip(company).enumerate();
    let places = places
        .map(|(i, (s, m))| Local {
            x_m: survey.places[i].0,
            y_m: survey.places[i].1,
            count: survey.counts[i],
            neighbours: neighbours.of(i).count(),
            gi_star: s.gi_star,
            p: plain(s.p),
            q: s.q,
            class: s.class,
            moran_local: m.value,
            moran_p: plain(m.p),
            moran_q: m.q,
            moran_class: m.quadrant,
            patchiness: even.and_then(|e| e.local[i]),
            patchiness_p: even.and_then(|e| plain(e.local_p[i])),
            patchiness_q: even.and_then(|e| e.local_q[i]),
        })
        .collect();
    Ok(Places { places, caution })
}

/// A lone spot is called when its p times the number of places is at most the level; drawn p-values may not
/// get that small.
fn too_few_draws(spots: &[Spot]) -> Option<Caution> {
    let tested = spots.iter().filter(|s| s.p.is_some()).count() as f64;
    let draws = spots.iter().find_map(|s| match s.p?.origin {
        Origin::Sampled(draws) => Some(draws),
        _ => None,
    })?;
    let needed = (2.0 * tested / LEVEL - 1.0).ceil();
    let text = format!(
        "{draws} permutations cannot show a lone hot or cold place among {tested}: it takes {needed}."
    );
    ((draws as f64) < needed).then(|| Caution::new("few-permutations", text))
}
