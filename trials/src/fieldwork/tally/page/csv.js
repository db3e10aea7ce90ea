// Rows as CSV (RFC 4180) and back. A text that a spreadsheet would run is written with an apostrophe before it and read without.

const COLUMNS = ["plot", "sample", "occasion", "date", "stage", "count", "area_m2", "note", "minutes_after_lift", "counted_at", "counter"];

function wouldRun(text) {
  return /^[=+\-@\t\r\uff1d\uff0b\uff0d\uff20]/.test(text) && !/^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$/.test(text);
}

function csvCell(text) {
  const safe = wouldRun(text.replace(/^'+/, "")) ? "'" + text : text;
  return /[",;\r\n]/.test(safe) || safe !== safe.trim() ? '"' + safe.replace(/"/g, '""') + '"' : safe;
}

function csvText(rows) {
  const line = (cells) => cells.map(csvCell).join(",") + "\r\n";
  return line(COLUMNS) + rows.map((r) => line(COLUMNS.map((c) => r[c]))).join("");
}

/** Cells of a text, line by line, each row with the line it begins on. */
function csvRows(text) {
  const source = text.replace(/^\ufeff/, "");
  const first = source.slice(0, source.search(/[\r\n]|$/));
  const mark = [",", ";", "\t"].reduce((best, m) => (first.split(m).length > first.split(best).length ? m : best), ",");
  const rows = [];
  let [cells, cell, quoted, line, begun] = [[], "", false, 1, 1];
  const endRow = () => {
    cells.push(cell);
    if (cells.some((c) => c.trim() !== "")) rows.push({ line: begun, cells });
    [cells, cell] = [[], ""];
  };
  for (let i = 0; i < source.length; i += 1) {
    const c = source[i];
    if (c === "\n" || (c === "\r" && source[i + 1] !== "\n")) line += 1;
    if (quoted) {
      if (c !== '"') cell += c;
      else if (source[i + 1] === '"') { cell += '"'; i += 1; } else quoted = false;
    } else if (c === '"' && cell.trim() === "") {
      [quoted, cell] = [true, ""];
    } else if (c === mark) {
      cells.push(cell);
      cell = "";
    } else if (c === "\n" || (c === "\r" && source[i + 1] !== "\n")) {
      endRow();
      begun = line;
    } else if (c !== "\r") {
      cell += c;
    }
  }
  endRow();
  return { rows, open: quoted };
}

/** Rows by the names of their columns, or why the text is no table of counts. */
function readCsv(text) {
  const { rows, open } = csvRows(text);
  if (open) return { rows: [], fault: "A quotation mark is not closed: part of the text is missing." };
  const head = rows.length > 0 ? rows[0].cells.map((c) => c.trim().toLowerCase()) : [];
  if (!head.includes("plot") || !head.includes("count")) {
    return { rows: [], fault: "The first line does not name the columns plot and count." };
  }
  const twice = head.find((h, i) => h !== "" && head.indexOf(h) !== i);
  if (twice) return { rows: [], fault: `The column ${twice} is there twice.` };
  const read = rows.slice(1).map(({ line, cells }) => {
    const row = { line };
    for (const c of COLUMNS) {
      const cell = head.includes(c) ? (cells[head.indexOf(c)] || "").trim() : "";
      row[c] = cell.startsWith("'") && wouldRun(cell.replace(/^'+/, "")) ? cell.slice(1) : cell;
    }
    if (cells.length > head.length) row.broken = true;
    return row;
  });
  return { rows: read, fault: null };
}
