//! The three maps: to lay out by, to sample by, and for the report.

use maud::html;

use super::frames::{block_frames, frames as frames_of, whole_plots};
use super::ground::ground;
use super::plots::{Drawn, drawn, is_lettered, plot, walk};
use super::points::{reaches_of, route};
use super::sheet::{Frame, Sheet};
use super::string::string;
use super::treatment_look::{Look, definitions, key, looks, names};
use super::zone_names::zone_names;
use crate::Error;
use crate::area::Outline;
use crate::design::{Layout, Plot, Treatment};
use crate::drawing::paper::{FIGURE_MM, Paper, Words};
use crate::drawing::plane::Plane;
use crate::scouting::grid::Grid;

/// Room between plots and their block's frame where guards are not drawn, metres.
const BLOCK_ROOM_M: f64 = 0.15;
/// Empty margin of the map for a report, millimetres.
const MARGIN: f64 = 2.0;
/// Room round a mark for its letter, metres.
const MARK_ROOM_M: f64 = 1.5;
/// Greatest height of the green in a report, millimetres.
const TALLEST: f64 = 140.0;

/// A map to carry: A4, at the largest round scale at which the green fits, upright or lying. Plots not
/// drawn yet, whose treatment is empty, are numbered only.
///
/// # Errors
/// A green too wide for a sheet at 1 : 5000, or a treatment code that the list does not hold.
pub fn field_map(
    outline: &Outline,
    layout: &Layout,
    treatments: &[Treatment],
    guard_m: f64,
    title: &str,
) -> Result<String, Error> {
    known(layout, treatments)?;
    let plots = drawn(layout, treatments);
    let words = Words::new(
        "map",
        title,
        &description(plots.len(), treatments, outline),
        &[],
    );
    let looks = looks(treatments, &words.id);
    let sheet = Sheet::for_green(outline, |room| {
        (!treatments.is_empty()).then(|| key(&looks, &names(treatments), room))
    })?;
    let plane = &sheet.plane;
    let frames = frames_of(&plots, guard_m);
    let line = heading(&sheet, &plots, frames.is_some());
    let map = html! {
        (definitions(&looks, &plots, plane))
        (ground(outline, plane, &words.id))
        @for p in &plots { (plot(p, &looks, plane, guard_m, &below(p, &looks, frames.is_some()))) }
        (whole_plots(&plots, guard_m, plane))
        @if let Some(frames) = &frames { (block_frames(frames, guard_m, plane)) }
        (zone_names(outline, plane, &reaches(layout)))
    };
    Ok(sheet.document(&words, &line, &map))
}

/// The same as a piece of a page of somebody else's, `room_mm` wide and high, with the walk from plot to plot. Where
/// `treatments` is empty, no plot says what it got.
///
/// # Errors
/// A green too wide for the room at 1 : 5000, or a treatment code that the list does not hold.
pub fn sheet_map(
    outline: &Outline,
    layout: &Layout,
    treatments: &[Treatment],
    guard_m: f64,
    title: &str,
    room_mm: [f64; 2],
) -> Result<String, Error> {
    if !treatments.is_empty() {
        known(layout, treatments)?;
    }
    let plots = drawn(layout, treatments);
    let told = if treatments.is_empty() {
        let area = outline.area_m2();
        format!(
            "Plan of a green of {area:.0} square metres with {} numbered plots. North is up.",
            plots.len()
        )
    } else {
        description(plots.len(), treatments, outline)
    };
    let words = Words::new("map", title, &told, &[]);
    let looks = looks(treatments, &words.id);
    let (low, high) = outline.bounds();
    let frames = [Frame::inset(room_mm)];
    let sheet = Sheet::for_ground([low, high], &frames, |room| {
        (!treatments.is_empty()).then(|| key(&looks, &names(treatments), room))
    })?;
    let plane = &sheet.plane;
    let blocks = frames_of(&plots, guard_m);
    let line = format!("1 : {}. Grey line: the walk, from plot to plot.", sheet.n);
    let map = html! {
        (definitions(&looks, &plots, plane))
        (ground(outline, plane, &words.id))
        (walk(&plots, plane))
        @for p in &plots { (plot(p, &looks, plane, guard_m, &below(p, &looks, blocks.is_some()))) }
        (whole_plots(&plots, guard_m, plane))
        @if let Some(blocks) = &blocks { (block_frames(blocks, guard_m, plane)) }
        (zone_names(outline, plane, &reaches(layout)))
    };
    Ok(sheet.inset(&words, &line, &map))
}

