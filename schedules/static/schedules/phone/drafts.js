// What is being logged of one fan, kept at every keystroke until it goes into the queue: one visit
// and one happening at a time.

import { changed, tookOver } from "./changes.js";
import { appVersion, here } from "./device.js";
import { mergeInto } from "./merging.js";
import { withOffset } from "./moments.js";
import { without } from "./photos.js";

const open = new Map(); // by placeOf: one object for page and store
const known = new WeakMap(); // by draft: as it lay on the disk when this page read or wrote it last
let whose = null;
const writing = new Map(); // by id: {again, done} while the disk is busy
const closed = new WeakSet(); // sent or thrown away by this page

// What is being typed stays the one object that the page holds; what another page told comes into
// it, what was never kept is not given up, and what another page has sent is gone. Tells the fans of
// which this page may be showing something else.
export async function recallDrafts() {
  if (whose !== here.store) open.clear();
  whose = here.store;
  const stored = await here.store.all("drafts");
  const ids = new Set(stored.map((draft) => draft.id));
  const gone = [...open.values()].filter((draft) => known.has(draft) && !ids.has(draft.id) && !writing.has(draft.id));
  for (const draft of gone) open.delete(placeOf(draft));
  return new Set([...gone, ...stored.filter(take)].map((draft) => draft.fan));
}

const placeOf = (draft) => (draft.type === "event" ? `event ${draft.fan}` : draft.fan);

function take(draft) {
  const held = open.get(placeOf(draft));
  if (held && held.id !== draft.id) return false;
  if (!held) open.set(placeOf(draft), draft);
  const isNew = !held || mergeInto(held, known.get(held), { ...draft, updated_at: held.updated_at });
  known.set(held ?? draft, structuredClone(draft));
  return isNew;
}

export function draftOf(fanId) {
  return open.get(fanId) ?? null;
}

// A happening that is being told at a fan.
export function happeningOf(fanId) {
  return open.get(`event ${fanId}`) ?? null;
}

// What is begun where this one would stand.
export function inPlaceOf(draft) {
  return open.get(placeOf(draft)) ?? null;
}

export function drafts() {
  return [...open.values()];
}

export function begin(fan, form, kind = "walk_through") {
  return start(blank(fan, form, kind));
}

export function start(draft) {
  open.set(placeOf(draft), draft);
  changed();
  return draft;
}

export function blank(fan, form, kind) {
  return {
    id: crypto.randomUUID(), fan: fan.id, tag: fan.tag, site: fan.site, system: fan.system, kind,
    began_at: withOffset(new Date()), ended_at: "", form_version: form.version, app_version: appVersion(),
    seen: {}, left: {}, readings: {}, context: {}, live: false, notes: "", findings: [], actions: [],
    advice: [], decisions: {}, not_reached: [], made_safe: null, not_cleaned: "", plate: {}, unreadable: [],
  };
}

// Open, and on the disk before anything else.
export function reopen(draft) {
  return keep(start(draft));
}

// Written at once, and once more if something was typed meanwhile; only the last state matters.
export async function keep(draft) {
  if (closed.has(draft)) return;
  draft.updated_at = withOffset(new Date());
  const busy = writing.get(draft.id);
  if (busy) {
    busy.again = true;
    return busy.done;
  }
  const state = { again: false };
  state.done = write(draft, state);
  writing.set(draft.id, state);
  return state.done;
}

async function write(draft, state) {
  try {
    do {
      state.again = false;
      let written;
      await here.store.update("drafts", draft.id, (stored) => (written = joined(draft, stored)));
      known.set(draft, written);
      if (!open.has(placeOf(draft)) && !closed.has(draft)) open.set(placeOf(draft), draft); // another page had sent it meanwhile
    } while (state.again && !closed.has(draft));
  } catch {
    // the line tells that nothing is being kept; what is on the page stays there
  } finally {
    writing.delete(draft.id);
  }
}

// What lies there with what was typed here; what another page told since comes in on the way.
function joined(draft, stored) {
  if (stored && mergeInto(draft, known.get(draft), { ...stored, updated_at: draft.updated_at })) tookOver(draft.fan);
  return structuredClone(draft);
}

// Once nothing of it is on its way to the disk any more.
export const settled = (draft) => writing.get(draft.id)?.done;

export function close(draft) {
  closed.add(draft);
  open.delete(placeOf(draft));
}

export async function discard(draft, photos) {
  close(draft);
  await settled(draft);
  await here.store.change([["drafts", "delete", draft.id], ...photos.flatMap(without)]);
  changed();
}

// Whether what is found and what is left are two looks: something was done in between, or two were
// told.
export function isLeftApart(draft) {
  return Boolean(draft.left_apart) || draft.kind !== "walk_through" || draft.actions.length > 0 || draft.made_safe !== null;
}
