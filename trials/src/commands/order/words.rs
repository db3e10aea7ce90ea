//! `order` for people: how much sheet, what to buy, what to lay first.

use super::super::{Side, Status, Table, Words};
use super::files::Made;
use crate::night::order::{OrderedRoll, SheetOrder};
use crate::night::order_sheet::{amounts, lapping};
use crate::store::NewFile;

/// Rolls and directions shown to people; the files have all.
const ROWS: usize = 15;

/// The order in words.
pub(super) fn words(
    sheet: &SheetOrder,
    made: &Made<'_>,
    over_holes_m2: f64,
    files: &[NewFile],
) -> Words {
    let mut words = Words::default();
    let rolls: usize = sheet.to_buy.iter().map(|p| p.rolls).sum();
    let buy = match (rolls, sheet.cost) {
        (0, _) => ": nothing is to buy, the sheet in the shed is enough.".to_owned(),
        (n, cost) => format!(
            ": {n} {} to buy{}.",
            if n == 1 { "roll" } else { "rolls" },
            cost.map_or_else(String::new, |c| {
                let currency = made
                    .currency
                    .map_or_else(String::new, |name| format!(" {name}"));
                format!(" for {c:.2}{currency}")
            })
        ),
    };
    words.told(Status::Good, "Ordered", buy);
    words.paragraph(amounts(sheet));
    words.paragraph(directions(sheet));
    if over_holes_m2 > 0.0 {
        words.line(format!(
            "{over_holes_m2:.1} m2 of it lie over holes, where leaving them bare would free no metre of a strip."
        ));
    }
    words.paragraph(lapping(sheet, made.wind_from_deg));
    words.table(to_buy(sheet, made.currency));
    words.table(to_cut(&sheet.rolls));
    words.written(files);
    words.section(
        "Next:",
        ["Print order.html at full size (100 %, no margins); merchant.csv or merchant.xlsx goes to the merchant."],
    );
    words
}

/// Which way strips lie on whole greens; plots say it by their sides.
fn directions(sheet: &SheetOrder) -> Vec<String> {
    let whole = sheet.patches.iter().filter(|p| p.plot.is_none());
    let told = whole.map(|p| {
        let on = p
            .green
            .as_ref()
            .map_or_else(String::new, |g| format!("{g}: "));
        let how = if p.directions > 1 {
            format!(
                ", chosen from the {} that were searched by the rolls it takes",
                p.directions
            )
        } else {
            ", as told".to_owned()
        };
        format!(
            "{on}Strips lie at {:.1} degrees from east{how}.",
            p.angle_deg
        )
    });
    told.take(ROWS).collect()
}

fn to_buy(sheet: &SheetOrder, currency: Option<&str>) -> Table {
    let mut table = Table::new([
        ("to buy", Side::Left),
        ("roll", Side::Left),
        ("rolls", Side::Right),
        ("price", Side::Right),
        ("sum", Side::Right),
    ]);
    let currency = currency.map_or_else(String::new, |name| format!(" {name}"));
    let money = |x: Option<f64>| x.map_or_else(|| "-".to_owned(), |x| format!("{x:.2}{currency}"));
    for p in &sheet.to_buy {
        table.row([
            p.sort.name.clone(),
            format!(
                "{} m by {} m",
                p.sort.size.length_m(),
                p.sort.size.width_m()
            ),
            p.rolls.to_string(),
            money(p.sort.price),
            money(p.cost),
        ]);
    }
    table
}

fn to_cut(rolls: &[OrderedRoll]) -> Table {
    let mut table = Table::new([
        ("roll", Side::Right),
        ("from", Side::Left),
        ("strips", Side::Left),
        ("rest (m)", Side::Right),
    ]);
    for roll in rolls.iter().take(ROWS) {
        let strips: Vec<String> = roll.strips.iter().map(usize::to_string).collect();
        table.row([
            roll.roll.to_string(),
            if roll.in_shed { "shed" } else { "new" }.to_owned(),
            strips.join(", "),
            format!("{:.1}", roll.rest_m),
        ]);
    }
    let more = rolls.len().saturating_sub(ROWS);
    table.captioned(if more > 0 {
        format!("To cut, strips by their order of laying; {more} more rolls are in order.html")
    } else {
        "To cut, strips by their order of laying".to_owned()
    })
}
