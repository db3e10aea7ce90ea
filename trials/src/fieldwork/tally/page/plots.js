// The map, the list of plots, and the way to the next one.

const MARKS = { none: "", begun: "…", done: "✓", clash: "!" };
const STATES = { none: "to do", begun: "begun", done: "done", clash: "two counts" };

/** Plots of one green drawn to scale, with what stands of each. Every name is in the list beside it, whole. */
function mapOf(plots, views, from, to, pick) {
  const all = plots.flatMap((p) => p.corners);
  const [left, right] = [Math.min(...all.map((c) => c[0])), Math.max(...all.map((c) => c[0]))];
  const [low, high] = [Math.min(...all.map((c) => c[1])), Math.max(...all.map((c) => c[1]))];
  const scale = 340 / Math.max(right - left, (high - low) * 1.1, 1e-6);
  const at = ([x, y]) => [(x - left) * scale + 8, (high - y) * scale + 8];
  const centre = (p) => at([0, 1].map((i) => p.corners.reduce((a, c) => a + c[i], 0) / p.corners.length));
  const [width, height] = [(right - left) * scale + 16, (high - low) * scale + 16];
  const words = plots.map((p) => `${p.name} ${STATES[views.get(p.name).state]}`).join(", ");
  const svg = el("svg:svg", { viewBox: `0 0 ${width} ${height}`, role: "img", "aria-label": `Map of plots: ${words}` });
  const names = [];
  for (const p of plots) {
    const corners = p.corners.map(at);
    const spans = [0, 1].map((i) => Math.max(...corners.map((c) => c[i])) - Math.min(...corners.map((c) => c[i])));
    const { state: stands } = views.get(p.name);
    const near = p.name === from || p.name === to;
    const shape = el("svg:polygon", { points: corners.map((c) => c.join(",")).join(" "), class: `plot ${stands}${near ? " here" : ""}`,
      "stroke-width": near ? 5 : 2, onclick: pick ? () => pick(p.name) : null });
    const shown = p.name.length > 5 ? p.name.slice(0, 4) + "…" : p.name;
    const size = Math.max(6, Math.min(20, spans[1] * 0.45, (spans[0] * 1.5) / Math.max(2, shown.length)));
    const [x, y] = centre(p);
    const below = spans[1] > size * 2.3 && MARKS[stands];
    const text = (words_, dy) => el("svg:text", { x, y: y + dy, "font-size": size, class: stands, "pointer-events": "none" }, words_);
    svg.append(shape);
    names.push(text(below ? shown : shown + MARKS[stands], below ? -size * 0.55 : 0));
    if (below) names.push(text(MARKS[stands], size * 0.6));
  }
  const ends = [from, to].map((n) => plots.find((p) => p.name === n));
  if (to && ends[0] && ends[1]) {
    const [a, b] = ends.map(centre);
    svg.append(el("svg:line", { x1: a[0], y1: a[1], x2: b[0], y2: b[1], stroke: "currentColor", "stroke-width": 3, "stroke-dasharray": "2 6", "stroke-linecap": "round", "pointer-events": "none" }));
  }
  svg.append(...names);
  return svg;
}

/** Greens in walking order, each with its plots. A trial on one green has one without a name. */
function greens() {
  const found = new Map();
  for (const p of plan.plots) {
    const green = p.green || "";
    if (!found.has(green)) found.set(green, []);
    found.get(green).push(p);
  }
  return found;
}

/** Plots that are to be looked at again by now, the longest waiting first. */
function dueNow() {
  if (!plan.late_shown) return [];
  const late = plan.moments.filter((m) => m > 0);
  const due = [];
  for (const [key, lifted] of state.lifted) {
    const [occasion, plot] = JSON.parse(key);
    if (occasion !== here.occasion) continue;
    const looked = (m) => samplesOf(plan).some((s) => unitView(state, plan, [occasion, plot, s], m).state !== "none");
    const waited = (Date.now() - Date.parse(lifted)) / 60000;
    const ripe = late.filter((m) => waited >= m && !late.some((other) => other >= m && looked(other)));
    if (ripe.length > 0) due.push({ plot, minutes: ripe[ripe.length - 1], waited });
  }
  return due.sort((a, b) => b.waited - a.waited);
}

VIEWS.walk = {
  first: "walk-go",
  show() {
    const view = plotView(state, plan, here.occasion, here.plot);
    const next = nextPlot(here.plot);
    const whole = view.done >= plan.samples;
    put("walk-head", whole ? `Plot ${here.plot} done ✓` : `Plot ${here.plot}: ${view.done} of ${plan.samples} ${plan.sample[1]}`);
    put("walk-sum", [`${view.sum} found`, view.clashes ? "two counts differ: see Plots" : ""].filter(Boolean).join(". "));
    const green = plotNamed(next || here.plot).green;
    const plots = plan.plots.filter((p) => p.green === green);
    const views = new Map(plots.map((p) => [p.name, plotView(state, plan, here.occasion, p.name)]));
    $("walk-map").replaceChildren(mapOf(plots, views, here.plot, next, null));
    const other = next && green !== plotNamed(here.plot).green ? ` on ${green}` : "";
    put("walk-next", next ? `Walk to plot ${next}${other}` : "All plots are done.");
    put("walk-go", next ? `I am at plot ${brief(next)}` : "Send counts");
  },
};

VIEWS.plots = {
  first: "plots-back",
  show() {
    const views = new Map(plotViews().map((v) => [v.plot, v]));
    const done = [...views.values()].filter((v) => v.done >= plan.samples).length;
    const sum = [...views.values()].reduce((a, v) => a + v.sum, 0);
    put("plots-sum", `${done} of ${plan.plots.length} done · ${sum} found${plan.occasions.length > 1 ? ` · ${here.occasion}` : ""}`);
    $("plots-done").max = plan.plots.length;
    $("plots-done").value = done;
    const due = dueNow();
    $("due").hidden = due.length === 0;
    put("due", due.map((d) => `Plot ${d.plot}: ${d.minutes} min are up`).join(". "));
    const pick = (name) => toPlot(name, (due.find((d) => d.plot === name) || { minutes: 0 }).minutes);
    const parts = [...greens()].map(([green, plots]) => ({ green, plots, list: plots.map((p) => plotItem(p, views.get(p.name), pick)) }));
    $("plots-map").replaceChildren(...parts.flatMap(({ green, plots }) => [green ? el("h2", {}, green) : null, mapOf(plots, views, here.plot, null, pick)].filter(Boolean)));
    $("plots-list").replaceChildren(...parts.flatMap((p) => p.list));
  },
};

function plotItem(plot, view, pick) {
  const facts = [plot.green, treatmentOf(plot), view.state === "none" ? "" : `${view.done}/${plan.samples} · ${view.sum}`].filter(Boolean).join(" · ");
  return el("li", {}, el("button", { type: "button", "aria-current": plot.name === here.plot ? "true" : null, onclick: () => pick(plot.name) },
    el("i", { class: `m ${view.state}`, "aria-hidden": "true" }, MARKS[view.state]), el("b", {}, `Plot ${plot.name}`), el("span", {}, facts || STATES[view.state])));
}

function readyPlots() {
  press("walk-plots", () => act(() => go("plots")));
  press("walk-back", () => act(() => go("count")));
  press("walk-go", () => {
    if (!settled()) return;
    const next = nextPlot(here.plot);
    if (next) toPlot(next, 0);
    else act(() => go("send"));
  });
  press("plots-back", () => act(() => go("count")));
  press("plots-send", () => act(() => go("send")));
  press("plots-take", () => act(() => go("take")));
}
