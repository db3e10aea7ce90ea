//! What is drawn over what: the units of a design and the lists shuffled over them.

use std::sync::Arc;

use super::positions::Positions;
use super::randomisation::Randomisation;
use crate::design::Rule;

/// A design as the draw sees it. Units are numbered from 0 in the order of the layout's lines, and
/// treatments from 0 in the order of the protocol.
#[derive(Debug, Clone)]
pub struct Scheme {
    /// How treatments are randomised over the units of each block.
    pub randomisation: Arc<dyn Randomisation>,
    /// Units that follow each other on the ground, for [`Rule::NotTwiceInARow`].
    pub lines: Vec<Vec<usize>>,
    /// Units of each block in order, for [`Rule::NotLikeTheBlockBefore`]; one entry without blocks.
    pub blocks: Vec<Vec<usize>>,
    /// Where units stand in their blocks, for [`Rule::BalancedAlongGradient`].
    pub positions: Positions,
    /// Number of treatments.
    pub treatments: usize,
    /// Which treatment is the control.
    pub control: usize,
}

impl Scheme {
    /// Degrees of freedom left for error in the analysis of variance of the design; for a split plot the
    /// smaller, that of whole plots.
    #[must_use]
    pub fn residual_df(&self) -> usize {
        self.randomisation.residual_df(self.blocks.len())
    }
}

/// Whether an allocation (a treatment for each unit) keeps every rule. The randomisation test asks
/// the same function, so that it re-draws exactly what could have been drawn.
#[must_use]
pub fn allowed(scheme: &Scheme, rules: &[Rule], allocation: &[usize]) -> bool {
    rules.iter().all(|rule| match rule {
        Rule::NotTwiceInARow => scheme.lines.iter().all(|line| {
            line.windows(2)
                .all(|w| allocation[w[0]] != allocation[w[1]])
        }),
        Rule::NotLikeTheBlockBefore => scheme.blocks.windows(2).all(|w| {
            w[0].len() != w[1].len()
                || w[0]
                    .iter()
                    .zip(&w[1])
                    .any(|(&a, &b)| allocation[a] != allocation[b])
        }),
        Rule::BalancedAlongGradient => scheme.positions.balanced(scheme.treatments, allocation),
    })
}
