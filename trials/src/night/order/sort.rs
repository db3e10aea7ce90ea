//! Sorts of roll, and which of them make one material.

use serde::Serialize;

use super::super::takeoff::RollSize;

/// A sort of roll.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sort {
    /// Name for people.
    pub name: String,
    /// Its sizes.
    #[serde(flatten)]
    pub size: RollSize,
    /// Price of a roll.
    pub price: Option<f64>,
    /// In the shed already, square metres.
    pub in_stock_m2: f64,
}

/// Sorts that lap with one another: of one width, lap and margin.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Material {
    /// Sizes of its longest roll.
    pub(super) roll: RollSize,
    /// Places of its sorts.
    pub(super) sorts: Vec<usize>,
}

/// The materials, in the order of their first sorts.
pub(super) fn materials(sorts: &[Sort]) -> Vec<Material> {
    let like = |r: &RollSize| [r.width_m(), r.lap_m(), r.edge_m()];
    let mut found: Vec<Material> = Vec::new();
    for (i, sort) in sorts.iter().enumerate() {
        match found.iter_mut().find(|m| like(&m.roll) == like(&sort.size)) {
            Some(material) => {
                material.sorts.push(i);
                if sort.size.length_m() > material.roll.length_m() {
                    material.roll = sort.size;
                }
            }
            None => found.push(Material {
                roll: sort.size,
                sorts: vec![i],
            }),
        }
    }
    found
}
