//! The two pages: A4 at true scale, and the picture for the report.

use maud::html;
use sha2::{Digest, Sha256};

use super::furniture::{LINE, MARGIN, head, key, scale_bar, sheet_size};
use super::ground::{ground, zone_names};
use super::pattern::{Look, definitions, looks};
use super::plots::{Drawn, block_frames, drawn, frames, plot, whole_plots};
use super::sketch::{Sketch, mm};
use crate::Error;
use crate::area::Outline;
use crate::design::{Layout, Plot, Treatment};
use crate::scouting::grid::Grid;

/// Round scales, as 1 : n.
const SCALES: [f64; 13] = [
    20.0, 25.0, 50.0, 75.0, 100.0, 125.0, 150.0, 200.0, 250.0, 500.0, 1000.0, 2500.0, 5000.0,
];
/// Height of the heading, millimetres.
const HEAD: f64 = 20.0;
/// Room between plots and their block's frame where guards are not drawn, metres.
const BLOCK_ROOM_M: f64 = 0.15;
/// Lettering that every system has.
const LETTERING: &str = "Arial, Helvetica, 'Liberation Sans', sans-serif";

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
    let foot = 16.0 + LINE * treatments.len().div_ceil(2) as f64;
    let (n, page, sketch) = sheet(outline, foot)?;
    let id = id("map", title, &[]);
    let looks = looks(treatments, &id);
    let plots = drawn(layout, treatments);
    let bottom = page[1] - MARGIN - foot;
    let frames = frames(&plots, guard_m);
    let heading = heading(n, &plots, frames.is_some());
    Ok(html! {
        svg xmlns="http://www.w3.org/2000/svg" role="img" aria-labelledby={ (id) "-title " (id) "-desc" }
            width={ (mm(page[0])) "mm" } height={ (mm(page[1])) "mm" }
            viewBox={ "0 0 " (mm(page[0])) " " (mm(page[1])) } font-family=(LETTERING) {
            title id={ (id) "-title" } { (title) }
            desc id={ (id) "-desc" } { (description(plots.len(), treatments, outline)) }
            (sheet_size(page))
            (definitions(&looks, 2.4))
            rect width="100%" height="100%" fill="white" {}
            (head(page, title, &heading))
            (ground(outline, &sketch, &id))
            @for p in &plots { (plot(p, &looks, &sketch, guard_m, &below(p, &looks, frames.is_some()))) }
            (whole_plots(&plots, guard_m, &sketch))
            @if let Some(frames) = &frames { (block_frames(frames, guard_m, &sketch)) }
            (zone_names(outline, &sketch, &reaches(layout)))
            (scale_bar(MARGIN, bottom + 8.0, sketch.mm_per_m))
            (key(&looks, treatments, [MARGIN, bottom + 17.0], (page[0] - 2.0 * MARGIN) / 2.0))
        }
    }
    .into_string())
}

/// A map of sample points to carry: A4 at a round scale, points numbered along the walk, which is
/// drawn as a thin line.
///
/// # Errors
/// A green too wide for a sheet at 1 : 5000.
pub fn grid_map(outline: &Outline, grid: &Grid, title: &str) -> Result<String, Error> {
    let (n, page, sketch) = sheet(outline, 16.0)?;
    let id = id("grid", title, &[]);
    let heading = format!(
        "Map at 1 : {n}. {} points, {:.1} m apart; the walk is {:.0} m.",
        grid.points.len(),
        grid.spacing_m,
        grid.route_length_m
    );
    let bottom = page[1] - MARGIN - 16.0;
    let marks: Vec<[f64; 3]> = grid.points.iter().map(|p| [p.x_m, p.y_m, 0.0]).collect();
    let places: Vec<[f64; 2]> = grid
        .points
        .iter()
        .map(|p| sketch.paper(p.x_m, p.y_m))
        .collect();
    let line: Vec<String> = places
        .iter()
        .map(|[x, y]| format!("{},{}", mm(*x), mm(*y)))
        .collect();
    // Numbers shrink with the spacing on paper so that neighbours stay apart.
    let size = (grid.spacing_m * sketch.mm_per_m * 0.32).clamp(1.2, 4.5);
    let words = format!(
        "Plan of a green of {:.0} square metres with {} numbered sample points. North is up.",
        outline.area_m2(),
        grid.points.len()
    );
    Ok(html! {
        svg xmlns="http://www.w3.org/2000/svg" role="img" aria-labelledby={ (id) "-title " (id) "-desc" }
            width={ (mm(page[0])) "mm" } height={ (mm(page[1])) "mm" }
            viewBox={ "0 0 " (mm(page[0])) " " (mm(page[1])) } font-family=(LETTERING) {
            title id={ (id) "-title" } { (title) }
            desc id={ (id) "-desc" } { (words) }
            (sheet_size(page))
            rect width="100%" height="100%" fill="white" {}
            (head(page, title, &heading))
            (ground(outline, &sketch, &id))
            (zone_names(outline, &sketch, &marks))
            polyline points=(line.join(" ")) fill="none" stroke="#777" stroke-width="0.25" {}
            @for ([x, y], point) in places.iter().zip(&grid.points) {
                circle cx=(mm(*x)) cy=(mm(*y)) r=(mm(size * 0.28)) fill="#D55E00" stroke="black"
                    stroke-width="0.15" {}
                text x=(mm(x + size * 0.4)) y=(mm(y - size * 0.25)) font-size=(mm(size))
                    font-weight="bold" stroke="white" stroke-width=(mm(size * 0.2))
                    paint-order="stroke" { (point.id) }
            }
            (scale_bar(MARGIN, bottom + 8.0, sketch.mm_per_m))
        }
    }
    .into_string())
}

