//! Archives of many trials: what goes in, what comes out, and that nothing is lost on the way.

mod add;
mod describe;
mod judge;
mod keys;
mod kills;
mod parquet;
mod pool;
mod requests;
mod sources;

use std::fmt::Write;

use serde_json::Value;

use crate::scratch::Scratch;

/// Columns of [`table`].
const COLUMNS: &str = "--count count --treatment treatment --control U --trial trial --club club --season season --date date \
                       --occasion occasion --main main --before before --block block --plot plot --area corer --area-unit corer-mm \
                       --moderator soil";

/// Draws that follow one from another: the generator of Lehmer, as Park and Miller (1988) have it.
struct Draw(u64);

impl Draw {
    fn below(&mut self, n: u64) -> u64 {
        self.0 = self.0 * 48_271 % 2_147_483_647;
        self.0 % n
    }
}

/// An invented association: so many trials of five pairs, two cores a plot, before and after.
fn table(trials: usize) -> String {
    let mut text =
        String::from("trial,club,season,date,soil,occasion,block,plot,treatment,corer,count\n");
    let mut draw = Draw(20_260_918);
    for trial in 0..trials {
        let (club, season) = (trial % 3, 2025 + trial % 2);
        for (occasion, day) in [("before", 5), ("main", 18)] {
            for block in 0..5 {
                for (plot, treatment) in ["U", "C"].into_iter().enumerate() {
                    for _ in 0..2 {
                        let most = if occasion == "main" && treatment == "C" {
                            5
                        } else {
                            9
                        };
                        let count = draw.below(most) + draw.below(most);
                        let plot = 2 * block + plot;
                        writeln!(
                            text,
                            "t{trial},\"Club {club}, invented\",{season},{season}-09-{day:02},{},{occasion},{block},{plot},{treatment},108,{count}",
                            ["sand", "clay"][trial % 2]
                        )
                        .unwrap();
                    }
                }
            }
        }
    }
    text
}

/// Runs `archive` and gives its result.
fn archived(scratch: &Scratch, words: &str) -> Value {
    let words: Vec<&str> = words.split_whitespace().collect();
    let run = scratch.run(&[&["archive"], &words[..], &["--json"]].concat());
    assert_eq!(run.code(), Some(0), "{words:?}: {}", run.err());
    run.json()["result"].take()
}

/// A folder with a table of trials and its archive.
fn filled(trials: usize) -> Scratch {
    let scratch = Scratch::empty();
    scratch.put("counts.csv", table(trials));
    let added = archived(&scratch, &format!("add county counts.csv {COLUMNS}"));
    assert_eq!(added["trials"], trials);
    scratch
}

/// The three tables of effects.
fn effects(scratch: &Scratch, archive: &str) -> [Vec<u8>; 3] {
    ["effects.csv", "effects.parquet", "left-out.csv"]
        .map(|name| scratch.bytes(&format!("{archive}/effects/{name}")))
}
