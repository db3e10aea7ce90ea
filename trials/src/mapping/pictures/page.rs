//! The page round a map or a curve.

use maud::{Markup, html};

/// Width of the page, millimetres.
pub(super) const WIDTH: f64 = 180.0;
/// Empty margin, millimetres.
pub(super) const MARGIN: f64 = 10.0;
/// Height of the heading, millimetres.
pub(super) const HEAD: f64 = 18.0;

/// A complete document: title and description for those who cannot see it, a heading, and the drawing.
pub(super) fn page(title: &str, words: &str, height: f64, inner: &Markup) -> String {
    html! {
        svg xmlns="http://www.w3.org/2000/svg" role="img" width="100%"
            viewBox={ "0 0 " (mm(WIDTH)) " " (mm(height)) }
            font-family="Arial, Helvetica, 'Liberation Sans', sans-serif" {
            title { (title) }
            desc { (words) }
            rect width="100%" height="100%" fill="white" {}
            text x=(mm(MARGIN)) y="11" font-size="6" font-weight="bold" { (title) }
            (inner)
        }
    }
    .into_string()
}

/// The same page with the name of a green before its title.
pub(super) fn named(svg: &str, green: &str) -> String {
    let green = html! { (green) ": " }.into_string();
    ["<title>", "font-weight=\"bold\">"]
        .into_iter()
        .fold(svg.to_owned(), |svg, mark| {
            svg.replacen(mark, &format!("{mark}{green}"), 1)
        })
}

/// A length on paper to a hundredth of a millimetre.
pub(super) fn mm(value: f64) -> String {
    let rounded = (value * 100.0).round() / 100.0 + 0.0;
    rounded.to_string()
}

/// The largest of 1, 2 and 5 times a power of ten that is at most `x`.
pub(in crate::mapping) fn round_down(x: f64) -> f64 {
    let power = 10.0_f64.powf(x.log10().floor());
    let lead = [5.0, 2.0, 1.0]
        .into_iter()
        .find(|l| l * power <= x * (1.0 + 1e-9));
    lead.unwrap_or(1.0) * power
}
