//! Faults of a trial file, each in its place and with its cure.

use halfgreen::design::{read_protocol, starter};

use crate::scratch::{PROTOCOL, Scratch};

/// The complaints about the test protocol with one text replaced by another.
fn complaints(old: &str, new: &str) -> Vec<String> {
    assert!(PROTOCOL.contains(old), "{old}");
    match read_protocol("trial.toml", &PROTOCOL.replacen(old, new, 1)) {
        Ok(_) => Vec::new(),
        Err(errors) => errors.iter().map(ToString::to_string).collect(),
    }
}

/// The example can be taken as it is, and what is no number is called so.
#[test]
fn numbers_have_examples_that_their_key_can_take() {
    let alpha = complaints("percent = 50", "percent = 50\nalpha = \"x\"");
    assert!(
        alpha.concat().contains("Write for example alpha = 0.05,"),
        "{alpha:?}"
    );
    let share = complaints("percent = 50", "percent = nan");
    let share = share.concat();
    assert!(
        share.contains("not nan, infinity or a number too large") && share.contains("= 50.0,"),
        "{share}"
    );
}

#[test]
fn the_starter_can_be_used_as_it_stands_and_with_every_setting_put_to_use() {
    let read = read_protocol("trial.toml", starter::TRIAL).unwrap();
    assert_eq!(read.cautions, Vec::new());
    let setting = |l: &str| {
        let bare = l.trim_start_matches("# ");
        let key = bare.split([' ', '=']).next().unwrap_or_default();
        l.starts_with("# ")
            && (bare.starts_with('[') || (bare.contains(" = ") && key == key.to_lowercase()))
    };
    let lines = starter::TRIAL.lines();
    let used = lines.map(|l| {
        if setting(l) {
            l.trim_start_matches("# ")
        } else {
            l
        }
    });
    let all: Vec<&str> = used.collect();
    let read = read_protocol("trial.toml", &all.join("\n")).unwrap();
    assert_eq!(
        (read.supplies.crew.people, read.supplies.rolls.len()),
        (Some(2), 1)
    );
    assert_eq!(read.protocol.decision.threshold_per_m2, Some(50.0));
}

/// Every setting is told as it is written, for the record of what was read.
#[test]
fn settings_are_told_as_they_are_written() {
    let ordered =
        format!("{PROTOCOL}\n[sheet]\nroll_length_m = 50\nedge_m = 0.5\n\n[wind]\ngust = \"F4\"\n");
    let read = read_protocol("trial.toml", &ordered).unwrap();
    for line in ["[sheet] roll_length_m", "[wind] gust", "[[treatment]] code"] {
        assert!(read.settings.contains(&line.to_owned()), "{line}");
    }
    assert_eq!(
        (read.supplies.wind.gust_m_s, read.supplies.wind.gust_force),
        (Some(7.9), Some(4))
    );
}

/// Settings of the night that cannot be: what stands there, and the complaint that must follow.
#[test]
fn settings_of_the_night_are_refused_in_their_place() {
    let cases = [
        ("[wind]\ngust = \"200 m/s\"\n", "200.0 m/s"),
        ("[wind]\ngust = \"35\"\n", "has no unit"),
        ("[wind]\ngust = \"F4\"\ngust_m_s = 7\n", "written twice"),
        (
            "[wind]\ngust_m_s = 200\n",
            "no stronger one was ever measured",
        ),
        ("[wind]\nlimit_gust_m_s = 30\n", "nobody walks upright"),
        ("[crew]\npeople = 2.5\n", "whole number"),
        (
            "[crew]\nlift_kg_per_person = 80\n",
            "more than anybody should",
        ),
        (
            "[place]\ntime_zone = \"Europe/Londonn\"\n",
            "Did you mean \"Europe/London\"?",
        ),
        ("[place]\nlatitude_deg = 53.4\n", "no `longitude_deg`"),
        ("[ballast]\nweight_kg = -5\n", "less holds nothing"),
        ("[ballast]\nprice_each = -1\n", "price_each"),
    ];
    for (lines, words) in cases {
        let text = format!("{PROTOCOL}\n{lines}");
        let faults = read_protocol("trial.toml", &text).unwrap_err();
        let told = faults[0].to_string();
        assert!(told.contains(words), "{lines}: {told}");
        assert!(told.starts_with("trial.toml:"), "{told}");
    }
}

