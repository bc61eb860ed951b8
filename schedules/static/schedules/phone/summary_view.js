// The visit as its owner will read it, before it is kept and sent.

import { button, el, labelled, list } from "./dom.js";
import { kindView, lacksReason, reasonView } from "./correction_view.js";
import { putBack } from "./corrections.js";
import { discard, draftOf, isLeftApart, keep, recallDrafts } from "./drafts.js";
import { answeredBy, looksOf, stateOf, verdictWords, walkOf } from "./field_views.js";
import { subjectsOf } from "./finding_view.js";
import { againWords } from "./lasting_view.js";
import { derive, isNoNumber, judged } from "./judge.js";
import { dayWords, clockWords, withOffset, spanWords } from "./moments.js";
import { oddClockMs } from "./device.js";
import { photosOf } from "./photos.js";
import { enqueue } from "./queue.js";
import { isTold, recordOf } from "./record.js";
import { send } from "./sending.js";
import { address, head, nextBar } from "./steps.js";
import { strangerView } from "./stranger_view.js";
import { fill } from "./gettext.js";
import { BY_LINK, W, cleanWords, someWords } from "./words.js";

export async function summaryView(fan, site, form, show) {
  await recallDrafts(); // another page of this browser may have written more
  const draft = draftOf(fan.id);
  if (!draft) return strangerView(W.notBegun);
  const photos = await photosOf(draft.id);
  const told = el("p", { role: "alert" });
  return [
    head(fan, site, "sum"),
    reasonView(draft),
    draft.supersedes ? kindView(draft, form, show) : null,
    lacking(fan, form, draft),
    el("section", { class: "letter" }, el("h2", {}, W.asOwnerReads), ownerWords(fan, site, form, draft),
      photos.length ? el("p", {}, fill(W.photosWith, { count: photos.length })) : null),
    times(draft),
    draft.supersedes ? null : kindView(draft, form, show),
    told,
    nextBar(address(fan, "tell"), [W.keepAndSend, () => finish(draft, site, form, told)]),
    el("p", {}, button(W.discard, () => throwAway(draft, photos, show), { class: "as-link" })),
  ];
}

function ownerWords(fan, site, form, draft) {
  const kind = (form.terms?.kinds ?? []).find(([code]) => code === draft.kind)?.[1] ?? draft.kind;
  const { bad, count } = looked(fan, form, draft);
  const figures = measured(fan, form, draft);
  const values = { kind, tag: fan.tag, site: site?.name ?? "", day: dayWords(draft.began_at), at: clockWords(draft.began_at) };
  return [
    el("p", {}, fill(W.sumTitle, values)),
    count ? el("p", {}, bad.length ? someWords(count, bad.length) : cleanWords(count)) : el("p", {}, W.sumNothing),
    bad.length ? el("ul", { class: "plain" }, bad) : null,
    figures.within.length ? el("p", {}, fill(W.sumMeasured, { what: figures.within.join("; ") })) : null,
    list(findings(form, draft)),
    asLeft(form, draft),
    list(draft.actions.filter((each) => each.item).map((each) => work(form, each))),
    draft.made_safe?.told ? el("p", {}, fill(W.sumSafe, { name: draft.made_safe.told, when: draft.made_safe.restarts_when || "—" })) : null,
    draft.advice.filter((each) => each.text).map((each) => adviceWords(fan, form, each)),
    list(draft.not_reached.map((each) => fill(W.sumNotReached, { what: named(form.terms?.items, each.item) || W.wholeFan, why: named(form.terms?.reasons, each.reason) }))),
  ];
}

const named = (pairs, code) => (pairs ?? []).find(([each]) => each === code)?.[1] ?? code;

// How it was left, where something was done in between.
function asLeft(form, draft) {
  const left = isLeftApart(draft) ? Object.entries(draft.left).filter(([code, state]) => state && form.fields[code]) : [];
  const told = left.map(([code, state]) => `${form.fields[code].label}: ${stateOf(form.fields[code], state)?.label ?? state}`);
  return told.length ? el("p", {}, fill(W.sumLeft, { what: told.join("; ") })) : null;
}

const BAD = ["watch", "act", "stop"];

