//! Money and hours as a merchant and a crew accept them.

use super::rounding::figure;

/// An amount: two decimals below a thousand, whole units above, thousands set apart; the currency's name before it where
/// there is one. Spaces inside do not break.
#[must_use]
pub fn money(amount: f64, currency: &str) -> String {
    let text = if amount.abs() < 999.995 {
        format!("{amount:.2}")
    } else {
        thousands(amount)
    };
    with_currency(&text, currency)
}

/// An estimated amount, of which only three digits mean anything.
#[must_use]
pub fn about(amount: f64, currency: &str) -> String {
    let text = if amount.abs() < 1000.0 {
        figure(amount)
    } else {
        thousands(three_digits(amount))
    };
    with_currency(&text, currency)
}

/// Limits of an estimated amount; an upper one that is missing cannot be bounded.
#[must_use]
pub fn range(low: Option<f64>, high: Option<f64>, currency: &str) -> String {
    match (low, high) {
        (Some(low), Some(high)) => format!("{} to {}", about(low, currency), about(high, "")),
        (Some(low), None) => format!("{} or more: it cannot be bounded", about(low, currency)),
        _ => "cannot be bounded".to_owned(),
    }
}

/// Limits of an estimated gain, either of which may be missing.
#[must_use]
pub fn gain(low: Option<f64>, high: Option<f64>, currency: &str) -> String {
    match (low, high) {
        (Some(low), Some(high)) => format!("{} to {}", about(low, currency), about(high, "")),
        (Some(low), None) => format!("{} or more", about(low, currency)),
        (None, Some(high)) => format!("{} or less", about(high, currency)),
        (None, None) => "without limits".to_owned(),
    }
}

/// A whole number of many things, of which only three digits mean anything.
#[must_use]
pub fn many(number: f64) -> String {
    thousands(three_digits(number))
}

/// Hours, to the quarter above: nobody is sent home sooner.
#[must_use]
pub fn hours(hours: f64) -> String {
    // What rounding of sums left is no quarter.
    // Nothing is 0 and not -0, either of which `max` may give.
    let quarters = (4.0 * hours - 1e-6).ceil().max(0.0) + 0.0;
    let text = format!("{:.2}", quarters / 4.0);
    format!("{} h", text.trim_end_matches('0').trim_end_matches('.'))
}

fn with_currency(text: &str, currency: &str) -> String {
    match (currency, text.strip_prefix('-')) {
        ("", _) => text.to_owned(),
        (_, Some(rest)) => format!("-{currency}\u{a0}{rest}"),
        (_, None) => format!("{currency}\u{a0}{text}"),
    }
}

fn three_digits(x: f64) -> f64 {
    let text = format!("{x:.2e}");
    text.parse().unwrap_or(x)
}

/// A whole number with its thousands set apart by a space that does not break.
fn thousands(x: f64) -> String {
    let digits = format!("{:.0}", x.abs());
    let mut text = String::with_capacity(digits.len() + 4);
    for (at, digit) in digits.chars().enumerate() {
        if at > 0 && (digits.len() - at) % 3 == 0 {
            text.push('\u{a0}');
        }
        text.push(digit);
    }
    if x < 0.0 && digits != "0" {
        text.insert(0, '-');
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_are_as_on_a_bill() {
        let shown = [0.0, 34.2, 999.99, 999.996, 1046.4, 1_234_567.0].map(|x| money(x, "GBP"));
        let told = [
            "GBP\u{a0}0.00",
            "GBP\u{a0}34.20",
            "GBP\u{a0}999.99",
            "GBP\u{a0}1\u{a0}000",
            "GBP\u{a0}1\u{a0}046",
            "GBP\u{a0}1\u{a0}234\u{a0}567",
        ];
        assert_eq!(shown, told);
        assert_eq!(money(-12.5, "GBP"), "-GBP\u{a0}12.50");
        assert_eq!(money(-12.5, ""), "-12.50");
    }

    #[test]
    fn estimates_have_three_digits_and_hours_quarters() {
        assert_eq!(about(12.345, "EUR"), "EUR\u{a0}12.3");
        assert_eq!(about(12_345.0, "EUR"), "EUR\u{a0}12\u{a0}300");
        assert_eq!(many(118_765.0), "119\u{a0}000");
        assert_eq!(
            range(Some(12.3), None, "EUR"),
            "EUR\u{a0}12.3 or more: it cannot be bounded"
        );
        assert_eq!(gain(Some(-1.0), None, ""), "-1.00 or more");
        assert_eq!(gain(None, Some(2.5), ""), "2.50 or less");
        assert_eq!(range(Some(1.0), Some(2.5), "EUR"), "EUR\u{a0}1.00 to 2.50");
        assert_eq!(
            [0.0, 0.1, 7.0, 7.01, 2.5].map(hours),
            ["0 h", "0.25 h", "7 h", "7.25 h", "2.5 h"]
        );
    }
}
