//! The least-cost way to move surpluses to deficits: an exact transportation simplex on a tree.
//!
//! Only surplus and deficit places take part. The basis is a spanning tree hung from an artificial
//! root; it starts from a cheapest-pair-first plan, whose order of pairs is sorted once for all
//! permutations of a map, and stays strongly feasible (Cunningham 1976, Math. Program. 11, 105-116),
//! so it cannot cycle. Ahuja, Magnanti & Orlin (1993), *Network Flows*, ch. 11.

use super::{Place, distance};

/// Distances between places, and their pairs from nearest to furthest.
pub(super) struct Ground {
    n: usize,
    metres: Vec<f64>,
    pairs: Vec<(u32, u32)>,
    far: f64,
}

/// Something moved: from, to, how much.
pub(super) type Flow = (usize, usize, f64);

impl Ground {
    pub(super) fn new(places: &[Place]) -> Self {
        let n = places.len();
        let metres: Vec<f64> = (0..n * n)
            .map(|k| distance(places[k / n], places[k % n]))
            .collect();
        let at = |p: &(u32, u32)| metres[p.0 as usize * n + p.1 as usize];
        let mut pairs: Vec<(u32, u32)> = (0..u32::try_from(n).unwrap_or(0))
            .flat_map(|i| (0..i).map(move |j| (j, i)))
            .collect();
        pairs.sort_by(|a, b| at(a).total_cmp(&at(b)));
        let far = metres.iter().copied().fold(0.0, f64::max);
        Self {
            n,
            metres,
            pairs,
            far,
        }
    }

    pub(super) fn metres(&self, i: usize, j: usize) -> f64 {
        self.metres[i * self.n + j]
    }

    /// The cheapest flows that take every positive excess to the negative ones. Excesses must sum to 0.
    pub(super) fn level(&self, excess: &[f64]) -> Vec<Flow> {
        let sources: Vec<usize> = (0..self.n).filter(|&i| excess[i] > 0.0).collect();
        let sinks: Vec<usize> = (0..self.n).filter(|&i| excess[i] < 0.0).collect();
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
    children: Vec<Vec<usize>>,
}

impl Tree {
    fn new(ground: &Ground, sources: &[usize], sinks: &[usize], excess: &[f64]) -> Self {
        let (m, k) = (sources.len(), sinks.len());
        let root = m + k;
        let mut cost = Vec::with_capacity(m * k);
        for &s in sources {
            cost.extend(sinks.iter().map(|&t| ground.metres(s, t)));
        }
        let mut node = vec![0; ground.n];
        sources
            .iter()
            .chain(sinks)
            .enumerate()
            .for_each(|(v, &place)| node[place] = v);
        let mut left: Vec<f64> = excess.iter().map(|e| e.abs()).collect();
        let mut links: Vec<Vec<(usize, f64)>> = vec![Vec::new(); root];
        for &(i, j) in &ground.pairs {
            let (i, j) = (i as usize, j as usize);
            let moved = left[i].min(left[j]);
            if excess[i] * excess[j] < 0.0 && moved > 0.0 {
                left[i] -= moved;
                left[j] -= moved;
                links[node[i]].push((node[j], moved));
                links[node[j]].push((node[i], moved));
            }
        }
        let mut tree = Self {
            m,
            sinks: k,
            root,
            cost,
            far: ground.far,
            parent: vec![usize::MAX; root + 1],
            depth: vec![0; root + 1],
            flow: vec![0.0; root + 1],
            potential: vec![0.0; root + 1],
            children: vec![Vec::new(); root + 1],
        };
        for v in 0..root {
            // A piece hangs from a source, by an arc upward that carries nothing.
            if tree.parent[v] == usize::MAX {
                tree.hang(v, root, 0.0);
                let mut stack = vec![v];
                while let Some(a) = stack.pop() {
                    for &(b, moved) in &links[a] {
                        if b != tree.parent[a] {
                            tree.hang(b, a, moved);
                            stack.push(b);
                        }
                    }
                }
            }
        }
        tree
    }

    fn hang(&mut self, v: usize, under: usize, flow: f64) {
        self.parent[v] = under;
        self.flow[v] = flow;
        self.children[under].push(v);
        self.settle(v);
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
            let (mut best, mut at) = (f64::INFINITY, 0);
            for (t, (c, p)) in costs.iter().zip(prices).enumerate() {
                if c - p < best {
                    (best, at) = (c - p, t);
                }
            }
            if best + self.potential[row] < -tiny {
                self.pivot(row, self.m + at);
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
            self.children[above].retain(|&c| c != v);
            self.parent[v] = under;
            self.flow[v] = carried;
            self.children[under].push(v);
            if v == leaving {
                break;
            }
            (under, v, carried) = (v, above, flow);
        }
        let mut stack = vec![top];
        while let Some(v) = stack.pop() {
            self.settle(v);
            stack.extend(&self.children[v]);
        }
    }
}
