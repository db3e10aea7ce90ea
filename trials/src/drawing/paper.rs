//! The paper of a picture and the document round it.

use maud::{Markup, PreEscaped, html};
use sha2::{Digest, Sha256};

use super::lettering::FAMILY;
use crate::text::names::well_formed;

/// Width of a figure in a page, pixels, so that its lettering can be read on a telephone held upright.
pub(crate) const FIGURE_PX: f64 = 480.0;
/// The same in millimetres, at the web's 96 pixels to 25.4 mm.
pub(crate) const FIGURE_MM: f64 = 127.0;

/// What a picture is called and what it shows, for those who cannot see it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Words {
    /// Name in the document, different from those of other pictures on one page.
    pub(crate) id: String,
    pub(crate) title: String,
    pub(crate) description: String,
}

impl Words {
    /// Words of a picture of some kind; what else tells it from others of the kind goes into its name.
    pub(crate) fn new(
        kind: &str,
        title: &str,
        description: &str,
        told_apart_by: &[String],
    ) -> Self {
        let digest = Sha256::digest(format!("{title}\n{}", told_apart_by.join("\n")));
        let hex: Vec<String> = digest.iter().take(4).map(|b| format!("{b:02x}")).collect();
        Self {
            id: format!("{kind}-{}", hex.concat()),
            title: title.to_owned(),
            description: description.to_owned(),
        }
    }
}

/// The paper: its sides in the picture's unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Paper {
    /// A sheet to print, millimetres.
    Sheet([f64; 2]),
    /// A piece of somebody else's sheet, at its own size, millimetres.
    Inset([f64; 2]),
    /// A figure that takes the width it is given.
    Figure([f64; 2]),
}

impl Paper {
    pub(crate) fn size(self) -> [f64; 2] {
        match self {
            Self::Sheet(size) | Self::Inset(size) | Self::Figure(size) => size,
        }
    }

    /// The complete document: title and description, white ground, and what is drawn on it.
    pub(crate) fn document(self, words: &Words, drawn: &Markup) -> String {
        let [width, height] = self.size();
        let (title, desc) = (format!("{}-title", words.id), format!("{}-desc", words.id));
        let (wide, high) = match self {
            Self::Sheet(_) | Self::Inset(_) => (
                format!("{}mm", mm(width)),
                Some(format!("{}mm", mm(height))),
            ),
            Self::Figure(_) => ("100%".to_owned(), None),
        };
        let document = html! {
            svg xmlns="http://www.w3.org/2000/svg" role="img" aria-labelledby={ (title) " " (desc) }
                width=(wide) height=[high] viewBox={ "0 0 " (mm(width)) " " (mm(height)) } font-family=(FAMILY) {
                title id=(title) { (words.title) }
                desc id=(desc) { (words.description) }
                @if let Self::Sheet(_) = self {
                    // A browser prints the page at its own size without a margin; it would shrink the picture, or
                    // cut it in two, to make room for its own.
                    style { "@page { size: " (mm(width)) "mm " (mm(height)) "mm; margin: 0 }" }
                }
                rect width=(mm(width)) height=(mm(height)) fill="white" {}
                (drawn)
            }
            (PreEscaped("\n"))
        };
        well_formed(document.into_string())
    }
}

/// A length on paper to a hundredth of the unit, without trailing noughts.
pub(crate) fn mm(value: f64) -> String {
    let rounded = (value * 100.0).round() / 100.0 + 0.0;
    rounded.to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_document_names_itself_and_escapes_its_words() {
        let words = Words::new("map", "A & B", "Where <they> are.", &[]);
        let svg = Paper::Figure([10.0, 5.0]).document(&words, &html! {});
        assert!(svg.contains("role=\"img\"") && svg.contains(">A &amp; B</title>"));
        assert!(svg.contains(&format!("aria-labelledby=\"{0}-title {0}-desc\"", words.id)));
        assert!(svg.contains("viewBox=\"0 0 10 5\"") && !svg.contains("@page"));
        let odd = Words::new("map", "A\u{1}\u{fffe}\u{202e}B", "", &[]);
        let svg = Paper::Figure([10.0, 5.0]).document(&odd, &html! {});
        assert!(
            svg.contains(">A\u{fffd}\u{fffd}\u{fffd}B</title>"),
            "XML 1.0 knows no such character"
        );
        let other = Words::new("map", "A & B", "Where <they> are.", &["7".to_owned()]);
        assert_ne!(words.id, other.id);
    }
}
