// Where events are kept: the browser's database, else its plain storage, else nowhere, which is said aloud.
//
// An event is kept when the database has told that it is on the disk (`durability: "strict"`; by default Chromium from version 121
// tells it before that). Plain storage is written some time later by the browser and is only used where the database is not there.
// `append` keeps events and gives back all that are new, in order, with the moment at which they were kept, by the page's own clock.

/** Opens the first of the stores that works. */
async function openStore(name) {
  try {
    // A browser that denies the page its database throws here.
    if (!window.indexedDB) throw new Error("no database");
    return await openBeside(name);
  } catch (why) {
    try {
      return openPlain(name);
    } catch (whyNot) {
      return { kind: "none", append: () => Promise.reject(whyNot), news: () => Promise.resolve([]) };
    }
  }
}

/** How long a worker may be silent before the page stores by itself: far beyond any disk, and a thumb notices that the number stands still. */
const SILENCE_MS = 4000;

/**
 * The database, used from a worker: after each touch the browser draws before it tells the page anything, but a worker at once.
 * A worker that cannot be made, fails or falls silent is left, and the page uses the database itself. What was then stored twice
 * has the same id and counts once.
 */
async function openBeside(name) {
  const waiting = new Map();
  let worker = null;
  let direct = null;
  let asks = 0;
  const leave = () => {
    for (const { lost } of waiting.values()) lost(new Error("the worker is gone"));
    waiting.clear();
    if (worker) worker.terminate();
    worker = null;
  };
  const ask = (what, given) => new Promise((resolve, reject) => {
    asks += 1;
    const id = asks;
    const ended = (how) => (value) => {
      clearTimeout(timer);
      waiting.delete(id);
      how(value);
    };
    const timer = setTimeout(leave, SILENCE_MS);
    waiting.set(id, { told: ended(resolve), lost: ended((why) => reject(Object.assign(why, { gone: true }))), refused: ended(reject) });
    worker.postMessage([id, what, given]);
  });
  const hear = ({ data: [id, found, why] }) => {
    const asker = waiting.get(id);
    if (!asker) return;
    if (why) asker.refused(Object.assign(new Error(why.message), { name: why.name }));
    else asker.told(found);
  };
  const either = async (what, given) => {
    try {
      if (worker) return await ask(what, given);
    } catch (why) {
      if (!why.gone) throw why;
    }
    direct = direct || await openDatabase(name);
    return direct[what](given);
  };
  try {
    const program = `"use strict";\n${asked}\n${openDatabase}\n(${serve})();`;
    const address = URL.createObjectURL(new Blob([program], { type: "text/javascript" }));
    worker = new Worker(address);
    worker.onmessage = hear;
    worker.onerror = leave;
    await ask("open", name);
    URL.revokeObjectURL(address);
  } catch (why) {
    leave();
    direct = await openDatabase(name);
  }
  return {
    kind: "database",
    news: () => either("news"),
    append: async (list) => {
      const kept = await either("append", list);
      // A worker's clock began at another moment than the page's.
      return { events: kept.events, at: kept.at - performance.timeOrigin };
    },
  };
}

/** What runs in the worker: it answers each question of the page once. */
function serve() {
  let database = null;
  const answers = {
    open: async (name) => {
      database = await openDatabase(name);
    },
    news: () => database.news(),
    append: (list) => database.append(list),
  };
  self.onmessage = async ({ data: [id, what, given] }) => {
    try {
      self.postMessage([id, await answers[what](given), null]);
    } catch (why) {
      self.postMessage([id, null, { name: why.name, message: why.message }]);
    }
  };
}

function asked(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

/** The database itself, for page and worker alike: it uses nothing else of this program but `asked`. Moments count from 1970. */
async function openDatabase(name) {
  const connect = () => new Promise((resolve, reject) => {
    const request = indexedDB.open(name, 1);
    request.onupgradeneeded = () => request.result.createObjectStore("events", { keyPath: "seq", autoIncrement: true });
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
    request.onblocked = () => reject(new Error("blocked"));
  });
  let database = await connect();
  let last = 0;
  const begin = async (mode) => {
    // A browser may close the connection of a page that it had put to sleep.
    try {
      return database.transaction("events", mode, { durability: "strict" });
    } catch (why) {
      if (why.name !== "InvalidStateError") throw why;
      database = await connect();
      return database.transaction("events", mode, { durability: "strict" });
    }
  };
  const news = async () => {
    const found = await asked((await begin("readonly")).objectStore("events").getAll(IDBKeyRange.lowerBound(last, true)));
    if (found.length > 0) last = found[found.length - 1].seq;
    return found;
  };
  const append = async (list) => {
    const transaction = await begin("readwrite");
    const ended = new Promise((resolve, reject) => {
      transaction.oncomplete = resolve;
      transaction.onabort = () => reject(transaction.error || new Error("the storage gave up"));
    });
    ended.catch(() => {});
    const events = transaction.objectStore("events");
    const requests = list.map((e) => events.add(e));
    // Nothing more is to be asked: the browser need not wait for that.
    if (transaction.commit) transaction.commit();
    await ended;
    const at = performance.timeOrigin + performance.now();
    // Where numbers are left out, another tab has written in between.
    if (requests.some((r, i) => r.result !== last + 1 + i)) return { events: await news(), at };
    last += list.length;
    return { events: list, at };
  };
  return { news, append };
}

function openPlain(name) {
  const storage = window.localStorage;
  const at = (seq) => `${name} ${seq}`;
  let last = 0;
  const news = () => {
    const fresh = [];
    for (let text = storage.getItem(at(last + 1)); text !== null; text = storage.getItem(at(last + 1))) {
      fresh.push(JSON.parse(text));
      last += 1;
    }
    return fresh;
  };
  storage.setItem(name, "here");
  return {
    kind: "plain",
    news: async () => news(),
    append: async (list) => {
      const fresh = news();
      let seq = last;
      for (const e of list) {
        seq += 1;
        storage.setItem(at(seq), JSON.stringify(e));
      }
      return { events: [...fresh, ...news()], at: performance.now() };
    },
  };
}
