//! A stretch of a lane as pieces that a roll yields.

use super::RollSize;

/// Lengths are cut to whole steps of this, metres: a tape on wet grass is read no closer.
const STEP_M: f64 = 0.1;

/// A reach that is longer than a whole number of steps by no more than this is not cut longer, metres. The margin is drawn
/// on a grid of a millionth of a metre where ground is a kilometre wide; this is ten times as much.
const SAME_M: f64 = 1e-5;

/// No joint leaves a piece shorter than this, metres, beside its lap: it would not stay where it is laid.
const LEAST_PIECE_M: f64 = 1.0;

/// A piece: where it begins along the lane and how long it is, metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Piece {
    pub(super) start: f64,
    pub(super) length: f64,
}

/// Pieces that cover a lane from `low` to `high`, none longer than the roll, each lapped by the next.
pub(super) fn pieces(low: f64, high: f64, roll: &RollSize) -> Vec<Piece> {
    let lengths = lengths(high - low, roll);
    let joints = lengths.len().saturating_sub(1) as f64;
    let laid = lengths.iter().sum::<f64>() - joints * roll.lap_m();
    let mut start = low - (laid - (high - low)) / 2.0;
    let place = |length: f64| {
        let piece = Piece { start, length };
        start += length - roll.lap_m();
        piece
    };
    lengths.into_iter().map(place).collect()
}

/// Lengths of the pieces: whole rolls and a rest.
pub(super) fn lengths(reach: f64, roll: &RollSize) -> Vec<f64> {
    let (whole, lap) = (roll.length_m(), roll.lap_m());
    if reach <= whole + SAME_M {
        return vec![rounded_up(reach, whole)];
    }
    let count = ((reach - lap - SAME_M) / (whole - lap)).ceil();
    let rest = reach - (count - 1.0) * (whole - lap);
    let least = (LEAST_PIECE_M + lap).min(f64::midpoint(whole, lap));
    let short = (least - rest).max(0.0);
    let mut lengths = vec![whole; many(count) - 1];
    if let Some(last) = lengths.last_mut() {
        *last = rounded_up(whole - short, whole);
    }
    lengths.push(rounded_up(rest + short, whole));
    lengths
}

/// The next step, or the whole roll where that is less.
fn rounded_up(length: f64, whole: f64) -> f64 {
    // Divided, not multiplied: 46 / 10 is 4.6 to the last bit, 46 times 0.1 is not.
    let steps_per_m = 1.0 / STEP_M;
    (((length - SAME_M) * steps_per_m).ceil() / steps_per_m).clamp(STEP_M.min(whole), whole)
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a number of pieces, at least 1; ground is at most a kilometre wide and rolls are at least 0.1 m long"
)]
fn many(count: f64) -> usize {
    count.max(1.0) as usize
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cut(reach: f64, length: f64, lap: f64) -> Vec<f64> {
        let roll = RollSize::new("roll", [length, 2.0], lap, 0.0).unwrap();
        lengths(reach, &roll)
    }

    #[test]
    fn a_reach_is_cut_to_the_next_tenth_and_never_beyond_the_roll() {
        assert_eq!(cut(4.6, 50.0, 0.2), [4.6]);
        assert_eq!(cut(4.61, 50.0, 0.2), [4.7]);
        assert_eq!(cut(49.93, 49.95, 0.2), [49.95]);
        assert_eq!(cut(0.01, 50.0, 0.2), [0.1]);
    }

    #[test]
    fn a_reach_beyond_the_roll_takes_whole_rolls_and_a_rest() {
        // 20 + 20 + 10.4 less two laps of 0.2 is 50.
        assert_eq!(cut(50.0, 20.0, 0.2), [20.0, 20.0, 10.4]);
        // A rest of 0.3 m would not stay where it is laid: the piece before gives up 0.9 m.
        assert_eq!(cut(20.1, 20.0, 0.2), [19.1, 1.2]);
        assert_eq!(cut(40.0, 20.0, 0.0), [20.0, 20.0]);
    }

    #[test]
    fn pieces_reach_both_ends_and_lap() {
        let roll = RollSize::new("roll", [7.3, 2.0], 0.35, 0.0).unwrap();
        for k in 1..4000 {
            let (low, high) = (-3.1, -3.1 + 0.0107 * f64::from(k));
            let cut = pieces(low, high, &roll);
            assert!(cut[0].start <= low + 1.1e-5, "{k}");
            let last = cut[cut.len() - 1];
            assert!(last.start + last.length >= high - 1.1e-5, "{k}");
            for pair in cut.windows(2) {
                let lap = pair[0].start + pair[0].length - pair[1].start;
                assert!((lap - 0.35).abs() < 1e-9, "{k}: {lap}");
            }
            assert!(cut.iter().all(|p| p.length <= 7.3 && p.length > 0.0), "{k}");
        }
    }
}
