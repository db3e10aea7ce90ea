//! The ground of a past trial, on which the next one would lie: whether there is room for a plan, and what would make it.

use serde::Serialize;

use super::sample_size_request::PlanSize;
use super::terms::Terms;
use crate::design::{
    CORED_SHARE, Green, PlotSize, Protocol, Sample, fits, most_blocks, plots_of, plots_that_fit,
};

/// The greens of a trial and the protocol by which plots are laid on them.
#[derive(Debug, Clone)]
pub struct Ground<'a> {
    protocol: Protocol,
    greens: &'a [Green],
    terms: Terms,
    most_blocks: usize,
}

/// Whether a plan can be laid out on the ground as it was measured.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Room {
    /// Whether `layout` would take it.
    pub fits: bool,
    /// Plots of the plan.
    pub plots: usize,
    /// Most blocks of the trial's own plots that the ground takes.
    pub most_blocks: usize,
    /// The same in plots.
    pub most_plots: usize,
    /// Smaller plots with which it would fit, where there are any that still bear the sampling.
    pub smaller_plots: Option<PlotSize>,
    /// Blocks for which another green would have to have room.
    pub further_blocks: usize,
    /// All of it in a sentence.
    pub sentence: String,
    /// The same for people who know no blocks.
    #[serde(skip)]
    pub plain: String,
}

impl<'a> Ground<'a> {
    /// The ground of a protocol; `greens` as they were measured, `terms` those in which plans are sized.
    #[must_use]
    pub fn new(protocol: Protocol, greens: &'a [Green], terms: Terms) -> Self {
        let most_blocks = most_blocks(&protocol, greens);
        Self {
            protocol,
            greens,
            terms,
            most_blocks,
        }
    }

    /// Most blocks of the trial's own plots that the ground takes.
    pub(super) fn most_blocks(&self) -> usize {
        self.most_blocks
    }

    /// Whether there is room for a plan, as far as the search for places goes.
    pub(super) fn holds(&self, size: PlanSize) -> bool {
        self.terms.design_blocks(size.blocks) <= self.most_blocks
    }

    /// Plots of a plan.
    #[must_use]
    pub fn plots(&self, size: PlanSize) -> usize {
        plots_of(&self.protocol, self.terms.design_blocks(size.blocks))
    }

    /// Lays a plan out, as `layout` would.
    pub(super) fn room(&self, size: PlanSize) -> Room {
        let blocks = self.terms.design_blocks(size.blocks);
        let laid = fits(&self.protocol, self.greens, blocks);
        let mut room = Room {
            fits: laid.is_ok(),
            plots: self.plots(size),
            most_blocks: self.most_blocks,
            most_plots: plots_of(&self.protocol, self.most_blocks),
            smaller_plots: None,
            further_blocks: blocks.saturating_sub(self.most_blocks),
            sentence: String::new(),
            plain: String::new(),
        };
        let [here, the_green] = if self.greens.len() > 1 {
            ["the greens as measured have", "the greens"]
        } else {
            ["the green as measured has", "the green"]
        };
        match laid {
            Ok(()) => {
                room.sentence = format!("{here} room for it");
                room.plain = format!("There is room for it on {the_green}.");
            }
            // Something else than room is amiss.
            Err(refused) if blocks <= self.most_blocks => {
                room.sentence = format!(
                    "`layout` would refuse it: {}. {}",
                    refused.what,
                    refused.cure.trim_end_matches('.')
                );
                room.plain
                    .push_str("Whether it can be laid out is not settled.");
            }
            Err(_) => {
                let smaller = plots_that_fit(&self.protocol, self.greens, blocks);
                room.smaller_plots =
                    smaller.filter(|plot| self.bears_sampling(*plot, size.cores_per_plot));
                room.sentence = self.cures(&room, here);
                room.plain = plain_cures(&room, the_green);
            }
        }
        room
    }

    /// Whether cores leave enough of a plot.
    fn bears_sampling(&self, plot: PlotSize, cores: usize) -> bool {
        let taken = self.protocol.response.core_area_m2 * cores as f64;
        let share = match self.protocol.response.sample {
            Sample::Core => CORED_SHARE,
            Sample::Quadrat | Sample::Reading => 1.0,
        };
        taken <= share * plot.length_m * plot.width_m
    }

    fn cures(&self, room: &Room, here: &str) -> String {
        let most = match room.most_blocks {
            0 => "room for none of its plots".to_owned(),
            most => format!(
                "room for {} of such plots at most",
                self.terms.counted(most)
            ),
        };
        let own = self.protocol.plot;
        let mut cures = Vec::new();
        if let Some(plot) = room.smaller_plots {
            cures.push(format!(
                "plots of {} m by {} m instead of {} m by {} m",
                plot.length_m, plot.width_m, own.length_m, own.width_m
            ));
        }
        if self.protocol.design.kind.facts().has_blocks() {
            cures.push(format!(
                "another green that takes {} more",
                room.further_blocks
            ));
        }
        let cures = match cures.as_slice() {
            [] => "it would take a larger green".to_owned(),
            all => format!("it would fit with {}", all.join(", or with ")),
        };
        format!("it does not fit: {here} {most}; {cures}")
    }
}

/// What would make room, for people who know no blocks.
fn plain_cures(room: &Room, the_green: &str) -> String {
    let smaller = room.smaller_plots.map_or(String::new(), |plot| {
        format!(
            " It would fit with plots of {} m by {} m, or with another green.",
            plot.length_m, plot.width_m
        )
    });
    let other = if smaller.is_empty() {
        " It would take a larger green or another one as well.".to_owned()
    } else {
        smaller
    };
    format!(
        "There is no room for so many: {} plots of that size fit on {the_green}.{other}",
        room.most_plots
    )
}
