//! `pool.html`: every number of a pooled answer, how it was reckoned, and what was left out.

use maud::{Markup, html};

use super::super::figures::Figure;
use super::super::head::report_title;
use super::super::main_part::sentence;
use super::super::page::Column::{Figures, Words};
use super::super::page::{figure, report_page, table};
use super::method_text::paragraphs;
use super::trial_tables::{LISTED, trials, without_each};
use crate::association::{Association, MethodAnswer, how_far_clubs_differ, next_club_in_words};
use crate::text::rounding::{
    NONE, chance, figure as digits, maybe, maybe_chance, percent, plain, span,
};

/// The page.
pub(super) fn page_of(found: &Association, title: &str, figures: &[Figure]) -> String {
    let shown = report_title(title);
    let body = html! {
        header { h1 { (shown) } p.lead { "Everything behind association.html" } }
        main {
            @for (at, answer) in found.all().enumerate() { (method(answer, found, figures, at)) }
            @if !found.methods.is_empty() {
                section { h2 { "Methods side by side" } (figure(figures, "methods")) (side_by_side(found)) (network(found)) }
            }
            section { h2 { "How it was reckoned" } @for text in paragraphs(found) { p { (text) } } }
            (left_out(found))
            @if shown != title { section { h2 { "The title in full" } p { (title) } } }
        }
        footer { p { "Made by halfgreen " (env!("CARGO_PKG_VERSION")) ". The numbers behind each figure lie beside this page as .csv, all \
            of them in results.json." } }
    };
    report_page(&shown, "report alone", &body)
}

fn method(answer: &MethodAnswer, found: &Association, figures: &[Figure], at: usize) -> Markup {
    let named = |name: &str| {
        if at == 0 {
            name.to_owned()
        } else {
            format!("{name}-{}", at + 1)
        }
    };
    let one = |name: &str| {
        let name = named(name);
        let of_this: Vec<Figure> = figures.iter().filter(|f| f.name == name).cloned().collect();
        of_this
    };
    let worth = answer.better.ratio_by(found.worthwhile_percent / 100.0);
    html! {
        section {
            h2 { (answer.name) @if let Some(kind) = &answer.kind { " (" (kind) ")" } }
            div.verdict { p { (sentence(&answer.sentence)) } }
            (figure(&one("forest"), "forest"))
            (numbers(answer))
            p { (how_far_clubs_differ(answer)) " " @for said in next_club_in_words(answer, worth) { (said) " " } }
            @if !answer.cautions.is_empty() {
                h3 { "To bear in mind" } ul { @for caution in &answer.cautions { li { (sentence(caution)) } } }
            }
            (empty_arms(answer))
            (trials(answer, &named("forest")))
            (without_each(answer))
            h3 { "Do small trials find other effects?" } (figure(&one("funnel"), "funnel")) (small(answer))
            @if !answer.moderators.is_empty() { h3 { "What the effect goes with" } (moderators(answer)) }
        }
    }
}

fn numbers(answer: &MethodAnswer) -> Markup {
    let level = format!("{} %", plain(100.0 * answer.confidence_level));
    let row = |name: &str, value: Option<f64>, low: Option<f64>, high: Option<f64>| {
        vec![name.to_owned(), maybe(value), span(low, high)]
    };
    let exp = |x: Option<f64>| x.map(f64::exp);
    let columns = [Words("quantity"), Figures("estimate"), Figures("limits")];
    let rows = [
        row("log ratio, average", answer.effect, answer.low, answer.high),
        row(
            "ratio, average",
            answer.ratio,
            answer.ratio_low,
            answer.ratio_high,
        ),
        row(
            "ratio at another club (prediction)",
            None,
            exp(answer.prediction_low),
            exp(answer.prediction_high),
        ),
        row(
            "τ², variance between trials",
            answer.tau2,
            answer.tau2_low,
            answer.tau2_high,
        ),
        vec![
            "I²".to_owned(),
            answer.i2.map_or(NONE.to_owned(), |i2| percent(i2 / 100.0)),
            NONE.to_owned(),
        ],
        vec![
            format!("Q on {} degrees of freedom", answer.q_df.unwrap_or(0)),
            maybe(answer.q),
            format!("p {}", maybe_chance(answer.q_p)),
        ],
        vec![
            match answer.df {
                Some(df) => format!(
                    "p of no effect on average (t on {} degrees of freedom)",
                    plain(df)
                ),
                None => "p of no effect on average (normal)".to_owned(),
            },
            maybe_chance(answer.p),
            format!("adjusted {}", maybe_chance(answer.p_adjusted)),
        ],
    ];
    let caption = format!("{}: the pool, limits at {level}", answer.name);
    table(&caption, &columns, &rows)
}

