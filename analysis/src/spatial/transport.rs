//! The least-cost way to move surpluses to deficits: an exact transportation simplex on a tree.
//!
//! Only surplus and deficit places take part. The basis is a [spanning tree](super::spanning_tree) hung from an artificial
//! root; it starts from a cheapest-pair-first plan, whose order of pairs is sorted once for all
//! permutations of a map, and stays strongly feasible (Cunningham 1976, Math. Program. 11, 105-116),
//! so it cannot cycle. Ahuja, Magnanti & Orlin (1993), *Network Flows*, ch. 11.

use ndarray::Array2;

use super::spanning_tree::{NONE, Part, SpanningTree};
use super::{Place, distances};

/// Distances between places, and their pairs from nearest to furthest.
pub(super) struct TransportProblem {
    metres: Array2<f64>,
    pairs: Vec<(u32, u32)>,
    far: f64,
}

/// Something moved: from, to, how much.
pub(super) type Flow = (usize, usize, f64);

/// A node that takes part, how much, and the link of the same node before it.
type Link = (usize, f64, usize);

impl TransportProblem {
    pub(super) fn new(places: &[Place]) -> Self {
        let metres = distances(places);
        let at = |p: &(u32, u32)| metres[[p.0 as usize, p.1 as usize]];
        let mut pairs: Vec<(u32, u32)> = (0..u32::try_from(places.len()).unwrap_or(0))
            .flat_map(|i| (0..i).map(move |j| (j, i)))
            .collect();
        pairs.sort_by(|a, b| at(a).total_cmp(&at(b)));
        let far = metres.iter().copied().fold(0.0, f64::max);
        Self { metres, pairs, far }
    }

    pub(super) fn distance(&self, i: usize, j: usize) -> f64 {
        self.metres[[i, j]]
    }

    /// The cheapest flows that take every positive excess to the negative ones. Excesses must sum to 0.
    pub(super) fn cheapest_flows(&self, excess: &[f64]) -> Vec<Flow> {
        let sources: Vec<usize> = (0..excess.len()).filter(|&i| excess[i] > 0.0).collect();
        let sinks: Vec<usize> = (0..excess.len()).filter(|&i| excess[i] < 0.0).collect();
        let mut basis = Basis::new(self, &sources, &sinks, excess);
        basis.optimise();
        let (m, tree) = (sources.len(), basis.tree);
        (0..tree.root())
            .filter(|&v| tree.parent(v) != tree.root() && tree.flow(v) > 0.0)
            .map(|v| {
                let (s, t) = if v < m {
                    (v, tree.parent(v))
                } else {
                    (tree.parent(v), v)
                };
                (sources[s], sinks[t - m], tree.flow(v))
            })
            .collect()
    }

    /// A plan that serves the nearest pairs first: its links among so many nodes, each with the link of its node before it,
    /// and the last link of each node. `node` numbers the places.
    fn nearest_first(
        &self,
        node: &[usize],
        nodes: usize,
        excess: &[f64],
    ) -> (Vec<Link>, Vec<usize>) {
        let (mut left, mut open) = (excess.to_vec(), nodes);
        let mut last = vec![NONE; nodes];
        let mut links: Vec<Link> = Vec::with_capacity(2 * nodes);
        for &(i, j) in &self.pairs {
            let (i, j) = (i as usize, j as usize);
            if left[i] * left[j] < 0.0 {
                let moved = left[i].abs().min(left[j].abs());
                for (from, to) in [(i, j), (j, i)] {
                    left[from] -= moved.copysign(left[from]);
                    open -= usize::from(left[from] == 0.0);
                    links.push((node[to], moved, last[node[from]]));
                    last[node[from]] = links.len() - 1;
                }
                if open == 0 {
                    break;
                }
            }
        }
        (links, last)
    }
}

/// The basis: the arc from each node to its parent runs up for a source and down for a sink.
struct Basis {
    m: usize,
    sinks: usize,
    cost: Vec<f64>,
    far: f64,
    tree: SpanningTree,
}

