// The record of a visit as the draft that it was made of: what the form shows, and what it does not.

import { blank } from "./drafts.js";

export function draftFrom(record, fan, form) {
  const { began_at: began, ended_at: ended = "", notes = "" } = record;
  const { checks = [], findings = [], recommendations = [], decisions = [], made_safe: [safe] = [], inspections: [inspected] = [], plates: [plate] = [] } = record;
  const found = checks.find((each) => each.stage !== "as_left") ?? {};
  const left = checks.find((each) => each.stage === "as_left");
  return {
    ...blank(fan, form, record.kind), began_at: began, ended_at: ended, notes, ...looks(found, left, findings, recommendations),
    findings: findings.map((each) => finding(each, found)),
    actions: (record.actions ?? []).map(withoutFan),
    advice: recommendations.map((each) => advice(each, found)),
    decisions: Object.fromEntries(decisions.filter((each) => each.recommendation).map(({ recommendation, ...told }) => [recommendation, told])),
    told: decisions.filter((each) => !each.recommendation),
    not_reached: (record.not_reached ?? []).map((each) => ({ item: "", note: "", ...withoutFan(each) })),
    made_safe: safe ? { cook_line_stopped: null, ...withoutFan(safe) } : null,
    not_cleaned: inspected?.areas_not_cleaned ?? "",
    ...(plate ? plateRead(plate.machine) : {}),
  };
}

const withoutFan = ({ fan, ...rest }) => rest;

// What both looks hold; `kept` is what the form asks nowhere.
function looks(found, left, findings, advice) {
  const { fan, stage, seen = {}, readings = {}, context = {}, lasting = [], recheck = {}, switch_left: was = "", ...rest } = found;
  const { fan: of, stage: at, seen: leftSeen = {}, switch_left: leftSwitch = "", ...leftRest } = left ?? {};
  const isFound = (subject) => findings.some((each) => each.subject === subject);
  const isAdvised = (subject) => advice.some((each) => each.subject === subject);
  return {
    seen: { ...seen }, context: { ...context }, left_apart: Boolean(left),
    left: left ? { ...leftSeen, switch_left: leftSwitch } : { switch_left: was },
    readings: Object.fromEntries(Object.entries(readings).map(([code, each]) => [code, typed(each)])),
    kept: {
      as_found: { ...rest, ...(left && was ? { switch_left: was } : {}), lasting: lasting.filter((each) => !isFound(each)), recheck: without(recheck, isAdvised) },
      as_left: leftRest,
    },
  };
}

const without = (object, gone) => Object.fromEntries(Object.entries(object).filter(([name]) => !gone(name)));
const typed = ({ value, unit = "", qualifier = "" }) => ({ text: value === undefined ? "" : String(value), unit, qualifier, asked: true });

function plateRead({ unreadable = [], ...read }) {
  const said = (value) => ({ true: "yes", false: "no" })[value] ?? String(value);
  return { unreadable, plate: Object.fromEntries(Object.entries(read).map(([name, value]) => [name, said(value)])) };
}

function finding({ fan, ...each }, { lasting = [] }) {
  return { subject: "", failure_mode: "", mechanism: "", cause: "", note: "", ...each, lasting: each.lasting || lasting.includes(each.subject) };
}

function advice({ fan, decision = {}, ...each }, { recheck = {} }) {
  return { cost: "", answer: "", decided_by: "", note: "", recheck_on: recheck[each.subject] ?? "", ...each, ...decision };
}
