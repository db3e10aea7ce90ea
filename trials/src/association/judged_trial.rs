//! A judged trial to its effects, whether it was judged just now or its results lie on the disk.

use std::collections::BTreeMap;

use halfgreen_analysis::comparison::{Better, Call};
use serde::Deserialize;
use serde_json::Value;
use sha2::{Digest, Sha256};

use super::{TrialEffect, TrialFacts};
use crate::Error;
use crate::judgement::{ContrastRow, Judgement};
use crate::trial_data::PlotCount;

/// What pooling takes of a judgement; read from results, the rest of their keys is left alone.
#[derive(Debug, Clone, Deserialize)]
struct JudgedTrial {
    #[serde(default)]
    contrasts: Vec<Contrast>,
    #[serde(default)]
    factors: Vec<Factor>,
    verdicts: Vec<Verdict>,
    plots: Vec<PlotCount>,
    units: Units,
    dispersion: Dispersion,
    better: Better,
    counted: String,
}

#[derive(Debug, Clone, Deserialize)]
struct Contrast {
    treatment: String,
    control: String,
    ratio: Option<f64>,
    low: Option<f64>,
    high: Option<f64>,
    low_is_markov_bound: bool,
    high_is_markov_bound: bool,
    df: f64,
    critical_t: Option<f64>,
}

#[derive(Debug, Clone, Deserialize)]
struct Factor {
    #[serde(rename = "factor")]
    name: String,
    level: String,
    #[serde(flatten)]
    contrast: Contrast,
}

#[derive(Debug, Clone, Copy, Deserialize)]
struct Verdict {
    call: Call,
}

#[derive(Debug, Clone, Copy, Deserialize)]
struct Units {
    plots: usize,
    blocks: usize,
}

#[derive(Debug, Clone, Copy, Deserialize)]
struct Dispersion {
    k: Option<f64>,
}

/// Every comparison of a trial that got a verdict. In a factorial trial these are levels of factors.
///
/// The standard error is the half-width of the headline interval on the log scale over the critical t that made it, so that
/// it carries all that the interval reckons with: the design's own error, k estimated from few plots, a guard for few
/// animals. Where the interval is open on one side the other half alone serves. A limit by Markov's inequality
/// tells nothing of scatter and is left aside.
#[must_use]
pub fn trial_effects(judgement: &Judgement, facts: &TrialFacts) -> Vec<TrialEffect> {
    JudgedTrial::from(judgement).effects(facts)
}

/// The same from the results that `judge` kept; `file` is named in errors. Of facts that results do not hold, those given count.
///
/// # Errors
/// A text that is no results of counts that were judged.
pub fn kept_effects(file: &str, text: &str, facts: &TrialFacts) -> Result<Vec<TrialEffect>, Error> {
    let cure = "Judge the trial again, or name its folder.";
    let refused = |what: String| Error::new(file, what, cure);
    let mut document: Value = serde_json::from_str(text)
        .map_err(|e| refused(format!("this is no JSON document ({e})")))?;
    let command = document["command"].as_str().unwrap_or_default();
    if command != "judge" {
        return Err(refused("this is no document that `judge` wrote".to_owned()));
    }
    let judged: JudgedTrial = serde_json::from_value(document["result"].take())
        .map_err(|e| refused(format!("these are no results of counts ({e})")))?;
    Ok(judged.effects(facts))
}

impl From<&ContrastRow> for Contrast {
    fn from(row: &ContrastRow) -> Self {
        Self {
            treatment: row.treatment.clone(),
            control: row.control.clone(),
            ratio: row.ratio,
            low: row.low,
            high: row.high,
            low_is_markov_bound: row.low_is_markov_bound,
            high_is_markov_bound: row.high_is_markov_bound,
            df: row.df,
            critical_t: row.critical_t,
        }
    }
}

impl From<&Judgement> for JudgedTrial {
    fn from(found: &Judgement) -> Self {
        Self {
            contrasts: found.contrasts.iter().map(Contrast::from).collect(),
            factors: (found.factors.iter())
                .map(|f| Factor {
                    name: f.factor.clone(),
                    level: f.level.clone(),
                    contrast: Contrast::from(&f.contrast),
                })
                .collect(),
            verdicts: (found.verdicts.iter())
                .map(|v| Verdict { call: v.call })
                .collect(),
            plots: found.plots.clone(),
            units: Units {
                plots: found.units.plots,
                blocks: found.units.blocks,
            },
            dispersion: Dispersion {
                k: found.dispersion.k,
            },
            better: found.better,
            counted: found.counted.clone(),
        }
    }
}

