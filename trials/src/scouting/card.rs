//! The crew's card: what to do after each core, as sentences and as one page to print.

use maud::{Markup, PreEscaped, html};

use super::pictures::stop_line_chart;
use super::stop_line::{Kind, StopLine, StopLines};
use crate::Error;
use crate::text::page::page as shell;
use crate::text::rounding::plain;
use crate::text::spelling::number;

/// What to do after each core, one sentence a core; cores at which nothing can stop are left out.
#[must_use]
pub fn sentences(answer: &StopLines) -> Vec<String> {
    let before_last = answer.lines.split_last().map_or(&[][..], |(_, rest)| rest);
    let mut out: Vec<String> = before_last
        .iter()
        .filter_map(|line| sentence(answer.request.kind, line))
        .collect();
    out.push(last(answer));
    out
}

fn sentence(kind: Kind, line: &StopLine) -> Option<String> {
    let after = format!("After {}:", number(line.n, "core"));
    let below = line.stop_at_or_below.map(|l| match l {
        0 => "none found: stop, clean".to_owned(),
        l => format!("{l} or fewer: stop, clean"),
    });
    let word = if kind == Kind::Green {
        "sure enough"
    } else {
        "act"
    };
    let above = line
        .stop_at_or_above
        .map(|u| format!("{u} or more: stop, {word}"));
    let rules: Vec<String> = [below, above].into_iter().flatten().collect();
    match rules.len() {
        0 => None,
        1 => Some(format!("{after} {}; otherwise go on.", rules[0])),
        _ => Some(format!("{after} {}; between, go on.", rules.join("; "))),
    }
}

fn last(answer: &StopLines) -> String {
    let most = number(answer.request.most, "core");
    let Some(few) = answer.cut_off_at else {
        let enough = answer.lines.last().and_then(|line| line.stop_at_or_above);
        return match enough {
            Some(total) => format!(
                "After {most} stop in any case; below {total} the mean is less sure than wished."
            ),
            None => format!("After {most} stop; the mean is less sure than wished."),
        };
    };
    format!("After {most} stop in any case: {few} or fewer counts as clean, more as act.")
}

/// Where the cores are taken.
pub(crate) const EVERYWHERE: &str = "Take cores in random order from the whole green.";

/// What is to be found out, and what is noted.
pub(crate) fn heading(answer: &StopLines) -> String {
    let request = &answer.request;
    let what = match request.tally {
        None => "Count every animal and keep a running total.".to_owned(),
        Some(0) => "Count the cores that hold any at all.".to_owned(),
        Some(t) => format!("Count the cores that hold more than {t}."),
    };
    match request.kind {
        Kind::Green => {
            format!(
                "Count until the mean is known to {:.0} % (standard error). {what}",
                100.0 * request.precision
            )
        }
        _ => format!(
            "Clean (about {} a core or fewer) or act (about {} or more)? {what}",
            plain(request.low),
            plain(request.high)
        ),
    }
}

/// The card as one A4 page with table and chart.
///
/// # Errors
/// A fault of the drawing library.
pub fn page(answer: &StopLines) -> Result<String, Error> {
    let chart = stop_line_chart(answer)?;
    let precise = answer.request.kind == Kind::Green;
    let title = "When to stop counting";
    let body = html! {
        h1 { (title) }
        p { (heading(answer)) }
        div class="columns" { (table(answer, precise)) }
        p { strong { (last(answer)) } }
        p { (EVERYWHERE) " Between the two numbers, go on." }
        figure { (PreEscaped(chart)) }
        p class="names" { "Green ________________  Date ____________  Counted by ________________" }
    };
    Ok(shell(title, &[STYLE], None, &body))
}

fn table(answer: &StopLines, precise: bool) -> Markup {
    let cell = |value: Option<u64>| value.map_or("-".to_owned(), |v| v.to_string());
    html! {
        table {
            thead { tr {
                th scope="col" { "cores" }
                @if !precise { th scope="col" { "stop, clean at or below" } }
                th scope="col" { @if precise { "stop at or above" } @else { "stop, act at or above" } }
                th scope="col" { "my total" }
            } }
            tbody {
                @for line in &answer.lines {
                    tr {
                        th scope="row" { (line.n) }
                        @if !precise { td { (cell(line.stop_at_or_below)) } }
                        td { (cell(line.stop_at_or_above)) }
                        td class="write" {}
                    }
                }
            }
        }
    }
}

const STYLE: &str = "@page{size:A4;margin:12mm}body{font:11pt/1.35 sans-serif;color:#111;max-width:190mm;margin:auto}\
h1{font-size:18pt;margin:0 0 2mm}table{border-collapse:collapse;width:100%}\
th,td{border:1px solid #444;padding:1mm 2mm;text-align:right;break-inside:avoid}\
td.write{min-width:22mm}figure{margin:4mm 0;break-inside:avoid}svg{width:100%;height:auto}\
.columns{max-width:130mm}.names{margin-top:6mm;white-space:pre-wrap}";
