// Opens the pages of reports in Chromium as telephone, tablet and desktop show them, in light and dark, and on paper, and fails
// on what a reader would trip over: requests to anywhere, errors, sideways scrolling, pictures without words, faint text,
// faults of HTML, half-empty sheets. Looks at the report it is given and at those of the smallest, the largest, a thousand plots and a
// hostile trial, whose titles, names and notes are as long and as odd as they may be, and of a pool of clubs with such names. Usage: node pages.cjs FOLDER_OF_REPORT
// PAGES_PICTURES=FOLDER keeps a picture of every view, to be looked at.
const { execFileSync } = require("node:child_process");
const fs = require("node:fs");
const path = require("node:path");
const { checks, browser: launched, meetingOnPaper } = require("./checks.cjs");
const { HtmlValidate } = require("html-validate/node");
const { pools, printed, reports, scratch } = require("./reports.cjs");

const AXE = fs.readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
const TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];
const WIDTHS = [320, 360, 768, 1280];
const LARGEST = 1.5e6;
/** Pages that are held to one sheet of A4, whatever people wrote. */
const ONE_SHEET = ["members.html", "association.html"];
const PICTURES = process.env.PAGES_PICTURES;

const { check, end } = checks("pages");

// The standard's rules; how a page is spelt (case, order, inline styles of figures) is the house's affair.
const validator = new HtmlValidate({
  extends: ["html-validate:standard", "html-validate:a11y"],
  rules: { "svg-focusable": "off", "no-inline-style": "off", "long-title": "off", "no-trailing-whitespace": "off", "prefer-native-element": "off" },
});

async function valid(label, file) {
  const report = await validator.validateFile(file);
  const faults = report.results.flatMap((r) => r.messages.filter((m) => m.severity === 2).map((m) => `${m.line}:${m.column} ${m.ruleId} ${m.message}`));
  check(`${label}: HTML`, faults.length === 0, [...new Set(faults)].slice(0, 5).join("; "));
}

async function look(browser, label, file, width, scheme) {
  const page = await browser.newPage({ viewport: { width, height: 900 }, colorScheme: scheme });
  const asked = [];
  const errors = [];
  page.on("request", (r) => asked.push(r.url()));
  page.on("pageerror", (e) => errors.push(String(e)));
  page.on("console", (m) => m.type() === "error" && errors.push(m.text()));
  await page.goto(`file://${file}`);
  const view = `${label} at ${width}, ${scheme}`;
  check(`${view}: asks for nothing but itself`, asked.length === 1, asked.join(" "));
  check(`${view}: no errors`, errors.length === 0, errors.join(" "));
  const facts = await page.evaluate(() => {
    const svgs = [...document.querySelectorAll("svg")];
    const named = [...document.querySelectorAll("[id]")].map((e) => e.id);
    const right = document.documentElement.clientWidth;
    const inside = (e) => e.closest(".wide, pre, nav, svg, .skip");
    return {
      language: document.documentElement.lang,
      title: document.title,
      headings: document.querySelectorAll("h1").length,
      sideways: document.documentElement.scrollWidth - right,
      sticking: [...document.querySelectorAll("body *")].filter((e) => !inside(e) && e.getBoundingClientRect().right > right + 1).map((e) => e.tagName + "." + e.className),
      mute: svgs.filter((s) => s.getAttribute("role") !== "img" || !s.querySelector("title") || !s.querySelector("desc")).length,
      pictures: svgs.length,
      doubled: named.filter((id, i) => named.indexOf(id) !== i),
      lost: [...document.querySelectorAll('a[href^="#"]')].map((a) => a.hash.slice(1)).filter((id) => !document.getElementById(id)),
      alive: document.querySelectorAll("script, iframe, object, embed, img[src^='http']").length,
      text: document.body.innerText,
    };
  });
  check(`${view}: language`, facts.language.startsWith("en"));
  check(`${view}: title`, facts.title.length > 0);
  check(`${view}: one main heading`, facts.headings === 1, `${facts.headings}`);
  check(`${view}: no sideways scrolling`, facts.sideways <= 1, `${facts.sideways} px`);
  check(`${view}: nothing sticks out`, facts.sticking.length === 0, facts.sticking.slice(0, 4).join(" "));
  check(`${view}: pictures have words`, facts.mute === 0, `${facts.mute}`);
  check(`${view}: a picture`, facts.pictures > 0);
  check(`${view}: ids are unique`, facts.doubled.length === 0, facts.doubled.join(" "));
  check(`${view}: every link leads somewhere`, facts.lost.length === 0, facts.lost.join(" "));
  check(`${view}: text stays text`, facts.alive === 0, `${facts.alive}`);
  check(`${view}: no loose NaN or undefined`, !/\bNaN\b|undefined|Infinity/.test(facts.text));
  // Colours and sizes are the same at all widths but for the narrowest and the widest.
  if (width === 360 || width === 1280) {
    await page.evaluate(AXE);
    const faults = await page.evaluate(async (tags) => {
      const { violations } = await window.axe.run(document, { runOnly: tags });
      return violations.map((v) => `${v.id}: ${v.nodes.slice(0, 2).map((n) => n.html.slice(0, 100)).join(" | ")}`);
    }, TAGS);
    check(`${view}: WCAG 2.2 AA`, faults.length === 0, faults.join("; "));
  }
  if (PICTURES) {
    fs.mkdirSync(PICTURES, { recursive: true });
    await page.screenshot({ path: path.join(PICTURES, `${label.replace(/\W+/g, "-")}-${width}-${scheme}.png`), fullPage: true });
  }
  await page.close();
}

