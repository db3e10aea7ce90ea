//! The house rules that a machine can check: order of rooms, size of files, front pages, top level.
#![expect(
    clippy::disallowed_methods,
    reason = "these tests read the house's own sources"
)]

mod dependencies;
mod doors;
mod sentences;
mod top_level;

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// Longest file, and how long nineteen in twenty may be at most; tests included.
const LONGEST: usize = 400;
const LONG: usize = 300;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

fn text(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap()
}

/// Every Rust file below a folder, in order.
fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut entries: Vec<PathBuf> = std::fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().path())
        .collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            found.extend(sources(&path));
        } else if path.extension().is_some_and(|e| e == "rs") {
            found.push(path);
        }
    }
    found
}

/// Rooms of a crate in the order of its front page.
fn rooms(krate: &str) -> Vec<String> {
    text(&root().join(krate).join("src/lib.rs"))
        .lines()
        .filter_map(|l| {
            l.strip_prefix("pub mod ")?
                .strip_suffix(';')
                .map(str::to_owned)
        })
        .collect()
}

/// A room may use only the rooms before it.
#[test]
fn rooms_use_only_rooms_before_them() {
    let mut looked_at = 0;
    let mut faults = Vec::new();
    for krate in ["analysis", "trials"] {
        let rooms = rooms(krate);
        for (place, room) in rooms.iter().enumerate() {
            let folder = root().join(krate).join("src").join(room);
            if !folder.is_dir() {
                continue;
            }
            for file in sources(&folder) {
                for line in text(&file)
                    .lines()
                    .filter(|l| !l.trim_start().starts_with("//"))
                {
                    for used in line.split("crate::").skip(1) {
                        let name: String = used
                            .chars()
                            .take_while(|c| c.is_alphanumeric() || *c == '_')
                            .collect();
                        looked_at += 1;
                        if rooms
                            .iter()
                            .position(|r| *r == name)
                            .is_some_and(|at| at > place)
                        {
                            faults.push(format!("{}: {room} uses {name}", file.display()));
                        }
                    }
                }
            }
        }
    }
    assert!(looked_at > 100, "only {looked_at} uses were looked at");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn files_can_be_held_in_the_head() {
    let mut lengths = Vec::new();
    for folder in ["analysis", "trials", "tests"] {
        for file in sources(&root().join(folder)) {
            let text = text(&file);
            let lines = text.lines().count();
            lengths.push(lines);
            assert!(lines <= LONGEST, "{} has {lines} lines", file.display());
            assert!(
                text.starts_with("//!"),
                "{} has no first line of purpose",
                file.display()
            );
        }
    }
    assert!(
        lengths.len() > 150,
        "only {} files were looked at",
        lengths.len()
    );
    lengths.sort_unstable();
    let long = lengths[lengths.len() * 19 / 20];
    assert!(
        long <= LONG,
        "one file in twenty has {long} lines or more, {LONG} are agreed"
    );
}

#[test]
fn every_folder_has_a_front_page() {
    for krate in ["analysis", "trials"] {
        let src = root().join(krate).join("src");
        let folders: BTreeSet<PathBuf> = sources(&src)
            .into_iter()
            .filter_map(|f| f.parent().map(Path::to_path_buf))
            .filter(|f| *f != src)
            .collect();
        assert!(folders.len() > 8);
        for folder in folders {
            assert!(
                folder.join("mod.rs").is_file(),
                "{} has no mod.rs",
                folder.display()
            );
        }
    }
}

/// The rooms that DEVELOPERS.md draws are the rooms there are.
#[test]
fn developers_page_names_every_room() {
    let page = text(&root().join("DEVELOPERS.md"));
    for krate in ["analysis", "trials"] {
        for room in rooms(krate) {
            assert!(
                page.contains(&format!("`{room}`")),
                "DEVELOPERS.md does not name {krate}/{room}"
            );
        }
    }
}

/// A kind of design has one home: every kind written there is listed, and no other source names one.
#[test]
fn a_kind_of_design_is_named_in_its_own_file_only() {
    let src = root().join("trials/src");
    let home = src.join("design/kinds");
    let list = text(&home.join("mod.rs"));
    let mut kinds = Vec::new();
    for file in sources(&home) {
        let text = text(&file);
        let named = text
            .lines()
            .filter_map(|l| l.strip_prefix("impl Kind for ")?.strip_suffix(" {"));
        for kind in named {
            let stem = file.file_stem().unwrap().to_string_lossy();
            assert!(
                list.contains(&format!("    {stem}::{kind},\n")),
                "{kind} is not listed in design/kinds/mod.rs"
            );
            kinds.push(kind.to_owned());
        }
    }
    assert!(kinds.len() >= 6, "only {kinds:?} were found");
    for file in sources(&src).iter().filter(|f| !f.starts_with(&home)) {
        let text = text(file);
        let uses = text
            .split("kinds::")
            .skip(1)
            .filter_map(|u| u.split(';').next());
        for used in uses {
            for kind in &kinds {
                assert!(
                    !used.contains(kind.as_str()),
                    "{} names {kind}: ask the kind what it is like",
                    file.display()
                );
            }
        }
    }
}
