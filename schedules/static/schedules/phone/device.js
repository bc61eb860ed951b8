// This phone: who is here, whether the browser promised to keep what lies on it, whether its clock
// is right.

import { changed } from "./changes.js";
import { clock } from "./server.js";
import { openDevice, openFor } from "./store.js";

export const here = { person: null, store: null, promised: null, room: null };

const ODD_MS = 120000; // a clock two minutes off is nobody's trouble

export async function rememberedPerson() {
  return (await (await openDevice()).get("meta", "person"))?.value ?? null;
}

// From here on everything is that person's; another's drafts and rounds stay where they are, unseen.
export async function become(person) {
  if (here.person?.id !== person.id) here.store = await openFor(person);
  here.person = person;
  await keepQuietly("person", person);
  changed();
}

export async function forgetPerson() {
  const device = await openDevice();
  here.person = here.store = null;
  await device.delete("meta", "person").catch(() => {});
}

// Signed out here while the server could not be told: it is told before anything else.
export async function noteSignOut(open) {
  await keepQuietly("signing_out", open);
}

export async function isSigningOut() {
  return Boolean((await (await openDevice()).get("meta", "signing_out"))?.value);
}

async function keepQuietly(key, value) {
  const device = await openDevice();
  await device.put("meta", { key, value }).catch(() => {}); // the line says so already
}

export async function askToKeep() {
  const manager = navigator.storage;
  if (!manager?.persist) return;
  here.promised = (await manager.persisted()) || (await manager.persist());
  here.room = await manager.estimate?.();
  changed();
}

export function canWorkOffline() {
  return "serviceWorker" in navigator && window.isSecureContext;
}

export function isNearlyFull() {
  const { quota, usage } = here.room ?? {};
  return Boolean(quota) && quota - usage < 50e6;
}

export async function rememberClock() {
  if (clock.skewMs === null) {
    clock.skewMs = (await (await openDevice()).get("meta", "skew"))?.value ?? null;
  } else {
    await keepQuietly("skew", clock.skewMs);
  }
}

// By how many milliseconds the clock is odd; 0 where it is right or nobody could tell.
export function oddClockMs() {
  return Math.abs(clock.skewMs ?? 0) >= ODD_MS ? clock.skewMs : 0;
}

export function appVersion() {
  return document.documentElement.dataset.version ?? "";
}
