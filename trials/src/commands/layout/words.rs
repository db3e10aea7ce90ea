//! `layout` for people: the plots, what the draw allows, what to look at.

use halfgreen_analysis::comparison::PrimaryTest;

use super::super::{Side, Status, Table, Words, trial};
use super::Out;
use crate::design::{Grouping, Plot, Protocol, Role, headline_test};
use crate::store::{NewFile, TrialFolder};

/// The layout in words.
pub(super) fn words(
    folder: &TrialFolder<'_>,
    protocol: &Protocol,
    out: &Out,
    written: &[NewFile],
) -> Words {
    let laid = &out.laid;
    let mut words = Words::default();
    words.told(
        Status::Good,
        "Laid out",
        format!(
            ": {} plots of {} m x {} m, seed {}.",
            laid.layout.names().len(),
            protocol.plot.length_m,
            protocol.plot.width_m,
            laid.seed
        ),
    );
    let nights = nights(protocol);
    words.table(table(&laid.layout.plots, &nights));
    if !nights.is_empty() {
        words.paragraph([format!(
            "Every plot is counted every night. In counts.csv the night is the occasion: {}.",
            nights.join(", ")
        )]);
    }
    words.paragraph([format!(
        "{} allocations were possible; the verdict will rest on {}{}.",
        laid.allocations,
        match headline_test(protocol, laid) {
            PrimaryTest::Randomisation => "the draw itself",
            PrimaryTest::Model => "a model of the counts",
        },
        protocol
            .verdict_about()
            .map_or_else(String::new, |about| format!(
                ", and tells what holds {}",
                about.place(Grouping::Green)
            ))
    )]);
    let advice = laid.advice.iter().map(|advice| &advice.message);
    for look in advice.chain(&out.straddling) {
        words.told(Status::Doubtful, "look", format!(": {look}"));
    }
    words.paragraph(out.pegging.iter().map(trial::pegging_in_words));
    words.line(format!(
        "Figures for every peg, and pages to print, come with `halfgreen pack {}`.",
        folder.typed()
    ));
    words.written(written);
    words
}

/// Names of a nights over which plots take turns, in order; none where they do not.
fn nights(protocol: &Protocol) -> Vec<&str> {
    let crossed = protocol.design.kind.facts().over_nights();
    let mains = protocol.occasions.iter();
    mains
        .filter(|o| crossed && o.role == Role::Main)
        .map(|o| o.name.as_str())
        .collect()
}

/// The plots as a table. Nights have a column of their own where there are some.
fn table(plots: &[Plot], nights: &[&str]) -> Table {
    let night = |p: &Plot| -> Option<&str> {
        let number = p.row.as_ref().and_then(|n| n.parse::<usize>().ok());
        let at = number.and_then(|n| n.checked_sub(1));
        at.and_then(|n| nights.get(n).copied())
    };
    let mut table = Table::new([
        ("plot", Side::Left),
        ("block", Side::Left),
        ("night", Side::Left),
        ("treatment", Side::Left),
        ("x (m)", Side::Right),
        ("y (m)", Side::Right),
    ]);
    for p in plots {
        table.row([
            p.plot.clone(),
            p.block.clone().unwrap_or_else(|| "-".to_owned()),
            night(p).unwrap_or_default().to_owned(),
            p.treatment.clone(),
            format!("{:.2}", p.x_m),
            format!("{:.2}", p.y_m),
        ]);
    }
    if nights.is_empty() {
        table.without("night")
    } else {
        table
    }
}
