//! The colours of every picture.
//!
//! Okabe and Ito's eight colours, which readers with any common kind of colour-blindness tell apart (M. Okabe and
//! K. Ito 2008, *Color Universal Design: how to make figures and presentations that are friendly to colorblind
//! people*). None carries a meaning by itself: marks, patterns and names say the same, so that a picture reads in
//! grey too.

use std::fmt;

use plotters::style::RGBColor;

/// A colour by its red, green and blue.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Colour(u8, u8, u8);

pub(crate) const BLUE: Colour = Colour(0, 114, 178);
pub(crate) const VERMILION: Colour = Colour(213, 94, 0);
pub(crate) const SKY: Colour = Colour(86, 180, 233);
const GREEN: Colour = Colour(0, 158, 115);
const PURPLE: Colour = Colour(204, 121, 167);
const ORANGE: Colour = Colour(230, 159, 0);
const YELLOW: Colour = Colour(240, 228, 66);

/// Lettering, edges and axes.
pub(crate) const INK: Colour = Colour(34, 34, 34);
/// Lines that stand back, such as those that join marks.
pub(crate) const GREY: Colour = Colour(118, 118, 118);
/// Lines to read a height by, and the fill of bars.
pub(crate) const PALE: Colour = Colour(218, 218, 218);
pub(crate) const WHITE: Colour = Colour(255, 255, 255);
/// A part of a figure that is told apart from the rest, such as the limits round a curve: sky blue, paled.
pub(crate) const BAND: Colour = Colour(198, 227, 245);
/// Ground on which nothing is marked.
pub(crate) const SITE: Colour = Colour(241, 246, 238);

/// Colours of things side by side, those that are easiest to tell apart first. Yellow is left out: on white it
/// cannot be seen.
const SERIES: [Colour; 7] = [BLUE, VERMILION, GREEN, PURPLE, ORANGE, SKY, Colour(0, 0, 0)];

/// Colour of the i-th of several things.
pub(crate) fn series(i: usize) -> Colour {
    SERIES[i % SERIES.len()]
}

/// Shades from few to many: each is darker than the one before, so that they read in grey.
pub(crate) const SHADES: [Colour; 6] = [
    Colour(253, 246, 208),
    Colour(242, 213, 138),
    Colour(223, 167, 90),
    Colour(185, 116, 74),
    Colour(127, 68, 68),
    Colour(65, 33, 61),
];

/// Colour of the i-th of several grounds that lie side by side: one of the eight, paled until black lettering
/// stands out on it.
pub(crate) fn ground(i: usize) -> Colour {
    const GROUNDS: [Colour; 4] = [GREEN, YELLOW, SKY, PURPLE];
    GROUNDS[i % GROUNDS.len()].paled(0.84)
}

impl Colour {
    /// Mixed with white: 0 leaves it, 1 is white.
    fn paled(self, share: f64) -> Self {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "between two bytes"
        )]
        let pale = |c: u8| (f64::from(255 - c)).mul_add(share, f64::from(c)).round() as u8;
        Self(pale(self.0), pale(self.1), pale(self.2))
    }

    /// The same for the drawing library.
    pub(super) fn rgb(self) -> RGBColor {
        RGBColor(self.0, self.1, self.2)
    }
}

impl fmt::Display for Colour {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "#{:02X}{:02X}{:02X}", self.0, self.1, self.2)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Lightness in grey print, 0 to 1 (relative luminance, W3C WCAG 2.1).
    fn lightness(c: Colour) -> f64 {
        let part = |v: u8| {
            let s = f64::from(v) / 255.0;
            if s <= 0.04045 {
                s / 12.92
            } else {
                ((s + 0.055) / 1.055).powf(2.4)
            }
        };
        0.2126 * part(c.0) + 0.7152 * part(c.1) + 0.0722 * part(c.2)
    }

    /// W3C WCAG 2.1, success criterion 1.4.3: at least 4.5 : 1 for lettering; 1.4.11: 3 : 1 for lines.
    #[test]
    fn lettering_and_the_first_colours_stand_out() {
        let contrast = |a: Colour, b: Colour| {
            let (a, b) = (lightness(a), lightness(b));
            (a.max(b) + 0.05) / (a.min(b) + 0.05)
        };
        for i in 0..4 {
            assert!(contrast(ground(i), INK) >= 7.0, "{}", ground(i));
        }
        assert!(contrast(INK, WHITE) >= 7.0 && contrast(GREY, WHITE) >= 4.5);
        for i in 0..3 {
            assert!(contrast(series(i), WHITE) >= 3.0, "{}", series(i));
        }
    }

    #[test]
    fn shades_darken_step_by_step() {
        for pair in SHADES.windows(2) {
            assert!(lightness(pair[0]) > 1.3 * lightness(pair[1]), "{}", pair[1]);
        }
    }

    #[test]
    fn colours_are_written_as_the_web_writes_them() {
        assert_eq!(BLUE.to_string(), "#0072B2");
    }
}
