// What happens in the field: slips of the thumb, full storage, a second tab, a wrong clock, no signal, late comers.
const assert = require("node:assert");
const fs = require("node:fs");
const test = require("node:test");
const { phone, open, settle, start, tap, finish, text, rows } = require("./phone.cjs");
const trials = require(process.env.TALLY_TRIALS || "./trials.cjs");

const { small, late } = trials.pages();
const number = (page) => page.textContent("#number");
const marks = (page) => page.$$eval("#samples small", (all) => all.map((s) => s.textContent).join(" "));

/** A fresh phone with the page of a small trial open, ready to count; it is switched off in the end. */
async function with_phone(work, address, clock) {
  const it = await phone();
  try {
    if (clock) await it.context.clock.install({ time: new Date(clock) });
    const page = await open(it.context, address || small.page);
    await work(page, it);
    assert.deepEqual(page.faults, []);
  } finally {
    await it.off();
  }
}

test("taking back needs two taps in two places, and can be put back", () => with_phone(async (page) => {
  await start(page, "", "main");
  await tap(page, "plus", 3);
  await tap(page, "five", 1);
  await page.click("#correct");
  // A thumb that drums on where the big button was takes nothing back and adds nothing.
  for (let i = 0; i < 3; i += 1) await page.touchscreen.tap(180, 560);
  await settle(page);
  assert.equal(await page.isVisible("#count"), true);
  await settle(page);
  assert.equal(await number(page), "8");
  await page.click("#correct");
  await settle(page);
  assert.equal(await page.textContent("#undo"), "Take back: +5");
  await page.click("#undo");
  await page.waitForFunction(() => document.getElementById("correct-number").textContent === "3");
  await page.click("#minus");
  await page.waitForFunction(() => document.getElementById("correct-number").textContent === "2");
  await page.click("#undo");
  await page.click("#redo");
  await page.waitForFunction(() => document.getElementById("correct-number").textContent === "2");
  await page.click("#correct-back");
  await settle(page);
  assert.equal(await number(page), "2");
}));

test("none found is told apart from not counted, and a double tap does not say it twice", () => with_phone(async (page) => {
  await start(page, "", "main");
  assert.equal(await page.textContent("#done"), "Skip");
  await page.dblclick("#none");
  await settle(page);
  assert.equal(await marks(page), "0 ✓ – – –");
  await finish(page, "done");
  assert.equal(await page.textContent("#said"), "Core 2 was not counted");
  await tap(page, "plus", 2);
  assert.equal(await page.isDisabled("#none"), true);
  await page.waitForTimeout(420);
  await page.dblclick("#done");
  await settle(page);
  assert.equal(await marks(page), "0 ✓ – 2 ✓ –");
  const sent = rows(await text(page));
  assert.deepEqual(sent.map((r) => [r.sample, r.count]), [["1", "0"], ["3", "2"]]);
}));

/** The storage that the browser of a phone allows pages that are files, in bytes; null is as much as it likes. */
async function allow(it, quotaSize) {
  const page = it.context.pages()[0];
  const session = await it.context.newCDPSession(page);
  await session.send("Storage.overrideQuotaForOrigin", { origin: "file:///", ...(quotaSize === null ? {} : { quotaSize }) });
}

test("full storage is said so that nobody can miss it; counts stay, can be copied, and are stored when there is room", async () => {
  const it = await phone();
  // A few thousand bytes are soon full, and then it is the browser that refuses. What is allowed is asked for once in a while only,
  // so that it is set before the page opens.
  await allow(it, 6000);
  const page = await open(it.context, small.page);
  await start(page, "", "main");
  let taps = 0;
  for (; taps < 100 && page.kept.every((k) => k.kept); taps += 1) await tap(page, "plus", 1);
  assert.ok(taps > 2 && taps < 100, `${taps} taps until storage was full`);
  await tap(page, "plus", 2);
  assert.equal(await page.isVisible("#alarm"), true);
  assert.match(await page.textContent("#alarm"), /NOT STORED.*storage is full.*3 entries are only in this page/);
  assert.equal(await number(page), String(taps + 2));
  assert.equal(await page.getAttribute("#number", "class"), "unkept beat");
  assert.deepEqual(page.kept.map((k) => k.kept), [...Array(taps - 1).fill(true), false, false, false]);
  await page.click("#alarm-copy");
  await page.waitForFunction(() => document.getElementById("alarm-copy").textContent === "Copied");
  assert.equal(rows(await page.evaluate(() => navigator.clipboard.readText()))[0].count, String(taps + 2));
  const [download] = await Promise.all([page.waitForEvent("download"), page.click("#alarm-save")]);
  assert.equal(rows(fs.readFileSync(await download.path(), "utf8"))[0].count, String(taps + 2));
  await allow(it, null);
  await tap(page, "plus", 1);
  assert.equal(await page.isVisible("#alarm"), false);
  await page.reload();
  await page.waitForSelector("#count:not([hidden])");
  assert.equal(await number(page), String(taps + 3));
  assert.deepEqual(page.faults, []);
  await it.off();
});

