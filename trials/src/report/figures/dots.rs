//! Every plot as a mark, joined within its block.

use plotters::style::text_anchor::{HPos, VPos};

use super::Figure;
use super::canvas::{Canvas, Fault, GREY, INK, PALE, WIDTH, Words, drawing};
use super::looks::mark;
use super::scale::{Scale, ticks, two_lines};
use crate::Error;
use crate::report::Findings;
use crate::text::rounding::{figure as digits, plain};

const HEIGHT: i32 = 380;
const LEFT: i32 = 56;
const RIGHT: i32 = 16;
const TOP: i32 = 40;
const FOOT: i32 = 64;
/// Half the length of the bar at a mean.
const BAR: i32 = 46;

/// One plot.
#[derive(Debug, Clone, Copy)]
pub(super) struct Dot<'d> {
    /// Place of its treatment among the columns.
    pub(super) treatment: usize,
    pub(super) block: Option<&'d str>,
    pub(super) value: f64,
}

/// What the figure shows: a column for each treatment, the control first.
#[derive(Debug, Clone)]
pub(super) struct Dots<'d> {
    pub(super) title: &'static str,
    pub(super) unit: &'d str,
    pub(super) codes: &'d [String],
    pub(super) names: &'d [String],
    pub(super) means: Vec<f64>,
    pub(super) plots: Vec<Dot<'d>>,
}

/// Draws the counts.
pub(super) fn figure(findings: &Findings<'_>) -> Result<Figure, Error> {
    let treatments = &findings.data.treatments;
    let plots = findings.data.plots.iter().map(|p| Dot {
        treatment: treatments
            .iter()
            .position(|t| *t == p.treatment)
            .unwrap_or(0),
        // In a crossover a plot is compared with itself.
        block: match findings.judgement.crossover {
            Some(_) => p.row.as_deref(),
            None => p.block.as_deref(),
        },
        value: findings.per_core(p),
    });
    let means = findings.judgement.means.iter();
    Dots {
        title: "Counts of every plot by treatment",
        unit: &findings.protocol.response.unit,
        codes: treatments,
        names: &findings.data.names,
        means: means.map(|m| findings.core_mean(m.mean)).collect(),
        plots: plots.collect(),
    }
    .figure()
}

