// Counts on their way out: as a file, shared, copied, or read aloud.

function fileName() {
  const part = (text) => text.toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-|-$/g, "").slice(0, 30);
  const time = now().slice(0, 16).replace(/[:T]/g, "-");
  return ["counts", part(plan.title), part(counterName(state)), time].filter(Boolean).join("-") + ".csv";
}

/** Marks that a copy was made, so that the page can tell what came after it. */
function noteSent(words) {
  buzz(40);
  put("send-said", words);
  return keep({ o: "sent" });
}

async function saveFile() {
  const name = fileName();
  const address = URL.createObjectURL(new Blob([csvText(allRows(state, plan))], { type: "text/csv" }));
  const link = el("a", { href: address, download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), 60000);
  await noteSent(`Handed to the phone as ${name}. Look for it under downloads.`);
}

async function share() {
  const text = csvText(allRows(state, plan));
  try {
    const file = new File([text], fileName(), { type: "text/csv" });
    const whole = navigator.canShare && navigator.canShare({ files: [file] });
    await navigator.share(Object.assign({ title: plan.title }, whole ? { files: [file] } : { text }));
    await noteSent("Shared.");
  } catch (why) {
    put("send-said", why && why.name === "AbortError" ? "Not shared." : "This phone did not share it. Save the file, or copy the text.");
  }
}

/** Copies a text; whether it worked. Older browsers copy only what is selected. */
async function copy(text) {
  try {
    await navigator.clipboard.writeText(text);
    return true;
  } catch (why) {
    const box = el("textarea", { readonly: true, "aria-label": "Text to copy" });
    box.value = text;
    document.body.append(box);
    box.select();
    const worked = document.execCommand("copy");
    box.remove();
    return worked;
  }
}

async function copyCounts() {
  if (await copy(csvText(allRows(state, plan)))) await noteSent("Copied. Paste it into a message.");
  else put("send-said", "This phone did not copy it. Show the text below, select and copy it by hand.");
}

/** What is to be said about the counts before they go. */
function doubts() {
  const found = [];
  const views = plotViews();
  const begun = views.filter((v) => v.begun > 0 && v.done < plan.samples).map((v) => v.plot);
  const none = views.filter((v) => v.begun === 0).map((v) => v.plot);
  const clashes = allClashes(state, plan).length;
  const list = (names) => names.slice(0, 8).map(brief).join(", ") + (names.length > 8 ? ` and ${names.length - 8} more` : "");
  if (unkept.length > 0) found.push(`${plural(unkept.length, "entry is", "entries are")} not stored on this phone.`);
  if (clashes > 0) found.push(`${plural(clashes, "place has", "places have")} two counts. Both are sent. Choose under Take in counts, if you know.`);
  if (begun.length > 0) found.push(`Not through: plot ${list(begun)}.`);
  if (none.length > 0) found.push(`Not counted: plot ${list(none)}.`);
  if (state.sent) {
    const since = state.events.slice(state.sent.events).filter((e) => !["at", "set", "sent"].includes(e.o)).length;
    found.push(`Last copy ${state.sent.at.slice(11, 16)}; ${since === 0 ? "nothing new since" : `${plural(since, "entry", "entries")} since`}.`);
  }
  return found;
}

function showSpoken() {
  const lines = spokenLines(state, plan, here.occasion);
  const items = lines.map((l) => el("li", {}, `${l.text} `, el("b", {}, l.sign), el("span", { class: "small" }, ` ${SPOKEN[SIGNS.indexOf(l.sign)]}`)));
  const planned = samplesOf(plan);
  const left = allRows(state, plan).filter((r) => r.occasion === here.occasion && r.count !== "" && !planned.includes(r.sample)).length;
  if (left > 0) items.push(el("li", {}, `${plural(left, "count")} of other ${plan.sample[1]} not in these lines.`));
  $("spoken").replaceChildren(...items);
}

VIEWS.send = {
  first: "send-save",
  open() {
    put("send-said", "");
  },
  show() {
    const views = plotViews();
    const done = views.filter((v) => v.done >= plan.samples).length;
    put("send-sum", `${done} of ${plan.plots.length} plots done`);
    $("send-doubts").replaceChildren(...doubts().map((d) => el("p", { class: "notice" }, d)));
    $("send-share").hidden = !navigator.share;
    $("send-text").value = csvText(allRows(state, plan));
    showSpoken();
  },
};

function readySend() {
  press("send-back", () => act(() => go(here.plot === null ? "start" : "count")));
  press("send-save", () => act(async () => { await saveFile(); show(); }));
  press("send-share", () => act(async () => { await share(); show(); }));
  press("send-copy", () => act(async () => { await copyCounts(); show(); }));
  press("spoken-copy", () => act(async () => {
    const text = spokenLines(state, plan, here.occasion).map((l) => `${l.text} ${l.sign}`).join("\n");
    put("send-said", (await copy(text)) ? "Lines copied." : "This phone did not copy them.");
  }));
  press("alarm-copy", () => act(async () => {
    const worked = await copy(csvText(allRows(state, plan)));
    put("alarm-copy", worked ? "Copied" : "Did not copy");
  }));
  press("alarm-save", () => act(saveFile));
  press("alarm-smaller", () => put("alarm-smaller", $("alarm").classList.toggle("low-key") ? "Larger" : "Smaller"));
}
