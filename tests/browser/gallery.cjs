// Measures every figure of the gallery as a browser draws it: no lettering lies on other lettering or is cut off by the edge of its
// picture, and every page for members is one sheet of A4 on which nothing lies on anything else. Usage: node gallery.cjs FOLDER [FOLDER_FOR_PICTURES]
const { chromium } = require("playwright-core");
const fs = require("node:fs");
const path = require("node:path");
const { meetingOnPaper } = require("./checks.cjs");

const folder = path.resolve(process.argv[2]);
const kept = process.argv[3];

/** Faults of one figure, in its own words. Run in the page. */
function faultsOf(figure) {
  const svg = figure.querySelector("svg");
  const edge = svg.getBoundingClientRect();
  const words = [...svg.querySelectorAll("text")].filter((t) => t.textContent.trim());
  const faults = [];
  // A box is as tall as its line, of which letters fill about two thirds; turned lettering is measured by its own corners.
  const boxes = words.map((text) => {
    const { x, y, width, height } = text.getBBox();
    const matrix = text.getScreenCTM();
    const corner = (dx, dy) => new DOMPoint(x + dx * width, y + dy * height).matrixTransform(matrix);
    return { text: text.textContent.trim(), corners: [corner(0, 0.2), corner(1, 0.2), corner(1, 0.8), corner(0, 0.8)] };
  });
  const axes = ({ corners: [a, b, , d] }) => [[b.x - a.x, b.y - a.y], [d.x - a.x, d.y - a.y]];
  const reach = (box, [u, v]) => {
    const at = box.corners.map((c) => (c.x * u + c.y * v) / Math.hypot(u, v));
    return [Math.min(...at), Math.max(...at)];
  };
  const depth = (a, b) =>
    Math.min(
      ...[...axes(a), ...axes(b)].map((axis) => {
        const [p, q] = [reach(a, axis), reach(b, axis)];
        return Math.min(p[1], q[1]) - Math.max(p[0], q[0]);
      }),
    );
  for (const [i, box] of boxes.entries()) {
    const out = box.corners.some((c) => c.x < edge.left - 1 || c.x > edge.right + 1 || c.y < edge.top - 1 || c.y > edge.bottom + 1);
    if (out) faults.push(`"${box.text}" is cut off`);
    for (const other of boxes.slice(i + 1)) {
      // A pixel is rounding.
      if (depth(box, other) > 1) faults.push(`"${box.text}" lies on "${other.text}"`);
    }
  }
  return { lettering: boxes.length, faults };
}

async function main() {
  const browser = await chromium.launch({ executablePath: "/usr/bin/chromium", args: ["--no-sandbox", "--disable-gpu"] });
  const page = await browser.newPage({ viewport: { width: 1400, height: 1000 } });
  await page.goto(`file://${path.join(folder, "gallery.html")}`);
  const figures = await page.$$("figure");
  let [passed, failed] = [0, 0];
  for (const [at, figure] of figures.entries()) {
    const name = await figure.getAttribute("data-of");
    const { lettering, faults } = await figure.evaluate(faultsOf);
    if (lettering === 0) faults.push("no lettering at all");
    if (faults.length) {
      failed += 1;
      console.log(`FAILED ${name}: ${faults.slice(0, 6).join("; ")}${faults.length > 6 ? `; and ${faults.length - 6} more` : ""}`);
    } else {
      passed += 1;
    }
    if (kept) {
      fs.mkdirSync(kept, { recursive: true });
      await figure.screenshot({ path: path.join(kept, `${String(at).padStart(3, "0")}.png`) });
    }
  }
  for (const name of fs.readdirSync(folder).filter((n) => fs.existsSync(path.join(folder, n, "report", "members.html")))) {
    await page.goto(`file://${path.join(folder, name, "report", "members.html")}`);
    const pdf = await page.pdf({ format: "A4", preferCSSPageSize: true });
    const sheets = (pdf.toString("latin1").match(/\/Type\s*\/Page[^s]/g) || []).length;
    const meeting = await meetingOnPaper(page);
    if (sheets === 1 && meeting.length === 0) {
      passed += 1;
    } else {
      failed += 1;
      console.log(`FAILED ${name}: members.html takes ${sheets} sheets; ${meeting.slice(0, 3).join("; ")}`);
    }
  }
  await browser.close();
  console.log(`${passed} figures and pages passed, ${failed} failed`);
  process.exit(failed || !passed ? 1 : 0);
}

main();
