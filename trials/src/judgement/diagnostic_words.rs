//! What each check means, in one plain sentence.

use halfgreen_analysis::diagnostics::{Gradient, SimulatedStatistic, ZeroInflation};

use super::leave_one_out::LeaveOneOut;
use super::wording::headline;
use crate::text::rounding::{chance, p_value};
use crate::text::spelling::number;

/// Checks speak up at the usual one in twenty.
const NOTABLE: f64 = 0.05;

/// A leverage beyond twice the mean is worth a look (common practice: Hoaglin & Welsch 1978, American
/// Statistician 32:17-22).
const PULLS: f64 = 2.0;

/// Where twice the mean lies beyond what a plot can reach, one that all but sets its own fitted mean is (no source).
const ALONE: f64 = 0.95;

pub(super) fn residuals(normality: Option<&SimulatedStatistic>) -> String {
    match normality {
        None => "There are too few plots to say whether residuals look normal.".to_owned(),
        Some(s) if s.p.value > NOTABLE => format!(
            "The counts lie where the model puts them: its residuals look normal ({}).",
            p_value(s.p.value)
        ),
        Some(s) if s.observed > s.expected => format!(
            "The counts lie even closer to the model than chance puts them ({}), which takes nothing from the verdict.",
            p_value(s.p.value)
        ),
        Some(s) => format!(
            "Some counts lie further out than the model expects ({}): look at the largest residuals, and \
             whether the randomisation test agrees.",
            p_value(s.p.value)
        ),
    }
}

pub(super) fn dispersion(s: &SimulatedStatistic) -> String {
    let p = p_value(s.p.value);
    if s.p.value > NOTABLE {
        format!("The counts are not shown to be more or less variable than the model says ({p}).")
    } else if s.observed > s.expected {
        format!(
            "The counts are more variable than the model says ({p}): take its k with care. The verdict's own error comes from the plots."
        )
    } else {
        format!(
            "The counts are less variable than the model says ({p}): ask how they were taken. The verdict's own error comes from the plots."
        )
    }
}

pub(super) fn zeros(s: &SimulatedStatistic, plots_in_all: usize) -> String {
    let (found, expected) = (s.observed, s.expected);
    let p = p_value(s.p.value);
    if found == 0.0 {
        let few = if s.p.value > NOTABLE {
            ""
        } else {
            ": fewer than clumping would leave"
        };
        return format!("No plot was empty, where the model expects {expected:.1} ({p}){few}.");
    }
    let plots = format!(
        "{found:.0} {} had nothing in {}, where the model expects {expected:.1} ({p})",
        if found == 1.0 { "plot" } else { "plots" },
        if found == 1.0 { "it" } else { "them" }
    );
    if found == plots_in_all as f64 {
        return "Every plot was empty: nothing can be said of clumping.".to_owned();
    }
    if s.p.value > NOTABLE {
        format!("{plots}: the model explains that.")
    } else if found > expected {
        format!(
            "{plots}: more than clumping explains; ask whether those plots could have held any."
        )
    } else {
        format!("{plots}: fewer than clumping would leave.")
    }
}

pub(super) fn zero_inflation(z: &ZeroInflation) -> String {
    if z.p > NOTABLE {
        return format!(
            "No share of plots needs to be empty for a reason of its own ({}).",
            p_value(z.p)
        );
    }
    format!(
        "About {:.0} % of the plots seem to be empty for a reason of their own ({}): ask what sets them apart before \
         believing a method.",
        100.0 * z.share,
        p_value(z.p)
    )
}

pub(super) fn neighbours(moran: f64, p: f64) -> String {
    let p_text = p_value(p);
    if p > NOTABLE {
        format!(
            "Neighbouring plots are not shown to be more or less alike than others once treatments and blocks are allowed for ({p_text})."
        )
    } else if moran > 0.0 {
        format!(
            "Neighbouring plots still go together once treatments and blocks are allowed for ({p_text}): the ground differs in a way that the blocks did not catch."
        )
    } else {
        format!(
            "Neighbouring plots differ more than chance would have it once treatments and blocks are allowed for ({p_text}): ask whether larvae moved between them."
        )
    }
}

/// Residual degrees of freedom up to which a change of e squared, sevenfold, between the ends of a block is missed as
/// often as found where plots are patchy (k = 0.8; calibration bench, `GRADIENT.md`).
const OFTEN_MISSED: usize = 4;

