//! Several greens in one trial, and treatments made of factors.

use halfgreen::area::{circle, rectangle};
use halfgreen::design::kinds::{CompletelyRandomised, Paired, RandomisedBlocks};
use halfgreen::design::{
    Green, GreenShare, lay_out, read_layout, read_protocol, scheme_of, seal, verify, write_layout,
};

use super::trial::{green, protocol};
use crate::scratch::PROTOCOL;

fn two_greens() -> Vec<Green> {
    let named = |name: &str, corners: &[[f64; 2]]| Green {
        name: Some(name.into()),
        outline: green(corners),
    };
    vec![
        named("3rd", &rectangle(20.0, 16.0)),
        named("7th", &circle(0.0, 0.0, 12.0)),
    ]
}

fn share(name: &str, blocks: Option<usize>) -> GreenShare {
    GreenShare {
        name: name.into(),
        outline: String::new(),
        blocks,
    }
}

/// Plots are numbered through, blocks carry their green, and the layout can be read back and verified.
#[test]
fn blocks_stand_green_by_green() {
    let greens = two_greens();
    let plan = protocol(&RandomisedBlocks, &["open", "sheet", "air"], 6);
    let laid = lay_out(&plan, greens.as_slice(), 4).unwrap();
    let mut blocks = Vec::new();
    for (i, p) in laid.layout.plots.iter().enumerate() {
        assert_eq!(p.plot, (i + 1).to_string());
        let block = p.block.clone().unwrap();
        let home = usize::from(block.starts_with("7th."));
        assert!(greens[home].outline.contains(p.x_m, p.y_m));
        blocks.push(block);
    }
    blocks.dedup();
    assert_eq!(blocks.len(), 6);
    assert!(blocks[0] == "3rd.1" && blocks[5] == "7th.6");
    let here = laid.layout.on_green("3rd").plots.len();
    assert_eq!(here + laid.layout.on_green("7th").plots.len(), 18);
    assert_eq!(scheme_of(&plan, &laid.layout).unwrap().blocks.len(), 6);
    // The file names a green with the block; read back, it is a value again.
    let shares = ["3rd", "7th"].map(|name| share(name, None));
    let filed = write_layout(&laid.layout).unwrap();
    assert_eq!(
        read_layout("layout.csv", &filed, &shares).unwrap(),
        laid.layout
    );
    let sealed = seal(
        &plan,
        greens.as_slice(),
        &laid,
        "2026-05-01T10:00:00Z",
        None,
    )
    .unwrap();
    let compared = verify(&sealed, &plan, greens.as_slice(), &laid.layout).unwrap();
    assert_eq!(compared, Vec::new());
    let mut moved = greens;
    moved[1].outline = green(&circle(0.0, 0.0, 12.5));
    let differs = verify(&sealed, &plan, moved.as_slice(), &laid.layout).unwrap();
    assert!(differs.iter().any(|d| d.sentence.contains("outline")));
}

#[test]
fn blocks_asked_for_on_a_green_are_laid_there() {
    let greens = two_greens();
    let mut plan = protocol(&Paired, &["open", "sheet"], 5);
    plan.design.arrangement.greens = vec![share("3rd", Some(1)), share("7th", Some(4))];
    let laid = lay_out(&plan, greens.as_slice(), 4).unwrap();
    assert_eq!(laid.layout.on_green("3rd").plots.len(), 2);
    plan.design.arrangement.greens = Vec::new();
    plan.design.blocks = 200;
    let refused = lay_out(&plan, greens.as_slice(), 4).unwrap_err();
    assert!(refused.what.contains("do not fit on the greens"));
    let open = protocol(&CompletelyRandomised, &["open", "sheet"], 4);
    assert!(lay_out(&open, greens.as_slice(), 4).is_err());
}

/// The test protocol with its treatments replaced.
fn with_treatments(text: &str) -> Result<halfgreen::design::Protocol, Vec<String>> {
    let start = PROTOCOL.find("[[treatment]]").unwrap();
    let end = PROTOCOL.find("[design]").unwrap();
    let all = format!("{}{text}\n{}", &PROTOCOL[..start], &PROTOCOL[end..])
        .replace("kind = \"paired\"", "kind = \"randomised-blocks\"");
    read_protocol("trial.toml", &all)
        .map(|r| r.protocol)
        .map_err(|errors| errors.iter().map(ToString::to_string).collect())
}

