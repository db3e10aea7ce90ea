//! Strips of one size together.

use super::super::handling::StripLoad;

/// Strips of one length and width.
#[derive(Debug, Clone, PartialEq)]
pub struct Pieces {
    /// Their numbers in laying order.
    pub numbers: Vec<usize>,
    /// Length and width, metres.
    pub size_m: [f64; 2],
    /// What one weighs and who lifts it; `None` where the sheet's weight is not known.
    pub load: Option<StripLoad>,
}

impl Pieces {
    /// Numbers as people write them: `1 to 4, 7`.
    #[must_use]
    pub fn numbers(&self) -> String {
        let mut runs: Vec<[usize; 2]> = Vec::new();
        for n in &self.numbers {
            match runs.last_mut() {
                Some([_, last]) if *last + 1 == *n => *last = *n,
                _ => runs.push([*n, *n]),
            }
        }
        let words = runs.iter().map(|[first, last]| match last - first {
            0 => first.to_string(),
            1 => format!("{first}, {last}"),
            _ => format!("{first} to {last}"),
        });
        words.collect::<Vec<_>>().join(", ")
    }
}

/// Strips by size, in the order in which a size is first laid; sizes that agree to the centimetre are one.
#[must_use]
pub fn pieces(strips: &[[f64; 2]], loads: &[StripLoad]) -> Vec<Pieces> {
    let near =
        |a: [f64; 2], b: [f64; 2]| (a[0] - b[0]).abs() < 0.005 && (a[1] - b[1]).abs() < 0.005;
    let mut all: Vec<Pieces> = Vec::new();
    for (at, strip) in strips.iter().enumerate() {
        match all.iter_mut().find(|p| near(p.size_m, *strip)) {
            Some(alike) => alike.numbers.push(at + 1),
            None => all.push(Pieces {
                numbers: vec![at + 1],
                size_m: *strip,
                load: loads.get(at).copied(),
            }),
        }
    }
    all
}
