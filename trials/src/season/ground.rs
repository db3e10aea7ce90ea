//! The greens as they are planned: area, larvae with their interval, pieces that sheet and people can cover.

use halfgreen_analysis::dispersion::{FrequencyTable, mean_interval, mean_interval_known_k};
use halfgreen_analysis::efficacy::{Bounded, correlation_of_part, sum};

use super::effect::LEVEL;
use super::file::{HotSpots, Night, Sheet, Work};

/// A green whose larvae are known as far as its counts tell.
#[derive(Debug, Clone, PartialEq)]
pub struct Green {
    /// Its name.
    pub name: String,
    /// Its area, square metres.
    pub area_m2: f64,
    /// Sheet that covers all of it, laps and edges included, square metres.
    pub sheet_m2: f64,
    /// Larvae per square metre, with the limits of a 95 % interval.
    pub per_m2: Bounded,
    /// Whether that is the mean of the trial's control.
    pub of_trial: bool,
    /// How much a larva on it counts beside one on another green.
    pub priority: f64,
    /// Its hot spots.
    pub hot_spots: Option<HotSpots>,
}

impl Green {
    /// Larvae on all of it.
    #[must_use]
    pub fn larvae(&self) -> Bounded {
        self.per_m2.times(self.area_m2)
    }
}

/// Larvae per square metre from the counts of cores of `core_m2` each.
#[must_use]
pub fn of_cores(cores: &FrequencyTable, core_m2: f64) -> Bounded {
    let limits = mean_interval(cores, LEVEL);
    Bounded {
        estimate: cores.mean,
        low: limits.low.min(cores.mean),
        high: limits.high.max(cores.mean),
    }
    .times(1.0 / core_m2)
}

/// The same from a total, for a k from elsewhere.
#[must_use]
pub fn of_total(larvae: u64, cores: u64, k: f64, core_m2: f64) -> Bounded {
    let limits = mean_interval_known_k(larvae, cores, k, LEVEL);
    let mean = larvae as f64 / cores as f64;
    Bounded {
        estimate: mean,
        low: limits.low.min(mean),
        high: limits.high.max(mean),
    }
    .times(1.0 / core_m2)
}

/// Larvae on shares of greens together, and the correlation of that number with a ratio of the trial: greens that have their
/// number from the trial's control err together and with the ratio, the others each by themselves.
pub(super) fn larvae_on(parts: &[(&Green, f64)], control_with_ratio: f64) -> (Bounded, f64) {
    let of = |from_trial: bool| {
        let chosen = parts
            .iter()
            .filter(move |(green, _)| green.of_trial == from_trial);
        chosen
            .map(|(green, share)| green.larvae().times(*share))
            .collect::<Vec<_>>()
    };
    let together = of(true).iter().fold(Bounded::exactly(0.0), |a, b| Bounded {
        estimate: a.estimate + b.estimate,
        low: a.low + b.low,
        high: a.high + b.high,
    });
    let mut all = of(false);
    all.push(together);
    let whole = sum(&all);
    (
        whole,
        correlation_of_part(together, whole, control_with_ratio),
    )
}

/// How a green is cut so that sheet and people suffice for each piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pieces {
    /// Pieces, all of one size.
    pub number: usize,
    /// Sheet for each, laps and edges included, square metres.
    pub sheet_m2: f64,
    /// Person-hours for each on each of its nights.
    pub hours: f64,
}

/// Most pieces of one green: smaller ones than a twentieth are no work for a night.
const MOST: usize = 20;

/// The fewest pieces of ground that takes `whole_m2` of sheet, which the sheet there is and the longest night suffice for; `None` where no night suffices
/// for any.
pub(super) fn pieces(
    whole_m2: f64,
    sheet: &Sheet,
    work: &Work,
    nights: &[Night],
) -> Option<Pieces> {
    let longest = nights.iter().map(Night::person_hours).fold(0.0, f64::max);
    (1..=MOST).find_map(|number| {
        let sheet_m2 = whole_m2 / number as f64;
        let hours = hours(sheet_m2, work);
        (sheet_m2 <= sheet.owned_m2 && hours <= longest).then_some(Pieces {
            number,
            sheet_m2,
            hours,
        })
    })
}

/// Person-hours for a piece on one night.
pub(super) fn hours(sheet_m2: f64, work: &Work) -> f64 {
    work.hours_per_piece + sheet_m2 / work.m2_per_person_hour
}

#[cfg(test)]
mod tests {
    use super::*;

    const WORK: Work = Work {
        m2_per_person_hour: 100.0,
        hours_per_piece: 0.5,
    };

    fn sheet(owned_m2: f64) -> Sheet {
        Sheet {
            owned_m2,
            extra: 0.2,
            roll: None,
            price_per_m2: None,
            life_nights: None,
        }
    }

    fn night(people: u64) -> Night {
        Night {
            date: None,
            people,
            hours: 4.0,
        }
    }

    /// A green that takes 600 m2 of sheet.
    #[test]
    fn a_green_is_cut_as_sheet_and_people_demand() {
        let number = |owned: f64, people: u64| {
            pieces(600.0, &sheet(owned), &WORK, &[night(1), night(people)]).map(|p| p.number)
        };
        assert_eq!(number(600.0, 2), Some(1));
        assert_eq!(number(599.0, 2), Some(2));
        // Four person-hours lay 350 m2.
        assert_eq!(number(600.0, 1), Some(2));
        let slow = Work {
            hours_per_piece: 9.0,
            ..WORK
        };
        assert_eq!(pieces(600.0, &sheet(600.0), &slow, &[night(2)]), None);
    }

    #[test]
    fn greens_of_the_trial_err_together() {
        let green = |of_trial| Green {
            name: String::new(),
            area_m2: 100.0,
            sheet_m2: 120.0,
            per_m2: Bounded {
                estimate: 10.0,
                low: 6.0,
                high: 16.0,
            },
            of_trial,
            priority: 1.0,
            hot_spots: None,
        };
        let (own, surveyed) = (green(true), green(false));
        let (number, correlation) = larvae_on(&[(&own, 1.0), (&own, 0.5)], -0.7);
        assert!((number.low - 900.0).abs() < 1e-9 && (number.high - 2400.0).abs() < 1e-9);
        assert!((correlation + 0.7).abs() < 1e-12);
        let (number, correlation) = larvae_on(&[(&surveyed, 1.0), (&surveyed, 1.0)], -0.7);
        assert!((number.high - 2000.0 - 600.0 * 2.0_f64.sqrt()).abs() < 1e-9);
        assert_eq!(correlation, 0.0);
    }
}
