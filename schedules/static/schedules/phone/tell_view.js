// What to tell: findings, work done, advice with the owner's answer, the plate, notes, photos.

import { button, choice, el, labelled, moreLater, pick } from "./dom.js";
import { draftOf, keep } from "./drafts.js";
import { addFinding, findingView, subjectsOf } from "./finding_view.js";
import { recheckView } from "./lasting_view.js";
import { hardlyHere, likelyAdvice, likelyItems } from "./likely.js";
import { longChoice } from "./picker.js";
import { photoAdder } from "./pictures.js";
import { plateView } from "./plate_view.js";
import { address, head, nextBar, to } from "./steps.js";
import { strangerView } from "./stranger_view.js";
import { BY_LINK, W } from "./words.js";

export function tellView(fan, site, form) {
  const draft = draftOf(fan.id);
  if (!draft) return strangerView(W.notBegun);
  return [
    head(fan, site, "tell"),
    rows(W.findings, W.addFinding, draft, "findings", (row, redraw) => findingView(fan, form, draft, row, redraw), () => addFinding(draft)),
    el("p", {}, el("a", { class: "button quiet", href: address(fan, "slip") }, draft.made_safe?.told ? W.showSlip : W.makeSafe)),
    rows(W.workDone, W.addWork, draft, "actions", (row, redraw) => workView(fan, form, draft, row, redraw), () =>
      draft.actions.push({ id: crypto.randomUUID(), kind: "adjusted", item: "", part: "", note: "" })),
    rows(W.advice, W.addAdvice, draft, "advice", (row, redraw) => adviceView(fan, form, draft, row, redraw), () =>
      draft.advice.push({ id: crypto.randomUUID(), subject: "", text: "", cost: "", answer: "", decided_by: "", recheck_on: "", note: "" })),
    answers(fan, form, draft),
    draft.kind === "code_inspection" ? inspectionView(draft) : null,
    moreLater(W.plate, () => [plateView(fan, form, draft)]),
    el("section", {}, el("h2", {}, W.notes),
      labelled(W.note, el("textarea", { rows: "3", maxlength: "3000", value: draft.notes, oninput: (event) => set(draft, draft, "notes")(event.target.value) })),
      photoAdder(draft)),
    nextBar(address(fan, "leave"), [W.nextSummary, to(fan, "sum")]),
  ];
}

const set = (draft, row, name) => (value) => { row[name] = value; keep(draft); };
const text = (draft, row, name, properties = {}) =>
  el("input", { value: row[name] ?? "", autocomplete: "off", oninput: (event) => set(draft, row, name)(event.target.value), ...properties });

function inspectionView(draft) {
  const areas = el("textarea", { rows: "2", value: draft.not_cleaned ?? "", oninput: (event) => set(draft, draft, "not_cleaned")(event.target.value) });
  return el("section", {}, el("h2", {}, W.inspection), labelled(W.notCleaned, areas, W.notCleanedHint));
}

// Entries of one kind, with a button for another; the new one is gone into.
function rows(title, words, draft, name, view, add) {
  const shown = el("div");
  const redraw = () => shown.replaceChildren(...draft[name].map((row) => view(row, redraw)));
  redraw();
  const more = button(words, () => {
    add();
    keep(draft);
    redraw();
    shown.lastElementChild?.querySelector("select, button, input, textarea")?.focus();
  }, { class: "quiet" });
  return el("section", {}, el("h2", {}, title), shown, more);
}

function removal(draft, name, row, redraw) {
  return button(W.remove, () => { draft[name] = draft[name].filter((each) => each !== row); keep(draft); redraw(); }, { class: "quiet" });
}

function workView(fan, form, draft, row, redraw) {
  const { actions = [], items = [] } = form.terms ?? {};
  return el("fieldset", {}, el("legend", {}, W.work),
    labelled(W.did, choice(actions, row.kind, set(draft, row, "kind"))),
    labelled(W.onWhat, longChoice(items, { blank: W.choose, likely: likelyItems(fan, form, draft), hardly: hardlyHere(fan, form) }, row.item, set(draft, row, "item"))),
    labelled(W.part, text(draft, row, "part", { maxlength: "120" })),
    labelled(W.note, text(draft, row, "note")),
    removal(draft, "actions", row, redraw));
}

function adviceView(fan, form, draft, row, redraw) {
  return el("fieldset", {}, el("legend", {}, W.adviceOne),
    labelled(W.about, longChoice(subjectsOf(form), { blank: W.choose, likely: likelyAdvice(fan, form, draft), hardly: hardlyHere(fan, form) }, row.subject, set(draft, row, "subject"))),
    labelled(W.adviceText, el("textarea", { rows: "3", value: row.text, oninput: (event) => set(draft, row, "text")(event.target.value) }), W.adviceHint),
    fan.waiting ? el("p", { class: "faded" }, fan.waiting) : null,
    recheckView(draft, row, W.recheckHint),
    labelled(W.cost, text(draft, row, "cost", { inputmode: "decimal" })),
    answerView(form, draft, row, W.answerNow),
    removal(draft, "advice", row, redraw));
}

// The owner's answer on the spot, by a name typed; left open, the office's letter asks.
function answerView(form, draft, row, title) {
  const pairs = (form.terms?.answers ?? W.answers).map(([code, words]) => [code, code === BY_LINK ? W.sendLink : words]);
  const named = el("div");
  const tell = () => named.replaceChildren(row.answer === BY_LINK ? el("small", {}, W.linkHint) : row.answer ? labelled(W.decidedBy, text(draft, row, "decided_by", { autocomplete: "off", maxlength: "120" }), W.decidedHint) : el("small", {}, W.byLink));
  const row_ = pick(pairs, row.answer ?? "", (code) => { delete row.not_before; set(draft, row, "answer")(code); tell(); }, { "aria-label": title });
  tell();
  return el("div", {}, el("p", { class: "name" }, title), row_, named);
}

function answers(fan, form, draft) {
  const open = (fan.advice ?? []).filter((each) => each.recommendation);
  if (!open.length) return null;
  return el("section", {}, el("h2", {}, W.openAdvice), open.map((each) => {
    const row = (draft.decisions[each.recommendation] ??= { answer: "", decided_by: "" });
    return el("fieldset", {}, el("legend", {}, each.words), each.answer ? el("p", {}, each.answer_words ?? each.answer) : null, answerView(form, draft, row, W.answerNow));
  }));
}
