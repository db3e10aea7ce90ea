// Where events are kept: the browser's database, else its plain storage, else nowhere, which is said aloud.
//
// An event is kept when the database has told that it is on the disk (`durability: "strict"`; by default Chromium from version 121
// tells it before that). Plain storage is written some time later by the browser and is only used where the database is not there.

/** Opens the first of the stores that works. `append` keeps an event and gives back all that are new, in order. */
async function openStore(name) {
  try {
    return await openDatabase(name);
  } catch (why) {
    try {
      return openPlain(name);
    } catch (whyNot) {
      return { kind: "none", append: () => Promise.reject(whyNot), news: () => Promise.resolve([]) };
    }
  }
}

function asked(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

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
    // Where numbers are left out, another tab has written in between.
    if (requests.some((r, i) => r.result !== last + 1 + i)) return news();
    last += list.length;
    return list;
  };
  return { kind: "database", news, append };
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
      return [...fresh, ...news()];
    },
  };
}
