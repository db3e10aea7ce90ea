//! `order` as it is typed: what is bought, what comes out of the shed, what is refused.

use serde_json::Value;

use crate::scratch::{LAYOUT, PROTOCOL, Scratch};

const SHEET: &str = "
[sheet]
name = \"black\"
roll_length_m = 50.0
roll_width_m = 4.0
lap_m = 0.2
edge_m = 0.3
opaque = true
price_per_roll = 79.0
";

const GREEN: &str = "x_m,y_m\n0,0\n25,0\n25,23\n0,23\n";

/// The small trial with these sections about sheet.
fn trial(sheet: &str) -> Scratch {
    let scratch = Scratch::empty();
    scratch.put("trial.toml", format!("{PROTOCOL}{sheet}"));
    scratch.put("outline.csv", GREEN);
    scratch.put("layout.csv", LAYOUT);
    scratch
}

fn result(scratch: &Scratch, words: &[&str]) -> Value {
    let run = scratch.run(&[&["order", "."], words, &["--json"]].concat());
    assert_eq!(run.code(), Some(0), "{}", run.err());
    run.json()["result"].take()
}

fn refused(scratch: &Scratch, words: &[&str]) -> String {
    let run = scratch.run(&[&["order", "."], words].concat());
    assert_eq!(run.code(), Some(1), "{}", run.out());
    run.err()
}

fn number(value: &Value, key: &str) -> f64 {
    value[key].as_f64().unwrap()
}

/// Common practice, no source: 575 square metres before laps and margin. By hand: seven lanes of 4 m lap by 0.2 m over
/// 26.8 m; the green and its margin are 25.6 m by 23.6 m; so seven strips of 23.6 m, two from each roll of 50 m.
#[test]
fn a_whole_green_takes_four_rolls() {
    let result = result(&trial(SHEET), &["--whole-green"]);
    assert_eq!(number(&result, "area_m2"), 575.0);
    assert_eq!(result["strips"].as_array().unwrap().len(), 7);
    assert!((number(&result, "sheet_m2") - 7.0 * 4.0 * 23.6).abs() < 1e-6);
    assert_eq!(result["rolls"].as_array().unwrap().len(), 4);
    assert_eq!(result["to_buy"][0]["rolls"], 4);
    assert_eq!(result["cost"]["sheet"], 316.0);
    assert_eq!(result["proven"], true);
    assert!((number(&result, "waste_percent") - 100.0 * (800.0 - 660.8) / 800.0).abs() < 1e-6);
}

/// Two rolls and a rest of 10 m lie in the shed: they are used first, and what is missing is bought.
#[test]
fn the_shed_comes_first() {
    let stock = "in_stock_m2 = 440.0\n";
    let result = result(&trial(&format!("{SHEET}{stock}")), &["--whole-green"]);
    assert_eq!(result["to_buy"][0]["rolls"], 2);
    assert!((number(&result, "from_stock_m2") - 4.0 * 4.0 * 23.6).abs() < 1e-6);
    assert!((number(&result, "short_m2") - 3.0 * 4.0 * 23.6).abs() < 1e-6);
    let enough = "in_stock_m2 = 1000.0\n";
    let result = self::result(&trial(&format!("{SHEET}{enough}")), &["--whole-green"]);
    assert_eq!(number(&result, "short_m2"), 0.0);
    assert_eq!(result["cost"]["sheet"], 0.0);
    assert!(result["to_buy"].as_array().unwrap().is_empty());
}

/// A roll of the same width that holds one strip, at a quarter of the price, takes the odd strip; a wider one that is
/// dearer by the square metre takes none.
#[test]
fn the_cheapest_mix_is_bought() {
    let more = "
[[roll]]
name = \"short\"
roll_length_m = 24.0
roll_width_m = 4.0
opaque = true
price_per_roll = 20.0

[[roll]]
name = \"wide\"
roll_length_m = 24.0
roll_width_m = 8.0
opaque = true
price_per_roll = 170.0
";
    let result = result(&trial(&format!("{SHEET}{more}")), &["--whole-green"]);
    let bought: Vec<(&str, u64)> = result["to_buy"]
        .as_array()
        .unwrap()
        .iter()
        .map(|p| (p["name"].as_str().unwrap(), p["rolls"].as_u64().unwrap()))
        .collect();
    assert_eq!(bought, [("short", 7)]);
    assert_eq!(result["cost"]["sheet"], 140.0);
}

