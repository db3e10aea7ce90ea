//! What lies at the top of the project, and what may.

use std::collections::BTreeSet;
use std::path::Path;
use std::process::Command;

use super::{root, text};

/// What a newcomer finds at the top. Names that start with a dot belong to tools.
const AGREED: [&str; 13] = [
    "Cargo.toml",
    "Cargo.lock",
    "README.md",
    "DEVELOPERS.md",
    "CHANGELOG.md",
    "LICENSE-MIT",
    "LICENSE-APACHE",
    "rustfmt.toml",
    "analysis",
    "trials",
    "tests",
    "notebooks-md",
    "data-examples",
];

/// First parts of the paths that git follows, or would if they were added; `None` where the project is no
/// checkout of its own or git is not there to ask.
fn known_to_git(root: &Path) -> Option<BTreeSet<String>> {
    // An unpacked archive may lie in somebody else's checkout, whose answer would be about that.
    if !root.join(".git").exists() {
        return None;
    }
    let listed = Command::new("git")
        .args(["ls-files", "-z", "--cached", "--others"])
        .arg("--exclude-standard")
        .current_dir(root)
        .output()
        .ok()
        .filter(|answer| answer.status.success())?;
    let paths = String::from_utf8(listed.stdout).ok()?;
    let tops = paths.split('\0').filter_map(|path| path.split('/').next());
    Some(
        tops.filter(|top| !top.is_empty())
            .map(str::to_owned)
            .collect(),
    )
}

/// What lies there, less what the rules of a `.gitignore` name.
fn not_ignored(root: &Path, rules: &str) -> BTreeSet<String> {
    let entries = root.read_dir().unwrap();
    let names = entries.map(|e| e.unwrap().file_name().into_string().unwrap());
    names.filter(|name| !ignored(name, rules)).collect()
}

/// Whether a rule names a thing at the top. A rule is a name with at most one `*`, as ours are.
fn ignored(name: &str, rules: &str) -> bool {
    let rules = rules.lines().map(str::trim);
    let mut rules = rules.filter(|rule| !rule.is_empty() && !rule.starts_with('#'));
    rules.any(|rule| match rule.trim_matches('/').split_once('*') {
        Some((start, end)) => {
            name.len() >= start.len() + end.len() && name.starts_with(start) && name.ends_with(end)
        }
        None => name == rule.trim_matches('/'),
    })
}

/// Names that are neither agreed nor a tool's.
fn strangers(names: &BTreeSet<String>) -> Vec<&str> {
    let names = names.iter().map(String::as_str);
    names
        .filter(|name| !name.starts_with('.') && !AGREED.contains(name))
        .collect()
}

#[test]
fn top_level_is_as_agreed() {
    let root = root();
    let names =
        known_to_git(&root).unwrap_or_else(|| not_ignored(&root, &text(&root.join(".gitignore"))));
    assert!(names.contains("Cargo.toml"), "{names:?}");
    let strangers = strangers(&names);
    assert!(strangers.is_empty(), "not agreed: {strangers:?}");
}

/// Somebody tries the commands of the README, then runs the tests.
#[test]
fn what_the_readme_leaves_behind_is_no_stranger() {
    let folder = tempfile::tempdir().unwrap();
    let root = folder.path();
    let rules = text(&super::root().join(".gitignore"));
    std::fs::write(root.join(".gitignore"), &rules).unwrap();
    for name in [
        "halfgreen-demo",
        "halfgreen-demo-2",
        "my-trial",
        "target",
        "trials",
    ] {
        std::fs::create_dir(root.join(name)).unwrap();
        std::fs::write(root.join(name).join("file"), "").unwrap();
    }
    std::fs::write(root.join("Cargo.toml"), "").unwrap();
    assert_eq!(known_to_git(root), None);
    assert_eq!(strangers(&not_ignored(root, &rules)), Vec::<&str>::new());
    std::fs::write(root.join("notes.txt"), "").unwrap();
    assert_eq!(strangers(&not_ignored(root, &rules)), ["notes.txt"]);

    let made = Command::new("git")
        .args(["init", "--quiet"])
        .current_dir(root)
        .status();
    // Where git is not there to ask, only the disk can be looked at.
    if made.is_ok_and(|status| status.success()) {
        let known = known_to_git(root).unwrap();
        assert_eq!(strangers(&known), ["notes.txt"]);
        assert!(known.contains("trials") && !known.contains("target"));
    }
}

#[test]
fn rules_of_gitignore_are_read() {
    let rules = "/target\n# a word\n\n/report-*\n*.pending-snap\n/folder/\n";
    for name in ["target", "report-2", "a.pending-snap", "folder"] {
        assert!(ignored(name, rules), "{name}");
    }
    for name in ["targets", "my-report", "a.snap", "# a word", ""] {
        assert!(!ignored(name, rules), "{name}");
    }
}
