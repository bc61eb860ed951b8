// What waits to be sent: the record's very bytes as they were when it was finished, whatever the
// page has become since.

import { changed } from "./changes.js";
import { appVersion, here } from "./device.js";
import { close, settled } from "./drafts.js";
import { withOffset } from "./moments.js";
import { taken } from "./packs.js";
import { photosOf, without } from "./photos.js";

export const queue = { items: [], photos: [], of: null }; // of: the store it was read from

export async function recallQueue() {
  const { store } = here;
  queue.items = (await store.all("queue")).sort((a, b) => a.seq - b.seq);
  queue.photos = await store.all("photos");
  queue.of = store;
  changed();
}

// What looks at a record and changes it by what it saw, one after the other.
export function inTurn(act) {
  return navigator.locks ? navigator.locks.request("round-queue", act) : act();
}

// Record and photos go over together; the draft is gone only once they are kept.
export async function enqueue(draft, record) {
  await settled(draft);
  const photos = await photosOf(draft.id);
  const item = {
    id: draft.id, body: JSON.stringify(record), fan: draft.fan, tag: draft.tag, site: draft.site, site_name: taken.sites.get(draft.site)?.name ?? "", draft,
    type: record.type, kind: draft.kind, made_at: withOffset(new Date()), app_version: appVersion(),
    form_version: draft.form_version, state: "waiting", problem: null, answer: null,
  };
  const seq = draft.seq ?? (await here.store.all("queue")).find((each) => each.id === draft.id)?.seq;
  if (seq) item.seq = seq; // put right, or kept by another page too
  await here.store.change([
    ["queue", "put", item],
    ["drafts", "delete", draft.id],
    ...photos.map((photo) => ["photos", "put", { ...photo, ...placed(photo, record), state: "waiting", problem: null }]),
  ]);
  close(draft);
  await recallQueue();
}

// A photo of a finding that was taken out again is one of the fan.
function placed(photo, record) {
  const stands = (record.findings ?? []).some((each) => each.id === photo.finding);
  return stands ? {} : { finding: "" };
}

// An answer is to the bytes that were sent: what another page has put in their place still waits.
export async function mark(item, changes) {
  const kept = await here.store.get("queue", item.seq);
  if (kept && kept.body !== item.body) return Object.assign(item, kept);
  await here.store.put("queue", Object.assign(item, changes));
}

export async function drop(item) {
  const photos = queue.photos.filter((photo) => photo.visit === item.id);
  await here.store.change([["queue", "delete", item.seq], ...photos.flatMap(without)]);
  await recallQueue();
}

export const unsent = () => queue.items.filter((item) => item.state !== "accepted");
export const waiting = () => queue.items.filter((item) => item.state === "waiting");
export const refused = () => queue.items.filter((item) => item.state === "refused");
export const refusedPhotos = () => queue.photos.filter((photo) => photo.state === "refused");
export const unsentPhotos = () => queue.photos.filter((photo) => photo.state !== "draft");

// Photos whose record is in, in the order they were taken.
export function photosToSend() {
  const kept = new Set(queue.items.filter((item) => item.state === "accepted").map((item) => item.id));
  return queue.photos
    .filter((photo) => photo.state === "waiting" && kept.has(photo.visit))
    .sort((a, b) => a.taken_at.localeCompare(b.taken_at));
}

// One record of a fan at a time, the earliest first: none passes one of its fan that waits, and no
// correction the record that it corrects.
function nextRecords(most) {
  const chosen = new Map();
  const open = new Set(unsent().map((item) => item.id));
  for (const item of waiting()) {
    if (chosen.size < most && !chosen.has(item.fan) && !open.has(item.draft.supersedes)) chosen.set(item.fan, item);
  }
  return [...chosen.values()];
}

// Those whose turn it is, marked before their bytes leave: whoever puts one right from then on
// cannot know whether it has arrived.
export async function departing(most) {
  for (;;) {
    const items = nextRecords(most);
    const leaving = await inTurn(() => Promise.all(items.map(depart)));
    if (leaving.every(Boolean)) return items;
    await recallQueue();
  }
}

async function depart(item) {
  const kept = await here.store.get("queue", item.seq);
  if (kept?.state !== "waiting" || kept.body !== item.body) return false;
  if (!kept.tried) await here.store.put("queue", Object.assign(item, { tried: true })).catch(() => {}); // a full phone sends all the same
  return true;
}

// All that is not on the server yet, as a file people can keep or bring to the import page.
export function asFile(items) {
  const text = items.map((item) => item.body).join("\n") + "\n";
  return new Blob([text], { type: "application/x-ndjson" });
}
