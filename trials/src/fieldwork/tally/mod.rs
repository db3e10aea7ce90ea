//! The page that counts on a phone: `tally.html`, one file that asks nothing of any network.
//!
//! *In.* A [`TallyPlan`]: the plots in walking order, what is counted in them and when. *Out.* One page of HTML as text, which holds
//! its style, its program and the plan.
//!
//! The page's sources are the files of `page/`. What is counted, merged, written and read there touches neither the screen nor the
//! phone's storage and is tested by itself (`tests/tally`); the page as a whole is driven in a browser (`tests/browser`).
//!
//! | file | what it knows |
//! |---|---|
//! | `ledger.js` | what was tapped, in order, and what that comes to; nothing is ever taken out of it |
//! | `results.js` | samples, plots, two counts of one place, the rows that are sent |
//! | `csv.js`, `rules.js` | rows as text and back; what a row must obey, by the data of [`count_rules`](crate::count_rules) |
//! | `spoken.js` | lines to read out, each with a check sign |
//! | `merge.js` | what counts from elsewhere would change |
//! | `storage.js`, `keep.js` | every tap is stored, by a worker where there can be one, then shown |
//! | `page.js` and a file for each view | what is seen |

mod plan;

use crate::text::names::{escaped, well_formed};

pub use plan::{TallyPlan, TallyPlot};

const TEMPLATE: &str = include_str!("page/tally.html");
const STYLE: &str = include_str!("page/tally.css");
/// The program, in the order in which its parts use one another.
const PROGRAM: [&str; 16] = [
    include_str!("page/ledger.js"),
    include_str!("page/results.js"),
    include_str!("page/csv.js"),
    include_str!("page/rules.js"),
    include_str!("page/spoken.js"),
    include_str!("page/merge.js"),
    include_str!("page/storage.js"),
    include_str!("page/keep.js"),
    include_str!("page/page.js"),
    include_str!("page/count.js"),
    include_str!("page/correct.js"),
    include_str!("page/more.js"),
    include_str!("page/plots.js"),
    include_str!("page/send.js"),
    include_str!("page/take.js"),
    include_str!("page/start.js"),
];

/// The page. Names appear as text, whatever they are made of; a treatment that is hidden is nowhere in it.
#[must_use]
pub fn page(plan: &TallyPlan) -> String {
    // A value that JSON cannot hold does not occur in a plan; an empty one would leave a page that says so.
    let plan_text = serde_json::to_string(plan).unwrap_or_default();
    let title = format!("Tally: {}", plan.title);
    let program = format!(
        "(function () {{\n\"use strict\";\n{}}})();\n",
        PROGRAM.concat()
    );
    let parts = [
        ("<!--title-->", maud::html! { (title) }.into_string()),
        ("<!--style-->", STYLE.to_owned()),
        ("<!--plan-->", inside_a_script(plan_text)),
        ("<!--script-->", program),
    ];
    let mut page = String::with_capacity(TEMPLATE.len() + 100_000);
    let mut rest = TEMPLATE;
    for (mark, text) in parts {
        let (before, after) = rest.split_once(mark).unwrap_or((rest, ""));
        page.push_str(before);
        page.push_str(&text);
        rest = after;
    }
    page.push_str(rest);
    well_formed(page)
}

/// JSON that no name in it can end the element around it (HTML, "Restrictions for contents of script elements").
fn inside_a_script(json: String) -> String {
    escaped(json).replace('<', "\\u003c")
}
