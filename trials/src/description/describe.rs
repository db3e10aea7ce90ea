//! Describing a table of counts: every measure with one plain sentence of meaning.

use std::collections::BTreeMap;

use halfgreen_analysis::dispersion::{
    FrequencyTable, KEstimate, Pooling, VarianceMeanRelation, common_k, common_k_test, crowding,
    goodness, index_of_dispersion, iwao, k_of_bliss_and_owen, morisita, negative_binomial_k,
    taylor,
};
use halfgreen_analysis::results::Caution;

use super::findings::{Description, Fits, Likelihood, Patchiness, Place, PowerLaw};
use crate::Error;

/// Confidence level of the interval for k.
const LEVEL: f64 = 0.95;
/// Units expected at least in every class of a test of fit.
const LEAST_EXPECTED: f64 = 5.0;

/// One row of the table: a count, in how many units it was found, and the place it belongs to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// Animals in the unit.
    pub count: u64,
    /// Units with that count: 1 unless the table holds frequencies.
    pub frequency: u64,
    /// Values of the grouping columns; empty without grouping.
    pub group: Vec<String>,
}

/// Describes the rows of one table.
///
/// # Errors
/// When there is no counted unit, or the counts are too large to add up.
pub fn describe(rows: &[Row]) -> Result<Description, Error> {
    let all = FrequencyTable::of_frequencies(rows.iter().map(|r| (r.count, r.frequency)))?;
    let (names, places) = places(rows)?;
    let index = index_of_dispersion(&all);
    let crowded = crowding(&all);
    let pairs = morisita(&all);
    let fit = negative_binomial_k::by_likelihood(std::slice::from_ref(&all), LEVEL);
    let k = fit.as_ref().and_then(|f| f.k);
    let grouped = (!places.is_empty()).then_some(places.as_slice());
    let (power, patchy) = (grouped.and_then(taylor), grouped.and_then(iwao));
    let common = grouped.and_then(|g| common_k(g, LEVEL));
    let pooling = Pooling::Expected(LEAST_EXPECTED);
    let fits = Fits {
        poisson: goodness(&all, f64::INFINITY, 1, pooling),
        negative_binomial: k.and_then(|k| goodness(&all, k, 2, pooling)),
        poisson_likelihood: negative_binomial_k::poisson_ln_likelihood(&all)
            .map(|l| Likelihood::new(l, 1.0)),
        negative_binomial_likelihood: fit
            .as_ref()
            .filter(|f| f.k.is_some())
            .map(|f| Likelihood::new(f.ln_likelihood, 2.0)),
    };
    let mut cautions = sample_cautions(&all, fit.as_ref(), &fits);
    cautions.extend(place_cautions(&places, power.as_ref()));
    let mut description = Description {
        n: all.n,
        total: all.total,
        mean: all.mean,
        variance: all.variance,
        variance_to_mean: index.as_ref().map(|i| i.variance_to_mean),
        index_of_dispersion: index.as_ref().map(|i| i.value),
        index_df: index.as_ref().map(|i| i.df),
        index_p: index.as_ref().map(|i| i.p),
        index_p_regular: index.as_ref().map(|i| i.p_regular),
        k_moment: negative_binomial_k::by_moments(&all),
        k_moment_se: negative_binomial_k::by_moments_se(&all),
        k,
        k_se: fit.as_ref().and_then(|f| f.se),
        k_low: fit.as_ref().map(|f| f.interval.low),
        k_high: fit
            .as_ref()
            .map(|f| f.interval.high)
            .filter(|k| k.is_finite()),
        lloyd_crowding: crowded.as_ref().map(|c| c.crowding),
        lloyd_patchiness: crowded.as_ref().map(|c| c.patchiness),
        morisita: pairs.as_ref().map(|m| m.index),
        morisita_p: pairs.as_ref().map(|m| m.p),
        morisita_standardised: pairs.as_ref().map(|m| m.standardised),
        goodness: fits,
        taylor: power.as_ref().map(power_law),
        iwao: patchy.as_ref().map(patchiness),
        common_k: grouped.and_then(k_of_bliss_and_owen),
        common_k_likelihood: common.as_ref().and_then(|c| c.k),
        common_k_se: common.as_ref().and_then(|c| c.se),
        common_k_test: grouped.and_then(common_k_test),
        groups: names
            .into_iter()
            .zip(&places)
            .map(|(group, tally)| Place {
                group,
                n: tally.n,
                total: tally.total,
                mean: tally.mean,
                variance: tally.variance,
                k_moment: negative_binomial_k::by_moments(tally),
            })
            .collect(),
        per_m2: None,
        meanings: BTreeMap::new(),
        cautions,
    };
    description.meanings = super::meanings::of(&description).into_iter().collect();
    Ok(description)
}

