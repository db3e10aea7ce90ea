// What the programs that look at pages by themselves have alike: a tally of checks, and the browser.
const { chromium } = require("playwright-core");

/** A tally of checks under a name: those that fail are printed, `end` prints the sum and ends the program. */
function checks(name) {
  let passed = 0;
  let failed = 0;
  return {
    check(what, holds, detail = "") {
      if (holds) {
        passed += 1;
      } else {
        failed += 1;
        console.log(`FAILED ${what} ${detail}`);
      }
    },
    end() {
      console.log(`${name}: ${passed} passed, ${failed} failed`);
      process.exit(failed === 0 && passed > 0 ? 0 : 1);
    },
  };
}

/** Chromium without a window and without anything of its own to ask for. */
function browser() {
  return chromium.launch({
    executablePath: "/usr/bin/chromium",
    args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--disable-background-networking", "--disable-component-update", "--disable-sync"],
  });
}

/** What lies on what where a page is printed on a sheet of A4 with the margins of these pages, 15 mm at the sides. */
async function meetingOnPaper(page) {
  await page.setViewportSize({ width: Math.round((180 / 25.4) * 96), height: 1000 });
  await page.emulateMedia({ media: "print" });
  const found = await page.evaluate(() => {
    const pieces = [...document.querySelectorAll("h1, h2, p, dl, li, figcaption, figure > svg, footer")];
    // A piece may be broken between columns.
    const boxes = pieces.flatMap((piece) => [...piece.getClientRects()].map((box) => ({ piece, box })));
    const name = ({ piece }) => `${piece.tagName} "${piece.textContent.trim().slice(0, 40)}"`;
    const apart = (a, b) => a.piece.contains(b.piece) || b.piece.contains(a.piece);
    // A pixel is rounding.
    const meet = ({ box: a }, { box: b }) =>
      Math.min(a.right, b.right) - Math.max(a.left, b.left) > 1 && Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 1;
    return boxes.flatMap((a, i) => boxes.slice(i + 1).filter((b) => !apart(a, b) && meet(a, b)).map((b) => `${name(a)} lies on ${name(b)}`));
  });
  await page.emulateMedia({ media: null });
  return found;
}

module.exports = { checks, browser, meetingOnPaper };
