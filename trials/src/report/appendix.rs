//! For the statistician: method, tests, model, efficacy, record, counts.

use halfgreen_analysis::comparison::{Better, PrimaryTest};

use super::document::{Role, Section};
use super::main_part::papers_told;
use super::page::Column::{Figures, Words};
use super::{Findings, by_group, factors, ground, methods_text, plot_table, secondary};
use crate::judgement::{Formula, NO_EFFICACY};
use crate::text::rounding::{NONE, figure, maybe, maybe_chance};
use crate::text::spelling::list;

/// The appendix.
pub(super) fn appendix(findings: &Findings<'_>) -> Section {
    let sections = [
        Some(secondary::doubts(findings)),
        Some(tests(findings)),
        by_group::spread(findings),
        secondary::tests_over_time(findings),
        Some(model(findings)),
        Some(efficacy(findings)),
        ground::figures(findings),
        Some(plot_table::plots(findings)),
        Some(plot_table::cores(findings)),
        Some(methods_text::section(findings)),
    ];
    Section::new("appendix", "Appendix: for the statistician")
        .of_role(Role::Appendix)
        .within(sections.into_iter().flatten())
        .within(papers_told(&findings.papers()))
}

/// Both tests of every method.
fn tests(findings: &Findings<'_>) -> Section {
    let rows: Vec<Vec<String>> = findings
        .judgement
        .contrasts
        .iter()
        .map(|c| {
            vec![
                findings.name(&c.treatment).to_owned(),
                maybe(c.ratio),
                maybe_chance(c.p_randomisation),
                maybe_chance(c.p_randomisation_adjusted),
                maybe_chance(Some(c.p_model)),
                maybe_chance(Some(c.p_model_adjusted)),
            ]
        })
        .collect();
    let names = [
        Words("method"),
        Figures("ratio"),
        Figures("p, randomisation test"),
        Figures("adjusted"),
        Figures("p, model test"),
        Figures("adjusted"),
    ];
    let caption = if findings.judgement.factors.is_empty() {
        "Both tests, two-sided"
    } else {
        "Each treatment against the control, two-sided; description, the verdicts are on the factors"
    };
    let primary = match findings.judgement.primary_test {
        PrimaryTest::Randomisation => {
            "The primary test is the randomisation test: the verdict follows its adjusted p."
        }
        PrimaryTest::Model => {
            "The primary test is the model test: the verdict follows its adjusted p."
        }
    };
    factors::tests(findings, Section::new("tests", "Tests"))
        .table(caption, &names, rows)
        .paragraph(primary)
}

/// Overdispersion, and the plain maximum-likelihood fits for others to check.
fn model(findings: &Findings<'_>) -> Section {
    let found = findings.judgement;
    let k = |k: Option<f64>| k.map_or("infinite (no overdispersion)".to_owned(), figure);
    let spread: Vec<String> = found
        .dispersion
        .block_sd
        .iter()
        .map(|s| figure(*s))
        .collect();
    let rows = vec![
        vec![
            "k of a plot's count (model of the verdict)".to_owned(),
            k(found.dispersion.k),
        ],
        vec![
            "standard deviation of the random block effect (log scale)".to_owned(),
            if spread.is_empty() {
                NONE.to_owned()
            } else {
                spread.join(", ")
            },
        ],
        vec![
            "Pearson chi-squared over its degrees of freedom (Poisson fit)".to_owned(),
            maybe(found.dispersion.poisson_pearson_per_df),
        ],
        vec![
            "k by maximum likelihood, blocks as fixed effects (standard error)".to_owned(),
            format!("{} ({})", k(found.model.k), maybe(found.model.k_se)),
        ],
        vec![
            "log-likelihood, negative binomial / Poisson".to_owned(),
            format!(
                "{:.3} / {:.3}",
                found.model.log_likelihood, found.poisson.log_likelihood
            ),
        ],
        vec![
            "deviance, negative binomial / Poisson".to_owned(),
            format!(
                "{:.3} / {:.3}",
                found.model.deviance, found.poisson.deviance
            ),
        ],
        vec![
            "residual degrees of freedom".to_owned(),
            found.model.residual_df.to_string(),
        ],
    ];
    let terms: Vec<Vec<String>> = found
        .model
        .coefficients
        .iter()
        .map(|c| vec![in_words(&c.term), maybe(c.estimate), maybe(c.se)])
        .collect();
    Section::new("model", "Model")
        .table(
            "Overdispersion and fit",
            &[Words("quantity"), Figures("value")],
            rows,
        )
        .table(
            "Coefficients of the negative binomial regression, log scale",
            &[
                Words("term"),
                Figures("estimate"),
                Figures("standard error"),
            ],
            terms,
        )
}

/// A term of the model as people write it: the factor, then its level.
fn in_words(term: &str) -> String {
    let Some((factor, level)) = term.split_once('[') else {
        return term.trim_matches(['(', ')']).to_owned();
    };
    format!("{factor} {}", level.strip_suffix(']').unwrap_or(level))
}

/// What to beware of in the formulas' figures: each caution once, with the formula and the methods that it is of.
fn doubts(findings: &Findings<'_>, formulas: &[Formula<'_>]) -> Vec<String> {
    let mut met: Vec<(&str, &str, Vec<String>)> = Vec::new();
    for (name, row) in formulas
        .iter()
        .flat_map(|f| f.rows.iter().map(|r| (f.name, r)))
    {
        let method = findings.name(&row.treatment);
        for caution in &row.cautions {
            match met.iter_mut().find(|m| m.0 == name && m.1 == caution) {
                Some(same) => same.2.push(method.to_owned()),
                None => met.push((name, caution, vec![method.to_owned()])),
            }
        }
    }
    met.into_iter()
        .map(|(name, caution, methods)| format!("{name}, {}: {caution}", list(&methods)))
        .collect()
}

/// The trade's formulas, each with the case in which it must not be used.
fn efficacy(findings: &Findings<'_>) -> Section {
    let formulas: Vec<Formula<'_>> = findings.judgement.efficacy.formulas().collect();
    let rows: Vec<Vec<String>> = formulas
        .iter()
        .flat_map(|f| f.rows.iter().map(|r| (f.name, r)))
        .map(|(name, r)| {
            vec![
                name.to_owned(),
                findings.name(&r.treatment).to_owned(),
                r.figure_in_words(),
                r.range_in_words(),
            ]
        })
        .collect();
    let cautions = doubts(findings, &formulas);
    let uses: Vec<Vec<String>> = formulas
        .iter()
        .map(|f| vec![f.name.to_owned(), f.not_where.to_owned()])
        .collect();
    let names = [
        Words("formula"),
        Words("method"),
        Figures("efficacy"),
        Figures("interval"),
    ];
    let section = Section::new("efficacy", "Efficacy by the trade's formulas");
    if findings.judgement.better == Better::More {
        return section.paragraph(NO_EFFICACY);
    }
    section
        .table("Per cent of the control", &names, rows)
        .list(cautions)
        .table(
            "When a formula must not be used",
            &[Words("formula"), Words("not where")],
            uses,
        )
        .paragraph("The verdict does not rest on these.")
}
