// Trials of every size, laid out, counted and reported by the built command, for the tests that look at their pages.
// The command is named by HALFGREEN; else it is the release build.
const { execFileSync } = require("node:child_process");
const fs = require("node:fs");
const os = require("node:os");
const path = require("node:path");

const HALFGREEN = process.env.HALFGREEN || path.join(__dirname, "../../target/release/halfgreen");

const LONG_WORD = "Donaudampfschifffahrtsgesellschaft".repeat(12);
/** A text of any length of all that pages may choke on: marks of HTML and Markdown, scripts from right to left, pictures, a very long word. */
const odd = (length) =>
  `<script>alert(1)</script> & "quoted" | \`code\` # \u05d0\u05d1\u05d2 \u0645\u0631\u062d\u0628\u0627 \u{1f41b}\u{1f468}\u200d\u{1f33e} ${LONG_WORD} ${"many words about sheets ".repeat(450)}`.slice(0, length);
// As long as a text may be.
const ODD = odd(10000);

/** A protocol with a treatment for every name; the first is the control. */
function protocol({ title, question, site, names, blocks, kind, plot, before, late }) {
  const kindOf = (i) => (i === 0 ? "other" : ["covering", "aeration", "other"][i % 3]);
  const treatments = names.map(
    (name, i) => `[[treatment]]\ncode = "T${i}"\nname = ${JSON.stringify(name)}\nkind = "${kindOf(i)}"\n${i === 0 ? "control = true\n" : ""}`,
  );
  const occasions = [before && ["before", "before"], ["main", "main"], late && ["spring", "follow-up"]].filter(Boolean);
  return `[trial]
title = ${JSON.stringify(title)}
question = ${JSON.stringify(question)}
site = ${JSON.stringify(site ?? "Larkrise Park, an invented club: all counts are made up")}

${treatments.join("\n")}
[design]
kind = "${kind}"
blocks = ${blocks}
seed = 20260918

[plot]
length_m = ${plot[0]}
width_m = ${plot[1]}
guard_m = 0.2

[response]
name = "leatherjackets"
unit = "leatherjackets per core"
better = "fewer"
cores_per_plot = 3
core_diameter_mm = 108

${occasions.map(([name, role]) => `[[occasion]]\nname = "${name}"\nrole = "${role}"`).join("\n\n")}

[decision]
alpha = 0.05
worthwhile_reduction_percent = 40
threshold_per_m2 = 60
`;
}

const SHAPES = {
  smallest: { title: "One pair", question: "Fewer?", names: ["bare", "covered"], blocks: 1, kind: "paired", plot: [4, 2.5], green: [20, 15] },
  // Twelve treatments in forty blocks.
  largest: {
    title: "Twelve ways in forty blocks",
    question: "Which of eleven methods leaves fewer larvae in the turf than doing nothing?",
    names: ["nothing done", ...Array.from({ length: 11 }, (_, i) => `method ${i + 1}, with a name that takes some room`)],
    blocks: 40, kind: "randomised-blocks", plot: [1.5, 1], green: [90, 60], before: true, late: true,
  },
  thousand: {
    title: "A thousand plots", question: "Fewer?", names: ["bare", "covered"], blocks: 500, kind: "paired", plot: [4, 2], green: [160, 160], before: true,
  },
  hostile: {
    title: ODD, question: ODD, site: ODD, names: ["<b>bold</b> & <img src=x onerror=alert(1)>", `a cover ${LONG_WORD.slice(0, 110)}`],
    blocks: 6, kind: "paired", plot: [3, 2], green: [40, 25], before: true, late: true, notes: true,
  },
};

/** A cell of a table, whatever stands in it. */
const cell = (text) => `"${text.replaceAll('"', '""')}"`;

/** Small whole numbers that scatter, the same on every run. */
function scattered(seed) {
  let state = seed;
  return (mean) => {
    state = (state * 1103515245 + 12345) % 2147483648;
    const u = state / 2147483648;
    return Math.max(0, Math.round(mean * (0.2 + 2 * u * u * 1.2)));
  };
}

