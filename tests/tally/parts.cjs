// The page's own sources, those parts that need no page, as functions that node can call.
const fs = require("node:fs");
const path = require("node:path");

const SOURCES = path.join(__dirname, "../../trials/src/fieldwork/tally/page");
const PARTS = ["ledger", "results", "csv", "rules", "spoken", "merge"];
const NAMES = ["newState", "apply", "keyOf", "unitView", "plotView", "allRows", "allClashes", "csvText", "readCsv", "csvRows", "checkRows", "likeness",
  "checkSign", "spokenLines", "readSpoken", "unitsOfRows", "mergePlan"];

function parts() {
  const text = PARTS.map((p) => fs.readFileSync(path.join(SOURCES, p + ".js"), "utf8")).join("\n");
  return new Function(`"use strict";\n${text}\nreturn { ${NAMES.join(", ")} };`)();
}

module.exports = { parts };
