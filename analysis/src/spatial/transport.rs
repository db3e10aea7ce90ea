//! The least-cost way to move surpluses to deficits: an exact transportation simplex on a tree.
//!
//! Only surplus and deficit places take part. The basis is a spanning tree hung from an artificial
//! root; it starts from a cheapest-pair-first plan, whose order of pairs is sorted once for all
//! permutations of a map, and stays strongly feasible (Cunningham 1976, Math. Program. 11, 105-116),
//! so it cannot cycle. Ahuja, Magnanti & Orlin (1993), *Network Flows*, ch. 11.

use ndarray::Array2;

use super::{Place, distances};

/// Distances between places, and their pairs from nearest to furthest.
pub(super) struct TransportProblem {
    metres: Array2<f64>,
    pairs: Vec<(u32, u32)>,
    far: f64,
}

/// Something moved: from, to, how much.
pub(super) type Flow = (usize, usize, f64);

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
        let mut tree = Tree::new(self, &sources, &sinks, excess);
        tree.optimise();
        let m = sources.len();
        (0..tree.root)
            .filter(|&v| tree.parent[v] != tree.root && tree.flow[v] > 0.0)
            .map(|v| {
                let (s, t) = if v < m {
                    (v, tree.parent[v])
                } else {
                    (tree.parent[v], v)
                };
                (sources[s], sinks[t - m], tree.flow[v])
            })
            .collect()
    }
}

/// The basis: each node's arc to its parent runs up for a source and down for a sink.
struct Tree {
    m: usize,
    sinks: usize,
    root: usize,
    cost: Vec<f64>,
    far: f64,
    parent: Vec<usize>,
    depth: Vec<u32>,
    flow: Vec<f64>,
    potential: Vec<f64>,
    /// Last node hung from each node, and its siblings before it; `NONE` where there is none.
    child: Vec<usize>,
    sibling: Vec<[usize; 2]>,
}

const NONE: usize = usize::MAX;

impl Tree {
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
        let mut left = excess.to_vec();
        // Links of the starting plan: each node's last one, and for each link the one before it.
        let mut last = vec![NONE; root];
        let mut links: Vec<(usize, f64, usize)> = Vec::with_capacity(2 * root);
        for &(i, j) in &problem.pairs {
            let (i, j) = (i as usize, j as usize);
            if left[i] * left[j] < 0.0 {
                let moved = left[i].abs().min(left[j].abs());
                for (from, to) in [(i, j), (j, i)] {
                    left[from] -= moved.copysign(left[from]);
                    links.push((node[to], moved, last[node[from]]));
                    last[node[from]] = links.len() - 1;
                }
            }
        }
        let mut tree = Self {
            m,
            sinks: k,
            root,
            cost,
            far: problem.far,
            parent: vec![NONE; root + 1],
            depth: vec![0; root + 1],
            flow: vec![0.0; root + 1],
            potential: vec![0.0; root + 1],
            child: vec![NONE; root + 1],
            sibling: vec![[NONE; 2]; root + 1],
        };
        let mut stack = Vec::with_capacity(root);
        for v in 0..root {
            // A piece hangs from a source, by an arc upward that carries nothing.
            if tree.parent[v] == NONE {
                tree.hang(v, root, 0.0);
                stack.push(v);
                while let Some(a) = stack.pop() {
                    let mut at = last[a];
                    while let Some(&(b, moved, before)) = links.get(at) {
                        if b != tree.parent[a] {
                            tree.hang(b, a, moved);
                            stack.push(b);
                        }
                        at = before;
                    }
                }
            }
        }
        tree
    }

    fn hang(&mut self, v: usize, under: usize, flow: f64) {
        self.parent[v] = under;
        self.flow[v] = flow;
        self.adopt(v, under);
        self.settle(v);
    }

    /// Puts `v` before the other children of `under`.
    fn adopt(&mut self, v: usize, under: usize) {
        let next = self.child[under];
        self.sibling[v] = [NONE, next];
        if next != NONE {
            self.sibling[next][0] = v;
        }
        self.child[under] = v;
    }

    /// Takes `v` from the children of its parent.
    fn release(&mut self, v: usize) {
        let [before, next] = self.sibling[v];
        if before == NONE {
            self.child[self.parent[v]] = next;
        } else {
            self.sibling[before][1] = next;
        }
        if next != NONE {
            self.sibling[next][0] = before;
        }
    }

    /// Depth and potential of `v` from its parent.
    fn settle(&mut self, v: usize) {
        let above = self.parent[v];
        let length = if above == self.root {
            self.far
        } else {
            self.between(v, above)
        };
        let signed = if v < self.m { -length } else { length };
        self.potential[v] = self.potential[above] + signed;
        self.depth[v] = self.depth[above] + 1;
    }

    fn between(&self, a: usize, b: usize) -> f64 {
        let (s, t) = if a < b { (a, b) } else { (b, a) };
        self.cost[s * self.sinks + t - self.m]
    }

    fn optimise(&mut self) {
        // Potentials are sums of at most `root` distances.
        let tiny = self.far * 1e-13 * (1.0 + self.root as f64).sqrt();
        let (mut row, mut quiet) = (0, 0);
        while quiet < self.m {
            let costs = &self.cost[row * self.sinks..(row + 1) * self.sinks];
            let prices = &self.potential[self.m..self.root];
            let best = least(costs, prices);
            if best + self.potential[row] < -tiny {
                let at = costs.iter().zip(prices).position(|(c, p)| c - p == best);
                self.pivot(row, self.m + at.unwrap_or(0));
                quiet = 0;
            } else {
                quiet += 1;
                row = (row + 1) % self.m;
            }
        }
    }

    /// Brings the arc from source `s` to sink `t` into the tree.
    fn pivot(&mut self, s: usize, t: usize) {
        let (mut a, mut b) = (s, t);
        let (mut least, mut leaving, mut on_source_side) = (f64::INFINITY, s, true);
        // Arcs against the cycle lose: upward ones on the source's side, downward ones on the sink's.
        while a != b {
            if self.depth[a] > self.depth[b] {
                if a < self.m && self.flow[a] < least {
                    (least, leaving, on_source_side) = (self.flow[a], a, true);
                }
                a = self.parent[a];
            } else {
                if b >= self.m && self.flow[b] <= least {
                    (least, leaving, on_source_side) = (self.flow[b], b, false);
                }
                b = self.parent[b];
            }
        }
        let join = a;
        for (start, upward_gains) in [(s, false), (t, true)] {
            let mut v = start;
            while v != join {
                self.flow[v] += if (v < self.m) == upward_gains {
                    least
                } else {
                    -least
                };
                v = self.parent[v];
            }
        }
        let (mut v, mut under) = if on_source_side { (s, t) } else { (t, s) };
        let top = v;
        let mut carried = least;
        loop {
            let above = self.parent[v];
            let flow = self.flow[v];
            self.release(v);
            self.parent[v] = under;
            self.flow[v] = carried;
            self.adopt(v, under);
            if v == leaving {
                break;
            }
            (under, v, carried) = (v, above, flow);
        }
        // Down the subtree, each node after its parent.
        let mut v = top;
        loop {
            self.settle(v);
            if self.child[v] != NONE {
                v = self.child[v];
                continue;
            }
            while v != top && self.sibling[v][1] == NONE {
                v = self.parent[v];
            }
            if v == top {
                break;
            }
            v = self.sibling[v][1];
        }
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
