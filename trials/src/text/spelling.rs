//! Words as they should be written: one thing or many, and the known word nearest to one that is not known.

/// A number of things: "1 core", "2 cores".
#[must_use]
pub fn number(n: usize, thing: &str) -> String {
    format!("{n} {thing}{}", if n == 1 { "" } else { "s" })
}

/// "a, b and c".
pub(crate) fn list(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [only] => only.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// The known word that `word` was most likely meant to be, if any is near enough to offer.
///
/// Near is a Jaro-Winkler likeness of at least 0.78: high enough that unrelated short column names
/// are not offered for one another (`x_m` and `y_m` have 0.778), low enough for two slips in a short word.
pub(crate) fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let word = word.to_lowercase();
    known
        .into_iter()
        .map(|k| (strsim::jaro_winkler(&word, &k.to_lowercase()), k))
        .filter(|(likeness, _)| *likeness >= 0.78)
        .fold(None, |best: Option<(f64, &str)>, next| match best {
            Some(b) if b.0 >= next.0 => Some(b),
            _ => Some(next),
        })
        .map(|(_, k)| k)
}

/// A cure that offers the nearest known word, or lists them all.
pub(crate) fn offer(word: &str, known: &[&str]) -> String {
    match nearest(word, known.iter().copied()) {
        Some(near) => format!("Did you mean `{near}`?"),
        None => format!("Known here: {}.", known.join(", ")),
    }
}
