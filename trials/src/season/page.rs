//! `season.html`: the plan on one sheet of A4, with nothing fetched.

use maud::{Markup, PreEscaped, html};

use super::advice::Answer;
use super::options::OptionRow;
use super::picture::picture;
use super::result::SeasonPlan;
use super::schedule::NightRow;
use super::tell::{covers, larvae, net as net_of, reached, remark, runs, unit};
use crate::fieldwork::cautions::{COVERING, LAST};
use crate::text::money::{hours, many, money};
use crate::text::page::page as shell;
use crate::text::shortened::shortened;

const STYLE: &str = "@page{size:A4;margin:9mm}*{box-sizing:border-box}body{font:8.6pt/1.28 sans-serif;color:#111;max-width:192mm;margin:auto;overflow-wrap:anywhere}\
@media screen{body{padding:0 12px}}.two>*{min-width:0}th,td{overflow-wrap:break-word}th.w,td.w{overflow-wrap:anywhere;min-width:6.5em}\
h1{font-size:15pt;margin:0 0 1.5mm}h2{font-size:10pt;margin:2.5mm 0 .8mm}p{margin:0 0 1mm}ul{margin:0 0 1mm;padding-left:4mm}\
table{border-collapse:collapse;width:100%}th,td{border-bottom:.3mm solid #999;padding:.4mm 1mm;text-align:right;vertical-align:top}\
th{font-weight:600}th.w,td.w{text-align:left}tr{break-inside:avoid}.answer{border:.5mm solid #111;border-left-width:2.5mm;padding:1mm 2mm}\
.one{white-space:nowrap}body.long{font-size:7.3pt;line-height:1.2}.long h2{margin-top:1.6mm}.long .small{font-size:6.6pt}.two{display:grid;grid-template-columns:96mm 1fr;gap:4mm}figure{margin:0}svg{width:100%;height:auto}.small{font-size:7.4pt}\
@media(max-width:170mm){.two{display:block}.wide{overflow-x:auto}}";

/// From more greens than these on the page is set smaller, as where names are cut, so that it stays one sheet.
const MANY: usize = 18;

/// Characters of a title for which the sheet has room; `plan.csv` and the terminal have all of it.
const TITLE: usize = 120;

/// The same of a name of a green or an option.
const NAME: usize = 60;

/// The page.
#[must_use]
pub fn page(plan: &SeasonPlan) -> String {
    let title = shortened(&plan.title, TITLE);
    let planned = plan.advice.answer != Answer::DoNotBuy;
    let body = html! {
        h1 { (title) }
        section.answer aria-label="Answer" { @for said in &plan.advice.sentences { p { (capital(said)) } } }
        div.two {
            div {
                h2 { "Which greens on which night" }
                @if planned { figure { (PreEscaped(picture(plan))) } (reach(plan)) }
                @else { p { "No plan is shown: what it would cost stands below." } }
            }
            div {
                @if !plan.switching.is_empty() {
                    h2 { "What would change the answer" }
                    ul { @for switch in &plan.switching { li { (switch.sentence) } } }
                }
                h2 { "To bear in mind" }
                ul { @for note in &plan.notes { li { (note) } } }
                (sheet(plan))
            }
        }
        @if planned { (nights(plan)) }
        (options(plan))
        section.small { h2 { "Cautions" } ul { @for caution in COVERING { li { (caution) } } } p { (LAST) } }
    };
    let cut = |name: &String| name.chars().count() > NAME;
    let names = plan.greens.iter().map(|green| &green.green);
    let long = plan.greens.len() > MANY
        || names
            .chain(plan.options.iter().map(|option| &option.name))
            .any(cut);
    let class = long.then_some("long");
    shell(&title, &[STYLE], class, &body)
}

/// A night with names of greens for which the table has room.
fn with_short_names(night: &NightRow) -> NightRow {
    let mut night = night.clone();
    for piece in &mut night.covers {
        piece.green = shortened(&piece.green, NAME).into_owned();
    }
    night
}

fn reach(plan: &SeasonPlan) -> Markup {
    html! { p { (reached(plan)) " Larvae are what is expected on the whole green." } }
}

fn sheet(plan: &SeasonPlan) -> Markup {
    let sheet = plan.sheet;
    html! {
        @if sheet.short_m2 > 0.0 {
            p { "The largest green in one piece takes " (many(sheet.largest_m2.ceil())) " m² of sheet: " (many(sheet.short_m2)) " m² more than there are"
                @if let Some(price) = sheet.price_of_short { ", for " (money(price, &plan.currency)) } ". Whole rolls may be more." }
        }
    }
}

fn nights(plan: &SeasonPlan) -> Markup {
    html! {
        div.wide { table {
            thead { tr { th.w { "night" } th.w { "covered" } th { "sheet a night, m²" } th { "person-hours a night" } th { "there are" } } }
            tbody { @for run in runs(plan) { @let night = run.night; tr {
                th.w.one scope="row" { (run.name) }
                td.w { (covers(&with_short_names(night))) }
                td { (many(night.sheet_m2.ceil())) }
                td { (hours(night.hours)) }
                td { (night.people) " × " (hours(night.hours_available / night.people as f64)) }
            } } }
        } }
    }
}

fn options(plan: &SeasonPlan) -> Markup {
    let currency = &plan.currency;
    let net = plan.options.iter().any(|o| o.net.is_some());
    let cost = |o: &OptionRow| {
        o.costs
            .total
            .map_or("no price".to_owned(), |c| money(c, currency))
    };
    html! {
        h2 { "What it costs, cheapest first (only costs that differ)" }
        div.wide { table {
            thead { tr { th.w { "option" } th { "ground, m²" } th { "person-hours" } th { "cost" } th { "larvae removed (likely)" }
                th { "for 1 000 removed" } @if net { th { "brings less its cost" } } th.w { "" } } }
            tbody { @for option in &plan.options { tr {
                th.w scope="row" { (shortened(&option.name, NAME)) }
                td { (many(option.area_m2)) }
                td { (hours(option.costs.hours)) }
                td { (cost(option)) }
                td { (larvae(option.removed)) }
                td { (unit(option.cost_per_1000, currency)) }
                @if net { td { (net_of(option, currency)) } }
                td.w { (remark(option, currency)) }
            } } }
        } }
    }
}

/// A sentence with a capital: a verdict may begin with a name.
fn capital(text: &str) -> String {
    let mut letters = text.chars();
    let first: String = letters
        .next()
        .into_iter()
        .flat_map(char::to_uppercase)
        .collect();
    first + letters.as_str()
}
