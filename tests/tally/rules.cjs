// The page's reader of counts goes through the cases that the program's own reader goes through.
const assert = require("node:assert");
const fs = require("node:fs");
const path = require("node:path");
const test = require("node:test");
const { parts } = require("./parts.cjs");

const read = (file) => JSON.parse(fs.readFileSync(path.join(__dirname, file), "utf8"));
const rules = read("../../trials/src/count_rules/count_rules.json");
const { trial, cases } = read("../count_rules/fixtures.json");
const { checkRows, csvText, likeness, readCsv } = parts();

const plan = {
  rules, stages: trial.stages.length > 0 ? trial.stages : rules.stages.map((s) => s.name), stages_listed: trial.stages.length > 0,
  occasions: trial.occasions, samples: trial.cores_per_plot, sample_area_m2: trial.core_area_m2, most_per_m2: rules.most_per_m2,
  plots: trial.plots.map((name) => ({ name, area_m2: trial.plot_area_m2 })),
};

test("every case is answered as it is written", () => {
  assert.ok(cases.length > 50);
  for (const { name, rows, accepted, complaint } of cases) {
    const whole = rows.map((r) => Object.assign(Object.fromEntries(rules.columns.map((c) => [c.name, ""])), r));
    const table = readCsv(csvText(whole));
    assert.equal(table.fault, null, name);
    const { complaints } = checkRows(table.rows, plan);
    assert.deepEqual(complaints.map((c) => c.rule), complaint ? [complaint] : [], name);
    // Two counts that differ stop the program; the page keeps both and shows them.
    const stops = complaints.some((c) => c.refused || c.rule === "counts-differ");
    assert.equal(!stops, accepted, name);
  }
});

test("the page writes the columns of the rules", () => {
  assert.equal(csvText([]).trim(), rules.columns.map((c) => c.name).join(","));
});

// Winkler (1990), String Comparator Metrics, table of examples as given in later census papers: from memory.
test("likeness is that of published pairs", () => {
  for (const [a, b, published] of [["martha", "marhta", 0.961], ["dixon", "dicksonx", 0.813], ["dwayne", "duane", 0.84]]) {
    assert.ok(Math.abs(likeness(a, b) - published) < 0.001, `${a} ${b} ${likeness(a, b)}`);
  }
});
