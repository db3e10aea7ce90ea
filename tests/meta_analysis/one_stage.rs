//! Plots of many sites in one model, against other software (`make_counts_reference.R`), against two stages, and at its ends.

use halfgreen_analysis::counts::Factor;
use halfgreen_analysis::meta_analysis::{ManyTrials, PoolOptions, one_stage, pool};

use super::counts::reference;
use super::{known, numbers};
use crate::closeness::{close, close_above};

fn clubs() -> ManyTrials {
    let mut reader = csv::Reader::from_reader(include_str!("clubs.csv").as_bytes());
    let rows: Vec<csv::StringRecord> = reader.records().map(|r| r.unwrap()).collect();
    let column = |at: usize| {
        rows.iter()
            .map(|r| r[at].to_owned())
            .collect::<Vec<String>>()
    };
    ManyTrials {
        treatment: Factor::from_labels("treatment", &column(0), Some("bare")),
        within: vec![
            Factor::from_labels("green", &column(2), None),
            Factor::from_labels("block", &column(1), None),
        ],
        site: Factor::from_labels("club", &column(3), None),
        exposure: column(4).iter().map(|x| x.parse().unwrap()).collect(),
        counts: column(5).iter().map(|x| x.parse().unwrap()).collect(),
    }
}

/// Both take Laplace's approximation of the same likelihood; the other search ends, by its own account, where it can no longer
/// tell better from worse ("singular convergence"): 4e-5 of a standard error beside ours, at the same log-likelihood to 1e-7.
#[test]
fn one_model_of_all_plots_agrees_with_other_software() {
    let reference = reference();
    let want = &reference["one_stage"];
    let found = one_stage(&clubs(), &PoolOptions::default()).unwrap();
    let number = |key: &str| want[key].as_f64().unwrap();
    close(
        "log-likelihood",
        found.log_likelihood,
        number("log_likelihood"),
        1e-7,
    );
    close("k", found.k.unwrap(), number("k"), 1e-4);
    close("club", found.site_sd, number("club_sd"), 1e-4);
    close("green", found.within_sd[0], number("green_sd"), 1e-4);
    close("block", found.within_sd[1], number("block_sd"), 1e-4);
    close("tau2", found.tau2, 2.0 * number("cell_sd").powi(2), 1e-4);
    for (at, effect) in found.effects.iter().enumerate() {
        let (ours, theirs) = (effect.effect.unwrap(), numbers(&want["effect"])[at]);
        // Against the size of the standard errors.
        close_above(0.2, &effect.treatment, ours, theirs, 1e-4);
        close(
            &effect.treatment,
            effect.standard_error,
            numbers(&want["se"])[at],
            1e-4,
        );
    }
    assert_eq!(found.degrees_of_freedom, Some(9.0));
}

/// Large counts in plots that hardly scatter: each site's log ratio is then known, and the two stages part only in that tau^2 by
/// maximum likelihood divides by the number of sites, and the restricted one by one less.
#[test]
fn one_model_of_all_plots_and_two_stages_agree_where_counts_are_large() {
    let ratios: [f64; 8] = [-1.0, -0.6, -0.2, -0.9, -0.5, -0.8, -0.4, -0.7];
    let levels: [u64; 8] = [
        20_000, 40_000, 9_000, 30_000, 16_000, 24_000, 12_000, 60_000,
    ];
    let (mut counts, mut treatment, mut site, mut effects) = (vec![], vec![], vec![], vec![]);
    for (at, (ratio, level)) in ratios.iter().zip(levels).enumerate() {
        // A multiple of the level that is a whole number.
        let treated = (1_u32..100_000)
            .find(|&y| f64::ln(f64::from(y) / level as f64) >= *ratio)
            .unwrap();
        effects.push(known(f64::ln(f64::from(treated) / level as f64), 1e-4));
        for shift in [0, 50, 100, 150] {
            counts.extend([level - 75 + shift, u64::from(treated) - 75 + shift]);
            treatment.extend(["control", "method"]);
            site.extend([at.to_string(), at.to_string()]);
        }
    }
    let trials = ManyTrials {
        exposure: vec![1.0; counts.len()],
        counts,
        treatment: Factor::from_labels("treatment", &treatment, Some("control")),
        site: Factor::from_labels("site", &site, None),
        within: Vec::new(),
    };
    let options = PoolOptions::default();
    let (one, two) = (
        one_stage(&trials, &options).unwrap(),
        pool(&effects, &options).unwrap(),
    );
    close("effect", one.effects[0].effect.unwrap(), two.effect, 1e-3);
    close("tau2", one.tau2 * 8.0 / 7.0, two.tau2, 1e-2);
    let narrowed = (7.0_f64 / 8.0).sqrt();
    close(
        "standard error",
        one.effects[0].standard_error,
        two.standard_error * narrowed,
        1e-2,
    );
    assert_eq!(one.degrees_of_freedom, two.degrees_of_freedom);
}

#[test]
fn one_model_of_all_plots_has_an_answer_at_its_ends() {
    let options = PoolOptions::default();
    let whole = clubs();
    let cover = whole
        .treatment
        .levels
        .iter()
        .position(|l| l == "cover")
        .unwrap();
    let mut wiped = whole.clone();
    for (count, &code) in wiped.counts.iter_mut().zip(&whole.treatment.codes) {
        *count = if code == cover { 0 } else { *count };
    }
    let found = one_stage(&wiped, &options).unwrap();
    assert_eq!(found.effects[cover - 1].effect, Some(f64::NEG_INFINITY));
    let other = &found.effects[2 - cover];
    assert!(
        other.effect.unwrap().is_finite() && other.standard_error.is_finite(),
        "{other:?}"
    );
    let mut nothing = whole.clone();
    nothing.counts.fill(0);
    let found = one_stage(&nothing, &options).unwrap();
    assert!(
        found
            .effects
            .iter()
            .all(|e| e.effect.is_none() && e.p == 1.0)
    );
    let mut short = whole.clone();
    short.exposure.pop();
    assert_eq!(one_stage(&short, &options).unwrap_err().what, "plots");
    let mut bare = whole.clone();
    bare.exposure[3] = 0.0;
    assert_eq!(one_stage(&bare, &options).unwrap_err().what, "exposure");
    let mut huge = whole;
    huge.counts.iter_mut().for_each(|y| *y *= 100_000);
    assert!(
        one_stage(&huge, &options).unwrap().effects[0]
            .effect
            .unwrap()
            .is_finite()
    );
}
