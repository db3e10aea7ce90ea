//! Every plot as a mark, joined within its block.

use super::Figure;
use super::treatment_mark;
use crate::Error;
use crate::drawing::chart::{Axis, Chart, LETTERING, Layer, Stroke, Tick};
use crate::drawing::lettering::{Weight, lines_needed, width, wrap};
use crate::drawing::palette::{GREY, INK};
use crate::drawing::paper::Words;
use crate::drawing::{Cell, FigureData};
use crate::report::Findings;
use crate::text::rounding::figure as digits;

/// Half the length of the bar at a mean, pixels.
const BAR: f64 = 46.0;
/// Plots beyond which they are a cloud: lines between them would cover it, and marks are smaller.
const CLOUD: usize = 240;
/// Radius of a mark, and of one in a cloud, pixels.
const MARK: f64 = 6.0;
const IN_CLOUD: f64 = 3.0;
/// From one mark to another beside it, in radii.
const BESIDE: f64 = 13.0 / 6.0;
/// Least distance between the names of two columns, pixels.
const APART: f64 = 7.0;
/// Most lines of a name below its column.
const LINES: usize = 3;

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

/// Whether lines join so many plots within their blocks.
pub(in crate::report) fn are_joined(plots: usize) -> bool {
    plots <= CLOUD
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
        let words = Words::new("counts", self.title, &self.told(), &[]);
        let ends = (0.0, self.names.len().max(1) as f64);
        let across = Axis::with_ticks("", ends, Vec::new());
        let mut chart = Chart::new(words, across, self.up());
        chart.headed = false;
        let (column, step) = chart.pixels();
        chart.across.ticks = self.ticks(column - APART);
        chart.layers = self.layers(column, step);
        let joined = if self.is_joined() {
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
            svg: chart.draw()?,
            data: self.data(),
        })
    }

    /// The upright axis over 0 and every plot, from tick to tick.
    fn up(&self) -> Axis {
        const STEPS: u32 = 5;
        let values = || self.plots.iter().map(|p| p.value);
        let (low, high) = (values().fold(0.0, f64::min), values().fold(0.5, f64::max));
        Axis::numbers(self.unit, Axis::rounded_out((low, high), STEPS), STEPS)
    }

    /// Name of each treatment under its column, and its mean; its code where a column has no room for names.
    fn ticks(&self, room: f64) -> Vec<Tick> {
        let fits = |name: &String| {
            let (lines, whole) = lines_needed(name, room, LETTERING, Weight::Regular);
            lines <= LINES && whole
        };
        let broken = |name: &String| wrap(name, room, LETTERING, Weight::Regular, LINES);
        // A name of very many words is cut, unless its first ones cannot tell it from another.
        let cut: Vec<Vec<String>> = self.names.iter().map(broken).collect();
        let told_apart = cut.iter().enumerate().all(|(i, c)| !cut[..i].contains(c));
        let spacious = room >= width("nnnnnnnn", LETTERING, Weight::Regular);
        let named = self.names.iter().all(fits) || told_apart && spacious;
        let name = |i: usize| {
            if named {
                cut[i].clone()
            } else {
                wrap(&self.codes[i], room, LETTERING, Weight::Regular, 1)
            }
        };
        // All means or none: with very many columns, the page's table tells them.
        let means: Vec<String> = self.means.iter().map(|m| digits(*m)).collect();
        let full: Vec<String> = means.iter().map(|m| format!("mean {m}")).collect();
        let fit = |all: &Vec<String>| {
            all.iter()
                .all(|m| width(m, LETTERING, Weight::Regular) <= room)
        };
        let means = [full, means].into_iter().find(fit).unwrap_or_default();
        let columns = 0..self.names.len();
        let deepest = columns.clone().map(|i| name(i).len()).max().unwrap_or(1);
        columns
            .map(|i| {
                let mut lines = name(i);
                // Means stand in one row.
                lines.resize(deepest, String::new());
                lines.extend(means.get(i).cloned());
                Tick {
                    at: middle(i),
                    name: lines,
                }
            })
            .collect()
    }

    /// Bars of the means, lines between plots of a block, a mark for every plot.
    fn layers(&self, column: f64, step: f64) -> Vec<Layer> {
        let half = BAR.min(column / 2.0 - 4.0) / column;
        let bar = |(i, &mean): (usize, &f64)| {
            let ends = [-half, half].map(|side| (middle(i) + side, mean));
            Layer::Line(ends.to_vec(), Stroke::full(INK, 5))
        };
        let bars = self.means.iter().enumerate().map(bar);
        let at = self.places(column, step);
        let radius = self.radius();
        let mark = |(plot, &place): (&Dot<'_>, &(f64, f64))| {
            Layer::Marks(vec![place], treatment_mark(plot.treatment), radius)
        };
        let marks = self.plots.iter().zip(&at).map(mark);
        if !are_joined(self.plots.len()) {
            // A cloud would hide what lies under it.
            return marks.chain(bars).collect();
        }
        let joins = self.joined().into_iter();
        let joins = joins.map(|(a, b)| Layer::Line(vec![at[a], at[b]], Stroke::full(GREY, 1)));
        bars.chain(joins).chain(marks).collect()
    }

    /// Where each plot's mark stands: marks of one treatment that would hide each other stand side by side.
    fn places(&self, column: f64, step: f64) -> Vec<(f64, f64)> {
        let mut at: Vec<(f64, f64)> = Vec::with_capacity(self.plots.len());
        let radius = self.radius();
        let reach = column / 2.0 - radius - 2.0;
        for plot in &self.plots {
            let x = middle(plot.treatment);
            let hidden = |aside: f64| {
                at.iter().any(|(a, b)| {
                    let across = (a - x) * column - aside;
                    let up = (b - plot.value) * step;
                    across.abs() < 2.0 * radius && up.abs() < 2.0 * radius
                })
            };
            let aside = (0..=20)
                .map(|n| BESIDE * radius * f64::from(n))
                .take_while(|aside| *aside <= reach)
                .flat_map(|aside| [aside, -aside])
                .find(|aside| !hidden(*aside));
            at.push((x + aside.unwrap_or(0.0) / column, plot.value));
        }
        at
    }

    /// Whether any plots are joined.
    fn is_joined(&self) -> bool {
        are_joined(self.plots.len()) && self.plots.iter().any(|p| p.block.is_some())
    }

    /// Radius of a mark, pixels.
    fn radius(&self) -> f64 {
        if are_joined(self.plots.len()) {
            MARK
        } else {
            IN_CLOUD
        }
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

    fn data(&self) -> FigureData {
        let mut data = FigureData::new(&["treatment", "block", self.unit]);
        let name = |plot: &Dot<'_>| self.names.get(plot.treatment).map_or("", String::as_str);
        let row = |plot: &Dot<'_>| {
            let block = plot.block.map_or(Cell::Empty, Cell::from);
            vec![name(plot).into(), block, plot.value.into()]
        };
        data.rows = self.plots.iter().map(row).collect();
        data
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

/// Middle of a treatment's column, each column being one wide.
fn middle(column: usize) -> f64 {
    column as f64 + 0.5
}
