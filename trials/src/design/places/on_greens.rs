//! Places on several greens, green by green.

use super::super::plots::Site;
use super::super::{BlockBy, Greens, Protocol};
use super::apportioned::{apportioned, room_of};
use super::{Places, places};
use crate::Error;
use crate::area::Outline;

/// A green's part of the places.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::design) struct GreenPart {
    pub(super) name: String,
    pub(super) first_block: usize,
    pub(super) angle_deg: f64,
}

/// Finds a place for every plot on one green or several, green by green. Where `advise`, a refusal tells which smaller
/// plots would fit.
///
/// # Errors
/// As [`places`]; a completely randomised design on several greens; more blocks than the greens take.
pub(in crate::design) fn places_on(
    protocol: &Protocol,
    greens: Greens<'_>,
    advise: bool,
) -> Result<Places, Error> {
    let greens = greens.each();
    if let [(None, outline)] = greens.as_slice() {
        return places(protocol, outline, advise);
    }
    let kind = protocol.design.kind;
    if !kind.facts().has_blocks() {
        return Err(Error::new(
            "trial.toml [design] kind",
            format!("a {} design does not tell greens apart", kind.facts().name),
            "Use `randomised-blocks`: a green is a block or holds blocks.",
        ));
    }
    let shares = green_shares(protocol, &greens)?;
    let plots = kind.shape(&protocol.asked()).plots();
    let mut all: Option<Places> = None;
    let mut first_block = 0;
    for ((name, outline), (share, most)) in greens.into_iter().zip(shares) {
        if share == 0 {
            continue;
        }
        let mut part = protocol.clone();
        part.design.blocks = share;
        let before = &protocol.design.arrangement.before;
        let counted = first_block * plots..(first_block + share) * plots;
        part.design.arrangement.before = before.get(counted).unwrap_or_default().to_vec();
        let found = places(&part, outline, advise)?;
        let green = GreenPart {
            name: name.unwrap_or_default().to_owned(),
            first_block,
            angle_deg: found.angle_deg,
        };
        let sites = found.sites.iter().map(|s| Site {
            block: s.block + first_block,
            ..*s
        });
        let places = all.get_or_insert_with(|| Places {
            sites: Vec::new(),
            greens: Vec::new(),
            most_blocks: 0,
            ..found.clone()
        });
        places.sites.extend(sites);
        places.greens.push(green);
        places.most_blocks += most;
        first_block += share;
    }
    all.ok_or_else(|| {
        Error::new(
            "trial.toml [[green]]",
            "no green takes a block",
            "Measure the greens, or ask for smaller plots.",
        )
    })
}

/// Blocks on each green and the most it takes: as the protocol says, or by room.
fn green_shares(
    protocol: &Protocol,
    greens: &[(Option<&str>, &Outline)],
) -> Result<Vec<(usize, usize)>, Error> {
    let mut one = protocol.clone();
    one.design.blocks = 1;
    if one.design.arrangement.block_by != BlockBy::Zones {
        one.design.arrangement.block_by = BlockBy::Position;
    }
    let most: Vec<usize> = greens
        .iter()
        .map(|(_, outline)| places(&one, outline, false).map_or(0, |p| p.most_blocks))
        .collect();
    let told = &protocol.design.arrangement.greens;
    let asked: Vec<usize> = told.iter().filter_map(|g| g.blocks).collect();
    let share = if asked.len() == greens.len() {
        asked
    } else {
        apportioned(&most, protocol.design.blocks)
    };
    if share.iter().sum::<usize>() < protocol.design.blocks {
        let names = greens.iter().map(|(name, _)| name.unwrap_or_default());
        return Err(Error::new(
            "trial.toml [design] blocks",
            format!(
                "{} blocks do not fit on the greens: {}",
                protocol.design.blocks,
                room_of(names, &most)
            ),
            "Ask for fewer blocks or smaller plots, or add a green.",
        ));
    }
    Ok(share.into_iter().zip(most).collect())
}
