//! Counts with places -> clusters, told as numbers and as sentences.

use halfgreen_analysis::random::Generator;
use halfgreen_analysis::results::Caution;
use halfgreen_analysis::spatial::Place;
use halfgreen_analysis::spatial::autocorrelation::{autocorrelation, correlogram};
use halfgreen_analysis::spatial::map_association::map_association;
use halfgreen_analysis::spatial::regularity::{FURTHER, Regularity, regularity_up_to};
use halfgreen_analysis::spatial::residuals::moran_of_residuals;
use halfgreen_analysis::spatial::scan::scan;

use super::findings::{
    Association, Cluster, DistanceStep, Hotspots, Neighbours, RegularityRow, Residuals, plain,
};
use super::local::local;
use super::meaning::meaning;
use super::survey::Survey;
use super::weights::Weights;
use crate::Error;
use crate::ranges::request::{HOTSPOTS_PLACES, HOTSPOTS_WORK};

/// Places beyond which moving counts about is left out.
const MOVABLE: usize = 1000;
/// Arrangements times squared places that are moved about, further ones among them: little more than a second of one processor. From 400
/// places on there are then fewer than 999 arrangements, of 1000 places 160.
const MOVES: usize = 160_000_000;
/// Places beyond which the correlogram and the scan are left out: they hold every pair of places.
const PAIRABLE: usize = 2500;
/// Classes of the correlogram.
const CLASSES: usize = 8;

/// Finds clusters among the counts per core of a survey.
///
/// Each permutation test draws from a seed of its own, derived from `seed`, so that no two share their
/// arrangements.
///
/// # Errors
/// When places, counts and the second map differ in length, a number is not finite, or the weights do
/// not fit the places.
pub fn hotspots(
    survey: &Survey,
    weights: Weights,
    permutations: usize,
    seed: u64,
) -> Result<Hotspots, Error> {
    let (places, values) = (&survey.places, survey.values());
    affordable(places.len(), permutations)?;
    let seed_of = |test: u64| Generator::new(seed, u64::MAX - test).bits();
    let neighbours = weights.neighbours(places)?;
    let standard = neighbours.clone().row_standardised();
    let global = autocorrelation(&values, &standard, permutations, seed_of(0))?;
    let mut cautions = global.cautions;
    let even = evened(places, &values, (permutations, seed_of(1)), &mut cautions)?;
    if places.len() > PAIRABLE {
        let text = format!(
            "The correlogram and the scan are worked out for up to {PAIRABLE} places; {} are too many.",
            places.len()
        );
        cautions.push(Caution::new("too-many-pairs", text));
    }
    if let Some(even) = &even {
        cautions.extend(even.cautions.iter().cloned());
    }
    let local = local(survey, &neighbours, even.as_ref(), permutations, seed_of(2))?;
    cautions.extend(local.caution);
    let association = survey
        .with
        .as_ref()
        .map(|map| {
            let a = map_association(places, &values, &map.values)?;
            Ok::<_, Error>(Association {
                name: map.name.clone(),
                r: a.r,
                effective_sample_size: a.effective_sample_size,
                p: a.p,
            })
        })
        .transpose()?;
    let residuals = residuals(survey, &values, &standard, permutations, seed_of(4))?;
    if survey.treatments.is_some() {
        let text = "Treatments make hot and cold plots by themselves: judge the ground by the residuals, \
                    not by the map of counts.";
        cautions.push(Caution::new("treated-ground", text));
    }
    let mut found = Hotspots {
        weights: Neighbours {
            rule: weights.to_string(),
            links: local.places.iter().map(|l| l.neighbours).sum(),
            islands: neighbours.islands().len(),
        },
        moran: global.moran.into(),
        geary: global.geary.into(),
        local: local.places,
        regularity: regularity_row(even.as_ref()),
        scan: clusters(survey, permutations, seed_of(3))?,
        association,
        correlogram: steps(survey, &values, permutations, seed_of(5))?,
        residuals,
        permutations,
        meaning: Vec::new(),
        cautions,
    };
    found.meaning = meaning(&found);
    absent(&mut found);
    Ok(found)
}

/// Distance to regularity, where there is time for it, and what was left out.
fn evened(
    places: &[Place],
    values: &[f64],
    (permutations, seed): (usize, u64),
    cautions: &mut Vec<Caution>,
) -> Result<Option<Regularity>, Error> {
    if places.len() > MOVABLE {
        let text = format!(
            "Distance to regularity is worked out for up to {MOVABLE} places; {} are too many.",
            places.len()
        );
        cautions.push(Caution::new("too-many-places", text));
        return Ok(None);
    }
    let most = MOVES / (places.len() * places.len()).max(1);
    let drawn = permutations.min(most);
    if drawn < permutations {
        let text = format!(
            "Distance to regularity is tested with {drawn} arrangements: of {} places more would take too long.",
            places.len()
        );
        cautions.push(Caution::new("fewer-arrangements", text));
    }
    let further = most.min(FURTHER * drawn);
    Ok(Some(regularity_up_to(
        places,
        values,
        (drawn, further),
        seed,
    )?))
}

