//! Blocks within zones of like ground.

use super::super::plots::{Request, Site, place, room};
use super::Places;
use super::apportioned::{apportioned, room_of};
use crate::Error;
use crate::area::Outline;

/// Blocks laid in zones, as many in each as [`shares`] gives it.
pub(super) fn by_zones(outline: &Outline, ask: &Request) -> Result<Places, Error> {
    let (shares, most_blocks) = shares(outline, ask)?;
    let mut all = Places {
        sites: Vec::new(),
        angle_deg: 0.0,
        greens: Vec::new(),
        most_blocks,
    };
    let mut blocks = 0;
    // One direction for the whole trial: the first zone's serves all unless one was asked for.
    let mut angle_deg = ask.angle_deg;
    for (zone, share) in outline.zones.iter().zip(shares).filter(|(_, s)| *s > 0) {
        let part = Request {
            blocks: share,
            angle_deg,
            ..*ask
        };
        let found = place(outline, Some(zone), &part)?;
        angle_deg = Some(found.angle_deg);
        all.angle_deg = found.angle_deg;
        all.sites.extend(found.sites.iter().map(|s| Site {
            block: s.block + blocks,
            ..*s
        }));
        blocks += share;
    }
    Ok(all)
}

/// Blocks for each zone, and the most that all zones take.
fn shares(outline: &Outline, ask: &Request) -> Result<(Vec<usize>, usize), Error> {
    if outline.zones.is_empty() {
        return Err(Error::new(
            "trial.toml [design] block_by",
            "blocks are to follow zones, but the outline has none",
            "Add lines with `zone NAME` in a column `part` of outline.csv, or block by position.",
        ));
    }
    let zones = outline.zones.iter();
    let most: Vec<usize> = zones.map(|zone| room(outline, Some(zone), ask)).collect();
    let total = most.iter().sum();
    if total < ask.blocks {
        let names = outline.zones.iter().map(|z| z.name.as_str());
        return Err(Error::new(
            "trial.toml [design] blocks",
            format!(
                "{} blocks do not fit into the zones: {}",
                ask.blocks,
                room_of(names, &most)
            ),
            "Ask for fewer blocks or smaller plots.",
        ));
    }
    Ok((apportioned(&most, ask.blocks), total))
}
