//! Random blocks and plots against R 4.2.2: `glmmTMB` 1.1.5 (Laplace) and `lme4` 1.1-31 with 25
//! quadrature points. Rows made by `make_reference.R` and `to_rows.py` beside this file.

use std::collections::BTreeMap;

use halfgreen_analysis::counts::{Factor, ModelMatrix};
use halfgreen_analysis::mixed::MarginalFit;
use halfgreen_analysis::mixed::block::RandomBlock;
use halfgreen_analysis::mixed::laplace::RandomEffects;
use halfgreen_analysis::numerics::cholesky;

use super::{Table, eelworms, expected};
use crate::closeness::close;

struct Case {
    counts: Vec<u64>,
    full: ModelMatrix,
    null: ModelMatrix,
    terms: Vec<Vec<usize>>,
}

fn case(name: &str) -> Case {
    if name == "cochran_eelworms_glmm" {
        let (after, before, treatment, block) = eelworms();
        let base = ModelMatrix::with_intercept(48).covariate("before", &before);
        return Case {
            counts: after,
            full: base.clone().factor(&treatment).build().unwrap(),
            null: base.build().unwrap(),
            terms: vec![block.codes],
        };
    }
    let table = Table::read("tests/reference/data/beall_webworms_plot.csv");
    let base = ModelMatrix::with_intercept(1300);
    let treatment = Factor::from_labels("treatment", &table.text("trt"), Some("T1"));
    let mut terms = vec![Factor::from_labels("block", &table.text("block"), None).codes];
    if name == "beall_webworms_plot_glmm" {
        terms.push(Factor::from_labels("plot", &table.text("plot"), None).codes);
    }
    Case {
        counts: table.counts("y"),
        full: base.clone().factor(&treatment).build().unwrap(),
        null: base.build().unwrap(),
        terms,
    }
}

type Rows = BTreeMap<(String, String), f64>;

/// Compares estimates, sigmas, k and log-likelihood; returns how many.
fn compare(
    rows: &Rows,
    name: &str,
    family: &str,
    matrix: &ModelMatrix,
    fit: &MarginalFit,
    relative: f64,
) -> usize {
    let mut compared = 0;
    for ((case, quantity), &want) in rows {
        let Some(rest) = quantity.strip_prefix(&format!("{family}.")) else {
            continue;
        };
        if case != name {
            continue;
        }
        let got = match rest {
            "logLik" => {
                // Never below the other's maximum by more than rounding.
                assert!(fit.log_likelihood > want - 1e-7, "{name} {quantity}");
                close(
                    &format!("{name} {quantity}"),
                    fit.log_likelihood,
                    want,
                    1e-8,
                );
                compared += 1;
                continue;
            }
            "theta" => 1.0 / fit.inverse_k,
            "sigma.block" => fit.sigma[0],
            "sigma.plot" => fit.sigma[1],
            _ => match rest.strip_prefix("estimate.") {
                Some(term) => fit.beta[matrix.terms().iter().position(|t| t == term).unwrap()],
                None => continue,
            },
        };
        // A coefficient near zero is compared on the scale of a tenth, not of itself.
        let scale = (0.1 / want.abs()).max(1.0);
        close(&format!("{name} {quantity}"), got, want, relative * scale);
        compared += 1;
    }
    compared
}

