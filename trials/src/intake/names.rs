//! Names of plots as they are written in the wet, and names in a row.

/// The one plot that must have been meant: it differs in capitals, blanks, leading zeros, a spreadsheet's ".0" or letters that
/// look like figures alone.
pub(super) fn nearest_plot<'a>(text: &str, plots: &[&'a str]) -> Option<&'a str> {
    let alike = |by: fn(&str) -> String| {
        let meant = by(text);
        let mut like = plots.iter().copied().filter(|p| by(p) == meant);
        like.next().filter(|_| like.next().is_none())
    };
    alike(bare)
        .or_else(|| alike(|t| figures(&bare(t))))
        .or_else(|| one_slip(text, plots))
}

/// Without what people and spreadsheets add.
fn bare(text: &str) -> String {
    let text = text.to_lowercase();
    let text = text.strip_prefix("plot").unwrap_or(&text).trim();
    let text = text.strip_suffix(".0").unwrap_or(text);
    let kept: String = text
        .chars()
        .filter(|c| !matches!(c, ' ' | '-' | '_' | '.'))
        .collect();
    kept.trim_start_matches('0').to_owned()
}

/// With letters that look like figures written as figures.
fn figures(text: &str) -> String {
    let figure = |c| match c {
        'l' | 'i' | '|' | '!' => '1',
        'o' => '0',
        'z' => '2',
        's' => '5',
        'b' => '8',
        other => other,
    };
    text.chars().map(figure).collect()
}

/// The one name with letters that is one slip of the key away; among bare numbers every one is near some other.
fn one_slip<'a>(text: &str, plots: &[&'a str]) -> Option<&'a str> {
    let text = text.to_lowercase();
    let near = |p: &&&str| {
        let name = p.to_lowercase();
        let number = name.bytes().all(|b| b.is_ascii_digit());
        !number && name.chars().count() > 2 && strsim::damerau_levenshtein(&text, &name) == 1
    };
    let mut like = plots.iter().filter(near);
    like.next().filter(|_| like.next().is_none()).copied()
}

/// Names in a row, shortened where there are many.
pub(super) fn listed(names: &[&str]) -> String {
    match names {
        [first, .., last] if names.len() > 8 => format!("{first} ... {last}"),
        _ => names.join(", "),
    }
}