// Everything answered or read, and what of it is not as it should be.
function looked(fan, form, draft) {
  const found = isLeftApart(draft) ? draft.seen : { ...draft.seen, ...draft.left };
  const seen = Object.entries(found).filter(([code, state]) => state && form.fields[code]);
  const states = seen.map(([code, state]) => [form.fields[code], stateOf(form.fields[code], state, fan.fields[code])]);
  const bad = states.filter(([, state]) => BAD.includes(state?.verdict));
  const words = ([field, state]) => el("li", {}, verdictWords(form, state.verdict), ` ${field.label}: ${state.label}`);
  const figures = measured(fan, form, draft);
  return { count: seen.length + figures.all, bad: [...bad.map(words), ...figures.bad] };
}

// Readings in words: those within, and a line for each that is not, what follows from several too.
function measured(fan, form, draft) {
  const read = Object.entries(draft.readings).filter(([code, typed]) => (typed.text || typed.qualifier === "over") && !isNoNumber(typed) && form.fields[code]);
  const told = read.map(([code, typed]) => {
    const field = form.fields[code];
    const sign = typed.qualifier ? W.qualifier[typed.qualifier] : "";
    const unit = field.units.find((each) => each.unit === typed.unit)?.sign ?? typed.unit;
    const verdict = typed.beside ? "" : judged(fan.fields[code], field, typed, draft, form);
    return { words: `${field.label}: ${[sign, typed.text, typed.text && unit].filter(Boolean).join(" ")}`, verdict };
  });
  const follows = (fan.derived ?? []).map((each) => [each, derive(each, form, draft, fan.context)]).filter(([, found]) => found);
  const further = follows.map(([each, found]) => ({ words: `${named(form.subjects, each.code)}: ${found.words}`, verdict: found.verdict }));
  const bad = [...told, ...further].filter((each) => BAD.includes(each.verdict));
  return {
    all: told.length,
    within: told.filter((each) => !BAD.includes(each.verdict)).map((each) => each.words),
    bad: bad.map((each) => el("li", {}, verdictWords(form, each.verdict), ` ${each.words}`)),
  };
}

function findings(form, draft) {
  const subjects = subjectsOf(form);
  return draft.findings.filter(isTold).map((each) => {
    const severity = named(form.terms?.severities ?? W.severities, each.severity);
    const loss = each.loss_of_function ? ` ${W.sumLoss}` : "";
    const what = each.subject ? named(subjects, each.subject) : each.item ? named(form.terms?.items, each.item) : W.wholeFan;
    return [`${what}: ${severity}.${loss}`, againWords(each, dayWords), each.note].filter(Boolean).join(" ");
  });
}

function work(form, each) {
  return [named(form.terms?.actions, each.kind), named(form.terms?.items, each.item), each.part, each.note].filter(Boolean).join(", ");
}

// Advice hedged, with what waiting costs as the server worked it out.
function adviceWords(fan, form, each) {
  const answer = each.answer === BY_LINK ? W.sumByLink : each.answer ? fill(W.sumAnswer, { answer: named(form.terms?.answers ?? W.answers, each.answer), name: each.decided_by || "—" }) : W.sumNoAnswer;
  return el("div", { class: "advice" }, el("p", {}, el("b", {}, W.weAdvise), ` ${each.text}`, " ", againWords(each, dayWords)), fan.waiting ? el("p", {}, fan.waiting) : null, el("p", {}, W.sumHedge), el("p", {}, answer));
}

