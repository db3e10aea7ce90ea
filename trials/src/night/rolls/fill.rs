//! What a roll may hold.

/// How many strips of each length are on a roll.
pub(super) type Content = Vec<u32>;

/// Lengths in steps up to which the fullest sum is looked for.
const FINEST: u64 = 20_000;

/// The fullest content of a roll with one strip of length `first` on it; `counts` are the strips left, that one included.
pub(super) fn fullest(lengths: &[u64], counts: &[u32], first: usize, roll: u64) -> Content {
    let mut content = vec![0; lengths.len()];
    content[first] = 1;
    let room = roll - lengths[first];
    let mut left = counts.to_vec();
    left[first] -= 1;
    if roll > FINEST {
        longest_first(lengths, &left, room, &mut content);
    } else {
        by_sums(lengths, &left, room, &mut content);
    }
    content
}

/// Fills the room with the longest strips that fit.
fn longest_first(lengths: &[u64], left: &[u32], mut room: u64, content: &mut Content) {
    for (i, (&length, &count)) in lengths.iter().zip(left).enumerate() {
        let take = u32::try_from(room / length).unwrap_or(u32::MAX).min(count);
        content[i] += take;
        room -= u64::from(take) * length;
    }
}

/// Fills the room as fully as sums of the lengths allow, with long strips where several contents are as full.
fn by_sums(lengths: &[u64], left: &[u32], room: u64, content: &mut Content) {
    let room = usize::try_from(room).unwrap_or(0);
    // For each sum that can be reached, the strip that reached it and how many of that length it took.
    let mut reached: Vec<Option<(usize, u32)>> = vec![None; room + 1];
    let mut sums = vec![false; room + 1];
    sums[0] = true;
    for (i, (&length, &count)) in lengths.iter().zip(left).enumerate() {
        let length = usize::try_from(length).unwrap_or(usize::MAX);
        let mut taken = vec![0_u32; room + 1];
        for at in length..=room {
            let before = at - length;
            if !sums[at] && sums[before] && taken[before] < count {
                sums[at] = true;
                taken[at] = taken[before] + 1;
                reached[at] = Some((i, taken[at]));
            }
        }
    }
    let mut at = sums.iter().rposition(|&s| s).unwrap_or(0);
    while let Some((i, _)) = reached[at] {
        content[i] += 1;
        at -= usize::try_from(lengths[i]).unwrap_or(at);
    }
}

/// Contents of a roll with one strip of length `first` that no other content makes needless, fullest first; nothing where
/// there are more than `most`.
///
/// A content is needless where a strip that is left would still fit, or where a strip on it could be changed for a
/// longer one that is left: whatever follows from it follows from the other as well.
pub(super) fn contents(
    lengths: &[u64],
    counts: &[u32],
    first: usize,
    roll: u64,
    most: usize,
) -> Option<Vec<Content>> {
    let mut left = counts.to_vec();
    left[first] -= 1;
    let mut walk = Walk {
        lengths,
        left: &left,
        first,
        most,
        content: vec![0; lengths.len()],
        found: Vec::new(),
        steps: 0,
    };
    walk.content[first] = 1;
    if !walk.from(first, roll - lengths[first]) {
        return None;
    }
    let mut found = walk.found;
    found.sort_by(|a, b| a.0.cmp(&b.0).then_with(|| b.1.cmp(&a.1)));
    Some(found.into_iter().map(|(_, content)| content).collect())
}

struct Walk<'a> {
    lengths: &'a [u64],
    left: &'a [u32],
    first: usize,
    most: usize,
    content: Content,
    /// Room left over, and the content.
    found: Vec<(u64, Content)>,
    steps: usize,
}

/// Steps of the walk for each content that is allowed: most of what it meets is needless.
const STEPS_EACH: usize = 20;

impl Walk<'_> {
    /// Goes through the lengths from `i` on; false once there are too many contents.
    fn from(&mut self, i: usize, room: u64) -> bool {
        self.steps += 1;
        if self.steps > STEPS_EACH * self.most {
            return false;
        }
        if i == self.lengths.len() {
            if !self.needless(room) {
                self.found.push((room, self.content.clone()));
            }
            return self.found.len() <= self.most;
        }
        let fits = u32::try_from(room / self.lengths[i]).unwrap_or(u32::MAX);
        let base = self.content[i];
        for take in (0..=fits.min(self.left[i])).rev() {
            self.content[i] = base + take;
            if !self.from(i + 1, room - u64::from(take) * self.lengths[i]) {
                return false;
            }
        }
        self.content[i] = base;
        true
    }

    fn needless(&self, room: u64) -> bool {
        let on = |i: usize| self.content[i] - u32::from(i == self.first);
        // Lengths fall: from each length the next longer one that is left decides.
        let mut longer: Option<u64> = None;
        for (i, &length) in self.lengths.iter().enumerate() {
            if on(i) > 0 && longer.is_some_and(|l| l - length <= room) {
                return true;
            }
            if self.left[i] > on(i) {
                if length <= room {
                    return true;
                }
                longer = Some(length);
            }
        }
        false
    }
}
