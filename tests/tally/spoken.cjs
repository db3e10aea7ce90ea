// Lines that are read out: the check sign against published ones, and every slip that it must find.
const assert = require("node:assert");
const test = require("node:test");
const { page, planOf, phone } = require("./plan.cjs");

const SIGNS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ";

// GRid Standard 2.1, the example of the check character of ISO 7064 MOD 37,36: A1-2425G-ABC1234002-M.
test("the check sign is that of a published example", () => {
  assert.equal(page.checkSign("A12425GABC1234002"), "M");
});

// ISO/IEC 7064 promises that every single substitution is found.
test("one wrong sign is always found", () => {
  const text = "4F2AXX7XX3XX0XX11XX14";
  const sign = page.checkSign(text);
  for (let i = 0; i < text.length; i += 1) {
    for (const c of SIGNS) {
      if (c !== text[i]) assert.notEqual(page.checkSign(text.slice(0, i) + c + text.slice(i + 1)), sign, `${i} ${c}`);
    }
  }
});

/** A phone that counted a bit of everything, and its lines. */
function counted() {
  const plan = planOf(["1", "2", "1 +15 b", "A-1", "é 7", "=x"], 4);
  const one = phone("K7QF", "Ann");
  const k = (plot, sample) => ["main", plot, sample];
  one.add(k("1", "1"), 3);
  one.done(k("1", "1"));
  one.none(k("1", "2"));
  one.add(k("1", "4"), 11);
  one.add(k("1", "4"), 2, "pupa");
  one.done(k("1", "4"));
  one.add(k("2", "1"), 4, "larva", 15);
  one.done(k("2", "1"), 15);
  one.add(k("2", "2"), 140);
  one.tap({ o: "area", k: k("2", "2"), area: 0.25 });
  one.add(k("1 +15 b", "1"), 5, "empty case", 30);
  one.done(k("1 +15 b", "1"), 30);
  one.none(k("é 7", "3"));
  one.none(k("=x", "3"));
  const lines = page.spokenLines(one.state, plan, "main").map((l) => `${l.text} ${l.sign}`);
  return { plan, one, lines };
}

function cells(rows) {
  return rows.map((r) => [r.plot, r.sample, r.occasion, r.stage, Number(r.count), r.minutes_after_lift, Number(r.area_m2 || 0)].join("|")).sort();
}

test("what is read out comes back", () => {
  const { plan, one, lines } = counted();
  assert.ok(lines.includes(lines.find((l) => l.startsWith("1: 3 0 - 11 = 14 "))));
  const { rows, faults } = page.readSpoken(lines.join("\n"), plan);
  assert.deepEqual(faults, []);
  // Where a stage other than the first was found, the first is told as none.
  const sent = page.allRows(one.state, plan).filter((r) => r.count !== "");
  const back = new Set(cells(rows));
  for (const cell of cells(sent)) assert.ok(back.has(cell), `${cell} in ${[...back].join(" ")}`);
  assert.equal(rows.reduce((a, r) => a + Number(r.count), 0), sent.reduce((a, r) => a + Number(r.count), 0));
  // Typed by a hurried hand.
  const typed = lines.map((l) => "  " + l.toLowerCase().replace(/: /, ":  ").replace(/ = /, "=")).join("\r\n\r\n");
  assert.deepEqual(page.readSpoken(typed, plan).faults, []);
});

test("a slip on any line is told with its line, and nothing is taken in", () => {
  const { plan, lines } = counted();
  for (let i = 1; i < lines.length - 1; i += 1) {
    for (let j = 0; j < lines[i].length; j += 1) {
      if (!/\d/.test(lines[i][j])) continue;
      const wrong = lines.slice();
      wrong[i] = lines[i].slice(0, j) + ((Number(lines[i][j]) + 1) % 10) + lines[i].slice(j + 1);
      const { rows, faults } = page.readSpoken(wrong.join("\n"), plan);
      assert.ok(faults.some((f) => f.includes(wrong[i]) || f.includes("pass its check")), wrong[i]);
      assert.deepEqual(rows, [], wrong[i]);
    }
  }
});

test("a line that is left out is missed", () => {
  const { plan, lines } = counted();
  for (let i = 1; i < lines.length; i += 1) {
    const { faults, rows } = page.readSpoken(lines.filter((_, j) => j !== i).join("\n"), plan);
    assert.equal(faults.length, 1, lines[i]);
    assert.deepEqual(rows, [], lines[i]);
  }
});

test("lines of another trial, occasion or start do not pass", () => {
  const { plan, lines } = counted();
  const other = Object.assign({}, plan, { seal: "0000111122223333" });
  assert.deepEqual(page.readSpoken(lines.join("\n"), other).rows, []);
  const occasion = [lines[0].replace("/ 2 /", "/ 1 /"), ...lines.slice(1)];
  assert.deepEqual(page.readSpoken(occasion.join("\n"), plan).rows, []);
  assert.deepEqual(page.readSpoken("start", plan).rows, []);
});
