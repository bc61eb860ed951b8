// A fan before it is touched: what is open, what was found before, cautions; then begin.

import { choice, el, labelled, list, more, verdict } from "./dom.js";
import { kindView, visitOpener } from "./correction_view.js";
import { begin, draftOf, keep } from "./drafts.js";
import { dayWords } from "./moments.js";
import { happenedHere } from "./happenings_view.js";
import { head, nextBar } from "./steps.js";
import { contacts } from "./site_facts.js";
import { thumbnails } from "./pictures.js";
import { fill } from "./gettext.js";
import { W } from "./words.js";

let chosen = "walk_through";

export function arriveView(fan, site, form, show) {
  const draft = draftOf(fan.id);
  if (!draft) chosen = "walk_through";
  const step = form.steps.find((each) => each.code === "arrive");
  return [
    head(fan, site, "", form),
    contacts(site),
    due(fan),
    fan.made_safe ? el("p", { class: "warning" }, fan.made_safe) : null,
    findings(fan, form),
    advice(fan),
    lastVisits(fan, form),
    happenedHere(fan, form),
    cautions([...(fan.cautions ?? []), ...(step?.cautions ?? [])]),
    beside(fan),
    nextBar(null, [draft ? W.goOn : W.beginLook, () => go(fan, form)]),
    draft ? kindView(draft, form, show) : more(W.otherKinds, otherKinds(fan, form)),
  ];
}

function otherKinds(fan, form) {
  const kinds = form.terms?.kinds ?? [["walk_through", W.walkThrough]];
  return labelled(W.kind, choice(kinds, chosen, (code) => (chosen = code)));
}

async function go(fan, form) {
  if (!draftOf(fan.id)) keep(begin(fan, form, chosen));
  location.hash = `#/fan/${fan.id}/look`;
}

export function cautions(texts) {
  return texts.length ? el("section", { class: "caution" }, el("h2", {}, W.cautions), list(texts)) : null;
}

function due(fan) {
  const { on, overdue_after: after, sentences = [] } = fan.due ?? {};
  return el("section", {}, el("h2", {}, W.whyNow),
    on ? el("p", { class: "sentence" }, fill(W.dueOn, { day: dayWords(on) }), after ? `, ${fill(W.overdueAfter, { day: dayWords(after) })}` : "") : null,
    list(sentences));
}

function findings(fan, form) {
  const open = fan.findings ?? [];
  if (!open.length) return null;
  return el("section", {}, el("h2", {}, W.open), el("ul", { class: "plain" }, open.map((each) =>
    el("li", {}, verdict(each.verdict, form.verdicts?.[each.verdict]?.word ?? each.verdict), ` ${[each.name, each.words].filter(Boolean).join(": ")} `,
      each.since ? el("small", {}, fill(W.since, { day: dayWords(each.since) })) : ""))));
}

function advice(fan) {
  const open = fan.advice ?? [];
  return open.length ? el("section", {}, el("h2", {}, W.advised), list(open.map((each) => [each.words, each.answer_words ?? each.answer].filter(Boolean).join(" — ")))) : null;
}

function lastVisits(fan, form) {
  const record = (fan.record ?? []).map((visit) =>
    el("li", {}, el("b", {}, `${dayWords(visit.on)}, ${visit.kind}`), visit.by ? ` ${visit.by}` : "", list(visit.lines ?? []), visitOpener(fan, form, visit)));
  const shown = record.length ? more(fill(W.lastVisits, { count: record.length }), el("ul", { class: "plain" }, record)) : el("p", { class: "faded" }, W.noVisits);
  shown.open = true;
  return el("section", {}, shown);
}

function beside(fan) {
  const plate = (fan.plate ?? []).map(([name, value]) => el("div", {}, el("dt", {}, name), el("dd", {}, value)));
  return el("section", {},
    plate.length ? more(W.plate, el("dl", { class: "facts" }, plate), thumbnails(fan)) : null,
    fan.siblings?.length ? more(W.siblings, list(fan.siblings)) : null);
}
