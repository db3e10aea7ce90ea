// A telephone in a browser: opens the page for counting and taps it as a thumb does.
const { chromium } = require("playwright-core");
const fs = require("node:fs");
const os = require("node:os");
const path = require("node:path");
const { parts } = require("../tally/parts.cjs");

const FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--disable-background-networking", "--disable-component-update", "--disable-sync"];
const SMALL = { width: 360, height: 640 };
const TALL = { width: 390, height: 844 };

function options(more) {
  return Object.assign({ executablePath: "/usr/bin/chromium", args: FLAGS, viewport: SMALL, hasTouch: true, isMobile: true, acceptDownloads: true,
    locale: "en-GB", timezoneId: "Europe/London", permissions: ["clipboard-read", "clipboard-write"] }, more);
}

/** A phone whose storage is a folder of its own, so that it outlives its browser. */
async function phone(more) {
  const folder = fs.mkdtempSync(path.join(os.tmpdir(), "halfgreen-phone-"));
  const it = { folder, context: null };
  it.switchOn = async () => {
    it.context = await chromium.launchPersistentContext(folder, options(more));
    return it;
  };
  /** Ends every process of this phone's browser at once, as an empty battery does. */
  it.die = async () => {
    const closed = it.context.waitForEvent("close").catch(() => {});
    for (const id of fs.readdirSync("/proc").filter((n) => /^\d+$/.test(n))) {
      let words = "";
      try {
        words = fs.readFileSync(`/proc/${id}/cmdline`, "utf8");
      } catch (gone) {
        continue;
      }
      if (words.includes(folder)) {
        try {
          process.kill(Number(id), "SIGKILL");
        } catch (gone) {
          // It ended with another of them.
        }
      }
    }
    await closed;
    for (const lock of ["SingletonLock", "SingletonSocket", "SingletonCookie"]) fs.rmSync(path.join(folder, lock), { force: true });
  };
  it.off = async () => {
    await it.context.close();
    fs.rmSync(folder, { recursive: true, force: true });
  };
  return it.switchOn();
}

/** Opens a page and notes everything that must not happen in it. */
async function open(context, address) {
  const page = await context.newPage();
  page.faults = [];
  page.asked = [];
  page.kept = [];
  page.on("pageerror", (e) => page.faults.push(String(e.stack || e)));
  page.on("console", (m) => m.type() === "error" && page.faults.push(m.text()));
  page.on("dialog", (d) => {
    if (d.type() !== "beforeunload") page.faults.push(`dialog ${d.message()}`);
    d.accept().catch(() => {});
  });
  page.on("request", (r) => !r.url().startsWith("blob:") && !r.url().startsWith("data:") && page.asked.push(r.url()));
  await page.exposeFunction("noteKept", (detail) => page.kept.push(detail));
  await page.addInitScript(() => {
    // The moment at which the page hears that the finger is lifted, for each click by its time stamp.
    const heard = new Map();
    let lifted = 0;
    document.addEventListener("pointerup", () => { lifted = performance.now(); }, true);
    document.addEventListener("click", (e) => heard.set(e.timeStamp, e.detail > 0 ? lifted : performance.now()), true);
    document.addEventListener("tally-kept", (e) => window.noteKept(Object.assign({ heard: heard.get(e.detail.tapped) }, e.detail)));
    window.buzzed = [];
    Object.defineProperty(navigator, "vibrate", { value: (p) => window.buzzed.push(p) });
  });
  await page.goto(address.includes("://") ? address : `file://${address}`);
  await page.waitForSelector(".view:not([hidden])");
  return page;
}

/** The lock after a change of view has passed. */
function settle(page) {
  return page.waitForTimeout(430);
}

async function start(page, name, occasion) {
  if (name) await page.fill("#who", name);
  if (occasion) await page.check(`#occasions input[value="${occasion}"]`);
  await page.click("#begin");
  await page.waitForSelector("#count:not([hidden])");
  await settle(page);
}

/** Taps the middle of a button so many times, as fast as a finger's events can be made, and waits until all taps are kept. */
async function tap(page, id, times) {
  const box = await page.locator(`#${id}`).boundingBox();
  const before = page.kept.length;
  for (let i = 0; i < times; i += 1) await page.touchscreen.tap(box.x + box.width / 2, box.y + box.height / 2);
  const until = Date.now() + 10000;
  while (page.kept.length < before + times && Date.now() < until) await page.waitForTimeout(5);
  if (page.kept.length !== before + times) throw new Error(`${times} taps on ${id}, ${page.kept.length - before} were answered`);
}

/** Counts by quick taps. */
async function count(page, n) {
  if (n >= 10) await tap(page, "ten", Math.floor(n / 10));
  if (n % 10 >= 5) await tap(page, "five", 1);
  if (n % 5 > 0) await tap(page, "plus", n % 5);
}

/** Ends a sample by a button and waits for the place or the view to change. */
async function finish(page, id) {
  const place = () => page.evaluate(() => document.querySelector(".view:not([hidden])").id + document.querySelector("#plot-name").textContent
    + ((document.querySelector("#samples [aria-current] span") || {}).textContent || ""));
  const before = await place();
  const until = Date.now() + 5000;
  await page.waitForTimeout(410);
  await page.click(`#${id}`);
  while ((await place()) === before) {
    if (Date.now() > until) throw new Error(`nothing changed after ${id} at ${before}`);
    await page.waitForTimeout(10);
  }
}

/** The rows that the page would send. */
async function text(page) {
  const before = await page.evaluate(() => document.querySelector(".view:not([hidden])").id);
  if (before === "count") {
    await page.click("#count-more");
    await page.click("#more-send");
  } else if (before === "walk") {
    await page.click("#walk-plots");
    await page.click("#plots-send");
  } else if (before === "take") {
    await page.click("#take-back");
    await page.click("#plots-send");
  } else {
    throw new Error(`no way to send from ${before}`);
  }
  const found = await page.inputValue("#send-text");
  await page.click("#send-back");
  await page.waitForSelector("#count:not([hidden])");
  await settle(page);
  return found;
}

/** Rows of a text by the names of their columns. */
function rows(csv) {
  return parts().readCsv(csv).rows;
}

module.exports = { SMALL, TALL, phone, open, settle, start, tap, count, finish, text, rows, FLAGS };
