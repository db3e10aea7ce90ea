//! How to count, on one side of paper.

use maud::{Markup, html};

use super::count_lines::Boxes;
use super::sheet::Sheet;
use super::{Pack, Treatments};
use crate::design::{Role, Sample};
use crate::fieldwork::cautions::{LAST, cautions};
use crate::text::rounding::plain;
use crate::text::shortened::shortened;

/// Characters of the question for which the sheet has room.
const QUESTION: usize = 280;

/// What is counted and what is not, by its looks. Common description, no source; sizes from memory.
const LOOKS: [(&str, &str); 3] = [
    (
        "Larva (leatherjacket)",
        "a grey-brown tube without legs, up to 3 or 4 cm long, skin like wet leather, no head to be seen, a few fleshy points at the blunt \
         hind end. It stretches and draws in. Small ones in autumn are under 1 cm: crumble the turf finely.",
    ),
    (
        "Pupa",
        "a brown, stiff, ringed spindle about 2 to 3 cm long with rows of short spines and two small horns at the head. It does not crawl; \
         its tail may twitch.",
    ),
    (
        "Empty case",
        "the pupa's skin left behind when the fly has gone: brown, papery, hollow, split at the head, often standing half out of the turf.",
    ),
];

/// The sheet of instructions.
pub(super) fn instructions(pack: &Pack<'_>, treatments: Treatments) -> Sheet {
    let protocol = pack.protocol;
    let response = &protocol.response;
    let what = format!(
        "{}, {} in each plot",
        response.name,
        response.sample.number(response.cores_per_plot)
    );
    let area = (response.core_area_m2 > 0.0).then(|| {
        let [one, _] = response.sample.words();
        format!(" ({} m2 to a {one})", plain(response.core_area_m2))
    });
    Sheet {
        title: "How to count".to_owned(),
        body: html! {
            div.instructions {
                p.few { b { "The question: " } (shortened(&protocol.trial.question, QUESTION)) }
                p.few { b { "What is counted: " } (what) (area.unwrap_or_default()) "." }
                p.few { b { "When: " } (occasions(pack)) }
                h3 { "Plot by plot" }
                (steps(pack, treatments))
                @if response.kind.is_count() {
                    h3 { "What is what" }
                    ul {
                        @for (name, looks) in LOOKS { li { b { (name) ": " } (looks) } }
                    }
                    p {
                        "Only larvae go into the box. Pupae and empty cases are counted apart: write P and how many, or E and how many, \
                         under note (P 2, E 1); typed in, each gets a line of its own with its stage."
                    }
                }
                (warnings(pack))
            }
        },
    }
}

/// Occasions in words.
fn occasions(pack: &Pack<'_>) -> String {
    let each = pack.protocol.occasions.iter().map(|o| {
        let role = match o.role {
            Role::Before => "before treatment",
            Role::Main => "the count that decides",
            Role::FollowUp => "did it last?",
        };
        let date = o.date.map_or_else(String::new, |date| format!("{date}, "));
        format!("{} ({date}{role})", o.name)
    });
    format!("{}.", each.collect::<Vec<_>>().join("; "))
}

fn steps(pack: &Pack<'_>, treatments: Treatments) -> Markup {
    let response = &pack.protocol.response;
    let [one, several] = response.sample.words();
    let boxes = Boxes::of(pack);
    let phone_page = match treatments {
        Treatments::Shown => "tally.html",
        Treatments::Hidden => "tally-hidden.html",
    };
    html! {
        ol {
            li { "Go from plot to plot in the order of the walk. Read the number on the peg aloud, then find its lines." }
            li { (taking(response.sample, response.cores_per_plot)) }
            @if boxes.with_ring() {
                li {
                    "Count at once, and write the number into the box: " span.box.here {}
                    "None found: tick the ring " span.ring.here { "0" } " and leave the box empty. "
                    b { "A line with neither was not counted, which is not the same as none." }
                }
                @if boxes == Boxes::LateComers {
                    li {
                        "Count what lies there when the sheet is lifted, then what has newly come up 15 and 30 minutes after: each box takes new \
                         ones only."
                    }
                }
                li {
                    "Too many to count? Count a marked part of the plot and write its area in square metres under note, as \"0.25 m2\": never \
                     guess a number."
                }
            } @else {
                li { "Read at once, and write the figure into the box. A line without a figure was not read." }
            }
            li { "A slip is struck through and written anew beside it. Nothing is rubbed out." }
            li {
                "One person counts all plots of a block, one straight after the other, and numbers the " (several) " as on the lines. One " (one) " too \
                 many or too few is written down as it is."
            }
            @if treatments == Treatments::Hidden {
                li { "You do not know which plot got what, and should not: do not ask, and do not look under sheets before your turn." }
            } @else {
                li { "Write down what you see, not what you hope: the plots that got nothing are worth as much as the others." }
            }
            li { "Sheet blown off, birds, water, a mower? Write plot, time and what happened under note; it goes into events.csv." }
            li {
                "Type the lines into counts.xlsx or counts.csv the same day, and keep the paper."
                @if response.kind.is_count() { " Instead of paper, " (phone_page) " counts on a telephone without a signal." }
            }
        }
    }
}

/// How samples are taken.
fn taking(sample: Sample, number: usize) -> String {
    let [one, several] = sample.words();
    let many = sample.number(number);
    match sample {
        Sample::Core => format!(
            "Take {many} spread over the plot, none within a boot's width of its edge and none where another {one} came out. Do not pick \
             spots that look alive. Crumble each {one} over a tray, roots and all, and put the turf back."
        ),
        Sample::Quadrat => format!(
            "Look at {many} at the places marked for them, none within a boot's width of the plot's edge. What lies on the line counts as \
             in on two sides of the frame and as out on the other two."
        ),
        Sample::Reading => format!(
            "Take {many} spread over the plot, none within a boot's width of its edge; number the {several} as on the lines."
        ),
    }
}

fn warnings(pack: &Pack<'_>) -> Markup {
    html! {
        div.caution {
            h3 { "Take care" }
            ul.small { @for caution in cautions(pack.protocol) { li { (caution) } } }
            p.small { (LAST) }
        }
    }
}