/// Plots that got the covering treatment, each by itself, with the margin round it.
#[test]
fn the_plots_to_be_covered_are_the_default() {
    let result = result(&trial(SHEET), &[]);
    // Plots 2 and 3, each 4 m by 2 m: 4.6 m by 2.6 m lie under one strip of 4 m, laid across: 2.6 m.
    assert_eq!(number(&result, "area_m2"), 16.0);
    let patches = result["patches"].as_array().unwrap();
    let plots: Vec<&str> = patches
        .iter()
        .map(|p| p["plot"].as_str().unwrap())
        .collect();
    assert_eq!(plots, ["2", "3"]);
    let sheet: f64 = result["strips"]
        .as_array()
        .unwrap()
        .iter()
        .map(|s| number(s, "length_m") * number(s, "width_m"))
        .sum();
    assert!((sheet - 2.0 * 4.0 * 4.6).abs() < 1e-6, "{sheet}");
    assert_eq!(result["to_buy"][0]["rolls"], 1);
}

/// The strips of a cover plan, as `hotspots` writes it.
#[test]
fn a_plan_is_ordered_as_it_was_planned() {
    let scratch = trial(SHEET);
    let plan = r#"{"result":{"cover_plan":[
        {"strip":1,"lane":1,"green":null,"x_m":5.0,"y_m":1.9,"length_m":8.0,"width_m":3.8,"angle_deg":0.0,"area_m2":30.4,"laid":true},
        {"strip":2,"lane":2,"green":null,"x_m":5.0,"y_m":5.7,"length_m":7.5,"width_m":3.8,"angle_deg":0.0,"area_m2":28.5,"laid":false}]}}"#;
    scratch.put("plan.json", plan);
    let result = result(&scratch, &["--plan", "plan.json"]);
    assert_eq!(number(&result, "area_m2"), 30.4);
    assert_eq!(number(&result["strips"][0], "length_m"), 8.6);
    assert_eq!(number(&result["strips"][0], "width_m"), 4.0);
    scratch.put("plan.json", plan.replace("3.8", "5.8"));
    let error = refused(&scratch, &["--plan", "plan.json"]);
    assert!(
        error.contains("no roll is as wide as the strip that is planned"),
        "{error}"
    );
    scratch.put("plan.json", "{\"result\":[]}");
    assert!(refused(&scratch, &["--plan", "plan.json"]).contains("plan.json:1:"));
    scratch.put("plan.json", plan.replace("8.0,", "-8.0,"));
    assert!(refused(&scratch, &["--plan", "plan.json"]).contains("plan.json strip 1"));
}

#[test]
fn nonsense_is_refused_with_reason_and_place() {
    let wide = trial(&SHEET.replace("lap_m = 0.2", "lap_m = 4.5"));
    let error = refused(&wide, &["--whole-green"]);
    assert!(
        error.contains("trial.toml:") && error.contains("`lap_m` is 4.5"),
        "{error}"
    );
    let short = trial(&SHEET.replace("roll_length_m = 50.0", "roll_length_m = 0.1"));
    assert!(refused(&short, &["--whole-green"]).contains("a tenth of the length"));
    let price = trial(&SHEET.replace("79.0", "-1.0"));
    assert!(refused(&price, &["--whole-green"]).contains("`price_per_roll` is -1.0"));
    let no_size = trial(&SHEET.replace("roll_width_m = 4.0\n", ""));
    let error = refused(&no_size, &["--whole-green"]);
    assert!(error.contains("black has no `roll_width_m`"), "{error}");
    let error = refused(&trial(""), &["--whole-green"]);
    assert!(error.contains("no sheet is told of"), "{error}");
    let bare = trial(SHEET);
    bare.put(
        "trial.toml",
        format!("{}{SHEET}", PROTOCOL.replace("covering", "other")),
    );
    assert!(refused(&bare, &[]).contains("no plot is to be covered"));
}

