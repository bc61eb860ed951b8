// Look, live work, leave: the steps at the fan in the order of the work.

import { cautions } from "./arrive_view.js";
import { button, choice, el, labelled, list, more, moreLater, pick } from "./dom.js";
import { draftOf, isLeftApart, keep } from "./drafts.js";
import { answeredBy, contextViews, derivedView, fieldView, isAsked, looksOf, seenView } from "./field_views.js";
import { here } from "./device.js";
import { addFailure, addFinding } from "./finding_view.js";
import { hardlyHere } from "./likely.js";
import { longChoice } from "./picker.js";
import { placeView } from "./place_view.js";
import { address, head, nextBar, to } from "./steps.js";
import { strangerView } from "./stranger_view.js";
import { fill } from "./gettext.js";
import { W } from "./words.js";

function stepOf(form, code) {
  return form.steps.find((step) => step.code === code) ?? { fields: [] };
}

function begun(fan, site, form, build) {
  const draft = draftOf(fan.id);
  return draft ? build(draft) : strangerView(W.notBegun);
}

// Where nothing is done before one leaves, how it is left is asked at the end of the look.
export function lookView(fan, site, form) {
  return begun(fan, site, form, (draft) => {
    const apart = isLeftApart(draft);
    const step = stepOf(form, "look");
    const there = step.fields.filter((code) => isAsked(code, form, fan));
    const must = mustLook(fan, form, draft, step);
    const wanted = there.filter((code) => !must.includes(code) && (fan.read ?? []).includes(code));
    const others = there.filter((code) => !must.includes(code) && !wanted.includes(code));
    const context = { fan, form, draft, tellPlaces: [], onbad: (code, state) => sayMore(fan, draft, code, state) };
    const [first, ...further] = placesOf(step, must).map(([place, codes]) => () => placeView(place, codes, context));
    return [
      head(fan, site, "look"),
      step.cautions?.length ? more(W.cautions, list(step.cautions)) : null,
      apart ? foundRunning(context) : null,
      first?.(),
      further,
      apart ? () => foundTurning(context) : null,
      wanted.length ? moreLater(fill(W.measure, { count: wanted.length }), () => fieldsWithContext(wanted, context)) : null,
      others.length ? moreLater(W.moreToLook, () => fieldsWithContext(others, context)) : null,
      apart ? null : () => leaving(context),
      nextBar(null, apart ? [W.nextLeave, to(fan, "leave")] : [W.nextSummary, to(fan, "sum")],
        here.person?.may_work_live ? [W.liveWork, to(fan, "live")] : [W.step.tell, to(fan, "tell")]),
    ];
  });
}

// In the order of the form; of one told before there were places, all in one without its button.
function placesOf(step, codes) {
  const places = (step.places ?? [{ fields: step.fields }]).map((place) => [place, codes.filter((code) => place.fields.includes(code))]);
  return places.filter(([, here]) => here.length);
}

// What makes a walk-through complete, in the order of the form; whether it runs is asked on leaving.
function mustLook(fan, form, draft, step) {
  const first = (entry) => answeredBy(entry, form).find((code) => form.fields[code]?.kind === "seen");
  const wanted = new Set(looksOf(fan, form, draft).map(first));
  return step.fields.filter((code) => wanted.has(code) && isAsked(code, form, fan));
}

// Each with what explains it, asked once behind the last reading that it explains.
function fieldsWithContext(codes, context) {
  const explained = (code) => context.form.fields[code].context ?? [];
  return codes.flatMap((code, place) => {
    const later = new Set(codes.slice(place + 1).flatMap(explained));
    return [fieldView(code, context), ...contextViews(context, explained(code).filter((name) => !later.has(name)))];
  });
}

// As found, where something is done before one leaves.
function foundRunning(context) {
  const field = context.form.fields.running;
  return field ? seenView("running", { ...field, label: W.runningFound }, context) : null;
}

// What comes after work counts as left alone; the way it turns is asked of a look as a whole.
function foundTurning(context) {
  const { fan, form, draft } = context;
  const isWanted = looksOf(fan, form, draft).includes("rotation") && isAsked("rotation", form, fan);
  return isWanted ? seenView("rotation", form.fields.rotation, context) : [];
}

