//! `hotspots` for people: the meaning, then the numbers behind it.

use std::fmt::Write;

use super::super::typeset::GOOD;
use crate::mapping::{CovariateFinding, CoverPlan, CoverStep, Hotspots, Strip};

/// Everything that was found.
pub(super) fn words(
    found: &Hotspots,
    ground: &[CovariateFinding],
    cover: Option<&CoverPlan>,
) -> String {
    let mut text = String::new();
    // Writing into a text cannot fail.
    let mut push = |what: std::fmt::Arguments<'_>| text.write_fmt(what).unwrap_or_default();
    for sentence in found
        .meaning
        .iter()
        .chain(ground.iter().map(|g| &g.sentence))
    {
        push(format_args!("{sentence}\n"));
    }
    let figures = [
        ("Moran's I", found.moran.i, found.moran.p_permutation),
        ("Geary's C", found.geary.c, found.geary.p_permutation),
        (
            "index of aggregation",
            found.regularity.index,
            found.regularity.p,
        ),
        (
            "link to it, r",
            found.association.as_ref().and_then(|a| a.r),
            found.association.as_ref().and_then(|a| a.p),
        ),
    ];
    push(format_args!("\n{:<28}{:>10}{:>10}\n", "", "value", "p"));
    for (name, value, p) in figures.iter().filter(|f| f.1.is_some()) {
        push(format_args!(
            "{GOOD}{name:<28}{GOOD:#}{:>10}{:>10}\n",
            figure(*value),
            figure(*p)
        ));
    }
    let Some(cover) = cover else { return text };
    for direction in &cover.directions {
        push(format_args!("\n{}\n", direction.sentence()));
    }
    push(format_args!(
        "\nStrips, best first\n{:>5}{:>8}{:>8}{:>9}{:>8}{:>9}   {}\n",
        "strip", "x m", "y m", "length m", "m2", "share", "reached so far"
    ));
    for (s, step) in cover.strips.iter().zip(&cover.curve).take(ROWS) {
        push(format_args!(
            "{:>5}{:>8.1}{:>8.1}{:>9.1}{:>8.1}{:>7.1} %   {}\n",
            s.strip,
            s.x_m,
            s.y_m,
            s.length_m,
            s.area_m2,
            100.0 * s.expected_share,
            reached(s, step, "green")
        ));
    }
    text
}

/// Strips shown to people; programs get all.
pub(super) const ROWS: usize = 15;

fn figure(value: Option<f64>) -> String {
    value.map_or("-".to_owned(), |v| format!("{v:.4}"))
}

/// What all strips up to this one reach, and on how much of the `ground`.
pub(super) fn reached(strip: &Strip, step: &CoverStep, ground: &str) -> String {
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