/// A plan of two marks P and Q and the string between them, with the plots by number, as a piece of a page.
///
/// # Errors
/// Ground too wide for the room at 1 : 5000.
pub fn marks_map(
    outline: &Outline,
    layout: &Layout,
    marks: [[f64; 2]; 2],
    title: &str,
    room_mm: [f64; 2],
) -> Result<String, Error> {
    let plots = drawn(layout, &[]);
    let told = format!(
        "Plan of a green of {:.0} square metres with {} plots, and the marks P and Q from which they are pegged out. North is up.",
        outline.area_m2(),
        plots.len()
    );
    let words = Words::new("marks", title, &told, &[]);
    let (mut low, mut high) = outline.bounds();
    for mark in marks {
        for axis in 0..2 {
            low[axis] = low[axis].min(mark[axis] - MARK_ROOM_M);
            high[axis] = high[axis].max(mark[axis] + MARK_ROOM_M);
        }
    }
    let sheet = Sheet::for_ground([low, high], &[Frame::inset(room_mm)], |_| None)?;
    let plane = &sheet.plane;
    let line = format!("1 : {}. Thick line: the string from P to Q.", sheet.n);
    let map = html! {
        (ground(outline, plane, &words.id))
        @for p in &plots { (plot(p, &[], plane, 0.0, "")) }
        (string(marks, plane))
        (zone_names(outline, plane, &reaches(layout)))
    };
    Ok(sheet.inset(&words, &line, &map))
}

/// A map of sample points to carry: A4 at a round scale, points numbered along the walk, which is
/// drawn as a thin line.
///
/// # Errors
/// A green too wide for a sheet at 1 : 5000.
pub fn grid_map(outline: &Outline, grid: &Grid, title: &str) -> Result<String, Error> {
    let told = format!(
        "Plan of a green of {:.0} square metres with {} numbered sample points. North is up.",
        outline.area_m2(),
        grid.points.len()
    );
    let words = Words::new("grid", title, &told, &[]);
    let sheet = Sheet::for_green(outline, |_| None)?;
    let line = format!(
        "Map at 1 : {}. {} points, {:.1} m apart; the walk is {:.0} m.",
        sheet.n,
        grid.points.len(),
        grid.spacing_m,
        grid.route_length_m
    );
    let map = html! {
        (ground(outline, &sheet.plane, &words.id))
        (zone_names(outline, &sheet.plane, &reaches_of(grid)))
        (route(grid, &sheet.plane))
    };
    Ok(sheet.document(&words, &line, &map))
}

/// A map for the report: it takes the width it is given and prints `labels[i]` in the i-th plot of
/// the layout (each plot once, in layout order).
///
/// # Errors
/// Fewer or more labels than plots, or a treatment code that the list does not hold.
pub fn report_map(
    outline: &Outline,
    layout: &Layout,
    treatments: &[Treatment],
    labels: &[String],
    title: &str,
) -> Result<String, Error> {
    known(layout, treatments)?;
    let plots = drawn(layout, treatments);
    if labels.len() != plots.len() {
        return Err(Error::new(
            "map",
            format!(
                "{} labels were given for {} plots",
                labels.len(),
                plots.len()
            ),
            "Give one label for each plot.",
        ));
    }
    let plane = report_plane(outline);
    let foot = plane.corner[1];
    let room = FIGURE_MM - 2.0 * MARGIN;
    let told = description(plots.len(), treatments, outline);
    let words = Words::new("plan", title, &told, labels);
    let looks = looks(treatments, &words.id);
    // Here the name says enough: what stands against what is told beside the map.
    let plain: Vec<String> = treatments.iter().map(|t| t.name.clone()).collect();
    let key = key(&looks, &plain, room);
    let frames = frames_of(&plots, BLOCK_ROOM_M);
    let map = html! {
        (definitions(&looks, &plots, &plane))
        (ground(outline, &plane, &words.id))
        @for (p, label) in plots.iter().zip(labels) { (plot(p, &looks, &plane, 0.0, label)) }
        @if let Some(frames) = &frames { (block_frames(frames, 0.0, &plane)) }
        (zone_names(outline, &plane, &reaches(layout)))
        (key.drawn([MARGIN, foot + 3.0]))
    };
    let paper = Paper::Figure([FIGURE_MM, foot + 3.0 + key.height() + 1.0]);
    Ok(paper.document(&words, &map))
}

