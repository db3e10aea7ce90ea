//! Orders of treatments over nights in which every treatment follows every other equally often.
//!
//! Williams (1949, "Experimental designs balanced for the estimation of residual effects of treatments",
//! *Aust. J. Sci. Res. A* 2, 149-168): the first sequence is 0, 1, t-1, 2, t-2, ... and the others add 1, 2, ...
//! to it, modulo t. With an even number of treatments that one square is balanced; with an odd number the
//! square and the one with its sequences reversed are balanced together.
//!
//! *The draw.* Shuffle the treatments, write the sequences with them, shuffle the sequences over the plots.
//! Adding the same number to every treatment only re-orders the sequences, and so, with an odd number,
//! does subtracting every treatment from the same number; nothing else does, since a treatment stands
//! first in one sequence or two. So there are t!/t (even) or t!/(2t) (odd) sets of m sequences, m being t
//! or 2t, each with m! orders, and all are equally likely.

use halfgreen_analysis::random::shuffle;
use num_bigint::BigUint;

use super::attainable::Staying;
use super::combinations::{factorial, orders};
use super::randomisation::{BlockSampler, Randomisation};
use crate::Error;

/// Sequences balanced for carry-over: a block's units plot by plot, night after night.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CarryOver {
    /// Treatments, and nights.
    pub treatments: usize,
}

impl Randomisation for CarryOver {
    fn units(&self) -> usize {
        plots(self.treatments) * self.treatments
    }

    fn number(&self) -> Result<BigUint, Error> {
        let plots = plots(self.treatments);
        Ok(factorial(self.treatments) / plots.max(1) * factorial(plots))
    }

    fn sampler(&self) -> Result<BlockSampler<'_>, Error> {
        Ok(Box::new(|generator, drawn| {
            let mut named: Vec<usize> = (0..self.treatments).collect();
            shuffle(generator, &mut named);
            let mut order = sequences(self.treatments);
            shuffle(generator, &mut order);
            *drawn = order.into_iter().flatten().map(|x| named[x]).collect();
        }))
    }

    fn each(&self) -> Vec<Vec<usize>> {
        let names: Vec<usize> = (0..self.treatments).collect();
        let plots: Vec<usize> = (0..plots(self.treatments)).collect();
        let base = sequences(self.treatments);
        let named = |names: Vec<usize>| {
            let sequences: Vec<Vec<usize>> = base
                .iter()
                .map(|s| s.iter().map(|&x| names[x]).collect())
                .collect();
            let order = move |order: &Vec<usize>| -> Vec<usize> {
                order.iter().flat_map(|&i| sequences[i].clone()).collect()
            };
            orders(&plots).iter().map(order).collect::<Vec<_>>()
        };
        let mut all: Vec<Vec<usize>> = orders(&names).into_iter().flat_map(named).collect();
        all.sort_unstable();
        all.dedup();
        all
    }

    fn shuffles(&self) -> Option<Vec<Vec<usize>>> {
        None
    }

    fn exchangeable(&self) -> bool {
        false
    }

    fn staying(&self, _treatment: usize, _control: usize) -> Result<Staying, Error> {
        Ok(staying(self.treatments))
    }

    /// Plots, nights within blocks, treatments and what they leave behind are taken off.
    fn residual_df(&self, blocks: usize) -> usize {
        let t = self.treatments;
        (t - 1) * (blocks * (plots(t) - 1)).saturating_sub(2)
    }
}

/// Plots of a block: one square, or two with an odd number of treatments.
#[must_use]
pub fn plots(treatments: usize) -> usize {
    treatments * (1 + treatments % 2)
}

/// The sequences before the draw: for each plot its treatment on each night.
#[must_use]
pub fn sequences(treatments: usize) -> Vec<Vec<usize>> {
    let t = treatments;
    let first: Vec<usize> = (0..t)
        .map(|night| match night {
            0 => 0,
            odd if odd % 2 == 1 => odd.div_ceil(2),
            even => t - even / 2,
        })
        .collect();
    let square = (0..t).map(|step| first.iter().map(|x| (x + step) % t).collect());
    let mut all: Vec<Vec<usize>> = square.collect();
    if t % 2 == 1 {
        let turned: Vec<Vec<usize>> = all
            .iter()
            .map(|sequence| sequence.iter().rev().copied().collect())
            .collect();
        all.extend(turned);
    }
    all
}

/// How often a block drawn anew has two treatments on the same plots and nights as before; the
/// most over the draws there are. Which two of the sequences' treatments they became decides on
/// which nights they stand.
fn staying(treatments: usize) -> Staying {
    let base = sequences(treatments);
    let nights = |u: usize, v: usize| -> Vec<(usize, usize)> {
        let night = |sequence: &[usize], x: usize| sequence.iter().position(|&y| y == x);
        let mut all: Vec<(usize, usize)> = base
            .iter()
            .filter_map(|s| night(s, u).zip(night(s, v)))
            .collect();
        all.sort_unstable();
        all
    };
    let pairs: Vec<Vec<(usize, usize)>> = (0..treatments)
        .flat_map(|u| {
            (0..treatments)
                .filter(move |&v| v != u)
                .map(move |v| (u, v))
        })
        .map(|(u, v)| nights(u, v))
        .collect();
    let alike = |own: &Vec<(usize, usize)>| {
        let alike = pairs.iter().filter(|other| *other == own).count();
        // Sequences with both treatments on the same nights may change places.
        let same = own.chunk_by(PartialEq::eq).map(<[_]>::len);
        same.map(factorial).product::<BigUint>() * alike
    };
    Staying {
        staying: pairs.iter().map(alike).max().unwrap_or_default(),
        all: factorial(base.len()) * pairs.len(),
        exchanging: None,
        mirrored: true,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Each ordered pair of neighbouring nights equally often: once in an even square, twice in two odd
    /// ones; each treatment equally often on each night.
    #[test]
    fn every_treatment_follows_every_other_equally_often() {
        for t in 2..=12 {
            let all = sequences(t);
            assert_eq!(all.len(), plots(t));
            for u in 0..t {
                for night in 0..t {
                    assert_eq!(all.iter().filter(|s| s[night] == u).count(), 1 + t % 2);
                }
                for v in (0..t).filter(|&v| v != u) {
                    let pairs = all.iter().flat_map(|s| s.windows(2));
                    assert_eq!(
                        pairs.filter(|w| *w == [u, v]).count(),
                        1 + t % 2,
                        "{t}: {u} {v}"
                    );
                }
            }
        }
    }

    /// 2, 720, 144: for 3 treatments any order of the six orders there are; for 4 six sets of sequences.
    #[test]
    fn numbers_by_hand() {
        for (t, by_hand) in [(2, 2_u32), (3, 720), (4, 144)] {
            let number = CarryOver { treatments: t }.number().unwrap();
            assert_eq!(number, BigUint::from(by_hand));
        }
    }
}
