// One thing to look at or to measure, with its last value and limit beside, judged as it is entered.

import { button, choice, el, pick, show, verdict } from "./dom.js";
import { keep } from "./drafts.js";
import { looksAfter } from "./happenings.js";
import { dayWords } from "./moments.js";
import { canonical, derive, isImplausible, isNoNumber, isOverRange, judged, numberOf, unsaid, wayOf } from "./judge.js";
import { fill } from "./gettext.js";
import { W } from "./words.js";

// Whether it is asked of this fan's motor and drive, as the server tells.
export function isAsked(code, form, fan) {
  return code in form.fields && code in fan.fields;
}

// What is to be looked at here: what is due, and on a walk-through all that makes one complete.
export function looksOf(fan, form, draft) {
  const walk = draft.kind === "walk_through" ? walkOf(fan, form) : [];
  return [...new Set([...fan.look, ...walk, ...looksAfter(fan, form)])];
}

export const walkOf = (fan, form) => form.walk?.[fan.belt ? "belt" : "direct"] ?? [];

// The fields by which an entry of the look list is answered: vibration by what is felt.
export function answeredBy(entry, form) {
  return form.lists?.[entry] ?? [entry];
}

export function fieldView(code, context) {
  const field = context.form.fields[code];
  return field.kind === "seen" ? seenView(code, field, context) : measuredView(code, field, context);
}

export function verdictWords(form, code) {
  return code ? verdict(code, form.verdicts?.[code]?.word ?? code) : "";
}

export function seenView(code, field, context) {
  return seenRow(code, field, context).shown;
}

// `where` is the part of the draft it goes into: seen, or left; `tell` shows what stands there now.
export function seenRow(code, field, { fan, form, draft, where = "seen", onbad, onpicked }) {
  const told = el("div", { class: "told", "aria-live": "polite" });
  const pairs = field.states.map((each) => [each.code, each.label ?? each.code]);
  const row = pick(pairs, draft[where][code] ?? "", (chosen) => {
    draft[where][code] = chosen;
    keep(draft);
    explain();
    onpicked?.();
  }, { "aria-label": field.label });
  function explain() {
    const chosen = stateOf(field, draft[where][code], fan.fields[code]);
    const bad = ["watch", "act", "stop"].includes(chosen?.verdict);
    const words = [
      chosen && chosen.verdict !== "within" ? verdictWords(form, chosen.verdict) : "",
      chosen?.help ? el("small", {}, chosen.help) : "",
      bad && onbad ? button(W.sayMore, () => onbad(code, chosen), { class: "as-link" }) : "",
    ].filter(Boolean);
    if (words.length || told.firstChild) told.replaceChildren(...words);
  }
  function tell() {
    show(row, draft[where][code] ?? "");
    explain();
  }
  explain();
  const shown = el("div", { class: "field", "data-field": code },
    el("p", { class: "name" }, field.label, lastWords(fan, code, field)), row, told);
  return { shown, tell };
}

// A state as it is judged at this fan, which may differ from what it means elsewhere.
export function stateOf(field, code, known) {
  const state = field.states.find((each) => each.code === code);
  return state && { ...state, verdict: known?.states?.[code] ?? state.verdict };
}

function lastWords(fan, code, field) {
  const known = fan.fields?.[code];
  const told = [known?.last ? fill(W.last, { words: seenWords(field, known.last) }) : "", known?.siblings].filter(Boolean);
  return told.length ? el("small", {}, told.join("; ")) : null;
}

function seenWords(field, last) {
  const state = field.states?.find((each) => each.code === last.value)?.label;
  return last.words ?? `${(state ?? String(last.value)).toLowerCase()}, ${dayWords(last.on)}`;
}

