//! Every number on the page is one of the results, or of the trial's own files: nothing is reckoned on the way to the page.

use std::collections::BTreeSet;

use halfgreen::text::rounding::{
    between, chance, change, figure, maybe, maybe_chance, percent, plain, span, step,
};
use serde_json::Value;

use crate::scratch::Scratch;

/// Numbers that stand in the page's own sentences: formulas, levels, years and pages of sources, sizes of standards.
const IN_SENTENCES: &str = "2 1 0 19 999 4 256 181 PP 1/181 1/2 5 2 2p EPPO m2 1925 1935 1936 1940 1942 1946 1948 1950 1955 1976 1979 \
    1987 1989 1993 1995 1998 2005 31 313 323 15 209 225 32 243 262 35 246 254 3 3rd 68 78 2nd 18 265 267 48 157 161 37 17 23 27 286 306 79 \
    26 46 50 1096 1121 100 6 65 70 63 655 660 93 115 110 114";

/// Numbers in a text, as they are spelt.
fn numbers(text: &str) -> BTreeSet<String> {
    let digit = |c: char| c.is_ascii_digit() || c == '.' || c == ',';
    let mut found = BTreeSet::new();
    for word in text.split(|c: char| !c.is_alphanumeric() && !digit(c)) {
        // A digest or a seed of letters and digits is a name.
        if word.len() > 20 {
            continue;
        }
        for part in word.split(|c: char| !digit(c)) {
            let part = part.trim_matches(['.', ',']);
            if part.chars().any(|c| c.is_ascii_digit()) {
                found.insert(part.to_owned());
            }
        }
    }
    found
}

/// What a reader sees: no style, no picture, no numbers to copy.
fn seen(page: &str) -> String {
    let mut text = page.to_owned();
    for (open, close) in [
        ("<style", "</style>"),
        ("<svg", "</svg>"),
        ("<details", "</details>"),
    ] {
        while let Some(start) = text.find(open) {
            let end = start + text[start..].find(close).unwrap() + close.len();
            text.replace_range(start..end, " ");
        }
    }
    let mut inside = false;
    let kept = text.chars().map(|c| {
        inside = (inside || c == '<') && c != '>';
        if inside || c == '>' { ' ' } else { c }
    });
    kept.collect::<String>()
}

/// Every way in which the page may write a number of the results; means are told for a core as well.
fn spellings(x: f64, core_area: f64, into: &mut BTreeSet<String>) {
    let mut add = |text: String| into.extend(numbers(&text));
    for x in [x, x * core_area] {
        add(figure(x));
        add(plain(x));
        add(chance(x));
        add(step(x));
        add(format!("{x:.3}"));
        add(format!("{x:.1}"));
        add(format!("{x:.0}"));
    }
    add(x.to_string());
    add(figure((10.0 * x).round() / 10.0));
    if x >= 0.0 {
        add(change(x));
        add(percent(x));
        add(between(Some(x), Some(x)));
    }
    add(percent((1.0 - x).abs()));
    // Chances are told rounded down.
    add(format!("{:.0}", (100.0 * x).floor()));
    add(format!("{x:.5}"));
}

fn gather(value: &Value, core_area: f64, into: &mut BTreeSet<String>) {
    match value {
        Value::Number(n) => spellings(n.as_f64().unwrap(), core_area, into),
        Value::String(text) => into.extend(numbers(text)),
        Value::Array(all) => all.iter().for_each(|v| gather(v, core_area, into)),
        Value::Object(all) => all.values().for_each(|v| gather(v, core_area, into)),
        Value::Null | Value::Bool(_) => {}
    }
}

/// Ground under a corer of 108 mm, square metres.
pub(crate) const CORE_M2: f64 = std::f64::consts::PI * 0.108 * 0.108 / 4.0;

/// Numbers of the page that come from nowhere: neither from the results nor from the files; means are told for a sample of
/// `core_area` as well.
pub(crate) fn from_nowhere(
    page: &str,
    results: &Value,
    files: &[String],
    core_area: f64,
) -> Vec<String> {
    let mut known = numbers(IN_SENTENCES);
    gather(results, core_area, &mut known);
    for file in files {
        known.extend(numbers(file));
    }
    known.extend(numbers(env!("CARGO_PKG_VERSION")));
    spellings(core_area, 1.0, &mut known);
    numbers(&seen(page))
        .into_iter()
        .filter(|n| !known.contains(n))
        .collect()
}

#[test]
fn every_number_of_the_page_is_one_of_the_results_or_of_the_files() {
    let club = Scratch::club();
    let results: Value = serde_json::from_str(&club.read("club/report/results.json")).unwrap();
    let mut files: Vec<String> = [
        "trial.toml",
        "layout.csv",
        "counts.csv",
        "seal.toml",
        "outline.csv",
    ]
    .iter()
    .map(|name| club.read(&format!("club/{name}")))
    .collect();
    // What next season needs is the answer of another command.
    let next = club.run(&["next", "club", "--json"]);
    files.push(next.json()["result"].to_string());
    // Plots and cores of a treatment are counted from the plots.
    files.push(tallied(&results));
    let page = club.read("club/report/report.html");
    assert_eq!(
        from_nowhere(&page, &results, &files, CORE_M2),
        Vec::<String>::new()
    );
    // With other results most of it would come from nowhere: the check can fail.
    let other = scaled(&results["result"]["contrasts"], 1.37);
    let mut wrong = results;
    wrong["result"]["contrasts"] = other;
    wrong["result"]["verdicts"] = Value::Null;
    wrong["result"]["factors"] = Value::Null;
    assert!(!from_nowhere(&page, &wrong, &files, CORE_M2).is_empty());
}