/// What is replaced in the protocol, by what, and the complaint that must follow.
const FAULTS: &[(&str, &str, &str)] = &[
    (
        "control = true\n",
        "",
        "trial.toml:5:1: no treatment is named as the control",
    ),
    (
        "kind = \"covering\"",
        "control = true",
        "trial.toml:13:11: two treatments are named as the control",
    ),
    (
        "code = \"C\"",
        "code = \"u\"",
        "trial.toml:11:8: treatment code \"u\" is given twice",
    ),
    (
        "length_m = 4.0",
        "lenght_m = 4.0\nlength_m = 4.0",
        "trial.toml:20:1: `lenght_m` is not a key of [plot]. Did you mean `length_m`?",
    ),
    ("[plot]", "[plots]", "Did you mean `plot`?"),
    // A corer of 108 mm written in tenths of a millimetre, ten times over.
    (
        "area_m2 = 0.01",
        "core_diameter_mm = 10800",
        "trial.toml:26:20: `core_diameter_mm` is 10800, but must be from 5 to 2000 mm",
    ),
    (
        "area_m2 = 0.01",
        "area_m2 = 5",
        "2 cores of 5.00 m2 each are more than a plot has",
    ),
    (
        "name = \"larvae in cores\"",
        "name = \"larvae in cores\"\nkind = \"scores\"",
        "trial.toml:25:8: `kind` cannot be \"scores\"; it is one of count, score, cover, length, edge. Did you mean `score`?",
    ),
    (
        "name = \"larvae in cores\"",
        "name = \"looks\"\nkind = \"score\"",
        "trial.toml:27:11: `area_m2` is the size of a core, but kind says that readings are taken",
    ),
    (
        "name = \"larvae in cores\"",
        "name = \"looks\"\nkind = \"score\"",
        "`worthwhile_reduction_percent` is for counts",
    ),
    (
        "[decision]",
        "[decision]\nworthwhile_difference = 1",
        "`worthwhile_difference` is for readings, but animals are counted",
    ),
    (
        "[decision]",
        "[decision]\nreference = \"U\"\nmargin_percent = 20",
        "trial.toml:37:13: `reference` is \"U\", the control",
    ),
    (
        "[decision]",
        "[decision]\nreference = \"D\"\nmargin_percent = 20",
        "trial.toml:37:13: `reference` is \"D\", which is no treatment",
    ),
    (
        "[decision]",
        "[decision]\nreference = \"C\"\nmargin_percent = 20",
        "trial.toml:37:13: `reference` is \"C\", the only method",
    ),
    (
        "[decision]",
        "[decision]\nreference = \"C\"",
        "trial.toml:36:2: [decision] has no `margin_percent`",
    ),
    (
        "[decision]",
        "[decision]\nmargin_percent = 20",
        "[decision] has no `reference`",
    ),
    (
        "[decision]",
        "[decision]\nreference = \"C\"\nmargin_percent = -5",
        "`margin_percent` is -5, but must be from 0.01 to 10000 %",
    ),
    (
        "width_m = 2.0",
        "width_m = -2.0",
        "trial.toml:21:11: `width_m` is -2.0, but must be from 0.1 to 500 m",
    ),
    (
        "width_m = 2.0",
        "width_m = \"2,0\"",
        "trial.toml:21:11: `width_m` must be a number",
    ),
    ("width_m = 2.0\n", "", "[plot] has no `width_m`"),
    (
        "blocks = 2",
        "blocks = 2.5",
        "`blocks` must be a whole number from 1",
    ),
    (
        "blocks = 2",
        "blocks = 0",
        "`blocks` is 0, but must be from 1 to 500",
    ),
    (
        "\"paired\"",
        "\"pared\"",
        "trial.toml:16:8: `kind` cannot be \"pared\"",
    ),
    (
        "area_m2 = 0.01",
        "area_m2 = 0.01\ncore_diameter_mm = 108",
        "both `core_diameter_mm` and `area_m2`",
    ),
    (
        "area_m2 = 0.01\n",
        "",
        "[response] has no `core_diameter_mm`",
    ),
    (
        "role = \"main\"",
        "role = \"before\"",
        "no occasion is the main one",
    ),
    (
        "role = \"before\"",
        "role = \"main\"",
        "two occasions are named as the main one",
    ),
    (
        "role = \"main\"",
        "role = \"main\"\ndate = 2026-02-30",
        "`date`: 2026-02-30 does not exist",
    ),
    (
        "role = \"main\"",
        "role = \"main\"\ndate = \"2026-02-30\"",
        "`date`: 2026-02-30 does not exist",
    ),
    (
        "role = \"main\"",
        "role = \"main\"\ndate = 03/04/26",
        "can be read as 2026-04-03 or as 2026-03-04",
    ),
    (
        "role = \"main\"",
        "role = \"main\"\ndate = \"03/04/26\"",
        "can be read as 2026-04-03 or as 2026-03-04",
    ),
    (
        "[decision]",
        "[decision]\nalpha = 1",
        "trial.toml:37:9: `alpha` is 1, but must be from 0.000001 to 0.5",
    ),
    (
        "[decision]",
        "[decision]\nalpha = nan",
        "`alpha` must be a number",
    ),
    (
        "_reduction_",
        "_increase_",
        "contradicts better = \"fewer\"",
    ),
    (
        "worthwhile_reduction_percent = 50",
        "",
        "[decision] has no `worthwhile_reduction_percent`",
    ),
    ("= 50", "= 100", "reduction of 100 % or more"),
    ("width_m = 2.0", "width_m = 2,5", "Write 2.5."),
    (
        "title = \"Two pairs\"",
        "title = \"Two pairs",
        "trial.toml:2:",
    ),
    (
        "[decision]",
        "[wind]\nfrom_deg = 400\ngust_m_s = 12\n[decision]",
        "from 0 to 360 degrees",
    ),
    (
        "blocks = 2",
        "blocks = 2\nrules = [\"not-twice\"]",
        "no rule \"not-twice\"",
    ),
];