async function sayMore(fan, draft, code, state) {
  const severity = { watch: "incipient", act: "degraded", stop: "critical" }[state.verdict];
  if (code === "running") addFailure(draft, severity);
  else addFinding(draft, code, severity);
  location.hash = address(fan, "tell");
}

export const liveView = (...given) => qualifiedView("live", "dead", ...given);
export const deadView = (...given) => qualifiedView("dead", "leave", ...given);

function qualifiedView(name, next, fan, site, form) {
  return begun(fan, site, form, (draft) => {
    if (!here.person?.may_work_live) return strangerView(W.notQualified);
    const step = stepOf(form, name);
    const codes = step.fields.filter((code) => isAsked(code, form, fan));
    const follows = derivedView(fan, form, draft, codes);
    const context = { fan, form, draft, onchange: follows.tell, onbad: (code, state) => sayMore(fan, draft, code, state) };
    return [
      head(fan, site, name),
      el("h2", {}, step.title),
      cautions(step.cautions ?? []),
      draft.made_safe?.told ? null : el("p", {}, el("a", { class: "button quiet", href: address(fan, "slip") }, W.makeSafe)),
      () => [...fieldsWithContext(codes, context), follows.shown],
      nextBar(address(fan, "look"), [fill(W.nextTo, { step: W.step[next] }), to(fan, next)]),
    ];
  });
}

export function leaveView(fan, site, form) {
  return begun(fan, site, form, (draft) => [
    head(fan, site, "leave"),
    leaving({ fan, form, draft, onbad: (code, state) => sayMore(fan, draft, code, state) }),
    nextBar(address(fan, "look"), [W.nextSummary, to(fan, "sum")], [W.step.tell, to(fan, "tell")]),
  ]);
}

function leaving({ fan, form, draft, ...known }) {
  const apart = isLeftApart(draft);
  const step = stepOf(form, "leave");
  const there = step.fields.filter((code) => isAsked(code, form, fan));
  const codes = there.filter((code) => code === "running" || looksOf(fan, form, draft).includes(code) || apart);
  const others = there.filter((code) => !codes.includes(code));
  const context = { ...known, fan, form, draft, where: apart ? "left" : "seen" };
  return el("section", {},
    step.cautions?.length ? more(W.cautions, list(step.cautions)) : null,
    codes.map((code) => seenView(code, form.fields[code], context)),
    switchLeft(draft),
    others.length ? moreLater(W.moreToSay, () => others.map((code) => seenView(code, form.fields[code], context))) : null,
    notReached(context, known.tellPlaces));
}

function switchLeft(draft) {
  const pairs = [["on", W.on], ["off", W.off]];
  const put = (chosen) => { draft.left.switch_left = chosen; keep(draft); };
  return el("div", { class: "field", "data-field": "switch_left" }, el("p", { class: "name" }, W.switchLeft),
    pick(pairs, draft.left.switch_left ?? "", put, { "aria-label": W.switchLeft }));
}

function notReached({ fan, form, draft }, tellPlaces = []) {
  const rows = el("div");
  const order = { blank: W.wholeFan, hardly: hardlyHere(fan, form) };
  function draw() {
    rows.replaceChildren(...draft.not_reached.map((row, place) => el("fieldset", {},
      el("legend", {}, W.notReached),
      labelled(W.what, longChoice(form.terms?.items ?? [], order, row.item, (code) => set(row, "item", code))),
      labelled(W.why, choice(form.terms?.reasons ?? [], row.reason, (code) => set(row, "reason", code))),
      labelled(W.note, el("input", { maxlength: "250", value: row.note, oninput: (event) => set(row, "note", event.target.value) })),
      button(W.remove, () => { draft.not_reached.splice(place, 1); keep(draft); draw(); }, { class: "quiet" }))));
    for (const tell of tellPlaces) tell();
  }
  function set(row, name, value) {
    row[name] = value;
    keep(draft);
    for (const tell of tellPlaces) tell();
  }
  function add() {
    draft.not_reached.push({ id: crypto.randomUUID(), item: "", reason: form.terms?.reasons?.[0]?.[0] ?? "other", note: "" });
    keep(draft);
    draw();
  }
  draw();
  return el("section", {}, rows, button(W.addNotReached, add, { class: "quiet" }));
}
