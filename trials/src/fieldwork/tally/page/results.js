// What the ledger comes to: every sample, every plot, what two phones say of one place, and the rows that are sent.

/** All counts of a sample at a moment: this phone's first, then others by name. */
function entriesOf(state, sample, unit) {
  const all = [];
  if (unit.own) {
    all.push(Object.assign({}, unit.own, { own: true, counter: counterName(state), area: sample.area, note: sample.note }));
  }
  for (const name of [...unit.others.keys()].sort()) all.push(unit.others.get(name));
  return all;
}

function stagesOf(entries, stages) {
  const met = new Set(entries.flatMap((e) => [...e.counts.keys()]));
  return [...stages.filter((s) => met.has(s)), ...[...met].filter((s) => !stages.includes(s)).sort()];
}

/** What a count says, to be compared: a stage that is not written was not met. */
function saying(entry, stages) {
  return JSON.stringify([entry.area, stages.map((s) => entry.counts.get(s) || 0)]);
}

function signOf(entries, stages) {
  return JSON.stringify(entries.map((e) => [e.counter, saying(e, stages)]));
}

function sumOf(entry) {
  let sum = 0;
  for (const n of entry.counts.values()) sum += n;
  return sum;
}

/** A sample at a moment: `none`, `begun`, `done` or `clash`, and the count that is shown. */
function unitView(state, plan, k, minutes) {
  const sample = state.samples.get(keyOf(k));
  const unit = sample && sample.units.get(minutes);
  const entries = unit ? entriesOf(state, sample, unit) : [];
  if (entries.length === 0) return { k, minutes, entries, shown: null, state: "none", chosen: null };
  const stages = stagesOf(entries, plan.stages);
  const differ = entries.some((e) => saying(e, stages) !== saying(entries[0], stages));
  const sign = signOf(entries, stages);
  const chosen = differ && unit.chosen && unit.chosen.sign === sign ? entries.find((e) => e.counter === unit.chosen.counter) : null;
  const clash = differ && !chosen;
  const shown = chosen || entries[0];
  return { k, minutes, entries, stages, shown, sign, chosen, clash, state: clash ? "clash" : shown.done ? "done" : "begun" };
}

/** All moments of a sample that have a count, in order. */
function unitViews(state, plan, k) {
  const sample = state.samples.get(keyOf(k));
  const minutes = sample ? [...sample.units.keys()].sort((a, b) => a - b) : [];
  return minutes.map((m) => unitView(state, plan, k, m)).filter((v) => v.state !== "none");
}

function samplesOf(plan) {
  return Array.from({ length: plan.samples }, (_, i) => String(i + 1));
}

/** Samples of a plot that have something, planned or not (a file may name others). */
function samplesMet(state, plan, occasion, plot) {
  const planned = samplesOf(plan);
  const more = [];
  for (const sample of state.samples.values()) {
    const [o, p, s] = sample.k;
    if (o === occasion && p === plot && !planned.includes(s)) more.push(s);
  }
  return [...planned, ...more.sort((a, b) => a.localeCompare(b, "en", { numeric: true }))];
}

/** Ground that a count stands for, in samples of the usual size; one that is smaller than usual counts as one. */
function worth(plan, view) {
  const area = view.shown.area;
  return area ? Math.max(1, Math.round(area / plan.sample_area_m2)) : 1;
}

/** A plot on an occasion: how many of its samples are done, and the sum of all that was found. */
function plotView(state, plan, occasion, plot) {
  let [done, begun, sum, clashes] = [0, 0, 0, 0];
  for (const s of samplesMet(state, plan, occasion, plot)) {
    const views = unitViews(state, plan, [occasion, plot, s]);
    for (const v of views) sum += sumOf(v.shown);
    clashes += views.filter((v) => v.clash).length;
    if (views.length > 0) begun += 1;
    if (views.length > 0 && views.every((v) => v.shown.done)) done += worth(plan, views[0]);
  }
  const whole = done >= plan.samples;
  return { plot, done, begun, sum, clashes, state: clashes ? "clash" : whole ? "done" : begun ? "begun" : "none" };
}

const UNFINISHED = "count not marked done";

function rowsOfView(plan, view) {
  const [occasion, plot, sample] = view.k;
  const row = (e, stage, count, counter, note) => ({
    plot, sample, occasion, date: e.at.slice(0, 10), stage, count: String(count), area_m2: e.area ? String(e.area) : "", note,
    minutes_after_lift: String(view.minutes), counted_at: e.at.includes("T") ? e.at : "", counter,
  });
  const several = view.entries.length > 1;
  const kept = view.clash ? view.entries : [view.shown];
  return kept.flatMap((e) => {
    const met = view.clash ? view.stages : stagesOf([e], plan.stages);
    // Where a count was finished, the first stage is told even if there was none of it.
    const stages = e.done && !met.includes(plan.stages[0]) ? [plan.stages[0], ...met] : met;
    const told = [e.note];
    if (!e.done) told.push(UNFINISHED);
    if (e.from) told.push("begun by " + e.from);
    if (view.chosen) told.push("kept of two counts: " + view.entries.map((o) => `${o.counter} ${inWords(o, view.stages)}`).join(", "));
    const counter = several && !view.clash && !view.chosen ? view.entries.map((o) => o.counter).join(" & ") : e.counter;
    return stages.map((s, i) => row(e, s, e.counts.get(s) || 0, counter, i === 0 ? told.filter(Boolean).join("; ") : ""));
  });
}

/** "11 larva, 2 pupa" */
function inWords(e, stages) {
  const words = stages.map((s) => `${e.counts.get(s) || 0} ${s}`).join(", ");
  return e.area ? `${words} in ${e.area} m2` : words;
}

/** All rows, in walking order. A note on a sample that was not counted stands in a row without a count. */
function allRows(state, plan) {
  const rows = [];
  for (const { name: occasion } of plan.occasions) {
    for (const { name: plot } of plan.plots) {
      for (const s of samplesMet(state, plan, occasion, plot)) {
        const k = [occasion, plot, s];
        const views = unitViews(state, plan, k);
        rows.push(...views.flatMap((v) => rowsOfView(plan, v)));
        const sample = state.samples.get(keyOf(k));
        if (views.length === 0 && sample && sample.note) {
          rows.push({ plot, sample: s, occasion, date: "", stage: "", count: "", area_m2: "", note: sample.note, minutes_after_lift: "",
            counted_at: "", counter: counterName(state) });
        }
      }
    }
  }
  return rows;
}

/** Every place of which two phones say different things and nobody has chosen. */
function allClashes(state, plan) {
  const found = [];
  for (const sample of state.samples.values()) {
    found.push(...unitViews(state, plan, sample.k).filter((v) => v.clash));
  }
  return found;
}
