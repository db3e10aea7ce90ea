//! The season for people: the answer, the nights, the greens, the options, what would change the answer.

use super::super::{Line, Side, Status, Table, Words};
use crate::season::{Answer, GreenRow, SeasonPlan, tell};
use crate::store::NewFile;
use crate::text::money::{hours, many, money};
use crate::text::rounding::NONE;

/// All of it.
pub(super) fn words(plan: &SeasonPlan, files: &[NewFile]) -> Words {
    let mut words = Words::default();
    let (status, head) = match plan.advice.answer {
        Answer::Pays => (Status::Good, "Worth the labour"),
        Answer::DoesNotPay => (Status::Bad, "Not worth the labour"),
        Answer::Undecided => (
            Status::Doubtful,
            "Cannot tell whether it is worth the labour",
        ),
        Answer::FigureMissing => (Status::Doubtful, "What it is worth to you is missing"),
        Answer::CannotTell => (Status::Doubtful, "Cannot tell yet: buying now is a risk"),
        Answer::DoNotBuy => (Status::Bad, "Do not buy"),
    };
    words.paragraph([Line::told(status, head, "")]);
    for said in &plan.advice.sentences {
        words.line(said.as_str());
    }
    if plan.advice.answer != Answer::DoNotBuy {
        words.paragraph([tell::reached(plan)]);
        words.table(nights(plan));
    }
    words.table(greens(plan));
    words.table(options(plan));
    words.section(
        "what would change the answer",
        plan.switching.iter().map(|s| s.sentence.as_str()),
    );
    words.section("to bear in mind", plan.notes.iter().map(String::as_str));
    words.written(files);
    words
}

fn nights(plan: &SeasonPlan) -> Table {
    let mut table = Table::new([
        ("night", Side::Left),
        ("covered", Side::Left),
        ("sheet a night, m2", Side::Right),
        ("person-hours a night", Side::Right),
        ("of", Side::Right),
    ]);
    for run in tell::runs(plan) {
        let night = run.night;
        table.row([
            run.name,
            tell::covers(night),
            many(night.sheet_m2.ceil()),
            hours(night.hours),
            hours(night.hours_available),
        ]);
    }
    table
}

fn greens(plan: &SeasonPlan) -> Table {
    let mut table = Table::new([
        ("green", Side::Left),
        ("m2", Side::Right),
        ("larvae on it (likely)", Side::Right),
        ("cost", Side::Right),
        ("removed (likely)", Side::Right),
        ("for 1 000", Side::Right),
        ("left", Side::Left),
    ]);
    let own = plan.greens.iter().any(|g| g.side.is_some());
    if own {
        table.column("threshold", Side::Left);
    }
    let cost = |g: &GreenRow| {
        g.costs
            .total
            .map_or(NONE.to_owned(), |c| money(c, &plan.currency))
    };
    for green in &plan.greens {
        let mut cells = vec![
            green.green.clone(),
            many(green.area_m2),
            tell::larvae(green.larvae),
            cost(green),
            tell::larvae(green.removed),
            tell::unit(green.cost_per_1000, &plan.currency),
            green.left.clone().unwrap_or_default(),
        ];
        if own {
            cells.push(green.side.map_or("", |side| side.words()).to_owned());
        }
        table.row(cells);
    }
    table
}

fn options(plan: &SeasonPlan) -> Table {
    let mut table = Table::new([
        ("option, cheapest first", Side::Left),
        ("m2", Side::Right),
        ("person-hours", Side::Right),
        ("cost", Side::Right),
        ("larvae removed (likely)", Side::Right),
        ("for 1 000 removed", Side::Right),
        ("brings less its cost", Side::Right),
        ("", Side::Left),
    ]);
    for option in &plan.options {
        table.row([
            option.name.clone(),
            many(option.area_m2),
            hours(option.costs.hours),
            option
                .costs
                .total
                .map_or("no price".to_owned(), |c| money(c, &plan.currency)),
            tell::larvae(option.removed),
            tell::unit(option.cost_per_1000, &plan.currency),
            tell::net(option, &plan.currency),
            tell::remark(option, &plan.currency),
        ]);
    }
    if plan.options.iter().any(|o| o.net.is_some()) {
        table
    } else {
        table.without("brings less its cost")
    }
}
