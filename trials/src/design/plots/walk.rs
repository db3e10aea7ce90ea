//! The order in which plots are met walking to and fro across the green.

/// Positions of `places` in walking order: bands of the given height from south to north, walked
/// east and west by turns; with each, whether it is met walking east.
pub(super) fn to_and_fro(places: &[[f64; 2]], band: f64) -> Vec<(usize, bool)> {
    let mut order: Vec<usize> = (0..places.len()).collect();
    order.sort_by(|&a, &b| places[a][1].total_cmp(&places[b][1]).then(a.cmp(&b)));
    let mut walked: Vec<(usize, bool)> = Vec::with_capacity(order.len());
    let mut rest = order.as_slice();
    let mut eastward = true;
    while let Some(&first) = rest.first() {
        let north = band.mul_add(0.5, places[first][1]);
        let many = rest.partition_point(|&i| places[i][1] <= north);
        let mut row = rest[..many].to_vec();
        row.sort_by(|&a, &b| places[a][0].total_cmp(&places[b][0]).then(a.cmp(&b)));
        if !eastward {
            row.reverse();
        }
        walked.extend(row.into_iter().map(|i| (i, eastward)));
        rest = &rest[many..];
        eastward = !eastward;
    }
    walked
}