fn power_law(r: &VarianceMeanRelation) -> PowerLaw {
    PowerLaw {
        a: 10_f64.powf(r.intercept),
        a_se: r
            .intercept_se
            .map(|se| 10_f64.powf(r.intercept) * std::f64::consts::LN_10 * se),
        log10_a: r.intercept,
        log10_a_se: r.intercept_se,
        b: r.slope,
        b_se: r.slope_se,
        r2: r.r2,
    }
}

fn patchiness(r: &VarianceMeanRelation) -> Patchiness {
    Patchiness {
        alpha: r.intercept,
        alpha_se: r.intercept_se,
        beta: r.slope,
        beta_se: r.slope_se,
        r2: r.r2,
    }
}

/// One tally for each group, in the order of the groups' names; none without grouping.
fn places(rows: &[Row]) -> Result<(Vec<Vec<String>>, Vec<FrequencyTable>), Error> {
    let mut groups: BTreeMap<&[String], Vec<(u64, u64)>> = BTreeMap::new();
    for row in rows
        .iter()
        .filter(|r| !r.group.is_empty() && r.frequency > 0)
    {
        groups
            .entry(&row.group)
            .or_default()
            .push((row.count, row.frequency));
    }
    let mut names = Vec::with_capacity(groups.len());
    let mut tallies = Vec::with_capacity(groups.len());
    for (name, pairs) in groups {
        names.push(name.to_vec());
        tallies.push(FrequencyTable::of_frequencies(pairs)?);
    }
    Ok((names, tallies))
}

/// Why values of one sample are missing or weak.
fn sample_cautions(all: &FrequencyTable, fit: Option<&KEstimate>, fits: &Fits) -> Vec<Caution> {
    let mut cautions = Vec::new();
    if all.total == 0 {
        cautions.push(Caution::new(
            "all-zero",
            "Nothing was found in any unit: clumping cannot be measured.",
        ));
    }
    if all.n == 1 {
        cautions.push(Caution::new(
            "one-unit",
            "A single count has no variance: count more units.",
        ));
    }
    cautions.extend(fit.into_iter().flat_map(|f| f.cautions.iter().cloned()));
    if [&fits.poisson, &fits.negative_binomial]
        .into_iter()
        .flatten()
        .any(|g| g.p.is_none())
    {
        cautions.push(Caution::new(
            "too-few-classes",
            "Too few units to test which law fits: each class of counts needs five expected units.",
        ));
    }
    cautions
}

/// Why values that compare places are missing or weak.
fn place_cautions(places: &[FrequencyTable], power: Option<&VarianceMeanRelation>) -> Vec<Caution> {
    let caution = match places.len() {
        0 => Caution::new(
            "no-groups",
            "Taylor's law, Iwao's regression and a common k compare places: name their column with --group.",
        ),
        1 => Caution::new(
            "one-group",
            "There is one group only: Taylor's law, Iwao's regression and a common k compare several.",
        ),
        _ => Caution::new(
            "groups-pooled",
            "The figures for all counts together take differences between groups for clumping; the common k does not.",
        ),
    };
    let mut cautions = vec![caution];
    if places.len() > 1 && power.is_none() {
        cautions.push(Caution::new(
            "no-relation",
            "Fewer than two groups with different means have counts that vary: no relation of variance to mean can be drawn.",
        ));
    }
    cautions.extend(power.into_iter().flat_map(|r| r.cautions.iter().cloned()));
    cautions
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(count: u64, frequency: u64, group: &str) -> Row {
        let group = if group.is_empty() {
            Vec::new()
        } else {
            vec![group.to_owned()]
        };
        Row {
            count,
            frequency,
            group,
        }
    }

    /// Red mites on apple leaves (Bliss & Fisher 1953, Biometrics 9, 176-200, table 1).
    #[test]
    fn frequencies_and_single_counts_agree() {
        let frequencies = [70, 38, 17, 10, 9, 3, 2, 1];
        let table: Vec<Row> = (0..).zip(frequencies).map(|(x, f)| row(x, f, "")).collect();
        let singly: Vec<Row> = (0..)
            .zip(frequencies)
            .flat_map(|(x, f)| (0..f).map(move |_| row(x, 1, "")))
            .collect();
        let described = describe(&table).unwrap();
        assert_eq!(described, describe(&singly).unwrap());
        assert!((described.k.unwrap() - 1.02459).abs() < 1e-5);
        assert!((described.index_of_dispersion.unwrap() - 295.44186).abs() < 1e-5);
        assert_eq!(described.common_k, None);
        assert!(described.meanings.contains_key("k"));
    }

    #[test]
    fn nothing_found_is_described_with_reasons() {
        let described = describe(&[row(0, 12, "a"), row(0, 12, "b")]).unwrap();
        assert_eq!(
            (described.mean, described.k, described.index_p),
            (0.0, None, None)
        );
        assert!(described.cautions.iter().any(|c| c.code == "all-zero"));
        assert_eq!(described.groups.len(), 2);
        assert!(describe(&[]).is_err());
    }
}
