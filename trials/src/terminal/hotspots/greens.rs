//! `hotspots` for a trial on several greens: each by itself, and one cover plan for all.

use std::fmt::Write;
use std::path::Path;

use halfgreen_analysis::random::Generator;
use serde::Serialize;

use super::super::files::Trial;
use super::super::output::{Output, Refusal};
use super::words::{ROWS, reached};
use super::{files_in, listed};
use crate::Warning;
use crate::design::Green;
use crate::mapping::{
    CountedGreen, CoverPlan, CoverStep, Direction, GreenRank, Hotspots, PictureFile, Sheet, Strip,
    Surface, Survey, Weights, best_strips, hotspots, pictures, share_picture, surface,
    survey_from_trial,
};
use crate::store::{NewFile, write_all};

/// What is asked about several greens.
#[derive(Debug)]
pub(super) struct Question<'a> {
    pub(super) weights: Option<Weights>,
    pub(super) permutations: usize,
    pub(super) sheet: Sheet,
    pub(super) out: Option<&'a Path>,
    pub(super) seed: u64,
}

/// The `result`.
#[derive(Debug, Serialize)]
struct Answer<'a> {
    greens: Vec<OneGreen<'a>>,
    ranking: &'a [GreenRank],
    directions: &'a [Direction],
    cover_plan: &'a [Strip],
    cover_curve: &'a [CoverStep],
}

#[derive(Debug, Serialize)]
struct OneGreen<'a> {
    green: &'a str,
    #[serde(flatten)]
    found: &'a Hotspots,
    surface: Option<&'a Surface>,
}

/// A green that was looked at.
struct Looked<'a> {
    green: &'a Green,
    name: &'a str,
    survey: Survey,
    found: Hotspots,
    surface: Option<Surface>,
}

pub(super) fn run(trial: &Trial, asked: &Question<'_>) -> Result<Output, Refusal> {
    let mut warnings = trial.data.warnings.clone();
    let mut looked = Vec::new();
    for (at, green) in trial.greens.iter().enumerate() {
        let name = green.name.as_deref().unwrap_or_default();
        // Each green draws from a stream of its own.
        let seed = Generator::new(asked.seed, u64::MAX - 1000 - at as u64).bits();
        if let Some(green) = look(trial, green, name, asked, seed, &mut warnings)? {
            looked.push(green);
        }
    }
    let counted: Vec<CountedGreen<'_>> = looked
        .iter()
        .map(|l| CountedGreen {
            name: Some(l.name),
            outline: &l.green.outline,
            survey: &l.survey,
            surface: l.surface.as_ref(),
        })
        .collect();
    let cover = best_strips(&counted, &asked.sheet, asked.seed)?;
    let written = files_in(asked.out, || drawn(&looked, &cover));
    write_all(&written)?;
    let answer = Answer {
        greens: looked
            .iter()
            .map(|l| OneGreen {
                green: l.name,
                found: &l.found,
                surface: l.surface.as_ref(),
            })
            .collect(),
        ranking: &cover.ranking,
        directions: &cover.directions,
        cover_plan: &cover.strips,
        cover_curve: &cover.curve,
    };
    let mut output =
        Output::new(&answer, words(&looked, &cover, &written))?.with_warnings(warnings);
    output.seed = Some(asked.seed);
    Ok(output)
}

/// One green by itself; `None`, with a warning, where nothing was counted on it.
fn look<'a>(
    trial: &Trial,
    green: &'a Green,
    name: &'a str,
    asked: &Question<'_>,
    seed: u64,
    warnings: &mut Vec<Warning>,
) -> Result<Option<Looked<'a>>, Refusal> {
    let own = trial.layout.on_green(name);
    let mut data = trial.data.clone();
    data.plots
        .retain(|p| own.plots.iter().any(|q| q.plot == p.plot));
    if data.plots.is_empty() {
        let text = "No plot on this green was counted: it is left out of the plan.";
        warnings.push(Warning::at("green-not-counted", text, name));
        return Ok(None);
    }
    let survey = survey_from_trial(&data)?;
    let nearest = Weights::Nearest(4.min(survey.places.len().saturating_sub(1)));
    let found = hotspots(
        &survey,
        asked.weights.unwrap_or(nearest),
        asked.permutations,
        seed,
    )?;
    let surface = surface(&survey)?;
    let refused = surface.as_ref().err();
    for caution in found.cautions.iter().chain(refused) {
        warnings.push(Warning::at(caution.code, caution.message.clone(), name));
    }
    Ok(Some(Looked {
        green,
        name,
        survey,
        surface: surface.ok(),
        found,
    }))
}

/// The pictures of every green, and one of all.
fn drawn(looked: &[Looked<'_>], cover: &CoverPlan) -> Vec<PictureFile> {
    let mut all = Vec::new();
    for (at, l) in looked.iter().enumerate() {
        let own = cover.on_green(l.name);
        let outline = Some(&l.green.outline);
        for picture in pictures(&l.found, l.surface.as_ref(), Some(&own), outline) {
            let picture = picture.of_green(l.name);
            all.push(PictureFile {
                // A green's name may hold what no file name can.
                name: format!("green-{}-{}", at + 1, picture.name),
                ..picture
            });
        }
    }
    all.push(share_picture(cover));
    all
}

fn words(looked: &[Looked<'_>], cover: &CoverPlan, written: &[NewFile]) -> String {
    let mut text = String::new();
    // Writing into a text cannot fail.
    let mut push = |what: std::fmt::Arguments<'_>| text.write_fmt(what).unwrap_or_default();
    for l in looked {
        push(format_args!("{}\n", l.name));
        for sentence in &l.found.meaning {
            push(format_args!("  {sentence}\n"));
        }
    }
    push(format_args!("\nWhich green earns the sheet most\n"));
    for rank in &cover.ranking {
        push(format_args!("  {}\n", rank.sentence()));
    }
    for direction in &cover.directions {
        push(format_args!("  {}\n", direction.sentence()));
    }
    push(format_args!(
        "\nStrips of all greens, best first\n{:>5}  {:<16}{:>8}{:>8}{:>9}{:>9}   {}\n",
        "strip", "green", "x m", "y m", "length m", "share", "reached so far"
    ));
    for (s, step) in cover.strips.iter().zip(&cover.curve).take(ROWS) {
        push(format_args!(
            "{:>5}  {:<16}{:>8.1}{:>8.1}{:>9.1}{:>7.1} %   {}\n",
            s.strip,
            s.green.as_deref().unwrap_or_default(),
            s.x_m,
            s.y_m,
            s.length_m,
            100.0 * s.expected_share,
            reached(s, step, "ground")
        ));
    }
    text.push_str(&listed(written));
    text
}