impl JudgedTrial {
    fn effects(&self, facts: &TrialFacts) -> Vec<TrialEffect> {
        let digest = digest_of(&self.plots);
        let calls = self.verdicts.iter().map(|v| v.call);
        let compared: Vec<(String, &Contrast, [Arm; 2])> = if self.factors.is_empty() {
            let each = self.contrasts.iter();
            each.map(|c| {
                let arms = [&c.treatment, &c.control].map(|code| Arm::of(&self.plots, code));
                (c.treatment.clone(), c, arms)
            })
            .collect()
        } else {
            // A level spans several treatments: its plots are not those of one.
            let each = self.factors.iter();
            each.map(|f| {
                let code = format!("{} {}", f.name, f.level);
                (code, &f.contrast, [Arm::default(); 2])
            })
            .collect()
        };
        (compared.into_iter().zip(calls))
            .map(|((treatment, contrast, arms), call)| {
                let effect = self.effect(treatment, contrast, arms, facts);
                TrialEffect {
                    call: Some(call),
                    digest: Some(digest.clone()),
                    ..effect
                }
            })
            .collect()
    }

    fn effect(
        &self,
        treatment: String,
        contrast: &Contrast,
        [treated, control]: [Arm; 2],
        facts: &TrialFacts,
    ) -> TrialEffect {
        let named = |names: &BTreeMap<String, String>| names.get(&treatment).cloned();
        TrialEffect {
            trial: facts.trial.clone(),
            club: facts.club.clone().unwrap_or_else(|| facts.trial.clone()),
            season: facts.season,
            name: named(&facts.names).unwrap_or_else(|| treatment.clone()),
            kind: named(&facts.kinds),
            control: contrast.control.clone(),
            counted: Some(self.counted.clone()),
            better: self.better,
            effect: contrast.ratio.filter(|r| *r > 0.0).map(f64::ln),
            se: standard_error(contrast),
            degrees_of_freedom: Some(contrast.df).filter(|df| *df >= 1.0),
            low: contrast.low.filter(|_| !contrast.low_is_markov_bound),
            high: contrast.high.filter(|_| !contrast.high_is_markov_bound),
            plots: Some(self.units.plots),
            blocks: Some(self.units.blocks),
            treated_plots: treated.plots,
            control_plots: control.plots,
            treated_count: treated.count,
            control_count: control.count,
            treated_exposure: treated.exposure,
            control_exposure: control.exposure,
            k: self.dispersion.k,
            zero_arm: treated.count == Some(0) || control.count == Some(0),
            call: None,
            moderators: facts.moderators.clone(),
            source: facts.source.clone(),
            digest: None,
            treatment,
        }
    }
}

/// Standard error of the log ratio that belongs to the headline interval; `None` where neither limit tells of scatter.
fn standard_error(contrast: &Contrast) -> Option<f64> {
    let t = contrast.critical_t?;
    let estimate = contrast.ratio.filter(|r| *r > 0.0)?.ln();
    let log =
        |limit: Option<f64>, is_bound: bool| limit.filter(|l| *l > 0.0 && !is_bound).map(f64::ln);
    let low = log(contrast.low, contrast.low_is_markov_bound);
    let high = log(contrast.high, contrast.high_is_markov_bound);
    let width = match (low, high) {
        (Some(low), Some(high)) => (high - low) / 2.0,
        (Some(low), None) => estimate - low,
        (None, Some(high)) => high - estimate,
        (None, None) => return None,
    };
    Some(width / t).filter(|se| *se > 0.0 && se.is_finite())
}

/// The plots of one treatment together; nothing where it has none.
#[derive(Debug, Clone, Copy, Default)]
struct Arm {
    plots: Option<usize>,
    count: Option<u64>,
    exposure: Option<f64>,
}

impl Arm {
    fn of(plots: &[PlotCount], treatment: &str) -> Self {
        let here: Vec<&PlotCount> = plots.iter().filter(|p| p.treatment == treatment).collect();
        if here.is_empty() {
            return Self::default();
        }
        Self {
            plots: Some(here.len()),
            count: Some(
                here.iter()
                    .fold(0, |sum, p| u64::saturating_add(sum, p.count)),
            ),
            exposure: Some(here.iter().map(|p| p.exposure).sum()),
        }
    }
}

/// SHA-256 of the plots as they lay and what was found in them, in whatever order they are told.
fn digest_of(plots: &[PlotCount]) -> String {
    let line = |p: &PlotCount| {
        format!(
            "{:?} {:?} {:?} {:?} {} {}",
            p.plot, p.treatment, p.block, p.place, p.count, p.exposure
        )
    };
    let mut lines: Vec<String> = plots.iter().map(line).collect();
    lines.sort();
    let digest = Sha256::digest(lines.join("\n"));
    let hex: Vec<String> = digest.iter().map(|b| format!("{b:02x}")).collect();
    hex.concat()
}