#[test]
fn each_fault_is_told_in_its_place_with_its_cure() {
    let untold = FAULTS.iter().filter_map(|(old, new, expected)| {
        let found = complaints(old, new);
        let told = found.iter().any(|c| c.contains(expected));
        (!told).then(|| format!("{new}: {found:#?} without {expected}"))
    });
    assert_eq!(untold.collect::<Vec<_>>(), Vec::<String>::new());
}

#[test]
fn all_faults_come_at_once_in_the_order_of_the_file() {
    let text = PROTOCOL
        .replace("blocks = 2", "blocks = -1")
        .replace("length_m = 4.0", "length_m = 0");
    let text = text.replace("control = true", "contrl = true");
    let errors = read_protocol("trial.toml", &text).unwrap_err();
    let found: Vec<&str> = errors.iter().map(|e| e.place.as_str()).collect();
    assert_eq!(
        found,
        [
            "trial.toml:5:1",
            "trial.toml:8:1",
            "trial.toml:17:10",
            "trial.toml:20:12"
        ]
    );
}

#[test]
fn a_file_without_occasions_has_one_main_one() {
    let at = PROTOCOL.find("[[occasion]]").unwrap();
    let end = PROTOCOL.find("[decision]").unwrap();
    let text = format!("{}{}", &PROTOCOL[..at], &PROTOCOL[end..]);
    let occasions = read_protocol("trial.toml", &text)
        .unwrap()
        .protocol
        .occasions;
    assert_eq!((occasions.len(), occasions[0].name.as_str()), (1, "main"));
}

#[test]
fn a_catch_under_the_sheet_is_no_response() {
    let text = PROTOCOL.replace("larvae in cores", "larvae under the sheet at dawn");
    let read = read_protocol("trial.toml", &text).unwrap();
    assert_eq!(read.cautions[0].code, "catch-is-not-a-response");
    assert_eq!(read.cautions[0].place.as_deref(), Some("trial.toml:24:8"));
}

#[test]
fn a_corer_gives_its_area_in_square_metres() {
    let text = PROTOCOL.replace("area_m2 = 0.01", "core_diameter_mm = 108");
    let area = read_protocol("trial.toml", &text)
        .unwrap()
        .protocol
        .response
        .core_area_m2;
    // pi * 0.054^2, by hand.
    assert!((area - 0.009_160_884_178).abs() < 1e-12, "{area}");
}

/// A layout that cannot be made is told by the file's path; a table in a folder's place is called a table.
#[test]
fn complaints_name_the_file_as_it_was_typed() {
    let scratch = Scratch::empty();
    assert_eq!(scratch.run(&["new", "club"]).code(), Some(0));
    scratch.put(
        "club/trial.toml",
        PROTOCOL.replace("blocks = 2", "blocks = 60"),
    );
    scratch.put("club/outline.csv", "x_m,y_m\n0,0\n20,0\n20,20\n0,20\n");
    let run = scratch.run(&["layout", "club", "--seed", "1"]);
    assert!(
        run.err()
            .contains("club/trial.toml [design] blocks: 60 blocks of 2 plots,"),
        "{}",
        run.err()
    );
    let run = scratch.run(&["judge", "club/outline.csv"]);
    let (said, table) = (run.err(), "--counts club/outline.csv");
    assert!(
        said.contains("this is a file") && said.contains(table),
        "{said}"
    );
    assert!(!said.contains("halfgreen new"), "{said}");
}
