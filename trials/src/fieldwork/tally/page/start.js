// The first page, and how everything begins.

/** The occasion that is counted: the one chosen last, else the one whose day is nearest. */
function likelyOccasion() {
  const kept = state.settings.get("occasion");
  if (plan.occasions.some((o) => o.name === kept)) return kept;
  const away = (o) => (o.date ? Math.abs(Date.parse(o.date) - Date.parse(now().slice(0, 10))) : Infinity);
  return plan.occasions.slice().sort((a, b) => away(a) - away(b))[0].name;
}

function dayWords(day) {
  return new Date(day + "T12:00:00").toLocaleDateString("en-GB", { weekday: "short", day: "numeric", month: "short" });
}

VIEWS.start = {
  first: "begin",
  open() {
    $("who").value = state.settings.get("name") || "";
    $("occasions").hidden = plan.occasions.length < 2;
    const chosen = here.occasion || likelyOccasion();
    $("occasions").replaceChildren($("occasions").firstElementChild, ...plan.occasions.map((o) => {
      const radio = el("input", { type: "radio", name: "occasion", value: o.name, checked: o.name === chosen });
      radio.addEventListener("change", show);
      return el("label", {}, radio, el("span", {}, o.name, o.date ? ` · ${dayWords(o.date)}` : ""));
    }));
  },
  show() {
    put("trial-title", plan.title);
    put("trial-site", plan.site || "");
    const light = state.settings.get("look") === "light";
    put("look", light ? "Dark screen" : "Light screen");
    const any = state.events.some((e) => e.o === "add" || e.o === "none");
    put("begin", any ? "Go on" : "Start");
    put("kept-where", { database: "Every tap is stored on this phone at once. Nothing is sent anywhere.",
      plain: "This browser stores taps a little late. Send a copy after each plot.", none: "" }[store.kind]);
    const chosen = plan.occasions.find((o) => o.name === chosenOccasion());
    const today = now().slice(0, 10);
    const doubt = chosen && chosen.date && chosen.date !== today ? `Planned for ${dayWords(chosen.date)}. This phone says ${dayWords(today)}, ${now().slice(11, 16)}.` : "";
    $("clock-doubt").hidden = doubt === "" && clockDoubt === "";
    put("clock-doubt", clockDoubt || doubt);
  },
};

function chosenOccasion() {
  const radio = document.querySelector("#occasions input:checked");
  return radio ? radio.value : likelyOccasion();
}

async function begin() {
  const occasion = chosenOccasion();
  const name = $("who").value.replace(/[/&;\s]+/g, " ").trim();
  const changes = [];
  if (name !== (state.settings.get("name") || "")) changes.push({ o: "set", key: "name", value: name });
  if (occasion !== state.settings.get("occasion")) changes.push({ o: "set", key: "occasion", value: occasion });
  if (changes.length > 0) await keep(...changes);
  await resume(occasion);
}

/** Opens where counting stopped, else at the first plot that is not done. */
async function resume(occasion) {
  here.occasion = occasion;
  stayAwake();
  const { place } = state;
  const known = place && place.k[0] === occasion && plotNamed(place.k[1]);
  if (known) Object.assign(here, { plot: place.k[1], sample: place.k[2], minutes: place.m });
  else {
    const open = plotViews().find((v) => v.done < plan.samples);
    const plot = open ? open.plot : plan.plots[0].name;
    await moveTo(plot, nextSample(plot, 0) || "1", 0);
  }
  go("count");
}

/** Four signs that tell this phone from others; none that is mistaken for another. */
function newSigns() {
  const signs = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789";
  return Array.from(crypto.getRandomValues(new Uint8Array(4)), (n) => signs[n % signs.length]).join("");
}

async function open() {
  store = await openStore(plan.store);
  try {
    for (const e of await store.news()) apply(state, e);
  } catch (why) {
    alarm("Counts on this phone cannot be read.", "Use paper, or another phone, and keep this page open.");
  }
  if (state.events.length > 0) latest = Date.parse(state.events[state.events.length - 1].at);
  doubtClock(now());
  if (!state.settings.has("me")) await keep({ o: "set", key: "me", value: newSigns() });
  if (store.kind === "none") alarm("THIS BROWSER STORES NOTHING.", "Counts are lost when the page closes. Open the file in another browser, or use paper.");
  if (navigator.storage && navigator.storage.persist) navigator.storage.persist().catch(() => {});
  readyCount();
  readyCorrect();
  readyMore();
  readyPlots();
  readySend();
  readyTake();
  press("begin", () => act(begin));
  press("start-take", () => act(() => go("take")));
  press("look", () => act(async () => {
    await keep({ o: "set", key: "look", value: state.settings.get("look") === "light" ? "dark" : "light" });
    show();
  }));
  listen();
  setInterval(() => ["count", "plots"].includes(here.view) && plan.late_shown && show(), 15000);
  here.occasion = likelyOccasion();
  if (state.place && plotNamed(state.place.k[1])) await resume(state.place.k[0]);
  else go("start");
}

act(open);
