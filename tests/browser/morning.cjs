// A whole morning: 48 plots of 4 cores by more than 2 000 taps, with a reload and an empty battery in the middle.
const assert = require("node:assert");
const fs = require("node:fs");
const test = require("node:test");
const { phone, open, settle, start, count, finish, tap, text, rows } = require("./phone.cjs");
const trials = require(process.env.TALLY_TRIALS || "./trials.cjs");

/** Small whole numbers that are the same in every run (Park and Miller 1988). */
function numbers(seed) {
  let s = seed;
  return () => {
    s = (s * 48271) % 2147483647;
    return s / 2147483647;
  };
}

/** Clumped counts: many cores hold none, few hold many. */
function drawn(next) {
  return next() < 0.2 ? 0 : Math.min(90, Math.floor(-17 * Math.log(1 - next())) + 1);
}

/** As many taps of one as `n`, so that the morning has its thousands. */
async function countOnes(page, n) {
  if (n >= 40) await count(page, n);
  else await tap(page, "plus", n);
}

test("nothing is lost in a morning", async () => {
  const { large } = trials.pages();
  const it = await phone();
  let page = await open(it.context, large.page);
  await start(page, "Ann", "main");
  const next = numbers(20260918);
  const expected = [];
  const times = [];
  for (let plot = 1; plot <= 48; plot += 1) {
    assert.equal(await page.textContent("#plot-name"), `Plot ${plot}`);
    for (let core = 1; core <= 4; core += 1) {
      const n = drawn(next);
      expected.push(`${plot},${core},${n}`);
      if (n > 0) await countOnes(page, n);
      if (plot === 20 && core === 2) {
        times.push(...page.kept);
        await page.reload();
        await page.waitForSelector("#count:not([hidden])");
        page.kept.length = 0;
        await settle(page);
        assert.equal(await page.textContent("#number"), String(n));
      }
      if (plot === 31 && core === 3) {
        // The last tap was told to be kept a moment ago; then everything stops.
        times.push(...page.kept);
        await it.die();
        await it.switchOn();
        page = await open(it.context, large.page);
        await page.waitForSelector("#count:not([hidden])");
        await settle(page);
        assert.equal(await page.textContent("#plot-name"), `Plot ${plot}`);
        assert.equal(await page.textContent("#number"), String(n));
      }
      await finish(page, n > 0 ? "done" : "none");
    }
    assert.equal(await page.textContent("#walk-head"), `Plot ${plot} done ✓`);
    await settle(page);
    await page.click("#walk-go");
    await page.waitForSelector(plot < 48 ? "#count:not([hidden])" : "#send:not([hidden])");
    await settle(page);
  }
  times.push(...page.kept);
  assert.ok(times.length >= 2000, `${times.length} taps`);

  const [download] = await Promise.all([page.waitForEvent("download"), page.click("#send-save")]);
  const file = await download.path();
  const sent = fs.readFileSync(file, "utf8");
  assert.deepEqual(rows(sent).map((r) => `${r.plot},${r.sample},${r.count}`), expected);
  assert.ok(rows(sent).every((r) => r.occasion === "main" && r.stage === "larva" && r.counter.startsWith("Ann ") && /T.*[+-]\d\d:\d\d$/.test(r.counted_at)));
  assert.match(download.suggestedFilename(), /^counts-.*\.csv$/);
  trials.check(large, sent, { counted: 48 });
  await page.click("#send-back");
  await page.waitForSelector("#count:not([hidden])");
  assert.equal(await text(page), sent.replace(/\r/g, ""));
  assert.deepEqual(page.faults, []);
  tell("taps without a pause", times);
  await it.off();
});

/** How long it took from the tap until it was stored, and until the page could answer. */
function tell(what, kept) {
  const spread = (from, to) => {
    const sorted = kept.map((k) => k[to] - k[from]).sort((a, b) => a - b);
    const at = (share) => sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))].toFixed(1);
    return `median ${at(0.5)} ms, 95 % under ${at(0.95)} ms, worst ${at(1)} ms`;
  };
  console.log(`${kept.length} ${what}`);
  console.log(`  tap to stored: ${spread("tapped", "stored")}`);
  console.log(`  of that, from when the page hears of the tap: ${spread("heard", "stored")}`);
  console.log(`  tap to answer: ${spread("tapped", "answered")}`);
}

// Six taps in a second are fast for a thumb. The bound is loose, for other work may be under way on the machine of a test.
test("a tap at the pace of a thumb is stored before the next one", async () => {
  const { small } = trials.pages();
  const it = await phone();
  const page = await open(it.context, small.page);
  await start(page, "", "main");
  const box = await page.locator("#plus").boundingBox();
  for (let i = 0; i < 80; i += 1) {
    await page.touchscreen.tap(box.x + box.width / 2, box.y + box.height / 2);
    await page.waitForTimeout(150);
  }
  const times = page.kept.map((k) => k.stored - k.tapped);
  assert.equal(times.length, 80);
  tell("taps at the pace of a thumb", page.kept);
  assert.ok(times.sort((a, b) => a - b)[40] < 150);
  // Until the page hears of it, a made touch waits for a picture that the browser draws on its driver's behalf; a finger's does not.
  page.kept.length = 0;
  for (let i = 0; i < 80; i += 1) {
    await page.evaluate(() => document.getElementById("plus").click());
    await page.waitForTimeout(50);
  }
  assert.equal(page.kept.length, 80);
  tell("clicks without a finger", page.kept);
  assert.equal(await page.textContent("#number"), "160");
  await it.off();
});

test("a tap that was told to be kept outlives the browser that dies at once", async () => {
  const { small } = trials.pages();
  const it = await phone();
  let kept = 0;
  for (let round = 0; round < 5; round += 1) {
    const page = await open(it.context, small.page);
    if (round === 0) await start(page, "");
    await page.waitForSelector("#count:not([hidden])");
    await settle(page);
    const found = Number(await page.textContent("#number"));
    assert.ok(found >= kept, `${found} of ${kept} taps are there`);
    const box = await page.locator("#plus").boundingBox();
    for (let i = 0; i < 4 + round; i += 1) await page.touchscreen.tap(box.x + 50, box.y + 50);
    await page.waitForTimeout(round * 7);
    kept = found + page.kept.length;
    await it.die();
    await it.switchOn();
  }
  await it.off();
});
