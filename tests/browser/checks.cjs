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

module.exports = { checks, browser };