function counts(folder, shape) {
  const draw = scattered(7);
  const plots = fs.readFileSync(path.join(folder, "layout.csv"), "utf8").trim().split("\n").slice(1).map((line) => line.split(","));
  const lines = ["plot,sample,occasion,count,note"];
  for (const occasion of [shape.before && "before", "main", shape.late && "spring"].filter(Boolean)) {
    for (const cells of plots) {
      for (let sample = 1; sample <= 3; sample += 1) {
        const left = occasion === "before" || cells[4] === "T0" ? 1 : 0.35;
        const note = shape.notes && sample === 1 ? cell(`<i>wet</i> ${ODD}`.slice(0, 10000)) : "";
        lines.push(`${cells[0]},${sample},${occasion},${draw(6 * left)},${note}`);
      }
    }
  }
  fs.writeFileSync(path.join(folder, "counts.csv"), `${lines.join("\n")}\n`);
}

function reported(root, name, shape) {
  const folder = path.join(root, name);
  fs.mkdirSync(folder);
  const [wide, high] = shape.green;
  fs.writeFileSync(path.join(folder, "trial.toml"), protocol(shape));
  fs.writeFileSync(path.join(folder, "outline.csv"), `x_m,y_m\n0,0\n${wide},0\n${wide},${high}\n0,${high}\n`);
  execFileSync(HALFGREEN, ["layout", folder, "--quiet"]);
  execFileSync(HALFGREEN, ["pack", folder, "--quiet"]);
  counts(folder, shape);
  if (shape.notes) {
    fs.writeFileSync(path.join(folder, "events.csv"), `plot,date,event,covered_fraction,note\n1,2026-09-01,<u>gale</u> ${LONG_WORD.slice(0, 100)},0.2,${cell(ODD)}\n2,2026-09-01,flood,,\u{1f32a}\n`);
    // Changed after it was sealed.
    const toml = path.join(folder, "trial.toml");
    fs.writeFileSync(toml, fs.readFileSync(toml, "utf8").replace("reduction_percent = 40", "reduction_percent = 35"));
  }
  execFileSync(HALFGREEN, ["report", folder, "--quiet", "--format", "html,md"]);
  return path.join(folder, "report");
}

/** Folders of reports by the names of their trials, all or those that are named, made below `root`. */
function reports(root, names = Object.keys(SHAPES)) {
  return Object.fromEntries(names.map((name) => [name, reported(root, name, SHAPES[name])]));
}

/** The pages of a pool of clubs: those of the example, and the same with every name as odd as a name may be. */
function pools(root) {
  const [head, ...lines] = fs.readFileSync(path.join(__dirname, "../../data-examples/association/counts.csv"), "utf8").trim().split("\n").map((line) => line.split(","));
  const named = new Set(["club", "treatment"].map((column) => head.indexOf(column)));
  const hostile = (text, at) => (named.has(at) && text !== "control" ? cell(`${text} ${odd(200)}`.slice(0, 200)) : text);
  const tables = { pool: lines, "hostile pool": lines.map((cells) => cells.map(hostile)) };
  const columns = ["trial", "club", "season", "treatment", "control", "block"].flatMap((column) => [`--${column}`, column]);
  return Object.fromEntries(
    Object.entries(tables).map(([name, rows]) => {
      const folder = path.join(root, name);
      fs.mkdirSync(folder);
      const table = path.join(folder, "counts.csv");
      fs.writeFileSync(table, `${[head, ...rows].map((cells) => cells.join(",")).join("\n")}\n`);
      const title = name === "pool" ? [] : ["--title", ODD];
      execFileSync(HALFGREEN, ["pool", table, ...columns, "--count", "larvae", "--area", "cores_area_m2", "--out", path.join(folder, "pages"), "--quiet", ...title]);
      return [name, path.join(folder, "pages")];
    }),
  );
}

/** The report of a trial's folder as the PDF that the command itself has printed. */
function printed(folder) {
  execFileSync(HALFGREEN, ["report", folder, "--quiet", "--format", "pdf"]);
  return fs.readFileSync(path.join(folder, "report", "report.pdf"));
}

/** A folder that goes when the program ends. */
function scratch() {
  const root = fs.mkdtempSync(path.join(os.tmpdir(), "halfgreen-reports-"));
  process.on("exit", () => fs.rmSync(root, { recursive: true, force: true }));
  return root;
}

module.exports = { pools, printed, reports, scratch };