#[test]
fn laplace_fits_agree_with_other_software() {
    let rows = expected("mixed");
    for name in [
        "cochran_eelworms_glmm",
        "beall_webworms_glmm",
        "beall_webworms_plot_glmm",
    ] {
        let case = case(name);
        let offset = vec![0.0; case.counts.len()];
        for (family, poisson) in [("glmmTMB_poisson", true), ("glmmTMB_nbinom2", false)] {
            let run = |matrix: &ModelMatrix| {
                RandomEffects::new(&case.counts, &offset, matrix, &case.terms)
                    .unwrap()
                    .fit(None, None, poisson)
            };
            let full = run(&case.full);
            // The other search stops at about 1e-5 of a variance; with plots within blocks, where
            // the surface is flatter, ours ends 6e-8 higher than it does.
            let relative = if case.terms.len() > 1 { 1e-4 } else { 3e-5 };
            let compared = compare(&rows, name, family, &case.full, &full, relative);
            assert!(compared >= 5, "{name} {family}: {compared}");
            let null = run(&case.null);
            let key = (name.to_owned(), format!("{family}.LR_vs_no_treatment"));
            let ratio = 2.0 * (full.log_likelihood - null.log_likelihood);
            close(
                &format!("{name} {family} likelihood ratio"),
                ratio,
                rows[&key],
                1e-6,
            );
        }
    }
}

/// Square roots of the diagonal of the inverse information, for the coefficients.
fn standard_errors(fit: &MarginalFit) -> Vec<f64> {
    let all = fit.beta.len() + fit.sigma.len() + 1;
    let mut factor = fit.information.clone();
    cholesky::factor(&mut factor, all, 0.0).unwrap();
    let inverse = cholesky::inverse(&factor, all);
    (0..fit.beta.len())
        .map(|j| inverse[j * all + j].sqrt())
        .collect()
}

#[test]
fn laplace_standard_errors_agree_with_other_software() {
    let rows = expected("mixed");
    for name in [
        "cochran_eelworms_glmm",
        "beall_webworms_glmm",
        "beall_webworms_plot_glmm",
    ] {
        let case = case(name);
        let offset = vec![0.0; case.counts.len()];
        let fit = RandomEffects::new(&case.counts, &offset, &case.full, &case.terms)
            .unwrap()
            .fit(None, None, false);
        // The other search stops at about 1e-5 of a variance.
        for (term, got) in case.full.terms().iter().zip(standard_errors(&fit)) {
            let key = (name.to_owned(), format!("glmmTMB_nbinom2.se.{term}"));
            close(&format!("{name} se of {term}"), got, rows[&key], 2e-5);
        }
    }
}

#[test]
fn quadrature_agrees_with_other_software() {
    let rows = expected("mixed");
    for name in ["cochran_eelworms_glmm", "beall_webworms_glmm"] {
        let case = case(name);
        let offset = vec![0.0; case.counts.len()];
        let model =
            RandomBlock::<25>::new(&case.counts, &offset, &case.full, &case.terms[0]).unwrap();
        let fit = model.fit(None, None, true);
        let family = "lme4_glmer_poisson_nAGQ25";
        // The other search stops at about 1e-4 of a variance.
        assert!(
            compare(&rows, name, family, &case.full, &fit, 3e-4) >= 4,
            "{name}"
        );
    }
}

/// One point would be Laplace's approximation without its gradient.
#[test]
fn too_few_points_are_refused() {
    let case = case("cochran_eelworms_glmm");
    let offset = vec![0.0; case.counts.len()];
    fn taken<const N: usize>(case: &Case, offset: &[f64]) -> bool {
        RandomBlock::<N>::new(&case.counts, offset, &case.full, &case.terms[0]).is_ok()
    }
    let fewer = [
        taken::<0>(&case, &offset),
        taken::<1>(&case, &offset),
        taken::<2>(&case, &offset),
    ];
    assert_eq!(fewer, [false; 3]);
    assert!(taken::<3>(&case, &offset));
}

#[test]
fn points_settle() {
    let case = case("beall_webworms_glmm");
    let offset = vec![0.0; case.counts.len()];
    fn at<const N: usize>(case: &Case, offset: &[f64]) -> f64 {
        RandomBlock::<N>::new(&case.counts, offset, &case.full, &case.terms[0])
            .unwrap()
            .fit(None, None, false)
            .log_likelihood
    }
    let settled = at::<41>(&case, &offset);
    close("nine points", at::<9>(&case, &offset), settled, 1e-8);
    close("three points", at::<3>(&case, &offset), settled, 1e-5);
}
