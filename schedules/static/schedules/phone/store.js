// What lies on this phone: a database for each person, and one line of who is here.
//
// Where the browser refuses to keep anything, the same is held in memory, and `keeping` says so:
// nothing pretends to be kept.

import { openDB, deleteDB } from "./vendor/idb.js";

const STRICT = { durability: "strict" }; // on the disk before it is called kept
const KEYS = { packs: "key", drafts: "id", queue: "seq", photos: "id", pixels: "id", meta: "key" };
const STORES = Object.keys(KEYS); // a photo's pixels lie apart: lists of photos are read often

export const keeping = new EventTarget();
let trouble = "";

export function keepingTrouble() {
  return trouble;
}

function tell(fault) {
  trouble = fault;
  keeping.dispatchEvent(new Event("change"));
}

function describe(error) {
  return error?.name === "QuotaExceededError" ? "full" : "refused";
}

async function open(name) {
  return openDB(name, 1, {
    upgrade(database) {
      for (const store of STORES) {
        database.createObjectStore(store, {
          keyPath: KEYS[store], autoIncrement: store === "queue",
        });
      }
    },
    blocking: (_old, _new, event) => event.target.close(),
    terminated: () => tell("refused"),
  });
}

// What another page of this browser has written: the names of its stores.
export const elsewhere = new EventTarget();

class Kept {
  constructor(name, database) {
    this.name = name;
    this.database = database;
    this.channel = window.BroadcastChannel && new BroadcastChannel(name);
    this.channel?.addEventListener("message", ({ data }) => elsewhere.dispatchEvent(new CustomEvent("change", { detail: data })));
  }

  get(store, key) {
    return this.database.get(store, key);
  }

  all(store) {
    return this.database.getAll(store);
  }

  // Changes of several stores together or not at all: [store, "put" or "delete", value or key].
  change(changes) {
    const names = [...new Set(changes.map(([store]) => store))];
    return this.write(names, async (transaction) => {
      const [first] = await Promise.all(changes.map(([store, what, value]) => transaction.objectStore(store)[what](value)));
      return first;
    });
  }

  // What lies there is looked at and put anew while no other page comes between.
  update(store, key, act) {
    return this.write([store], async (transaction) => transaction.objectStore(store).put(act(await transaction.objectStore(store).get(key))));
  }

  async write(names, act) {
    try {
      const transaction = this.database.transaction(names, "readwrite", STRICT);
      const [told] = await Promise.all([act(transaction), transaction.done]);
      if (trouble === "full" || trouble === "refused") tell("");
      this.channel?.postMessage(names);
      return told;
    } catch (error) {
      tell(describe(error));
      throw error;
    }
  }

  put(store, value) {
    return this.change([[store, "put", value]]);
  }

  delete(store, key) {
    return this.change([[store, "delete", key]]);
  }

  async wipe() {
    this.channel?.close();
    this.database.close();
    await deleteDB(this.name);
  }
}

class InMemory {
  constructor() {
    this.stores = Object.fromEntries(STORES.map((store) => [store, new Map()]));
    this.last = 0;
  }

  async get(store, key) {
    return this.stores[store].get(key);
  }

  async all(store) {
    return [...this.stores[store].values()];
  }

  async change(changes) {
    let first;
    for (const [store, what, value] of changes) {
      const rows = this.stores[store];
      if (what === "delete") rows.delete(value);
      else {
        if (store === "queue") value.seq ??= ++this.last;
        rows.set(value[KEYS[store]], structuredClone(value));
        first ??= value[KEYS[store]];
      }
    }
    return first;
  }

  async update(store, key, act) {
    return this.put(store, act(this.stores[store].get(key)));
  }

  put(store, value) {
    return this.change([[store, "put", value]]);
  }

  delete(store, key) {
    return this.change([[store, "delete", key]]);
  }

  async wipe() {
    this.stores = new InMemory().stores;
  }
}

async function openOrHold(name) {
  try {
    return new Kept(name, await open(name));
  } catch {
    tell("never");
    return new InMemory();
  }
}

// The cache of pictures that came with a round.
export const thumbsOf = (personId) => `round-thumbs-${personId}`;

let device;

export async function openDevice() {
  device ??= await openOrHold("round-device");
  return device;
}

export function openFor(person) {
  return openOrHold(`round-${person.id}`);
}
