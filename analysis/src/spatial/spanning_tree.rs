//! A tree with flows on its arcs and a potential at each node, a part of which can be hung elsewhere.
//!
//! Nodes stand in a ring, each before all that hangs from it, and know how many those are and which is the last. A part
//! is then moved by a few links, and only potentials are touched node by node: those of the part, or of the rest where
//! that is smaller. Barr, Glover & Klingman (1979), INFOR 17, 16-34 (from memory).

/// The tree. Its root is the node after all others.
pub(super) struct SpanningTree {
    root: usize,
    parent: Vec<usize>,
    /// On the arc to the parent.
    flow: Vec<f64>,
    potential: Vec<f64>,
    next: Vec<usize>,
    previous: Vec<usize>,
    /// How many hang from a node, itself among them, and the last of them in the ring.
    size: Vec<usize>,
    last: Vec<usize>,
}

/// A part of the tree that is to hang elsewhere.
pub(super) struct Part {
    /// Its node nearest to the root now: the arc above it is given up.
    pub(super) leaving: usize,
    /// Its node that will hang from `under`, and the flow on that arc.
    pub(super) top: usize,
    pub(super) under: usize,
    pub(super) flow: f64,
    /// What its potentials change by.
    pub(super) shift: f64,
}

/// Of the root, which has no parent.
pub(super) const NONE: usize = usize::MAX;

impl SpanningTree {
    /// A root alone, for so many nodes.
    pub(super) fn new(nodes: usize) -> Self {
        let all = nodes + 1;
        Self {
            root: nodes,
            parent: vec![NONE; all],
            flow: vec![0.0; all],
            potential: vec![0.0; all],
            next: vec![nodes; all],
            previous: vec![nodes; all],
            size: vec![1; all],
            last: (0..all).collect(),
        }
    }

    pub(super) fn root(&self) -> usize {
        self.root
    }

    /// The parent of a node; [`NONE`] of one that does not hang yet.
    pub(super) fn parent(&self, v: usize) -> usize {
        self.parent[v]
    }

    pub(super) fn flow(&self, v: usize) -> f64 {
        self.flow[v]
    }

    pub(super) fn potentials(&self) -> &[f64] {
        &self.potential
    }

    pub(super) fn size(&self, v: usize) -> usize {
        self.size[v]
    }

    /// Adds to the flow on the arc above a node.
    pub(super) fn carry(&mut self, v: usize, more: f64) {
        self.flow[v] += more;
    }

    /// Hangs a node that does not hang yet at the end of the ring: all that hangs from the node before it must be there.
    pub(super) fn hang(&mut self, v: usize, under: usize, flow: f64) {
        self.link(self.previous[self.root], v);
        self.link(v, self.root);
        self.parent[v] = under;
        self.flow[v] = flow;
    }

    /// Counts what hangs from each node, once all hang.
    pub(super) fn count(&mut self) {
        let mut v = self.previous[self.root];
        self.last[self.root] = v;
        while v != self.root {
            let above = self.parent[v];
            self.size[above] += self.size[v];
            // Of all children the one that comes last in the ring is met first.
            if self.last[above] == above {
                self.last[above] = self.last[v];
            }
            v = self.previous[v];
        }
    }

    /// Works out all potentials: that of the root is 0, and `rise` tells how much higher a node is than its parent.
    pub(super) fn settle(&mut self, rise: impl Fn(usize, usize) -> f64) {
        self.potential[self.root] = 0.0;
        let mut v = self.next[self.root];
        while v != self.root {
            let above = self.parent[v];
            self.potential[v] = self.potential[above] + rise(v, above);
            v = self.next[v];
        }
    }

    /// Hangs a part elsewhere; `join` is the nearest node above both its places.
    pub(super) fn relocate(&mut self, part: &Part, join: usize) {
        let moving = self.size[part.leaving];
        let mut v = self.parent[part.leaving];
        while v != join {
            self.size[v] -= moving;
            v = self.parent[v];
        }
        v = part.under;
        while v != join {
            self.size[v] += moving;
            v = self.parent[v];
        }
        self.cut(part.leaving);
        let end = self.turn(part);
        self.graft(part, end);
        let beyond = self.next[end];
        if 2 * moving <= self.root {
            self.shift(part.top, beyond, part.shift);
        } else {
            self.shift(beyond, part.top, -part.shift);
        }
    }

    fn link(&mut self, before: usize, after: usize) {
        self.next[before] = after;
        self.previous[after] = before;
    }

    /// Adds to the potentials of the nodes from `v` on, up to the one before `beyond`.
    fn shift(&mut self, mut v: usize, beyond: usize, by: f64) {
        while v != beyond {
            self.potential[v] += by;
            v = self.next[v];
        }
    }

