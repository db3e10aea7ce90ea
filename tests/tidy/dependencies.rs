//! A dependency that is declared is used: what nobody uses is built, kept up and trusted for nothing.

use std::path::{Path, PathBuf};

use super::{root, sources, text};

/// Names of a table such as `[dependencies]` of a manifest, as the code spells them.
fn declared(manifest: &str, table: &str) -> Vec<String> {
    let manifest: toml::Table = manifest.parse().unwrap();
    let names = manifest.get(table).and_then(toml::Value::as_table);
    names.map_or_else(Vec::new, |names| {
        names.keys().map(|name| name.replace('-', "_")).collect()
    })
}

/// Sources of the test programs that a manifest declares: the program and the shelves it names.
fn programs(folder: &Path, manifest: &str) -> Vec<PathBuf> {
    let manifest: toml::Table = manifest.parse().unwrap();
    let mut found = Vec::new();
    for program in manifest["test"].as_array().unwrap() {
        let path = folder.join(program["path"].as_str().unwrap());
        for line in text(&path).lines() {
            if let Some(shelf) = line.strip_prefix("mod ").and_then(|l| l.strip_suffix(';')) {
                found.extend(sources(&path.with_file_name(shelf)));
            }
        }
        found.push(path);
    }
    found
}

/// Whether a source names a crate: in a path (`csv::Reader`, `use csv;`) that is no part of a longer name.
fn names(source: &str, krate: &str) -> bool {
    let part = |c: char| c.is_alphanumeric() || c == '_' || c == ':' || c == '.';
    let mut lines = source.lines().map(str::trim_start);
    lines.any(|line| {
        !line.starts_with("//")
            && line.match_indices(krate).any(|(at, _)| {
                let rest = &line[at + krate.len()..];
                let path = rest.starts_with("::") || (line.starts_with("use ") && rest == ";");
                path && !line[..at].ends_with(part)
            })
    })
}

/// Declared names that none of the files names.
fn unused(declared: Vec<String>, files: &[PathBuf]) -> Vec<String> {
    let sources: Vec<String> = files.iter().map(|f| text(f)).collect();
    let lone = |krate: &String| !sources.iter().any(|source| names(source, krate));
    declared.into_iter().filter(lone).collect()
}

#[test]
fn every_declared_dependency_is_used() {
    let mut looked_at = 0;
    for krate in ["analysis", "trials"] {
        let folder = root().join(krate);
        let manifest = text(&folder.join("Cargo.toml"));
        let code = sources(&folder.join("src"));
        let kept = declared(&manifest, "dependencies");
        let for_tests = declared(&manifest, "dev-dependencies");
        looked_at += kept.len() + for_tests.len();
        assert_eq!(unused(kept, &code), Vec::<String>::new(), "{krate}");
        let benches = folder.join("benches");
        let mut tests = programs(&folder, &manifest);
        tests.extend(code);
        if benches.is_dir() {
            tests.extend(sources(&benches));
        }
        assert_eq!(unused(for_tests, &tests), Vec::<String>::new(), "{krate}");
    }
    assert!(
        looked_at > 30,
        "only {looked_at} dependencies were looked at"
    );
}

#[test]
fn only_a_path_through_a_crate_counts_as_its_use() {
    for line in [
        "use csv::Reader;",
        "    csv::Reader::new()",
        "let x: Vec<csv::A>;",
        "use csv;",
    ] {
        assert!(names(line, "csv"), "{line}");
    }
    for line in [
        "// csv::Reader",
        "my_csv::Reader",
        "self::csv::read()",
        "let csv = 1;",
        "a.csv",
    ] {
        assert!(!names(line, "csv"), "{line}");
    }
    assert_eq!(
        declared("[dependencies]\na-b = \"1\"\n", "dependencies"),
        ["a_b"]
    );
}
