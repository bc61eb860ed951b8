// Signing out on a page of the site wipes what this phone keeps of whoever signs out; with something
// unsent their page of the phone asks first.

import { openDevice, openFor, thumbsOf } from "./store.js";

const here = document.querySelector("script[data-person]");
const person = Number(here.dataset.person);
const LONGEST_MS = 5000; // a page of the phone that is open elsewhere lets go at once
const form = document.querySelector("form.signout, #logout-form");

form?.addEventListener("submit", async (event) => {
  event.preventDefault();
  try {
    if (await isKept()) {
      const store = await openFor({ id: person });
      if (await holdsUnsent(store)) return location.assign("/round/#/phone/out");
      await Promise.race([wipe(store), new Promise((done) => setTimeout(done, LONGEST_MS))]);
    }
  } catch {
    // where nothing can be read or wiped, signing out goes on all the same
  }
  form.submit();
});

// Whether a round was ever taken along here: a browser that has none is given no database.
async function isKept() {
  if (!indexedDB.databases) return (await remembered())?.id === person;
  return (await indexedDB.databases()).some(({ name }) => name === `round-${person}`);
}

async function remembered() {
  return (await (await openDevice()).get("meta", "person"))?.value;
}

// Photos that are in are gone from here: one that is left waits, or belongs to a draft.
async function holdsUnsent(store) {
  const [items, drafts, photos] = await Promise.all(["queue", "drafts", "photos"].map((name) => store.all(name)));
  return drafts.length > 0 || photos.length > 0 || items.some((item) => item.state !== "accepted");
}

async function wipe(store) {
  if ("caches" in window) await caches.delete(thumbsOf(person));
  await store.wipe();
  if ((await remembered())?.id === person) await (await openDevice()).delete("meta", "person");
}
