//! Sentences in the sources: no stray runs of spaces, which a lost line break leaves behind.

use super::{root, sources, text};

/// Where a run of spaces stands inside a text in quotation marks, between what people read.
fn run_of_spaces(line: &str) -> bool {
    let mut inside = false;
    let letters: Vec<char> = line.chars().collect();
    letters.iter().enumerate().any(|(i, c)| {
        if *c == '"' && (i == 0 || letters[i - 1] != '\\') {
            inside = !inside;
        }
        let before = i > 0 && (letters[i - 1].is_alphanumeric() || ",;:.".contains(letters[i - 1]));
        let next = letters.get(i + 1) == Some(&' ');
        let after = letters[i..].iter().find(|l| **l != ' ');
        inside && *c == ' ' && before && next && after.is_some_and(|l| l.is_alphabetic())
    })
}

#[test]
fn no_sentence_holds_a_run_of_spaces() {
    let mut looked_at = 0;
    let mut faults = Vec::new();
    for file in sources(&root().join("trials/src")) {
        let text = text(&file);
        // What a test expects may be a table.
        let code = text.split("#[cfg(test)]").next().unwrap();
        for line in code.lines().filter(|l| !l.trim_start().starts_with("//")) {
            looked_at += 1;
            if run_of_spaces(line) {
                faults.push(format!("{}: {}", file.display(), line.trim()));
            }
        }
    }
    assert!(looked_at > 10_000, "{looked_at}");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn a_run_of_spaces_is_found_where_people_read_it() {
    assert!(run_of_spaces(
        r#"    "say with it why the          treatments were drawn""#
    ));
    assert!(!run_of_spaces(r#"    let x =  "one  2""#));
    assert!(!run_of_spaces(r#"    "a  \n""#));
}
