//! `pegging.html`: how the plots are pegged out, and the figures for every peg.

use maud::{Markup, PreEscaped, html};

use super::Pack;
use super::sheet::{Sheet, document};
use crate::Error;
use crate::fieldwork::map::marks_map;
use crate::fieldwork::pegging::{Method, PeggedPlot, Pegging, straddling};

/// Plots that fit below one another on a sheet.
const PLOTS: usize = 9;
/// Room for the plan of the marks, millimetres.
const ROOM_MM: [f64; 2] = [186.0, 128.0];

/// The pages to peg out by, A4, as one HTML document that fetches nothing.
///
/// # Errors
/// A green that fits on no page.
pub fn pegging_sheets(pack: &Pack<'_>) -> Result<String, Error> {
    let mut sheets = Vec::new();
    for pegging in pack.pegging {
        sheets.push(how(pack, pegging)?);
        sheets.extend(figures(pegging));
    }
    Ok(document(pack, "Pegging out", &sheets))
}

fn on(pegging: &Pegging) -> String {
    pegging
        .green
        .as_ref()
        .map_or_else(String::new, |name| format!(": {name}"))
}

/// The marks, why, and the steps.
fn how(pack: &Pack<'_>, pegging: &Pegging) -> Result<Sheet, Error> {
    let Some(green) = pack.greens.iter().find(|g| g.name == pegging.green) else {
        let what = "there is no outline of this green";
        return Err(Error::new(
            pegging.green.clone().unwrap_or_default(),
            what,
            "Restore its outline.",
        ));
    };
    let layout = pack.plots_on(green);
    let title = format!("Marks{}", on(pegging));
    let marks = [0, 1].map(|i| [pegging.marks[i].place.x_m, pegging.marks[i].place.y_m]);
    let plan = marks_map(&green.outline, &layout, marks, &title, ROOM_MM)?;
    let unlike = straddling(pack.protocol, &green.outline, &layout);
    Ok(Sheet {
        title,
        body: html! {
            p { b { (way(pegging.method)) " " } (pegging.because) }
            div.map { (PreEscaped(plan)) }
            ol.small { @for step in pegging.steps() { li { (step) } } }
            @for sentence in &unlike { p.small { b { "Look: " } (sentence) } }
            p.small {
                "Holes and pegs trip people, and pegs wreck mowers: flag every peg, count them out and back in, and find cables, pipes and \
                 sprinklers before you drive one."
            }
        },
    })
}

/// The way in a few words.
fn way(method: Method) -> &'static str {
    match method {
        Method::TwoTapes => "By two tapes.",
        Method::Squares => "By squares from a string.",
    }
}

fn figures(pegging: &Pegging) -> Vec<Sheet> {
    let sheets = pegging.plots.chunks(2 * PLOTS);
    sheets
        .map(|both| Sheet {
            title: format!("Pegs{}", on(pegging)),
            body: html! {
                p.small {
                    "P, Q: metres from the marks. Along, off: metres along the string from P, and square to it. Near and left as seen from \
                     the string. Under the plot: d, both its diagonals; l, from the last plot's near left peg to this one's. " b { (way(pegging.method)) }
                }
                div.halves {
                    @for plots in both.chunks(PLOTS) { (table(pegging.method, plots)) }
                    @if both.len() <= PLOTS { table aria-hidden="true" { tr { td {} } } }
                }
            },
        })
        .collect()
}

fn table(method: Method, plots: &[PeggedPlot]) -> Markup {
    let class = |own: Method| if own == method { "best" } else { "spare" };
    let (tapes, squares) = (class(Method::TwoTapes), class(Method::Squares));
    html! {
        table.pegs {
            thead {
                tr {
                    th.plot scope="col" { "plot" }
                    th.corner scope="col" { "peg" }
                    th scope="col" class=(tapes) { "P" }
                    th scope="col" class=(tapes) { "Q" }
                    th scope="col" class=(squares) { "along" }
                    th scope="col" class=(squares) { "off" }
                    th.done scope="col" { "set" }
                }
            }
            tbody {
                @for plot in plots {
                    @for (i, peg) in plot.pegs.iter().enumerate() {
                        tr.first[i == 0] {
                            (beside(plot, i))
                            td.corner { (peg.corner) }
                            @for m in [peg.from_p_m, peg.from_q_m] { td class=(tapes) { (format!("{m:.2}")) } }
                            @for m in [peg.along_m, peg.offset_m] { td class=(squares) { (format!("{m:.2}")) } }
                            td.done { span.tick {} }
                        }
                    }
                }
            }
        }
    }
}

/// What stands in the first column of a plot's rows: its name, its diagonals, the way from the plot before.
fn beside(plot: &PeggedPlot, row: usize) -> Markup {
    let check = match row {
        1 => Some(format!("d {:.2}", plot.diagonal_m)),
        2 => plot.from_last_m.map(|m| format!("l {m:.2}")),
        _ => None,
    };
    html! {
        @if row == 0 { th.plot scope="row" { (plot.plot) } } @else { td.check { (check.unwrap_or_default()) } }
    }
}
