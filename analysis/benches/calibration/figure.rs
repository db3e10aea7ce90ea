//! False claims of every analysis, one dot a cell.

use std::fmt::Write;

use crate::cells::Site;
use crate::practice::NAMES;
use crate::run::Outcome;

const WIDTH: f64 = 760.0;
const ROW: f64 = 44.0;
const LEFT: f64 = 190.0;
const TOP: f64 = 58.0;
/// Highest rate shown, per cent.
const HIGHEST: f64 = 60.0;

/// The picture as SVG.
pub(crate) fn draw(outcomes: &[Outcome]) -> String {
    let x = |rate: f64| LEFT + (WIDTH - LEFT - 20.0) * rate.min(HIGHEST).sqrt() / HIGHEST.sqrt();
    let names: Vec<&str> = ["headline", "randomisation test"]
        .into_iter()
        .chain(NAMES)
        .collect();
    let height = TOP + ROW * names.len() as f64 + 40.0;
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {height}\" font-family=\"Arial, Helvetica, sans-serif\" \
         font-size=\"13\" role=\"img\" aria-labelledby=\"t d\"><title id=\"t\">False claims where 5 per cent are promised</title>\
         <desc id=\"d\">One dot for each cell of the calibration bench; the line marks 5 per cent.</desc>\
         <rect width=\"100%\" height=\"100%\" fill=\"white\"/>\
         <text x=\"20\" y=\"26\" font-size=\"16\" font-weight=\"bold\">False claims where 5 % are promised, one dot a cell</text>"
    );
    let bottom = TOP + ROW * names.len() as f64;
    for tick in [0.0, 1.0, 5.0, 10.0, 20.0, 40.0, 60.0] {
        let (stroke, width) = if tick == 5.0 {
            ("#D55E00", 2.0)
        } else {
            ("#ccc", 1.0)
        };
        write!(
            svg,
            "<line x1=\"{0:.1}\" x2=\"{0:.1}\" y1=\"{TOP}\" y2=\"{bottom}\" stroke=\"{stroke}\" stroke-width=\"{width}\"/>\
             <text x=\"{0:.1}\" y=\"{1:.1}\" text-anchor=\"middle\">{tick} %</text>",
            x(tick),
            bottom + 18.0
        )
        .unwrap();
    }
    for (row, name) in names.iter().enumerate() {
        let middle = TOP + ROW * (row as f64 + 0.5);
        write!(
            svg,
            "<text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"end\">{name}</text>",
            LEFT - 12.0,
            middle + 4.0
        )
        .unwrap();
        let colour = if row == 0 { "#0072B2" } else { "#444" };
        for (at, o) in outcomes
            .iter()
            .filter(|o| o.cell.site == Site::Blocks)
            // The randomisation test was tried with two treatments only.
            .filter(|o| row != 1 || o.cell.treatments == 2)
            .enumerate()
        {
            // A fixed spread, so that the picture is the same each time.
            let spread = ((at * 7919) % 101) as f64 / 101.0 - 0.5;
            write!(
                svg,
                "<circle cx=\"{:.1}\" cy=\"{:.1}\" r=\"1.8\" fill=\"{colour}\" fill-opacity=\"0.35\"/>",
                x(100.0 * o.claims[row]),
                middle + spread * (ROW - 14.0)
            )
            .unwrap();
        }
    }
    svg.push_str("</svg>\n");
    svg
}
