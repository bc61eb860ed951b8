// Look, live work, leave: the steps at the fan in the order of the work.

import { cautions } from "./arrive_view.js";
import { button, choice, el, labelled, list, more, pick } from "./dom.js";
import { draftOf, isLeftApart, keep } from "./drafts.js";
import { contextViews, derivedView, fieldView, fits, seenView } from "./field_views.js";
import { here } from "./device.js";
import { addFinding } from "./finding_view.js";
import { address, head, nextBar, to } from "./steps.js";
import { strangerView } from "./stranger_view.js";
import { W } from "./words.js";

function stepOf(form, code) {
  return form.steps.find((step) => step.code === code) ?? { fields: [] };
}

function begun(fan, site, form, build) {
  const draft = draftOf(fan.id);
  return draft ? build(draft) : strangerView(W.notBegun);
}

export function lookView(fan, site, form) {
  return begun(fan, site, form, (draft) => {
    const step = stepOf(form, "look");
    const there = step.fields.filter((code) => fits(form.fields[code], fan));
    const looks = fan.look?.length ? fan.look : there.filter((code) => form.fields[code].kind === "seen");
    const must = looks.filter((code) => form.fields[code] && code !== "running");
    const rest = there.filter((code) => !must.includes(code) && !isLeaving(form, code));
    const context = { fan, form, draft, onbad: (code, state) => sayMore(fan, draft, code, state) };
    const wanted = rest.filter((code) => (fan.read ?? []).includes(code));
    const others = rest.filter((code) => !wanted.includes(code));
    return [
      head(fan, site, "look"),
      step.cautions?.length ? more(W.cautions, list(step.cautions)) : null,
      isLeftApart(draft) ? foundRunning(context) : null,
      must.map((code) => fieldView(code, context)),
      wanted.length ? el("h2", {}, W.measure) : null,
      fieldsWithContext(wanted, context),
      others.length ? more(W.moreToLook, fieldsWithContext(others, context)) : null,
      nextBar(address(fan, ""), [W.nextLeave, to(fan, "leave")], here.person?.may_work_live && [W.liveWork, to(fan, "live")]),
    ];
  });
}

const isLeaving = (form, code) => stepOf(form, "leave").fields.includes(code);

function fieldsWithContext(codes, context) {
  const measured = codes.filter((code) => context.form.fields[code].kind !== "seen");
  return [...codes.map((code) => fieldView(code, context)), ...contextViews(context.form, context.draft, measured)];
}

// As found, where something is done before one leaves.
function foundRunning(context) {
  const field = context.form.fields.running;
  return field ? seenView("running", { ...field, label: W.runningFound }, context) : null;
}

async function sayMore(fan, draft, code, state) {
  const severity = { watch: "incipient", act: "degraded", stop: "critical" }[state.verdict];
  addFinding(draft, code, severity);
  location.hash = address(fan, "tell");
}

export function liveView(fan, site, form) {
  return begun(fan, site, form, (draft) => {
    if (!here.person?.may_work_live) return strangerView(W.notQualified);
    const step = stepOf(form, "live");
    const codes = step.fields.filter((code) => fits(form.fields[code], fan));
    const follows = derivedView(fan, form, draft, codes);
    const context = { fan, form, draft, onchange: follows.tell, onbad: (code, state) => sayMore(fan, draft, code, state) };
    return [
      head(fan, site, "live"),
      cautions(step.cautions ?? []),
      draft.made_safe?.told ? null : el("p", {}, el("a", { class: "button quiet", href: address(fan, "slip") }, W.makeSafe)),
      fieldsWithContext(codes, context),
      follows.shown,
      nextBar(address(fan, "look"), [W.nextLeave, to(fan, "leave")]),
    ];
  });
}

export function leaveView(fan, site, form) {
  return begun(fan, site, form, (draft) => {
    const apart = isLeftApart(draft);
    const step = stepOf(form, "leave");
    const codes = step.fields.filter((code) => fits(form.fields[code], fan) && form.fields[code].kind === "seen");
    const context = { fan, form, draft, where: apart ? "left" : "seen", onbad: (code, state) => sayMore(fan, draft, code, state) };
    return [
      head(fan, site, "leave"),
      step.cautions?.length ? more(W.cautions, list(step.cautions)) : null,
      codes.map((code) => seenView(code, form.fields[code], context)),
      switchLeft(draft),
      notReached(draft, form),
      nextBar(address(fan, "look"), [W.nextSummary, to(fan, "sum")], [W.step.tell, to(fan, "tell")]),
    ];
  });
}

function switchLeft(draft) {
  const pairs = [["on", W.on], ["off", W.off]];
  const put = (chosen) => { draft.left.switch_left = chosen; keep(draft); };
  return el("div", { class: "field", "data-field": "switch_left" }, el("p", { class: "name" }, W.switchLeft),
    pick(pairs, draft.left.switch_left ?? "", put, { "aria-label": W.switchLeft }));
}

function notReached(draft, form) {
  const rows = el("div");
  const items = [["", W.wholeFan], ...(form.terms?.items ?? [])];
  function draw() {
    rows.replaceChildren(...draft.not_reached.map((row, place) => el("fieldset", {},
      el("legend", {}, W.notReached),
      labelled(W.what, choice(items, row.item, (code) => set(row, "item", code))),
      labelled(W.why, choice(form.terms?.reasons ?? [], row.reason, (code) => set(row, "reason", code))),
      labelled(W.note, el("input", { value: row.note, oninput: (event) => set(row, "note", event.target.value) })),
      button(W.remove, () => { draft.not_reached.splice(place, 1); keep(draft); draw(); }, { class: "quiet" }))));
  }
  function set(row, name, value) {
    row[name] = value;
    keep(draft);
  }
  function add() {
    draft.not_reached.push({ item: "", reason: form.terms?.reasons?.[0]?.[0] ?? "other", note: "" });
    keep(draft);
    draw();
  }
  draw();
  return el("section", {}, rows, button(W.addNotReached, add, { class: "quiet" }));
}
