//! Random blocks and plots against R 4.2.2: `glmmTMB` 1.1.5 (Laplace) and `lme4` 1.1-31 with 25
//! quadrature points. Rows made by `make_reference.R` and `to_rows.py` beside this file.

use halfgreen_analysis::counts::{Factor, ModelMatrix};
use halfgreen_analysis::mixed::MarginalFit;
use halfgreen_analysis::mixed::block::RandomBlock;
use halfgreen_analysis::mixed::laplace::RandomEffects;
use halfgreen_analysis::numerics::cholesky::Cholesky;
use ndarray::Array2;

use super::{Table, eelworms};
use crate::closeness::close;
use crate::closeness::rows::{Row, Rows};

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
    let table = Table::read("tests/published/beall_webworms.csv");
    let base = ModelMatrix::with_intercept(1300);
    let treatment = Factor::from_labels("treatment", &table.text("trt"), Some("T1"));
    let mut terms = vec![Factor::from_labels("block", &table.text("block"), None).codes];
    if name == "beall_webworms_plot_glmm" {
        // A plot is a treatment's place in a block.
        let places = table.text("block").into_iter().zip(table.text("trt"));
        let plots: Vec<String> = places.map(|(b, t)| format!("{b} {t}")).collect();
        terms.push(Factor::from_labels("plot", &plots, None).codes);
    }
    Case {
        counts: table.counts("y"),
        full: base.clone().factor(&treatment).build().unwrap(),
        null: base.build().unwrap(),
        terms,
    }
}

/// A coefficient near zero is compared on the scale of a tenth, not of itself.
const TENTH: f64 = 0.1;

/// Square roots of the diagonal of the inverse information, for the coefficients. A Poisson fit has no information on k,
/// the last of its parameters.
fn standard_errors(fit: &MarginalFit) -> Vec<f64> {
    let told = fit.beta.len() + fit.sigma.len() + 1;
    let all = told - usize::from(fit.inverse_k == 0.0);
    let known = Array2::from_shape_fn((all, all), |at| fit.information[at]);
    let factor = Cholesky::new(known, 0.0).unwrap();
    let variances = factor.inverse().into_diag();
    variances
        .iter()
        .take(fit.beta.len())
        .map(|v| v.sqrt())
        .collect()
}

/// Compares every row of a case and family with a full fit and one without treatment.
fn compare(case: &Case, rows: &[(&str, &Row)], full: &MarginalFit, null: &MarginalFit) {
    let place = |term: &str| case.full.terms().iter().position(|t| t == term).unwrap();
    for (rest, row) in rows {
        if let Some(term) = rest.strip_prefix("estimate.") {
            row.meet_above(TENTH, full.beta[place(term)]);
        } else if let Some(term) = rest.strip_prefix("se.") {
            row.meet(standard_errors(full)[place(term)]);
        } else {
            match *rest {
                "logLik" => {
                    // Never below the other's maximum by more than rounding.
                    assert!(full.log_likelihood > row.value - 1e-7, "{row:?}");
                    row.meet(full.log_likelihood);
                }
                "theta" => row.meet_above(TENTH, 1.0 / full.inverse_k),
                "sigma.block" => row.meet_above(TENTH, full.sigma[0]),
                "sigma.plot" => row.meet_above(TENTH, full.sigma[1]),
                "LR_vs_no_treatment" => {
                    row.meet(2.0 * (full.log_likelihood - null.log_likelihood));
                }
                other => panic!("no reader for {other}"),
            }
        }
    }
}

#[test]
fn laplace_fits_agree_with_other_software() {
    let rows = Rows::read("mixed");
    for (name, poisson, negbin) in [
        ("cochran_eelworms_glmm", 23, 24),
        ("beall_webworms_glmm", 11, 12),
        ("beall_webworms_plot_glmm", 12, 13),
    ] {
        let case = case(name);
        let offset = vec![0.0; case.counts.len()];
        for (family, poisson, number) in [
            ("glmmTMB_poisson", true, poisson),
            ("glmmTMB_nbinom2", false, negbin),
        ] {
            let run = |matrix: &ModelMatrix| {
                RandomEffects::new(&case.counts, &offset, matrix, &case.terms)
                    .unwrap()
                    .fit(None, None, poisson)
            };
            let compared = rows.compared(name, family);
            compare(&case, &compared, &run(&case.full), &run(&case.null));
            assert_eq!(compared.len(), number, "{name} {family}");
        }
    }
}

#[test]
fn quadrature_agrees_with_other_software() {
    let rows = Rows::read("mixed");
    for (name, number) in [("cochran_eelworms_glmm", 11), ("beall_webworms_glmm", 5)] {
        let case = case(name);
        let offset = vec![0.0; case.counts.len()];
        let run = |matrix: &ModelMatrix| {
            RandomBlock::<25>::new(&case.counts, &offset, matrix, &case.terms[0])
                .unwrap()
                .fit(None, None, true)
        };
        let compared = rows.compared(name, "lme4_glmer_poisson_nAGQ25");
        compare(&case, &compared, &run(&case.full), &run(&case.null));
        assert_eq!(compared.len(), number, "{name}");
    }
}

/// One point would be Laplace's approximation without its gradient.
#[test]
fn too_few_points_are_refused() {
    fn taken<const N: usize>(case: &Case, offset: &[f64]) -> bool {
        RandomBlock::<N>::new(&case.counts, offset, &case.full, &case.terms[0]).is_ok()
    }
    let case = case("cochran_eelworms_glmm");
    let offset = vec![0.0; case.counts.len()];
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
    fn at<const N: usize>(case: &Case, offset: &[f64]) -> f64 {
        RandomBlock::<N>::new(&case.counts, offset, &case.full, &case.terms[0])
            .unwrap()
            .fit(None, None, false)
            .log_likelihood
    }
    let case = case("beall_webworms_glmm");
    let offset = vec![0.0; case.counts.len()];
    let settled = at::<41>(&case, &offset);
    close("nine points", at::<9>(&case, &offset), settled, 1e-8);
    close("three points", at::<3>(&case, &offset), settled, 1e-5);
}
