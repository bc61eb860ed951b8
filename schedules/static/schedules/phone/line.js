// The one line at the top: what is unsent, and whatever stands in the way of keeping it.

import { here, canWorkOffline, isNearlyFull, oddClockMs } from "./device.js";
import { button, el } from "./dom.js";
import { drafts } from "./drafts.js";
import { spanWords } from "./moments.js";
import { queue, refused, refusedPhotos, unsent, unsentPhotos } from "./queue.js";
import { sending } from "./sending.js";
import { keepingTrouble } from "./store.js";
import { fill } from "./gettext.js";
import { W, begunWords, countWords, needWords } from "./words.js";

export function line(send) {
  return [
    el("div", { class: "bar" },
      el("a", { class: "name", href: "#/" }, W.round),
      el("a", { class: "me", href: "#/phone" }, here.person?.name || W.phone)),
    el("p", { class: "line", role: "status" }, ...unsentWords(send)),
    ...warnings().map((words) => el("p", { class: "warning", role: "alert" }, words)),
  ];
}

function unsentWords(send) {
  const isKnown = here.person && queue.of === here.store; // not before what waits here was read
  if (!isKnown && sending.state !== "signed_out") return [""];
  const records = unsent().length;
  const photos = unsentPhotos().length;
  const trouble = refused().length + refusedPhotos().length;
  if (sending.state === "signed_out") return [signIn(records, photos)];
  if (!records && !photos) return [openWords(drafts().length)];
  const words = [el("a", { href: "#/unsent" }, countWords(records, photos)), " ", stateWords(trouble)];
  if (["unreached", "refusing"].includes(sending.state)) words.push(" ", button(W.tryNow, send, { class: "as-link" }));
  return words;
}

function openWords(open) {
  return open ? begunWords(open) : W.allSent;
}

function stateWords(trouble) {
  if (sending.state === "sending") return W.sendingNow;
  if (sending.state === "other_person") return fill(W.otherPerson, { name: sending.who, me: here.person.name });
  if (sending.state === "refusing") return W.serverTrouble;
  if (trouble) return needWords(trouble);
  return sending.state === "unreached" ? W.noNetwork : "";
}

function signIn(records, photos) {
  const next = encodeURIComponent("/round/");
  const told = records || photos ? `${countWords(records, photos)} ` : "";
  return el("span", {}, told, el("a", { href: `/login/?next=${next}` }, W.signInAgain), `. ${W.nothingLost}`);
}

function warnings() {
  const told = [];
  const kept = { never: W.keepsNothing, refused: W.notKept, full: W.full }[keepingTrouble()];
  if (kept) told.push(kept);
  else if (here.person && !canWorkOffline()) told.push(W.noOffline);
  else if (isNearlyFull()) told.push(W.nearlyFull);
  const odd = oddClockMs();
  if (odd) told.push(fill(odd > 0 ? W.clockAhead : W.clockBehind, { span: spanWords(odd) }));
  if (document.documentElement.dataset.newer === "yes") {
    told.push(el("span", {}, W.newerPage, " ", button(W.reload, () => location.reload(), { class: "as-link" })));
  }
  return told;
}
