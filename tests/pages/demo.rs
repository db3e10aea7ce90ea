//! The demonstration from an empty folder.

use super::club;
use crate::scratch::example;

#[test]
fn the_clubs_counts_and_layout_follow_from_the_stated_truth() {
    assert_eq!(example("demo-club/counts.csv"), club::counts());
    let layout = halfgreen::design::write_layout(&club::layout()).unwrap();
    assert_eq!(example("demo-club/layout.csv"), layout);
}
