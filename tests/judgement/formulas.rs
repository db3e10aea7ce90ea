//! The trade's four formulas in the answer of `judge`, worked out by hand beside.

use serde_json::Value;

use crate::scratch::Scratch;

/// Animals exposed and those of them alive afterwards, twice the area in the last block.
const FOLLOWED: &str = "block,method,exposed,alive,area
1,none,50,45,1
1,film,50,20,1
2,none,50,40,1
2,film,50,15,1
3,none,100,90,2
3,film,100,30,2
";

fn efficacy(table: &str, more: &[&str]) -> (Value, String) {
    let scratch = Scratch::empty();
    scratch.put("t.csv", table);
    let words = "judge --counts t.csv --count alive --treatment method --control none --block block --before exposed";
    let asked: Vec<&str> = words.split(' ').chain(more.iter().copied()).collect();
    let run = scratch.run(&[&["--json"], asked.as_slice()].concat());
    assert_eq!(run.code(), Some(0), "{}{}", run.out(), run.err());
    let words = scratch.run(&asked).out();
    (run.json()["result"]["efficacy"].clone(), words)
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

/// Per unit of area 130 exposed in three plots of an arm (50 + 50 + 50), 45 + 40 + 45 alive in the control and
/// 20 + 15 + 15 under film.
#[test]
fn all_four_formulas_by_hand() {
    let (found, words) = efficacy(FOLLOWED, &["--area", "area"]);
    let abbott = 100.0 * (1.0 - 50.0 / 130.0);
    // Mortality 100/150 under film and 20/150 in the control.
    let (film, none) = (100.0 * 100.0 / 150.0, 100.0 * 20.0 / 150.0);
    let orelli = 100.0 * (film - none) / (100.0 - none);
    // Sun and Shepard: the control fell, so that its change is negative.
    let sun = 100.0 * (film - none) / (100.0 - none);
    for (key, want) in [
        ("abbott", abbott),
        ("henderson_tilton", sun),
        ("sun_shepard", sun),
        ("schneider_orelli", orelli),
    ] {
        let row = &found[key][0];
        assert!(
            (number(&row["percent"]) - want).abs() < 1e-9,
            "{key}: {row}"
        );
        assert!(
            number(&row["low"]) < want && want < number(&row["high"]),
            "{row}"
        );
    }
    let cautions = found["schneider_orelli"][0]["cautions"].to_string();
    assert!(cautions.contains("the very same animals"), "{cautions}");
    assert!(
        words.contains("Schneider-Orelli (deaths among the animals exposed), film: 61.5 %"),
        "{words}"
    );
    assert!(words.contains("not where the control died out"), "{words}");
}

/// More alive than were exposed: a field population, for which the formula has no value.
#[test]
fn animals_that_were_not_followed_give_no_deaths() {
    let (found, words) = efficacy(&FOLLOWED.replace("1,none,50,45", "1,none,50,55"), &[]);
    let row = &found["schneider_orelli"][0];
    assert!(row["percent"].is_null() && row["low"].is_null(), "{row}");
    assert!(
        row["cautions"][0]
            .as_str()
            .unwrap()
            .contains("no value here"),
        "{row}"
    );
    assert!(found["sun_shepard"][0]["percent"].is_number());
    assert!(words.contains("film: no value"), "{words}");
}

/// Without a count before there is only Abbott's formula.
#[test]
fn formulas_that_need_a_start_are_absent_without_one() {
    let scratch = Scratch::empty();
    scratch.put("t.csv", FOLLOWED);
    let asked =
        "--json judge --counts t.csv --count alive --treatment method --control none --block block";
    let found = scratch.run(&asked.split(' ').collect::<Vec<_>>()).json();
    let efficacy = &found["result"]["efficacy"];
    assert!(efficacy["abbott"][0]["percent"].is_number());
    for key in ["henderson_tilton", "sun_shepard", "schneider_orelli"] {
        assert!(efficacy[key].is_null(), "{key}");
    }
}