/** How far down each sheet of A4 is written on, as a share of its height, by its darkest lowest dots; page numbers in the margin do not count. */
function filled(pdf) {
  const pages = Number(/Pages:\s+(\d+)/.exec(execFileSync("pdfinfo", [pdf], { encoding: "utf8" }))[1]);
  const shares = [];
  for (let page = 1; page <= pages; page += 1) {
    const pgm = execFileSync("pdftoppm", ["-gray", "-r", "36", "-f", `${page}`, "-l", `${page}`, pdf], { maxBuffer: 1 << 26 });
    const [, width, height] = /^P5\s+(\d+)\s+(\d+)\s+255\s/.exec(pgm.subarray(0, 40).toString("latin1")).map(Number);
    const dots = pgm.subarray(pgm.length - width * height);
    const margin = Math.round((14 / 297) * height);
    let lowest = 0;
    for (let y = 0; y < height - margin; y += 1) {
      if (dots.subarray(y * width, (y + 1) * width).some((dot) => dot < 160)) lowest = y;
    }
    shares.push(lowest / (height - margin));
  }
  return shares;
}

async function onPaper(browser, label, file, root) {
  const page = await browser.newPage({ colorScheme: "dark" });
  await page.goto(`file://${file}`);
  const pdf = path.join(root, `${label.replace(/\W+/g, "-")}.pdf`);
  await page.pdf({ path: pdf, format: "A4", preferCSSPageSize: true });
  const shares = filled(pdf);
  const oneSheet = ONE_SHEET.includes(path.basename(file));
  const meeting = oneSheet ? await meetingOnPaper(page) : [];
  await page.close();
  check(`${label}: nothing lies on anything else on paper`, meeting.length === 0, meeting.slice(0, 3).join("; "));
  if (oneSheet) {
    check(`${label}: one sheet of A4`, shares.length === 1, `${shares.length}`);
  } else {
    const empty = shares.slice(0, -1).map((share, i) => [i + 1, share]).filter(([, share]) => share < 0.5);
    check(`${label}: no sheet is half empty but the last`, empty.length === 0, empty.map(([n, s]) => `sheet ${n}: ${s.toFixed(2)}`).join(", "));
  }
  if (PICTURES) fs.copyFileSync(pdf, path.join(PICTURES, path.basename(pdf)));
  return shares.length;
}

async function main() {
  const root = scratch();
  const folders = { demonstration: path.resolve(process.argv[2]), ...reports(root), ...pools(root) };
  const browser = await launched();
  for (const [trial, folder] of Object.entries(folders)) {
    const pages = fs.readdirSync(folder).filter((name) => name.endsWith(".html"));
    check(`${trial}: there are pages`, pages.length >= 2, pages.join(" "));
    for (const name of pages) {
      const [label, file] = [`${trial} ${name}`, path.join(folder, name)];
      check(`${label}: weighs under 1.5 MB`, fs.statSync(file).size < LARGEST, `${fs.statSync(file).size}`);
      await valid(label, file);
      for (const width of WIDTHS) await look(browser, label, file, width, "light");
      for (const width of [360, 1280]) await look(browser, label, file, width, "dark");
      await onPaper(browser, label, file, root);
    }
  }
  const [once, again] = [0, 1].map(() => printed(path.dirname(folders.smallest)));
  check("report.pdf is a PDF", once.subarray(0, 5).toString() === "%PDF-");
  check("report.pdf is the same byte for byte when it is printed again", once.equals(again));
  await browser.close();
  end();
}

main().catch((e) => {
  console.log(e);
  process.exit(1);
});
