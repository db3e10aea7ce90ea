//! Pages and figures: whole, self-contained, with every club in them and no lettering over other lettering.

use super::table;
use crate::drawing::{lettering_is_apart, lettering_is_inside};
use crate::scratch::{Scratch, example};

/// Clubs with long names and every sort of interval.
fn clubs(number: usize) -> String {
    let lines: Vec<String> = (0..number)
        .map(|i| {
            let name = if i % 4 == 0 {
                format!("The Royal and Ancient Society of Bowlers of Upper and Lower Wherever {i}")
            } else {
                format!("Club {i}")
            };
            let effect = -0.8 + 0.37 * ((i * 7 % 11) as f64 - 5.0) / 2.0;
            let se = 0.2 + 0.3 * (i % 5) as f64;
            format!("{name},{effect},{se},5\n")
        })
        .collect();
    format!("trial,effect,se,df\n{}", lines.concat())
}

#[test]
fn two_to_sixty_clubs_are_drawn_without_a_letter_over_another() {
    for number in [2, 3, 20, 40, 60, 75] {
        let scratch = table(&clubs(number));
        let run = scratch.run(&["pool", "effects.csv", "--out", "out", "--quiet"]);
        assert_eq!(run.code(), Some(0), "{}", run.err());
        let svg = scratch.read("out/forest.svg");
        lettering_is_inside("forest", &svg);
        lettering_is_apart("forest", &svg);
        assert!(
            svg.matches("<text ").count() > 2 * number.min(60),
            "{number}"
        );
        let funnel = scratch.read("out/funnel.svg");
        lettering_is_inside("funnel", &funnel);
        lettering_is_apart("funnel", &funnel);
        // The table behind it has every club, drawn or not.
        assert!(scratch.read("out/forest.csv").lines().count() > number);
        let effects = scratch.read("out/effects.csv");
        assert_eq!(effects.lines().count(), number + 1);
    }
}

#[test]
fn pages_fetch_nothing_and_tell_every_part() {
    let scratch = Scratch::empty();
    scratch.put("counts.csv", example("association/counts.csv"));
    let asked = "pool counts.csv --trial trial --club club --season season --count larvae --treatment treatment --control control \
                 --block block --moderator soil --out out";
    let run = scratch.run(&asked.split_whitespace().collect::<Vec<_>>());
    assert_eq!(run.code(), Some(0), "{}", run.err());
    let (plain, whole) = (
        scratch.read("out/association.html"),
        scratch.read("out/pool.html"),
    );
    for page in [&plain, &whole] {
        assert_eq!(
            page.matches("http://").count(),
            page.matches("http://www.w3.org").count()
        );
        assert!(!page.contains("https://") && !page.contains("NaN") && !page.contains("inf "));
    }
    for part in [
        "What we asked",
        "What your club may expect",
        "How sure is that?",
        "could not be read",
    ] {
        assert!(plain.contains(part), "{part}");
    }
    assert!(plain.contains("for every 20 larvae"), "{plain}");
    for part in [
        "Without each club in turn",
        "Do small trials find other effects?",
        "What the effect goes with",
        "Methods side by side",
        "Hartung",
        "Left out: 1",
        "counts.csv:210:9",
    ] {
        assert!(whole.contains(part), "{part}");
    }
    for file in [
        "forest.svg",
        "funnel.svg",
        "methods.svg",
        "forest-2.svg",
        "results.json",
        "leave-one-out.csv",
        "left-out.csv",
    ] {
        assert!(!scratch.read(&format!("out/{file}")).is_empty(), "{file}");
    }
    // The same again replaces its own; what somebody changed stays.
    scratch.put("out/pool.html", "mine\n");
    let asked = "pool counts.csv --trial trial --count larvae --treatment treatment --control control --out out";
    let again = scratch.run(&asked.split_whitespace().collect::<Vec<_>>());
    assert_eq!(again.code(), Some(1), "{}", again.out());
    assert_eq!(scratch.read("out/pool.html"), "mine\n");
}
