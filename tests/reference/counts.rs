//! Poisson and negative binomial fits against R 4.2.2 (`glm`, and `glm.nb` of MASS 7.3-58.2).
//!
//! Rows made by `make_reference.R` and `to_rows.py` beside this file. Some are not compared where that software
//! runs away towards infinite k; `differences.md` explains them.

use halfgreen_analysis::counts::{
    Coefficient, Factor, Family, Fit, ModelMatrix, ModelMatrixBuilder, fit, likelihood_ratio,
};

use super::{Table, eelworms};
use crate::closeness::close;
use crate::closeness::rows::Rows;

/// Counts with the columns of the full model and of the one without treatment.
struct Case {
    counts: Vec<u64>,
    full: ModelMatrix,
    null: ModelMatrix,
}

fn factor(table: &Table, name: &str, column: &str, reference: Option<&str>) -> Factor {
    Factor::from_labels(name, &table.text(column), reference)
}

fn build(counts: Vec<u64>, base: ModelMatrixBuilder, treatment: &Factor) -> Case {
    Case {
        full: base.clone().factor(treatment).build().unwrap(),
        null: base.build().unwrap(),
        counts,
    }
}

fn case(name: &str) -> Case {
    match name {
        "insectsprays" => {
            let table = Table::read("data-examples/published/insect_sprays_beall1942.csv");
            let base = ModelMatrix::with_intercept(72);
            build(
                table.counts("count"),
                base,
                &factor(&table, "treatment", "spray", Some("A")),
            )
        }
        "cochran_wireworms" => {
            let table = Table::read("data-examples/published/cochran_wireworms.csv");
            let base = ModelMatrix::with_intercept(25)
                .factor(&factor(&table, "row", "row", Some("1")))
                .factor(&factor(&table, "column", "col", Some("1")));
            build(
                table.counts("worms"),
                base,
                &factor(&table, "treatment", "trt", Some("O")),
            )
        }
        "cochran_eelworms" => {
            let (after, before, treatment, block) = eelworms();
            let base = ModelMatrix::with_intercept(48)
                .factor(&block)
                .covariate("before", &before);
            build(after, base, &treatment)
        }
        "beall_webworms" => {
            let table = Table::read("tests/published/beall_webworms.csv");
            let base = ModelMatrix::with_intercept(1300).factor(&factor(
                &table,
                "block",
                "block",
                Some("B1"),
            ));
            build(
                table.counts("y"),
                base,
                &factor(&table, "treatment", "trt", Some("T1")),
            )
        }
        "bliss_borers_glm" => {
            let table = Table::read("tests/published/bliss_borers.csv");
            let found = table.counts("borers").into_iter().zip(table.text("treat"));
            let (counts, treatments): (Vec<u64>, Vec<&str>) = found
                .zip(table.counts("freq"))
                .flat_map(|(hill, times)| (0..times).map(move |_| hill))
                .unzip();
            let base = ModelMatrix::with_intercept(counts.len());
            let treatment = Factor::from_labels("treatment", &treatments, Some("T1"));
            build(counts, base, &treatment)
        }
        other => {
            let table = Table::read(&format!("tests/reference/data/{other}.csv"));
            let base = ModelMatrix::with_intercept(table.rows.len()).factor(&factor(
                &table,
                "block",
                "block",
                Some("1"),
            ));
            build(
                table.counts("y"),
                base,
                &factor(&table, "treatment", "trt", Some("C")),
            )
        }
    }
}

/// The coefficient that a row's name ends with.
fn coefficient<'a>(fit: &'a Fit, rest: &str, prefix: &str) -> Option<&'a Coefficient> {
    let term = rest.strip_prefix(prefix)?;
    fit.coefficients.iter().find(|c| c.term == term)
}

