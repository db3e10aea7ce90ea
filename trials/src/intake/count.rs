//! Is this text a count? If not, what is it, and what may have been meant?
use crate::count_rules::rules;
use crate::table::{Complaint, Rule};

/// Words for small numbers, by their value.
const WORDS: [&str; 21] = [
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
    "twenty",
];

/// Why a text is not a count.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CountFault {
    /// The rule it breaks.
    pub rule: Rule,
    /// What is wrong and what to do.
    pub complaint: Complaint,
}

/// Reads a whole number from 0; `None` for a blank text, which says that nothing was counted.
///
/// `3.0` is read as 3. Every other notation is refused with the count that may have been meant: it is
/// for the one who was there to say.
///
/// # Errors
/// Negative, fractional and huge counts, words, and numbers in a spreadsheet's formats.
pub fn read_count(text: &str) -> Result<Option<u64>, CountFault> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    let digits = |t: &str| !t.is_empty() && t.bytes().all(|b| b.is_ascii_digit());
    let whole = match text.split_once(['.', ',']) {
        Some((whole, zeros))
            if zeros.len() != 3 && digits(zeros) && zeros.bytes().all(|b| b == b'0') =>
        {
            whole
        }
        _ => text,
    };
    if !digits(whole) {
        return Err(explain(text));
    }
    match whole.parse::<u64>() {
        Ok(count) if rules().holds("count", count as f64) => Ok(Some(count)),
        _ => Err(fault(
            Rule::HugeCount,
            format!("a count of {text} cannot be right"),
            "Correct it, or leave the cell blank if it was not counted.",
        )),
    }
}

fn fault(rule: Rule, what: impl Into<String>, cure: impl Into<String>) -> CountFault {
    CountFault {
        rule,
        complaint: Complaint::new(what, cure),
    }
}

/// Names what a text that is no count looks like.
fn explain(text: &str) -> CountFault {
    if let Some(found) = thousands(text).or_else(|| scientific(text)) {
        return found;
    }
    if let Ok(number) = text
        .replace(',', ".")
        .replace('\u{2212}', "-")
        .parse::<f64>()
        && number.is_finite()
    {
        return if number < 0.0 {
            fault(
                Rule::NegativeCount,
                format!("a count cannot be below zero, but this is {text}"),
                "Write what was counted.",
            )
        } else if number.fract() == 0.0 {
            fault(
                Rule::NumberFormat,
                format!("\"{text}\" is not a plain count"),
                format!("Write {:.0}.", number.abs()),
            )
        } else {
            fault(
                Rule::FractionalCount,
                format!("a count is a whole number, but this is {text}"),
                "Write the larvae counted, one line for each core, not their mean.",
            )
        };
    }
    words(text)
}

/// `1,234`, `1.234`, `1 234`, `1'234`.
fn thousands(text: &str) -> Option<CountFault> {
    let groups: Vec<&str> = text
        .split([',', '.', ' ', '\'', '\u{a0}', '\u{202f}'])
        .collect();
    let (first, rest) = groups.split_first()?;
    let grouped =
        (1..=3).contains(&first.len()) && !rest.is_empty() && rest.iter().all(|g| g.len() == 3);
    let joined = groups.concat();
    if !grouped || !joined.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    Some(fault(
        Rule::NumberFormat,
        format!(
            "\"{text}\" is {joined} if its mark parts the thousands and a fraction if it does not"
        ),
        "Write the count without any mark.",
    ))
}

/// `1E+02`.
fn scientific(text: &str) -> Option<CountFault> {
    let (mantissa, exponent) = text.split_once(['e', 'E'])?;
    let value: f64 = format!("{}e{exponent}", mantissa.replace(',', "."))
        .parse()
        .ok()?;
    if !value.is_finite() {
        return None;
    }
    Some(fault(
        Rule::NumberFormat,
        format!(
            "\"{text}\" is a spreadsheet's short form of about {value:.0}, and digits may be lost"
        ),
        "Look the count up and write it in full.",
    ))
}

fn words(text: &str) -> CountFault {
    let lower = text.to_lowercase();
    let likeness = |w: &&str| strsim::damerau_levenshtein(&lower, w);
    // Short words are one letter apart from each other, so only longer ones may bear two slips.
    let allowed = if lower.chars().count() > 4 { 2 } else { 1 };
    let near = (0..).zip(WORDS).min_by_key(|(_, w)| likeness(w));
    let typed = lower.replace('o', "0").replace(['l', 'i'], "1");
    let (what, cure) = match near {
        Some((n, w)) if likeness(&w) == 0 => ("is a word", format!("Write {n}.")),
        Some((n, w)) if likeness(&w) <= allowed => (
            "is not a number",
            format!("If {w} was meant, write {n}; if not, write what was counted."),
        ),
        _ if typed.bytes().all(|b| b.is_ascii_digit()) => (
            "has letters among its digits",
            format!("If {typed} was meant, write {typed}."),
        ),
        _ => (
            "is not a number",
            "Write the count, or leave the cell blank if it was not counted.".to_owned(),
        ),
    };
    fault(Rule::TextInCount, format!("\"{text}\" {what}"), cure)
}
