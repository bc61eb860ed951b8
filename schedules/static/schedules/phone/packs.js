// Rounds and sites taken along: what the server worked out in the morning, read without network.

import { changed } from "./changes.js";
import { become, here, rememberClock } from "./device.js";
import { today } from "./moments.js";
import { read, toldBy } from "./server.js";

const FORMAT = 1;
const DAYS_KEPT = 7; // an earlier round stays while something begun on it may wait
export const taken = { round: null, sites: new Map(), fans: new Map(), along: new Set(), form: null, at: "" };

// Everything on this phone, the day's round first: of a site in several packs the newest counts.
export async function recall() {
  const packs = (await here.store.all("packs")).sort((a, b) => a.taken_at.localeCompare(b.taken_at));
  Object.assign(taken, { round: null, sites: new Map(), fans: new Map(), along: new Set(), form: null, at: "" });
  for (const { key, pack, taken_at: at } of packs) {
    for (const site of pack.sites) {
      taken.sites.set(site.id, site);
      if (/^(site|fan):/.test(key)) taken.along.add(site.id);
    }
    for (const fan of pack.fans) taken.fans.set(fan.id, fan);
    taken.form = { ...pack.form, terms: pack.terms ?? pack.form.terms ?? {}, subjects: pack.terms?.subjects };
    if (key === "round") Object.assign(taken, { round: pack, at });
  }
  changed();
}

async function take(key, address) {
  const known = here.store && (await here.store.get("packs", key));
  const fits = known?.pack.day === today() || key !== "round";
  const answer = await read(address, known && fits ? { "If-None-Match": known.etag } : {});
  await rememberClock();
  if (answer.status === 304) return known.pack;
  if (!answer.ok) return null;
  const pack = await toldBy(answer);
  if (pack.format !== FORMAT) return null;
  await become(pack.person);
  const kept = { key, etag: answer.headers.get("ETag") ?? "", taken_at: new Date().toISOString(), pack };
  await here.store.change([["packs", "put", kept], ...setAside(key, known, pack)]);
  await recall();
  return pack;
}

function setAside(key, known, pack) {
  if (key !== "round" || !known || known.pack.day === pack.day) return [];
  const oldest = new Date(Date.now() - DAYS_KEPT * 864e5).toISOString().slice(0, 10);
  const day = known.pack.day;
  return day < oldest ? [] : [["packs", "put", { ...known, key: `day:${day}` }]];
}

// The round of today; null where there is none.  Raises Unreached, SignedOut.
export function takeRound(day = today()) {
  return take("round", `/api/v1/round?day=${day}`);
}

export function takeSite(id) {
  return take(`site:${id}`, `/api/v1/round/sites/${id}`);
}

// What was taken along beside the round, anew where it changed.
export async function refreshAlong() {
  for (const { key } of await here.store.all("packs")) {
    const [kind, id] = key.split(":");
    if (kind === "site") await takeSite(id);
    if (kind === "fan") await take(key, `/api/v1/round/fans/${id}`);
  }
}

// Once records are in: their fans' new dates, and themselves among the last visits.
export async function takeAnew() {
  await takeRound();
  await refreshAlong();
}

// The site of a fan whose label was read.
export async function takeFan(id) {
  const pack = await take(`fan:${id}`, `/api/v1/round/fans/${id}`);
  return Boolean(pack) && taken.fans.has(id);
}

export async function findSites(text) {
  const answer = await read(`/api/v1/round/sites?search=${encodeURIComponent(text)}`);
  return answer.ok ? (await toldBy(answer)).sites : [];
}

export function fansOf(siteId) {
  return [...taken.fans.values()].filter((fan) => fan.site === siteId);
}

// Fans whose tag or site says what is looked for.
export function findFans(text) {
  const wanted = text.trim().toLowerCase();
  if (!wanted) return [];
  const said = (fan) => `${fan.tag} ${taken.sites.get(fan.site)?.name ?? ""}`.toLowerCase();
  return [...taken.fans.values()].filter((fan) => said(fan).includes(wanted));
}