    /// Takes all that hangs from `v` out of the ring.
    fn cut(&mut self, v: usize) {
        let (before, end) = (self.previous[v], self.last[v]);
        self.link(before, self.next[end]);
        self.end_at(self.parent[v], end, before);
    }

    /// Puts a part, which now ends at `end`, into the ring right behind the node from which it hangs.
    fn graft(&mut self, part: &Part, end: usize) {
        self.link(end, self.next[part.under]);
        self.link(part.under, part.top);
        self.end_at(part.under, part.under, end);
    }

    /// Lets what hangs from `v` and the nodes above it end at `now` where it ended at `before`.
    fn end_at(&mut self, mut v: usize, before: usize, now: usize) {
        while v != NONE && self.last[v] == before {
            self.last[v] = now;
            v = self.parent[v];
        }
    }

    /// Turns the arcs between `top` and `leaving` round; the last node of the part then.
    fn turn(&mut self, part: &Part) -> usize {
        let whole = self.size[part.leaving];
        let (mut v, mut above, mut carried, mut taken) = (part.top, part.under, part.flow, 0);
        // What hangs from `v` as yet: the node before it in the ring, its last and the one after that.
        let (mut before, mut end) = (self.previous[v], self.last[v]);
        let mut after = self.next[end];
        let mut tail = end;
        loop {
            let (up, had, held) = (self.parent[v], self.flow[v], self.size[v]);
            self.parent[v] = above;
            self.flow[v] = carried;
            self.size[v] = whole - taken;
            if v == part.leaving {
                break;
            }
            let (up_before, up_end) = (self.previous[up], self.last[up]);
            // Of what hangs from the next node up all but this comes behind it: first what stood before it.
            self.link(tail, up);
            if up_end == end {
                tail = before;
            } else {
                let up_after = self.next[up_end];
                self.link(before, after);
                (tail, end, after) = (up_end, up_end, up_after);
            }
            before = up_before;
            (above, v, carried, taken) = (v, up, had, held);
        }
        while v != part.under {
            self.last[v] = tail;
            v = self.parent[v];
        }
        tail
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::random::Generator;

    /// Nodes below `v` in the order of the ring.
    fn below(tree: &SpanningTree, v: usize) -> Vec<usize> {
        let from = std::iter::successors(Some(v), |x| Some(tree.next[*x]));
        from.take(tree.size[v]).collect()
    }

    fn is_above(tree: &SpanningTree, above: usize, v: usize) -> bool {
        let mut up =
            std::iter::successors(Some(v), |x| Some(tree.parent[*x]).filter(|p| *p != NONE));
        up.any(|x| x == above)
    }

    /// After any number of moves the ring, sizes and last nodes are those of the parents, and potentials those of
    /// the arcs.
    #[test]
    fn a_tree_stays_whole_whatever_is_moved() {
        let nodes = 40;
        let mut generator = Generator::new(5, 0);
        let mut draw = |below: usize| usize::try_from(generator.below(below as u64)).unwrap();
        let rise = |v: usize, above: usize| v as f64 - above as f64;
        let mut tree = SpanningTree::new(nodes);
        for v in 0..nodes {
            tree.hang(v, if v == 0 { nodes } else { v - 1 }, 1.0);
        }
        tree.count();
        tree.settle(rise);
        for _ in 0..2000 {
            let leaving = draw(nodes);
            let part = below(&tree, leaving);
            let top = part[draw(part.len())];
            let under = draw(nodes + 1);
            if part.contains(&under) {
                continue;
            }
            let join = std::iter::successors(Some(under), |x| Some(tree.parent[*x]))
                .find(|x| is_above(&tree, *x, tree.parent[leaving]))
                .unwrap();
            let shift = tree.potential[under] + rise(top, under) - tree.potential[top];
            let moved = Part {
                leaving,
                top,
                under,
                flow: 1.0,
                shift,
            };
            tree.relocate(&moved, join);
            for v in 0..=nodes {
                let part = below(&tree, v);
                let hang = (0..=nodes).filter(|x| is_above(&tree, v, *x)).count();
                assert_eq!(part.len(), hang);
                assert!(part.iter().all(|x| is_above(&tree, v, *x)), "{part:?}");
                assert_eq!(part.last(), Some(&tree.last[v]));
                assert_eq!(tree.previous[tree.next[v]], v);
                if v != nodes {
                    let above = tree.parent[v];
                    let found = tree.potential[v] - tree.potential[above];
                    assert!((found - rise(v, above)).abs() < 1e-9);
                }
            }
        }
    }
}
