//! Without throwing any draw away: plot after plot a treatment is drawn, each with the share of those balanced
//! allocations that begin as this one does, exact but for rounding of less than a part in 10^12.
//!
//! Random choice by counting what is left: Nijenhuis & Wilf 1978, *Combinatorial Algorithms*, 2nd ed., chapter 13 (from
//! memory).

use std::collections::BTreeMap;

use halfgreen_analysis::random::Generator;

use crate::design::allocation::scheme::Scheme;

/// Most choices that are noted: a tenth of a second's work, and fifteen megabytes. Five hundred pairs have as many.
const MOST: f64 = 600_000.0;
/// Choices that are noted in any case: no more than a few thousandths of a second.
const FEW: f64 = 20_000.0;

/// What of the plots so far matters for those to come: how many plots of each treatment the block still needs, and
/// for each direction the sum of the scores of each treatment.
type Beginning = (Vec<usize>, Vec<i64>);

/// The choices of every beginning that an allocation may have.
#[derive(Debug)]
pub(super) struct ByShare {
    /// The units in the order in which they are drawn.
    units: Vec<usize>,
    /// For each beginning the number of its first choice, and one more that ends the last. Beginnings are numbered
    /// in order of their length, from the empty one.
    first: Vec<usize>,
    choices: Vec<Choice>,
}

/// A treatment that may come next.
#[derive(Debug)]
struct Choice {
    treatment: usize,
    /// Share of the allocations from here on with this treatment or one before it; a treatment that no balanced
    /// allocation has next adds nothing.
    up_to: f64,
    /// The beginning that this one then becomes.
    next: usize,
}

impl ByShare {
    /// Works out the shares; `None` where more is asked of a block than one list shuffled over it, and where too many
    /// beginnings would have to be told apart.
    pub(super) fn new(scheme: &Scheme) -> Option<Self> {
        let shuffles = scheme.randomisation.shuffles()?;
        let [list] = shuffles.as_slice() else {
            return None;
        };
        let mut whole = vec![0; scheme.treatments];
        for &treatment in list {
            whole[treatment] += 1;
        }
        let nothing = scheme.positions.no_sums(scheme.treatments);
        let mut sampler = Self {
            units: scheme.blocks.concat(),
            first: Vec::new(),
            choices: Vec::new(),
        };
        let mut here: Vec<Beginning> = vec![(whole.clone(), nothing)];
        let mut lengths = Vec::new();
        for block in &scheme.blocks {
            for &unit in block {
                lengths.push(sampler.first.len());
                here = sampler.lengthen(scheme, here, unit);
                // The number of different sums grows at least in proportion to the length, and what is noted with its
                // square: too much is known for such early.
                let share = lengths.len() as f64 / sampler.units.len() as f64;
                if sampler.choices.len() as f64 > FEW + MOST * share * share {
                    return None;
                }
            }
            for (still, _) in &mut here {
                still.clone_from(&whole);
            }
        }
        lengths.push(sampler.first.len());
        sampler.first.push(sampler.choices.len());
        let ends = here.iter().map(|(_, sums)| {
            let balanced = scheme.positions.keep(sums, scheme.treatments);
            f64::from(u8::from(balanced))
        });
        sampler.share_out(&lengths, ends.collect())
    }

    /// Notes every treatment that may follow these beginnings, all of one length, and gives what they then are.
    fn lengthen(&mut self, scheme: &Scheme, here: Vec<Beginning>, unit: usize) -> Vec<Beginning> {
        let longer = self.first.len() + here.len();
        let mut numbers: BTreeMap<Beginning, usize> = BTreeMap::new();
        for (still, sums) in here {
            self.first.push(self.choices.len());
            for treatment in (0..still.len()).filter(|&t| still[t] > 0) {
                let (mut still, mut sums) = (still.clone(), sums.clone());
                still[treatment] -= 1;
                (scheme.positions).add(&mut sums, scheme.treatments, (unit, treatment));
                let met = numbers.len();
                let number = *numbers.entry((still, sums)).or_insert(longer + met);
                self.choices.push(Choice {
                    treatment,
                    up_to: 0.0,
                    next: number,
                });
            }
        }
        let mut next: Vec<(usize, Beginning)> = numbers.into_iter().map(|(b, n)| (n, b)).collect();
        next.sort_unstable_by_key(|(number, _)| *number);
        next.into_iter().map(|(_, beginning)| beginning).collect()
    }

    /// Shares out the balanced allocations among the choices, from the last plot to the first. Beginnings of each length
    /// start at the numbers `lengths`; `ways` has 1 for each end that is balanced, else 0. `None` where none is.
    fn share_out(mut self, lengths: &[usize], mut ways: Vec<f64>) -> Option<Self> {
        for length in lengths.windows(2).rev() {
            let mut here = Vec::with_capacity(length[1] - length[0]);
            for beginning in length[0]..length[1] {
                let choices = &mut self.choices[self.first[beginning]..self.first[beginning + 1]];
                let mut total = 0.0;
                for choice in choices.iter_mut() {
                    total += ways[choice.next - length[1]];
                    choice.up_to = total;
                }
                if total > 0.0 {
                    for choice in choices.iter_mut() {
                        choice.up_to /= total;
                    }
                }
                here.push(total);
            }
            // Only their proportions matter; the numbers themselves double with each pair.
            let most = here.iter().copied().fold(0.0, f64::max);
            if most > 0.0 {
                for ways in &mut here {
                    *ways /= most;
                }
            }
            ways = here;
        }
        (ways.first() > Some(&0.0)).then_some(self)
    }

    /// Draws a treatment for every unit.
    pub(super) fn draw(&self, generator: &mut Generator) -> Vec<usize> {
        let mut allocation = vec![0; self.units.len()];
        let mut beginning = 0;
        for &unit in &self.units {
            let choices = &self.choices[self.first[beginning]..self.first[beginning + 1]];
            let choice = match choices {
                [only] => only,
                [.., last] => {
                    let drawn = generator.unit();
                    choices.iter().find(|c| drawn < c.up_to).unwrap_or(last)
                }
                [] => break,
            };
            allocation[unit] = choice.treatment;
            beginning = choice.next;
        }
        allocation
    }
}
