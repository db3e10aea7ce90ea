//! The shell of every page: one file, style inside, nothing fetched.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::names::well_formed;

/// A whole page. `style` is one or several style sheets, `class` that of its body.
pub(crate) fn page(title: &str, style: &[&str], class: Option<&str>, body: &Markup) -> String {
    let document = html! {
        (DOCTYPE)
        html lang="en-GB" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="generator" content={ "halfgreen " (env!("CARGO_PKG_VERSION")) };
                title { (title) }
                style { @for sheet in style { (PreEscaped(sheet)) } }
            }
            body class=[class] { (body) }
        }
    };
    // A number and its per cent sign stay on one line.
    well_formed(document.into_string().replace(" %", "\u{a0}%"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_escapes_its_title_and_keeps_per_cent_signs_with_their_numbers() {
        let body = html! { p { "<b> 40 %" } };
        let made = page("A & <b>", &["p{}", "q{}"], None, &body);
        for part in [
            "<title>A &amp; &lt;b&gt;</title>",
            "<style>p{}q{}</style>",
            "<p>&lt;b&gt; 40\u{a0}%</p>",
            "lang=\"en-GB\"",
        ] {
            assert!(made.contains(part), "{part} in {made}");
        }
        assert!(page("t", &[], Some("x"), &body).contains("<body class=\"x\">"));
    }
}
