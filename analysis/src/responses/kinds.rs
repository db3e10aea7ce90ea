//! The kinds of response, each with the effect that suits it.

use super::Effect;
use super::shift::Pair;
use crate::Error;
use crate::randomisation::{RandomisationSettings, Scheme, against_control};
use crate::results::{Caution, Interval};

/// Which plot got what, and how it was drawn.
#[derive(Debug, Clone, Copy)]
pub struct Trial<'a> {
    /// The treatment of each plot; 0 is the control.
    pub labels: &'a [usize],
    /// The draws that the design allowed.
    pub scheme: &'a Scheme,
    /// How many allocations to enumerate or draw, and the seed.
    pub settings: RandomisationSettings,
    /// Confidence level of the intervals.
    pub level: f64,
}

/// Visual score from 1 (worst) to 9 (best), whole or half points: difference in mean score.
///
/// The scale is ordinal: the p-value and the superiority do not care how far apart its points are, the
/// difference and its interval take them as evenly spaced, which a caution says.
///
/// # Errors
/// A score outside 1 to 9, and the errors of [`length`].
pub fn score(scores: &[f64], trial: &Trial<'_>) -> Result<Vec<Effect>, Error> {
    within(scores, 1.0, 9.0, "visual scores", "scores run from 1 to 9")?;
    let mut effects = length(scores, trial)?;
    for effect in &mut effects {
        clip(&mut effect.interval, 8.0);
        effect.cautions.push(Caution::new(
            "ordinal-scale",
            "A score is a rank: read the difference together with the chance of the higher score.",
        ));
    }
    Ok(effects)
}

/// Cover in per cent of the plot: difference in percentage points.
///
/// The interval takes the method to add the same in every plot, which cannot be so where the control is near 0
/// or 100 %; a caution says when an estimate would push a plot beyond.
///
/// # Errors
/// A cover outside 0 to 100, and the errors of [`length`].
pub fn cover(per_cent: &[f64], trial: &Trial<'_>) -> Result<Vec<Effect>, Error> {
    within(
        per_cent,
        0.0,
        100.0,
        "per cent cover",
        "cover runs from 0 to 100 per cent",
    )?;
    let mut effects = length(per_cent, trial)?;
    for effect in &mut effects {
        clip(&mut effect.interval, 100.0);
        let beyond = per_cent
            .iter()
            .zip(trial.labels)
            .any(|(c, &l)| l == 0 && !(0.0..=100.0).contains(&(c + effect.estimate)));
        if beyond {
            effect.cautions.push(Caution::new(
                "near-the-end-of-the-scale",
                "Some control plots lie so near 0 or 100 per cent that the same change could not happen there: the interval describes, the p-value stands.",
            ));
        }
    }
    Ok(effects)
}

/// Root depth or length, or any continuous reading: difference in its own unit.
///
/// # Errors
/// Values and labels of different number, a value that is not finite, a treatment or control without
/// plots, or a confidence level not between 0 and 1.
pub fn length(values: &[f64], trial: &Trial<'_>) -> Result<Vec<Effect>, Error> {
    if !(trial.level > 0.0 && trial.level < 1.0) {
        return Err(Error::new(
            "confidence level",
            trial.level.to_string(),
            "it must lie between 0 and 1",
            "use 0.95 unless the protocol says otherwise",
        ));
    }
    let all = against_control(values, trial.labels, trial.scheme, &trial.settings)?;
    let mut effects = Vec::with_capacity(all.p.len());
    for (index, (&smallest_p, adjusted)) in all
        .smallest_attainable_p
        .iter()
        .zip(all.p_adjusted)
        .enumerate()
    {
        let pair = Pair {
            values,
            labels: trial.labels,
            scheme: trial.scheme,
            treatment: index + 1,
            settings: &trial.settings,
        };
        let mut effect = pair.effect(trial.level, smallest_p);
        // The pair's own test works on values less their block mean, the closed family on raw ones:
        // the larger of the two keeps the level.
        effect.p_adjusted = effect.p.value.max(adjusted);
        effects.push(effect);
    }
    Ok(effects)
}

/// Root depth or length as a ratio to the control: [`length`] on logarithms, put back.
///
/// # Errors
/// A value not above 0, and the errors of [`length`].
pub fn length_ratio(values: &[f64], trial: &Trial<'_>) -> Result<Vec<Effect>, Error> {
    within(
        values,
        f64::MIN_POSITIVE,
        f64::MAX,
        "lengths",
        "a ratio needs lengths above 0",
    )?;
    let logs: Vec<f64> = values.iter().map(|v| v.ln()).collect();
    let mut effects = length(&logs, trial)?;
    for effect in &mut effects {
        effect.estimate = effect.estimate.exp();
        effect.hodges_lehmann = effect.hodges_lehmann.exp();
        effect.interval = effect.interval.map(|i| Interval {
            low: i.low.exp(),
            high: i.high.exp(),
            level: i.level,
        });
    }
    Ok(effects)
}

/// Colour or vigour in a strip on either side of the plot's edge: the step from outside to inside, treated plots
/// less control plots.
///
/// In a control plot nothing is laid and its edge is a line on the map; the step there shows what
/// the site does by itself. A step in treated plots alone, without the control's, is no test: which
/// side is inside was not drawn.
///
/// # Errors
/// Readings inside and outside of different number, and the errors of [`length`].
pub fn edge_step(inside: &[f64], outside: &[f64], trial: &Trial<'_>) -> Result<Vec<Effect>, Error> {
    if inside.len() != outside.len() {
        return Err(Error::new(
            "readings at the edge",
            format!("{} inside and {} outside", inside.len(), outside.len()),
            "every plot needs one on either side",
            "leave out plots with one side only",
        ));
    }
    let steps: Vec<f64> = inside.iter().zip(outside).map(|(i, o)| i - o).collect();
    length(&steps, trial)
}

fn within(values: &[f64], low: f64, high: f64, what: &str, rule: &str) -> Result<(), Error> {
    match values.iter().position(|v| !(low..=high).contains(v)) {
        None => Ok(()),
        Some(plot) => Err(Error::new(
            what,
            format!("{} for plot {}", values[plot], plot + 1),
            rule,
            "mend the value or leave the plot out",
        )),
    }
}

/// No difference is larger than the scale is long.
fn clip(interval: &mut Option<Interval>, longest: f64) {
    if let Some(i) = interval {
        i.low = i.low.max(-longest);
        i.high = i.high.min(longest);
    }
}
