//! What would change the answer: for each thing that it rests on, the value at which gain and cost are equal, all else as it
//! is (switching values of a break-even analysis).

use serde::Serialize;

use super::file::SeasonFile;
use super::options::{Known, OptionRow};
use crate::text::money::{about, hours};
use crate::text::rounding::{figure, percent};

/// One thing that the answer rests on.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Switch {
    /// What: `reduction`, `density`, `worth`, `hours`, `person-hour` or `sheet`.
    pub what: &'static str,
    /// As it is.
    pub now: f64,
    /// At which gain and cost are equal; null where no value does that.
    pub switches_at: Option<f64>,
    /// Unit of both.
    pub unit: &'static str,
    /// In words.
    pub sentence: String,
}

/// What the answer rests on, for an option with costs, larvae and the user's own figure; empty without them.
pub(super) fn switching(known: &Known<'_>, option: &OptionRow) -> Vec<Switch> {
    let file = known.file;
    let (Some(cost), Some(gone), Some(net)) = (
        option.costs.total,
        option.removed.estimate,
        option.net.and_then(|n| n.estimate),
    ) else {
        return Vec::new();
    };
    let (gain, reduction) = (net + cost, 1.0 - known.effect.ratio.estimate);
    if gain <= 0.0 || reduction <= 0.0 {
        return Vec::new();
    }
    // Gain is in proportion to reduction, larvae and worth.
    let factor = cost / gain;
    if !factor.is_finite() {
        return Vec::new();
    }
    let mut all = vec![of_reduction(reduction, factor)];
    if file.worth.per_1000_larvae.is_some() {
        all.push(of_density(gone / reduction / option.area_m2, factor));
    }
    all.extend(of_worth(file, factor));
    all.extend(of_labour(file, option, gain));
    all.extend(of_sheet(file, option, gain));
    all
}

fn of_reduction(now: f64, factor: f64) -> Switch {
    let at = Some(now * factor).filter(|share| *share <= 1.0);
    Switch {
        what: "reduction",
        now: 100.0 * now,
        switches_at: at.map(|share| 100.0 * share),
        unit: "%",
        sentence: match at {
            Some(share) => format!(
                "It just pays at a reduction of {} (found: {}).",
                percent(share),
                percent(now)
            ),
            None => format!(
                "No reduction pays, not even of all larvae (found: {}).",
                percent(now)
            ),
        },
    }
}

fn of_density(now: f64, factor: f64) -> Switch {
    Switch {
        what: "density",
        now,
        switches_at: Some(now * factor),
        unit: "per m2",
        sentence: format!(
            "It just pays at {} larvae per m2 on average (found: {}).",
            figure(now * factor),
            figure(now)
        ),
    }
}

fn of_worth(file: &SeasonFile, factor: f64) -> Option<Switch> {
    let (now, unit, of) = match (file.worth.per_1000_larvae, file.worth.per_green) {
        (Some(worth), _) => (worth, "for 1000 larvae", "1 000 larvae less"),
        (None, Some(worth)) => (worth, "for a green", "a green without larvae"),
        (None, None) => return None,
    };
    Some(Switch {
        what: "worth",
        now,
        switches_at: Some(now * factor),
        unit,
        sentence: format!(
            "It just pays if {of} is worth {} to you (given: {}).",
            about(now * factor, &file.currency),
            about(now, &file.currency)
        ),
    })
}

/// Hours and their price: what is left for labour when all else is paid.
fn of_labour(file: &SeasonFile, option: &OptionRow, gain: f64) -> Vec<Switch> {
    let costs = option.costs;
    let (Some(labour), Some(total), Some(price)) = (costs.labour, costs.total, file.person_hour)
    else {
        return Vec::new();
    };
    let left = gain - (total - labour);
    let mut all = Vec::new();
    if price > 0.0 {
        let at = (left >= 0.0).then(|| left / price);
        let told = at.map_or(
            "However few hours it takes, it does not pay".to_owned(),
            |h| format!("It just pays at {} of work", hours(h)),
        );
        all.push(Switch {
            what: "hours",
            now: costs.hours,
            switches_at: at,
            unit: "person-hours",
            sentence: format!("{told} (planned: {}).", hours(costs.hours)),
        });
    }
    if costs.hours > 0.0 && left >= 0.0 {
        let at = left / costs.hours;
        all.push(Switch {
            what: "person-hour",
            now: price,
            switches_at: Some(at),
            unit: "for a person-hour",
            sentence: format!(
                "It just pays if an hour costs {} (given: {}).",
                about(at, &file.currency),
                about(price, &file.currency)
            ),
        });
    }
    all
}

fn of_sheet(file: &SeasonFile, option: &OptionRow, gain: f64) -> Option<Switch> {
    let costs = option.costs;
    let (wear, total, price) = (costs.sheet?, costs.total?, file.sheet.price_per_m2?);
    let left = gain - (total - wear);
    if wear <= 0.0 || left < 0.0 {
        return None;
    }
    let at = price * left / wear;
    Some(Switch {
        what: "sheet",
        now: price,
        switches_at: Some(at),
        unit: "for a m2 of sheet",
        sentence: format!(
            "It just pays if a square metre of sheet costs {} (given: {}).",
            about(at, &file.currency),
            about(price, &file.currency)
        ),
    })
}
