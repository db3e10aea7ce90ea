//! What is to be covered: plots, whole greens, or the strips of a plan.

use super::super::trial;
use super::super::{Refusal, Surroundings};
use super::{Request, planned};
use crate::Error;
use crate::design::{Green, Layout, Plot, Protocol, TreatmentKind};
use crate::night::order::{Patch, Way};
use crate::night::takeoff::{Holes, Laying, rectangle};
use crate::store::{LAYOUT, TRIAL, TrialFolder};

/// The patches of ground.
pub(super) fn patches(
    request: &Request,
    at: &Surroundings<'_>,
    folder: &TrialFolder<'_>,
    protocol: &Protocol,
    greens: &[Green],
) -> Result<Vec<Patch>, Refusal> {
    if request.whole_green {
        return Ok(greens.iter().map(|g| whole(g, request)).collect());
    }
    if let Some(plan) = &request.plan {
        let text = at.sources.text(plan)?;
        return Ok(planned::patches(
            &plan.display().to_string(),
            &text,
            greens,
        )?);
    }
    let covering: Vec<&str> = protocol
        .treatments
        .iter()
        .filter(|t| t.kind == TreatmentKind::Covering)
        .map(|t| t.code.as_str())
        .collect();
    if covering.is_empty() {
        let what = "no treatment is of kind \"covering\", so no plot is to be covered";
        let cure = "Set the kind of the treatment that is laid as sheet, or cover the whole green: `halfgreen order DIR --whole-green`.";
        return Err(Error::new(
            format!("{} [[treatment]] kind", folder.shown(TRIAL)),
            what,
            cure,
        )
        .into());
    }
    let layout = trial::layout(folder, protocol)?;
    let plots = tonight(
        &layout,
        &covering,
        protocol.design.kind.facts().over_nights(),
    );
    if plots.is_empty() {
        let what = format!("no plot got {}", covering.join(" or "));
        let cure = "Look whether the layout belongs to this trial.";
        return Err(Error::new(folder.shown(LAYOUT), what, cure).into());
    }
    Ok(plots.into_iter().map(plot).collect())
}

pub(super) fn whole(green: &Green, request: &Request) -> Patch {
    Patch {
        green: green.name.clone(),
        name: None,
        way: Way::Ground {
            ground: green.outline.ground.clone(),
            laying: request.angle.map_or(Laying::Best, Laying::Along),
            holes: if request.over_holes {
                Holes::Covered
            } else {
                Holes::Bare
            },
        },
    }
}

/// The plots that lie under sheet at once. Where plots take turns, those of the night that covers most; its sheet serves
/// the other nights.
fn tonight<'l>(layout: &'l Layout, covering: &[&str], over_nights: bool) -> Vec<&'l Plot> {
    let covered = || {
        layout
            .plots
            .iter()
            .filter(|p| covering.contains(&p.treatment.as_str()))
    };
    if !over_nights {
        return covered().collect();
    }
    let mut nights: Vec<Vec<&Plot>> = Vec::new();
    for plot in covered() {
        match nights.iter_mut().find(|n| n[0].row == plot.row) {
            Some(night) => night.push(plot),
            None => nights.push(vec![plot]),
        }
    }
    // Of equals the first.
    nights
        .into_iter()
        .rev()
        .max_by_key(Vec::len)
        .unwrap_or_default()
}

fn plot(plot: &Plot) -> Patch {
    Patch {
        green: plot.green.clone(),
        name: Some(plot.plot.clone()),
        way: Way::Ground {
            ground: rectangle(
                [plot.x_m, plot.y_m],
                [plot.length_m, plot.width_m],
                plot.angle_deg,
            ),
            laying: Laying::AlongOrAcross(plot.angle_deg),
            holes: Holes::Bare,
        },
    }
}
