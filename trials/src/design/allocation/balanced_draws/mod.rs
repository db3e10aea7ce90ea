//! Many draws balanced along the directions in which the ground may change, for the randomisation test.
//!
//! Each balanced allocation is as likely as any other, as when free draws are thrown away until one is balanced. But that
//! takes long: of five hundred pairs one free draw in 28 is balanced, of eight blocks of six one in 421.
//!
//! | file | how |
//! |---|---|
//! | [`by_share`] | plot after plot, by the share of the balanced allocations that begin so: none is thrown away |
//! | [`by_number`] | arrangements of blocks by their numbers, thrown away before they are written out |

mod by_number;
mod by_share;

use halfgreen_analysis::random::Generator;

use self::by_number::ByNumber;
use self::by_share::ByShare;
use super::scheme::Scheme;
use crate::Error;
use crate::design::Rule;

/// A design whose balanced allocations are drawn many times.
#[derive(Debug)]
pub struct BalancedSampler(Way);

#[derive(Debug)]
enum Way {
    ByShare(ByShare),
    ByNumber(ByNumber),
}

impl BalancedSampler {
    /// Prepares the draws; `None` where balance is not the only rule, and where neither way is open.
    #[must_use]
    pub fn new(scheme: &Scheme, rules: &[Rule]) -> Option<Self> {
        if rules != [Rule::BalancedAlongGradient] {
            return None;
        }
        let by_share = ByShare::new(scheme).map(Way::ByShare);
        by_share
            .or_else(|| ByNumber::new(scheme).map(Way::ByNumber))
            .map(Self)
    }

    /// Draws a treatment for every unit; each balanced allocation is equally likely.
    ///
    /// # Errors
    /// A million draws in a row were not balanced.
    pub fn draw(&self, generator: &mut Generator) -> Result<Vec<usize>, Error> {
        match &self.0 {
            Way::ByShare(by_share) => Ok(by_share.draw(generator)),
            Way::ByNumber(by_number) => by_number.draw(generator),
        }
    }
}
