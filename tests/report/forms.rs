//! One report in several forms: the same content, from the same values.

#[cfg(feature = "png")]
use std::path::Path;

use crate::scratch::Scratch;

fn reported(scratch: &Scratch, more: &[&str]) -> Vec<String> {
    let run = scratch.run(&[&["report", "club", "--json"], more].concat());
    assert_eq!(run.code(), Some(0), "{}", run.err());
    let files = run.json()["result"]["files"].as_array().unwrap().clone();
    files
        .iter()
        .map(|f| f.as_str().unwrap().to_owned())
        .collect()
}

#[test]
fn each_form_writes_its_own_files_and_figures_come_with_all() {
    let scratch = Scratch::club();
    let has = |files: &[String], name: &str| files.contains(&format!("club/report/{name}"));
    let html = reported(&scratch, &[]);
    assert!(has(&html, "report.html") && has(&html, "members.html") && !has(&html, "report.md"));
    let md = reported(&scratch, &["--format", "md"]);
    assert!(has(&md, "report.md") && !has(&md, "report.html"));
    let json = reported(&scratch, &["--format", "json"]);
    assert!(!has(&json, "report.md") && !has(&json, "report.html"));
    for files in [&html, &md, &json] {
        for name in [
            "results.json",
            "map.svg",
            "map-numbers.csv",
            "ratio.svg",
            "ratio-numbers.csv",
            "counts-numbers.csv",
        ] {
            assert!(has(files, name), "{name} in {files:?}");
        }
    }
    let both = reported(&scratch, &["--format", "html,md"]);
    assert!(has(&both, "report.html") && has(&both, "report.md"));
    let run = scratch.run(&["report", "club", "--format", "docx"]);
    assert_eq!(run.code(), Some(2));
}

/// Letters and digits alone, one space between words.
fn bare(text: &str) -> String {
    let words = text
        .split(|c: char| !c.is_alphanumeric())
        .filter(|w| !w.is_empty());
    words.collect::<Vec<_>>().join(" ")
}

/// Text of every element of a kind.
fn elements(page: &str, tag: &str) -> Vec<String> {
    let mut found = Vec::new();
    for part in page.split(&format!("<{tag}")).skip(1) {
        let Some((_, rest)) = part
            .split_once('>')
            .filter(|(attributes, _)| attributes.is_empty() || attributes.starts_with(' '))
        else {
            continue;
        };
        let inner = rest.split(&format!("</{tag}>")).next().unwrap();
        let mut inside = false;
        let text: String = inner
            .chars()
            .filter(|&c| {
                inside = (inside || c == '<') && c != '>';
                !inside && c != '>'
            })
            .collect();
        let text = text
            .replace('\u{a0}', " ")
            .replace("&lt;", "<")
            .replace("&gt;", ">");
        found.push(text.replace("&quot;", "\"").replace("&amp;", "&"));
    }
    found
}

#[test]
fn markdown_says_what_the_page_says() {
    let scratch = Scratch::club();
    reported(&scratch, &["--format", "html,md"]);
    let (page, md) = (
        scratch.read("club/report/report.html"),
        scratch.read("club/report/report.md"),
    );
    let page = page.split("<main").nth(1).unwrap();
    let nav = page.find("<nav").unwrap()..page.find("</nav>").unwrap();
    let page = [&page[..nav.start], &page[nav.end..]].concat();
    let plain = md
        .replace("&lt;", "<")
        .replace("&gt;", ">")
        .replace("&amp;", "&");
    let plain = bare(&plain);
    let mut looked_at = 0;
    for tag in ["p", "li", "h2", "h3", "th", "td", "caption", "dt", "dd"] {
        for text in elements(&page, tag) {
            let text = bare(&text);
            if text == "Back to the contents" {
                continue;
            }
            looked_at += 1;
            assert!(plain.contains(&text), "<{tag}> {text}");
        }
    }
    assert!(looked_at > 300, "{looked_at}");
    // Every table has as many cells in each of its lines.
    let mut lines = md.lines().peekable();
    let mut tables = 0;
    while let Some(line) = lines.next() {
        if line.starts_with("| ") {
            let cells = |line: &str| line.replace("\\|", "").matches('|').count();
            let width = cells(line);
            tables += 1;
            while let Some(next) = lines.next_if(|l| l.starts_with("| ")) {
                assert_eq!(cells(next), width, "{next}");
            }
        }
    }
    assert!(tables > 8, "{tables}");
}

#[test]
#[cfg(not(feature = "png"))]
fn a_build_without_png_says_how_to_have_it() {
    let scratch = Scratch::club();
    let run = scratch.run(&["report", "club", "--png"]);
    assert_eq!(run.code(), Some(1));
    assert!(
        run.err().contains("--png") && run.err().contains("--features png"),
        "{}",
        run.err()
    );
}

#[test]
#[cfg(feature = "png")]
fn figures_are_drawn_as_dots_at_print_size() {
    let scratch = Scratch::club();
    let files = reported(&scratch, &["--png"]);
    let ending = |f: &&String, ending: &str| Path::new(f).extension().is_some_and(|e| e == ending);
    let pictures: Vec<&String> = files.iter().filter(|f| ending(f, "png")).collect();
    let figures = files.iter().filter(|f| ending(f, "svg")).count();
    assert_eq!(pictures.len(), figures);
    for name in pictures {
        let png = scratch.bytes(name);
        // PNG specification, 3rd edition: signature, then IHDR with width and height, then chunks.
        assert_eq!(&png[..8], b"\x89PNG\r\n\x1a\n", "{name}");
        let number = |at: usize| u32::from_be_bytes(png[at..at + 4].try_into().unwrap());
        // 127 mm at 300 dots to the inch.
        assert_eq!(number(16), 1500, "{name}");
        assert!(number(20) > 300, "{name}");
        let size = png.windows(4).position(|w| w == b"pHYs").unwrap() + 4;
        assert_eq!(
            (number(size), number(size + 4), png[size + 8]),
            (11811, 11811, 1),
            "{name}"
        );
    }
    let again = reported(&scratch, &["--png", "--threads", "1"]);
    assert_eq!(again, files);
}

/// A stand-in that is no browser: what it cannot do is told, and nothing is written.
#[test]
fn a_pdf_without_a_browser_is_refused_with_a_way_round() {
    let scratch = Scratch::club();
    let run = scratch.run_with(
        &["report", "club", "--format", "pdf"],
        &[("HALFGREEN_BROWSER", "no-such-browser-anywhere")],
    );
    assert_eq!(run.code(), Some(1));
    let said = run.err();
    assert!(
        said.contains("no-such-browser-anywhere") && said.contains("print"),
        "{said}"
    );
    assert!(!scratch.path("club/report/report.pdf").exists());
}
