// Counts to be read out, line by line, and typed in again: a plot, its samples, their sum, and a check sign.
//
//   start / 4F2A / 2 / ANN K7QF / X        the seal's first signs, the number of the occasion, who counted
//   7: 3 0 11 - = 14 K                     plot 7: samples in order, - is not counted, sum, check sign
//   7 +15 pupa: 0 1 0 - = 1 T              15 minutes after the lift, another stage
//   7 cm2: 2500 - - - = 2500 B             samples of another size (mm2 where square centimetres are not exact)
//   end / 16 / 311 / Q                     how many lines, and the sum of all
//
// The check sign is that of ISO/IEC 7064, MOD 37,36, over all that stands before it on the line and, so that lines of another
// trial, occasion or plot do not pass, the line's beginning and the start line's. It finds every single wrong sign and nearly every
// exchange of two neighbours.

const SIGNS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ";
// Radio alphabet: International Code of Signals and ITU Radio Regulations, Appendix 14 (spelling from memory).
const SPOKEN = ("zero one two three four five six seven eight nine Alfa Bravo Charlie Delta Echo Foxtrot Golf Hotel India Juliett Kilo Lima Mike " +
  "November Oscar Papa Quebec Romeo Sierra Tango Uniform Victor Whiskey X-ray Yankee Zulu").split(" ");

/** Units of area to the square metre. */
const AREAS = { cm2: 1e4, mm2: 1e6 };

/** The check sign of a text of 0-9 and A-Z (ISO/IEC 7064, MOD 37,36). */
function checkSign(text) {
  let p = 36;
  for (const c of text) {
    const s = (p + SIGNS.indexOf(c)) % 36 || 36;
    p = (s * 2) % 37;
  }
  return SIGNS[(37 - p) % 36];
}

/** Parts as one text of 0-9 and A-Z: others by their number, so that no two lists come to the same text. */
function plainSigns(parts) {
  return parts.map((p) => String(p).toUpperCase().replace(/[^0-9A-WYZ]/g, (c) => `X${c.charCodeAt(0).toString(16).toUpperCase()}X`)).join("XX");
}

function signOfParts(start, parts) {
  return checkSign(plainSigns([...start, ...parts]));
}

/** The lines of an occasion. */
function spokenLines(state, plan, occasion) {
  const number = String(plan.occasions.findIndex((o) => o.name === occasion) + 1);
  const start = [plan.seal.slice(0, 4).toUpperCase(), number, counterName(state)];
  const lines = [];
  let all = 0;
  const line = (plot, label, numbers) => {
    const sum = numbers.reduce((a, n) => a + (n === "-" ? 0 : n), 0);
    lines.push({ text: `${plot}${label}: ${numbers.join(" ")} = ${sum}`, sign: signOfParts(start, [plot + label, ...numbers, sum]) });
    all += sum;
  };
  for (const { name: plot } of plan.plots) {
    const samples = samplesOf(plan);
    const views = samples.map((s) => unitViews(state, plan, [occasion, plot, s]));
    const minutes = [...new Set(views.flat().map((v) => v.minutes))].sort((a, b) => a - b);
    for (const m of minutes) {
      const at = views.map((of) => of.find((v) => v.minutes === m));
      const stages = stagesOf(at.filter(Boolean).map((v) => v.shown), plan.stages);
      const told = stages.includes(plan.stages[0]) ? stages : [plan.stages[0], ...stages];
      for (const s of told) {
        const label = (m > 0 ? ` +${m}` : "") + (s === plan.stages[0] ? "" : ` ${s}`);
        line(plot, label, at.map((v) => (v ? v.shown.counts.get(s) || 0 : "-")));
      }
    }
    const areas = views.map((of) => (of.length > 0 && of[0].shown.area) || null);
    if (areas.some(Boolean)) {
      const whole = areas.every((a) => !a || Math.abs(a * 1e4 - Math.round(a * 1e4)) < 1e-6);
      line(plot, whole ? " cm2" : " mm2", areas.map((a) => (a ? Math.round(a * AREAS[whole ? "cm2" : "mm2"]) : "-")));
    }
  }
  const first = { text: ["start", ...start].join(" / ") + " /", sign: signOfParts(start, ["start"]) };
  const last = { text: `end / ${lines.length} / ${all} /`, sign: signOfParts(start, ["end", lines.length, all]) };
  return [first, ...lines, last];
}