/// The largest round scale, 1 : n, at which the green fits on A4 above a foot of the given height; the
/// page's sides in millimetres; and where the ground lies on it.
fn sheet(outline: &Outline, foot: f64) -> Result<(f64, [f64; 2], Sketch), Error> {
    let (low, high) = outline.bounds();
    let span = [high[0] - low[0], high[1] - low[1]];
    let room = |page: [f64; 2]| [page[0] - 2.0 * MARGIN, page[1] - 2.0 * MARGIN - HEAD - foot];
    let fits = |page: [f64; 2], n: f64| {
        let room = room(page);
        (0..2).all(|axis| span[axis] * 1000.0 / n <= room[axis])
    };
    // At one scale, a wide green lies better on a lying page.
    let mut pages = [[210.0, 297.0], [297.0, 210.0]];
    if span[0] > span[1] {
        pages.reverse();
    }
    let found = SCALES
        .iter()
        .flat_map(|&n| pages.iter().map(move |&page| (n, page)))
        .find(|&(n, page)| fits(page, n));
    let Some((n, page)) = found else {
        return Err(Error::new(
            "map",
            format!(
                "a green of {:.0} m by {:.0} m is too large for a page",
                span[0], span[1]
            ),
            "Check the outline's unit.",
        ));
    };
    let scale = 1000.0 / n;
    let room = room(page);
    let sketch = Sketch {
        mm_per_m: scale,
        origin_m: low,
        corner_mm: [
            MARGIN + (room[0] - span[0] * scale) / 2.0,
            MARGIN + HEAD + f64::midpoint(room[1], span[1] * scale),
        ],
    };
    Ok((n, page, sketch))
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
    let (low, high) = outline.bounds();
    let span = [high[0] - low[0], high[1] - low[1]];
    // The drawing is 180 units wide; a tall green is kept to 200 units of height.
    let scale = (176.0 / span[0]).min(200.0 / span[1]);
    let height = span[1] * scale + 4.0;
    let foot = 6.0 + LINE * treatments.len().div_ceil(2) as f64;
    let sketch = Sketch {
        mm_per_m: scale,
        origin_m: low,
        corner_mm: [(180.0 - span[0] * scale) / 2.0, height - 2.0],
    };
    let id = id("plan", title, labels);
    let looks = looks(treatments, &id);
    let frames = frames(&plots, BLOCK_ROOM_M);
    Ok(html! {
        svg xmlns="http://www.w3.org/2000/svg" role="img" aria-labelledby={ (id) "-title " (id) "-desc" }
            width="100%" viewBox={ "0 0 180 " (mm(height + foot)) } font-family=(LETTERING) {
            title id={ (id) "-title" } { (title) }
            desc id={ (id) "-desc" } { (description(plots.len(), treatments, outline)) }
            (definitions(&looks, 2.4))
            (ground(outline, &sketch, &id))
            @for (p, label) in plots.iter().zip(labels) { (plot(p, &looks, &sketch, 0.0, label)) }
            @if let Some(frames) = &frames { (block_frames(frames, 0.0, &sketch)) }
            (zone_names(outline, &sketch, &reaches(layout)))
            (key(&looks, treatments, [2.0, height + 8.0], 88.0))
        }
    }
    .into_string())
}

/// Name of a map inside a document: maps with other titles or labels have other names, so that their
/// parts stay apart on one page.
fn id(kind: &str, title: &str, labels: &[String]) -> String {
    let digest = Sha256::digest(format!("{title}\n{}", labels.join("\n")));
    let hex: Vec<String> = digest.iter().take(4).map(|b| format!("{b:02x}")).collect();
    format!("{kind}-{}", hex.concat())
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
fn heading(n: f64, plots: &[Drawn<'_>], framed: bool) -> String {
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
    format!(
        "Map at 1 : {n}. {} plots.{undrawn}{blocks}{whole}{nights} Broken line: guard.",
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
