// Between hand and storage: every act waits its turn, is stored, and only then shows.

const plan = JSON.parse(document.getElementById("plan").textContent);
const state = newState();
let store = null;
/** Events that storage did not take; they are tried again before every other one. */
const unkept = [];
/** The moment at which the last events were stored, by the page's clock. */
let storedAt = 0;
const session = Math.random().toString(36).slice(2, 10);
let numbered = 0;
let queue = Promise.resolve();

/** The phone's time, ISO 8601 with its distance from universal time. */
function now() {
  const date = new Date();
  const two = (n) => String(n).padStart(2, "0");
  const offset = -date.getTimezoneOffset();
  const away = `${offset < 0 ? "-" : "+"}${two(Math.floor(Math.abs(offset) / 60))}:${two(Math.abs(offset) % 60)}`;
  const day = `${date.getFullYear()}-${two(date.getMonth() + 1)}-${two(date.getDate())}`;
  return `${day}T${two(date.getHours())}:${two(date.getMinutes())}:${two(date.getSeconds())}${away}`;
}

/** Acts follow one another: what an act finds is what the one before left. */
function act(work) {
  queue = queue.then(work).catch((why) => alarm("This page failed.", `Copy the counts now, then open it again. (${why && why.message})`));
  return queue;
}

/** Stores events and then lets them count. Whether they are in the phone's storage; where they are not, they count all the same. */
async function keep(...events) {
  for (const e of events) {
    numbered += 1;
    Object.assign(e, { id: `${session}-${numbered}`, at: now() });
  }
  doubtClock(events[0].at);
  unkept.push(...events);
  const kept = await tryToKeep();
  if (!kept) for (const e of events) apply(state, e);
  return kept;
}

async function tryToKeep() {
  const list = unkept.slice();
  try {
    const { events, at } = await store.append(list);
    storedAt = at;
    for (const e of events) apply(state, e);
    for (const e of list) apply(state, e);
    unkept.splice(0, list.length);
    if (list.length > 0) calm();
    if (channel) channel.postMessage("news");
    return true;
  } catch (why) {
    const many = `${unkept.length} ${unkept.length === 1 ? "entry is" : "entries are"} only in this page's memory.`;
    alarm("NOT STORED.", `${full(why) ? "The phone's storage is full. " : ""}${many} Do not close it. Copy or save the counts now, then free some space.`);
    return false;
  }
}

function full(why) {
  return Boolean(why) && why.name === "QuotaExceededError";
}

function alarm(head, text) {
  put("alarm-head", head);
  put("alarm-text", text);
  $("alarm").hidden = false;
  buzz([200, 80, 200]);
}

function calm() {
  $("alarm").hidden = true;
  $("alarm").classList.remove("low-key");
}

let channel = null;
/** Another tab of this page writes into the same storage. */
function listen() {
  const look = () => act(async () => {
    if (unkept.length > 0) await tryToKeep();
    for (const e of await store.news()) apply(state, e);
    show();
  });
  try {
    channel = new BroadcastChannel(plan.store);
    channel.onmessage = look;
  } catch (why) {
    // Without it a tab learns of the other's counts when it is looked at again, and before each of its own.
  }
  window.addEventListener("focus", look);
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible") {
      look();
      stayAwake();
    }
  });
  window.addEventListener("beforeunload", (e) => {
    if (unkept.length > 0) e.preventDefault();
  });
  setInterval(() => unkept.length > 0 && look(), 10000);
}

let latest = 0;
let clockDoubt = "";
/** A clock that goes back by more than a minute is told, for times and dates would be wrong; counts are not touched by it. */
function doubtClock(at) {
  const moment = Date.parse(at);
  if (latest - moment > 60000) clockDoubt = "The phone's clock was put back. Counts are safe; look at the date and time of this phone.";
  latest = moment;
}

/** A short buzz where the phone has one. */
function buzz(pattern) {
  if (navigator.vibrate) navigator.vibrate(pattern);
}

let awake = null;
/** Keeps the screen lit where the browser lets a page do that. */
async function stayAwake() {
  if (!("wakeLock" in navigator) || (awake && !awake.released)) return;
  try {
    awake = await navigator.wakeLock.request("screen");
  } catch (why) {
    awake = null;
  }
}
