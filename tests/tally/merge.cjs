// Two phones, copies and files: nothing is lost, and nobody chooses but the one who looks.
const assert = require("node:assert");
const test = require("node:test");
const { page, planOf, phone, takeIn } = require("./plan.cjs");

const plan = planOf(["1", "2", "3"], 2);
const k = (plot, sample) => ["main", plot, sample];
const text = (p) => page.csvText(page.allRows(p.state, plan));
const view = (p, plot, sample, m) => page.unitView(p.state, plan, k(plot, sample), m || 0);

function ann() {
  const one = phone("K7QF", "Ann");
  one.add(k("1", "1"), 3);
  one.done(k("1", "1"));
  one.none(k("1", "2"));
  one.add(k("2", "1"), 5);
  one.tap({ o: "note", k: k("2", "1"), text: "=1+1; \"wet\", windy" });
  one.tap({ o: "note", k: k("3", "2"), text: "sheet blown off" });
  return one;
}

test("a copy taken in by a new phone says the same", () => {
  const one = ann();
  const two = phone("B2CD", "");
  const { complaints, told } = takeIn(two, plan, text(one));
  assert.deepEqual(complaints.map((c) => c.rule), ["not-counted"]);
  assert.equal(told.fresh, 3);
  assert.equal(text(two).replace(/B2CD/g, "Ann K7QF"), text(one));
  assert.ok(text(one).includes('"\'=1+1; ""wet"", windy; count not marked done"'));
  assert.equal(view(two, "2", "1").state, "begun");
  assert.equal(takeIn(two, plan, text(one)).told.same, 3);
});

test("two phones on different plots merge, whichever takes in the other", () => {
  const one = ann();
  const two = phone("B2CD", "Ben");
  two.add(k("3", "1"), 7);
  two.done(k("3", "1"));
  const [a, b] = [text(one), text(two)];
  takeIn(one, plan, b);
  takeIn(two, plan, a);
  assert.equal(text(one).replace(/,Ben B2CD|,Ann K7QF/g, ""), text(two).replace(/,Ben B2CD|,Ann K7QF/g, ""));
  assert.deepEqual(page.allClashes(one.state, plan), []);
});

test("two counts that agree are one row with both names", () => {
  const one = ann();
  const two = phone("B2CD", "Ben");
  two.add(k("1", "1"), 3);
  two.done(k("1", "1"));
  assert.equal(takeIn(one, plan, text(two)).told.agree, 1);
  const rows = page.allRows(one.state, plan).filter((r) => r.plot === "1" && r.sample === "1");
  assert.deepEqual(rows.map((r) => [r.count, r.counter]), [["3", "Ann K7QF & Ben B2CD"]]);
});

test("two counts that differ are both sent until somebody chooses, and a new tap asks again", () => {
  const one = ann();
  const two = phone("B2CD", "Ben");
  two.add(k("1", "1"), 4);
  two.add(k("1", "1"), 1, "pupa");
  two.done(k("1", "1"));
  assert.equal(takeIn(one, plan, text(two)).told.differ.length, 1);
  const clash = view(one, "1", "1");
  assert.equal(clash.state, "clash");
  const both = () => page.allRows(one.state, plan).filter((r) => r.plot === "1" && r.sample === "1").map((r) => `${r.counter} ${r.count} ${r.stage}`);
  assert.deepEqual(both(), ["Ann K7QF 3 larva", "Ann K7QF 0 pupa", "Ben B2CD 4 larva", "Ben B2CD 1 pupa"]);
  one.tap({ o: "choose", k: k("1", "1"), m: 0, counter: "Ben B2CD", sign: clash.sign });
  assert.deepEqual(both(), ["Ben B2CD 4 larva", "Ben B2CD 1 pupa"]);
  const [kept] = page.allRows(one.state, plan).filter((r) => r.plot === "1" && r.sample === "1");
  assert.equal(kept.note, "kept of two counts: Ann K7QF 3 larva, 0 pupa, Ben B2CD 4 larva, 1 pupa");
  one.add(k("1", "1"), 1);
  assert.equal(view(one, "1", "1").state, "clash");
});

