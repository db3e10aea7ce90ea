//! What a difference between readings means, in plain words.

use halfgreen_analysis::comparison::{Better, Call};

use super::super::sentence::Sentence;
use super::judged::{Response, TurfQuestion};
use super::result::EffectRow;
use crate::text::rounding::{of_hundred, p_value, plain};

/// One to three sentences.
pub(super) fn sentence(
    asked: &TurfQuestion,
    row: &EffectRow,
    (method, control): (&str, &str),
) -> Sentence {
    let found = difference(asked.response, row.difference);
    let range = match (row.low, row.high) {
        (Some(low), Some(high)) if two_decimals(low) == two_decimals(high) => format!(
            "the readings leave no room around {} (plots of one treatment read alike)",
            end(asked.response, low)
        ),
        (Some(low), Some(high)) => format!(
            "the true difference is likely between {} and {}",
            end(asked.response, low),
            end(asked.response, high)
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
            format!("{method} does not beat {control} by enough to matter")
        }
        Call::CannotTell => format!("Cannot tell yet whether {method} differs from {control}"),
    };
    let worth = worth(asked, row).unwrap_or_default();
    Sentence::resting_on(row.p_adjusted, "", |aside| {
        // Without the p-value of the comparison no other is told either.
        let coarse = if row.smallest_p <= asked.alpha {
            String::new()
        } else if aside.is_empty() {
            " With so few plots the draw alone cannot show any difference; more blocks might tell."
                .to_owned()
        } else {
            let least = p_value(row.smallest_p);
            format!(
                " With so few plots the draw could at best have given {least}; more blocks might tell."
            )
        };
        format!(
            "{first}: {found}{aside}; {range}.{worth} {}{coarse}",
            superiority(row.superiority, method, control)
        )
    })
}

/// How often a plot of the method has the higher reading; of all and of none only where it is so.
fn superiority(share: f64, method: &str, control: &str) -> String {
    if share == 1.0 {
        return format!(
            "Every plot of {method} has a higher reading than every plot of {control}."
        );
    }
    if share == 0.0 {
        return format!("Every plot of {method} has a lower reading than every plot of {control}.");
    }
    let times = of_hundred(share);
    format!(
        "A plot of {method} has the higher reading than one of {control} about {times} times in 100."
    )
}

/// Whether a difference that was shown is worth having, by the figure that was stated, if one was.
fn worth(asked: &TurfQuestion, row: &EffectRow) -> Option<String> {
    let (worth, low, high) = (asked.worthwhile?, row.low?, row.high?);
    if row.call != Call::BeatTheControl {
        return None;
    }
    let [least, most] = match asked.better {
        Better::More => [low, high],
        Better::Fewer => [-high, -low],
    };
    let worth_told = plain(worth);
    Some(if least >= worth {
        format!(" That is enough to matter: even the cautious end is {worth_told} or beyond.")
    } else if most < worth {
        format!(" It is not enough to matter: {worth_told} or more is ruled out.")
    } else {
        format!(" Whether it is enough to matter ({worth_told} or more) is not settled.")
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

/// An end of the range: how far, and which way; no sign, which few read.
fn end(response: Response, by: f64) -> String {
    let (size, more) = (two_decimals(by.abs()), by > 0.0);
    if size == "0.00" {
        return "no difference".to_owned();
    }
    let [up, down] = match response {
        Response::Score => ["points higher", "points lower"],
        Response::Cover => ["percentage points more", "percentage points less"],
        Response::Length => ["more", "less"],
        Response::Edge => ["up", "down"],
    };
    format!("{size} {}", if more { up } else { down })
}

/// Nothing has no sign.
fn two_decimals(x: f64) -> String {
    let text = format!("{x:.2}");
    if text == "-0.00" {
        "0.00".to_owned()
    } else {
        text
    }
}
