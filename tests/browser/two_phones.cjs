// Two phones: their counts meet as files, as pasted text and as lines read out, and nothing is chosen for anybody.
const assert = require("node:assert");
const fs = require("node:fs");
const test = require("node:test");
const { phone, open, settle, start, tap, finish, text, rows } = require("./phone.cjs");
const trials = require(process.env.TALLY_TRIALS || "./trials.cjs");

const { small } = trials.pages();

/** Counts a plot, core after core; -1 is none found, null is skipped. */
async function plot(page, name, counts) {
  await page.click("#count-plots");
  await page.click(`#plots-list button:has-text("Plot ${name}")`);
  await page.waitForFunction((n) => document.getElementById("plot-name").textContent === `Plot ${n}`, name);
  await settle(page);
  for (const n of counts) {
    if (n > 0) await tap(page, "plus", n);
    await finish(page, n === 0 ? "none" : "done");
  }
  if (await page.isVisible("#walk")) await page.click("#walk-back");
  await page.waitForSelector("#count:not([hidden])");
  await settle(page);
}

async function toTake(page) {
  await page.click("#count-plots");
  await page.click("#plots-take");
}

async function saved(page) {
  await page.click("#count-more");
  await page.click("#more-send");
  const [download] = await Promise.all([page.waitForEvent("download"), page.click("#send-save")]);
  const content = fs.readFileSync(await download.path(), "utf8");
  await page.click("#send-back");
  await settle(page);
  return { name: download.suggestedFilename(), mimeType: "text/csv", buffer: Buffer.from(content) };
}

test("two phones count different plots and one the same, and merge", async () => {
  const [one, two] = [await phone(), await phone()];
  const [ann, ben] = [await open(one.context, small.page), await open(two.context, small.page)];
  await start(ann, "Ann", "main");
  await start(ben, "Ben", "main");
  await plot(ann, "1", [3, 0, 2, 4]);
  await plot(ann, "2", [1, 1, 0, 0]);
  await plot(ben, "3", [5, 0, 0, 1]);
  await plot(ben, "2", [1, 2, 0, 0]);

  await toTake(ann);
  await ann.setInputFiles("#take-file", await saved(ben));
  await ann.click("#take-look");
  await ann.waitForSelector("#take-found p");
  const found = await ann.textContent("#take-found");
  assert.match(found, /4 counts new here/);
  assert.match(found, /3 counts made twice with the same result/);
  assert.match(found, /1 place with another count here. Both are kept: plot 2, core 2: here 1 larva, there 2 larva/);
  await ann.click("#take-in");
  await ann.waitForSelector(".clash-box");
  assert.equal((await ann.$$(".clash-box")).length, 1);

  // Nobody chose: both are sent.
  const both = rows(await text(ann));
  const disputed = (all) => all.filter((r) => r.plot === "2" && r.sample === "2").map((r) => `${r.counter.slice(0, 3)} ${r.count}`);
  assert.deepEqual(disputed(both), ["Ann 1", "Ben 2"]);
  trials.check(small, await text(ann), { differ: true });

  await toTake(ann);
  await ann.click('.clash-box button:has-text("Use Ben")');
  await ann.waitForSelector(".clash-box", { state: "detached" });
  const merged = await text(ann);
  assert.deepEqual(disputed(rows(merged)), ["Ben 2"]);
  assert.match(merged, /kept of two counts: Ann \w{4} 1 larva[,;] Ben \w{4} 2 larva/);
  assert.equal(rows(merged).length, 12);
  trials.check(small, merged, { counted: 3 });

  // The other way round: what was merged comes to Ben, and he goes on with what Ann counted.
  await toTake(ben);
  await ben.fill("#take-text", merged);
  await ben.click("#take-look");
  await ben.click("#take-in");
  await ben.waitForFunction(() => document.getElementById("take-found").textContent.startsWith("Taken in"));
  await ben.click("#take-back");
  await ben.click('#plots-list button:has-text("Plot 1")');
  await ben.waitForSelector("#foreign:not([hidden])");
  assert.match(await ben.textContent("#foreign-words"), /^Counted by Ann \w{4}: 3 larva/);
  assert.equal(await ben.isVisible("#plus"), false);
  await ben.click("#foreign-take");
  await ben.waitForSelector("#plus:not([hidden])");
  await settle(ben);
  await tap(ben, "plus", 1);
  const [went] = rows(await text(ben)).filter((r) => r.plot === "1" && r.sample === "1");
  assert.equal(`${went.count} ${went.counter.slice(0, 3)} ${went.note.slice(0, 12)}`, "4 Ben begun by Ann");
  assert.deepEqual([...ann.faults, ...ben.faults], []);
  await one.off();
  await two.off();
});