/// `blocks` tells whether there are any.
pub(super) fn gradient(found: &Gradient, blocks: bool) -> String {
    let across = if blocks {
        "across the blocks"
    } else {
        "across the ground"
    };
    let Some(p) = found.p else {
        return format!(
            "Whether counts rise {across} cannot be told: the draw leaves place and treatment too little apart, and a \
             gradient would look like the method's work."
        );
    };
    let p_text = p_value(p);
    if p > NOTABLE {
        let missed = if found.df[1] <= OFTEN_MISSED {
            " With so few plots even a sevenfold change is often missed."
        } else {
            ""
        };
        return format!("Counts do not rise noticeably {across} ({p_text}).{missed}");
    }
    format!(
        "Counts rise {across} towards the {}, about {} times between the plots furthest apart ({p_text}): that is in the \
         error of the comparison, and in the comparison itself where the draw put a treatment mostly on one side. Next \
         time balance the draw along it (rules, gradient_deg), or turn the blocks along what stays the same.",
        compass(found.slope),
        times(found.rise.exp()),
    )
}

/// How many times, as people say it.
fn times(factor: f64) -> String {
    if factor >= 10.0 {
        format!("{factor:.0}")
    } else {
        format!("{factor:.1}")
    }
}

/// The nearest of eight points of the compass, for a direction east and north.
fn compass([east, north]: [f64; 2]) -> &'static str {
    const POINTS: [&str; 8] = [
        "east",
        "north-east",
        "north",
        "north-west",
        "west",
        "south-west",
        "south",
        "south-east",
    ];
    let eighth = (north.atan2(east) / std::f64::consts::FRAC_PI_4).round();
    // From -4 to 4.
    let at = POINTS
        .iter()
        .zip(0_i32..)
        .find(|(_, i)| (eighth - f64::from(*i)).rem_euclid(8.0) == 0.0);
    at.map_or(POINTS[0], |(point, _)| point)
}

pub(super) fn leverage(most: Option<(&str, f64)>, mean: f64) -> String {
    match most {
        Some((plot, value)) if value > (PULLS * mean).min(ALONE) && mean < ALONE && mean > 0.0 => {
            format!(
                "Plot {plot} pulls its own fitted mean more than others do ({value:.2}, mean {mean:.2}): a slip in its count \
             would matter most."
            )
        }
        _ if PULLS * mean > 1.0 => format!(
            "With so few plots for what is compared every plot sets much of its own fitted mean (mean {mean:.2} of at most 1): \
             a slip in any count would matter."
        ),
        _ => "No plot pulls its own fitted mean much more than the others do.".to_owned(),
    }
}

/// `undecided` is the number of plots without which nothing can be compared.
pub(super) fn leave_one_out(found: &LeaveOneOut, plots: usize, undecided: usize) -> String {
    let (Some(p_low), Some(p_high)) = (found.p_low, found.p_high) else {
        return "There are too few plots to leave one out.".to_owned();
    };
    let range = match (found.ratio_low, found.ratio_high) {
        (Some(low), Some(high)) => format!("the ratio stays between {low:.2} and {high:.2}, "),
        _ => String::new(),
    };
    let limits = if p_high < 0.001 {
        format!("{range}p below 0.001")
    } else if p_low < 0.001 {
        format!("{range}p at most {}", chance(p_high))
    } else if chance(p_low) == chance(p_high) {
        format!("{range}{}", p_value(p_low))
    } else {
        format!("{range}p between {} and {}", chance(p_low), chance(p_high))
    };
    let rest = if undecided > 0 {
        format!(" Without {undecided} of the plots, one at a time, nothing could be compared.")
    } else {
        String::new()
    };
    let rest = if found.deletions < plots {
        format!(
            "{rest} Of {plots} plots the {} farthest from what was expected were tried.",
            found.deletions
        )
    } else {
        rest
    };
    match found.influential_plots.as_slice() {
        [] => format!("No single plot carries the verdict: whichever is left out, {limits}.{rest}"),
        [one] => format!(
            "The verdict hangs on plot {}: without it, it would read \"{}\" (left out one at a time, {limits}).{rest}",
            one.plot,
            headline(one.call)
        ),
        [first, .., last] => format!(
            "The verdict hangs on single plots: without any one of {}, such as {} or {}, it would be another ({limits}).{rest}",
            number(found.influential_plots.len(), "plot"),
            first.plot,
            last.plot
        ),
    }
}
