// Late comers, a part of the plot, a note: what is needed now and then.

/** Quadrats that are offered, centimetres. */
const QUADRATS = [[50, 50], [25, 25]];
const PHRASES = ["Sheet blown off", "Birds fed", "Wet", "Count is a guess"];

function squareMetres(area) {
  return `${Number(area.toPrecision(3))} m²`;
}

async function setArea(area) {
  const plot = plotNamed(here.plot);
  if (area !== null && plot.area_m2 && area > plot.area_m2 * (1 + 1e-9)) {
    put("more-said", `The plot has only ${squareMetres(plot.area_m2)}.`);
    return;
  }
  await keep({ o: "area", k: placeOf(), area });
  buzz(25);
  put("more-said", `Kept for ${sampleWords(here.sample, 0)}: ${squareMetres(area || plan.sample_area_m2)}.`);
  show();
}

VIEWS.more = {
  first: "more-back",
  open() {
    put("more-said", "");
    $("note").value = sampleOf(state, placeOf()).note;
    $("area-long").value = "";
    $("area-wide").value = "";
  },
  show() {
    put("more-where", `Plot ${here.plot}, ${sampleWords(here.sample, here.minutes)}`);
    const late = plan.moments.length > 1;
    for (const id of ["moment-head", "more-moments"]) $(id).hidden = !late;
    $("moment-head").nextElementSibling.hidden = !late;
    if (late) choices("more-moments", plan.moments, here.minutes, momentWords, toMoment);
    const area = sampleOf(state, placeOf()).area;
    put("area-now", `Now: ${area ? squareMetres(area) : `one ${plan.sample[0]}, ${squareMetres(plan.sample_area_m2)}`}.`);
    const offered = QUADRATS.map(([a, b]) => ({ words: `${a} × ${b} cm`, area: (a * b) / 1e4 })).filter((q) => q.area < (plotNamed(here.plot).area_m2 || Infinity));
    const all = [{ words: `One ${plan.sample[0]}, as planned`, area: null }, ...offered];
    $("areas").replaceChildren(...all.map((q) => el("button", { type: "button", "aria-pressed": q.area === area ? "true" : "false", onclick: () => act(() => setArea(q.area)) }, q.words)));
    $("phrases").replaceChildren(...PHRASES.map((p) => el("button", { type: "button", onclick: () => {
      const note = $("note");
      note.value = [note.value.trim(), p].filter(Boolean).join("; ");
    } }, p)));
  },
};

function readyMore() {
  press("more-back", () => act(() => go("count")));
  press("more-send", () => act(() => go("send")));
  press("more-start", () => act(() => go("start")));
  press("area-set", () => act(async () => {
    const [a, b] = [$("area-long"), $("area-wide")].map((f) => (/^\d+$/.test(f.value.trim()) ? Number(f.value) : 0));
    if (a > 0 && b > 0) await setArea((a * b) / 1e4);
    else put("more-said", "Write two whole numbers of centimetres.");
  }));
  press("note-set", () => act(async () => {
    const text = $("note").value.replace(/\s+/g, " ").trim();
    const kept = await keep({ o: "note", k: placeOf(), text });
    put("more-said", kept ? "Note kept." : "The note is not stored.");
    show();
  }));
}
