//! Two numbers typed as one value, such as `1.5,1.2`.

/// Reads `A,B`. The complaint is shown by the command line with the flag's name.
pub(super) fn pair(text: &str) -> Result<(f64, f64), String> {
    let number = |part: &str| part.trim().parse::<f64>().ok();
    match text.split_once(',') {
        Some((a, b)) => number(a).zip(number(b)),
        None => None,
    }
    .ok_or_else(|| "two numbers with a comma between are needed, such as 1.5,1.2".to_owned())
}
