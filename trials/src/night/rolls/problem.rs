//! What is to be cut, and from what.

use crate::Error;

/// A roll on sale.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sale {
    /// Length, millimetres.
    pub length_mm: u64,
    /// What one costs, in any whole unit.
    pub cost: u64,
}

/// Strips of one width, and the rolls of that width.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// Lengths of the strips, millimetres.
    pub strips: Vec<u64>,
    /// Lengths of the rolls in the shed, millimetres.
    pub shed: Vec<u64>,
    /// Rolls on sale, as many of each as are wanted.
    pub sale: Vec<Sale>,
}

/// The same with equal strips counted, longest first, in steps that all of them are whole numbers of.
#[derive(Debug, Clone)]
pub(super) struct Steps {
    /// Different lengths, longest first.
    pub(super) lengths: Vec<u64>,
    /// How many strips of each.
    pub(super) counts: Vec<u32>,
    /// Rolls in the shed.
    pub(super) shed: Vec<u64>,
    /// Rolls on sale, lengths in steps.
    pub(super) sale: Vec<Sale>,
}

/// Costs above which sums might not be held; a roll of a million, in thousandths, is far below.
const MOST_COST: u64 = 1 << 44;

impl Problem {
    /// Checks that every strip can be cut.
    ///
    /// # Errors
    /// A strip without length, a roll that costs more than can be summed, or a strip longer than every roll on sale.
    pub(super) fn steps(&self) -> Result<Steps, Error> {
        if self.strips.contains(&0) {
            let what = "a strip has no length";
            return Err(Error::new("rolls", what, "Leave it out."));
        }
        if self.sale.iter().any(|s| s.cost > MOST_COST) {
            let what = "a roll costs more than can be summed";
            return Err(Error::new("rolls", what, "Check the prices."));
        }
        let longest = self.sale.iter().map(|s| s.length_mm).max().unwrap_or(0);
        if let Some(strip) = self.strips.iter().find(|&&s| s > longest) {
            let what = format!(
                "a strip of {} m is longer than the longest roll on sale, {} m",
                *strip as f64 / 1000.0,
                longest as f64 / 1000.0
            );
            return Err(Error::new("rolls", what, "Joint the strip."));
        }
        let step = self.strips.iter().fold(0, |a, &b| common(a, b)).max(1);
        let mut lengths: Vec<u64> = self.strips.iter().map(|s| s / step).collect();
        lengths.sort_unstable_by(|a, b| b.cmp(a));
        lengths.dedup();
        let count = |l: &u64| self.strips.iter().filter(|&&s| s / step == *l).count();
        let counts = lengths
            .iter()
            .map(|l| u32::try_from(count(l)).unwrap_or(u32::MAX));
        let sale = self.sale.iter().map(|s| Sale {
            length_mm: s.length_mm / step,
            cost: s.cost,
        });
        Ok(Steps {
            counts: counts.collect(),
            lengths,
            shed: self.shed.iter().map(|s| s / step).collect(),
            sale: sale.collect(),
        })
    }
}

/// Greatest common divisor.
fn common(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { common(b, a % b) }
}
