//! What is drawn over what: the units of a design and the lists shuffled over them.

use crate::design::Rule;

/// A design as the draw sees it. Units are numbered from 0 in the order of the layout's lines, and
/// treatments from 0 in the order of the protocol.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Scheme {
    /// What is shuffled over what.
    pub kind: Kind,
    /// Units that follow each other on the ground, for [`Rule::NotTwiceInARow`].
    pub lines: Vec<Vec<usize>>,
    /// Units of each block in order, for [`Rule::NotLikeTheBlockBefore`]; one entry without blocks.
    pub blocks: Vec<Vec<usize>>,
    /// Number of treatments.
    pub treatments: usize,
    /// Which treatment is the control.
    pub control: usize,
}

/// What is shuffled over what.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Kind {
    /// The same list of treatments shuffled over each block's units; a completely randomised design
    /// is one block.
    Shuffled {
        /// Treatments of one block, in protocol order, repeats side by side.
        list: Vec<usize>,
    },
    /// Kinds of whole plot shuffled over each block's whole plots, then treatments within each.
    Split {
        /// Treatments of each kind of whole plot; all of one length.
        groups: Vec<Vec<usize>>,
    },
    /// A Latin square drawn for each block: the block's units row by row.
    Square,
    /// Sequences balanced for carry-over drawn for each block: its units plot by plot, night after night.
    CarryOver,
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
    })
}
