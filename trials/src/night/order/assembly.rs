//! From a choice to the order: strips numbered in laying order, rolls cut, sums.

use super::super::laps::laying_order;
use super::super::rolls::{From, cut};
use super::super::takeoff::Strip;
use super::choice::WayToLay;
use super::patch::Patch;
use super::shed::Cuttable;
use super::sheet_order::{LaidPatch, OrderedRoll, OrderedStrip, Purchase, SheetOrder};
use super::sort::Sort;
use crate::Error;

/// A strip at its place in the order, before its roll is known.
struct Placed {
    patch: usize,
    strip: Strip,
}

/// A roll that is cut, and the places of its strips in the order.
struct Opened {
    sort: usize,
    in_shed: bool,
    length_mm: u64,
    rest_mm: u64,
    strips: Vec<usize>,
}

/// Cuts the strips of every material and puts all in order.
pub(super) fn assembled(
    patches: &[Patch],
    sorts: &[Sort],
    ways: &[&WayToLay],
    cuttables: &[Cuttable],
    from_deg: Option<f64>,
) -> Result<SheetOrder, Error> {
    let (mut placed, mut laid_patches) = (Vec::new(), Vec::new());
    // For each material the places of its strips, in the order in which it cuts them: patch after patch, as taken off.
    let mut places: Vec<Vec<usize>> = vec![Vec::new(); cuttables.len()];
    for (p, (patch, way)) in patches.iter().zip(ways).enumerate() {
        let (order, lapping) = laying_order(&way.taken.strips, from_deg);
        let mut its = vec![0; order.len()];
        for at in order {
            its[at] = placed.len();
            let strip = way.taken.strips[at].clone();
            placed.push(Placed { patch: p, strip });
        }
        places[way.material].extend(its);
        laid_patches.push(LaidPatch {
            green: patch.green.clone(),
            plot: patch.name.clone(),
            area_m2: way.taken.area_m2,
            sheet_m2: way.taken.sheet_m2,
            angle_deg: way.taken.angle_deg,
            directions: way.taken.directions,
            lap_m: way.taken.roll.lap_m(),
            edge_m: way.taken.roll.edge_m(),
            lapping,
        });
    }
    let (mut opened, mut cost, mut bound) = (Vec::new(), 0, 0);
    for (cuttable, places) in cuttables.iter().zip(&places) {
        let cutting = cut(&cuttable.problem)?;
        cost += cutting.cost;
        bound += cutting.bound;
        opened.extend(cutting.rolls.into_iter().map(|roll| {
            let (sort, in_shed, length_mm) = match roll.from {
                From::Shed(k) => (cuttable.shed[k], true, cuttable.problem.shed[k]),
                From::Sale(k) => (cuttable.sale[k], false, cuttable.problem.sale[k].length_mm),
            };
            Opened {
                sort,
                in_shed,
                length_mm,
                rest_mm: roll.rest_mm,
                strips: roll.strips.iter().map(|&s| places[s]).collect(),
            }
        }));
    }
    opened.sort_by_key(|r| (!r.in_shed, r.sort));
    let to_buy = to_buy(sorts, &opened);
    let rolls = rolls(sorts, &opened);
    let strips = strips(patches, placed, &rolls);
    let mut order = SheetOrder {
        area_m2: laid_patches.iter().map(|p| p.area_m2).sum(),
        sheet_m2: laid_patches.iter().map(|p| p.sheet_m2).sum(),
        from_stock_m2: 0.0,
        short_m2: 0.0,
        waste_percent: waste_percent(&rolls),
        // A sort without a price leaves the sum unknown, unless nothing of it is bought.
        cost: to_buy.iter().try_fold(0.0, |sum, p| Some(sum + p.cost?)),
        patches: laid_patches,
        strips,
        rolls,
        to_buy,
        proven: cost == bound,
        gap_percent: if cost == bound {
            0.0
        } else {
            100.0 * (cost - bound) as f64 / cost as f64
        },
    };
    let cut_from = |in_shed: bool| -> f64 {
        let its = |s: &&OrderedStrip| order.rolls[s.roll - 1].in_shed == in_shed;
        order
            .strips
            .iter()
            .filter(its)
            .map(|s| s.strip.sheet_m2())
            // The sum of nothing is -0, which people would see.
            .fold(0.0, |sum, area| sum + area)
    };
    (order.from_stock_m2, order.short_m2) = (cut_from(true), cut_from(false));
    Ok(order)
}

/// Whole rolls of each sort that is bought.
fn to_buy(sorts: &[Sort], opened: &[Opened]) -> Vec<Purchase> {
    let each = sorts.iter().enumerate().map(|(at, sort)| {
        let bought = |r: &&Opened| r.sort == at && !r.in_shed;
        let rolls = opened.iter().filter(bought).count();
        Purchase {
            sort: sort.clone(),
            rolls,
            cost: sort.price.map(|price| price * rolls as f64),
        }
    });
    each.filter(|p| p.rolls > 0).collect()
}

fn rolls(sorts: &[Sort], opened: &[Opened]) -> Vec<OrderedRoll> {
    let each = opened.iter().enumerate().map(|(at, roll)| OrderedRoll {
        roll: at + 1,
        sort: sorts[roll.sort].name.clone(),
        in_shed: roll.in_shed,
        length_m: roll.length_mm as f64 / 1000.0,
        width_m: sorts[roll.sort].size.width_m(),
        strips: roll.strips.iter().map(|s| s + 1).collect(),
        rest_m: roll.rest_mm as f64 / 1000.0,
    });
    each.collect()
}

fn strips(patches: &[Patch], placed: Vec<Placed>, rolls: &[OrderedRoll]) -> Vec<OrderedStrip> {
    let mut roll_of = vec![0; placed.len()];
    for roll in rolls {
        for order in &roll.strips {
            roll_of[order - 1] = roll.roll;
        }
    }
    let each = placed
        .into_iter()
        .enumerate()
        .map(|(at, placed)| OrderedStrip {
            order: at + 1,
            roll: roll_of[at],
            patch: placed.patch,
            green: patches[placed.patch].green.clone(),
            plot: patches[placed.patch].name.clone(),
            strip: placed.strip,
        });
    each.collect()
}

/// Of the sheet on all rolls, what is left on them, per cent.
fn waste_percent(rolls: &[OrderedRoll]) -> f64 {
    let sum = |of: &dyn Fn(&OrderedRoll) -> f64| rolls.iter().map(of).sum::<f64>();
    let (rest, all) = (
        sum(&|r| r.rest_m * r.width_m),
        sum(&|r| r.length_m * r.width_m),
    );
    if all > 0.0 { 100.0 * rest / all } else { 0.0 }
}
