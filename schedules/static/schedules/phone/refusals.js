// What the server refuses, told at the place where somebody typed it: by the field's own label, and of
// which check, finding or other entry. Pointers are RFC 6901's into the record as it was sent.

import { H } from "./happening_words.js";
import { plateFields } from "./plate_view.js";
import { W } from "./words.js";

// What an entry of a list is called, and what of it tells which.
const ENTRIES = {
  checks: ({ stage }) => [stage === "as_left" ? W.checkLeft : W.checkFound],
  findings: ({ subject, item }) => [W.finding, subject || item],
  actions: ({ item }) => [W.work, item],
  recommendations: ({ subject }) => [W.adviceOne, subject],
  decisions: () => [W.answer],
  not_reached: ({ item }) => [W.notReached, item],
  plates: () => [W.plate],
  made_safe: () => [W.madeSafe],
  inspections: () => [W.inspection],
};

const LABELS = {
  fan: W.fan, subject: W.what, item: W.what, severity: W.severity, failure_mode: W.mode, mechanism: W.mechanism, cause: W.cause,
  note: W.note, notes: W.notes, lasting: W.lasting, recheck_on: W.lookAgain, recheck: W.lookAgain, loss_of_function: W.lossAsked, part: W.part,
  text: W.adviceText, cost: W.cost, answer: W.answerNow, decided_by: W.decidedBy, reason: W.why, correction_reason: W.reason,
  supersedes: W.correction, began_at: W.arrivedAt, kind: W.kind, switch_left: W.switchLeft, told: W.whoTold, lock_holder: W.lockHolder,
  cook_line_stopped: W.cookLine, restarts_when: W.restarts, promised_on: W.promised, areas_not_cleaned: W.notCleaned, inspections: W.inspection,
  started: H.whichDay, ended: H.until, crew: H.byWhom, resets: H.resets, running_on: H.runningOn, places_cleaned: H.whatCleaned,
  places_not_cleaned: H.whatCleaned, system: H.whom, caption: W.notes,
};

export function faults(problem, body, form) {
  const record = body ? JSON.parse(body) : {};
  return [problem?.detail, ...(problem?.errors ?? []).map((each) => faultWords(each, record, form))].filter(Boolean);
}

function faultWords({ pointer = "", parameter = "", problem, seen, remedy }, record, form) {
  const path = (parameter || pointer.replace(/^#/, "")).split("/").filter(Boolean).map(unescaped);
  const key = path.findLast((part) => !/^\d+$/.test(part)) ?? "";
  const label = labelOf(key, form);
  const place = [entryWords(path, record, form), key in ENTRIES ? "" : label].filter(Boolean).join(", ");
  const what = label === key ? problem : named(problem, key, label);
  return [place ? `${place}: ${what}` : what, seen ? `(${seen})` : "", remedy ? `— ${remedy}` : ""].filter(Boolean).join(" ");
}

const unescaped = (part) => decodeURIComponent(part).replaceAll("~1", "/").replaceAll("~0", "~");

// The server's sentence names the key; who typed under a label knows no key.
function named(problem, key, label) {
  return problem.replace(new RegExp(`(?<![\\p{L}_])${key}(?![\\p{L}_])`, "u"), `“${label}”`);
}

function entryWords([list, place], record, form) {
  const entry = record[list]?.[place];
  if (!entry || !(list in ENTRIES)) return "";
  const [title, code] = ENTRIES[list](entry);
  return [title, code && labelOf(code, form)].filter(Boolean).join(": ");
}

function labelOf(code, form) {
  const pairs = [...(form?.terms?.subjects ?? []), ...(form?.terms?.items ?? [])];
  return LABELS[code] ?? form?.fields[code]?.label ?? form?.context?.[code]?.label ?? pairs.find(([each]) => each === code)?.[1] ?? (form ? plateFields(form).find((each) => each.field === code)?.label : null) ?? code;
}
