//! Connected components: plots and random effects that share nothing with the others.
//!
//! The integral over all effects is a product of one for each component: a block is a component, with whatever is
//! nested in it; the crossing rows and columns of a square are one component together.

use std::ops::Range;

/// Plots and effects, component by component.
#[derive(Debug, Clone)]
pub(super) struct ConnectedComponents {
    /// Number of random terms.
    terms: usize,
    /// Plots in order of their component, and where each component starts among them; then the end.
    order: Vec<usize>,
    rows: Vec<usize>,
    /// The term of each effect, and where each component starts among the effects; then the end.
    term: Vec<usize>,
    effects: Vec<usize>,
    /// For each plot in each term, its effect's place within the component.
    places: Vec<usize>,
}

impl ConnectedComponents {
    /// Sorts `rows` plots; each of `terms` gives for every plot the number of its group, from 0.
    pub(super) fn new(rows: usize, terms: &[Vec<usize>]) -> Self {
        let component = component_of(rows, terms);
        let mut order: Vec<usize> = (0..rows).collect();
        order.sort_by_key(|&row| component[row]);
        let mut components = Self {
            terms: terms.len(),
            rows: vec![0],
            term: Vec::new(),
            effects: vec![0],
            places: vec![0; rows * terms.len()],
            order,
        };
        let mut seen: Vec<Vec<Option<usize>>> =
            terms.iter().map(|t| vec![None; groups(t)]).collect();
        for at in 0..rows {
            let row = components.order[at];
            if at > 0 && component[row] != component[components.order[at - 1]] {
                components.rows.push(at);
                components.effects.push(components.term.len());
            }
            let start = components.effects[components.effects.len() - 1];
            for (m, term) in terms.iter().enumerate() {
                let effect = *seen[m][term[row]].get_or_insert_with(|| {
                    components.term.push(m);
                    components.term.len() - 1
                });
                components.places[row * terms.len() + m] = effect - start;
            }
        }
        components.rows.push(rows);
        components.effects.push(components.term.len());
        components
    }

    /// Number of random terms.
    pub(super) fn terms(&self) -> usize {
        self.terms
    }

    /// Number of components.
    pub(super) fn len(&self) -> usize {
        self.rows.len() - 1
    }

    /// The plots of a component.
    pub(super) fn rows(&self, component: usize) -> &[usize] {
        &self.order[self.rows[component]..self.rows[component + 1]]
    }

    /// A component's effects among all effects.
    pub(super) fn effects(&self, component: usize) -> Range<usize> {
        self.effects[component]..self.effects[component + 1]
    }

    /// The term of each effect, of all effects.
    pub(super) fn term(&self) -> &[usize] {
        &self.term
    }

    /// Within its component, the places of a plot's effects, term by term.
    #[inline]
    pub(super) fn places(&self, row: usize) -> &[usize] {
        &self.places[row * self.terms..(row + 1) * self.terms]
    }
}

/// Number of groups of a term.
fn groups(term: &[usize]) -> usize {
    term.iter().copied().max().map_or(0, |g| g + 1)
}

/// For each plot, the first plot of its component: groups pass the smallest number around until
/// nothing changes.
pub(crate) fn component_of(rows: usize, terms: &[Vec<usize>]) -> Vec<usize> {
    if terms.is_empty() {
        return vec![0; rows];
    }
    let mut component: Vec<usize> = (0..rows).collect();
    let mut changed = true;
    while changed {
        changed = false;
        for term in terms {
            let mut first = vec![usize::MAX; groups(term)];
            for (&group, &p) in term.iter().zip(&component) {
                first[group] = first[group].min(p);
            }
            for (&group, p) in term.iter().zip(&mut component) {
                changed |= first[group] < *p;
                *p = first[group];
            }
        }
    }
    component
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nested_terms_part_and_crossed_terms_hold_together() {
        // Blocks 1, 0, 1 with plots of two samples nested in them.
        let nested = ConnectedComponents::new(6, &[vec![1, 1, 0, 0, 1, 1], vec![0, 0, 1, 1, 2, 2]]);
        assert_eq!(nested.len(), 2);
        assert_eq!(nested.rows(0), [0, 1, 4, 5]);
        assert_eq!((nested.effects(0), nested.effects(1)), (0..3, 3..5));
        assert_eq!(nested.places(4), [0, 2]);
        assert_eq!(nested.term(), [0, 1, 1, 0, 1]);
        let square = ConnectedComponents::new(4, &[vec![0, 0, 1, 1], vec![0, 1, 0, 1]]);
        assert_eq!((square.len(), square.effects(0)), (1, 0..4));
        // A staircase of pairs is one component, whichever way it is numbered.
        let (up, over) = (vec![3, 2, 2, 1, 1, 0], vec![2, 2, 1, 1, 0, 0]);
        assert_eq!(ConnectedComponents::new(6, &[up, over]).len(), 1);
        let plain = ConnectedComponents::new(3, &[]);
        assert_eq!((plain.len(), plain.effects(0)), (1, 0..0));
    }
}
