//! Costs and gains against sums by head, and what each answer says.

use serde_json::Value;

use super::SEASON;
use crate::scratch::Scratch;

/// The plan of a season file.
fn planned(text: &str) -> Value {
    let scratch = Scratch::empty();
    scratch.put("s.toml", text);
    let run = scratch.run(&["season", "s.toml", "--json"]);
    assert_eq!(run.code(), Some(0), "{}", run.err());
    run.json()["result"].take()
}

fn option<'a>(plan: &'a Value, what: &str) -> &'a Value {
    let all = plan["options"].as_array().unwrap();
    all.iter().find(|o| o["what"] == what).unwrap()
}

fn close(found: &Value, want: f64) {
    let found = found.as_f64().unwrap();
    assert!(
        (found - want).abs() < 1e-6 * want.abs().max(1.0),
        "{found} is not {want}"
    );
}

/// Two nights hold 600 m2 of sheet and 8 hours: the two greens with most larvae, of 600 and 480 m2 of sheet.
/// Work: 6 + 4.8 hours at 20; wear: 1080 m2 at 1 / 50. Larvae: 50 000 and 20 000, of which 60 % go.
#[test]
fn costs_and_larvae_are_those_of_sums_by_head() {
    let plan = planned(SEASON);
    close(&plan["reach"]["worth"], 70_000.0);
    assert_eq!(plan["reach"]["proven"], true);
    let sheets = option(&plan, "plan");
    close(&sheets["costs"]["hours"], 10.8);
    close(&sheets["costs"]["labour"], 216.0);
    close(&sheets["costs"]["sheet"], 21.6);
    close(&sheets["costs"]["total"], 237.6);
    close(&sheets["removed"]["estimate"], 42_000.0);
    close(&sheets["cost_per_1000"]["estimate"], 237.6 / 42.0);
    // 5 for 1000 of 42 000.
    close(&sheets["net"]["estimate"], 210.0 - 237.6);
    let all = option(&plan, "all-greens");
    close(&all["costs"]["total"], 20.0 * 16.8 + 1680.0 / 50.0);
    close(&all["removed"]["estimate"], 0.6 * 80_000.0);
    // The next option that is not dominated is the plan.
    close(&all["cost_per_further_1000"], (369.6 - 237.6) / 6.0);
    let raking = option(&plan, "method");
    close(&raking["costs"]["total"], 1400.0 * 0.1 + 20.0 * 7.0);
    assert_eq!(raking["dominated_by"], "sheets as planned");
    assert!(raking["cost_per_1000"]["high"].is_null() && raking["cost_per_1000"]["low"].is_f64());
    assert_eq!(option(&plan, "nothing")["dominated_by"], Value::Null);
    let names: Vec<&str> = plan["options"]
        .as_array()
        .unwrap()
        .iter()
        .map(|o| o["what"].as_str().unwrap())
        .collect();
    assert_eq!(names, ["nothing", "plan", "method", "all-greens"]);
    let home = &plan["greens"][2];
    assert_eq!(
        (home["covered"].as_u64(), home["costs"]["total"].as_f64()),
        (Some(0), Some(0.0))
    );
    assert!(home["left"].as_str().unwrap().contains("more elsewhere"));
}

/// Each switching value put in the place of what it switches brings gain and cost together.
#[test]
fn at_a_switching_value_gain_is_cost() {
    let plan = planned(SEASON);
    let at = |what: &str| {
        let all = plan["switching"].as_array().unwrap();
        all.iter().find(|s| s["what"] == what).unwrap()["switches_at"]
            .as_f64()
            .unwrap()
    };
    let net = |from: &str, to: String| {
        let text = SEASON.replacen(from, &to, 1);
        assert_ne!(text, SEASON);
        option(&planned(&text), "all-greens")["net"]["estimate"]
            .as_f64()
            .unwrap()
    };
    let zero = |x: f64| assert!(x.abs() < 1e-6, "{x}");
    zero(net(
        "per_1000_larvae = 5",
        format!("per_1000_larvae = {}", at("worth")),
    ));
    zero(net(
        "person_hour = 20",
        format!("person_hour = {}", at("person-hour")),
    ));
    let left = 1.0 - at("reduction") / 100.0;
    zero(net(
        "ratio = 0.4\nlow = 0.25",
        format!("ratio = {left}\nlow = 0.05"),
    ));
    // 80 000 larvae on 1400 m2 are 57.1 to the square metre.
    close(&plan["switching"][1]["now"], 80_000.0 / 1400.0);
    assert_eq!(plan["switching"][1]["what"], "density");
}

