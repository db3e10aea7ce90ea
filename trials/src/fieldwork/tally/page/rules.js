// The rules that a row of counts must obey, as the data of `count_rules.json` say them. The program's own reader goes by the same data.

function columnRule(rules, name) {
  return rules.columns.find((c) => c.name === name);
}

function within(rule, number) {
  return (rule.least === undefined || number >= rule.least) && (rule.most === undefined || number <= rule.most);
}

/** A stage as it is kept, by any of its names; null where it is not told apart. */
function stageNamed(written, plan) {
  const text = written.trim().toLowerCase();
  const usual = plan.rules.stages.find((s) => s.name === text || s.also.includes(text));
  return plan.stages.find((s) => s.toLowerCase() === text || (usual && usual.name === s.toLowerCase())) || null;
}

/** Likeness of two words, 0 to 1: Jaro's, raised by Winkler for a common beginning of up to four letters (Winkler 1990). */
function likeness(a, b) {
  const reach = Math.max(0, Math.floor(Math.max(a.length, b.length) / 2) - 1);
  const taken = new Set();
  const met = [...a].map((c, i) => {
    for (let j = Math.max(0, i - reach); j <= Math.min(b.length - 1, i + reach); j += 1) {
      if (!taken.has(j) && b[j] === c) return taken.add(j) && c;
    }
    return null;
  }).filter(Boolean);
  if (met.length === 0) return 0;
  const there = [...taken].sort((x, y) => x - y).map((j) => b[j]);
  const swaps = met.filter((c, i) => c !== there[i]).length / 2;
  const jaro = (met.length / a.length + met.length / b.length + (met.length - swaps) / met.length) / 3;
  let alike = 0;
  while (alike < 4 && alike < Math.min(a.length, b.length) && a[alike] === b[alike]) alike += 1;
  return jaro + alike * 0.1 * (1 - jaro);
}

/** Whether a stage is refused: a known one was meant, as the program's reader has it, or the trial lists its own. */
function stageRefused(written, plan) {
  const text = written.trim().toLowerCase();
  return plan.stages_listed || plan.stages.some((s) => likeness(text, s.toLowerCase()) >= 0.78);
}

/** Whether a day is in the calendar and in the years that are taken. */
function isDay(text, rules) {
  const parts = /^(\d{4})-(\d{1,2})-(\d{1,2})$/.exec(text);
  if (!parts) return false;
  const [year, month, day] = parts.slice(1).map(Number);
  const date = new Date(Date.UTC(year, month - 1, day));
  return date.getUTCMonth() === month - 1 && date.getUTCDate() === day && year >= rules.years.least && year <= rules.years.most;
}

function isMoment(text, rules) {
  const parts = /^(\d{4}-\d{2}-\d{2})[Tt ]([01]\d|2[0-3]):[0-5]\d(:[0-5]\d(\.\d+)?)?([Zz]|[+-]([01]\d|2[0-3]):?[0-5]\d)$/.exec(text);
  return parts !== null && isDay(parts[1], rules);
}

