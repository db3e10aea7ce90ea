//! Pieces of lettering that know how much room they take, and that keep out of each other's way.

use maud::{Markup, html};

use super::lettering::{Weight, cut, width};
use super::palette::INK;
use super::paper::mm;

/// Height of capitals and figures of the family, as a share of the size (Helvetica's metrics: 0.718 and 0.703).
pub(crate) const CAPITAL: f64 = 0.72;
/// How far letters such as g reach below the line, as a share of the size (Helvetica's metrics: 0.207).
const BELOW: f64 = 0.21;
/// From one line to the next, as a share of the size.
pub(crate) const LEADING: f64 = 1.25;

/// Which part of a line stands at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Anchor {
    Start,
    Middle,
    End,
}

/// A line of lettering.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Label {
    pub(crate) text: String,
    /// Where it stands: across by its anchor, down by its base line.
    pub(crate) at: [f64; 2],
    pub(crate) size: f64,
    pub(crate) anchor: Anchor,
    pub(crate) weight: Weight,
    slanted: bool,
    halo: bool,
}

/// A box with its sides along the paper's.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Bounds {
    pub(crate) left: f64,
    pub(crate) top: f64,
    pub(crate) right: f64,
    pub(crate) bottom: f64,
}

impl Bounds {
    pub(crate) fn meets(&self, other: &Self) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }

    pub(crate) fn within(&self, other: &Self) -> bool {
        self.left >= other.left
            && self.right <= other.right
            && self.top >= other.top
            && self.bottom <= other.bottom
    }

    pub(crate) fn holds(&self, [x, y]: [f64; 2]) -> bool {
        (self.left..=self.right).contains(&x) && (self.top..=self.bottom).contains(&y)
    }
}

impl Label {
    /// A line that starts at a place.
    pub(crate) fn new(text: impl Into<String>, at: [f64; 2], size: f64) -> Self {
        Self {
            text: text.into(),
            at,
            size,
            anchor: Anchor::Start,
            weight: Weight::Regular,
            slanted: false,
            halo: false,
        }
    }

    pub(crate) fn anchored(self, anchor: Anchor) -> Self {
        Self { anchor, ..self }
    }

    pub(crate) fn middle(self) -> Self {
        self.anchored(Anchor::Middle)
    }

    pub(crate) fn bold(self) -> Self {
        Self {
            weight: Weight::Bold,
            ..self
        }
    }

    pub(crate) fn slanted(self) -> Self {
        Self {
            slanted: true,
            ..self
        }
    }

    /// With a white edge, so that it can be read where it crosses a line.
    pub(crate) fn haloed(self) -> Self {
        Self { halo: true, ..self }
    }

    pub(crate) fn width(&self) -> f64 {
        width(&self.text, self.size, self.weight)
    }

    /// The ground that it covers.
    pub(crate) fn bounds(&self) -> Bounds {
        let wide = self.width();
        let left = match self.anchor {
            Anchor::Start => self.at[0],
            Anchor::Middle => self.at[0] - wide / 2.0,
            Anchor::End => self.at[0] - wide,
        };
        Bounds {
            left,
            top: self.at[1] - CAPITAL * self.size,
            right: left + wide,
            bottom: self.at[1] + BELOW * self.size,
        }
    }

    /// Cut where it is wider than its room.
    pub(crate) fn no_wider_than(self, room: f64) -> Self {
        let text = cut(&self.text, room, self.size, self.weight);
        Self { text, ..self }
    }

    /// Moved across as little as keeps it between two places.
    pub(crate) fn kept_between(mut self, left: f64, right: f64) -> Self {
        let bounds = self.bounds();
        let over = (bounds.right - right).max(0.0);
        self.at[0] -= over;
        self.at[0] += (left - (bounds.left - over)).max(0.0);
        self
    }

    pub(crate) fn drawn(&self) -> Markup {
        let anchor = match self.anchor {
            Anchor::Start => None,
            Anchor::Middle => Some("middle"),
            Anchor::End => Some("end"),
        };
        let bold = (self.weight == Weight::Bold).then_some("bold");
        let slanted = self.slanted.then_some("italic");
        let (edge, wide, order, join) = if self.halo {
            let wide = Some(mm(self.size * 0.22));
            (Some("white"), wide, Some("stroke"), Some("round"))
        } else {
            (None, None, None, None)
        };
        html! {
            text x=(mm(self.at[0])) y=(mm(self.at[1])) font-size=(mm(self.size)) font-weight=[bold]
                font-style=[slanted] text-anchor=[anchor] fill=(INK) stroke=[edge] stroke-width=[wide]
                paint-order=[order] stroke-linejoin=[join] { (self.text) }
        }
    }
}

/// Several lines, one below the other, the first on the base line given.
pub(crate) fn lines(texts: &[String], at: [f64; 2], size: f64) -> Vec<Label> {
    let each = texts.iter().enumerate();
    each.map(|(i, text)| {
        Label::new(
            text.clone(),
            [at[0], at[1] + LEADING * size * i as f64],
            size,
        )
    })
    .collect()
}

/// The first of several places for a label that is free: inside `frame`, off the labels in `taken` and off `drawn`;
/// or else the one that covers least, those taken and the frame before all.
pub(crate) fn freest(
    places: Vec<Label>,
    frame: &Bounds,
    taken: &[Bounds],
    drawn: &[[f64; 2]],
) -> Option<Label> {
    let covered = |label: &Label| {
        let bounds = label.bounds();
        let out = usize::from(!bounds.within(frame));
        let labels = taken.iter().filter(|t| bounds.meets(t)).count();
        let points = drawn.iter().filter(|p| bounds.holds(**p)).count();
        (out, labels, points)
    };
    places.into_iter().min_by_key(covered)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_label_knows_its_ground() {
        let label = Label::new("100 %", [50.0, 20.0], 10.0).anchored(Anchor::End);
        let bounds = label.bounds();
        assert_eq!(bounds.right, 50.0);
        assert!((bounds.left - (50.0 - label.width())).abs() < 1e-12);
        let kept = label.kept_between(40.0, 200.0);
        assert!((kept.bounds().left - 40.0).abs() < 1e-12);
    }

    #[test]
    fn the_first_free_place_is_taken() {
        let frame = Bounds {
            left: 0.0,
            top: 0.0,
            right: 100.0,
            bottom: 100.0,
        };
        let at = |x: f64, y: f64| Label::new("name", [x, y], 10.0);
        let taken = [at(10.0, 50.0).bounds()];
        let places = vec![
            at(90.0, 50.0),
            at(12.0, 52.0),
            at(10.0, 80.0),
            at(50.0, 50.0),
        ];
        let found = freest(places.clone(), &frame, &taken, &[]).unwrap();
        assert_eq!(found.at, [10.0, 80.0]);
        // Lines of the drawing move it on.
        let found = freest(places, &frame, &taken, &[[12.0, 78.0]]).unwrap();
        assert_eq!(found.at, [50.0, 50.0]);
    }
}
