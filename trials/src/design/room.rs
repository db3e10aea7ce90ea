//! How much the ground of a trial holds: whether a trial of another size could be laid out on it, and what would let it.

use super::kinds::suits;
use super::lay_out::lay_out;
use super::places::places_on;
use super::plots::{LEAST_SIDE, halved, round_down};
use super::{Greens, PlotSize, Protocol};
use crate::Error;

/// Most blocks looked for; no club lays out as many.
const MOST: usize = 1000;

/// Plots of a trial with so many blocks.
#[must_use]
pub fn plots_of(protocol: &Protocol, blocks: usize) -> usize {
    let mut sized = protocol.clone();
    sized.design.blocks = blocks;
    plots(&sized)
}

fn plots(protocol: &Protocol) -> usize {
    let (kind, asked) = (protocol.design.kind, protocol.asked());
    kind.shapes(&asked) * kind.shape(&asked).plots()
}

/// Whether the protocol with another number of blocks could be laid out on its ground. Blocks are shared out over
/// several greens by room, whatever the protocol gave each.
///
/// # Errors
/// What `layout` would refuse it for.
pub fn fits<'a>(
    protocol: &Protocol,
    greens: impl Into<Greens<'a>>,
    blocks: usize,
) -> Result<(), Error> {
    // Whatever the seed: it decides who gets what, not whether there is room.
    lay_out(&with_blocks(protocol, blocks), greens, 0).map(|_| ())
}

/// Most blocks of the protocol's plots that its ground takes; 0 where not one fits.
#[must_use]
pub fn most_blocks<'a>(protocol: &Protocol, greens: impl Into<Greens<'a>>) -> usize {
    let greens = greens.into();
    let one = with_blocks(protocol, 1);
    if suits(one.design.kind, &one.asked()).is_err() {
        return 0;
    }
    let plot = protocol.plot;
    let guards = 2.0 * plot.guard_m;
    let tile = (plot.length_m + guards) * (plot.width_m + guards);
    let outlines = greens.each().into_iter();
    let area: f64 = outlines.map(|(_, outline)| outline.area_m2()).sum();
    let most = area / (tile * plots_of(protocol, 1) as f64);
    let (mut low, mut high) = (0, MOST + 1);
    while high - low > 1 {
        let middle = usize::midpoint(low, high);
        // More than their area holds need not be tried.
        let holds = middle as f64 <= most && places(protocol, greens, middle);
        if holds {
            low = middle;
        } else {
            high = middle;
        }
    }
    low
}

/// The largest plots of the same shape and guard, in twentieths of their length and width, of which the ground takes so
/// many blocks; absent where none would do.
#[must_use]
pub fn plots_that_fit<'a>(
    protocol: &Protocol,
    greens: impl Into<Greens<'a>>,
    blocks: usize,
) -> Option<PlotSize> {
    let greens = greens.into();
    halved(|share| {
        let mut smaller = protocol.clone();
        smaller.plot.length_m = round_down(protocol.plot.length_m * share);
        smaller.plot.width_m = round_down(protocol.plot.width_m * share);
        let sound = smaller.plot.length_m.min(smaller.plot.width_m) >= LEAST_SIDE;
        (sound && places(&smaller, greens, blocks)).then_some(smaller.plot)
    })
}

fn places(protocol: &Protocol, greens: Greens<'_>, blocks: usize) -> bool {
    places_on(&with_blocks(protocol, blocks), greens, false).is_ok()
}

fn with_blocks(protocol: &Protocol, blocks: usize) -> Protocol {
    let mut other = protocol.clone();
    other.design.blocks = blocks;
    for green in &mut other.design.arrangement.greens {
        green.blocks = None;
    }
    // Counts before treatment decide which block a plot is in, not where it lies.
    other.design.arrangement.before = vec![0.0; plots(&other)];
    other
}