const SHEETS: &str = "[[factor]]\nname = \"sheeting\"\nkind = \"covering\"\nlevels = [\"none\", \"one night\", \"two nights\"]\n";
const SPIKES: &str =
    "[[factor]]\nname = \"aeration\"\nkind = \"aeration\"\nlevels = [\"none\", \"spiked\"]\n";

#[test]
fn factors_make_every_combination() {
    let made = with_treatments(&format!("{SHEETS}{SPIKES}")).unwrap();
    let codes: Vec<&str> = made.treatments.iter().map(|t| t.code.as_str()).collect();
    assert_eq!(codes, ["U", "A", "S1", "S1A", "S2", "S2A"]);
    assert!(
        made.treatments[0].control && made.treatments.iter().filter(|t| t.control).count() == 1
    );
    assert_eq!(
        made.treatments[3].name,
        "sheeting one night + aeration spiked"
    );
}

#[test]
fn factors_that_contradict_are_refused() {
    let refused = |text: &str, what: &str| {
        let errors = with_treatments(text).unwrap_err();
        assert!(errors.iter().any(|e| e.contains(what)), "{errors:?}");
    };
    refused(SHEETS, "one factor makes no factorial trial");
    refused(&format!("{SHEETS}{SHEETS}"), "two factors are called");
    let clashing = format!(
        "{SPIKES}codes = [\"x\"]
{SHEETS}codes = [\"X\", \"Y\"]
"
    );
    refused(&clashing, "two levels have the code");
    let joined = format!(
        "{SPIKES}codes = [\"A\"]
{SHEETS}codes = [\"B\", \"AB\"]
"
    );
    refused(&joined, "both get the code AB");
    let both = format!("{SHEETS}{SPIKES}[[treatment]]\ncode = \"C\"\ncontrol = true\n");
    refused(&both, "both factors and treatments");
    let same = format!("{SPIKES}{}", SHEETS.replace("two nights", "one night"));
    refused(&same, "twice");
    let bare = format!(
        "{SPIKES}{}",
        SHEETS.replace("\"none\", \"one night\", ", "")
    );
    refused(&bare, "one level only");
}

/// A factor with two levels.
fn two_levels(name: &str) -> String {
    format!("[[factor]]\nname = \"{name}\"\nlevels = [\"none\", \"done\"]\n")
}

#[test]
fn codes_that_the_tool_makes_never_clash() {
    let codes = |text: &str| {
        let made = with_treatments(text).unwrap().treatments;
        let codes: Vec<String> = made.into_iter().map(|t| t.code).collect();
        codes.join(" ")
    };
    let of = |names: &[&str]| codes(&names.iter().map(|n| two_levels(n)).collect::<String>());
    assert_eq!(of(&["sheeting", "slitting"]), "U Sl Sh ShSl");
    assert_eq!(of(&["sheeting", "aeration"]), "U A S SA");
    assert_eq!(of(&["sheet", "sheeting"]), "U Sheeti Sheet SheetSheeti");
    assert_eq!(
        of(&["Slits", "sand", "water"]),
        "U W Sa SaW Sl SlW SlSa SlSaW"
    );
    assert_eq!(of(&["under-sowing", "no mowing"]), "0 N U UN");
    let given = format!(
        "{}codes = [\"S\"]\n{}",
        two_levels("rolling"),
        two_levels("sand")
    );
    assert_eq!(codes(&given), "U Sa S SSa");
}

#[test]
fn a_factorial_protocol_knows_the_levels_of_its_treatments() {
    let made = with_treatments(&format!("{SHEETS}{SPIKES}")).unwrap();
    let [sheets, spikes] = made.factors.as_slice() else {
        panic!("{:?}", made.factors);
    };
    assert_eq!(sheets.levels, ["none", "one night", "two nights"]);
    assert_eq!(
        (sheets.codes.join(" "), spikes.codes.join(" ")),
        ("S1 S2".into(), "A".into())
    );
    let levels = |code: &str| (sheets.level_of[code], spikes.level_of[code]);
    assert_eq!(
        ["U", "A", "S1", "S2A"].map(levels),
        [(0, 0), (0, 1), (1, 0), (2, 1)]
    );
}
