// The ledger: what was tapped, in order, and what that comes to. It touches neither the page nor the phone's storage.
//
// An event is never changed or removed. Taking one back is another event, so that the ledger tells all that happened.
//   add   k [occasion, plot, sample], m minutes after the lift, stage, n      none, done  k, m (none also stage)
//   area  k, area (square metres, null for the usual one)                     note        k, text
//   take  k, m, counter: another phone's count is gone on with here           choose      k, m, counter, sign
//   import  units, notes, from        undo, redo  of        set  key, value        at  k, m        sent
// Every event has an id and the time `at`, ISO 8601 with offset, as the phone's clock had it. The order is that of storage:
// a clock that is put back changes no count.

function newState() {
  return { ids: new Set(), events: [], undone: new Set(), samples: new Map(), settings: new Map(), lifted: new Map(), place: null, sent: null };
}

function keyOf(k) {
  return JSON.stringify(k);
}

function sampleOf(state, k) {
  const key = keyOf(k);
  if (!state.samples.has(key)) {
    state.samples.set(key, { k, area: null, note: "", units: new Map() });
  }
  return state.samples.get(key);
}

/** A sample at so many minutes after the lift: this phone's count and those of others. */
function unitOf(state, k, minutes) {
  const units = sampleOf(state, k).units;
  if (!units.has(minutes)) {
    units.set(minutes, { minutes, own: null, others: new Map(), chosen: null });
  }
  return units.get(minutes);
}

function entry(at, counts, done) {
  return { counts: new Map(counts || []), done: Boolean(done), at, counter: null, area: null, note: "", from: null };
}

function ownOf(state, e) {
  const unit = unitOf(state, e.k, e.m);
  unit.own = unit.own || entry(e.at);
  unit.own.at = e.at;
  return unit.own;
}

/** Whether a name of a counter is this phone's: the name may change, the four signs at its end do not. */
function isMine(state, counter) {
  const me = state.settings.get("me");
  return Boolean(me) && (counter === me || counter.endsWith(" " + me));
}

function counterName(state) {
  return [state.settings.get("name"), state.settings.get("me")].filter(Boolean).join(" ");
}

const EFFECTS = {
  add(state, e) {
    const own = ownOf(state, e);
    own.counts.set(e.stage, Math.max(0, (own.counts.get(e.stage) || 0) + e.n));
    noteLift(state, e);
  },
  none(state, e) {
    const own = ownOf(state, e);
    own.counts.set(e.stage, own.counts.get(e.stage) || 0);
    own.done = true;
    noteLift(state, e);
  },
  done(state, e) {
    ownOf(state, e).done = true;
  },
  area(state, e) {
    sampleOf(state, e.k).area = e.area;
  },
  note(state, e) {
    sampleOf(state, e.k).note = e.text;
  },
  take(state, e) {
    const unit = unitOf(state, e.k, e.m);
    const theirs = unit.others.get(e.counter);
    if (!theirs) return;
    unit.own = entry(e.at, theirs.counts, theirs.done);
    unit.own.from = e.counter;
    const sample = sampleOf(state, e.k);
    sample.area = theirs.area;
    sample.note = sample.note || theirs.note;
    unit.others.delete(e.counter);
  },
  choose(state, e) {
    unitOf(state, e.k, e.m).chosen = { counter: e.counter, sign: e.sign };
  },
  import(state, e) {
    for (const { k, text } of e.notes) {
      const sample = sampleOf(state, k);
      sample.note = sample.note || text;
    }
    for (const given of e.units) {
      const theirs = entry(given.at, given.counts, given.done);
      Object.assign(theirs, { counter: given.counter, area: given.area, note: given.note });
      const unit = unitOf(state, given.k, given.m);
      if (!isMine(state, given.counter)) {
        unit.others.set(given.counter, theirs);
      } else if (!unit.own) {
        unit.own = theirs;
        const sample = sampleOf(state, given.k);
        sample.area = given.area;
        sample.note = sample.note || given.note;
      }
    }
  },
  set(state, e) {
    // Two tabs may both have named the phone; the first name in the ledger holds.
    if (e.key !== "me" || !state.settings.has("me")) state.settings.set(e.key, e.value);
  },
  at(state, e) {
    state.place = { k: e.k, m: e.m };
  },
  sent(state, e) {
    state.sent = { at: e.at, events: state.events.length };
  },
};

/** The first count of a plot at the lift stands for the lift itself. */
function noteLift(state, e) {
  const key = keyOf(e.k.slice(0, 2));
  if (e.m === 0 && !state.lifted.has(key)) state.lifted.set(key, e.at);
}

function apply(state, e) {
  if (state.ids.has(e.id)) return;
  state.ids.add(e.id);
  state.events.push(e);
  if (e.o === "undo" || e.o === "redo") {
    if (e.o === "undo") state.undone.add(e.of);
    else state.undone.delete(e.of);
    rebuild(state);
  } else if (EFFECTS[e.o]) {
    EFFECTS[e.o](state, e);
  }
}

function rebuild(state) {
  state.samples = new Map();
  state.lifted = new Map();
  state.settings = new Map();
  for (const e of state.events) {
    if (EFFECTS[e.o] && !state.undone.has(e.id)) EFFECTS[e.o](state, e);
  }
}

const UNDONE_HERE = ["add", "none", "done", "area", "note", "take"];

/** The last event of a sample that stands, and what was taken back since and can be put back. */
function lastOf(state, k) {
  const key = keyOf(k);
  const here = (e) => e && UNDONE_HERE.includes(e.o) && keyOf(e.k) === key;
  const stands = (e) => !state.undone.has(e.id);
  let back = null;
  for (let i = state.events.length - 1; i >= 0; i -= 1) {
    const e = state.events[i];
    if (here(e) && stands(e)) return { last: e, back };
    if (e.o === "undo" && back === null) {
      const target = state.events.find((other) => other.id === e.of);
      if (here(target) && !stands(target)) back = target;
    }
  }
  return { last: null, back };
}
