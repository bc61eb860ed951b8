// A draft as the documented record of a visit (visits/payload/__init__.py).

import { isLeftApart } from "./drafts.js";
import { isNoNumber, numberOf } from "./judge.js";

const filled = (object) =>
  Object.fromEntries(Object.entries(object).filter(([, value]) => value !== "" && value !== null && value !== undefined));

const NO_PART = "machine"; // a failure of which nobody knows the part is the whole fan's

export const isTold = (finding) => Boolean(finding.subject || finding.item || finding.loss_of_function);

export function recordOf(draft, site, form) {
  const record = {
    type: "visit", id: draft.id, kind: draft.kind, site_id: site.id, began_at: draft.began_at,
    ended_at: draft.ended_at, supersedes: draft.supersedes, correction_reason: draft.correction_reason, notes: notesOf(draft), checks: checksOf(draft, form),
    findings: draft.findings.filter(isTold).map((each) => finding(draft, each, form)),
    actions: draft.actions.filter((each) => each.item).map(({ id, ...each }) => filled({ fan: draft.tag, ...each })).concat(machineOf(draft)),
    recommendations: draft.advice.filter((each) => each.text).map((each) => advice(draft, each)),
    decisions: Object.entries(draft.decisions).filter(([, told]) => told.answer).map(decision(draft)).concat(draft.told ?? []),
    not_reached: draft.not_reached.map(({ id, ...each }) => filled({ fan: draft.tag, ...each })),
    inspections: draft.kind === "code_inspection" ? [inspection(draft, site)] : [],
    plates: platesOf(draft),
    made_safe: draft.made_safe?.told ? [filled({ fan: draft.tag, ...draft.made_safe })] : [],
  };
  return Object.fromEntries(
    Object.entries(record).filter(([, value]) => value !== "" && !(Array.isArray(value) && !value.length)),
  );
}

function checksOf(draft, form) {
  const apart = isLeftApart(draft);
  const { switch_left: switchLeft = "", ...left } = filled(draft.left);
  const { as_found: beside = {}, as_left: besideLeft = {} } = draft.kept ?? {};
  const found = {
    ...beside,
    fan: draft.tag,
    seen: { ...filled(draft.seen), ...(apart ? {} : left) },
    readings: readingsOf(draft),
    context: filled(draft.context),
    lasting: [...new Set([...(beside.lasting ?? []), ...draft.findings.filter((each) => lasts(each, form)).map((each) => each.subject)])],
    recheck: { ...beside.recheck, ...looksAgain(draft, form) },
  };
  if (!apart && switchLeft) found.switch_left = switchLeft;
  const checks = [found];
  if (apart) checks.push({ ...besideLeft, ...filled({ fan: draft.tag, stage: "as_left", seen: left, switch_left: switchLeft }) });
  return checks.map(withoutEmpty).filter((check) => check.seen || check.readings || check.switch_left || check.notes);
}

// Of the things a finding may be on, what no check looks at by that name: the motor, the switch.
const isItemAlone = (code, form) => !(code in form.fields) && !(code in (form.items ?? {}));
const isLookedAt = (code, form) => Boolean(code) && !isItemAlone(code, form);

// A stop cannot last.
const lasts = (each, form) => each.lasting && isLookedAt(each.subject, form) && each.severity !== "critical";

// Days by which advice asks for another look at its subject.
function looksAgain(draft, form) {
  return Object.fromEntries(draft.advice.filter((each) => each.recheck_on && isLookedAt(each.subject, form)).map((each) => [each.subject, each.recheck_on]));
}

function withoutEmpty(check) {
  return Object.fromEntries(
    Object.entries(check).filter(([, value]) => typeof value === "string" || Object.keys(value).length),
  );
}

function readingsOf(draft) {
  const readings = {};
  for (const [code, typed] of Object.entries(draft.readings)) {
    if (typed.beside || isNoNumber(typed)) continue; // implausible and meant, or no number: told in the notes
    const value = numberOf(typed.text);
    if (value === null && typed.qualifier !== "over") continue;
    readings[code] = filled({ value, unit: typed.unit, qualifier: typed.qualifier });
  }
  return readings;
}

function notesOf(draft) {
  const beside = Object.entries(draft.readings)
    .filter(([, typed]) => typed.beside || isNoNumber(typed))
    .map(([code, typed]) => `${code}: ${[typed.qualifier, typed.text, typed.unit].filter(Boolean).join(" ")}`);
  return [draft.notes.trim(), ...beside].filter(Boolean).join("\n");
}

function finding(draft, { id, subject, severity, loss_of_function: loss, lasting, ...rest }, form) {
  const about = subject && isItemAlone(subject, form) ? { item: subject } : { subject, item: subject || rest.item ? "" : NO_PART };
  return filled({ id, fan: draft.tag, ...about, severity: severity || "degraded", loss_of_function: loss || null, lasting: (lasting && severity !== "critical") || null, ...rest });
}

function isReplaced(draft) {
  return draft.kind === "replacement";
}

// A machine replaced brings its plate; what nobody could read is named so.
function machineOf(draft) {
  return isReplaced(draft) ? [{ fan: draft.tag, kind: "replaced", item: "machine", machine: plateOf(draft) }] : [];
}

function platesOf(draft) {
  const machine = plateOf(draft);
  return isReplaced(draft) || !Object.keys(machine).length ? [] : [{ fan: draft.tag, machine }];
}

function plateOf(draft) {
  const told = Object.entries(filled(draft.plate)).map(([field, value]) => [field, { yes: true, no: false }[value] ?? value]);
  return { ...Object.fromEntries(told), ...(draft.unreadable.length ? { unreadable: draft.unreadable } : {}) };
}

// Of the system on which the fan stands.
function inspection(draft, site) {
  const system = (site.systems ?? []).find((each) => each.id === draft.system)?.name ?? "";
  return filled({ system, areas_not_cleaned: draft.not_cleaned });
}

function advice(draft, { id, subject, text, cost, answer, decided_by: by, note, on, not_before: before }) {
  const told = answer ? { decision: filled({ answer, on: on ?? dayOf(draft), not_before: before, decided_by: by, note }) } : {};
  return { ...filled({ id, fan: draft.tag, subject: subject || "running", text, cost }), ...told };
}

function decision(draft) {
  return ([recommendation, told]) => filled({ recommendation, on: dayOf(draft), ...told });
}

const dayOf = (draft) => draft.began_at.slice(0, 10);
