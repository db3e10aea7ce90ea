//! What was changed after sealing, line by line, and whether that touches the verdict.

use std::fmt;

use serde::{Serialize, Serializer};
use serde_json::Value;

/// Code of a warning that something is not as it was sealed.
pub const NOT_AS_SEALED: &str = "not-as-sealed";
/// The same of something that the verdict does not rest on.
pub const CHANGED_BESIDE: &str = "changed-beside-the-verdict";

/// How the difference begins that says so of the layout.
pub const LAYOUT_CHANGED: &str = "The layout is not the one sealed.";

/// Something that is not as it was sealed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Difference {
    /// What differs, in a sentence.
    pub sentence: String,
    /// Whether the verdict could be another because of it.
    pub touches_the_verdict: bool,
    /// The lines that differ, with what was sealed and what is there now, where that is known.
    pub lines: Vec<ChangedLine>,
}

/// A line that is not as it was sealed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChangedLine {
    /// Which line, as a reader finds it in its file.
    pub line: String,
    /// What was sealed.
    pub sealed: String,
    /// What is there now.
    pub now: String,
}

impl Difference {
    /// One by which the verdict could be another.
    pub(super) fn grave(sentence: impl Into<String>) -> Self {
        Self {
            sentence: sentence.into(),
            touches_the_verdict: true,
            lines: Vec::new(),
        }
    }

    /// One by which it cannot.
    pub(super) fn slight(sentence: impl Into<String>) -> Self {
        Self {
            sentence: sentence.into(),
            touches_the_verdict: false,
            lines: Vec::new(),
        }
    }

    /// The same with the lines that differ.
    pub(super) fn of_lines(mut self, lines: impl IntoIterator<Item = ChangedLine>) -> Self {
        self.lines.extend(lines);
        self
    }
}

impl fmt::Display for Difference {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(&self.sentence)
    }
}

/// Programs read the sentence.
impl Serialize for Difference {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(&self.sentence)
    }
}

/// How the protocol as sealed and the protocol as it is now differ, both as one line of JSON. Without a copy of what was
/// sealed nobody can say which line it was.
pub(super) fn changes(sealed: Option<&str>, now: &str) -> Vec<Difference> {
    let parsed = |text: &str| serde_json::from_str::<Value>(text).ok();
    let Some((sealed, now)) = sealed.and_then(parsed).zip(parsed(now)) else {
        return vec![Difference::grave(
            "The protocol is not the one sealed; the seal holds no copy, so that nobody can say which line was changed.",
        )];
    };
    let mut found = Vec::new();
    compare("", &sealed, &now, &mut found);
    found
}

/// Compares two values and all within them; lists of named things by their names.
fn compare(path: &str, sealed: &Value, now: &Value, found: &mut Vec<Difference>) {
    if sealed == now {
        return;
    }
    match (sealed, now) {
        (Value::Object(a), Value::Object(b)) => {
            let within = |key: &str| {
                if path.is_empty() {
                    key.to_owned()
                } else {
                    format!("{path}.{key}")
                }
            };
            let added = b.keys().filter(|key| !a.contains_key(*key));
            for key in a.keys().chain(added) {
                let either = |side: &serde_json::Map<String, Value>| {
                    side.get(key).cloned().unwrap_or(Value::Null)
                };
                compare(&within(key), &either(a), &either(b), found);
            }
        }
        (Value::Array(a), Value::Array(b)) if a.iter().chain(b).all(|x| name(x).is_some()) => {
            let same =
                |list: &[Value], x: &Value| list.iter().find(|y| name(y) == name(x)).cloned();
            for x in a {
                let now = same(b, x).unwrap_or(Value::Null);
                compare(&format!("{path} {}", named(x)), x, &now, found);
            }
            for x in b.iter().filter(|x| same(a, x).is_none()) {
                compare(&format!("{path} {}", named(x)), &Value::Null, x, found);
            }
        }
        _ => found.push(difference(path, sealed, now)),
    }
}

/// Code or name of a treatment, an occasion or a green.
fn name(x: &Value) -> Option<&str> {
    x.get("code").or_else(|| x.get("name"))?.as_str()
}

fn named(x: &Value) -> String {
    name(x).map_or(String::new(), |name| format!("\"{name}\""))
}

fn difference(path: &str, sealed: &Value, now: &Value) -> Difference {
    let touches = touches(path, sealed, now);
    let end = if touches {
        "which touches the verdict"
    } else {
        "which does not touch the verdict"
    };
    let line = line(path, now);
    let what = match (sealed, now) {
        (Value::Null, Value::Object(_)) => format!("{line} was added"),
        (Value::Object(_), Value::Null) => format!("{line} was taken out"),
        _ => format!("{line} was {} and is now {}", told(sealed), told(now)),
    };
    let sentence = format!("The protocol is not the one sealed: {what}, {end}.");
    let found = if touches {
        Difference::grave(sentence)
    } else {
        Difference::slight(sentence)
    };
    found.of_lines([ChangedLine {
        line: format!("trial.toml {line}"),
        sealed: whole(sealed),
        now: whole(now),
    }])
}

fn told(value: &Value) -> String {
    match value {
        Value::Null => "not there".to_owned(),
        other => other.to_string(),
    }
}

/// The same of a value that may be a whole section: told key by key.
fn whole(value: &Value) -> String {
    let Value::Object(keys) = value else {
        return told(value);
    };
    let written = keys.iter().filter(|(_, v)| !v.is_null());
    let keys: Vec<String> = written.map(|(key, v)| format!("{key} = {v}")).collect();
    keys.join(", ")
}

/// A path as it stands in `trial.toml`.
fn line(path: &str, now: &Value) -> String {
    let (section, key) = path.split_once('.').unwrap_or((path, ""));
    let key = match key {
        "worthwhile_percent" => "worthwhile_reduction_percent (or _increase_)",
        "core_area_m2" => "core_diameter_mm or area_m2",
        key => key.rsplit('.').next().unwrap_or(key),
    };
    let (list, name) = section.split_once(' ').unwrap_or((section, ""));
    let heading = match list {
        "treatments" => "[[treatment]]".to_owned(),
        "occasions" => "[[occasion]]".to_owned(),
        other => format!("[{other}]"),
    };
    let whole = key.is_empty() || now.is_object();
    let key = if whole {
        String::new()
    } else {
        format!(" {key}")
    };
    let name = if name.is_empty() {
        String::new()
    } else {
        format!(" {name}")
    };
    format!("{heading}{name}{key}")
}

/// What is read by people only, or stands beside the verdict.
const BESIDE: [&str; 10] = [
    "trial.title",
    "trial.site",
    "trial.date",
    "response.name",
    "response.unit",
    "response.most_per_m2",
    "response.stages",
    "decision.threshold_per_m2",
    "plot.length_m",
    "plot.width_m",
];

/// Whether a change of this line can change the verdict. Names, days and what stands beside it cannot, nor can a later
/// occasion; a count before treatment can, for it enters the comparison. Places and sizes of the plots count as the
/// layout has them, which is compared by itself.
fn touches(path: &str, sealed: &Value, now: &Value) -> bool {
    let key = path.rsplit('.').next();
    if path.starts_with("occasions ") {
        let whole = |x: &Value| x.get("role").and_then(Value::as_str).map(str::to_owned);
        return match (whole(sealed), whole(now)) {
            (Some(role), _) | (None, Some(role)) => role != "follow-up",
            (None, None) => key != Some("date"),
        };
    }
    let told_to_people = path.starts_with("treatments ") && key == Some("name");
    !(told_to_people || BESIDE.contains(&path) || path == "plot.guard_m")
}