/// What the answer is, and that each says its own.
#[test]
fn every_verdict_has_its_answer() {
    let said = |changes: &[(&str, &str)]| {
        let text = changes
            .iter()
            .fold(SEASON.to_owned(), |t, (a, b)| t.replacen(a, b, 1));
        let advice = planned(&text)["advice"].clone();
        let sentences: Vec<String> = advice["sentences"]
            .as_array()
            .unwrap()
            .iter()
            .map(|s| s.as_str().unwrap().to_owned())
            .collect();
        (
            advice["answer"].as_str().unwrap().to_owned(),
            sentences.join(" "),
            advice,
        )
    };
    assert_eq!(
        said(&[("per_1000_larvae = 5", "per_1000_larvae = 50")]).0,
        "pays"
    );
    assert_eq!(
        said(&[("per_1000_larvae = 5", "per_1000_larvae = 1")]).0,
        "does-not-pay"
    );
    assert_eq!(said(&[]).0, "undecided");
    let (answer, told, advice) = said(&[("per_1000_larvae = 5", "budget = 100")]);
    assert_eq!(answer, "figure-missing");
    assert!(
        told.contains("only you can say") && told.contains("too little"),
        "{told}"
    );
    assert!(
        told.contains("[worth] per_1000_larvae or per_green"),
        "{told}"
    );
    assert!(advice["risk"].is_null());
    let (answer, told, advice) = said(&[("high = 0.64", "high = 1.3")]);
    assert_eq!(answer, "cannot-tell");
    assert!(
        told.contains("Buying now risks GBP\u{a0}237.60")
            && told.contains("confidence distribution"),
        "{told}"
    );
    let chance = advice["risk"]["chance_of_nothing"].as_f64().unwrap();
    // The tail of the normal law beyond ln(1 / 0.4) / ln(1.3 / 0.4) of 1.96.
    assert!((chance - 0.063_9).abs() < 5e-4, "{chance}");
    assert_eq!(
        said(&[(
            "ratio = 0.4\nlow = 0.25\nhigh = 0.64",
            "ratio = 1.5\nlow = 1.1\nhigh = 2"
        )])
        .0,
        "do-not-buy"
    );
    let small = "ratio = 0.9\nlow = 0.8\nhigh = 1.0\nworthwhile_reduction_percent = 40";
    let (answer, told, _) = said(&[("ratio = 0.4\nlow = 0.25\nhigh = 0.64", small)]);
    assert_eq!(answer, "do-not-buy");
    assert!(told.contains("Do not buy"), "{told}");
}

/// A larger green than the sheet is covered in pieces; one that no night has people for is left, and said so.
#[test]
fn greens_beyond_sheet_or_people_are_cut_or_left() {
    let plan = planned(&SEASON.replacen("owned_m2 = 600", "owned_m2 = 300", 1));
    assert_eq!(plan["greens"][0]["pieces"], 2);
    assert_eq!(plan["sheet"]["short_m2"].as_f64(), Some(300.0));
    assert_eq!(plan["sheet"]["price_of_short"].as_f64(), Some(300.0));
    assert_eq!(plan["greens"][0]["covered"], 2);
    let tired = SEASON.replacen(
        "m2_per_person_hour = 100",
        "m2_per_person_hour = 100\nhours_per_piece = 9",
        1,
    );
    let plan = planned(&tired);
    assert!(
        plan["greens"]
            .as_array()
            .unwrap()
            .iter()
            .all(|g| g["pieces"] == 0)
    );
    assert_eq!(option(&plan, "plan")["costs"]["total"].as_f64(), Some(0.0));
}

/// Without prices nothing is put in their place.
#[test]
fn a_missing_price_leaves_costs_unsaid() {
    let plan = planned(&SEASON.replacen("person_hour = 20", "", 1));
    assert!(option(&plan, "plan")["costs"]["total"].is_null());
    assert!(option(&plan, "plan")["cost_per_1000"]["estimate"].is_null());
    assert_eq!(plan["advice"]["missing"][0], "[cost] person_hour");
    assert_eq!(plan["switching"].as_array().unwrap().len(), 0);
}
