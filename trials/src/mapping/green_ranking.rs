//! Which green earns the sheet most?

use serde::Serialize;

use super::cover_plan::{Laying, Sheet, Strip, SurveyedGreen, limits};

/// Without a stock, greens are ranked by how sheet for this share of all ground would be spread.
const SHARE_ALLOTTED: f64 = 0.25;

/// What one of several greens holds, and how much of the sheet it earns.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GreenRank {
    /// Name of the green.
    pub green: String,
    /// Its area, square metres.
    pub area_m2: f64,
    /// Mean larvae per core over its ground.
    pub larvae_per_core: f64,
    /// Share of the larvae of all greens that it holds.
    pub share: f64,
    /// Lower 95 % limit.
    pub share_low: f64,
    /// Upper 95 % limit.
    pub share_high: f64,
    /// Sheet that the joint plan lays on it, square metres.
    pub sheet_m2: f64,
    /// Share of the larvae of all greens that lie under that sheet.
    pub reached: f64,
}

/// Greens by the share of all larvae that sheet on them reaches, most first; the sheet there is, or a
/// quarter of all ground, is spread strip by strip to where it reaches most.
pub(super) fn ranking(
    greens: &[SurveyedGreen<'_>],
    layings: &[Laying],
    strips: &[Strip],
    sheet: &Sheet,
) -> Vec<GreenRank> {
    if greens.len() < 2 {
        return Vec::new();
    }
    let ground: f64 = greens.iter().map(|g| g.outline.area_m2()).sum();
    let allotted = sheet.stock_m2.unwrap_or(SHARE_ALLOTTED * ground);
    let total = |l: &Laying, draw: Option<usize>| l.masses(draw).iter().sum::<f64>();
    let part = |l: &Laying, draw: Option<usize>| {
        let all: f64 = layings.iter().map(|l| total(l, draw)).sum();
        if all > 0.0 {
            total(l, draw) / all
        } else {
            l.area_m2() / ground
        }
    };
    let draws = layings.iter().map(|l| l.draws.len()).min().unwrap_or(0);
    let mut ranks: Vec<GreenRank> = greens
        .iter()
        .zip(layings)
        .map(|(green, laying)| {
            let share = part(laying, None);
            let alternatives: Vec<f64> = (0..draws).map(|d| part(laying, Some(d))).collect();
            let limits = limits(&alternatives, share);
            let mut rank = GreenRank {
                green: green.name.unwrap_or_default().to_owned(),
                area_m2: green.outline.area_m2(),
                larvae_per_core: total(laying, None) / laying.area_m2(),
                share,
                share_low: limits.low,
                share_high: limits.high,
                sheet_m2: 0.0,
                reached: 0.0,
            };
            let mut used = 0.0;
            for strip in strips {
                used += strip.sheet_m2;
                if used <= allotted && strip.green.as_deref() == green.name {
                    rank.sheet_m2 += strip.sheet_m2;
                    rank.reached += strip.expected_share;
                }
            }
            rank
        })
        .collect();
    ranks.sort_by(|a, b| {
        b.reached
            .total_cmp(&a.reached)
            .then(b.share.total_cmp(&a.share))
    });
    ranks
}

impl GreenRank {
    /// What the green earns, in one sentence.
    #[must_use]
    pub fn sentence(&self) -> String {
        let earned = if self.sheet_m2 > 0.0 {
            format!(
                "it earns {:.0} m2 of the sheet, which reach {:.0} % of all larvae",
                self.sheet_m2,
                100.0 * self.reached
            )
        } else {
            "it earns none of the sheet".to_owned()
        };
        format!(
            "{}: {:.0} m2 with {:.2} larvae per core, {:.0} % of all larvae ({:.0} to {:.0} %); {earned}.",
            self.green,
            self.area_m2,
            self.larvae_per_core,
            100.0 * self.share,
            100.0 * self.share_low,
            100.0 * self.share_high,
        )
    }
}
