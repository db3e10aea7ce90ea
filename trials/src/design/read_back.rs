//! The design as the draw saw it, read back from a layout on file.

use super::allocation::Scheme;
use super::units::{crossover, groups, list, shuffled, split, square};
use super::{DesignKind, Layout, Protocol};
use crate::Error;

/// The scheme of a layout, its units being the layout's lines in order: what the randomisation test
/// needs to draw anew ([`Sampler`](super::allocation::Sampler)) exactly what could have been drawn.
///
/// # Errors
/// A block that does not hold as many plots as the protocol says.
pub fn scheme_of(protocol: &Protocol, layout: &Layout) -> Result<Scheme, Error> {
    let t = protocol.treatments.len();
    let all: Vec<usize> = (0..layout.plots.len()).collect();
    let mut blocks = blocks(layout);
    let mut lines = vec![all.clone()];
    let randomisation = match protocol.design.kind {
        DesignKind::CompletelyRandomised => {
            blocks = vec![all];
            shuffled(list(protocol, protocol.design.blocks))
        }
        DesignKind::RandomisedBlocks | DesignKind::Paired => shuffled(list(protocol, 1)),
        DesignKind::SplitPlot => split(groups(protocol)),
        DesignKind::LatinSquare => {
            for block in &mut blocks {
                block.sort_by_key(|&u| {
                    let plot = &layout.plots[u];
                    (number(plot.row.as_deref()), number(plot.column.as_deref()))
                });
            }
            square(protocol)
        }
        DesignKind::Crossover => {
            // Lines of the file run plot by plot, night after night.
            let sites = all.len() / t.max(1);
            lines = (0..t)
                .map(|night| (0..sites).map(|site| site * t + night).collect())
                .collect();
            crossover(protocol)
        }
    };
    complete(layout, &blocks, randomisation.units())?;
    Ok(Scheme {
        randomisation,
        lines,
        blocks,
        treatments: t,
        control: protocol
            .treatments
            .iter()
            .position(|x| x.control)
            .unwrap_or(0),
    })
}

/// Every block must hold `size` lines.
fn complete(layout: &Layout, blocks: &[Vec<usize>], size: usize) -> Result<(), Error> {
    let Some(odd) = blocks.iter().find(|b| b.len() != size) else {
        return Ok(());
    };
    let place = odd.first().map_or_else(
        || "layout.csv".to_owned(),
        |&u| format!("plot {}", layout.plots[u].plot),
    );
    Err(Error::new(
        place,
        format!(
            "its block has {} lines where the protocol has {size}",
            odd.len()
        ),
        "Restore the sealed layout, or lay out anew with --replace.",
    ))
}

/// Lines of each block, blocks in the order of their numbers, so that the draw repeats.
fn blocks(layout: &Layout) -> Vec<Vec<usize>> {
    let mut blocks: Vec<(Option<&str>, Vec<usize>)> = Vec::new();
    for (unit, plot) in layout.plots.iter().enumerate() {
        let name = plot.block.as_deref();
        match blocks.iter_mut().find(|(met, _)| *met == name) {
            Some((_, units)) => units.push(unit),
            None => blocks.push((name, vec![unit])),
        }
    }
    blocks.sort_by_key(|(name, _)| number(*name));
    blocks.into_iter().map(|(_, units)| units).collect()
}

/// The number at the end of a label such as `3` or `2.3`; 0 for none.
fn number(label: Option<&str>) -> usize {
    label
        .and_then(|l| l.rsplit('.').next())
        .and_then(|l| l.parse().ok())
        .unwrap_or(0)
}
