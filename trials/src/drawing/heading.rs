//! The heading of a picture: a title as large as it fits, and a line below.

use maud::{Markup, html};

use super::label::{LEADING, Label, lines};
use super::lettering::{Weight, fitting, wrap};

/// Sizes of a heading's lettering.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sizes {
    /// Of a short title.
    pub(crate) title: f64,
    /// Below which a title is broken over two lines and then cut.
    pub(crate) least: f64,
    /// Of the line below.
    pub(crate) line: f64,
}

/// A heading set out for a width.
#[derive(Debug, Clone)]
pub(crate) struct Heading {
    labels: Vec<Label>,
    bottom: f64,
}

impl Heading {
    /// Sets a title, and a line below it if there is one, into `room` from an upper left corner.
    pub(crate) fn new(
        title: &str,
        line: &str,
        [left, top]: [f64; 2],
        room: f64,
        sizes: Sizes,
    ) -> Self {
        let size = fitting(title, room, sizes.title, Weight::Bold).max(sizes.least);
        let texts = wrap(title, room, size, Weight::Bold, 2);
        let mut labels: Vec<Label> = lines(&texts, [left, top + size], size)
            .into_iter()
            .map(Label::bold)
            .collect();
        let mut bottom = top + size * (1.0 + LEADING * (texts.len() - 1) as f64);
        if !line.is_empty() {
            let texts = wrap(line, room, sizes.line, Weight::Regular, 3);
            labels.extend(lines(
                &texts,
                [left, bottom + 1.45 * sizes.line],
                sizes.line,
            ));
            bottom += sizes.line * (1.45 + LEADING * (texts.len() - 1) as f64);
        }
        Self { labels, bottom }
    }

    /// Base line of its last line.
    pub(crate) fn bottom(&self) -> f64 {
        self.bottom
    }

    pub(crate) fn drawn(&self) -> Markup {
        html! { @for label in &self.labels { (label.drawn()) } }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_title_shrinks_then_breaks_then_is_cut() {
        let sizes = Sizes {
            title: 6.5,
            least: 4.5,
            line: 4.0,
        };
        let set = |words: usize| {
            let title = vec!["sheets"; words].join(" ");
            let heading = Heading::new(&title, "One line.", [12.0, 12.0], 160.0, sizes);
            for label in &heading.labels {
                assert!(label.bounds().right <= 172.0 + 1e-9, "{}", label.text);
            }
            (heading.labels.len(), heading.labels[0].size)
        };
        assert_eq!(set(2), (2, 6.5));
        assert_eq!(set(9).0, 2);
        assert!(set(9).1 < 6.5);
        assert_eq!(set(14), (3, 4.5));
        assert_eq!(set(60).0, 3);
    }
}
