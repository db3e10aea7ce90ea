//! What was sealed beside what is there now, and what people wrote beside what the page says.

use std::fmt::Write as _;

use super::markup;
use crate::scratch::{PROTOCOL, Scratch};

/// Four pairs, laid out with a seed and counted.
fn sealed() -> Scratch {
    let scratch = Scratch::empty();
    scratch.put("trial.toml", PROTOCOL.replace("blocks = 2", "blocks = 4"));
    scratch.put("outline.csv", "x_m,y_m\n0,0\n30,0\n30,24\n0,24\n");
    assert_eq!(scratch.run(&["layout", ".", "--seed", "5"]).code(), Some(0));
    scratch.put("counts.csv", counts(""));
    scratch
}

fn counts(note: &str) -> String {
    let mut text = "plot,sample,occasion,count,note\n".to_owned();
    for plot in 1..=8 {
        for sample in 1..=2 {
            let line = [
                plot.to_string(),
                sample.to_string(),
                "main".to_owned(),
                ((plot * 5 + sample) % 7).to_string(),
            ];
            text += &line.join(",");
            writeln!(text, ",\"{}\"", note.replace('"', "\"\"")).unwrap();
        }
    }
    text
}

fn page(scratch: &Scratch) -> String {
    let run = scratch.run(&["report", "."]);
    assert_eq!(run.code(), Some(0), "{}", run.err());
    let page = scratch.read("report/report.html");
    markup::page("report.html", &page);
    page
}

/// Rows of the table of deviations: line, as sealed, now, whether it touches the verdict.
fn deviations(page: &str) -> Vec<Vec<String>> {
    let Some(table) = page
        .split("<caption>What was sealed, and what is there now</caption>")
        .nth(1)
    else {
        return Vec::new();
    };
    let body = table
        .split("<tbody>")
        .nth(1)
        .unwrap()
        .split("</tbody>")
        .next()
        .unwrap();
    let cell = |c: &str| {
        c.split_once('>')
            .map(|(_, text)| text.split('<').next().unwrap().to_owned())
    };
    body.split("<tr>")
        .skip(1)
        .map(|row| row.split("<t").filter_map(cell).collect())
        .collect()
}

/// The same with an outline that was changed after it was sealed.
pub(crate) fn changed_after_sealing() -> Scratch {
    let scratch = sealed();
    scratch.put("outline.csv", "x_m,y_m\n0,0\n30.5,0\n30,24\n0,24\n");
    scratch
}

#[test]
fn nothing_differs_from_a_fresh_seal() {
    let page = page(&sealed());
    assert!(deviations(&page).is_empty());
    assert!(page.contains("None. Protocol, outline and layout are those that were sealed on "));
}

#[test]
fn every_line_that_was_changed_is_told_with_what_was_there() {
    let scratch = sealed();
    let protocol = scratch.read("trial.toml");
    scratch.put(
        "trial.toml",
        protocol.replace("reduction_percent = 50", "reduction_percent = 30"),
    );
    scratch.put("outline.csv", "x_m,y_m\n0,0\n30.5,0\n30,24\n0,24\n");
    let layout = scratch.read("layout.csv");
    let second = layout.lines().nth(2).unwrap();
    let swapped = if second.contains(",U,") {
        second.replace(",U,", ",C,")
    } else {
        second.replace(",C,", ",U,")
    };
    scratch.put("layout.csv", layout.replace(second, &swapped));
    let page = page(&scratch);
    let rows = deviations(&page);
    let of = |line: &str| {
        rows.iter()
            .find(|r| r[0].contains(line))
            .unwrap_or_else(|| panic!("{line} in {rows:?}"))
    };
    assert_eq!(
        of("worthwhile_reduction_percent")[1..],
        ["50.0", "30.0", "yes"]
    );
    assert_eq!(of("layout.csv plot 2")[1..], [second, &swapped, "yes"]);
    assert_eq!(
        of("outline, edge, corner 2")[1..],
        ["30.000 0.000", "30.500 0.000", "no"]
    );
    // Programs read the same.
    let results: serde_json::Value =
        serde_json::from_str(&scratch.read("report/results.json")).unwrap();
    let lines: Vec<&serde_json::Value> = results["result"]["deviations"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|d| d["lines"].as_array().unwrap())
        .collect();
    assert_eq!(lines.len(), rows.len());
    for (line, row) in lines.iter().zip(&rows) {
        assert_eq!(
            (line["line"].as_str(), line["now"].as_str()),
            (Some(row[0].as_str()), Some(row[2].as_str()))
        );
    }
}