/// Common practice, no source: black works, coloured tarpaulin did not.
#[test]
fn sheet_that_lets_light_through_is_warned_about() {
    let clear = trial(&SHEET.replace("opaque = true", "opaque = false"));
    let run = clear.run(&["order", ".", "--whole-green"]);
    assert!(
        run.err().contains("black lets light through"),
        "{}",
        run.err()
    );
    let unasked = trial(&SHEET.replace("opaque = true\n", ""));
    let run = unasked.run(&["order", ".", "--whole-green"]);
    assert!(
        run.err()
            .contains("whether black lets light through is not told")
    );
    let cheap = "\n[[roll]]\nname = \"clear\"\nroll_length_m = 50\nroll_width_m = 4\nopaque = false\nprice_per_roll = 1\n";
    let result = result(&trial(&format!("{SHEET}{cheap}")), &["--whole-green"]);
    assert_eq!(result["to_buy"][0]["name"], "black");
}

/// A south wind: the northernmost strip is laid first, and every later one lies over it.
#[test]
fn laying_begins_downwind() {
    let wind = "\n[wind]\nfrom_deg = 180\n";
    let result = result(
        &trial(&format!("{SHEET}{wind}")),
        &["--whole-green", "--angle", "0"],
    );
    let north: Vec<f64> = result["strips"]
        .as_array()
        .unwrap()
        .iter()
        .map(|s| number(s, "y_m"))
        .collect();
    assert!(north.windows(2).all(|pair| pair[1] < pair[0]), "{north:?}");
    assert_eq!(result["patches"][0]["lapping"], "upwind-over");
}

/// A name that a spreadsheet would run stays text, and what a person changed is not overwritten.
#[test]
fn files_are_harmless_and_nothing_of_the_users_is_overwritten() {
    let scratch = trial(&SHEET.replace("\"black\"", "\"=HYPERLINK(1)\""));
    assert_eq!(scratch.run(&["order", "."]).code(), Some(0));
    let table = scratch.read("order/merchant.csv");
    assert!(
        table.contains("\r\n'=HYPERLINK(1),50,4,1,79.00,,79.00\r\n"),
        "{table}"
    );
    assert!(
        scratch
            .read("order/strips.csv")
            .contains(",'=HYPERLINK(1),")
    );
    for name in ["order.html", "strips.svg", "merchant.xlsx"] {
        assert!(!scratch.bytes(&format!("order/{name}")).is_empty());
    }
    assert_eq!(
        scratch.run(&["order", "."]).code(),
        Some(0),
        "the same again"
    );
    scratch.put("order/merchant.csv", "mine\n");
    assert_eq!(scratch.run(&["order", "."]).code(), Some(1));
    assert_eq!(scratch.read("order/merchant.csv"), "mine\n");
}

/// Plots of 4 m by 2.5 m with a metre between them: a roll of 7 m would lie on bare plots either way, one of 4 m does not.
#[test]
fn sheet_that_would_lie_on_a_bare_plot_is_told() {
    let warned = |width: &str| {
        let scratch = Scratch::club();
        let width = format!("roll_width_m = {width}");
        let protocol = scratch
            .read("club/trial.toml")
            .replace("roll_width_m = 2.0", &width);
        assert!(protocol.contains(&width));
        scratch.put("club/trial.toml", protocol);
        let run = scratch.run(&["order", "club", "--json"]);
        assert_eq!(run.code(), Some(0), "{}", run.err());
        let warnings = run.json()["warnings"].take();
        let mut codes = warnings.as_array().unwrap().iter();
        codes.any(|w| w["code"] == "sheet-on-bare-plot")
    };
    assert!(warned("7.0"));
    assert!(!warned("4.0"));
}
