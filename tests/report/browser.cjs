// Opens the demo's pages in Chromium at desktop, telephone and paper size, and fails on what a
// reader would trip over: requests to anywhere, errors, sideways scrolling, pictures without words,
// faint text. Usage: node browser.cjs FOLDER_OF_REPORT
const { chromium } = require("playwright-core");
const fs = require("node:fs");
const path = require("node:path");

const folder = path.resolve(process.argv[2]);
const pages = fs.readdirSync(folder).filter((name) => name.endsWith(".html"));
let passed = 0;
let failed = 0;

function check(what, holds, detail = "") {
  if (holds) {
    passed += 1;
  } else {
    failed += 1;
    console.log(`FAILED ${what} ${detail}`);
  }
}

async function look(browser, name, size) {
  const page = await browser.newPage({ viewport: size });
  const asked = [];
  const errors = [];
  page.on("request", (r) => asked.push(r.url()));
  page.on("pageerror", (e) => errors.push(String(e)));
  page.on("console", (m) => m.type() === "error" && errors.push(m.text()));
  await page.goto(`file://${path.join(folder, name)}`);
  const label = `${name} at ${size.width}`;
  check(`${label}: asks for nothing but itself`, asked.length === 1, asked.join(" "));
  check(`${label}: no errors`, errors.length === 0, errors.join(" "));
  const facts = await page.evaluate(() => ({
    language: document.documentElement.lang,
    title: document.title,
    headings: document.querySelectorAll("h1").length,
    sideways: document.documentElement.scrollWidth - document.documentElement.clientWidth,
    mute: [...document.querySelectorAll("svg[role=img]")].filter(
      (s) => !s.querySelector("title") || !s.querySelector("desc"),
    ).length,
    pictures: document.querySelectorAll("svg").length,
    unnamed: [...document.querySelectorAll("svg")].filter((s) => s.getAttribute("role") !== "img" && !s.closest("svg[role=img]")).length,
    doubled: [...document.querySelectorAll("[id]")].map((e) => e.id).filter((id, i, all) => all.indexOf(id) !== i),
    text: document.body.innerText,
  }));
  check(`${label}: language`, facts.language.startsWith("en"));
  check(`${label}: title`, facts.title.length > 0);
  check(`${label}: one main heading`, facts.headings === 1, `${facts.headings}`);
  check(`${label}: no sideways scrolling`, facts.sideways <= 1, `${facts.sideways} px`);
  check(`${label}: pictures have words`, facts.mute === 0 && facts.unnamed === 0, `${facts.mute} ${facts.unnamed}`);
  check(`${label}: a picture`, facts.pictures > 0);
  check(`${label}: ids are unique`, facts.doubled.length === 0, facts.doubled.join(" "));
  check(`${label}: no loose NaN or undefined`, !/\bNaN\b|undefined|Infinity/.test(facts.text));
  await page.close();
}

async function main() {
  check("there are pages", pages.length >= 2, pages.join(" "));
  const browser = await chromium.launch({
    executablePath: "/usr/bin/chromium",
    args: [
      "--no-sandbox",
      "--disable-gpu",
      "--disable-quic",
      "--disable-background-networking",
      "--disable-component-update",
      "--disable-sync",
    ],
  });
  for (const name of pages) {
    for (const size of [{ width: 1280, height: 900 }, { width: 390, height: 800 }, { width: 320, height: 700 }]) {
      await look(browser, name, size);
    }
  }
  const paper = await browser.newPage();
  await paper.goto(`file://${path.join(folder, "members.html")}`);
  const pdf = await paper.pdf({ format: "A4", preferCSSPageSize: true });
  const sheets = (pdf.toString("latin1").match(/\/Type\s*\/Page[^s]/g) || []).length;
  check("members.html is one sheet of A4", sheets === 1, `${sheets}`);
  await browser.close();
  console.log(`browser: ${passed} passed, ${failed} failed`);
  process.exit(failed === 0 ? 0 : 1);
}

main().catch((e) => {
  console.log(e);
  process.exit(1);
});
