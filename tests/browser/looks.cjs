// How the page looks and is reached: names of any kind, hidden treatments, two looks, a keyboard, and the rules of WCAG 2.2 AA.
const assert = require("node:assert");
const fs = require("node:fs");
const path = require("node:path");
const test = require("node:test");
const { SMALL, TALL, phone, open, settle, start, tap, finish, text, rows } = require("./phone.cjs");
const trials = require(process.env.TALLY_TRIALS || "./trials.cjs");

const { small, late, odd } = trials.pages();
const AXE = fs.readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
const TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];
/** Where pictures of every view are kept to be looked at, if anybody wants them. */
const PICTURES = process.env.TALLY_PICTURES;

async function faultsOf(page) {
  return page.evaluate(async (tags) => {
    const { violations } = await window.axe.run(document, { runOnly: tags });
    return violations.map((v) => `${v.id}: ${v.nodes.map((n) => n.html.slice(0, 120)).join(" | ")}`);
  }, TAGS);
}

/** Nothing sticks out sideways, no button is too small for a thumb, and no text is cut off within a button. */
async function shapes(page) {
  return page.evaluate(() => {
    const faults = [];
    const wide = document.documentElement.scrollWidth - document.documentElement.clientWidth;
    if (wide > 1) faults.push(`${wide} px wider than the screen`);
    for (const b of document.querySelectorAll("button, summary, input, textarea")) {
      const box = b.getBoundingClientRect();
      if (box.width === 0) continue;
      if (box.height < 43 && b.type !== "radio") faults.push(`${b.id || b.textContent} is ${box.width} x ${box.height}`);
      if (b.tagName === "BUTTON" && (b.scrollWidth > b.clientWidth + 1 || b.scrollHeight > b.clientHeight + 1)) faults.push(`${b.id || b.textContent} is cut off`);
    }
    return faults;
  });
}

/** Goes through every view, and has `look` see each. */
async function everyView(page, look) {
  await look("start");
  await start(page, "", "main");
  await look("count-none");
  await tap(page, "ten", 1);
  await look("count-some");
  await page.click("#correct");
  await settle(page);
  await look("correct");
  await page.click("#correct-back");
  await settle(page);
  await page.click("#count-more");
  await look("more");
  await page.click("#more-back");
  await settle(page);
  while (await page.isVisible("#count")) await finish(page, (await page.textContent("#done")) === "Done" ? "done" : "none");
  await look("walk");
  await page.click("#walk-plots");
  await look("plots");
  await page.click("#plots-send");
  for (const summary of await page.$$("summary")) await summary.click();
  await look("send");
  await page.click("#send-back");
  await page.click("#count-plots");
  await page.click("#plots-take");
  const [head, ...lines] = (await page.inputValue("#send-text")).split("\n").map((l) => l.split(","));
  const other = lines.map((l) => l.map((c, i) => ({ count: c === "10" ? "9" : c, counter: "Ben" })[head[i]] || c));
  await page.fill("#take-text", [head, ...other].map((l) => l.join(",")).join("\n"));
  await page.click("#take-look");
  await look("take");
  await page.click("#take-in");
  await page.waitForSelector(".clash-box");
  await look("clash");
  await page.click("#take-back");
  await look("plots-clash");
  await page.click("#plots-list button");
  await settle(page);
  const [worker] = page.workers();
  await worker.evaluate(() => { IDBObjectStore.prototype.add = () => { throw new DOMException("full", "QuotaExceededError"); }; });
  await page.click("#samples button:nth-child(2)");
  await page.waitForSelector("#alarm:not([hidden])");
  await look("alarm");
  await page.click("#alarm-smaller");
  await look("alarm-small");
}

for (const [name, trial, size, light] of [["small", small, SMALL, false], ["late", late, TALL, true], ["odd", odd, SMALL, true], ["odd", odd, TALL, false], ["late", late, { width: 320, height: 568 }, false]]) {
  const look = light ? "light" : "dark";
  test(`every view of ${name} at ${size.width} in ${look}`, async () => {
    const it = await phone({ viewport: size });
    const page = await open(it.context, trial.page);
    assert.equal(await page.evaluate(() => document.documentElement.dataset.look), "dark");
    if (light) {
      await page.click("#look");
      await page.waitForFunction(() => document.documentElement.dataset.look === "light");
    }
    await page.evaluate(AXE);
    const found = [];
    await everyView(page, async (view) => {
      if (PICTURES) await page.screenshot({ path: path.join(PICTURES, `${name}-${size.width}-${look}-${view}.png`), fullPage: view !== "start" });
      found.push(...(await faultsOf(page)).map((f) => `${view}: ${f}`), ...(await shapes(page)).map((f) => `${view}: ${f}`));
    });
    assert.deepEqual(found, []);
    assert.deepEqual(page.faults, []);
    await it.off();
  });
}

test("names are text, whatever they are made of", async () => {
  const it = await phone();
  const page = await open(it.context, odd.page);
  assert.equal(await page.textContent("#trial-title"), odd.title);
  assert.equal(await page.title(), `Tally: ${odd.title}`);
  assert.equal(await page.evaluate(() => document.scripts.length), 2);
  await start(page, "=cmd|' /C calc'!A0 <img src=x onerror=alert(1)>", "main");
  await tap(page, "plus", 1);
  const sent = await text(page);
  const [row] = rows(sent);
  assert.match(sent, /,'=cmd/);
  assert.match(row.counter, /^=cmd/);
  assert.equal(row.plot, "1");
  assert.equal(await page.$("img"), null);
  assert.deepEqual(page.faults, []);
  await it.off();
});

test("a counter who must not know the treatments finds them nowhere in the page", () => {
  const source = fs.readFileSync(late.page, "utf8");
  assert.ok(late.treatments.length > 1 && late.treatments.every((t) => !source.includes(t)));
  assert.ok(small.treatments.every((t) => fs.readFileSync(small.page, "utf8").includes(t)));
});

test("a keyboard does all that a thumb does", async () => {
  const it = await phone({ hasTouch: false, isMobile: false });
  const page = await open(it.context, small.page);
  for (let i = 0; i < 12 && (await page.evaluate(() => document.activeElement.id)) !== "begin"; i += 1) await page.keyboard.press("Tab");
  await page.keyboard.press("Enter");
  await page.waitForSelector("#count:not([hidden])");
  await settle(page);
  assert.equal(await page.evaluate(() => document.activeElement.id), "plus");
  await page.keyboard.press("Space");
  await page.keyboard.press("ArrowUp");
  await page.keyboard.press("PageUp");
  // A key that is held down is one press.
  await page.keyboard.down("Enter");
  for (let i = 0; i < 5; i += 1) await page.keyboard.down("Enter");
  await page.keyboard.up("Enter");
  await page.waitForFunction(() => document.getElementById("number").textContent === "13");
  await page.waitForTimeout(420);
  await page.keyboard.press("ArrowRight");
  await page.waitForFunction(() => document.querySelector("#samples [aria-current] span").textContent === "Core 2");
  const seen = new Set();
  for (let i = 0; i < 30; i += 1) {
    await page.keyboard.press("Tab");
    seen.add(await page.evaluate(() => document.activeElement.id || document.activeElement.getAttribute("aria-label") || document.activeElement.textContent));
  }
  for (const id of ["count-plots", "count-more", "correct", "done", "none", "five", "ten", "plus", "Core 113 ✓: 13, done", "Pupa"]) assert.ok(seen.has(id), `${id} in ${[...seen]}`);
  await it.off();
});
