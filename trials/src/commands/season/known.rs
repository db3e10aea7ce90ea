//! What a season file names is read: outlines, counts, the judged trial.

use std::path::Path;

use halfgreen_analysis::dispersion::FrequencyTable;
use halfgreen_analysis::efficacy::Bounded;

use super::super::trial::{self, outline_file};
use super::super::{Refusal, Surroundings};
use crate::description::{DescribedColumns, read_rows};
use crate::judgement::{Judgement, judge};
use crate::night::takeoff::{Holes, Laying, take_off};
use crate::season::{
    Counted, Effect, EffectAsked, Green, GreenAsked, Ground, Leaves, SeasonFile, control_of,
    of_cores, of_total,
};
use crate::store::TrialFolder;
use crate::trial_data::TrialData;
use crate::{Error, Warning};

/// What is known of greens and methods.
pub(super) struct Known {
    pub(super) greens: Vec<Green>,
    pub(super) effect: Effect,
    pub(super) methods: Vec<Effect>,
    /// Mean of the trial's control.
    pub(super) control: Option<Bounded>,
    /// Whether each ratio, the sheet's first, is the trial's.
    pub(super) of_trial: Vec<bool>,
    pub(super) warnings: Vec<Warning>,
}

/// A judged trial.
struct Judged {
    found: Judgement,
    data: TrialData,
    place: String,
}

/// Reads all of it; `beside` is the folder of the season file.
pub(super) fn known(
    file: &SeasonFile,
    beside: &Path,
    seed: Option<u64>,
    at: &Surroundings<'_>,
) -> Result<Known, Refusal> {
    let mut warnings = Vec::new();
    let judged = match &file.effect {
        EffectAsked::Trial { dir, .. } => Some(judged(&beside.join(dir), seed, at, &mut warnings)?),
        EffectAsked::Typed { .. } => None,
    };
    let of_treatment = |code: Option<&str>| match &judged {
        Some(j) => Effect::of_trial(&j.found, code, |t| j.data.name_of(t).to_owned(), &j.place),
        None => Err(Error::new(
            "[effect]",
            "no trial is named",
            "Name its folder as trial = \"...\".",
        )),
    };
    let effect = match &file.effect {
        EffectAsked::Trial { treatment, .. } => of_treatment(treatment.as_deref())?,
        EffectAsked::Typed {
            ratio,
            worthwhile_percent,
        } => Effect::typed("covering", *ratio, *worthwhile_percent),
    };
    let mut of_trial = vec![judged.is_some()];
    let mut methods = Vec::new();
    for asked in &file.methods {
        of_trial.push(matches!(asked.leaves, Leaves::Treatment(_)));
        methods.push(match &asked.leaves {
            Leaves::Treatment(code) => of_treatment(Some(code))?,
            Leaves::Typed(ratio) => Effect::typed(&asked.name, *ratio, None),
        });
    }
    let control = judged
        .as_ref()
        .map(|j| control_of(&j.found, &j.place))
        .transpose()?;
    let mut faults = Vec::new();
    let mut greens = Vec::new();
    for asked in &file.greens {
        match green(asked, file, beside, control, at, &mut warnings) {
            Ok(green) => greens.push(green),
            Err(refusal) => faults.extend(refusal.errors),
        }
    }
    if !faults.is_empty() {
        return Err(faults.into());
    }
    Ok(Known {
        greens,
        effect,
        methods,
        control,
        of_trial,
        warnings,
    })
}

fn judged(
    dir: &Path,
    seed: Option<u64>,
    at: &Surroundings<'_>,
    warnings: &mut Vec<Warning>,
) -> Result<Judged, Refusal> {
    let folder = TrialFolder::open(at.sources, dir)?;
    let trial = trial::trial(&folder, seed)?;
    let (found, told) = judge(&trial.data, trial.seed)?;
    warnings.extend(told.into_iter().filter(Warning::for_people));
    Ok(Judged {
        found,
        data: trial.data,
        place: dir.display().to_string(),
    })
}

fn green(
    asked: &GreenAsked,
    file: &SeasonFile,
    beside: &Path,
    control: Option<Bounded>,
    at: &Surroundings<'_>,
    warnings: &mut Vec<Warning>,
) -> Result<Green, Refusal> {
    let loose = |area_m2: f64| area_m2 * (1.0 + file.sheet.extra);
    let (area_m2, sheet_m2) = match &asked.ground {
        Ground::Area(area) => (*area, loose(*area)),
        Ground::Outline(path) => {
            let outline = outline_file(at.sources, &beside.join(path))?;
            warnings.extend(outline.repairs.iter().cloned().map(Warning::from));
            let area_m2 = outline.area_m2();
            let cut = |roll| take_off(&outline.ground, roll, Laying::Best, Holes::Bare);
            let cut = file.sheet.roll.as_ref().map(cut).transpose()?;
            (
                area_m2,
                cut.map_or_else(|| loose(area_m2), |cut| cut.sheet_m2),
            )
        }
    };
    if let Some(hot) = asked.hot_spots.filter(|hot| hot.area_m2 > area_m2) {
        let what = format!(
            "hot spots of {} m2 are larger than {} of {area_m2:.0} m2",
            hot.area_m2, asked.name
        );
        return Err(Error::new(
            &asked.place,
            what,
            "Give the part of the green that they take.",
        )
        .into());
    }
    let core_m2 = file.core_area_m2.unwrap_or(1.0);
    let per_m2 = match &asked.counted {
        Counted::Cores(cores) => of_cores(&FrequencyTable::of(cores)?, core_m2),
        Counted::Total { larvae, cores, k } => of_total(*larvae, *cores, *k, core_m2),
        Counted::PerM2(density) => *density,
        Counted::File { path, column } => {
            of_cores(&table(&beside.join(path), column, at, warnings)?, core_m2)
        }
        Counted::Trial => control.ok_or_else(|| {
            let what = format!(
                "{} is the green of the trial, and no trial is named",
                asked.name
            );
            Error::new(
                &asked.place,
                what,
                "Name it under [effect], or write the counts.",
            )
        })?,
    };
    Ok(Green {
        name: asked.name.clone(),
        area_m2,
        sheet_m2,
        per_m2,
        of_trial: asked.counted == Counted::Trial,
        priority: asked.priority,
        hot_spots: asked.hot_spots,
    })
}

/// Counts of a table, a line for each core.
fn table(
    path: &Path,
    column: &str,
    at: &Surroundings<'_>,
    warnings: &mut Vec<Warning>,
) -> Result<FrequencyTable, Refusal> {
    let columns = DescribedColumns {
        count: column.to_owned(),
        frequency: None,
        groups: Vec::new(),
    };
    let text = at.sources.table(path)?;
    let (rows, told) = read_rows(&path.display().to_string(), &text, &columns)?;
    warnings.extend(told);
    Ok(FrequencyTable::of_frequencies(
        rows.iter().map(|r| (r.count, r.frequency)),
    )?)
}
