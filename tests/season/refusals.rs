//! Nonsense in a season file: refused with its reason and its place.

use super::SEASON;
use crate::scratch::Scratch;

/// What is put in the place of what, and what the refusal says.
const CASES: [(&str, &str, &str); 20] = [
    (
        "extra_percent = 20",
        "extra_percent = 20\nroll_width_m = 4",
        "A roll needs its length, width, lap and edge",
    ),
    (
        "extra_percent = 20",
        "extra_percent = 20\nroll_length_m = 50\nroll_width_m = 2\nlap_m = 3\nedge_m = 0",
        "s.toml:22:17",
    ),
    (
        "price_per_m2 = 1.0",
        "price_per_m2 = -1.0",
        "s.toml:22:16: `price_per_m2` is -1.0, but must be from 0",
    ),
    ("people = 2", "people = 0", "people"),
    (
        "low = 0.25\nhigh = 0.64",
        "low = 0.64\nhigh = 0.25",
        "does not hold `ratio` = 0.4",
    ),
    (
        "low = 60\nhigh = 180",
        "low = 180\nhigh = 60",
        "does not hold `per_m2` = 100",
    ),
    ("owned_m2 = 600", "owned_m2 = 0", "owned_m2"),
    (
        "name = \"far green\"",
        "name = \"long green\"",
        "two greens are called long green",
    ),
    (
        "nights = 1",
        "nights = 3",
        "3 nights under the sheet, and there are 2 in all",
    ),
    (
        "per_m2 = 100\nlow = 60\nhigh = 180",
        "larvae = 30\ncores = 20",
        "does not tell how clumped they are",
    ),
    (
        "per_m2 = 100\nlow = 60\nhigh = 180",
        "per_core = [1, 2]",
        "need the size of a core",
    ),
    (
        "per_m2 = 100\nlow = 60\nhigh = 180",
        "of_trial = true",
        "no trial is named",
    ),
    (
        "per_m2 = 100\nlow = 60\nhigh = 180",
        "per_core = []",
        "one for each core",
    ),
    (
        "per_m2 = 100\n",
        "per_m2 = 100\ncores = 3\n",
        "`cores` goes with `larvae`",
    ),
    (
        "area_m2 = 500",
        "area_m2 = 500\nhot_spot_m2 = 600\nhot_spot_share_percent = 50",
        "larger than their green",
    ),
    (
        "area_m2 = 500",
        "area_m2 = 500\nhot_spot_m2 = 60",
        "hot_spot_share_percent",
    ),
    ("area_m2 = 500", "outline = \"no.csv\"", "no.csv"),
    (
        "per_1000_larvae = 5",
        "per_1000_larvae = 5\nper_green = 5",
        "both say what fewer larvae are worth",
    ),
    (
        "ratio = 0.8",
        "treatment = \"S\"",
        "[effect] names no trial",
    ),
    (
        "[worth]",
        "[wroth]",
        "there is no section `wroth` in a season file",
    ),
];

#[test]
fn nonsense_is_refused_with_reason_and_place() {
    for (from, to, says) in CASES {
        let text = SEASON.replacen(from, to, 1);
        assert_ne!(text, SEASON, "{from}");
        let scratch = Scratch::empty();
        scratch.put("s.toml", text);
        let run = scratch.run(&["season", "s.toml"]);
        assert_eq!(run.code(), Some(1), "{to}: {}", run.out());
        assert!(run.err().contains(says), "{to}: {}", run.err());
        assert!(!scratch.path("season").is_dir(), "{to}");
    }
}

#[test]
fn a_course_of_twenty_eight_greens_and_one_of_none_are_refused() {
    let scratch = Scratch::empty();
    let (head, greens) = SEASON.split_at(SEASON.find("[[green]]").unwrap());
    let green = |i: usize| {
        format!("[[green]]\nname = \"{i}\"\narea_m2 = 500\nper_m2 = 9\nlow = 4\nhigh = 20\n")
    };
    let many: String = (0..28).map(green).collect();
    for (text, says) in [
        (format!("{head}{many}"), "28 is not from 1 to 27"),
        (head.to_owned(), "0 is not from 1 to 27"),
    ] {
        scratch.put("s.toml", text);
        let run = scratch.run(&["season", "s.toml"]);
        assert_eq!(run.code(), Some(1));
        assert!(run.err().contains(says), "{}", run.err());
    }
    let night = |d: &str| format!("[[night]]\ndate = {d}\npeople = 2\nhours = 4\n");
    let nights = [night("2027-10-04"), night("2027-10-03")].concat();
    let text =
        format!("{head}{greens}").replace("[nights]\nnumber = 2\npeople = 2\nhours = 4\n", &nights);
    scratch.put("s.toml", text);
    let run = scratch.run(&["season", "s.toml"]);
    assert!(
        run.err()
            .contains("2027-10-03 does not come after 2027-10-04"),
        "{}",
        run.err()
    );
}
