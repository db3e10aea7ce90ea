//! One draw from the allocations a design allows, each equally likely.

use halfgreen_analysis::random::{Generator, shuffle};

use super::carry_over;
use super::scheme::{Kind, Scheme, allowed};
use super::squares::Deck;
use crate::Error;
use crate::design::Rule;

/// Draws thrown away before the rules are called unkeepable.
const PATIENCE: usize = 1_000_000;

/// Draws a treatment for every unit: one draw of [`Lots`].
///
/// # Errors
/// As [`Lots::new`] and [`Lots::draw`].
pub fn draw(
    scheme: &Scheme,
    rules: &[Rule],
    generator: &mut Generator,
) -> Result<Vec<usize>, Error> {
    Lots::new(scheme, rules)?.draw(generator)
}

/// A design ready to be drawn many times, as the randomisation test does.
#[derive(Debug, Clone)]
pub struct Lots<'a> {
    scheme: &'a Scheme,
    rules: &'a [Rule],
    deck: Option<Deck>,
}

impl<'a> Lots<'a> {
    /// Prepares the draws.
    ///
    /// # Errors
    /// A Latin square larger than 11.
    pub fn new(scheme: &'a Scheme, rules: &'a [Rule]) -> Result<Self, Error> {
        let deck = match scheme.kind {
            Kind::Square => Some(Deck::new(scheme.treatments)?),
            _ => None,
        };
        Ok(Self {
            scheme,
            rules,
            deck,
        })
    }

    /// Draws a treatment for every unit.
    ///
    /// Without rules every allocation of the design is equally likely. With rules, draws are
    /// repeated until one keeps them all, which leaves every allowed allocation equally likely
    /// (rejection).
    ///
    /// # Errors
    /// A million draws in a row broke a rule.
    pub fn draw(&self, generator: &mut Generator) -> Result<Vec<usize>, Error> {
        for _ in 0..PATIENCE {
            let allocation = self.free_draw(generator);
            if allowed(self.scheme, self.rules, &allocation) {
                return Ok(allocation);
            }
        }
        Err(Error::new(
            "trial.toml [design] rules",
            format!("{PATIENCE} draws in a row broke a rule"),
            "Take a rule out, or use more treatments.",
        ))
    }

    /// A draw without rules.
    fn free_draw(&self, generator: &mut Generator) -> Vec<usize> {
        let units = self.scheme.blocks.iter().map(Vec::len).sum();
        let mut allocation = vec![0; units];
        for block in &self.scheme.blocks {
            let drawn = match (&self.scheme.kind, &self.deck) {
                (Kind::Shuffled { list }, _) => {
                    let mut list = list.clone();
                    shuffle(generator, &mut list);
                    list
                }
                (Kind::Split { groups }, _) => {
                    let mut groups = groups.clone();
                    shuffle(generator, &mut groups);
                    for group in &mut groups {
                        shuffle(generator, group);
                    }
                    groups.concat()
                }
                (Kind::CarryOver, _) => carry_over::draw(self.scheme.treatments, generator),
                (Kind::Square, deck) => deck
                    .as_ref()
                    .map_or_else(Vec::new, |deck| deck.draw(generator).concat()),
            };
            for (&unit, treatment) in block.iter().zip(drawn) {
                allocation[unit] = treatment;
            }
        }
        allocation
    }
}
