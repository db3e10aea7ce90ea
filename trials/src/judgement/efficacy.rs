//! The trade's formulas beside the model's ratio.

use halfgreen_analysis::efficacy::{self, Pairing, Plot};
use serde::Serialize;

use super::case::{Case, PlotCount};
use crate::Error;

/// Efficacy of every treatment by each formula that the counts allow.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Efficacy {
    /// Abbott: from the counts after treatment.
    pub abbott: Vec<EfficacyRow>,
    /// Henderson and Tilton: counts before and after; absent without counts before.
    pub henderson_tilton: Option<Vec<EfficacyRow>>,
}

/// Efficacy of one treatment in per cent.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EfficacyRow {
    /// Treatment.
    pub treatment: String,
    /// Per cent of the control.
    pub percent: Option<f64>,
    /// Lower limit.
    pub low: Option<f64>,
    /// Upper limit.
    pub high: Option<f64>,
    /// When the figure must not be used, or not without care.
    pub cautions: Vec<String>,
}

/// Works the formulas out, each plot's count per exposure.
///
/// # Errors
/// What the formulas refuse.
pub(super) fn efficacy(case: &Case) -> Result<Efficacy, Error> {
    let before = case.plots.iter().all(|p| p.before.is_some());
    let mut abbott = Vec::new();
    let mut henderson_tilton = Vec::new();
    for treatment in &case.treatments[1..] {
        let (treated, control, pairing) = arms(case, treatment);
        let level = 1.0 - case.question.alpha;
        let row = |e: efficacy::Efficacy| EfficacyRow {
            treatment: treatment.clone(),
            percent: e.percent,
            low: e.interval.map(|i| i.low).filter(|x| x.is_finite()),
            high: e.interval.map(|i| i.high).filter(|x| x.is_finite()),
            cautions: e.cautions.into_iter().map(|c| c.message).collect(),
        };
        abbott.push(row(efficacy::abbott(&treated, &control, pairing, level)?));
        if before {
            henderson_tilton.push(row(efficacy::henderson_tilton(
                &treated, &control, pairing, level,
            )?));
        }
    }
    Ok(Efficacy {
        abbott,
        henderson_tilton: before.then_some(henderson_tilton),
    })
}

/// Plots of a treatment and of the control, paired by block where each block has one of each.
fn arms(case: &Case, treatment: &str) -> (Vec<Plot>, Vec<Plot>, Pairing) {
    let plot = |p: &PlotCount| Plot {
        before: p.before,
        after: p.count as f64 / p.exposure,
    };
    let of = |name: &str| {
        case.plots
            .iter()
            .filter(|p| p.treatment == name)
            .collect::<Vec<_>>()
    };
    let (treated, control) = (of(treatment), of(&case.treatments[0]));
    let partner = |p: &&PlotCount| {
        let mut same = control
            .iter()
            .filter(|c| c.block.is_some() && c.block == p.block);
        same.next().filter(|_| same.next().is_none())
    };
    let pairs: Option<Vec<&PlotCount>> = treated.iter().map(|p| partner(p).copied()).collect();
    match pairs {
        Some(partners) if partners.len() == control.len() => (
            treated.iter().map(|p| plot(p)).collect(),
            partners.iter().map(|p| plot(p)).collect(),
            Pairing::Blocks,
        ),
        _ => (
            treated.iter().map(|p| plot(p)).collect(),
            control.iter().map(|p| plot(p)).collect(),
            Pairing::None,
        ),
    }
}
