//! Which material, laid which way, for which patch.

use super::super::rolls::quickly_cut;
use super::super::takeoff::TakeOff;
use super::assembly::assembled;
use super::patch::Patch;
use super::shed::{Cuttable, cuttable};
use super::sheet_order::SheetOrder;
use super::sort::{Material, Sort, materials};
use crate::Error;

/// Directions of a patch that are compared by the rolls they take, where there are few patches.
pub const DIRECTIONS: usize = 5;

/// Patches up to which they are: more share rolls in so many ways that one direction decides little.
const FEW_PATCHES: usize = 6;

/// Rounds in which every patch may change.
const ROUNDS: usize = 3;

/// One way to lay a patch.
#[derive(Debug)]
pub(super) struct WayToLay {
    /// Place of the material.
    pub(super) material: usize,
    pub(super) taken: TakeOff,
}

/// Orders sheet for patches of ground; `from_deg` is where the wind comes from, clockwise from north. Prices count where
/// every sort has one, else the least sheet is bought.
///
/// # Errors
/// No sort or no patch, ground that cannot be taken off, or a planned strip that no sort is wide enough for.
pub fn order(
    patches: &[Patch],
    sorts: &[Sort],
    from_deg: Option<f64>,
) -> Result<SheetOrder, Error> {
    let materials = materials(sorts);
    let by_price =
        sorts.iter().all(|s| s.price.is_some()) && sorts.iter().any(|s| s.price != Some(0.0));
    let most = if patches.len() <= FEW_PATCHES {
        DIRECTIONS
    } else {
        1
    };
    let mut ways = Vec::with_capacity(patches.len());
    for patch in patches {
        ways.push(ways_of(patch, &materials, most)?);
    }
    let chooser = Chooser {
        ways: &ways,
        materials: &materials,
        sorts,
        by_price,
    };
    let chosen = chooser.chosen()?;
    let laid: Vec<&WayToLay> = (0..chosen.len()).map(|p| chooser.way(&chosen, p)).collect();
    let cuttables: Vec<Cuttable> = (0..materials.len())
        .map(|m| chooser.cuttable(&chosen, m))
        .collect();
    assembled(patches, sorts, &laid, &cuttables, from_deg)
}

fn ways_of(patch: &Patch, materials: &[Material], most: usize) -> Result<Vec<WayToLay>, Error> {
    let mut all = Vec::new();
    for (material, m) in materials.iter().enumerate() {
        let few = patch.ways(&m.roll, most)?;
        all.extend(few.into_iter().map(|taken| WayToLay { material, taken }));
    }
    if all.is_empty() {
        let place = patch.called().unwrap_or_else(|| "order".to_owned());
        let what = "no roll is as wide as the strip that is planned";
        let cure = "Plan again with the width and lap of a roll of trial.toml: `halfgreen hotspots --roll-width M --lap M`.";
        return Err(Error::new(place, what, cure));
    }
    Ok(all)
}

struct Chooser<'a> {
    ways: &'a [Vec<WayToLay>],
    materials: &'a [Material],
    sorts: &'a [Sort],
    by_price: bool,
}

impl Chooser<'_> {
    fn way(&self, chosen: &[usize], patch: usize) -> &WayToLay {
        &self.ways[patch][chosen[patch]]
    }

    /// The strips of a material and its rolls.
    fn cuttable(&self, chosen: &[usize], material: usize) -> Cuttable {
        let strips = (0..chosen.len())
            .map(|p| self.way(chosen, p))
            .filter(|o| o.material == material)
            .flat_map(|o| o.taken.strips.iter().map(|s| s.length_m));
        cuttable(&self.materials[material], self.sorts, strips, self.by_price)
    }

    /// What a choice costs, and the sheet and strips it takes, in thousandths of a square metre.
    fn cost(&self, chosen: &[usize]) -> Result<(u64, u64), Error> {
        let mut cost = 0;
        for material in 0..self.materials.len() {
            cost += quickly_cut(&self.cuttable(chosen, material).problem)?;
        }
        let sheet: f64 = (0..chosen.len())
            .map(|p| self.way(chosen, p).taken.effort_m2())
            .sum();
        Ok((cost, thousandths(sheet)))
    }

    /// The cheapest choice found.
    fn chosen(&self) -> Result<Vec<usize>, Error> {
        let mut best: Option<((u64, u64), Vec<usize>)> = None;
        for start in self.starts() {
            let found = self.improved(start)?;
            if best.as_ref().is_none_or(|b| found.0 < b.0) {
                best = Some(found);
            }
        }
        let nothing = || {
            Error::new(
                "order",
                "there is nothing to cover",
                "Name ground and a roll.",
            )
        };
        Ok(best.ok_or_else(nothing)?.1)
    }

    /// Every patch from one material, for each material that can; and least sheet for each patch.
    fn starts(&self) -> Vec<Vec<usize>> {
        let one = |m: usize| -> Option<Vec<usize>> {
            let each = self.ways.iter();
            each.map(|o| o.iter().position(|way| way.material == m))
                .collect()
        };
        let least = |o: &Vec<WayToLay>| {
            (0..o.len()).min_by(|&a, &b| o[a].taken.effort_m2().total_cmp(&o[b].taken.effort_m2()))
        };
        let mut all: Vec<Vec<usize>> = (0..self.materials.len()).filter_map(one).collect();
        if all.len() != 1 {
            all.extend(self.ways.iter().map(least).collect::<Option<Vec<usize>>>());
        }
        all
    }

    fn improved(&self, mut chosen: Vec<usize>) -> Result<((u64, u64), Vec<usize>), Error> {
        let mut cost = self.cost(&chosen)?;
        for _ in 0..ROUNDS {
            let before = cost;
            for patch in 0..chosen.len() {
                for other in 0..self.ways[patch].len() {
                    let mut changed = chosen.clone();
                    changed[patch] = other;
                    if other == chosen[patch] {
                        continue;
                    }
                    let its = self.cost(&changed)?;
                    if its < cost {
                        (cost, chosen) = (its, changed);
                    }
                }
            }
            if cost == before {
                break;
            }
        }
        Ok((cost, chosen))
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "sheet of a night, above 0"
)]
fn thousandths(area_m2: f64) -> u64 {
    (1000.0 * area_m2).round() as u64
}
