// Trials for the tests in a browser: the built command lays them out and packs them, and checks what comes back.
// The command is named by HALFGREEN; else it is the release build.
const assert = require("node:assert");
const { execFileSync, spawnSync } = require("node:child_process");
const fs = require("node:fs");
const os = require("node:os");
const path = require("node:path");

const HALFGREEN = process.env.HALFGREEN || path.join(__dirname, "../../target/release/halfgreen");
const TREATMENTS = ["uncovered turf", "covered overnight"];
const ODD = `</script><script>alert(1)</script> ${"A very long title about sheets. ".repeat(6)}`.trim();

function protocol({ title, blocks, samples, response, names }) {
  return `[trial]
title = ${JSON.stringify(title)}
question = "Do fewer leatherjackets remain?"
site = "Larkrise Park, an invented club"

[[treatment]]
code = "U"
name = ${JSON.stringify(names[0])}
kind = "other"
control = true

[[treatment]]
code = "C"
name = ${JSON.stringify(names[1])}
kind = "covering"

[design]
kind = "paired"
blocks = ${blocks}
seed = 20260918

[plot]
length_m = 4.0
width_m = 2.5
guard_m = 0.3

[response]
name = "leatherjackets"
unit = "leatherjackets"
better = "fewer"
cores_per_plot = ${samples}
${response}

[[occasion]]
name = "before"
role = "before"
date = 2026-09-09

[[occasion]]
name = "main"
role = "main"
date = 2026-09-18

[decision]
alpha = 0.05
worthwhile_reduction_percent = 40
`;
}

const SHAPES = {
  large: { title: "Sheets overnight on the hollow green", blocks: 24, samples: 4, response: "core_diameter_mm = 108", names: TREATMENTS },
  small: { title: "Sheets overnight on the hollow green", blocks: 8, samples: 4, response: "core_diameter_mm = 108", names: TREATMENTS },
  late: { title: "What lies under a sheet", blocks: 8, samples: 4, response: "area_m2 = 0.01", names: TREATMENTS, hidden: true },
  odd: { title: ODD, blocks: 12, samples: 9, response: "core_diameter_mm = 108", names: ["<b>bold</b> & <img src=x onerror=alert(1)>", "a cover with a name that goes on ".repeat(5).trim()] },
};

function packed(root, name, shape) {
  const folder = path.join(root, name);
  fs.mkdirSync(folder);
  fs.writeFileSync(path.join(folder, "trial.toml"), protocol(shape));
  fs.writeFileSync(path.join(folder, "outline.csv"), "x_m,y_m\n0,0\n60,0\n60,40\n0,40\n");
  execFileSync(HALFGREEN, ["layout", folder, "--quiet"]);
  execFileSync(HALFGREEN, ["pack", folder, "--quiet"]);
  const page = path.join(folder, "pack", shape.hidden ? "tally-hidden.html" : "tally.html");
  return { folder, page, title: shape.title, treatments: shape.names };
}

let made = null;
/** The trials, each with its folder and its page. Made once for a run of tests. */
function pages() {
  if (!made) {
    const root = fs.mkdtempSync(path.join(os.tmpdir(), "halfgreen-trials-"));
    process.on("exit", () => fs.rmSync(root, { recursive: true, force: true }));
    made = Object.fromEntries(Object.entries(SHAPES).map(([name, shape]) => [name, packed(root, name, shape)]));
  }
  return made;
}

/** Gives counts to the command's own check: all are read and nothing is wrong with them, or only that two counters differ. */
function check(trial, counts, { counted, differ }) {
  const file = path.join(trial.folder, "counts.csv");
  fs.writeFileSync(file, counts);
  const run = spawnSync(HALFGREEN, ["check", trial.folder, "--json"], { encoding: "utf8" });
  fs.rmSync(file);
  const answer = JSON.parse(run.stdout);
  const errors = answer.result.problems.filter((p) => p.severity === "error");
  if (differ) {
    assert.equal(run.status, 1);
    assert.ok(errors.length > 0 && errors.every((p) => p.rule === "counts-differ"), JSON.stringify(errors));
    return;
  }
  assert.deepEqual(errors, []);
  assert.equal(run.status, 0);
  assert.equal(answer.result.counted, counted);
  const lines = counts.trim().split(/\r?\n/).length - 1;
  assert.equal(answer.result.counts, lines);
}

module.exports = { pages, check };