/// Our answer to a row that the full fit, or both fits, give.
fn ours(rest: &str, full: &Fit, null: &Fit) -> f64 {
    if let Some(c) = coefficient(full, rest, "estimate.") {
        return c.estimate;
    }
    if let Some(c) = coefficient(full, rest, "se.") {
        return c.se;
    }
    let ratio = likelihood_ratio(full, null);
    match rest {
        "logLik" => full.log_likelihood,
        "deviance" => full.deviance,
        "pearson_chi2" => full.pearson_chi2,
        "df_residual" => full.residual_df as f64,
        "theta" => full.k.unwrap().value,
        "se_theta" => full.k.unwrap().se,
        "LR_vs_no_treatment" | "LR_vs_no_treatment_corrected" => ratio.statistic,
        "LR_vs_no_treatment.p" | "LR_vs_no_treatment_corrected.p" => ratio.p,
        other => panic!("no reader for {other}"),
    }
}

/// Every row that is to be compared; the number of them by case and family is known.
#[test]
fn fits_agree_with_other_software() {
    let rows = Rows::read("counts");
    for (name, poisson, negbin) in [
        ("insectsprays", 18, 22),
        ("cochran_wireworms", 32, 31),
        ("cochran_eelworms", 32, 36),
        ("beall_webworms", 38, 42),
        ("bliss_borers_glm", 14, 18),
        ("all_zero_treatment", 18, 16),
        ("underdispersed_rcbd", 18, 0),
    ] {
        let case = case(name);
        let offset = vec![0.0; case.counts.len()];
        for (family, key, number) in [
            (Family::Poisson, "poisson", poisson),
            (Family::NegativeBinomial, "negbin", negbin),
        ] {
            let full = fit(&case.counts, &offset, &case.full, family).unwrap();
            let null = fit(&case.counts, &offset, &case.null, family).unwrap();
            let compared = rows.compared(name, key);
            for (rest, row) in &compared {
                let ours = ours(rest, &full, &null);
                if rest.split('.').next_back() == Some("p") {
                    row.meet_in_logs(ours);
                } else {
                    row.meet(ours);
                }
            }
            assert_eq!(compared.len(), number, "{name} {key}");
        }
    }
}

/// Where the other software stops at some finite value, ours is the defined limit.
#[test]
fn limits_are_reported_as_limits() {
    let worms = case("cochran_wireworms");
    let offset = vec![0.0; 25];
    let full = fit(
        &worms.counts,
        &offset,
        &worms.full,
        Family::NegativeBinomial,
    )
    .unwrap();
    assert!(full.k.is_none());
    close(
        "Poisson limit of the log-likelihood",
        full.log_likelihood,
        -48.561734,
        1e-8,
    );

    let zero = case("all_zero_treatment");
    let offset = vec![0.0; 12];
    let full = fit(&zero.counts, &offset, &zero.full, Family::Poisson).unwrap();
    let arm = full
        .coefficients
        .iter()
        .find(|c| c.term == "treatment[A]")
        .unwrap();
    assert_eq!((arm.estimate, arm.se), (f64::NEG_INFINITY, f64::INFINITY));
    let fitted = [&zero.full, &zero.null]
        .map(|m| fit(&zero.counts, &offset, m, Family::NegativeBinomial).unwrap());
    // Block means are the fit at any k; the largest log-likelihood over k alone, by a fine grid.
    close(
        "k without treatment",
        fitted[1].k.unwrap().value,
        0.389,
        1e-3,
    );
    let statistic = likelihood_ratio(&fitted[0], &fitted[1]).statistic;
    close("empty arm", statistic, 30.1936741, 1e-7);

    let calm = case("underdispersed_rcbd");
    let full = fit(&calm.counts, &offset, &calm.full, Family::NegativeBinomial).unwrap();
    let poisson = fit(&calm.counts, &offset, &calm.full, Family::Poisson).unwrap();
    assert!(full.k.is_none());
    assert_eq!(full.log_likelihood, poisson.log_likelihood);
}
