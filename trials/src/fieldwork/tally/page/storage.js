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
  const news = async (events) => {
    const found = await asked(events.getAll(IDBKeyRange.lowerBound(last, true)));
    return () => {
      // Several reads may be under way at once: each gives what no other has given.
      const fresh = found.filter((e) => e.seq > last);
      if (fresh.length > 0) last = fresh[fresh.length - 1].seq;
      return fresh;
    };
  };
  const within = async (mode, work) => {
    // A browser may close the connection of a page that it had put to sleep.
    let transaction;
    try {
      transaction = database.transaction("events", mode, { durability: "strict" });
    } catch (why) {
      if (why.name !== "InvalidStateError") throw why;
      database = await connect();
      transaction = database.transaction("events", mode, { durability: "strict" });
    }
    const ended = new Promise((resolve, reject) => {
      transaction.oncomplete = () => resolve();
      transaction.onabort = () => reject(transaction.error || new Error("the storage gave up"));
    });
    ended.catch(() => {});
    const result = await work(transaction.objectStore("events"));
    await ended;
    return result();
  };
  return {
    kind: "database",
    news: () => within("readonly", news),
    append: (list) => within("readwrite", async (events) => {
      for (const e of list) events.add(e);
      return news(events);
    }),
  };
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