/** Reads lines again: rows for the columns of counts, or what is wrong with which line. One line may speak of another's ground, so
 * that either all pass or none is taken. */
function readSpoken(text, plan) {
  const faults = [];
  const lines = text.split(/\r?\n/).map((l) => l.trim()).filter(Boolean);
  const parts = lines[0].split("/").map((p) => p.trim());
  const start = [(parts[1] || "").toUpperCase(), parts[2] || "", parts[3] || ""];
  const occasion = plan.occasions[Number(start[1]) - 1];
  if (start[0] !== plan.seal.slice(0, 4).toUpperCase()) faults.push("These lines are of another trial, or the first line was misheard.");
  else if (!occasion || signOfParts(start, ["start"]) !== (parts[4] || "").toUpperCase()) faults.push("The first line does not pass its check: hear it again.");
  if (faults.length > 0) return { rows: [], faults };
  const found = lines.slice(1).map((line) => readSpokenLine(line, plan, start));
  const sound = found.filter((f) => f.numbers);
  faults.push(...found.filter((f) => f.fault).map((f) => f.fault));
  const last = found.find((f) => f.end);
  const sum = sound.reduce((a, f) => a + f.sum, 0);
  if (!last) faults.push("The last line (end) is missing: there may be more lines.");
  else if (last.end[0] !== sound.length || last.end[1] !== sum) {
    faults.push(`The last line speaks of ${last.end[0]} lines with ${last.end[1]} in all; ${sound.length} sound lines with ${sum} are here.`);
  }
  return { rows: faults.length > 0 ? [] : spokenRows(sound, plan, occasion.name, start[2]), faults };
}

function readSpokenLine(line, plan, start) {
  const end = /^end\s*\/\s*(\d+)\s*\/\s*(\d+)\s*\/\s*([0-9A-Z])$/i.exec(line);
  if (end) {
    const counts = [Number(end[1]), Number(end[2])];
    return signOfParts(start, ["end", ...counts]) === end[3].toUpperCase() ? { end: counts } : { fault: "The last line (end) does not pass its check: hear it again." };
  }
  const wrong = { fault: `Hear this line again: ${line}` };
  const read = /^(.*):\s*([-\d\s,]+?)\s*=\s*(\d+)\s+([0-9A-Z])$/i.exec(line);
  if (!read) return wrong;
  const head = read[1].trim().replace(/\s+/g, " ");
  const numbers = read[2].trim().split(/[\s,]+/).map((n) => (n === "-" ? n : Number(n)));
  const sum = numbers.reduce((a, n) => a + (n === "-" ? 0 : n), 0);
  const [plot, label] = plotAndLabel(head, plan);
  const fits = plot !== null && numbers.length === plan.samples && !numbers.some(Number.isNaN) && sum === Number(read[3]);
  return fits && signOfParts(start, [plot + label, ...numbers, sum]) === read[4].toUpperCase() ? { plot, label: label.trim(), numbers, sum } : wrong;
}

/** The plot whose name the line begins with, and the rest of the beginning. The longest name that fits is meant. */
function plotAndLabel(head, plan) {
  const names = plan.plots.map((p) => p.name).sort((a, b) => b.length - a.length);
  for (const fold of [(t) => t, (t) => t.toLowerCase()]) {
    for (const name of names) {
      const rest = head.slice(name.length);
      if (fold(head).startsWith(fold(name)) && /^( \+\d+)?( .+)?$/.test(rest)) return [name, rest];
    }
  }
  return [null, ""];
}

function spokenRows(lines, plan, occasion, counter) {
  const areas = new Map();
  for (const l of lines.filter((f) => AREAS[f.label])) l.numbers.forEach((n, i) => n !== "-" && areas.set(`${l.plot}/${i}`, String(n / AREAS[l.label])));
  const rows = [];
  for (const l of lines.filter((f) => !AREAS[f.label])) {
    const [, minutes, stage] = /^(?:\+(\d+))?\s*(.*)$/.exec(l.label);
    l.numbers.forEach((n, i) => {
      if (n === "-") return;
      rows.push({ line: 0, plot: l.plot, sample: String(i + 1), occasion, date: "", stage: stage || plan.stages[0], count: String(n),
        area_m2: areas.get(`${l.plot}/${i}`) || "", note: "read out", minutes_after_lift: minutes || "0", counted_at: "", counter });
    });
  }
  return rows;
}