test("what storage takes and then gives up is not told as stored", () => with_phone(async (page) => {
  await start(page, "", "main");
  await tap(page, "plus", 2);
  const [worker] = page.workers();
  // As where the disk fails while the database writes: the whole transaction is undone.
  await worker.evaluate(() => {
    self.realCommit = IDBTransaction.prototype.commit;
    IDBTransaction.prototype.commit = function commit() { this.abort(); };
  });
  await tap(page, "plus", 3);
  assert.equal(await page.isVisible("#alarm"), true);
  assert.equal(await number(page), "5");
  await worker.evaluate(() => { IDBTransaction.prototype.commit = self.realCommit; });
  // No tap is needed for that: the page tries again by itself.
  await page.waitForSelector("#alarm", { state: "hidden" });
  await page.reload();
  await page.waitForSelector("#count:not([hidden])");
  assert.equal(await number(page), "5");
}));

test("a page stores by itself where its worker falls silent, stores after all, or cannot be made", () => with_phone(async (page, it) => {
  await start(page, "", "main");
  await tap(page, "plus", 2);
  const [worker] = page.workers();
  // The first of these is stored by the worker, which does not tell; the page stores it again, and it counts once.
  await worker.evaluate(() => { self.postMessage = () => {}; });
  await tap(page, "plus", 3);
  assert.ok(page.kept.slice(2).every((k) => k.kept === true));
  assert.equal(await number(page), "5");
  assert.equal(page.workers().length, 0);
  await tap(page, "five", 1);
  await page.reload();
  await page.waitForSelector("#count:not([hidden])");
  assert.equal(await number(page), "10");
  await it.context.addInitScript(() => { window.Worker = function none() { throw new DOMException("no", "SecurityError"); }; });
  const bare = await open(it.context, small.page);
  await settle(bare);
  await tap(bare, "plus", 1);
  assert.equal(bare.workers().length, 0);
  assert.equal(await bare.isVisible("#alarm"), false);
  await bare.reload();
  await bare.waitForSelector("#count:not([hidden])");
  assert.equal(await number(bare), "11");
  assert.deepEqual(bare.faults, []);
}));

test("a browser without a database uses its plain storage, and one without any says so at once", async () => {
  await with_phone(async (first, it) => {
    await it.context.addInitScript(() => Object.defineProperty(window, "indexedDB", { get() { throw new DOMException("no", "SecurityError"); } }));
    const page = await open(it.context, small.page);
    assert.match(await page.textContent("#kept-where"), /Send a copy after each plot/);
    await start(page, "", "main");
    await tap(page, "plus", 4);
    await page.reload();
    await page.waitForSelector("#count:not([hidden])");
    assert.equal(await number(page), "4");
    await it.context.addInitScript(() => Object.defineProperty(window, "localStorage", { get() { throw new DOMException("no", "SecurityError"); } }));
    const bare = await open(it.context, small.page);
    assert.match(await bare.textContent("#alarm"), /(STORES NOTHING|NOT STORED)/);
    await start(bare, "", "main");
    await tap(bare, "plus", 2);
    assert.equal(await number(bare), "2");
    assert.deepEqual([...page.faults, ...bare.faults], []);
  });
});

test("two tabs of one phone are one phone", () => with_phone(async (page, it) => {
  await start(page, "Ann", "main");
  await tap(page, "plus", 2);
  const other = await open(it.context, small.page);
  await other.waitForSelector("#count:not([hidden])");
  await settle(other);
  assert.equal(await number(other), "2");
  for (let i = 0; i < 3; i += 1) {
    await other.bringToFront();
    await tap(other, "plus", 2);
    await page.bringToFront();
    await tap(page, "plus", 1);
  }
  await page.waitForFunction(() => document.getElementById("number").textContent === "11");
  await other.bringToFront();
  await other.waitForFunction(() => document.getElementById("number").textContent === "11");
  assert.equal(await text(other), await text(page));
  assert.deepEqual(other.faults, []);
}));

test("a clock that is put back is told and changes no count", () => with_phone(async (page) => {
  await start(page, "", "main");
  await tap(page, "plus", 3);
  await page.clock.setSystemTime(new Date("2025-01-01T03:00:00+00:00"));
  await tap(page, "plus", 2);
  assert.match(await page.textContent("#said"), /clock was put back/);
  await finish(page, "done");
  await page.reload();
  await page.waitForSelector("#count:not([hidden])");
  const [row] = rows(await text(page));
  assert.equal(row.count, "5");
  assert.equal(row.counted_at.slice(0, 10), "2025-01-01");
}, small.page, "2026-09-18T06:00:00+01:00"));

test("the first page tells when the phone's day is not the planned one", () => with_phone(async (page) => {
  assert.match(await page.textContent("#clock-doubt"), /^Planned for .*This phone says Thu,? 17 Sep/);
}, small.page, "2026-09-17T06:00:00+01:00"));

