//! What a plan costs, in money and in hours.

use serde::Serialize;

use crate::Error;

/// Prices and minutes, each for one of a thing. Absent prices leave the cost unsaid.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Prices {
    /// Of a plot: pegs, marking, its share of the sheet.
    pub plot: Option<f64>,
    /// Of taking and counting a core.
    pub core: Option<f64>,
    /// Of one sheet lying one night on one treated plot.
    pub sheet_night: Option<f64>,
    /// Nights under the sheet.
    pub nights: f64,
    /// Of one person for one hour; counts where minutes are given.
    pub person_hour: Option<f64>,
    /// People's minutes for each plot: laying, weighting, lifting.
    pub plot_minutes: Option<f64>,
    /// People's minutes for each core.
    pub core_minutes: Option<f64>,
}

impl Default for Prices {
    fn default() -> Self {
        Self {
            plot: None,
            core: None,
            sheet_night: None,
            nights: 1.0,
            person_hour: None,
            plot_minutes: None,
            core_minutes: None,
        }
    }
}

impl Prices {
    /// Refuses prices below 0 and what is no number.
    ///
    /// # Errors
    /// The first such price, with the field it came from.
    pub fn check(&self) -> Result<(), Error> {
        for (field, price) in [
            ("cost_plot", self.plot),
            ("cost_core", self.core),
            ("cost_sheet_night", self.sheet_night),
            ("cost_hour", self.person_hour),
            ("nights", Some(self.nights)),
            ("minutes_plot", self.plot_minutes),
            ("minutes_core", self.core_minutes),
        ] {
            if let Some(price) = price
                && !(price.is_finite() && price >= 0.0)
            {
                let what = format!("{price} is not a price");
                return Err(Error::in_field(
                    field,
                    what,
                    "Give 0 or more, or leave it out.",
                ));
            }
        }
        Ok(())
    }

    /// Cost of a plan of `plots` plots, `treated` of them under a method, with `cores` cores each; `None`
    /// when nothing is priced. An hour without minutes is no price of a plan.
    #[must_use]
    pub fn cost(&self, plots: usize, treated: usize, cores: usize) -> Option<f64> {
        if !self.any() {
            return None;
        }
        let nights = treated as f64 * self.nights;
        sum(&[
            (self.plot, plots as f64),
            (self.core, (plots * cores) as f64),
            (self.sheet_night, nights),
            (self.person_hour, self.hours(plots, cores).unwrap_or(0.0)),
        ])
    }

    /// Whether a plan has a price.
    #[must_use]
    pub fn any(&self) -> bool {
        let timed = self.plot_minutes.is_some() || self.core_minutes.is_some();
        let things = [self.plot, self.core, self.sheet_night];
        things.iter().any(Option::is_some) || (timed && self.person_hour.is_some())
    }

    /// People's hours for the same plan; `None` when no minutes are given.
    #[must_use]
    pub fn hours(&self, plots: usize, cores: usize) -> Option<f64> {
        let minutes = [
            (self.plot_minutes, plots as f64),
            (self.core_minutes, (plots * cores) as f64),
        ];
        sum(&minutes).map(|m| m / 60.0)
    }
}

fn sum(items: &[(Option<f64>, f64)]) -> Option<f64> {
    items
        .iter()
        .filter_map(|(price, number)| price.map(|p| p * number))
        .reduce(|a, b| a + b)
}
