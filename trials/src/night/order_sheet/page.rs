//! `order.html`: the order on A4.

use maud::{Markup, PreEscaped, html};

use super::super::laps::Lapping;
use super::super::order::SheetOrder;
use super::drawing::inset;
use super::lists::{metres, pages, to_cut, to_lay};
use crate::Error;
use crate::design::{Green, Trial};
use crate::fieldwork::cautions::{COVERING, LAST};
use crate::fieldwork::printed::{Sheet, document};

/// Room for a drawing on a sheet, millimetres.
const ROOM_MM: [f64; 2] = [186.0, 222.0];

/// What the page is made from.
#[derive(Debug, Clone, Copy)]
pub struct OrderSheet<'a> {
    /// The trial that it is for.
    pub trial: &'a Trial,
    /// The order.
    pub order: &'a SheetOrder,
    /// The greens.
    pub greens: &'a [Green],
    /// Name of the currency.
    pub currency: Option<&'a str>,
    /// Where the wind comes from, degrees clockwise from north.
    pub wind_from_deg: Option<f64>,
    /// What must be said beside it: of the material, of the shed.
    pub notes: &'a [String],
}

/// The whole document: what to buy, what to cut, where it goes, in which order.
///
/// # Errors
/// A green that fits on no page.
pub fn order_html(of: &OrderSheet<'_>) -> Result<String, Error> {
    let mut sheets = vec![Sheet {
        title: "What to buy".to_owned(),
        body: to_buy(of),
    }];
    let lists = [
        (
            "What to cut",
            &["strip", "length (m)", "knife at (m)", ""][..],
            to_cut(of.order),
        ),
        (
            "What to lay, in this order",
            &["strip", "roll", "length (m)", ""][..],
            to_lay(of.order),
        ),
    ];
    let [cut, lay] = lists.map(|(title, heads, rows)| {
        let all = pages(heads, &rows);
        all.into_iter().map(move |body| Sheet {
            title: title.to_owned(),
            body,
        })
    });
    sheets.extend(cut);
    for green in of.greens {
        if of.order.strips.iter().any(|s| s.green == green.name) {
            sheets.push(drawn(of, green)?);
        }
    }
    sheets.extend(lay);
    Ok(document(of.trial, None, "Order for sheet", &sheets))
}

fn drawn(of: &OrderSheet<'_>, green: &Green) -> Result<Sheet, Error> {
    let title = green.name.as_ref().map_or_else(
        || "Where strips lie".to_owned(),
        |name| format!("Where strips lie: {name}"),
    );
    let picture = inset(of.order, green, &title, of.wind_from_deg, ROOM_MM)?;
    Ok(Sheet {
        title,
        body: html! { div.map { (PreEscaped(picture)) } },
    })
}

/// The first page: rolls, sums, laps, cautions.
fn to_buy(of: &OrderSheet<'_>) -> Markup {
    let order = of.order;
    let currency = of.currency.unwrap_or_default();
    let money = |x: Option<f64>| x.map_or_else(|| "–".to_owned(), |x| format!("{x:.2} {currency}"));
    html! {
        div.instructions {
            @if order.to_buy.is_empty() {
                p { strong { "Nothing: the sheet in the shed is enough." } }
            } @else {
                table.list.wide {
                    thead { tr { th scope="col" { "sheet" } th scope="col" { "roll" } th scope="col" { "rolls" } th scope="col" { "price" } th scope="col" { "sum" } } }
                    tbody {
                        @for p in &order.to_buy {
                            tr {
                                th.over scope="row" { (p.sort.name) }
                                td { (metres(p.sort.size.length_m())) " m by " (metres(p.sort.size.width_m())) " m" }
                                td { (p.rolls) } td { (money(p.sort.price)) } td { (money(p.cost)) }
                            }
                        }
                        tr.first { th.over scope="row" { "all" } td {} td { (order.to_buy.iter().map(|p| p.rolls).sum::<usize>()) } td {} td { (money(order.cost)) } }
                    }
                }
            }
            h3 { "How much sheet" }
            ul { @for line in amounts(order) { li { (line) } } }
            h3 { "Laps and wind" }
            ul { @for line in lapping(order, of.wind_from_deg) { li { (line) } } }
            @if !of.notes.is_empty() {
                h3 { "Look at this" }
                ul { @for note in of.notes { li { (note) } } }
            }
            div.caution {
                h3 { "Take care" }
                ul { @for caution in COVERING { li { (caution) } } }
                p { (LAST) }
            }
        }
    }
}

/// Square metres, and how good the cutting is.
#[must_use]
pub fn amounts(order: &SheetOrder) -> Vec<String> {
    let mut lines = vec![
        format!(
            "Ground to cover: {:.1} m2 before laps and margin.",
            order.area_m2
        ),
        format!(
            "Sheet to cut: {:.1} m2 in {} strips.",
            order.sheet_m2,
            order.strips.len()
        ),
        format!(
            "Out of the shed come {:.1} m2; {:.1} m2 are missing.",
            order.from_stock_m2, order.short_m2
        ),
        format!(
            "Left on the rolls that are cut: {:.1} %.",
            order.waste_percent
        ),
    ];
    lines.push(if order.proven {
        "No other way to cut these strips takes cheaper rolls.".to_owned()
    } else {
        format!(
            "Another way to cut these strips might cost up to {:.1} % less.",
            order.gap_percent
        )
    });
    lines
}

/// Which sheet lies over which.
#[must_use]
pub fn lapping(order: &SheetOrder, from_deg: Option<f64>) -> Vec<String> {
    let mut lines = Vec::new();
    let any = |why: Lapping| order.patches.iter().any(|p| p.lapping == why);
    if let Some(patch) = order.patches.first() {
        lines.push(format!(
            "Neighbours lap by {} m at least, side by side and end to end; sheet reaches {} m beyond the ground.",
            metres(patch.lap_m),
            metres(patch.edge_m)
        ));
    }
    if any(Lapping::NoBearing) {
        lines.push(
            "Where the wind comes from is not told: begin at the end away from it, so that the upwind sheet lies over the \
             downwind one and the wind passes over the lap."
                .to_owned(),
        );
        return lines;
    }
    let from = from_deg.map_or_else(String::new, |d| format!(" from {d:.0} degrees"));
    if any(Lapping::UpwindOver) {
        lines.push(format!(
            "Wind{from}: begin downwind, as numbered. The upwind sheet lies over the downwind one, so that the wind passes \
             over the lap."
        ));
    }
    if any(Lapping::WindAlong) {
        lines.push(format!(
            "Wind{from} blows along strips: either side may come first; joints within a strip lie with the wind, as numbered."
        ));
    }
    lines.push(
        "If the wind turns before you lay, run the order again with the new bearing.".to_owned(),
    );
    lines
}