impl Basis {
    fn new(problem: &TransportProblem, sources: &[usize], sinks: &[usize], excess: &[f64]) -> Self {
        let (m, k) = (sources.len(), sinks.len());
        let root = m + k;
        let mut cost = Vec::with_capacity(m * k);
        for &s in sources {
            cost.extend(sinks.iter().map(|&t| problem.distance(s, t)));
        }
        let mut node = vec![0; problem.metres.nrows()];
        sources
            .iter()
            .chain(sinks)
            .enumerate()
            .for_each(|(v, &place)| node[place] = v);
        let (links, last) = problem.nearest_first(&node, root, excess);
        let mut tree = SpanningTree::new(root);
        let mut stack = Vec::with_capacity(root);
        for v in 0..root {
            // A piece hangs from a source, by an arc upward that carries nothing.
            if tree.parent(v) == NONE {
                stack.push((v, root, 0.0));
                while let Some((v, under, flow)) = stack.pop() {
                    tree.hang(v, under, flow);
                    let mut at = last[v];
                    while let Some(&(b, moved, before)) = links.get(at) {
                        if b != under {
                            stack.push((b, v, moved));
                        }
                        at = before;
                    }
                }
            }
        }
        tree.count();
        Self {
            m,
            sinks: k,
            cost,
            far: problem.far,
            tree,
        }
    }

    /// How much higher a node's potential is than its parent's.
    fn rise(&self, v: usize, above: usize) -> f64 {
        let (s, t) = if v < above { (v, above) } else { (above, v) };
        let length = if above == self.m + self.sinks {
            self.far
        } else {
            self.cost[s * self.sinks + t - self.m]
        };
        if v < self.m { -length } else { length }
    }

    /// Improves until nothing is left to improve when potentials are worked out anew: shifts add up rounding.
    fn optimise(&mut self) {
        loop {
            let mut tree = std::mem::replace(&mut self.tree, SpanningTree::new(0));
            tree.settle(|v, above| self.rise(v, above));
            self.tree = tree;
            if !self.improve() {
                break;
            }
        }
    }

    /// Brings arcs in as long as one is too cheap; whether one was.
    fn improve(&mut self) -> bool {
        let root = self.tree.root();
        // Potentials are sums of at most `root` distances.
        let tiny = self.far * 1e-13 * (1.0 + root as f64).sqrt();
        let (mut row, mut quiet, mut improved) = (0, 0, false);
        while quiet < self.m {
            let costs = &self.cost[row * self.sinks..(row + 1) * self.sinks];
            let potentials = self.tree.potentials();
            let prices = &potentials[self.m..root];
            let best = least(costs, prices);
            let gain = best + potentials[row];
            if gain < -tiny {
                let at = costs.iter().zip(prices).position(|(c, p)| c - p == best);
                self.pivot(row, self.m + at.unwrap_or(0), gain);
                (quiet, improved) = (0, true);
            } else {
                quiet += 1;
                row = (row + 1) % self.m;
            }
        }
        improved
    }

    /// Brings the arc from source `s` to sink `t` into the tree, which is cheaper by `-gain` than the potentials say.
    fn pivot(&mut self, s: usize, t: usize, gain: f64) {
        let tree = &mut self.tree;
        let (mut a, mut b) = (s, t);
        let (mut least, mut leaving, mut on_source_side) = (f64::INFINITY, s, true);
        // Arcs against the cycle lose: upward ones on the source's side, downward ones on the sink's.
        while a != b {
            if tree.size(a) < tree.size(b) {
                if a < self.m && tree.flow(a) < least {
                    (least, leaving, on_source_side) = (tree.flow(a), a, true);
                }
                a = tree.parent(a);
            } else {
                if b >= self.m && tree.flow(b) <= least {
                    (least, leaving, on_source_side) = (tree.flow(b), b, false);
                }
                b = tree.parent(b);
            }
        }
        let join = a;
        for (start, upward_gains) in [(s, false), (t, true)] {
            let mut v = start;
            while v != join {
                let gains = (v < self.m) == upward_gains;
                tree.carry(v, if gains { least } else { -least });
                v = tree.parent(v);
            }
        }
        let (top, under, shift) = if on_source_side {
            (s, t, -gain)
        } else {
            (t, s, gain)
        };
        let part = Part {
            leaving,
            top,
            under,
            flow: least,
            shift,
        };
        tree.relocate(&part, join);
    }
}

/// Least of costs less prices, in four lanes that the processor takes together.
fn least(costs: &[f64], prices: &[f64]) -> f64 {
    let smaller = |a: f64, b: f64| if b < a { b } else { a };
    let mut lanes = [f64::INFINITY; 4];
    let (c, p) = (costs.chunks_exact(4), prices.chunks_exact(4));
    let rest = c.remainder().iter().zip(p.remainder());
    let rest = rest.fold(f64::INFINITY, |a, (c, p)| smaller(a, c - p));
    for (c, p) in c.zip(p) {
        for l in 0..4 {
            lanes[l] = smaller(lanes[l], c[l] - p[l]);
        }
    }
    lanes.into_iter().fold(rest, smaller)
}
