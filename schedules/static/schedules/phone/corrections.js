// What was finished is put right: while it surely waits here in its own place, else by a correction
// that follows it.  Nothing typed is given up for it.

import { here } from "./device.js";
import { inPlaceOf, reopen } from "./drafts.js";
import { takeFan, taken } from "./packs.js";
import { inTurn, queue } from "./queue.js";
import { draftFrom } from "./sent.js";
import { read, toldBy, Unreached } from "./server.js";
import { W } from "./words.js";

// Each opens the draft and goes there; says in words why it does not.

export async function putRight(item) {
  const newer = queue.items.find((each) => each.draft.supersedes === item.id);
  if (newer && item.state !== "refused") return putRight(newer);
  const begun = inPlaceOf(item.draft);
  if (begun) return begun.seq === item.seq || begun.supersedes === item.id ? goTo(begun) : W.finishFirst;
  if (item.state === "refused") return openRefused(item);
  return (await takeOut(item)) ? openDraft({ ...moved(item.draft), seq: item.seq }) : openDraft(correctionOf(item.draft));
}

// A visit of the record, by what was kept of it here, else by what came with the round.
export function putRightVisit(fan, form, visit) {
  const item = queue.items.find((each) => each.id === visit.id);
  if (item) return putRight(item);
  const newer = queue.items.find((each) => each.draft.supersedes === visit.id);
  if (newer) return putRight(newer);
  const draft = correctionOf(draftFrom(visit.sent, fan, form), visit.id);
  const begun = inPlaceOf(draft);
  if (begun) return begun.supersedes === visit.id ? goTo(begun) : W.finishFirst;
  return openDraft(draft);
}

// Whether it waits for what it corrects, which was refused.
export const isHeld = (item) => queue.items.some((each) => each.id === item.draft.supersedes && each.state === "refused");

// Whether a correction of it follows.
export const isPutRight = (item) => queue.items.some((each) => each.draft.supersedes === item.id);

export const mayPutRight = (visit) => Boolean(visit.sent) || queue.items.some((each) => each.id === visit.id);

function correctionOf(draft, supersedes = draft.id) {
  const { seq, ...rest } = structuredClone(draft);
  return { ...rest, id: crypto.randomUUID(), supersedes, correction_reason: "" };
}

// Out of the queue's way, where its bytes have surely not left yet.
function takeOut(item) {
  return inTurn(async () => {
    const kept = await here.store.get("queue", item.seq);
    if (!kept || kept.state !== "waiting" || kept.tried) return false;
    await here.store.put("queue", Object.assign(item, kept, { state: "refused", problem: { status: 0, detail: W.beingEdited } }));
    return true;
  });
}

// Whether it is being put right: sent as it was too, there would be two of it.
export const isOpen = (item) => inPlaceOf(item.draft)?.seq === item.seq;

// What was taken out waits again where it is not put right after all.
export async function putBack(draft) {
  const item = queue.items.find((each) => each.seq === draft.seq && each.problem?.status === 0);
  if (item) await here.store.put("queue", Object.assign(item, { state: "waiting", problem: null }));
}

// A record refused stays in the queue, as it is, until the one put right takes its place.
async function openRefused(item) {
  await takeFan(item.fan).catch(() => false); // it may stand elsewhere by now, under another tag
  const draft = { ...moved(item.draft), seq: item.seq };
  if (isOvertaken(item)) {
    const chain = await correctionsOf(item);
    if (!chain) return W.needsNetwork;
    draft.supersedes = chain.at(-1)?.id ?? draft.supersedes;
  } else {
    if (item.problem?.status === 409) {
      const isOurs = await cameFromHere(item).catch(() => null);
      if (isOurs === null) return W.needsNetwork;
      if (isOurs) Object.assign(draft, { supersedes: draft.id, correction_reason: draft.correction_reason ?? "" });
      await renew(draft, "id");
    }
    for (const row of takenIds(item, draft)) await renew(row, "id");
  }
  return openDraft(draft);
}

function moved(draft) {
  const { tag, site, system } = taken.fans.get(draft.fan) ?? draft;
  return { ...structuredClone(draft), tag, site, system };
}

async function openDraft(draft) {
  await reopen(draft);
  return goTo(draft);
}

function goTo(draft) {
  location.hash = `#/fan/${draft.fan}/${draft.type === "event" ? "happened" : "sum"}`;
  return "";
}

// Findings and advice whose ids the server has under another visit.
function takenIds(item, draft) {
  const record = JSON.parse(item.body);
  const ids = faultsAt(item, /^#\/(findings|recommendations)\/(\d+)\/id$/).map(([, list, place]) => record[list]?.[place]?.id);
  return [...(draft.findings ?? []), ...(draft.advice ?? [])].filter((row) => ids.includes(row.id));
}

// Whether what the server has under its id is this very record in other words: then it is put right,
// for under another id there would be two of it.
async function cameFromHere({ id, body, type }) {
  const told = await toldOf(`${type}s/${id}`);
  const { site_id: site, began_at: began, kind, started } = JSON.parse(body);
  const isMine = [here.person.name, here.person.login].includes(told.recorded_by) && told.site.id === site;
  if (type === "event") return isMine && told.kind === kind && started.startsWith(told.started_on);
  return isMine && Date.parse(told.began_at) === Date.parse(began);
}

// A fresh id, with the photos of what had the old one.
async function renew(row, name) {
  const old = row[name];
  row[name] = crypto.randomUUID();
  const photos = queue.photos.filter((photo) => photo.visit === old || photo.finding === old);
  const anew = photos.map((photo) => Object.assign(photo, photo.visit === old ? { visit: row[name] } : { finding: row[name] }));
  if (anew.length) await here.store.change(anew.map((photo) => ["photos", "put", photo]));
}

function faultsAt(item, pattern) {
  return (item.problem?.errors ?? []).map(({ pointer = "" }) => pointer.match(pattern)).filter(Boolean);
}

// Whether somebody else has put that visit right meanwhile.
export function isOvertaken(item) {
  return Boolean(item.draft.supersedes) && faultsAt(item, /^#\/supersedes$/).length > 0;
}

// Every correction of what it corrects from the first to the one that stands; null where nobody can
// tell.
export async function correctionsOf({ draft }) {
  try {
    return draft.type === "event" ? await followEvents(draft.supersedes) : (await toldOf(`visits/${draft.supersedes}`)).corrections;
  } catch {
    return null;
  }
}

async function toldOf(what) {
  const answer = await read(`/api/v1/${what}`);
  if (!answer.ok) throw new Unreached(String(answer.status));
  return toldBy(answer);
}

async function followEvents(id) {
  const chain = [];
  for (let next = (await toldOf(`events/${id}`)).superseded_by; next; next = chain.at(-1).superseded_by) {
    const told = await toldOf(`events/${next}`);
    chain.push({ ...told, reason: told.correction_reason });
  }
  return chain;
}