test("the same number on other ground is another count", () => {
  const one = ann();
  const two = phone("B2CD", "Ben");
  two.add(k("1", "1"), 3);
  two.tap({ o: "area", k: k("1", "1"), area: 0.25 });
  two.done(k("1", "1"));
  takeIn(one, plan, text(two));
  assert.equal(view(one, "1", "1").state, "clash");
});

test("an old copy of a phone's own counts never takes their place", () => {
  const one = ann();
  const old = text(one);
  one.add(k("1", "1"), 1);
  const { told } = takeIn(one, plan, old);
  assert.equal(told.differ.length, 1);
  assert.equal(told.same, 2);
  assert.equal(view(one, "1", "1").state, "clash");
  assert.equal(page.unitView(one.state, plan, k("1", "1"), 0).shown.counts.get("larva"), 4);
});

test("going on with another's count keeps who began it", () => {
  const one = ann();
  const two = phone("B2CD", "Ben");
  takeIn(two, plan, text(one));
  const taken = two.tap({ o: "take", k: k("2", "1"), m: 0, counter: "Ann K7QF" });
  two.add(k("2", "1"), 2);
  two.done(k("2", "1"));
  const rows = () => page.allRows(two.state, plan).filter((r) => r.plot === "2");
  assert.deepEqual(rows().map((r) => [r.count, r.counter, r.note]), [["7", "Ben B2CD", "=1+1; \"wet\", windy; begun by Ann K7QF"]]);
  two.tap({ o: "undo", of: taken });
  // What was tapped since stands by itself, beside what Ann counted.
  assert.deepEqual(rows().map((r) => [r.count, r.counter]), [["2", "Ben B2CD"], ["5", "Ann K7QF"]]);
});

test("late comers and stages stand by themselves; what is taken back can be put back", () => {
  const one = phone("K7QF", "");
  one.add(k("1", "1"), 3);
  one.done(k("1", "1"));
  const late = one.add(k("1", "1"), 2, "larva", 15);
  one.done(k("1", "1"), 15);
  one.add(k("1", "1"), 1, "pupa", 15);
  const told = () => page.allRows(one.state, plan).map((r) => `${r.minutes_after_lift} ${r.stage} ${r.count}`);
  assert.deepEqual(told(), ["0 larva 3", "15 larva 2", "15 pupa 1"]);
  one.tap({ o: "undo", of: late });
  assert.deepEqual(told(), ["0 larva 3", "15 larva 0", "15 pupa 1"]);
  one.tap({ o: "redo", of: late });
  assert.deepEqual(told(), ["0 larva 3", "15 larva 2", "15 pupa 1"]);
});

test("a clock that is put back changes the order of nothing", () => {
  const one = phone("K7QF", "");
  one.add(k("1", "1"), 10, "larva", 0, "2026-09-18T06:12:05+01:00");
  one.add(k("1", "1"), -1, "larva", 0, "2020-01-01T00:00:00+00:00");
  one.done(k("1", "1"), 0, "2020-01-01T00:00:01+00:00");
  const [row] = page.allRows(one.state, plan);
  assert.deepEqual([row.count, row.counted_at], ["9", "2020-01-01T00:00:01+00:00"]);
});

test("text that is no table is said, whatever it is", () => {
  const one = ann();
  for (const odd of ["", "\ufeff", "plot", "plot,count\n1", "plot,plot,count\n1,1,2", "plot,count\n\"1,2", "\u0000\u0001", "a;b\n1;2", ",,,\n,,,"]) {
    const before = text(one);
    takeIn(one, plan, odd);
    assert.equal(text(one), before, odd);
  }
  const [row] = page.readCsv("plot;count;note\r1;2;\"a;\nb\"\r").rows;
  assert.deepEqual([row.plot, row.count, row.note, row.line], ["1", "2", "a;\nb", 2]);
});
