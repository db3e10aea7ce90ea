//! What each measure of a description means, in one plain sentence.

use super::findings::Description;
use crate::text::rounding::p_value;

/// Level below which a departure from chance is spoken of.
const ALPHA: f64 = 0.05;

/// A sentence for each measure that exists, by its key.
pub(super) fn of(d: &Description) -> Vec<(&'static str, String)> {
    let mut all = vec![(
        "mean",
        if d.n == 1 {
            format!("One unit was counted, with {} in it.", d.total)
        } else {
            format!(
                "On average {:.2} in each of the {} units counted, {} in all.",
                d.mean, d.n, d.total
            )
        },
    )];
    all.extend(measures(d));
    all.extend(fits(d));
    all.extend(relations(d));
    all
}

fn measures(d: &Description) -> Vec<(&'static str, String)> {
    let mut all = Vec::new();
    if let (Some(p), Some(ratio)) = (d.index_p, d.variance_to_mean) {
        let tail = if p <= ALPHA {
            "more than chance alone would give: they sit in clumps"
        } else if d.index_p_regular.is_some_and(|p| p <= ALPHA) {
            "less than chance would give: they are spread evenly, or the counts were evened out"
        } else {
            "no more than chance could give: no clumping can be shown"
        };
        all.push((
            "index_of_dispersion",
            format!("The counts vary {ratio:.2} times as much as unclumped ones would, {tail}."),
        ));
    }
    if let Some(k) = d.k {
        let upper = d.k_high.map_or("without an upper limit".to_owned(), |k| {
            format!("up to {k:.2}")
        });
        all.push((
            "k",
            format!(
                "The clumping number k is about {k:.2} (from {:.2} {upper}); the smaller k, the stronger the clumps.",
                d.k_low.unwrap_or(0.0)
            ),
        ));
    }
    if let (Some(crowding), Some(patchiness)) = (d.lloyd_crowding, d.lloyd_patchiness) {
        all.push((
            "lloyd_crowding",
            format!(
                "The average animal shares its unit with {crowding:.1} others, {patchiness:.2} times as many as if they lay at random."
            ),
        ));
    }
    if let Some(index) = d.morisita {
        all.push((
            "morisita",
            format!(
                "Two animals picked at random share a unit {index:.2} times as often as by chance."
            ),
        ));
    }
    all
}

fn fits(d: &Description) -> Vec<(&'static str, String)> {
    let verdict = |p: f64| {
        if p <= ALPHA {
            "does not describe the counts"
        } else {
            "describes the counts well enough"
        }
    };
    [
        (
            "goodness.poisson",
            "Chance alone (Poisson)",
            &d.goodness.poisson,
        ),
        (
            "goodness.negative_binomial",
            "The clumped law (negative binomial)",
            &d.goodness.negative_binomial,
        ),
    ]
    .into_iter()
    .filter_map(|(key, law, fit)| {
        let p = fit.as_ref()?.p?;
        Some((key, format!("{law} {} ({}).", verdict(p), p_value(p))))
    })
    .collect()
}

fn relations(d: &Description) -> Vec<(&'static str, String)> {
    let mut all = Vec::new();
    if let Some(power) = &d.taylor {
        all.push((
            "taylor",
            format!(
                "Where the mean doubles, the variance grows {:.1}-fold (2-fold would be chance).",
                2_f64.powf(power.b)
            ),
        ));
    }
    if let Some(line) = &d.iwao {
        all.push((
            "iwao",
            format!(
                "Each further animal in the mean brings {:.2} more neighbours (1 would be chance).",
                line.beta
            ),
        ));
    }
    if let Some(k) = d.common_k {
        all.push((
            "common_k",
            format!("One clumping number for all groups together would be about {k:.2}."),
        ));
    }
    all
}
