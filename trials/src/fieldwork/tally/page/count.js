// The view for counting: one sample of one plot.

let finished = -1000;
let secondCount = null;

function ownUnit() {
  const sample = state.samples.get(keyOf(placeOf()));
  const unit = sample && sample.units.get(here.minutes);
  return unit ? unit.own : null;
}

/** Counts by others of the place at hand, where this phone has none of its own. */
function foreign(view) {
  const wanted = secondCount === keyOf([...placeOf(), here.minutes]);
  return ownUnit() || wanted ? [] : view.entries;
}

/** Taps that wait for storage: those that come while one is being stored are stored together. */
const waiting = [];

/** Adds to the place that the screen showed when it was tapped. */
function add(n, tapped) {
  if (!settled()) return;
  waiting.push({ tapped, e: { o: "add", k: placeOf(), m: here.minutes, stage: here.stage, n } });
  act(async () => {
    const taps = waiting.splice(0);
    if (taps.length === 0) return;
    const kept = await keep(...taps.map((t) => t.e));
    const answered = performance.now();
    say("");
    show();
    beat();
    if (kept) buzz(n > 1 ? [25, 40, 25] : 25);
    for (const t of taps) document.dispatchEvent(new CustomEvent("tally-kept", { detail: { tapped: t.tapped, stored: kept ? storedAt : null, answered, kept } }));
  });
}

function beat() {
  const number = $("number");
  number.classList.remove("beat");
  void number.offsetWidth;
  number.classList.add("beat");
}

function say(text, doubt) {
  put("said", text);
  $("said").classList.toggle("doubt", Boolean(doubt));
}

/** The sample to go to after the one at hand; null where the plot is through. */
function sampleAfter(skipped) {
  const whole = plotView(state, plan, here.occasion, here.plot).done >= plan.samples;
  if (whole && here.minutes === 0 && !skipped) return null;
  const all = samplesOf(plan);
  const from = all.indexOf(here.sample) + 1;
  const order = skipped ? all.slice(from) : [...all.slice(from), ...all.slice(0, from)];
  const open = (s) => !["done", "clash"].includes(unitView(state, plan, [here.occasion, here.plot, s], here.minutes).state);
  return order.find((s) => s !== here.sample && open(s)) || null;
}

async function moveOn(words, skipped) {
  const next = sampleAfter(skipped);
  if (next === null) {
    go("walk");
    return;
  }
  await moveTo(here.plot, next, here.minutes);
  say(words);
  show();
  const chip = document.querySelector("#samples [aria-current]");
  if (chip) chip.scrollIntoView({ block: "nearest", inline: "center" });
}

/** Ends the sample at hand, unless the last one was ended so lately that this is the second half of a double tap. */
function finish(kind) {
  const at = performance.now();
  if (!settled() || at - finished < 400) return;
  finished = at;
  act(async () => {
    const own = ownUnit();
    const words = sampleWords(here.sample, here.minutes);
    const view = unitView(state, plan, placeOf(), here.minutes);
    if (kind === "none") {
      if (foreign(view).length > 0 || (own && sumOf(own) > 0)) return;
      await keep({ o: "none", k: placeOf(), m: here.minutes, stage: plan.stages[0] });
      buzz([60, 60, 60]);
      await moveOn(`${capital(words)}: none found`, false);
    } else if (own) {
      if (!own.done) await keep({ o: "done", k: placeOf(), m: here.minutes });
      buzz([60, 60, 60]);
      await moveOn(`${capital(words)}: ${sumOf(own)}`, false);
    } else {
      await moveOn(view.entries.length > 0 ? "" : `${capital(words)} was not counted`, true);
    }
  });
}

/** What stands on the button of a sample: for eyes, and for those who listen. */
function sampleMarks(s) {
  const view = unitView(state, plan, [here.occasion, here.plot, s], here.minutes);
  const sum = view.shown ? sumOf(view.shown) : null;
  const mark = { none: "–", begun: `${sum} …`, done: `${sum} ✓`, clash: "!" }[view.state];
  const words = { none: ": not counted", begun: `: ${sum}, begun`, done: `: ${sum}, done`, clash: ": two counts" }[view.state];
  return { s, state: view.state, current: s === here.sample, mark, words };
}

/** Buttons of the samples. They stay the same ones while only numbers change, so that a tap costs little. */
function showSamples() {
  const box = $("samples");
  const all = samplesMet(state, plan, here.occasion, here.plot).map(sampleMarks);
  const shape = JSON.stringify([here.occasion, here.plot, here.minutes, ...all.map((m) => [m.s, m.state, m.current])]);
  if (box.dataset.shape !== shape) {
    box.dataset.shape = shape;
    box.setAttribute("aria-label", capital(plan.sample[1]));
    box.replaceChildren(...all.map((m) => el("button", { type: "button", class: m.state, "aria-current": m.current ? "true" : null,
      onclick: () => act(async () => { await moveTo(here.plot, m.s, here.minutes); say(""); show(); }) },
    el("span", {}, el("span", { class: "heard" }, `${capital(plan.sample[0])} `), m.s), el("small", { "aria-hidden": "true" }), el("span", { class: "heard" }))));
  }
  all.forEach((m, i) => {
    const button = box.children[i];
    button.children[1].textContent = m.mark;
    button.children[2].textContent = m.words;
  });
}