/// Whether every plot has room for its number and label on the [`report_map`] of its green.
#[must_use]
pub fn all_lettered(outline: &Outline, layout: &Layout) -> bool {
    let plane = report_plane(outline);
    layout.plots.iter().all(|plot| is_lettered(plot, &plane))
}

/// Where a green lies on a figure of the report: as large as it fits.
fn report_plane(outline: &Outline) -> Plane {
    let (low, high) = outline.bounds();
    let span = [high[0] - low[0], high[1] - low[1]];
    let room = FIGURE_MM - 2.0 * MARGIN;
    let scale = (room / span[0]).min(TALLEST / span[1]);
    Plane {
        scale,
        origin: low,
        corner: [
            (FIGURE_MM - span[0] * scale) / 2.0,
            span[1] * scale + MARGIN,
        ],
    }
}

/// What stands below a plot's number: the letters of its treatments, night after night, and its block
/// where no frame shows it.
fn below(plot: &Drawn<'_>, looks: &[Look], framed: bool) -> String {
    let mut words: Vec<String> = plot
        .treatments
        .iter()
        .map(|&t| looks[t].letter.clone())
        .collect();
    if let Some(block) = plot.plot.block.as_ref().filter(|_| !framed) {
        words.push(format!("b{block}"));
    }
    words.join(" ")
}

/// The line below the title: scale, number of plots, and how to read the lines and letters.
fn heading(sheet: &Sheet, plots: &[Drawn<'_>], framed: bool) -> String {
    let blocked = plots.iter().any(|p| p.plot.block.is_some());
    let blocks = match (blocked, framed) {
        (true, true) => " Frame: block.",
        (true, false) => " b2: block 2.",
        _ => "",
    };
    let split = plots
        .iter()
        .any(|p| p.treatments.len() == 1 && p.plot.row.is_some() && p.plot.column.is_none());
    let whole = if split { " Thin line: whole plot." } else { "" };
    let nights = if plots.iter().any(|p| p.treatments.len() > 1) {
        " Letters: night after night."
    } else {
        ""
    };
    let undrawn = if plots.iter().all(|p| p.treatments.is_empty()) {
        " Count all of them: nothing is drawn yet."
    } else {
        ""
    };
    let unnumbered = if plots.iter().all(|p| is_lettered(p.plot, &sheet.plane)) {
        ""
    } else {
        " Plots too small for a number here have theirs in pegging.html."
    };
    format!(
        "Map at 1 : {}. {} plots.{undrawn}{blocks}{whole}{nights} Broken line: guard.{unnumbered}",
        sheet.n,
        plots.len()
    )
}

/// Centre and reach of every plot, metres.
fn reaches(layout: &Layout) -> Vec<[f64; 3]> {
    let reach = |p: &Plot| [p.x_m, p.y_m, p.length_m.hypot(p.width_m) / 2.0];
    layout.plots.iter().map(reach).collect()
}

/// Every treatment of the layout must be in the list.
fn known(layout: &Layout, treatments: &[Treatment]) -> Result<(), Error> {
    let stranger = layout
        .plots
        .iter()
        .find(|p| !p.treatment.is_empty() && !treatments.iter().any(|t| t.code == p.treatment));
    stranger.map_or(Ok(()), |p| {
        Err(Error::new(
            format!("plot {}", p.plot),
            format!("the treatment `{}` is not in the protocol", p.treatment),
            "Use a code from trial.toml.",
        ))
    })
}

/// The map in words, for those who cannot see it.
fn description(plots: usize, treatments: &[Treatment], outline: &Outline) -> String {
    let names: Vec<&str> = treatments.iter().map(|t| t.name.as_str()).collect();
    let drawn = if names.is_empty() {
        "treatments not drawn yet".to_owned()
    } else {
        format!("treatments: {}", names.join(", "))
    };
    format!(
        "Plan of a green of {:.0} square metres with {plots} plots; {drawn}. North is up.",
        outline.area_m2(),
    )
}
