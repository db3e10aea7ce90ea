//! What a difference between readings means, in plain words.

use halfgreen_analysis::comparison::Call;

use super::super::sentence::Sentence;
use super::judged::{Response, TurfQuestion};
use super::result::EffectRow;

/// One to three sentences.
pub(super) fn sentence(
    asked: &TurfQuestion,
    row: &EffectRow,
    (method, control): (&str, &str),
) -> Sentence {
    let found = difference(asked.response, row.difference);
    let range = match (row.low, row.high) {
        (Some(low), Some(high)) if signed(low) == signed(high) => format!(
            "the readings leave no room around {} (plots of one treatment read alike)",
            signed(low)
        ),
        (Some(low), Some(high)) => format!(
            "the true difference is likely between {} and {}",
            signed(low),
            signed(high)
        ),
        _ if row.smallest_p > asked.alpha => {
            "the layout is too small to bound the true difference".to_owned()
        }
        _ => "the readings do not bound the true difference".to_owned(),
    };
    let first = match row.call {
        Call::BeatTheControl => format!("{method} beat {control}"),
        Call::DidWorse => format!("{method} did worse than {control}"),
        Call::TooSmallToMatter => {
            format!("{method} did not differ from {control} by enough to matter")
        }
        Call::CannotTell => format!("Cannot tell yet whether {method} differs from {control}"),
    };
    let coarse = if row.smallest_p > asked.alpha {
        format!(
            " With so few plots the draw could at best have given p = {:.3}; more blocks might tell.",
            row.smallest_p
        )
    } else {
        String::new()
    };
    Sentence::resting_on(row.p_adjusted, "", |aside| {
        format!(
            "{first}: {found}{aside}; {range}. A plot of {method} has the higher reading than one of {control} about \
             {:.0} times in 100.{coarse}",
            100.0 * row.superiority
        )
    })
}

fn difference(response: Response, by: f64) -> String {
    let (size, more) = (by.abs(), by > 0.0);
    if by == 0.0 {
        return "no difference".to_owned();
    }
    match response {
        Response::Score => {
            let way = if more { "higher" } else { "lower" };
            format!("{size:.1} points {way} on the scale from 1 to 9")
        }
        Response::Cover => {
            let way = if more { "more" } else { "less" };
            format!("{size:.1} percentage points {way} cover")
        }
        Response::Length => {
            let way = if more { "more" } else { "less" };
            format!("{size:.2} {way}, in the unit measured")
        }
        Response::Edge => {
            let way = if more { "up" } else { "down" };
            format!(
                "a step of {size:.2} {way} from outside to inside the edge, that of the control taken off"
            )
        }
    }
}

/// To two decimals with its sign; nothing has no sign.
fn signed(x: f64) -> String {
    let text = format!("{x:+.2}");
    if text == "-0.00" || text == "+0.00" {
        "0.00".to_owned()
    } else {
        text
    }
}
