//! The walk from plot to plot, and what each plot got.

use maud::{Markup, html};

use super::sheet::Sheet;
use super::{Pack, Treatments};
use crate::design::{Layout, Occasion, Plot, Role, Treatment};

/// Plots that fit below one another on a sheet.
const ROWS: usize = 34;
/// Directions by eighths of a turn from north, clockwise.
const WINDS: [&str; 8] = ["N", "NE", "E", "SE", "S", "SW", "W", "NW"];

/// What a plot gets on an occasion; over nights that is the night's own treatment, and nothing before or after them.
pub(super) fn treatment_on<'a>(
    pack: &Pack<'a>,
    plot: &str,
    occasion: &Occasion,
) -> Option<&'a Treatment> {
    let protocol = pack.protocol;
    let mut lines = pack.layout.plots.iter().filter(|p| p.plot == plot);
    let line = if protocol.design.kind.facts().over_nights() {
        let mut mains = protocol.occasions.iter().filter(|o| o.role == Role::Main);
        let night = mains.position(|o| o.name == occasion.name)? + 1;
        lines.find(|p| p.row.as_deref() == Some(night.to_string().as_str()))
    } else {
        lines.next()
    }?;
    protocol
        .treatments
        .iter()
        .find(|t| t.code == line.treatment)
}

/// Sheets that tell the walk on one green.
pub(super) fn walk_sheets(
    pack: &Pack<'_>,
    title: &str,
    layout: &Layout,
    treatments: Treatments,
) -> Vec<Sheet> {
    let mut met = std::collections::BTreeSet::new();
    let plots: Vec<&Plot> = layout
        .plots
        .iter()
        .filter(|p| met.insert(p.plot.as_str()))
        .collect();
    let steps: Vec<Step<'_>> = plots
        .iter()
        .enumerate()
        .map(|(i, plot)| Step::to(plot, i.checked_sub(1).map(|before| plots[before])))
        .collect();
    let sheets = steps.chunks(2 * ROWS);
    sheets
        .map(|both| Sheet {
            title: title.to_owned(),
            body: html! {
                p {
                    "Walk in this order, the same way on every occasion. Distances are from the middle of the plot before; directions as on \
                     the map, north up."
                }
                div.halves {
                    @for rows in both.chunks(ROWS) { (table(pack, rows, treatments)) }
                    @if both.len() <= ROWS { table aria-hidden="true" { tr { td {} } } }
                }
            },
        })
        .collect()
}

/// A plot, and how it is reached.
#[derive(Debug)]
struct Step<'a> {
    plot: &'a Plot,
    reached: Option<(f64, &'static str)>,
}

impl<'a> Step<'a> {
    fn to(plot: &'a Plot, before: Option<&Plot>) -> Self {
        let reached = before.map(|before| {
            let (east, north) = (plot.x_m - before.x_m, plot.y_m - before.y_m);
            (east.hypot(north), wind(east, north))
        });
        Self { plot, reached }
    }
}

/// The nearest of eight directions.
fn wind(east: f64, north: f64) -> &'static str {
    let eighths = (east.atan2(north).to_degrees() / 45.0)
        .round()
        .rem_euclid(8.0);
    let at = (0_u8..8).position(|i| f64::from(i) == eighths);
    WINDS[at.unwrap_or(0)]
}

fn table(pack: &Pack<'_>, rows: &[Step<'_>], treatments: Treatments) -> Markup {
    let shown = treatments == Treatments::Shown;
    let facts = pack.protocol.design.kind.facts();
    let nights = facts.over_nights();
    let block = if facts.has_blocks() {
        facts.blocks[0]
    } else {
        "block"
    };
    html! {
        table.walk {
            thead {
                tr {
                    th.name scope="col" { "plot" }
                    th.name scope="col" { (block) }
                    @if shown { th scope="col" { (if nights { "night by night" } else { "treatment" }) } }
                    th.metres scope="col" { "metres" }
                    th.towards scope="col" { "towards" }
                }
            }
            tbody {
                @for step in rows {
                    tr {
                        th scope="row" { (step.plot.plot) }
                        td { (block_of(step.plot)) }
                        @if shown { td { (got(pack, step.plot)) } }
                        @if let Some((metres, wind)) = step.reached {
                            td.metres { (format!("{metres:.1}")) }
                            td.towards { (wind) }
                        } @else {
                            td.metres { "start" }
                            td.towards {}
                        }
                    }
                }
            }
        }
    }
}

/// A plot's block without the name of its green, which stands above; a dash where the design has none.
fn block_of(plot: &Plot) -> &str {
    let block = plot.block.as_deref().unwrap_or("–");
    let green = plot
        .green
        .as_deref()
        .and_then(|name| block.strip_prefix(name));
    green
        .and_then(|rest| rest.strip_prefix('.'))
        .unwrap_or(block)
}

/// What a plot gets, night after night where it takes turns.
fn got(pack: &Pack<'_>, plot: &Plot) -> String {
    let lines = pack.layout.plots.iter().filter(|p| p.plot == plot.plot);
    let codes: Vec<&str> = lines.map(|p| p.treatment.as_str()).collect();
    match codes.as_slice() {
        [only] => {
            let mut all = pack.protocol.treatments.iter();
            all.find(|t| t.code == *only)
                .map_or_else(|| (*only).to_owned(), |t| format!("{} {}", t.code, t.name))
        }
        several => several.join(", "),
    }
}

#[cfg(test)]
mod tests {
    use super::wind;

    #[test]
    fn directions_are_those_of_the_map() {
        let found = [
            (0.0, 5.0),
            (3.0, 3.0),
            (5.0, 0.1),
            (0.0, -2.0),
            (-4.0, 0.0),
            (-1.0, 1.0),
        ];
        assert_eq!(
            found.map(|(x, y)| wind(x, y)),
            ["N", "NE", "E", "S", "W", "NW"]
        );
    }
}
