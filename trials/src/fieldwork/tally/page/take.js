// Counts on their way in, and places of which two phones say different things.

/** What was looked at last and may be taken in. */
let looked = null;

function lookAt(text, from) {
  looked = null;
  $("take-in").hidden = true;
  const spoken = /^\s*start\s*\//i.test(text);
  const read = spoken ? readSpoken(text, plan) : readCsv(text);
  const faults = spoken ? read.faults : [read.fault].filter(Boolean);
  const sound = checkRows(read.rows, plan);
  const refused = refusals(sound.complaints);
  const merge = mergePlan(state, plan, unitsOfRows(sound.rows, from));
  const { told } = merge;
  if (spoken && faults.length > 0) faults.push("Nothing is taken in until every line passes.");
  const places = (list) => list.slice(0, 6).map((p) => `plot ${p.k[1]}, ${sampleWords(p.k[2], p.m)}: here ${p.here}, there ${p.theirs}`).join("; ") + (list.length > 6 ? " …" : "");
  const words = [
    ...faults,
    ...refused.slice(0, 8),
    refused.length > 8 ? `${refused.length - 8} more lines are wrong.` : "",
    refused.length > 0 ? "Wrong lines are left out: mend them and take the text in again." : "",
    told.fresh > 0 ? `${plural(told.fresh, "count")} new here.` : "",
    told.agree > 0 ? `${plural(told.agree, "count")} made twice with the same result.` : "",
    told.same > 0 ? `${plural(told.same, "count")} already here.` : "",
    told.replaced.length > 0 ? `${plural(told.replaced.length, "count")} changed on the same phone since: ${places(told.replaced)}.` : "",
    told.differ.length > 0 ? `${plural(told.differ.length, "place")} with another count here. Both are kept: ${places(told.differ)}.` : "",
    merge.notes.length > 0 ? plural(merge.notes.length, "note") + "." : "",
    merge.units.length + merge.notes.length === 0 ? "Nothing new to take in." : "",
  ].filter(Boolean);
  $("take-found").replaceChildren(...words.map((w) => el("p", { class: "notice" }, w)));
  if (merge.units.length + merge.notes.length > 0) {
    looked = { units: merge.units, notes: merge.notes, from };
    put("take-in", `Take in ${merge.units.length > 0 ? plural(merge.units.length, "count") : plural(merge.notes.length, "note")}`);
    $("take-in").hidden = false;
  }
}

async function takeIn() {
  if (!looked) return;
  const given = looked;
  looked = null;
  $("take-in").hidden = true;
  const kept = await keep(Object.assign({ o: "import" }, given));
  $("take-text").value = "";
  $("take-file").value = "";
  $("take-found").replaceChildren(el("p", { class: "notice" }, kept ? "Taken in and stored." : "Taken in, but not stored on this phone."));
  buzz([60, 60, 60]);
  show();
}

function clashBox(view) {
  const [occasion, plot, sample] = view.k;
  const choose = (e) => act(async () => {
    await keep({ o: "choose", k: view.k, m: view.minutes, counter: e.counter, sign: view.sign });
    show();
  });
  const time = (e) => (e.at.includes("T") ? ` at ${e.at.slice(11, 16)}` : "");
  return el("div", { class: "clash-box" },
    el("p", {}, el("b", {}, `Plot ${plot}, ${sampleWords(sample, view.minutes)}`), plan.occasions.length > 1 ? `, ${occasion}` : ""),
    ...view.entries.map((e) => el("button", { type: "button", onclick: () => choose(e) }, `Use ${e.counter}${time(e)}: ${inWords(e, view.stages)}`)));
}

VIEWS.take = {
  first: "take-back",
  open() {
    $("take-found").replaceChildren();
    $("take-in").hidden = true;
  },
  show() {
    const clashes = allClashes(state, plan);
    const words = clashes.length === 0 ? "There are none." : "Use one if you know which is right; the other stays in the note. If nobody knows, leave both.";
    $("clashes").replaceChildren(el("p", { class: "small" }, words), ...clashes.map(clashBox));
  },
};

function readyTake() {
  press("take-back", () => act(() => go(here.plot === null ? "start" : "plots")));
  press("take-look", () => act(async () => {
    const file = $("take-file").files[0];
    const pasted = $("take-text").value;
    if (pasted.trim() !== "") lookAt(pasted, "pasted");
    else if (file) lookAt(await file.text(), file.name);
    else $("take-found").replaceChildren(el("p", { class: "notice" }, "Choose a file or paste a text first."));
  }));
  press("take-in", () => act(takeIn));
}