test("no network is asked for and none is needed", () => with_phone(async (page, it) => {
  await it.context.setOffline(true);
  await page.reload();
  await start(page, "", "main");
  await tap(page, "plus", 1);
  await page.reload();
  await page.waitForSelector("#count:not([hidden])");
  assert.equal(await number(page), "1");
  assert.ok(page.asked.length > 0 && page.asked.every((a) => a.startsWith("file://") && a.endsWith(".html")), page.asked.join(" "));
  // Even what somebody put into it could not leave.
  const left = await page.evaluate(() => fetch("https://larkrise.example/").then(() => "left", () => "stayed"));
  assert.equal(left, "stayed");
  page.faults.length = 0;
}));

test("late comers, stages, a part of the plot and a note go out with the counts", () => with_phone(async (page) => {
  await start(page, "", "main");
  await tap(page, "ten", 2);
  await page.click("#stages button:nth-child(2)");
  await tap(page, "plus", 1);
  await page.click("#count-more");
  await page.click("#areas button:nth-child(2)");
  await page.waitForFunction(() => document.getElementById("more-said").textContent.includes("0.25"));
  await page.click("#phrases button:nth-child(2)");
  await page.click("#note-set");
  await page.waitForFunction(() => document.getElementById("more-said").textContent === "Note kept.");
  await page.click("#more-back");
  await settle(page);
  // A quarter of a square metre stands for more ground than the plot's four cores: the plot is through.
  await finish(page, "done");
  assert.equal(await page.textContent("#walk-head"), "Plot 1 done ✓");
  await page.click("#walk-back");
  await settle(page);
  await page.click("#moments button:nth-child(2)");
  await page.waitForFunction(() => document.querySelector("#moments button:nth-child(2)").getAttribute("aria-pressed") === "true");
  await page.click("#samples button:nth-child(1)");
  await tap(page, "plus", 3);
  await finish(page, "done");
  const sent = rows(await text(page)).map((r) => [r.sample, r.stage, r.count, r.area_m2, r.minutes_after_lift, r.note].join("|"));
  assert.deepEqual(sent, ["1|larva|20|0.25|0|Birds fed", "1|pupa|1|0.25|0|", "1|larva|3|0.25|15|Birds fed"]);
}, late.page));

test("fifteen minutes after the lift the page calls back to the plot", () => with_phone(async (page) => {
  await start(page, "", "main");
  await tap(page, "plus", 1);
  await page.click("#count-plots");
  await page.click("#plots-list li:nth-child(2) button");
  await settle(page);
  assert.equal(await page.isVisible("#due-now"), false);
  await page.clock.fastForward("15:30");
  await page.waitForSelector("#due-now:not([hidden])");
  assert.equal(await page.textContent("#due-now"), "Plot 1: 15 min are up");
  await page.click("#due-now");
  await page.waitForFunction(() => document.getElementById("plot-name").textContent === "Plot 1");
  assert.equal(await page.textContent("#moments [aria-pressed=true]"), "+15 min");
}, late.page, "2026-09-18T06:00:00+01:00"));

test("the page buzzes, asks to stay lit, and says when a count is more than its ground can hold", () => with_phone(async (first, it) => {
  await it.context.addInitScript(() => {
    window.lit = 0;
    Object.defineProperty(navigator, "wakeLock", { value: { request: async () => { window.lit += 1; return { released: false }; } } });
  });
  const page = await open(it.context, small.page);
  await start(page, "", "main");
  await tap(page, "plus", 1);
  assert.ok((await page.evaluate(() => window.buzzed.length)) >= 1);
  assert.equal(await page.evaluate(() => window.lit), 1);
  await tap(page, "ten", 12);
  assert.match(await page.textContent("#said"), /More than a core can hold/);
  assert.deepEqual(page.faults, []);
}));

test("counts are shared as a file where the phone can, else as text", () => with_phone(async (first, it) => {
  await it.context.addInitScript(() => {
    window.shared = [];
    Object.defineProperty(navigator, "canShare", { value: () => window.files !== false });
    Object.defineProperty(navigator, "share", { value: async (data) => window.shared.push(data.files ? await data.files[0].text() : data.text) });
  });
  const page = await open(it.context, small.page);
  await start(page, "", "main");
  await tap(page, "plus", 3);
  const sent = await text(page);
  await page.click("#count-more");
  await page.click("#more-send");
  await page.click("#send-share");
  await page.waitForFunction(() => document.getElementById("send-said").textContent === "Shared.");
  await page.evaluate(() => { window.files = false; });
  await page.click("#send-share");
  await page.waitForFunction(() => window.shared.length === 2);
  const shared = await page.evaluate(() => window.shared);
  assert.deepEqual(shared.map((s) => s.replace(/\r/g, "")), [sent, sent]);
}));