/// Seals of before copies were kept hold digests alone: they verify as ever, and tell which part differs.
#[test]
fn an_older_seal_verifies_and_tells_which_part_differs() {
    let scratch = sealed();
    let seal = scratch.read("seal.toml");
    let mut digests: toml::Table = seal.parse().unwrap();
    for copy in ["protocol", "layout", "outline"] {
        assert!(digests.remove(copy).is_some(), "{copy}");
    }
    scratch.put("seal.toml", digests.to_string());
    let verified = scratch.run(&["layout", ".", "--verify"]);
    assert_eq!(verified.code(), Some(0), "{}", verified.out());
    scratch.put("outline.csv", "x_m,y_m\n0,0\n30.5,0\n30,24\n0,24\n");
    let page = page(&scratch);
    assert!(deviations(&page).is_empty());
    assert!(page.contains("<li>The outline is not the one sealed.</li>"));
}

/// A copy in the seal that was changed with the file is no copy.
#[test]
fn a_copy_that_was_changed_as_well_is_not_believed() {
    let scratch = sealed();
    for name in ["seal.toml", "outline.csv"] {
        let text = scratch.read(name);
        let changed = text
            .replace("30.000 0.000", "30.500 0.000")
            .replace("\n30,0\n", "\n30.5,0\n");
        assert_ne!(text, changed, "{name}");
        scratch.put(name, changed);
    }
    let page = page(&scratch);
    assert!(deviations(&page).is_empty());
    assert!(page.contains("<li>The outline is not the one sealed.</li>"));
}

#[test]
fn what_people_wrote_stays_text() {
    let hostile =
        "</p><script>alert(1)</script> & <b onclick=x> \u{5e9}\u{5dc}\u{5d5}\u{5dd} \u{1f41b} ";
    let word = "Kraftfahrzeughaftpflicht".repeat(20);
    let scratch = sealed();
    let text = format!("{hostile}{word}");
    let protocol = scratch
        .read("trial.toml")
        .replace("title = \"Two pairs\"", &format!("title = '{text}'"));
    let protocol = protocol.replace("name = \"covered\"", "name = \"<i>cov|ered</i>\"");
    scratch.put(
        "trial.toml",
        protocol + "\n[reporting]\nweather = \"<u>gale</u> | *wet* `x`\"\n",
    );
    scratch.put("counts.csv", counts(&text));
    scratch.put(
        "events.csv",
        "plot,date,event,covered_fraction,note\n1,2026-09-01,<s>gale</s>,0.2,\"<b>a|b</b>\"\n",
    );
    let run = scratch.run(&["report", ".", "--format", "html,md"]);
    assert_eq!(run.code(), Some(0), "{}", run.err());
    for name in ["report.html", "members.html"] {
        let page = scratch.read(&format!("report/{name}"));
        markup::page(name, &page);
        assert!(
            page.contains("&lt;script&gt;alert(1)&lt;/script&gt;"),
            "{name}"
        );
    }
    let page = scratch.read("report/report.html");
    assert!(
        page.contains(&word)
            && page.contains("\u{5e9}\u{5dc}\u{5d5}\u{5dd}")
            && page.contains('\u{1f41b}')
    );
    assert!(page.contains("&lt;u&gt;gale&lt;/u&gt;") && page.contains("&lt;s&gt;gale&lt;/s&gt;"));
    let md = scratch.read("report/report.md");
    assert!(
        !md.contains("<script") && !md.contains("<b") && !md.contains("<u>") && !md.contains("<s>")
    );
    assert!(
        md.contains("a\\|b") && md.contains("\\*wet\\* \\`x\\`"),
        "{md}"
    );
}
