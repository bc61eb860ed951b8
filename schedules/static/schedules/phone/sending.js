// Sends what waits, over and over until it is in: each record once, by its own id, in its person's
// name alone.

import { changed } from "./changes.js";
import { here, rememberClock } from "./device.js";
import { takeAnew } from "./packs.js";
import { pictureOf, without } from "./photos.js";
import {
  departing, mark, photosToSend, queue, recallQueue, unsentPhotos, waiting,
} from "./queue.js";
import { W } from "./words.js";
import { problemOf, post, SignedOut, Unreached, whoIsSignedIn } from "./server.js";

const MOST_AT_ONCE = 20;
const FIRST_WAIT_MS = 500;
const LONGEST_WAIT_MS = 300000;
const KEPT_ANSWERS_MS = 7 * 24 * 3600 * 1000;

// idle, sending, unreached, signed_out, other_person, refusing (the server says no to everything)
export const sending = { state: "idle", who: null, failures: 0, nextAt: 0 };
let timer = 0;
let isNews = false;
let most = MOST_AT_ONCE;

export function say(state, who = null) {
  Object.assign(sending, { state, who });
  changed();
}

// Try now; several pages of one browser take turns.
export function send() {
  clearTimeout(timer);
  if (!navigator.locks) return sendAll();
  return navigator.locks.request("round-send", { ifAvailable: true }, (lock) => (lock ? sendAll() : afterOther()));
}

// What another page sends is looked at again once it is through.
let afterwards = false;
function afterOther() {
  if (afterwards) return;
  afterwards = true;
  navigator.locks.request("round-send", () => {
    afterwards = false;
    return sendAll();
  });
}

async function sendAll() {
  if (here.store) await recallQueue(); // another page of this browser may have sent some
  if (!here.person || !(waiting().length || photosToSend().length)) {
    if (sending.state !== "signed_out") say("idle");
    return;
  }
  say("sending");
  try {
    if (!(await isOurSession())) return;
    await sendRecords();
    await sendPhotos();
    say("idle");
    if (isNews) takeAnew().catch(() => {}); // another time will do
    isNews = false;
    if (waiting().length || photosToSend().length) later();
  } catch (error) {
    if (error instanceof SignedOut) return say("signed_out");
    if (error instanceof AnotherPerson) return say("other_person", W.somebodyElse);
    say(error instanceof Unreached ? "unreached" : "refusing");
    later(error.retryAfterMs);
  }
}

async function isOurSession() {
  const who = await whoIsSignedIn();
  await rememberClock();
  if (who.id === here.person.id) return true;
  say("other_person", who.name || who.login); // here.person stays whose page this is
  return false;
}

function later(asked = 0) {
  const wait = Math.min(LONGEST_WAIT_MS, FIRST_WAIT_MS * 2 ** sending.failures++);
  const ms = Math.max(asked, wait * (0.75 + Math.random() / 2));
  sending.nextAt = Date.now() + ms;
  timer = setTimeout(send, ms);
}

class AnotherPerson extends Error {}

// What the server says of the sending itself, before any record is looked at.
async function checked(answer) {
  if (answer.status === 401 || answer.status === 403) throw new SignedOut();
  if (answer.status >= 500 || answer.status === 429) throw new Refusing(answer);
  sending.failures = 0; // a link that drops some is no link that is gone
  if (answer.status === 409 && (await problemOf(answer.clone())).code === "another_person") throw new AnotherPerson();
  return answer;
}

class Refusing extends Error {
  constructor(answer) {
    super(String(answer.status));
    this.retryAfterMs = 1000 * (Number(answer.headers.get("Retry-After")) || 0);
  }
}

const ours = () => ({ "Round-Person": String(here.person.id) });

async function sendRecords() {
  for (let items = await departing(most); items.length; items = await departing(most)) {
    const body = `{"records":[${items.map((item) => item.body).join(",")}]}`;
    const answer = await checked(await post("/api/v1/visits/batch", body, { ...ours(), "Content-Type": "application/json" }));
    if (answer.status === 413) await takeFewer(items, answer);
    else if (!answer.ok) throw new Refusing(answer);
    else if (await noteAnswers(items, (await answer.json()).results)) throw new Refusing(answer);
  }
}

// The whole was too large: half as many next time; one alone that is too large waits for a person.
async function takeFewer(items, answer) {
  most = Math.max(1, Math.floor(items.length / 2));
  if (items.length === 1) {
    await mark(items[0], { state: "refused", problem: await problemOf(answer) });
    most = MOST_AT_ONCE;
  }
}

// Whether any of them must be tried again: trouble of the server is no fault of the record.
async function noteAnswers(items, results) {
  let again = false;
  for (const [place, item] of items.entries()) {
    const { status, answer, problem } = results[place];
    if (status === 200 || status === 201) await mark(item, { state: "accepted", answer, problem: null, accepted_at: Date.now() });
    else if (status >= 500 || status === 429) again = true;
    else await mark(item, { state: "refused", problem });
  }
  isNews ||= items.some((item) => item.state === "accepted");
  changed();
  return again;
}

async function sendPhotos() {
  for (const photo of photosToSend()) {
    const words = { id: photo.id, fan: photo.finding ? "" : photo.fan, finding: photo.finding, subject: photo.subject, caption: photo.caption, taken_at: photo.taken_at };
    const told = new URLSearchParams(Object.entries(words).filter(([, text]) => text));
    const address = `/api/v1/visits/${photo.visit}/photos?${told}`;
    const answer = await checked(await post(address, await pictureOf(photo), { ...ours(), "Content-Type": "image/jpeg" }));
    if (answer.ok) await here.store.change(without(photo));
    else await here.store.put("photos", { ...photo, state: "refused", problem: await problemOf(answer) });
    await recallQueue();
  }
}

// Answers are kept for a week, to be read again; then the round is the record.
export async function forgetOldAnswers() {
  const old = queue.items.filter((item) => item.state === "accepted" && Date.now() - item.accepted_at > KEPT_ANSWERS_MS);
  const busy = new Set(unsentPhotos().map((photo) => photo.visit));
  const gone = old.filter((item) => !busy.has(item.id));
  if (gone.length) await here.store.change(gone.map((item) => ["queue", "delete", item.seq]));
}

export function sendWhenPossible() {
  window.addEventListener("online", send);
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && send());
  return send();
}