function choices(id, options, chosen, words, pick) {
  const shape = JSON.stringify([options, chosen]);
  if ($(id).dataset.shape === shape) return;
  $(id).dataset.shape = shape;
  $(id).replaceChildren(...options.map((o) => el("button", { type: "button", "aria-pressed": o === chosen ? "true" : "false", onclick: () => pick(o) }, words(o))));
}

function momentWords(m) {
  return m === 0 ? "At the lift" : `+${m} min`;
}

function toMoment(m) {
  act(async () => {
    await moveTo(here.plot, nextSample(here.plot, m) || here.sample, m);
    if (here.view !== "count") go("count");
    say(m > 0 ? "Only those newly come up" : "");
    show();
  });
}

/** A doubt about the count on the screen, if there is one. */
function doubtOf(shown) {
  const area = shown.area || plan.sample_area_m2;
  const most = columnRule(plan.rules, "count").most;
  if (sumOf(shown) > Math.min(most, plan.most_per_m2 * area)) return `More than a ${plan.sample[0]} can hold? Or only a part counted: More`;
  return "";
}

function showNumber(view) {
  const own = ownUnit();
  const shown = own || (foreign(view)[0] || null);
  const count = shown ? shown.counts.get(here.stage) || 0 : 0;
  put("number", String(count));
  const number = $("number");
  number.classList.toggle("long", String(count).length > 3);
  number.classList.toggle("kept", Boolean(own) && unkept.length === 0);
  number.classList.toggle("unkept", unkept.length > 0);
  const some = own && sumOf(own) > 0;
  $("none").disabled = Boolean(some);
  put("done", own && !own.done ? "Done" : view.state === "none" ? "Skip" : "Next");
  $("done").classList.toggle("ready", Boolean(own && !own.done));
  const doubt = own ? doubtOf(Object.assign({}, own, { area: sampleOf(state, placeOf()).area })) : "";
  if (doubt || clockDoubt) say(doubt || clockDoubt, true);
}

function showForeign(view) {
  const theirs = foreign(view);
  const shown = theirs.length > 0;
  $("foreign").hidden = !shown;
  $("plus").hidden = shown;
  document.querySelector(".quick").hidden = shown;
  if (shown) put("foreign-words", theirs.map((e) => `Counted by ${e.counter}: ${inWords(e, view.stages)}${e.done ? "" : " (begun)"}`).join(". ") + ".");
}

VIEWS.count = {
  first: "plus",
  open() {
    secondCount = null;
    say("");
  },
  show() {
    const plot = plotNamed(here.plot);
    const number = plan.plots.indexOf(plot) + 1;
    put("plot-name", `Plot ${here.plot}`);
    put("plot-facts", [`${number} of ${plan.plots.length}`, plot.green, plan.occasions.length > 1 ? here.occasion : "", treatmentOf(plot)].filter(Boolean).join(" · "));
    showSamples();
    const late = plan.moments.length > 1 && (plan.late_shown || here.minutes > 0);
    $("moments").hidden = !late;
    if (late) choices("moments", plan.moments, here.minutes, momentWords, toMoment);
    $("stages").hidden = plan.stages.length < 2;
    choices("stages", plan.stages, here.stage, capital, (s) => act(async () => { here.stage = s; show(); }));
    const view = unitView(state, plan, placeOf(), here.minutes);
    showNumber(view);
    showForeign(view);
    const [next] = dueNow().filter((d) => d.plot !== here.plot);
    $("due-now").hidden = !next;
    if (next) put("due-now", `Plot ${next.plot}: ${next.minutes} min are up`);
  },
};

function toPlot(plot, minutes) {
  act(async () => {
    await moveTo(plot, nextSample(plot, minutes) || samplesOf(plan)[0], minutes);
    go("count");
  });
}

function takeOver() {
  act(async () => {
    const [theirs] = foreign(unitView(state, plan, placeOf(), here.minutes));
    if (theirs) await keep({ o: "take", k: placeOf(), m: here.minutes, counter: theirs.counter });
    say("Go on from here");
    show();
  });
}

function readyCount() {
  const time = (e) => (e.timeStamp > 0 ? e.timeStamp : performance.now());
  press("plus", (e) => add(1, time(e)));
  press("five", (e) => add(5, time(e)));
  press("ten", (e) => add(10, time(e)));
  press("none", () => finish("none"));
  press("done", () => finish("done"));
  press("correct", () => act(() => go("correct")));
  press("count-plots", () => act(() => go("plots")));
  press("count-more", () => act(() => go("more")));
  press("due-now", () => {
    const [next] = dueNow().filter((d) => d.plot !== here.plot);
    if (next) toPlot(next.plot, next.minutes);
  });
  press("foreign-take", takeOver);
  press("foreign-again", () => act(() => {
    secondCount = keyOf([...placeOf(), here.minutes]);
    say("A second count: both are kept");
    show();
  }));
  // Arrows for a keyboard: they are no characters, so that no reader of the screen loses a key.
  document.addEventListener("keydown", (e) => {
    if (here.view !== "count" || e.repeat || e.altKey || e.ctrlKey || e.metaKey || /^(INPUT|TEXTAREA)$/.test(e.target.tagName)) return;
    const keys = { ArrowUp: "plus", PageUp: "ten", ArrowRight: "done" };
    const id = keys[e.key];
    if (!id || $(id).hidden || $(id).closest("[hidden]")) return;
    e.preventDefault();
    $(id).click();
  });
}
