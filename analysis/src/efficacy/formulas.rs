//! The four formulas.

use serde::Serialize;

use super::ratio::{Arm, LogRatio, Pairing, arm, compare};
use crate::Error;
use crate::results::{Caution, Interval};

/// What was found in one plot, all plots counted over the same area.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Plot {
    /// Before treatment: a count, or the animals exposed.
    pub before: Option<f64>,
    /// After treatment: a count, or the survivors.
    pub after: f64,
}

/// Efficacy in per cent of the control.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Efficacy {
    /// 100 (1 - ratio): 100 when nothing is left under treatment, negative when more is left than in the
    /// control. None where the formula has no value.
    pub percent: Option<f64>,
    /// Its interval; none from one plot an arm, or where nothing is left under treatment.
    pub interval: Option<Interval>,
    /// When the figure must not be used, or not without care.
    pub cautions: Vec<Caution>,
}

/// Abbott: 100 (1 - Ta / Ca), T and C being mean numbers after treatment.
///
/// Must not be used where the plots did not start alike; a caution says how far apart they started, when that
/// is known.
///
/// # Errors
/// When an arm has no plot, a number is negative or not finite, `level` is not between 0 and 1, or
/// blocks are asked for with arms of different length.
pub fn abbott(
    treated: &[Plot],
    control: &[Plot],
    pairing: Pairing,
    level: f64,
) -> Result<Efficacy, Error> {
    refuse(treated, control, pairing, level)?;
    let mut cautions = Vec::new();
    match (total(treated, before), total(control, before)) {
        (Some(t), Some(c)) if t > 0.0 && c > 0.0 => {
            let start = t / treated.len() as f64 * control.len() as f64 / c;
            if start != 1.0 {
                cautions.push(Caution::new(
                    "abbott-unequal-start",
                    format!(
                        "Before treatment these plots held {:.0} per cent of what the control held, and Abbott's formula puts that difference down to the method: use Henderson and Tilton's, or the model.",
                        100.0 * start
                    ),
                ));
            }
        }
        _ => cautions.push(Caution::new(
            "abbott-start-unknown",
            "Abbott's formula assumes that treated and control plots started alike, which was not counted here.",
        )),
    }
    Ok(percent(treated, control, pairing, level, false, cautions))
}

/// Henderson and Tilton: 100 (1 - Ta Cb / (Tb Ca)), from numbers before (b) and after (a).
///
/// Must not be used where an arm held nothing before, nor with plots so sparse before that their own
/// luck adds more noise than it takes away: a caution says so when that happened.
///
/// # Errors
/// As [`abbott`], and when a plot has no number before.
pub fn henderson_tilton(
    treated: &[Plot],
    control: &[Plot],
    pairing: Pairing,
    level: f64,
) -> Result<Efficacy, Error> {
    refuse(treated, control, pairing, level)?;
    demand_before(treated, control)?;
    let mut cautions = Vec::new();
    let width = |with_before| {
        ratio(treated, control, pairing, with_before)
            .and_then(|r| r.precision)
            .map(|p| p.0)
    };
    if let (Some(with), Some(without)) = (width(true), width(false))
        && with > without
    {
        cautions.push(Caution::new(
            "before-count-adds-noise",
            "The counts before treatment add more noise than they take away: prefer the model, which uses them only as far as they help.",
        ));
    }
    Ok(percent(treated, control, pairing, level, true, cautions))
}

/// Sun and Shepard: 100 (Pt + Pc) / (100 + Pc), Pt being the fall in treated plots and Pc the rise in the
/// control, both in per cent of the numbers before (Pc is negative when the control fell).
///
/// From counts this is Henderson and Tilton's value exactly. Must not be used where the control died out
/// (Pc = -100).
///
/// # Errors
/// As [`henderson_tilton`].
pub fn sun_shepard(
    treated: &[Plot],
    control: &[Plot],
    pairing: Pairing,
    level: f64,
) -> Result<Efficacy, Error> {
    henderson_tilton(treated, control, pairing, level)
}

/// Sun and Shepard's formula on two percentages: `fall` in treated plots, `rise` in the control (negative for a
/// fall). None when the control died out.
#[must_use]
pub fn sun_shepard_percent(fall: f64, rise: f64) -> Option<f64> {
    (rise > -100.0).then(|| 100.0 * (fall + rise) / (100.0 + rise))
}

/// Schneider-Orelli: 100 (b - k) / (100 - k), b and k being the mortality under treatment and in the control, in
/// per cent; `before` holds the animals exposed, `after` those of them that survived.
///
/// Must not be used unless the very same animals were followed, dead and alive: in a field, animals
/// move in and out. Above 20 % deaths in the control the trial is commonly repeated (common practice, no
/// source), and a caution says so.
///
/// # Errors
/// As [`henderson_tilton`], and when a plot has more survivors than animals exposed.
pub fn schneider_orelli(
    treated: &[Plot],
    control: &[Plot],
    pairing: Pairing,
    level: f64,
) -> Result<Efficacy, Error> {
    refuse(treated, control, pairing, level)?;
    demand_before(treated, control)?;
    if let Some(bad) = treated
        .iter()
        .chain(control)
        .find(|p| p.before.is_some_and(|b| p.after > b))
    {
        return Err(Error::new(
            "survivors",
            format!("{} of {}", bad.after, bad.before.unwrap_or(0.0)),
            "no more animals can survive than were exposed",
            "use Henderson and Tilton's formula for counts of a field population",
        ));
    }
    let mut cautions = vec![Caution::new(
        "schneider-orelli-same-animals",
        "Schneider-Orelli's formula holds only where the very same animals were found again, dead or alive; do not use it for counts in the field.",
    )];
    if let (Some(exposed), Some(alive)) = (total(control, before), total(control, after))
        && exposed > 0.0
        && 1.0 - alive / exposed > 0.2
    {
        cautions.push(Caution::new(
            "control-mortality-high",
            "More than 20 % died in the control: commonly such a test is repeated rather than corrected.",
        ));
    }
    Ok(percent(treated, control, pairing, level, true, cautions))
}

