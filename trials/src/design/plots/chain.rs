//! A ring of edges as a tree of runs, and the shadows that it casts on a row.
//!
//! A row of tiles asks where, between two heights, an edge passes. A run of edges that lies between them as
//! a whole answers from its box alone, and one that lies above or below is skipped, so that a row looks at few of the
//! edges of a long walked outline.

/// Edges in the smallest run.
const RUN: usize = 16;

/// A closed ring of corners.
#[derive(Debug, Clone)]
pub(super) struct Chain {
    /// Corners in order, the first again at the end.
    corners: Vec<[f64; 2]>,
    /// Boxes of runs: of 16 edges, then of twice as many, up to the whole ring.
    levels: Vec<Vec<Extent>>,
    /// What the ring bounds, as one bit.
    mark: u32,
}

/// The box round a run of edges.
#[derive(Debug, Clone, Copy)]
struct Extent {
    west: f64,
    east: f64,
    south: f64,
    north: f64,
}

/// The heights between which a row lies, and the height at which its sides are told apart.
#[derive(Debug, Clone, Copy)]
pub(super) struct Band {
    pub(super) bottom: f64,
    pub(super) top: f64,
    pub(super) middle: f64,
}

/// Edges that follow one another within a band: where their shadow lies, and which ground is left for which
/// on its other side.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pass {
    pub(super) west: f64,
    pub(super) east: f64,
    pub(super) crossed: u32,
}

impl Chain {
    /// A ring whose ground is marked by one bit; `corners` ends where it starts.
    pub(super) fn new(corners: Vec<[f64; 2]>, mark: u32) -> Self {
        let edges = corners.len().saturating_sub(1);
        let runs = (0..edges).step_by(RUN).map(|first| {
            let last = (first + RUN).min(edges);
            let boxes = (first..last).map(|i| Extent::of(corners[i], corners[i + 1]));
            boxes.fold(Extent::NOTHING, Extent::with)
        });
        let mut levels = vec![runs.collect::<Vec<Extent>>()];
        while let Some(below) = levels.last().filter(|l| l.len() > 1) {
            let above = below
                .chunks(2)
                .map(|pair| pair.iter().copied().fold(Extent::NOTHING, Extent::with));
            let above = above.collect();
            levels.push(above);
        }
        Self {
            corners,
            levels,
            mark,
        }
    }

    /// Adds the passes of the ring through a band.
    pub(super) fn passes(&self, band: Band, passes: &mut Vec<Pass>) {
        let mut open = false;
        let highest = self.levels.len() - 1;
        if !self.levels[highest].is_empty() {
            self.descend(highest, 0, band, &mut open, passes);
        }
    }

    /// Goes through run `at` of a level; `open` tells that the pass last met goes on from the corner before.
    fn descend(
        &self,
        level: usize,
        at: usize,
        band: Band,
        open: &mut bool,
        passes: &mut Vec<Pass>,
    ) {
        let run = self.levels[level][at];
        if run.north < band.bottom || run.south > band.top {
            *open = false;
            return;
        }
        let first = at * (RUN << level);
        let last = (first + (RUN << level)).min(self.corners.len() - 1);
        if run.south >= band.bottom && run.north <= band.top {
            let ends = [self.corners[first], self.corners[last]];
            self.shadow([run.west, run.east], ends, band, open, passes);
        } else if level > 0 {
            let below = self.levels[level - 1].len();
            for part in 2 * at..(2 * at + 2).min(below) {
                self.descend(level - 1, part, band, open, passes);
            }
        } else {
            for edge in first..last {
                self.edge(
                    [self.corners[edge], self.corners[edge + 1]],
                    band,
                    open,
                    passes,
                );
            }
        }
    }

    /// One edge, of which a part may lie in the band.
    fn edge(&self, ends: [[f64; 2]; 2], band: Band, open: &mut bool, passes: &mut Vec<Pass>) {
        let [a, b] = upward(ends);
        if b[1] < band.bottom || a[1] > band.top {
            *open = false;
            return;
        }
        let at = |y: f64| {
            let share = ((y - a[1]) / (b[1] - a[1])).clamp(0.0, 1.0);
            share.mul_add(b[0] - a[0], a[0])
        };
        let [p, q] = if b[1] > a[1] {
            [at(band.bottom), at(band.top)]
        } else {
            [a[0], b[0]]
        };
        self.shadow([p.min(q), p.max(q)], ends, band, open, passes);
    }

    /// Adds a shadow to the pass that is open, or opens one.
    fn shadow(
        &self,
        [west, east]: [f64; 2],
        [from, to]: [[f64; 2]; 2],
        band: Band,
        open: &mut bool,
        passes: &mut Vec<Pass>,
    ) {
        let sides = (from[1] <= band.middle) != (to[1] <= band.middle);
        let crossed = if sides { self.mark } else { 0 };
        match passes.last_mut().filter(|_| *open) {
            Some(pass) => {
                pass.west = pass.west.min(west);
                pass.east = pass.east.max(east);
                pass.crossed ^= crossed;
            }
            None => passes.push(Pass {
                west,
                east,
                crossed,
            }),
        }
        // Beyond a corner outside the band the ring may come back elsewhere.
        *open = (band.bottom..=band.top).contains(&to[1]);
    }
}

impl Extent {
    const NOTHING: Self = Self {
        west: f64::INFINITY,
        east: f64::NEG_INFINITY,
        south: f64::INFINITY,
        north: f64::NEG_INFINITY,
    };

    /// The box of an edge, its upper end reckoned as a row reckons it.
    fn of(from: [f64; 2], to: [f64; 2]) -> Self {
        let [a, b] = upward([from, to]);
        let top = if b[1] > a[1] {
            a[0] + (b[0] - a[0])
        } else {
            b[0]
        };
        Self {
            west: a[0].min(top),
            east: a[0].max(top),
            south: a[1],
            north: b[1],
        }
    }

    fn with(self, other: Self) -> Self {
        Self {
            west: self.west.min(other.west),
            east: self.east.max(other.east),
            south: self.south.min(other.south),
            north: self.north.max(other.north),
        }
    }
}

/// The ends of an edge, the lower first.
fn upward([from, to]: [[f64; 2]; 2]) -> [[f64; 2]; 2] {
    if from[1] <= to[1] {
        [from, to]
    } else {
        [to, from]
    }
}
