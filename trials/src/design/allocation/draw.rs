//! One draw from the allocations a design allows, each equally likely.

use halfgreen_analysis::chance::{Generator, shuffle};

use super::scheme::{Kind, Scheme, allowed};
use super::squares;
use crate::Error;
use crate::design::Rule;

/// Draws thrown away before the rules are called unkeepable.
const PATIENCE: usize = 1_000_000;

/// Draws a treatment for every unit.
///
/// Without rules every allocation of the design is equally likely. With rules, draws are repeated
/// until one keeps them all, which leaves every allowed allocation equally likely (rejection).
///
/// # Errors
/// A million draws in a row broke a rule, or a Latin square larger than 11.
pub fn draw(
    scheme: &Scheme,
    rules: &[Rule],
    generator: &mut Generator,
) -> Result<Vec<usize>, Error> {
    for _ in 0..PATIENCE {
        let allocation = free_draw(scheme, generator)?;
        if allowed(scheme, rules, &allocation) {
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
fn free_draw(scheme: &Scheme, generator: &mut Generator) -> Result<Vec<usize>, Error> {
    let units = scheme.blocks.iter().map(Vec::len).sum();
    let mut allocation = vec![0; units];
    for block in &scheme.blocks {
        let drawn = match &scheme.kind {
            Kind::Shuffled { list } => {
                let mut list = list.clone();
                shuffle(generator, &mut list);
                list
            }
            Kind::Split { groups } => {
                let mut groups = groups.clone();
                shuffle(generator, &mut groups);
                for group in &mut groups {
                    shuffle(generator, group);
                }
                groups.concat()
            }
            Kind::Square => squares::draw(scheme.treatments, generator)?.concat(),
        };
        for (&unit, treatment) in block.iter().zip(drawn) {
            allocation[unit] = treatment;
        }
    }
    Ok(allocation)
}
