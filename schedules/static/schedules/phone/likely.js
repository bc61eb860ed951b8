// What is likely to be picked at this fan, by what was just answered and what the server lists.

import { stateOf } from "./field_views.js";
import { judged } from "./judge.js";

const BAD = ["stop", "act", "watch"];
const MOST = 6;

export const itemOf = (form, subject) => form.fields[subject]?.item ?? form.items?.[subject] ?? subject;

const first = (codes) => [...new Set(codes.filter(Boolean))];

// What was just found not as it should be, the worst first; then what stands open.
export function likelySubjects(fan, form, draft) {
  const seen = Object.entries({ ...draft.left, ...draft.seen }).filter(([code, state]) => state && form.fields[code]);
  const verdicts = [
    ...seen.map(([code, state]) => [code, stateOf(form.fields[code], state, fan.fields[code])?.verdict]),
    ...Object.entries(draft.readings).filter(([code]) => form.fields[code]).map(([code, typed]) => [code, judged(fan.fields[code], form.fields[code], typed, draft, form)]),
  ];
  const bad = BAD.flatMap((verdict) => verdicts.filter(([, each]) => each === verdict).map(([code]) => code));
  return first([...bad, ...(fan.findings ?? []).map((each) => each.subject)]);
}

// Advice is most often about what was just found.
export function likelyAdvice(fan, form, draft) {
  return first([...draft.findings.map((each) => each.subject || each.item), ...likelySubjects(fan, form, draft)]);
}

// Work on parts: of what was found, then of what the answers point at.
export function likelyItems(fan, form, draft) {
  return first(likelyAdvice(fan, form, draft).map((subject) => itemOf(form, subject)));
}

// Readings that this motor and drive are not asked for, and parts of which nothing is asked here; a
// part may bear the name of a reading of belt drives and be here all the same.
export function hardlyHere(fan, form) {
  const all = Object.entries(form.fields);
  const isHere = (item) => all.some(([code, field]) => field.item === item && code in fan.fields);
  const parts = new Set(all.map(([, field]) => field.item));
  const codes = all.map(([code]) => code).filter((code) => !(code in fan.fields) && !(parts.has(code) && isHere(code)));
  const judged = Object.keys(form.items ?? {}).filter((subject) => parts.has(form.items[subject]) && !isHere(form.items[subject]));
  return [...codes, ...judged, ...[...parts].filter((item) => !isHere(item))];
}

// Codes of a finding's mode, mechanism or cause: by the answer, by the look, by the part.
export function likelyTerms(form, draft, { subject, item }, name) {
  const likely = form.likely ?? {};
  const of = (code) => likely[name]?.[code] ?? [];
  const answered = name === "mechanisms" ? likely.seen?.[draft.seen[subject]] ?? [] : [];
  return first([...answered, ...of(subject), ...of(itemOf(form, subject || item))]).slice(0, MOST);
}
