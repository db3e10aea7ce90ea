//! How far the ground reaches along each lane.

use super::RollSize;

/// A stretch of a lane between two pieces of ground is left bare from this length on, metres. A shorter one saves too
/// little sheet for two more ends that wind can lift (common practice, no source).
pub const LEAST_GAP_M: f64 = 1.0;

/// Width at the border of a lane that counts as on it, metres: rounding of a corner on the border must not add a strip.
const BORDER_M: f64 = 1e-9;

/// Parallel lanes across the ground.
#[derive(Debug, Clone, Copy)]
pub(super) struct Lanes {
    /// Where the first begins, across.
    pub(super) first: f64,
    pub(super) count: usize,
    width: f64,
    pitch: f64,
}

impl Lanes {
    /// The fewest lanes that cover the ground between two places across. Of what they are wider than needed, `share`
    /// lies before it: 0 none, 1 all.
    pub(super) fn across([low, high]: [f64; 2], roll: &RollSize, share: f64) -> Self {
        let (width, pitch) = (roll.width_m(), roll.pitch_m());
        let more = ((high - low - width) / pitch - BORDER_M).ceil().max(0.0);
        let spare = more.mul_add(pitch, width) - (high - low);
        Self {
            first: low - share * spare.max(0.0),
            count: many(more) + 1,
            width,
            pitch,
        }
    }

    /// Middle of a lane, across.
    pub(super) fn middle(&self, lane: usize) -> f64 {
        self.low(lane) + self.width / 2.0
    }

    fn low(&self, lane: usize) -> f64 {
        (lane as f64).mul_add(self.pitch, self.first)
    }

    /// Lanes into which something between two places across enters.
    fn entered(&self, low: f64, high: f64) -> std::ops::Range<usize> {
        let from = ((low - self.first - self.width + BORDER_M) / self.pitch).floor() + 1.0;
        let to = ((high - self.first - BORDER_M) / self.pitch).ceil();
        many(from)..many(to).min(self.count)
    }

    /// For each lane the stretches that sheet must cover, in order along the lane.
    pub(super) fn stretches(&self, rings: &[Vec<[f64; 2]>]) -> Vec<Vec<[f64; 2]>> {
        let mut found = vec![Found::default(); self.count];
        for ring in rings {
            for edge in ring.windows(2) {
                self.enter(edge[0], edge[1], &mut found);
            }
        }
        found.into_iter().map(Found::stretches).collect()
    }

    /// Notes the parts of an edge of the ground in the lanes that it enters.
    fn enter(&self, a: [f64; 2], b: [f64; 2], found: &mut [Found]) {
        let (low, high) = if a[1] <= b[1] { (a, b) } else { (b, a) };
        let rise = high[1] - low[1];
        let along = |v: f64| {
            if v <= low[1] {
                low[0]
            } else if v >= high[1] {
                high[0]
            } else {
                (high[0] - low[0]).mul_add((v - low[1]) / rise, low[0])
            }
        };
        for lane in self.entered(low[1], high[1]) {
            let border = self.low(lane);
            let ends = [along(border), along(border + self.width)];
            found[lane]
                .edges
                .push([ends[0].min(ends[1]), ends[0].max(ends[1])]);
            let middle = self.middle(lane);
            if low[1] <= middle && middle < high[1] {
                found[lane].crossings.push(along(middle));
            }
        }
    }
}

/// What of the ground's edge lies in a lane.
#[derive(Debug, Clone, Default)]
struct Found {
    /// From where to where along the lane each piece of edge reaches.
    edges: Vec<[f64; 2]>,
    /// Where edges cross the middle of the lane.
    crossings: Vec<f64>,
}

impl Found {
    /// Stretches that hold ground, those with less than [`LEAST_GAP_M`] between them joined.
    fn stretches(mut self) -> Vec<[f64; 2]> {
        self.edges.sort_by(|a, b| a[0].total_cmp(&b[0]));
        self.crossings.sort_by(f64::total_cmp);
        let mut joined: Vec<[f64; 2]> = Vec::new();
        for next in self.edges {
            match joined.last_mut() {
                Some(last)
                    if next[0] - last[1] < LEAST_GAP_M
                        || is_ground(&self.crossings, f64::midpoint(last[1], next[0])) =>
                {
                    last[1] = last[1].max(next[1]);
                }
                _ => joined.push(next),
            }
        }
        joined
    }
}

/// Whether a stretch that no edge enters is ground: an odd number of edges has been crossed before it.
fn is_ground(crossings: &[f64], at: f64) -> bool {
    crossings.partition_point(|&c| c < at) % 2 == 1
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a lane's place; ground is at most a kilometre wide, and a pitch at least a hundredth of a metre"
)]
fn many(count: f64) -> usize {
    count.max(0.0) as usize
}