impl Dots<'_> {
    /// Draws them.
    pub(super) fn figure(&self) -> Result<Figure, Error> {
        let words = Words {
            name: "counts",
            title: self.title.to_owned(),
            description: self.told(),
        };
        let svg = drawing(&words, HEIGHT, |canvas| self.paint(canvas))?;
        let joined = if self.plots.iter().any(|p| p.block.is_some()) {
            " Thin lines join plots of one block."
        } else {
            ""
        };
        Ok(Figure {
            name: "counts".to_owned(),
            caption: format!(
                "Every plot as one mark: {}.{joined} Thick bars are the means.",
                self.unit
            ),
            svg,
        })
    }

    fn paint(&self, canvas: &Canvas<'_>) -> Result<(), Fault> {
        let ticks = self.ticks();
        let end = |tick: Option<&f64>, none| tick.copied().unwrap_or(none);
        let up = Scale {
            values: (end(ticks.first(), 0.0), end(ticks.last(), 1.0)),
            places: (HEIGHT - FOOT, TOP),
        };
        canvas.text(self.unit, (8, 8), (HPos::Left, VPos::Top), 15)?;
        for tick in ticks {
            let y = up.at(tick);
            canvas.line((LEFT, y), (WIDTH - RIGHT, y), PALE, 1)?;
            canvas.text(&plain(tick), (LEFT - 8, y), (HPos::Right, VPos::Center), 14)?;
        }
        let at = self.places(&up);
        for (i, name) in self.names.iter().enumerate() {
            self.name(canvas, i, name)?;
            if let Some(&mean) = self.means.get(i) {
                let (x, y) = (self.middle(i), up.at(mean));
                let half = BAR.min(self.column() / 2 - 4);
                canvas.line((x - half, y), (x + half, y), INK, 5)?;
            }
        }
        for (a, b) in self.joined() {
            canvas.line(at[a], at[b], GREY, 1)?;
        }
        for (plot, &place) in self.plots.iter().zip(&at) {
            mark(canvas, plot.treatment, place, 6)?;
        }
        Ok(())
    }

    /// Ticks over 0 and every plot; steps below 0 where a reading can be.
    fn ticks(&self) -> Vec<f64> {
        let values = || self.plots.iter().map(|p| p.value);
        let (low, high) = (values().fold(0.0, f64::min), values().fold(0.5, f64::max));
        let above = ticks(high.max(-low));
        let step = above.get(1).copied().unwrap_or(1.0);
        let below = above.iter().skip(1).map(|t| -t);
        let mut all: Vec<f64> = below.take_while(|t| *t > low - step).collect();
        all.reverse();
        all.extend(above.iter().copied().filter(|t| *t < high + step));
        all
    }

    /// Name of a treatment under its column, and its mean.
    fn name(&self, canvas: &Canvas<'_>, i: usize, name: &str) -> Result<(), Fault> {
        let x = self.middle(i);
        // A letter is about half as wide as high.
        let letters = usize::try_from(self.column() / 8).unwrap_or(1).max(3);
        let shown = if letters < 8 { &self.codes[i] } else { name };
        let lines = two_lines(shown, letters);
        let below = i32::try_from(lines.len()).unwrap_or(1);
        for (line, text) in (0..).zip(lines) {
            let y = HEIGHT - FOOT + 10 + 17 * line;
            canvas.text(&text, (x, y), (HPos::Center, VPos::Top), 14)?;
        }
        let Some(mean) = self.means.get(i).map(|m| digits(*m)) else {
            return Ok(());
        };
        let text = if letters < 8 {
            mean
        } else {
            format!("mean {mean}")
        };
        let place = (x, HEIGHT - FOOT + 10 + 17 * below);
        canvas.text(&text, place, (HPos::Center, VPos::Top), 14)
    }

    /// Width of a treatment's column.
    fn column(&self) -> i32 {
        let columns = i32::try_from(self.codes.len()).unwrap_or(1).max(1);
        (WIDTH - LEFT - RIGHT) / columns
    }

    /// Middle of a treatment's column.
    fn middle(&self, i: usize) -> i32 {
        let i = i32::try_from(i).unwrap_or(0);
        LEFT + self.column() * i + self.column() / 2
    }

    /// Where each plot's mark stands: marks of one treatment that would hide each other stand side by side.
    fn places(&self, up: &Scale) -> Vec<(i32, i32)> {
        let mut at: Vec<(i32, i32)> = Vec::with_capacity(self.plots.len());
        let reach = self.column() / 2 - 8;
        for plot in &self.plots {
            let (x, y) = (self.middle(plot.treatment), up.at(plot.value));
            let hidden = |x: i32| {
                at.iter()
                    .any(|(a, b)| (a - x).abs() < 12 && (b - y).abs() < 12)
            };
            let step = (0..=reach / 13)
                .flat_map(|n| [13 * n, -13 * n])
                .find(|step| !hidden(x + step));
            at.push((x + step.unwrap_or(0), y));
        }
        at
    }

    /// Pairs of plots to join: neighbours among the plots of a block, in the order of the columns.
    fn joined(&self) -> Vec<(usize, usize)> {
        let mut blocks: Vec<&str> = self.plots.iter().filter_map(|p| p.block).collect();
        blocks.sort_unstable();
        blocks.dedup();
        let mut pairs = Vec::new();
        for block in blocks {
            let mut inside: Vec<usize> = (0..self.plots.len())
                .filter(|&i| self.plots[i].block == Some(block))
                .collect();
            inside.sort_by_key(|&i| self.plots[i].treatment);
            pairs.extend(inside.windows(2).map(|w| (w[0], w[1])));
        }
        pairs
    }

    /// The figure in words.
    fn told(&self) -> String {
        let means = self.names.iter().zip(&self.means).enumerate();
        let all: Vec<String> = means
            .map(|(i, (name, mean))| {
                let of = self.plots.iter().filter(|p| p.treatment == i);
                let (low, high) = of.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), p| {
                    (a.min(p.value), b.max(p.value))
                });
                format!(
                    "{name}: plots from {} to {}, mean {}",
                    digits(low),
                    digits(high),
                    digits(*mean)
                )
            })
            .collect();
        format!("In {}. {}.", self.unit, all.join("; "))
    }
}