// What is not answered yet; nothing is forced, the record says what was left open.
function lacking(fan, form, draft) {
  const isAnswered = (code) => draft.seen[code] || draft.readings[code]?.text || (code === "running" && draft.left.running);
  const open = looksOf(fan, form, draft).filter((entry) => !answeredBy(entry, form).some(isAnswered));
  const told = [];
  const walk = draft.kind === "walk_through" ? walkOf(fan, form) : [];
  const openWalk = open.filter((entry) => walk.includes(entry));
  if (openWalk.length) told.push(openWords(W.leftOpen, openWalk, fan, form));
  if (open.length > openWalk.length) told.push(openWords(W.notAnswered, open.filter((entry) => !walk.includes(entry)), fan, form));
  if (draft.not_reached.some((each) => (each.item ? draft.seen[each.item] : Object.values(draft.seen).some(Boolean)))) told.push(W.seenUnreached);
  if (draft.made_safe && !draft.made_safe.told) told.push(W.slipNeedsName);
  if (!draft.findings.every(isTold)) told.push(W.findingNeedsSubject);
  if (draft.findings.some((each) => isTold(each) && !each.subject && !each.item)) told.push(W.failureNeedsPart);
  if ([...draft.findings, ...draft.advice].some((each) => each.recheck_on && each.recheck_on < draft.began_at.slice(0, 10))) told.push(W.recheckPast);
  const answers = [...draft.advice, ...Object.values(draft.decisions)];
  if (answers.some((each) => each.answer && each.answer !== BY_LINK && !each.decided_by)) told.push(W.answerNeedsName);
  for (const [code, typed] of Object.entries(draft.readings)) if (isNoNumber(typed)) told.push(`${form.fields[code]?.label ?? code}: ${typed.text.slice(0, 40)}. ${W.noNumber}`);
  if (draft.made_safe?.told && (draft.left.running === "runs" || draft.left.switch_left === "on")) told.push(W.safeYetOn);
  if (draft.actions.some((each) => !each.item)) told.push(W.workNeedsItem);
  return told.length ? el("div", { class: "warning" }, list(told)) : null;
}

// Each a way back to where it is asked.
function openWords(sentence, entries, fan, form) {
  const asked = (entry) => answeredBy(entry, form)[0];
  const links = entries.map((entry) => el("a", { class: "asked-there", href: address(fan, `look/${asked(entry)}`) }, form.fields[entry]?.label ?? named(form.subjects, entry)));
  const [before, after] = sentence.split("{names}");
  return [before, ...links.flatMap((link, place) => (place ? [", ", link] : [link])), after];
}

// The phone's time with its offset goes on record; where its clock is odd it may be put right here.
function times(draft) {
  const odd = oddClockMs();
  const input = el("input", { type: "datetime-local", value: draft.began_at.slice(0, 16), onchange: (event) => put(event.target.value) });
  function put(local) {
    if (local) move(`${local}:00${draft.began_at.slice(19)}`, local.slice(0, 10) !== draft.began_at.slice(0, 10));
  }
  function shift() {
    move(withOffset(new Date(Date.parse(draft.began_at) - odd)), true);
    input.value = draft.began_at.slice(0, 16);
  }
  // Of a visit made before its end goes along with its day, or with the clock that told both.
  function move(began, withEnd) {
    const by = Date.parse(began) - Date.parse(draft.began_at);
    if (withEnd && isMadeBefore(draft) && draft.ended_at) draft.ended_at = withOffset(new Date(Date.parse(draft.ended_at) + by));
    draft.began_at = began;
    keep(draft);
  }
  return el("section", {}, labelled(W.arrivedAt, input, fill(W.byPhoneClock, { offset: draft.began_at.slice(19) })),
    odd ? button(fill(W.useServerClock, { span: spanWords(odd) }), shift, { class: "quiet" }) : null);
}

let finishing = false; // two taps are one

// Whoever puts a visit right was at the fan before.
const isMadeBefore = (draft) => Boolean(draft.supersedes || draft.seq);

function sayReason(told) {
  told.textContent = W.reasonFirst;
  document.querySelector(".correction input")?.focus();
}

async function finish(draft, site, form, told) {
  if (finishing || draftOf(draft.fan)?.id !== draft.id) return;
  if (lacksReason(draft)) return sayReason(told);
  finishing = true;
  const ended = isMadeBefore(draft) ? draft.ended_at : withOffset(new Date());
  draft.ended_at = Date.parse(ended) > Date.parse(draft.began_at) ? ended : "";
  try {
    await enqueue(draft, recordOf(draft, site ?? { id: draft.site }, form));
  } catch {
    told.textContent = W.notQueued;
    return;
  } finally {
    finishing = false;
  }
  location.hash = "#/unsent";
  send();
}

async function throwAway(draft, photos, show) {
  if (!window.confirm(W.discardAsk)) return;
  await discard(draft, draft.seq ? [] : photos);
  await putBack(draft);
  location.hash = `#/fan/${draft.fan}`;
  show();
}
