//! `hotspots` for people: the meaning, then the numbers behind it.

use super::super::{Side, Span, Status, Table, Words};
use super::greens::SurveyedGreenRow;
use crate::mapping::{
    CovariateFinding, CoverPlan, CoverStep, Direction, GreenRank, Hotspots, Strip,
};
use crate::store::NewFile;

/// Strips shown to people; programs get all.
const ROWS: usize = 15;

/// Everything that was found on one green.
pub(super) fn words(
    found: &Hotspots,
    site_covariates: &[CovariateFinding],
    cover: Option<&CoverPlan>,
    files: &[NewFile],
) -> Words {
    let mut words = Words::default();
    let along = site_covariates.iter().map(|c| &c.sentence);
    words.paragraph(found.meaning.iter().chain(along).cloned());
    words.table(figures(found));
    if let Some(cover) = cover {
        words.paragraph(cover.directions.iter().map(Direction::sentence));
        words.table(strips(cover).captioned("Strips, best first"));
        words.paragraph([BRACKETS]);
    }
    words.written(files);
    words
}

/// Everything that was found on several greens.
pub(super) fn words_of_greens(
    greens: &[SurveyedGreenRow],
    cover: &CoverPlan,
    files: &[NewFile],
) -> Words {
    let mut words = Words::default();
    for green in greens {
        words.section(green.green.as_str(), green.found.meaning.iter().cloned());
    }
    let ranks = cover.ranking.iter().map(GreenRank::sentence);
    let directions = cover.directions.iter().map(Direction::sentence);
    words.section("Which green earns the sheet most", ranks.chain(directions));
    words.table(strips_of_greens(cover).captioned("Strips of all greens, best first"));
    words.paragraph([BRACKETS]);
    words.written(files);
    words
}

/// What stands in brackets behind the share reached. How often the truth lay beyond: 100 simulated surveys of 40 points
/// over a hollow with a sharp rim.
const BRACKETS: &str = "In brackets: the middle 95 % of the maps that these counts allow on ground that changes smoothly. They are no \
                        confidence limits: where larvae end at a sharp edge, a hollow's rim say, the truth lies beyond them \
                        in about three surveys of ten.";

/// The statistics with their p-values; those that do not exist are left out.
fn figures(found: &Hotspots) -> Table {
    let association = found.association.as_ref();
    let rows = [
        ("Moran's I", found.moran.i, found.moran.p_permutation),
        ("Geary's C", found.geary.c, found.geary.p_permutation),
        (
            "index of aggregation",
            found.regularity.index,
            found.regularity.p,
        ),
        (
            "link to it, r",
            association.and_then(|a| a.r),
            association.and_then(|a| a.p),
        ),
    ];
    let mut table = Table::new([("", Side::Left), ("value", Side::Right), ("p", Side::Right)]);
    for (name, value, p) in rows.into_iter().filter(|(_, value, _)| value.is_some()) {
        table.row([
            Span::told(Status::Good, name),
            figure(value).into(),
            figure(p).into(),
        ]);
    }
    table
}

fn strips(cover: &CoverPlan) -> Table {
    let mut table = Table::new([
        ("strip", Side::Right),
        ("x (m)", Side::Right),
        ("y (m)", Side::Right),
        ("length (m)", Side::Right),
        ("m2", Side::Right),
        ("share", Side::Right),
        ("reached so far", Side::Left),
    ]);
    for (s, step) in shown(cover) {
        table.row([
            s.strip.to_string(),
            format!("{:.1}", s.x_m),
            format!("{:.1}", s.y_m),
            format!("{:.1}", s.length_m),
            format!("{:.1}", s.area_m2),
            percent(s.expected_share),
            reached(s, step, "green"),
        ]);
    }
    table
}

fn strips_of_greens(cover: &CoverPlan) -> Table {
    let mut table = Table::new([
        ("strip", Side::Right),
        ("green", Side::Left),
        ("x (m)", Side::Right),
        ("y (m)", Side::Right),
        ("length (m)", Side::Right),
        ("share", Side::Right),
        ("reached so far", Side::Left),
    ]);
    for (s, step) in shown(cover) {
        table.row([
            s.strip.to_string(),
            s.green.clone().unwrap_or_default(),
            format!("{:.1}", s.x_m),
            format!("{:.1}", s.y_m),
            format!("{:.1}", s.length_m),
            percent(s.expected_share),
            reached(s, step, "ground"),
        ]);
    }
    table
}

/// The first strips, each with what all up to it reach.
fn shown(cover: &CoverPlan) -> impl Iterator<Item = (&Strip, &CoverStep)> {
    cover.strips.iter().zip(&cover.curve).take(ROWS)
}

fn percent(share: f64) -> String {
    format!("{:.1} %", 100.0 * share)
}

fn figure(value: Option<f64>) -> String {
    value.map_or("-".to_owned(), |v| format!("{v:.4}"))
}

/// What all strips up to this one reach, and on how much of the `ground`.
fn reached(strip: &Strip, step: &CoverStep, ground: &str) -> String {
    let beyond = if strip.laid {
        ""
    } else {
        " (beyond the sheet there is)"
    };
    format!(
        "{:.0} % ({:.0} to {:.0} %) on {:.0} % of the {ground}{beyond}",
        100.0 * step.share,
        100.0 * step.low,
        100.0 * step.high,
        100.0 * step.naive_share
    )
}
