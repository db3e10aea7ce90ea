// The page's views: which is shown, and words that all of them use. Texts are put in as text, never as markup.

function $(id) {
  return document.getElementById(id);
}

function put(id, text) {
  if ($(id).textContent !== text) $(id).textContent = text;
}

/** An element with attributes and children; `onclick` is a listener. */
function el(tag, attributes, ...children) {
  const made = tag.includes(":") ? document.createElementNS("http://www.w3.org/2000/svg", tag.slice(4)) : document.createElement(tag);
  for (const [name, value] of Object.entries(attributes || {})) {
    if (name === "onclick") made.addEventListener("click", value);
    else if (value !== null && value !== undefined && value !== false) made.setAttribute(name, value === true ? "" : value);
  }
  made.append(...children.filter((c) => c !== null && c !== undefined));
  return made;
}

function press(id, work) {
  $(id).addEventListener("click", work);
  // A key that is held down is one press.
  $(id).addEventListener("keydown", (e) => e.repeat && (e.key === "Enter" || e.key === " ") && e.preventDefault());
}

function plural(n, one, several) {
  return `${n} ${n === 1 ? one : several || one + "s"}`;
}

function capital(text) {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** A name that is too long for a button or a list; it stands whole elsewhere. */
function brief(name) {
  return name.length > 16 ? name.slice(0, 15) + "…" : name;
}

/** Where the counter stands in this tab. */
const here = { view: "start", occasion: null, plot: null, sample: null, minutes: 0, stage: plan.stages[0] };

function placeOf() {
  return [here.occasion, here.plot, here.sample];
}

/** "core 2", "15 min, core 2" */
function sampleWords(sample, minutes) {
  return `${minutes > 0 ? `+${minutes} min, ` : ""}${plan.sample[0]} ${sample}`;
}

const VIEWS = {};
let opened = 0;

/** Whether a view has stood long enough that a tap is meant for it, not for the one before. */
function settled() {
  return performance.now() - opened > 400;
}

function go(view) {
  here.view = view;
  document.body.dataset.view = view;
  opened = performance.now();
  for (const section of document.querySelectorAll(".view")) section.hidden = section.id !== (view === "correct" ? "correct-view" : view);
  try {
    if (history.state === null) history.replaceState(view, "");
    else if (history.state !== view) history.pushState(view, "");
  } catch (why) {
    // Some browsers refuse that for files; the buttons of the page do without.
  }
  if (VIEWS[view].open) VIEWS[view].open();
  show();
  window.scrollTo(0, 0);
  const first = $(VIEWS[view].first);
  if (first) first.focus({ preventScroll: true });
}

function show() {
  document.documentElement.dataset.look = state.settings.get("look") || "dark";
  if (VIEWS[here.view]) VIEWS[here.view].show();
}

window.addEventListener("popstate", (e) => {
  if (VIEWS[e.state] && (e.state === "start" || here.plot !== null)) go(e.state);
});

/** Plots of the chosen occasion, as they stand. */
function plotViews() {
  return plan.plots.map((p) => plotView(state, plan, here.occasion, p.name));
}

/** The first sample of a plot that is not done at the chosen moment; null where all are. */
function nextSample(plot, minutes) {
  const open = samplesOf(plan).find((s) => unitView(state, plan, [here.occasion, plot, s], minutes).state === "none");
  const views = samplesOf(plan).map((s) => unitView(state, plan, [here.occasion, plot, s], minutes));
  const begun = views.find((v) => v.state !== "done" && v.state !== "clash");
  return open || (begun ? begun.k[2] : null);
}

/** The next plot in walking order after one, round the whole round, that is not done. */
function nextPlot(after) {
  const names = plan.plots.map((p) => p.name);
  const from = names.indexOf(after) + 1;
  const round = [...names.slice(from), ...names.slice(0, from)];
  const whole = (name) => plotView(state, plan, here.occasion, name).done >= plan.samples;
  return round.find((name) => name !== after && !whole(name)) || null;
}

/** Goes to a place and keeps it, so that the page opens there again. */
function moveTo(plot, sample, minutes) {
  Object.assign(here, { plot, sample, minutes, stage: plan.stages[0] });
  return keep({ o: "at", k: placeOf(), m: minutes });
}

function plotNamed(name) {
  return plan.plots.find((p) => p.name === name);
}

/** What was drawn for a plot on the occasion, where the counter may know it. */
function treatmentOf(plot) {
  if (!plot.treatments) return "";
  return plot.treatments.length === 1 ? plot.treatments[0] : plot.treatments[plan.occasions.findIndex((o) => o.name === here.occasion)] || "";
}
