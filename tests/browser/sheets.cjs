// Opens the pages of a field pack in Chromium and measures what stands on paper: boxes and rings of 12 mm, no sheet that
// runs over, as many pages printed as are numbered, no request to anywhere.
// Looks at the pack it is given and at that of a trial whose texts are as long and as odd as they may be.
// Usage: node sheets.cjs FOLDER_OF_PACK
const path = require("node:path");
const { checks, browser: launched } = require("./checks.cjs");
const { reports, scratch } = require("./reports.cjs");

const pages = ["sheets.html", "sheets-hidden.html", "pegging.html"];
const MM = 96 / 25.4;
const { check, end } = checks("sheets");

async function look(browser, folder, file) {
  const name = `${path.basename(path.dirname(folder))} ${file}`;
  const page = await browser.newPage({ viewport: { width: 1000, height: 1200 } });
  const asked = [];
  const errors = [];
  page.on("request", (r) => asked.push(r.url()));
  page.on("pageerror", (e) => errors.push(String(e)));
  await page.goto(`file://${path.join(folder, file)}`);
  await page.emulateMedia({ media: "print" });
  check(`${name}: asks for nothing but itself`, asked.length === 1, asked.join(" "));
  check(`${name}: no errors`, errors.length === 0, errors.join(" "));
  const facts = await page.evaluate(() => {
    const sheets = [...document.querySelectorAll(".sheet")];
    const over = sheets
      .map((sheet, i) => {
        const foot = sheet.querySelector("footer").getBoundingClientRect().top;
        const lowest = Math.max(...[...sheet.querySelectorAll(".body *")].map((e) => e.getBoundingClientRect().bottom));
        const right = sheet.getBoundingClientRect().right;
        const widest = Math.max(...[...sheet.querySelectorAll(".body *")].map((e) => e.getBoundingClientRect().right));
        return { page: i + 1, down: lowest - foot, across: widest - right };
      })
      .filter((o) => o.down > 0 || o.across > 0);
    // What is cut off at the end of its cell.
    const cut = [...document.querySelectorAll(".pegs td, .pegs th, .lines th, .walk th")]
      .filter((e) => e.scrollWidth > e.clientWidth + 1)
      .map((e) => e.textContent);
    const sizes = (sign) =>
      [...document.querySelectorAll(sign)].map((e) => {
        const box = e.getBoundingClientRect();
        return [box.width, box.height];
      });
    return {
      sheets: sheets.length,
      numbered: sheets.map((sheet) => sheet.querySelector("footer").innerText),
      sealed: sheets.filter((sheet) => /seal [0-9a-f]{4} /.test(sheet.querySelector("header").innerText)).length,
      over,
      cut,
      boxes: sizes(".lines .box"),
      rings: sizes(".lines .ring"),
      steps: sheets.filter((s) => s.querySelector("h2").innerText === "How to count").length,
    };
  });
  check(`${name}: nothing runs over`, facts.over.length === 0, JSON.stringify(facts.over.slice(0, 4)));
  check(`${name}: nothing is cut`, facts.cut.length === 0, JSON.stringify(facts.cut.slice(0, 8)));
  check(`${name}: the seal is on every sheet`, facts.sealed === facts.sheets, `${facts.sealed} of ${facts.sheets}`);
  facts.numbered.forEach((text, i) =>
    check(`${name}: page ${i + 1}`, text.includes(`page ${i + 1} of ${facts.sheets}`), text),
  );
  if (file !== "pegging.html") {
    check(`${name}: there are boxes`, facts.boxes.length > 0 && facts.rings.length > 0);
    check(`${name}: instructions stand on one side`, facts.steps === 1);
  }
  for (const [wide, high] of [...facts.boxes, ...facts.rings]) {
    check(`${name}: 12 mm for a pencil`, wide >= 12 * MM - 0.1 && high >= 12 * MM - 0.1, `${wide / MM} x ${high / MM} mm`);
  }
  const pdf = await page.pdf({ preferCSSPageSize: true });
  const printed = (pdf.toString("latin1").match(/\/Type\s*\/Page[^s]/g) || []).length;
  check(`${name}: as many pages as numbered`, printed === facts.sheets, `${printed} of ${facts.sheets}`);
  await page.close();
}

async function main() {
  const browser = await launched();
  const hostile = path.join(reports(scratch(), ["hostile"]).hostile, "../pack");
  for (const folder of [path.resolve(process.argv[2]), hostile]) {
    for (const file of pages) await look(browser, folder, file);
  }
  await browser.close();
  end();
}

main().catch((e) => {
  console.log(e);
  process.exit(1);
});