fn small(answer: &MethodAnswer) -> Markup {
    html! {
        @match &answer.small_studies {
            Some(found) => p {
                "Slope on " (found.by) ": " (digits(found.slope)) " (" (span(Some(found.slope_low), Some(found.slope_high))) "), p "
                (chance(found.p)) "; by the same line a trial without limit of size would find a ratio of "
                (digits(found.effect_without_limit.exp())) ". "
                "To bear in mind: " (found.limits.join("; ")) "."
            },
            None => p { "There are too few trials to ask." },
        }
    }
}

fn moderators(answer: &MethodAnswer) -> Markup {
    let columns = [
        Words("what"),
        Words("level"),
        Figures("ratio of ratios"),
        Figures("limits"),
        Figures("trials"),
        Figures("p"),
        Figures("adjusted"),
    ];
    let rows: Vec<Vec<String>> = (answer.moderators.iter())
        .flat_map(|m| {
            m.levels.iter().map(|l| {
                let level = match &m.reference {
                    Some(reference) => format!("{} against {reference}", l.level),
                    None => l.level.clone(),
                };
                vec![
                    m.moderator.clone(),
                    level,
                    digits(l.difference.exp()),
                    span(Some(l.low.exp()), Some(l.high.exp())),
                    m.trials.to_string(),
                    maybe_chance(m.p),
                    maybe_chance(m.p_adjusted),
                ]
            })
        })
        .collect();
    html! {
        @for moderator in &answer.moderators { p { (moderator.sentence) } }
        @if !rows.is_empty() { (table(&format!("{}: each by itself", answer.name), &columns, &rows)) }
    }
}

/// The average with the trials that have an empty arm.
fn empty_arms(answer: &MethodAnswer) -> Markup {
    html! {
        @if let Some(found) = &answer.empty_arms {
            h3 { "With the trials in which one arm was empty" }
            p {
                "By the likelihood of the counts of " (found.trials) " trials, " (found.empty) " of them with an empty arm and nothing added: ratio "
                (maybe(found.effect.map(f64::exp))) " (" (span(found.ratio_low, found.ratio_high)) "), p " (chance(found.p)) ", τ² "
                (digits(found.tau2)) ". The verdict does not rest on this: k of each trial counts as known here, and blocks as alike. "
                @for caution in &found.cautions { (caution) ". " }
            }
        }
    }
}

/// Every two methods by the whole network.
fn network(found: &Association) -> Markup {
    let Some(network) = &found.network else {
        return html! { p { "No consistent comparison of all methods can be had: no chain of trials links them." } };
    };
    let columns = [
        Words("method"),
        Words("against"),
        Figures("ratio"),
        Figures("limits"),
        Figures("p, alone"),
        Figures("trials with both"),
    ];
    let rows: Vec<Vec<String>> = (network.comparisons.iter())
        .map(|c| {
            vec![
                c.treatment.clone(),
                c.against.clone(),
                digits(c.ratio),
                span(Some(c.ratio_low), Some(c.ratio_high)),
                chance(c.p),
                c.direct_trials.to_string(),
            ]
        })
        .collect();
    html! {
        p { "In one model all trials speak of all methods: what two methods say of each other follows from what each says of the control, and trials that had both \
            share their control (generalised least squares; Salanti et al. 2008, Statistical Methods in Medical Research 17:279-301). It holds where trials of one method \
            were done on ground like those of another. The verdicts do not rest on it. Trials about it: Q " (digits(network.q)) " on " (network.q_df) ", p " (chance(network.q_p)) "." }
        (table("Every two methods, all limits together", &columns, &rows))
    }
}

fn side_by_side(found: &Association) -> Markup {
    let columns = [
        Words("method"),
        Figures("clubs"),
        Figures("ratio"),
        Figures("limits"),
        Figures("another club"),
        Figures("p, adjusted"),
    ];
    let rows: Vec<Vec<String>> = (found.all())
        .map(|m| {
            let next = |x: Option<f64>| x.map(f64::exp);
            vec![
                m.name.clone(),
                m.clubs.to_string(),
                maybe(m.ratio),
                span(m.ratio_low, m.ratio_high),
                span(next(m.prediction_low), next(m.prediction_high)),
                maybe_chance(m.p_adjusted),
            ]
        })
        .collect();
    table("Each method against the control", &columns, &rows)
}

fn left_out(found: &Association) -> Markup {
    html! {
        @if found.left_out_number > 0 {
            section {
                h2 { "Left out: " (found.left_out_number) }
                ul { @for left in found.left_out.iter().take(LISTED) { li { code { (left.place) } ": " (left.reason) } } }
                @if found.left_out.len() > LISTED { p { "The rest stands in left-out.csv." } }
            }
        }
    }
}
