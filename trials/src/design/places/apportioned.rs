//! Blocks shared out over grounds by their room.

/// Blocks shared out over grounds with room for `most` each: one after another goes to the ground with
/// most room for each block it would then hold (highest-average apportionment).
pub(super) fn apportioned(most: &[usize], blocks: usize) -> Vec<usize> {
    let mut share = vec![0_usize; most.len()];
    for _ in 0..blocks {
        let left = |z: usize| most[z] as f64 / (share[z] + 1) as f64;
        let next = (0..most.len())
            .filter(|&z| share[z] < most[z])
            .max_by(|&a, &b| left(a).total_cmp(&left(b)).then(b.cmp(&a)));
        if let Some(ground) = next {
            share[ground] += 1;
        }
    }
    share
}

/// "3 in wet, 2 in dry".
pub(super) fn room_of<'a>(names: impl Iterator<Item = &'a str>, most: &[usize]) -> String {
    let listed: Vec<String> = names
        .zip(most)
        .map(|(name, m)| format!("{m} in {name}"))
        .collect();
    listed.join(", ")
}
