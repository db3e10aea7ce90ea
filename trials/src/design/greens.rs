//! One green, or several in one trial: each holds blocks of its own.

use crate::area::Outline;

/// A green of a trial.
#[derive(Debug, Clone, PartialEq)]
pub struct Green {
    /// Name, which its blocks carry; absent where the trial has one green only.
    pub name: Option<String>,
    /// Its outline, on axes of its own.
    pub outline: Outline,
}

/// The greens a trial is laid out on: one unnamed outline, or named greens in the protocol's order.
#[derive(Debug, Clone, Copy)]
pub enum Greens<'a> {
    /// A single green.
    One(&'a Outline),
    /// Greens in the protocol's order; a single one needs no name.
    Several(&'a [Green]),
}

impl<'a> From<&'a Outline> for Greens<'a> {
    fn from(outline: &'a Outline) -> Self {
        Self::One(outline)
    }
}

impl<'a> From<&'a [Green]> for Greens<'a> {
    fn from(greens: &'a [Green]) -> Self {
        Self::Several(greens)
    }
}

impl<'a> Greens<'a> {
    /// Name and outline of each green.
    pub(super) fn each(self) -> Vec<(Option<&'a str>, &'a Outline)> {
        match self {
            Self::One(outline) => vec![(None, outline)],
            Self::Several(greens) => greens
                .iter()
                .map(|g| (g.name.as_deref(), &g.outline))
                .collect(),
        }
    }
}