/// Refuses more places than a survey has, and so many arrangements of many places that they would take minutes.
fn affordable(places: usize, permutations: usize) -> Result<(), Error> {
    if !HOTSPOTS_PLACES.holds_whole(places.max(1) as u64) {
        let found = format!("there are {places}");
        return Err(HOTSPOTS_PLACES.refuse(
            "places",
            &found,
            "Look at a part of the ground at a time.",
        ));
    }
    let pairs = places.min(PAIRABLE).pow(2);
    let work = pairs * permutations + 100 * places * permutations;
    if HOTSPOTS_WORK.holds_whole(work as u64) {
        return Ok(());
    }
    let most = HOTSPOTS_WORK.end() / (pairs + 100 * places) as f64;
    let what = format!(
        "{permutations} arrangements of {places} places are too many: {}",
        HOTSPOTS_WORK.reason
    );
    Err(Error::in_field(
        "permutations",
        what,
        format!("Give {most:.0} at most."),
    ))
}

/// Says which values do not exist, where nothing else has said why.
fn absent(found: &mut Hotspots) {
    if found.permutations == 0 {
        let text = "No permutations were asked for: permutation p-values do not exist.";
        found.cautions.push(Caution::new("no-permutations", text));
    }
    if found.moran.i.is_some() && found.moran.z.is_none() {
        let text = "Too few places, or weights that no arrangement can change: z does not exist.";
        found.cautions.push(Caution::new("no-variance", text));
    }
    let blind = found.local.iter().filter(|l| l.p.is_none()).count();
    if blind > 0 && found.moran.i.is_some() {
        let text =
            format!("{blind} places have no local p: nobody, or everybody, is their neighbour.");
        found.cautions.push(Caution::new("no-local-p", text));
    }
    if found.association.as_ref().is_some_and(|a| a.p.is_none()) {
        let text = "The two maps are flat, or worth too few independent places, for a test.";
        found
            .cautions
            .push(Caution::new("no-association-test", text));
    }
}

fn regularity_row(found: Option<&Regularity>) -> RegularityRow {
    RegularityRow {
        distance: found.map(|e| e.distance),
        index: found.and_then(|e| e.index),
        p: found.and_then(|e| plain(e.p)),
        patch_index: found.and_then(|e| e.patch_index),
        patch_p: found.and_then(|e| plain(e.patch_p)),
        gap_index: found.and_then(|e| e.gap_index),
        gap_p: found.and_then(|e| plain(e.gap_p)),
        p_se: found.and_then(|e| e.p?.monte_carlo_se()),
        patch_p_se: found.and_then(|e| e.patch_p?.monte_carlo_se()),
        gap_p_se: found.and_then(|e| e.gap_p?.monte_carlo_se()),
        draws: found.map(|e| e.draws),
    }
}

fn clusters(survey: &Survey, permutations: usize, seed: u64) -> Result<Vec<Cluster>, Error> {
    let (places, counts) = (&survey.places, &survey.counts);
    if places.len() > PAIRABLE {
        return Ok(Vec::new());
    }
    let counts: Vec<f64> = counts.iter().map(|&c| f64::from(c)).collect();
    let found = scan(places, &counts, &survey.cores, permutations, seed)?;
    let cluster = |w: halfgreen_analysis::spatial::scan::Window| Cluster {
        x_m: places[w.centre].0,
        y_m: places[w.centre].1,
        radius_m: w.radius_m,
        places: w.members.len(),
        members: w.members,
        inside: w.inside,
        expected: w.expected,
        llr: w.llr,
        p: plain(w.p),
    };
    Ok(found.into_iter().map(cluster).collect())
}

fn steps(
    survey: &Survey,
    values: &[f64],
    permutations: usize,
    seed: u64,
) -> Result<Vec<DistanceStep>, Error> {
    if survey.places.len() > PAIRABLE {
        return Ok(Vec::new());
    }
    let found = correlogram(&survey.places, values, CLASSES, permutations, seed)?;
    Ok(found
        .into_iter()
        .map(|c| DistanceStep {
            low_m: c.low_m,
            high_m: c.high_m,
            pairs: c.pairs,
            i: c.moran.value,
            p: plain(c.moran.p_permutation),
        })
        .collect())
}

/// Residuals relative to their treatment's mean: clumped counts spread about in proportion to it.
fn residuals(
    survey: &Survey,
    values: &[f64],
    neighbours: &halfgreen_analysis::spatial::SpatialWeights,
    permutations: usize,
    seed: u64,
) -> Result<Option<Residuals>, Error> {
    let Some(treatments) = survey.treatments.as_deref().filter(|_| permutations > 0) else {
        return Ok(None);
    };
    let mean = |code: usize| {
        let own = || (0..values.len()).filter(|&i| treatments[i] == code);
        own().map(|i| values[i]).sum::<f64>() / own().count() as f64
    };
    let relative: Vec<f64> = (0..values.len())
        .map(|i| match mean(treatments[i]) {
            0.0 => 0.0,
            m => values[i] / m - 1.0,
        })
        .collect();
    let found = moran_of_residuals(&relative, treatments, neighbours, permutations, seed)?;
    Ok(Some(Residuals {
        i: found.as_ref().map(|f| f.0),
        p: found.map(|f| f.1.value),
    }))
}