/** What is wrong with a count as it is written; null where nothing is. A blank one says that nothing was counted. */
function countFault(text, rules) {
  const rule = columnRule(rules, "count");
  const bare = text.trim();
  if (bare === "") return null;
  const zeros = /^(\d+)[.,](0+)$/.exec(bare);
  const whole = zeros && zeros[2].length !== 3 ? zeros[1] : bare;
  if (/^\d+$/.test(whole)) return within(rule, Number(whole)) ? null : "huge-count";
  if (/^\d{1,3}([,. '\u00a0\u202f]\d{3})+$/.test(bare)) return "number-format";
  if (/^[+-]?[\d.,]+e[+-]?\d+$/i.test(bare)) return "number-format";
  const number = Number(bare.replace(",", ".").replace("\u2212", "-"));
  if (Number.isNaN(number)) return "text-in-count";
  if (number < 0) return "negative-count";
  return Number.isInteger(number) ? "number-format" : "fractional-count";
}

/** Rules that may be broken without a row being refused. */
const DOUBTS = ["not-counted", "unknown-stage", "entered-twice"];

/** The names of the rules that a row by itself breaks, and whether it is refused for that. */
function rowFaults(row, plan) {
  const { rules } = plan;
  const faults = [];
  const found = (rule, refused) => faults.push({ rule, refused: refused === undefined ? !DOUBTS.includes(rule) : refused });
  const plot = plan.plots.find((p) => p.name === row.plot);
  if (row.broken) found("broken-line");
  if (row.plot === "") found("blank-cell");
  else if (!plot) found("unknown-plot");
  if (row.occasion === "" ? plan.occasions.length > 1 : !occasionNamed(row.occasion, plan)) found(row.occasion === "" ? "blank-cell" : "unknown-occasion");
  if (row.stage !== "" && stageNamed(row.stage, plan) === null) found("unknown-stage", stageRefused(row.stage, plan));
  const count = countFault(row.count, rules);
  if (count) found(count);
  else if (row.count.trim() === "") found("not-counted");
  if (row.date !== "" && !isDay(row.date, rules)) found("impossible-date");
  if (row.counted_at !== "" && !isMoment(row.counted_at, rules)) found("impossible-moment");
  const size = areaOf(row, plan);
  const roomy = plot && plot.area_m2 ? plot.area_m2 * (1 + 1e-9) : Infinity;
  if (!within(columnRule(rules, "area_m2"), size) || size > roomy) found("impossible-area");
  else if (count === null && Number(row.count) > plan.most_per_m2 * size) found("full-core");
  const minutes = row.minutes_after_lift;
  if (minutes !== "" && !(/^\d+$/.test(minutes) && within(columnRule(rules, "minutes_after_lift"), Number(minutes)))) found("impossible-number");
  if (COLUMNS.some((c) => row[c].length > rules.cell_characters)) found("broken-line");
  return faults;
}

function occasionNamed(written, plan) {
  return plan.occasions.find((o) => o.name.toLowerCase() === written.toLowerCase());
}

/** Ground of a row, square metres; not a number where it is none. */
function areaOf(row, plan) {
  return row.area_m2 === "" ? plan.sample_area_m2 : Number(row.area_m2.replace(",", "."));
}

/** A row that is not refused, in the words of the trial. */
function tidied(row, plan) {
  const bare = row.count.trim().replace(/[.,]0+$/, "");
  return Object.assign({}, row, {
    occasion: (occasionNamed(row.occasion, plan) || plan.occasions[0]).name,
    stage: row.stage === "" ? plan.stages[0] : stageNamed(row.stage, plan) || row.stage,
    count: bare === "" ? "" : String(Number(bare)),
    area_m2: row.area_m2 === "" ? "" : String(areaOf(row, plan)),
    minutes_after_lift: String(Number(row.minutes_after_lift)),
  });
}

/** What a row says against an earlier one of the same place: a slip, a second count that agrees, or one that does not. */
function againstEarlier(earlier, row) {
  const named = earlier.counter !== "" && row.counter !== "";
  if (!named || earlier.counter.toLowerCase() === row.counter.toLowerCase()) return { rule: "repeated-count", refused: true };
  const days = earlier.date !== "" && row.date !== "" && earlier.date !== row.date;
  const equal = earlier.count === row.count && earlier.area_m2 === row.area_m2 && !days;
  return equal ? { rule: "entered-twice", refused: false } : { rule: "counts-differ", refused: false };
}

/** Rows that are not refused, and all that is said of them, with the row it is said of. A sample without a name is the next in turn. */
function checkRows(rows, plan) {
  const [sound, complaints, turns, met] = [[], [], new Map(), new Map()];
  for (const row of rows) {
    const faults = rowFaults(row, plan);
    complaints.push(...faults.map((f) => Object.assign({ row }, f)));
    if (faults.some((f) => f.refused)) continue;
    const tidy = tidied(row, plan);
    const turn = keyOf([tidy.occasion, tidy.plot, tidy.stage, tidy.minutes_after_lift]);
    if (tidy.sample === "") {
      turns.set(turn, (turns.get(turn) || 0) + 1);
      tidy.sample = plan.samples === 1 ? "1" : String(turns.get(turn));
    }
    const place = keyOf([turn, tidy.sample]);
    const against = tidy.count !== "" && met.has(place) ? againstEarlier(met.get(place), tidy) : null;
    if (against) complaints.push(Object.assign({ row }, against));
    if (against && against.refused) continue;
    if (tidy.count !== "" && !against) met.set(place, tidy);
    sound.push(tidy);
  }
  return { rows: sound, complaints };
}

const FAULT_WORDS = {
  "broken-line": "has more cells than the first line, or a cell that is too long",
  "blank-cell": "has no plot or no occasion",
  "unknown-plot": "names a plot that this trial does not have",
  "unknown-occasion": "names a count that this trial does not have",
  "unknown-stage": "names a stage that is not known",
  "negative-count": "has a count below zero",
  "fractional-count": "has a count with a fraction",
  "text-in-count": "has a count that is no number",
  "number-format": "has a count that is not written plainly",
  "huge-count": "has a count that cannot be right",
  "full-core": "has more than its area can hold",
  "impossible-date": "has a date that is not year-month-day",
  "impossible-moment": "has a time that cannot be read",
  "impossible-area": "has an area that cannot be right",
  "impossible-number": "has minutes that cannot be right",
  "repeated-count": "counts a place that a line before it has already",
};

/** A sentence for each row that is refused. */
function refusals(complaints) {
  return complaints.filter((c) => c.refused).map(({ row, rule }) => `${row.line ? `Line ${row.line}` : `Plot ${row.plot}`} ${FAULT_WORDS[rule]}.`);
}
