//! Blocks whose plots lie on unlike ground, and plots across the edge of a zone.

use std::collections::BTreeSet;

use super::corner_places;
use crate::area::Outline;
use crate::design::{Layout, Plot, Protocol};

/// One sentence for each block of a green whose plots lie in different zones, and one for all plots that lie across the edge
/// of the same zone; none on a green without zones.
///
/// A plot's zone is that of its centre; it lies across an edge where a corner is in another.
#[must_use]
pub fn straddling(protocol: &Protocol, outline: &Outline, layout: &Layout) -> Vec<String> {
    if outline.zones.is_empty() {
        return Vec::new();
    }
    let facts = protocol.design.kind.facts();
    let [block_word, _] = facts.blocks;
    let mut blocks: Vec<(&str, Vec<&Plot>)> = Vec::new();
    let mut met = BTreeSet::new();
    let mut across: Vec<(&str, Vec<&str>)> = Vec::new();
    for plot in layout.plots.iter().filter(|p| met.insert(p.plot.as_str())) {
        let own = outline.zone_of(plot.x_m, plot.y_m);
        let other = corner_places(plot)
            .into_iter()
            .map(|[x, y]| outline.zone_of(x, y))
            .find(|zone| *zone != own);
        if let Some(zone) = other {
            let edge = own.or(zone).unwrap_or_default();
            match across.iter_mut().find(|(known, _)| *known == edge) {
                Some((_, plots)) => plots.push(&plot.plot),
                None => across.push((edge, vec![&plot.plot])),
            }
        }
        if let Some(name) = plot.block.as_deref().filter(|_| facts.has_blocks()) {
            match blocks.iter_mut().find(|(known, _)| *known == name) {
                Some((_, plots)) => plots.push(plot),
                None => blocks.push((name, vec![plot])),
            }
        }
    }
    let unlike = blocks.into_iter().filter_map(|(name, plots)| {
        let mut grounds: Vec<(Option<&str>, Vec<&str>)> = Vec::new();
        for plot in plots {
            let zone = outline.zone_of(plot.x_m, plot.y_m);
            match grounds.iter_mut().find(|(known, _)| *known == zone) {
                Some((_, names)) => names.push(&plot.plot),
                None => grounds.push((zone, vec![&plot.plot])),
            }
        }
        (grounds.len() > 1).then(|| unlike_ground(block_word, name, &grounds))
    });
    let across = across.into_iter().map(|(edge, plots)| {
        let lie = if plots.len() == 1 { "lies" } else { "lie" };
        format!(
            "{} {lie} across the edge of the zone {edge}.",
            capital(&listed(&plots))
        )
    });
    unlike.chain(across).collect()
}

/// "plot 7", "plots 7, 8".
fn listed(plots: &[&str]) -> String {
    match plots {
        [only] => format!("plot {only}"),
        several => format!("plots {}", several.join(", ")),
    }
}

fn capital(text: &str) -> String {
    text.replacen('p', "P", 1)
}

/// "Pair 4 straddles unlike ground: plot 7 in wet hollow, plot 8 in no zone. ..."
fn unlike_ground(word: &str, name: &str, grounds: &[(Option<&str>, Vec<&str>)]) -> String {
    let parts: Vec<String> = grounds
        .iter()
        .map(|(zone, plots)| {
            let plots = listed(plots);
            zone.map_or_else(
                || format!("{plots} in no zone"),
                |zone| format!("{plots} in the zone {zone}"),
            )
        })
        .collect();
    format!(
        "The {word} {name} straddles unlike ground: {}. What the ground does there will look like the treatment's work.",
        parts.join(", ")
    )
}
