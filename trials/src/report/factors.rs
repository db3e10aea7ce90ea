//! Crossed factors: each over the levels of the others, and whether one depends on another.

use super::Findings;
use super::document::Section;
use super::main_part::{capital, sentence};
use super::page::Column::{Figures, Words};
use crate::judgement::{FactorRow, headline};
use crate::text::rounding::{NONE, chance, change, figure, maybe, maybe_chance, span};

/// The section of the main part; nothing where no factors were crossed.
pub(super) fn section(findings: &Findings<'_>) -> Option<Section> {
    let found = findings.judgement;
    if found.factors.is_empty() {
        return None;
    }
    let rows: Vec<Vec<String>> = found.factors.iter().map(told).collect();
    let heads = [
        Words("factor"),
        Words("level"),
        Words("against"),
        Figures("as counted"),
        Figures("estimate"),
        Figures("likely between"),
        Words("verdict"),
    ];
    let section = Section::new("factors", "Each factor, over the others")
        .paragraph(
            "Every plot speaks for every factor: all plots with a level stand against all plots without, whatever else was done \
             to them. The verdicts are on these; each treatment against the control stands below for those who want to see it, \
             without a verdict.",
        )
        .table("Factors", &heads, rows)
        .paragraphs(found.interactions.iter().map(|i| sentence(&i.sentence)));
    Some(section)
}

fn told(row: &FactorRow) -> Vec<String> {
    let c = &row.contrast;
    vec![
        capital(&row.factor),
        row.level.clone(),
        row.against.clone(),
        c.ratio_as_counted.map_or(NONE.to_owned(), change),
        c.change_in_words(),
        c.range_in_words(),
        headline(row.call).to_owned(),
    ]
}

/// The section with the tests of factors and their interactions, where factors were crossed.
pub(super) fn tests(findings: &Findings<'_>, section: Section) -> Section {
    let found = findings.judgement;
    if found.factors.is_empty() {
        return section;
    }
    let main: Vec<Vec<String>> = found.factors.iter().map(tested).collect();
    let heads = [
        Words("factor"),
        Words("level"),
        Figures("ratio"),
        Figures("interval"),
        Figures("t"),
        Figures("df"),
        Figures("p, model test, adjusted"),
        Figures("p, randomisation test, adjusted"),
    ];
    let between_factors: Vec<Vec<String>> = found
        .interactions
        .iter()
        .map(|i| {
            vec![
                format!(
                    "{} {} with {} {}",
                    i.factors[0], i.levels[0], i.factors[1], i.levels[1]
                ),
                maybe(i.ratio),
                span(i.low, i.high),
                maybe(i.t),
                figure(i.df),
                chance(i.p_model),
            ]
        })
        .collect();
    let heads_between = [
        Words("interaction"),
        Figures("ratio of ratios"),
        Figures("interval"),
        Figures("t"),
        Figures("df"),
        Figures("p, model test"),
    ];
    section
        .table("Main effects", &heads, main)
        .paragraph(
            "Ratio: level to first level, averaged on the log scale over all combinations of the other factors with equal weight; \
             p and limits hold for all factors together (each factor is tested at its share of alpha; several levels of one by \
             Dunnett's law).",
        )
        .table("Interactions", &heads_between, between_factors)
        .paragraph("Interactions are description: p and limits are of each alone.")
}

fn tested(row: &FactorRow) -> Vec<String> {
    let c = &row.contrast;
    vec![
        row.factor.clone(),
        row.level.clone(),
        maybe(c.ratio),
        span(c.low, c.high),
        maybe(c.t),
        figure(c.df),
        chance(c.p_model_adjusted),
        maybe_chance(c.p_randomisation_adjusted),
    ]
}
