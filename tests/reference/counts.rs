//! Poisson and negative binomial fits against R 4.2.2 (`glm`, and `glm.nb` of MASS 7.3-58.2).
//!
//! Rows made by `make_reference.R` and `to_rows.py` beside this file. Left out, as `differences.md`
//! explains, are k and log-likelihood where that software runs away towards infinite k.

use std::collections::BTreeMap;

use halfgreen_analysis::counts::{
    Factor, Family, Fit, ModelMatrix, ModelMatrixBuilder, fit, likelihood_ratio,
};

use super::{Table, eelworms, expected};
use crate::closeness::close;

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
            let table = Table::read("tests/reference/data/beall_webworms_plot.csv");
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

type Rows = BTreeMap<(String, String), f64>;

/// Compares every row of a case's family and returns how many there were.
fn compare(rows: &Rows, name: &str, family: &str, fit: &Fit, skip: &[&str]) -> usize {
    let mut compared = 0;
    for ((case, quantity), &want) in rows {
        let Some(rest) = quantity.strip_prefix(&format!("{family}.")) else {
            continue;
        };
        if case != name || rest.starts_with("LR") || skip.contains(&rest) {
            continue;
        }
        let by_term = |prefix: &str| {
            let term = rest.strip_prefix(prefix)?;
            fit.coefficients.iter().find(|c| c.term == term)
        };
        let (got, tolerance) = if let Some(c) = by_term("estimate.") {
            (c.estimate, 1e-6)
        } else if let Some(c) = by_term("se.") {
            (c.se, 1e-6)
        } else {
            match rest {
                "logLik" => (fit.log_likelihood, 1e-8),
                "deviance" => (fit.deviance, 1e-6),
                "pearson_chi2" => (fit.pearson_chi2, 1e-6),
                "df_residual" => (fit.residual_df as f64, 0.0),
                // k to five digits: the reference search itself stops at about 1e-6.
                "theta" => (fit.k.unwrap().value, 1e-5),
                "se_theta" => (fit.k.unwrap().se, 1e-5),
                other => panic!("{name}: no reader for {other}"),
            }
        };
        close(&format!("{name} {quantity}"), got, want, tolerance);
        compared += 1;
    }
    compared
}

#[test]
fn fits_agree_with_other_software() {
    let rows = expected("counts");
    let runaway = ["logLik", "theta", "se_theta"];
    for (name, skip) in [
        ("insectsprays", &[][..]),
        ("cochran_wireworms", &runaway[..]),
        ("cochran_eelworms", &[]),
        ("beall_webworms", &[]),
    ] {
        let case = case(name);
        let offset = vec![0.0; case.counts.len()];
        for (family, key) in [
            (Family::Poisson, "poisson"),
            (Family::NegativeBinomial, "negbin"),
        ] {
            let full = fit(&case.counts, &offset, &case.full, family).unwrap();
            let skip = if key == "negbin" { skip } else { &[] };
            assert!(compare(&rows, name, key, &full, skip) >= 10, "{name} {key}");
            let null = fit(&case.counts, &offset, &case.null, family).unwrap();
            let corrected = (
                name.to_owned(),
                format!("{key}.LR_vs_no_treatment_corrected"),
            );
            let plain = (name.to_owned(), format!("{key}.LR_vs_no_treatment"));
            let want = rows.get(&corrected).unwrap_or_else(|| &rows[&plain]);
            let ratio = likelihood_ratio(&full, &null);
            close(
                &format!("{name} {key} likelihood ratio"),
                ratio.statistic,
                *want,
                1e-6,
            );
        }
    }
}

/// Where the other software stops at some finite value, ours is the defined limit.
#[test]
fn limits_are_reported_as_limits() {
    let rows = expected("counts");
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
    let null = fit(&zero.counts, &offset, &zero.null, Family::Poisson).unwrap();
    let arm = full
        .coefficients
        .iter()
        .find(|c| c.term == "treatment[A]")
        .unwrap();
    assert_eq!((arm.estimate, arm.se), (f64::NEG_INFINITY, f64::INFINITY));
    let key = (
        "all_zero_treatment".to_owned(),
        "poisson.LR_vs_no_treatment".to_owned(),
    );
    close(
        "empty arm",
        likelihood_ratio(&full, &null).statistic,
        rows[&key],
        1e-6,
    );

    let calm = case("underdispersed_rcbd");
    let full = fit(&calm.counts, &offset, &calm.full, Family::NegativeBinomial).unwrap();
    let poisson = fit(&calm.counts, &offset, &calm.full, Family::Poisson).unwrap();
    assert!(full.k.is_none());
    assert_eq!(full.log_likelihood, poisson.log_likelihood);
    assert!(compare(&rows, "underdispersed_rcbd", "poisson", &poisson, &[]) >= 10);
}
