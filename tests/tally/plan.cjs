// A small trial for the tests of the page's parts, and a phone that counts it.
const fs = require("node:fs");
const path = require("node:path");
const { parts } = require("./parts.cjs");

const rules = JSON.parse(fs.readFileSync(path.join(__dirname, "../../trials/src/count_rules/count_rules.json"), "utf8"));
const page = parts();

function planOf(names, samples) {
  return {
    rules, stages: rules.stages.map((s) => s.name), stages_listed: false, seal: "4f2a99aabbccdd00", title: "A trial", samples,
    occasions: [{ name: "before", date: null }, { name: "main", date: null }], sample_area_m2: 0.01, most_per_m2: 10000, moments: [0, 15, 30],
    plots: names.map((name) => ({ name, area_m2: 10 })),
  };
}

/** A phone: events go straight into its ledger. */
function phone(signs, name) {
  const state = page.newState();
  let n = 0;
  const tap = (e, at) => {
    n += 1;
    page.apply(state, Object.assign({ id: `${signs}-${n}`, at: at || "2026-09-18T06:12:05+01:00" }, e));
    return `${signs}-${n}`;
  };
  tap({ o: "set", key: "me", value: signs });
  if (name) tap({ o: "set", key: "name", value: name });
  return {
    state, tap,
    add: (k, n_, stage, m, at) => tap({ o: "add", k, m: m || 0, stage: stage || "larva", n: n_ }, at),
    done: (k, m, at) => tap({ o: "done", k, m: m || 0 }, at),
    none: (k, m) => tap({ o: "none", k, m: m || 0, stage: "larva" }),
  };
}

/** Takes the text of another phone in, as the page does. */
function takeIn(to, plan, text, from) {
  const table = page.readCsv(text);
  const { rows, complaints } = page.checkRows(table.rows, plan);
  const merge = page.mergePlan(to.state, plan, page.unitsOfRows(rows, from || "a file"));
  to.tap({ o: "import", units: merge.units, notes: merge.notes, from: "a file" });
  return { told: merge.told, complaints, fault: table.fault };
}

module.exports = { page, planOf, phone, takeIn };
