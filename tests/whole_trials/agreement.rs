//! Whether the pages of one trial agree, and what none of them may say.

use serde_json::Value;

use super::Told;

/// The text of a page, without style, pictures and marks; what stands in one element keeps its spaces.
pub(super) fn readable(page: &str) -> String {
    let mut text = page.to_owned();
    for (open, close) in [("<style", "</style>"), ("<svg", "</svg>")] {
        while let Some(start) = text.find(open) {
            let end = start + text[start..].find(close).unwrap() + close.len();
            text.replace_range(start..end, "");
        }
    }
    let mut out = String::new();
    let mut inside = false;
    for letter in text.chars() {
        match letter {
            '<' => inside = true,
            '>' => {
                inside = false;
                out.push('\n');
            }
            '\u{a0}' if !inside => out.push(' '),
            other if !inside => out.push(other),
            _ => {}
        }
    }
    out.replace("&amp;", "&").replace("&quot;", "\"")
}

/// What no page of any trial says.
const NEVER: [&str; 9] = [
    "NaN",
    "1 rows",
    "a green of this size cannot hold",
    "every ten",
    "could never have shown it",
    "blocks would tell",
    "as surely as wished",
    "18446744073709551615",
    "-0 ",
];

/// Holds the pages of a trial against each other and against what it says of next season. `never` is what this trial
/// must not say.
pub(super) fn check(told: &Told, next: Option<&Value>, never: &[&str]) {
    let (members, report) = (told.members(), told.report());
    for (name, page) in [("members", &members), ("report", &report)] {
        for phrase in NEVER.iter().chain(never) {
            assert!(!page.contains(phrase), "{name}: `{phrase}` in {page}");
        }
        for line in page.lines() {
            assert!(
                !line.trim().contains("  "),
                "{name}: a run of spaces in `{line}`"
            );
        }
    }
    for word in ["p =", "p-value", "trial.toml"] {
        assert!(!members.contains(word), "members: `{word}` in {members}");
    }
    // One verdict, whoever reads.
    let verdicts = told.results["result"]["verdicts"].as_array();
    for verdict in verdicts.into_iter().flatten() {
        let sentence = verdict["sentence"].as_str().unwrap();
        let told = sentence.split(['.', ':', ';']).next().unwrap();
        let rest = told.chars().skip(1).collect::<String>();
        for (name, page) in [("members", &members), ("report", &report)] {
            assert!(page.contains(&rest), "{name}: `{rest}` in {page}");
        }
    }
    let Some(next) = next else { return };
    let sentence = next["suggestion"]["sentence"].as_str().unwrap();
    let step = next["follows"]["step"].as_str().unwrap();
    assert_eq!(
        report.contains("plan in the table"),
        step == "same-question",
        "{step}: {report}"
    );
    match step {
        "same-question" => {
            assert!(report.contains(sentence), "`{sentence}` in {report}");
            let plots = next["suggestion"]["room"]["plots"].as_u64().unwrap();
            let cores = next["suggestion"]["plan"]["cores_per_plot"]
                .as_u64()
                .unwrap();
            let size = format!("{plots} plots with {cores} ");
            assert!(members.contains(&size), "`{size}` in {members}");
        }
        step => {
            let sentence = next["follows"]["sentence"].as_str().unwrap();
            assert!(
                report.contains(sentence),
                "{step}: `{sentence}` in {report}"
            );
            assert!(!members.contains("plots with"), "{step}: {members}");
            assert!(
                members.contains("we need not ask it again"),
                "{step}: {members}"
            );
        }
    }
}