test("lines that are read out are taken in by another phone; a wrong one is named and nothing is taken", async () => {
  const [one, two] = [await phone(), await phone()];
  const [ann, ben] = [await open(one.context, small.page), await open(two.context, small.page)];
  await start(ann, "Ann", "main");
  await start(ben, "", "main");
  await plot(ann, "1", [3, 0, 2, 4]);
  await plot(ann, "2", [1]);
  await ann.click("#count-more");
  await ann.click("#more-send");
  await ann.click("summary:has-text('Read it out')");
  const shown = await ann.$$eval("#spoken li", (all) => all.map((li) => li.childNodes[0].textContent + li.querySelector("b").textContent));
  await ann.click("#spoken-copy");
  await ann.waitForFunction(() => document.getElementById("send-said").textContent === "Lines copied.");
  const lines = await ann.evaluate(() => navigator.clipboard.readText());
  assert.equal(lines, shown.join("\n"));
  assert.match(lines, /^start \/ [0-9A-F]{4} \/ 2 \/ Ann \w{4} \/ [0-9A-Z]\n1: 3 0 2 4 = 9 [0-9A-Z]\n2: 1 - - - = 1 [0-9A-Z]\nend \/ 2 \/ 10 \/ [0-9A-Z]$/);
  await toTake(ben);
  await ben.fill("#take-text", lines.replace("3 0 2 4 = 9", "3 0 3 3 = 9"));
  await ben.click("#take-look");
  assert.match(await ben.textContent("#take-found"), /Hear this line again: 1: 3 0 3 3 = 9/);
  assert.equal(await ben.isVisible("#take-in"), false);
  await ben.fill("#take-text", lines);
  await ben.click("#take-look");
  await ben.click("#take-in");
  await ben.waitForFunction(() => document.getElementById("take-found").textContent.startsWith("Taken in"));
  const cells = (all) => rows(all).map((r) => [r.plot, r.sample, r.occasion, r.stage, r.count].join(" "));
  await ann.click("#send-back");
  await settle(ann);
  assert.deepEqual(cells(await text(ben)), cells(await text(ann)));
  await one.off();
  await two.off();
});

test("a damaged file is told line by line and its sound lines are offered", async () => {
  const it = await phone();
  const page = await open(it.context, small.page);
  await page.click("#start-take");
  await page.fill("#take-text", "plot,sample,occasion,count\n1,1,main,twelve\n99,1,main,3\n2,1,main,-1\n3,1,main,4\n");
  await page.click("#take-look");
  const found = await page.textContent("#take-found");
  assert.match(found, /Line 2 has a count that is no number/);
  assert.match(found, /Line 3 names a plot that this trial does not have/);
  assert.match(found, /Line 4 has a count below zero/);
  assert.match(found, /1 count new here/);
  await page.fill("#take-text", "not a table");
  await page.click("#take-look");
  assert.match(await page.textContent("#take-found"), /does not name the columns plot and count/);
  assert.equal(await page.isVisible("#take-in"), false);
  assert.deepEqual(page.faults, []);
  await it.off();
});
