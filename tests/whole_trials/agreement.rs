//! Whether the pages of one trial agree, and what none of them may say.

use serde_json::Value;

use super::Told;
use super::readability::school_grade;

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

/// What members do not want to read.
const NEVER_TO_MEMBERS: [&str; 10] = [
    "p =",
    "p-value",
    ".toml",
    ".json",
    ".csv",
    ".html",
    "block",
    "control",
    "randomis",
    "confidence",
];

/// A verdict in the words of the members' page.
fn to_members(call: &str, readings: bool) -> &'static str {
    match (call, readings) {
        ("beat-the-control", false) => "it worked",
        ("did-worse", false) => "no, it made things worse",
        ("too-small-to-matter", _) => "no gain that is worth having",
        ("beat-the-control", true) => "yes, it did better",
        ("did-worse", true) => "no, it did worse",
        _ => "we cannot tell yet",
    }
}

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
    for word in NEVER_TO_MEMBERS {
        assert!(!members.contains(word), "members: `{word}` in {members}");
    }
    // One verdict, whoever reads.
    let readings = told.results["result"]["readings"].is_array();
    let verdicts = told.results["result"]["verdicts"].as_array();
    for verdict in verdicts.into_iter().flatten() {
        let sentence = verdict["sentence"].as_str().unwrap();
        let told = sentence.split(['.', ':', ';']).next().unwrap();
        let rest = told.chars().skip(1).collect::<String>();
        assert!(report.contains(&rest), "report: `{rest}` in {report}");
        let plain = to_members(verdict["call"].as_str().unwrap(), readings);
        let lower = members.to_lowercase();
        assert!(lower.contains(plain), "members: `{plain}` in {members}");
    }
    let grade = school_grade(&members);
    assert!(grade <= 7.5, "members: grade {grade:.1} of {members}");
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
