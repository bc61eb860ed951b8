// This phone: what it keeps and how surely, its clock, its version, and signing out.

import { appVersion, askToKeep, canWorkOffline, forgetPerson, here, noteSignOut, oddClockMs } from "./device.js";
import { button, el, list } from "./dom.js";
import { drafts, recallDrafts } from "./drafts.js";
import { spanWords } from "./moments.js";
import { wipeThumbnails } from "./pictures.js";
import { queue, recallQueue, unsent, unsentPhotos } from "./queue.js";
import { send } from "./sending.js";
import { post } from "./server.js";
import { save } from "./unsent_view.js";
import { fill } from "./gettext.js";
import { W, countWords, unfinishedWords } from "./words.js";

export function phoneView(show) {
  return [
    el("h1", {}, here.person.name || here.person.login),
    list(standing()),
    here.promised === false ? button(W.askAgain, async () => { await askToKeep(); show(); }, { class: "quiet" }) : null,
    signOut(show),
    el("p", { class: "faded" }, fill(W.version, { version: appVersion().slice(0, 8) || "—" })),
  ];
}

function standing() {
  const odd = oddClockMs();
  const { usage, quota } = here.room ?? {};
  return [
    canWorkOffline() && document.documentElement.dataset.offline !== "no" ? W.worksOffline : W.noOffline,
    { true: W.promised_, false: W.notPromised }[here.promised] ?? W.notAsked,
    quota ? fill(W.room, { used: (usage / 1e6).toFixed(1), free: Math.round((quota - usage) / 1e6) }) : "",
    odd ? fill(odd > 0 ? W.clockAhead : W.clockBehind, { span: spanWords(odd) }) : W.clockRight,
  ].filter(Boolean);
}

// Photos and what is begun fit into no file of records: they are never wiped unsent.
const fitsFile = () => !unsentPhotos().length && !drafts().length;

let isBegun = false; // signing out was begun on another page of the site: asked however often it is drawn

// With something unsent it is asked first; what is kept for later stays hers, unseen by the next.
function signOut(show) {
  const asked = el("div", { "aria-live": "polite" });
  const left = () => unsent().length + unsentPhotos().length + drafts().length;
  const out = button(W.signOut, async () => {
    await recallQueue();
    await recallDrafts();
    if (left()) ask();
    else await leave(true);
  }, { class: "quiet" });
  function ask() {
    const told = [countWords(unsent().length, unsentPhotos().length), drafts().length ? unfinishedWords(drafts().length) : ""];
    asked.replaceChildren(el("div", { class: "warning" }, list(told.filter(Boolean)), el("p", {}, W.signOutAsk),
      el("div", { class: "buttons" },
        button(W.sendFirst, async () => { isBegun = false; await send(); show(); }),
        button(fill(W.keepFor, { name: here.person.name }), () => leave(false), { class: "quiet" }),
        fitsFile() ? button(W.saveAndWipe, () => { save(unsent()); leave(true); }, { class: "quiet" }) : null)));
  }
  if (location.hash.endsWith("/out")) {
    history.replaceState(null, "", "#/phone");
    isBegun = true;
  }
  if (isBegun) recallQueue().then(recallDrafts).then(() => left() && ask());
  return el("section", {}, el("h2", {}, W.signOut), el("p", {}, W.signOutHint), out, asked);
}

async function leave(wipe) {
  const { store, person } = here;
  await wipeThumbnails(person.id);
  if (wipe) await store.wipe();
  else for (const { key } of await store.all("packs")) await store.delete("packs", key);
  Object.assign(queue, { items: [], photos: [] });
  await forgetPerson();
  const told = await post("/logout/", "").then(() => true, () => false);
  await noteSignOut(!told);
  location.replace(told ? "/login/?next=/round/" : "/round/");
}