function measuredView(code, field, { fan, form, draft, onchange }) {
  const known = fan.fields?.[code] ?? {};
  const blank = () => ({ text: "", unit: usualUnit(field, known), qualifier: "" });
  const reading = () => (draft.readings[code] ??= blank());
  const typed = draft.readings[code] ?? blank();
  const told = el("div", { class: "told", "aria-live": "polite" });
  const id = `reading-${code}`;
  const over = (field.qualifiers ?? []).includes("over");
  const input = el("input", {
    id, inputmode: "decimal", autocomplete: "off", enterkeyhint: "next", value: typed.text,
    "aria-describedby": `${id}-beside`, oninput: (event) => (isOverRange(event.target.value) && over ? showsOver() : set("text", event.target.value)),
    onretell: () => tell(),
  });
  function set(name, value) {
    Object.assign(reading(), { [name]: value, beside: false, asked: false });
    keep(draft);
    tell();
    onchange?.();
  }
  function showsOver() {
    signs.value = "over";
    input.value = "";
    reading().text = "";
    set("qualifier", "over");
  }
  function tell() {
    const now = draft.readings[code];
    const value = now ? canonical(field, now) : null;
    if (isNoNumber(now)) return told.replaceChildren(el("span", {}, W.noNumber));
    if (isImplausible(field, value)) return askOnce(now);
    told.replaceChildren(verdictWords(form, alone(judged(known, field, now, draft, form))), value === null ? "" : unsaidWords());
    beside.textContent = besideWords();
  }
  function askOnce(now) {
    const span = fill(W.implausible, { low: field.low, high: field.high, unit: field.unit ?? "" });
    const meant = button(W.itIsSo, () => { Object.assign(now, { beside: true, asked: true }); keep(draft); tell(); }, { class: "quiet" });
    told.replaceChildren(...(now.beside ? [el("span", {}, W.besideNote)] : [el("span", { class: "warn" }, span), meant]));
  }
  function unsaidWords() {
    const labels = unsaid(known, draft).map((name) => form.context?.[name]?.label).filter(Boolean);
    return labels.length ? fill(W.sayFirst, { what: labels.join(", ") }) : "";
  }
  function besideWords() {
    const way = wayOf(known, draft.readings[code] ?? typed, draft, form);
    return [field.help, way.limit_words, way.note, way.basis].filter(Boolean).join(" · ");
  }
  const beside = el("small", { id: `${id}-beside`, class: "beside" }, besideWords());
  const signs = qualifierOf();
  tell();
  return el("div", { class: "field", "data-field": code },
    el("label", { for: id, class: "name" }, field.label, lastWords(fan, code, field)),
    el("div", { class: "reading" }, signs, input, unitOf()),
    beside,
    told);
  function qualifierOf() {
    const many = (field.qualifiers ?? []).length > 1;
    const pairs = (field.qualifiers ?? []).map((each) => [each, W.qualifier[each] ?? each]);
    return many ? choice(pairs, typed.qualifier, (value) => set("qualifier", value), { "aria-label": fill(W.qualifierOf, { label: field.label }) }) : null;
  }
  function unitOf() {
    const units = field.units ?? [];
    if (units.length < 2) return el("span", { class: "unit" }, unitWords(units[0] ?? field));
    return choice(units.map((each) => [each.unit, unitWords(each)]), typed.unit, (value) => set("unit", value), { "aria-label": fill(W.unitOf, { label: field.label }) });
  }
}

// The meter that stood here last shows that unit again: 0.24 in/s read as mm/s would pass for nothing.
function usualUnit(field, known) {
  const units = (field.units ?? []).map((each) => each.unit);
  return units.includes(known.last?.unit) ? known.last.unit : units[0] ?? field.unit;
}

function unitWords(unit) {
  return unit.sign ?? unit.unit ?? "";
}

// That one of several readings cannot be judged by itself need not be said while they are typed.
const alone = (verdict) => (verdict === "cannot_judge" ? "" : verdict);

// What follows from several readings of the step, such as the unbalance of three volts.
export function derivedView(fan, form, draft, codes) {
  const rows = (fan.derived ?? []).filter((each) => each.fields.every((code) => codes.includes(code)));
  const shown = el("div", { class: "derived", "aria-live": "polite" });
  function tell() {
    shown.replaceChildren(...rows.flatMap((each) => {
      const found = derive(each, form, draft, fan.context);
      if (!found) return [];
      const label = (form.terms?.subjects ?? []).find(([code]) => code === each.code)?.[1] ?? each.code;
      return [el("p", {}, `${label}: ${found.words} `, verdictWords(form, found.verdict), " ", el("small", {}, each.limit_words ?? ""))];
    }));
  }
  tell();
  return { shown, tell };
}

// What a reading means may hang on it.
function retell(onchange) {
  for (const input of document.querySelectorAll(".reading input")) input.dispatchEvent(new Event("retell"));
  onchange?.();
}

// What explains readings of this step: meter, detector, where the clamp was.
export function contextViews({ form, draft, onchange }, names) {
  return names.filter((name) => form.context?.[name]).map((name) => {
    const { label, choices } = form.context[name];
    const put = (value) => { draft.context[name] = choices ? value : numberOf(value) ?? ""; keep(draft); retell(onchange); };
    const field = choices
      ? pick(choices, draft.context[name] ?? "", put, { "aria-label": label })
      : el("input", { inputmode: "decimal", "aria-label": label, value: draft.context[name] ?? "", oninput: (event) => put(event.target.value) });
    return el("div", { class: "field" }, el("p", { class: "name" }, label), field);
  });
}
