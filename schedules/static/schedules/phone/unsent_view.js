// What waits, what was refused and why, and what the server answered to the rest.

import { button, el, list } from "./dom.js";
import { itemOpener, overtakenView } from "./correction_view.js";
import { isHeld, isOpen, isOvertaken, isPutRight } from "./corrections.js";
import { verdictWords } from "./field_views.js";
import { happeningWords } from "./happenings.js";
import { asFile, drop, queue, unsent, unsentPhotos } from "./queue.js";
import { send } from "./sending.js";
import { clockWords, dayWords, today } from "./moments.js";
import { taken } from "./packs.js";
import { here } from "./device.js";
import { whenChanged } from "./changes.js";
import { pictureOf, removePhoto } from "./photos.js";
import { faults } from "./refusals.js";
import { fill } from "./gettext.js";
import { H } from "./happening_words.js";
import { W, countWords } from "./words.js";

let drawn = null;
whenChanged(() => drawn?.isConnected && drawn.replaceChildren(...rows()));

export function unsentView() {
  drawn = el("div", {}, rows());
  const back = el("p", {}, el("a", { class: "button", href: "#/" }, W.backToRound));
  return [el("h1", {}, W.kept), drawn, back];
}

function rows() {
  const open = unsent();
  const photos = unsentPhotos().length;
  const done = queue.items.filter((item) => item.state === "accepted").reverse();
  return [
    el("p", {}, open.length || photos ? countWords(open.length, photos) : W.allSent),
    open.length ? el("ul", { class: "plain" }, open.map(waitingRow)) : "",
    open.length ? el("div", { class: "buttons" }, button(W.sendNow, send), button(W.exportAll, () => save(open), { class: "quiet" })) : "",
    ...unsentPhotos().filter((photo) => photo.state === "refused").map(photoRow),
    ...done.map(answered),
  ].filter(Boolean);
}

const title = (item) => [item.type === "event" ? happeningWords(taken.form, item.draft) : item.tag, taken.sites.get(item.site)?.name ?? item.site_name, `${dayWords(item.made_at)} ${clockWords(item.made_at)}`].filter(Boolean).join(", ");

function waitingRow(item) {
  return el("li", {}, el("a", { class: "wide", href: `#/unsent/${item.seq}` }, title(item)),
    el("p", {}, item.state === "refused" ? el("b", {}, whyNot(item)) : waitsWords(item)),
    item.state === "refused" && !isOvertaken(item) ? list(faults(item.problem, item.body, taken.form)) : null);
}

function photoRow(photo) {
  const { problem } = photo;
  return el("div", { class: "warning" }, el("p", {}, fill(W.photoRefused, { tag: photo.fan }), " ", why(problem)),
    list(faults(problem, "", taken.form)),
    button(W.tryAgain, () => again(photo), { class: "quiet" }),
    button(W.saveFile, () => pictureOf(photo).then((blob) => saveBlob(blob, `${photo.id}.jpg`)), { class: "quiet" }),
    button(W.discard, () => gone(photo), { class: "as-link" }));
}

async function again(photo) {
  await here.store.put("photos", Object.assign(photo, { state: "waiting", problem: null }));
  send();
}

async function gone(photo) {
  if (!window.confirm(W.discardAsk)) return;
  await removePhoto(photo);
  queue.photos = queue.photos.filter((each) => each !== photo);
  drawn.replaceChildren(...rows());
}

const waitsWords = (item) => (isHeld(item) ? W.waitsForFirst : W.waits);
const whyNot = (item) => (isOvertaken(item) ? W.overtakenShort : why(item.problem));

function why(problem) {
  const known = { 409: W.conflict, 413: W.tooLarge, 404: W.gone, 400: W.notTaken, 422: W.notTaken };
  return known[problem?.status] ?? fill(W.refusedWith, { status: problem?.status ?? "" });
}

// One record that waits: what is wrong with it, and what may be done.
export function recordView(seq, show) {
  const item = queue.items.find((each) => each.seq === seq);
  if (!item) return unsentView();
  return [
    el("h1", {}, title(item)),
    overtakenView(item) ?? (item.state === "refused" ? el("div", { class: "warning" }, el("p", {}, el("b", {}, why(item.problem))), list(faults(item.problem, item.body, taken.form))) : el("p", {}, waitsWords(item))),
    el("p", { class: "faded" }, fill(W.madeBy, { version: (item.app_version || "—").slice(0, 8) })),
    itemOpener(item, W.openAgain),
    el("div", { class: "buttons" },
      isOpen(item) ? null : button(W.tryAgain, async () => { await retry(item); location.hash = "#/unsent"; }, { class: "quiet" }),
      button(W.saveFile, () => save([item]), { class: "quiet" }),
      isPutRight(item) ? null : button(W.discard, async () => { if (window.confirm(W.discardAsk)) { await drop(item); location.hash = "#/unsent"; } }, { class: "as-link" })),
  ];
}

async function retry(item) {
  await here.store.put("queue", Object.assign(item, { state: "waiting", problem: null }));
  send();
}

function answered(item) {
  const { due = [], checks = [], cautions = [] } = item.answer ?? {};
  const form = taken.form;
  const bad = checks.flatMap((check) => check.judgements).filter((each) => ["watch", "act", "stop"].includes(each.verdict));
  return el("section", {}, el("h2", {}, title(item)),
    el("p", {}, item.draft.supersedes ? fill(W.correctionIn, { tag: item.tag }) : item.type === "event" ? H.happeningIn : fill(W.takenIn, { tag: item.tag })),
    bad.length ? el("ul", { class: "plain" }, bad.map((each) => el("li", {}, verdictWords(form, each.verdict), ` ${each.sentence}`))) : null,
    list(checks.filter((each) => each.left_out?.length).map((each) => each.left_out_sentence)),
    due.filter((each) => each.fan.tag === item.tag).map((each) => el("div", {},
      el("p", {}, el("b", {}, each.due_on ? fill(each.due_on > today() ? W.nextDue : W.dueSince, { day: dayWords(each.due_on) }) : W.noDate)),
      each.stop ? el("p", { class: "warning" }, each.stop) : null, el("p", {}, each.sentence))),
    failures(item.answer?.failures ?? []),
    ...(item.answer?.plates ?? []).map((each) => el("p", {}, el("b", {}, W.plate), ` ${each.sentences.join(" ")}`)),
    item.answer?.letter ? el("p", ["owed", "sent", "settled"].includes(item.answer.letter.state) ? {} : { class: "warning" }, item.answer.letter.sentence) : null,
    item.answer && !item.answer.reckoned ? el("p", {}, W.datesLater) : null,
    list(cautions.map((each) => each.sentence)),
    isPutRight(item) ? null : itemOpener(item));
}

// Why something failed: candidates only, and where to look next.
function failures(told) {
  return told.map((each) => el("div", {}, el("p", {}, each.sentence),
    list(each.causes.filter((cause) => cause.band !== "not_shown").map((cause) => [cause.name, cause.sentence].filter(Boolean).join(". "))),
    each.next_looks.length ? el("p", {}, el("b", {}, W.lookNext)) : null,
    list(each.next_looks.map((look) => look.sentence)), list(each.cautions, { class: "caution" })));
}

export function save(items) {
  saveBlob(asFile(items), "roofround-unsent.jsonl");
}

function saveBlob(blob, name) {
  const address = URL.createObjectURL(blob);
  const link = el("a", { href: address, download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), 60000);
}
