//! Runs every command of every walk-through and compares what it prints.
//!
//! A block marked `console` holds commands (`$ ...`) and what they print. All blocks of one file run in
//! order in one fresh folder that holds `data-examples`. `HALFGREEN_REWRITE=1` writes what was
//! printed into the file instead; look at the difference before you keep it.
#![expect(
    clippy::disallowed_methods,
    reason = "walk-throughs are files that these tests read"
)]

use std::path::{Path, PathBuf};
use std::process::Command;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap() {
        let path = entry.unwrap().path();
        let target = to.join(path.file_name().unwrap());
        if path.is_dir() {
            copy(&path, &target);
        } else {
            std::fs::copy(&path, &target).unwrap();
        }
    }
}

/// What a shell command prints, with the built `halfgreen` first on the path.
fn printed(command: &str, folder: &Path) -> String {
    let built = Path::new(env!("CARGO_BIN_EXE_halfgreen")).parent().unwrap();
    let path = format!("{}:{}", built.display(), std::env::var("PATH").unwrap());
    let out = Command::new("sh")
        .args(["-c", &format!("{command} 2>&1")])
        .current_dir(folder)
        .env("PATH", path)
        .env("NO_COLOR", "1")
        .output()
        .unwrap();
    String::from_utf8(out.stdout).unwrap()
}

/// The text with every console block's answers as they are now, and how many commands ran.
fn answered(text: &str, folder: &Path) -> (String, usize) {
    let mut out = String::new();
    let (mut inside, mut ran) = (false, 0);
    for line in text.lines() {
        if line.starts_with("```") {
            inside = line == "```console";
        } else if inside {
            let Some(command) = line.strip_prefix("$ ") else {
                continue;
            };
            ran += 1;
            out.push_str(line);
            out.push('\n');
            let answer = printed(command, folder);
            out.push_str(answer.trim_end());
            out.push_str(if answer.trim().is_empty() { "" } else { "\n" });
            continue;
        }
        out.push_str(line);
        out.push('\n');
    }
    (out, ran)
}

/// Pages that are looked up, not walked through.
const REFERENCE: [&str; 5] = [
    "4-words.md",
    "5-results.md",
    "6-ranges.md",
    "7-promises.md",
    "17-files.md",
];

/// Name and text of every page but the index.
fn pages() -> Vec<(String, String)> {
    let entries = std::fs::read_dir(root().join("notebooks-md")).unwrap();
    let mut pages: Vec<(String, String)> = entries
        .map(|e| e.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "md"))
        .map(|path| {
            let name = path.file_name().unwrap().to_str().unwrap().to_owned();
            (name, std::fs::read_to_string(path).unwrap())
        })
        .filter(|(name, _)| name != "README.md")
        .collect();
    pages.sort();
    assert!(pages.len() > 12);
    pages
}

#[test]
fn the_index_leads_to_every_page() {
    let index = std::fs::read_to_string(root().join("notebooks-md/README.md")).unwrap();
    for (name, _) in pages() {
        let link = format!("]({name})");
        assert!(
            index.contains(&link),
            "notebooks-md/README.md needs a row with `{link}`"
        );
    }
}

#[test]
fn every_walk_says_whose_data_it_uses_and_ends_with_what_to_look_at() {
    for (name, text) in pages() {
        if REFERENCE.contains(&name.as_str()) {
            continue;
        }
        assert!(
            text.contains("hose data: "),
            "{name} does not say `Whose data: ...`"
        );
        let last = text.lines().rfind(|l| l.starts_with("## "));
        assert_eq!(last, Some("## What to look at"), "{name}");
    }
}

/// A number that was worked out is told with digits that mean something; programs get all of them.
#[test]
fn no_walk_prints_a_number_with_seven_decimals() {
    let long = |line: &str| {
        line.split('.')
            .skip(1)
            .any(|rest| rest.chars().take_while(char::is_ascii_digit).count() > 6)
    };
    let walks = pages()
        .into_iter()
        .filter(|(name, _)| !REFERENCE.contains(&name.as_str()));
    for (name, text) in walks {
        let found = text.lines().find(|l| long(l) && !l.contains("\": "));
        assert_eq!(found, None, "{name}");
    }
}

#[test]
fn walk_throughs_print_what_they_say() {
    let mut ran = 0;
    let mut files: Vec<PathBuf> = std::fs::read_dir(root().join("notebooks-md"))
        .unwrap()
        .map(|e| e.unwrap().path())
        .collect();
    files.sort();
    for file in files
        .iter()
        .filter(|f| f.extension().is_some_and(|e| e == "md"))
    {
        let folder = tempfile::tempdir().unwrap();
        copy(
            &root().join("data-examples"),
            &folder.path().join("data-examples"),
        );
        let text = std::fs::read_to_string(file).unwrap();
        let (now, commands) = answered(&text, folder.path());
        ran += commands;
        if std::env::var("HALFGREEN_REWRITE").is_ok() {
            std::fs::write(file, now).unwrap();
        } else {
            let differs = text.lines().zip(now.lines()).find(|(a, b)| a != b);
            assert!(
                text == now,
                "{} says something else now; first at: {differs:?}\n{now}",
                file.display()
            );
        }
    }
    assert!(ran >= 10, "only {ran} commands were run");
}