/// Numbers of plots, cores and animals of every treatment, and counts for each core; nothing where readings were taken.
pub(crate) fn tallied(results: &Value) -> String {
    let Some(plots) = results["result"]["plots"].as_array() else {
        return String::new();
    };
    let treatments: BTreeSet<&str> = plots
        .iter()
        .map(|p| p["treatment"].as_str().unwrap())
        .collect();
    let mut told = Vec::new();
    for treatment in treatments {
        let of = || plots.iter().filter(|p| p["treatment"] == treatment);
        let sum = |key: &str| of().map(|p| p[key].as_u64().unwrap()).sum::<u64>();
        told.push(format!(
            "{} {} {}",
            of().count(),
            sum("cores"),
            sum("count")
        ));
    }
    let each = plots
        .iter()
        .map(|p| figure(p["count"].as_f64().unwrap() / p["cores"].as_f64().unwrap()));
    told.extend(each);
    told.join(" ")
}

/// The same numbers, each times a factor.
pub(crate) fn scaled(value: &Value, by: f64) -> Value {
    match value {
        Value::Number(n) => Value::from(n.as_f64().unwrap() * by),
        Value::Array(all) => all.iter().map(|v| scaled(v, by)).collect(),
        Value::Object(all) => all
            .iter()
            .map(|(k, v)| (k.clone(), scaled(v, by)))
            .collect(),
        other => other.clone(),
    }
}

/// Cells of the row of a table that a word heads.
fn row(page: &str, caption: &str, head: &str) -> Vec<String> {
    let table = page
        .split(&format!("<caption>{caption}</caption>"))
        .nth(1)
        .unwrap();
    let table = table.split("</table>").next().unwrap();
    let row = table
        .split("<tr>")
        .find(|r| r.contains(&format!(">{head}</th>")))
        .unwrap();
    let cells = row
        .split("</td>")
        .filter_map(|cell| cell.rsplit_once('>').map(|(_, c)| c));
    cells
        .map(|c| c.replace('\u{a0}', " ").replace("&lt;", "<"))
        .filter(|c| !c.is_empty())
        .collect()
}

#[test]
fn tables_show_the_results_rounded_and_nothing_else() {
    let club = Scratch::club();
    let text = club.read("club/report/results.json");
    let results: Value = serde_json::from_str(&text).unwrap();
    let page = club.read("club/report/report.html");
    let c = &results["result"]["contrasts"][0];
    let of = |key: &str| c[key].as_f64();
    assert_eq!(
        row(
            &page,
            "Change against the control",
            "covered overnight against uncovered"
        ),
        [
            change(of("ratio_as_counted").unwrap()),
            change(of("ratio").unwrap()),
            between(of("low"), of("high")),
            maybe(of("ratio")),
            format!("{} to {}", maybe(of("low")), maybe(of("high"))),
        ]
    );
    assert_eq!(
        row(&page, "Both tests, two-sided", "covered overnight"),
        [
            maybe(of("ratio")),
            maybe_chance(of("p_randomisation")),
            maybe_chance(of("p_randomisation_adjusted")),
            maybe_chance(of("p_model")),
            maybe_chance(of("p_model_adjusted")),
        ]
    );
    for formula in results["result"]["efficacy"]["abbott"].as_array().unwrap() {
        let of = |key: &str| formula[key].as_f64();
        assert_eq!(
            row(
                &page,
                "Per cent of the control",
                "Abbott (counts after treatment)"
            ),
            [
                "covered overnight".to_owned(),
                format!("{} %", maybe(of("percent"))),
                format!("{} %", span(of("low"), of("high"))),
            ]
        );
    }
    for term in results["result"]["model"]["coefficients"]
        .as_array()
        .unwrap()
    {
        // `block[2]` in the results is block 2 on the page.
        let name = term["term"].as_str().unwrap().replace('[', " ");
        let cells = row(
            &page,
            "Coefficients of the negative binomial regression, log scale",
            name.trim_matches(['(', ')', ']']),
        );
        assert_eq!(
            cells,
            [maybe(term["estimate"].as_f64()), maybe(term["se"].as_f64())]
        );
    }
    let ground = &results["result"]["hot_spots"][0];
    let caption = format!(
        "Hot spots: Moran's I {}, p {}",
        maybe(ground["moran_i"].as_f64()),
        maybe_chance(ground["moran_p"].as_f64())
    );
    for plot in ground["plots"].as_array().unwrap() {
        let cells = row(&page, &caption, plot["plot"].as_str().unwrap());
        let of = |key: &str| plot[key].as_f64();
        assert_eq!(cells[0], figure(of("value").unwrap()));
        assert_eq!(cells[1..3], [maybe(of("gi_star")), maybe_chance(of("q"))]);
    }
}