/// Schneider-Orelli's formula on two mortalities in per cent. None when all died in the control.
#[must_use]
pub fn schneider_orelli_percent(treated: f64, control: f64) -> Option<f64> {
    (control < 100.0).then(|| 100.0 * (treated - control) / (100.0 - control))
}

fn before(plot: &Plot) -> Option<f64> {
    plot.before
}

#[expect(
    clippy::unnecessary_wraps,
    reason = "stands beside `before`, which may be missing"
)]
fn after(plot: &Plot) -> Option<f64> {
    Some(plot.after)
}

fn total(plots: &[Plot], of: fn(&Plot) -> Option<f64>) -> Option<f64> {
    plots.iter().map(of).sum()
}

fn series(plots: &[Plot], of: fn(&Plot) -> Option<f64>) -> Option<Vec<f64>> {
    plots.iter().map(of).collect()
}

fn ratio(
    treated: &[Plot],
    control: &[Plot],
    pairing: Pairing,
    with_before: bool,
) -> Option<LogRatio> {
    let side = |plots: &[Plot]| -> Option<Arm> {
        let mut all = vec![(1.0, series(plots, after)?)];
        if with_before {
            all.push((-1.0, series(plots, before)?));
        }
        arm(&all)
    };
    Some(compare(&side(treated)?, &side(control)?, pairing))
}

fn percent(
    treated: &[Plot],
    control: &[Plot],
    pairing: Pairing,
    level: f64,
    with_before: bool,
    mut cautions: Vec<Caution>,
) -> Efficacy {
    let nothing = |plots, of| total(plots, of).is_none_or(|t| t <= 0.0);
    let no_start = with_before && (nothing(treated, before) || nothing(control, before));
    if nothing(control, after) || no_start {
        cautions.push(Caution::new(
            "efficacy-undefined",
            "There is nothing to compare with: the control was empty after treatment, or an arm was empty before it.",
        ));
        return Efficacy {
            percent: None,
            interval: None,
            cautions,
        };
    }
    let Some(log_ratio) = ratio(treated, control, pairing, with_before) else {
        cautions.push(Caution::new(
            "nothing-left",
            "Nothing was left under treatment: the figure is 100 %, and how far below it the truth may lie must come from the model.",
        ));
        return Efficacy {
            percent: Some(100.0),
            interval: None,
            cautions,
        };
    };
    let efficacy = |ln: f64| -100.0 * ln.exp_m1();
    let interval = log_ratio.limits(level).map(|(low, high)| Interval {
        low: efficacy(high),
        high: efficacy(low),
        level,
    });
    if interval.is_none() {
        cautions.push(Caution::new(
            "one-plot",
            "One plot an arm shows no variation between plots: the figure has no interval.",
        ));
    }
    Efficacy {
        percent: Some(efficacy(log_ratio.ln)),
        interval,
        cautions,
    }
}

fn refuse(treated: &[Plot], control: &[Plot], pairing: Pairing, level: f64) -> Result<(), Error> {
    let usable = |x: f64| x >= 0.0 && x.is_finite();
    if let Some(bad) = treated
        .iter()
        .chain(control)
        .flat_map(|p| [Some(p.after), p.before])
        .flatten()
        .find(|&x| !usable(x))
    {
        return Err(Error::new(
            "numbers in plots",
            bad.to_string(),
            "numbers must be 0 or above and finite",
            "leave out plots that were not counted",
        ));
    }
    if treated.is_empty()
        || control.is_empty()
        || pairing == Pairing::Blocks && treated.len() != control.len()
    {
        return Err(Error::new(
            "plots",
            format!("{} treated and {} control", treated.len(), control.len()),
            "each arm needs a plot, and blocks need one plot of each",
            "add up several plots of one treatment in a block, or compare without blocks",
        ));
    }
    if !(level > 0.0 && level < 1.0) {
        return Err(Error::new(
            "confidence level",
            level.to_string(),
            "it must lie between 0 and 1",
            "use 0.95 unless the protocol says otherwise",
        ));
    }
    Ok(())
}

fn demand_before(treated: &[Plot], control: &[Plot]) -> Result<(), Error> {
    let missing = treated
        .iter()
        .chain(control)
        .filter(|p| p.before.is_none())
        .count();
    if missing == 0 {
        return Ok(());
    }
    Err(Error::new(
        "numbers before treatment",
        format!("none for {missing} plots"),
        "this formula needs a number before treatment for every plot",
        "use Abbott's formula, or leave those plots out",
    ))
}
