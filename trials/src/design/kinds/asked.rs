//! What a kind of design needs to know of a protocol.

use super::super::arrangement::Arrangement;
use super::super::treatment::Treatment;

/// What is asked of a kind of design.
#[derive(Debug, Clone, Copy)]
pub struct Asked<'a> {
    /// The methods compared, in the order of the protocol.
    pub treatments: &'a [Treatment],
    /// How many blocks, or what the kind has instead.
    pub blocks: usize,
    /// Choices beyond the kind.
    pub arrangement: &'a Arrangement,
}

impl Asked<'_> {
    /// Number of treatments, the control among them.
    #[must_use]
    pub fn number(&self) -> usize {
        self.treatments.len()
    }

    /// Which treatment is the control.
    #[must_use]
    pub fn control(&self) -> usize {
        self.treatments.iter().position(|t| t.control).unwrap_or(0)
    }

    /// Plots of the control for one of each method.
    #[must_use]
    pub fn control_plots(&self) -> usize {
        self.arrangement.control_plots.unwrap_or(1).max(1)
    }

    /// Plots that hold every method once and the control as often as it has plots.
    #[must_use]
    pub fn plots_of_all(&self) -> usize {
        self.number().saturating_sub(1) + self.control_plots()
    }

    /// Treatments in protocol order, each `times` over, the control as many times more as it has plots.
    #[must_use]
    pub fn list(&self, times: usize) -> Vec<usize> {
        let repeated = self.treatments.iter().enumerate().map(|(x, treatment)| {
            let each = if treatment.control {
                self.control_plots()
            } else {
                1
            };
            vec![x; times * each]
        });
        repeated.flatten().collect()
    }

    /// Treatments of each kind of whole plot.
    #[must_use]
    pub fn whole_plots(&self) -> Vec<Vec<usize>> {
        let index = |code: &String| self.treatments.iter().position(|t| t.code == *code);
        let whole = self.arrangement.whole_plots.iter();
        whole
            .map(|codes| codes.iter().filter_map(index).collect())
            .collect()
    }
}
