// A finding: what of the fan, how bad, how it fails and why as far as known; a failure opens the
// next looks at its causes.

import { button, choice, el, labelled, list, pick } from "./dom.js";
import { keep } from "./drafts.js";
import { lastingView } from "./lasting_view.js";
import { photoAdder } from "./pictures.js";
import { W } from "./words.js";

export function subjectsOf(form) {
  return form.subjects ?? Object.entries(form.fields).map(([code, field]) => [code, field.label]);
}

export function addFinding(draft, subject = "", severity = "degraded") {
  const known = subject && draft.findings.find((each) => each.subject === subject);
  if (known) Object.assign(known, { severity, verdict: "" });
  else draft.findings.push(blankFinding(subject, severity));
  keep(draft);
}

// A fan that does not run is a failure, of a part that somebody has to name.
export function addFailure(draft, severity) {
  if (!draft.findings.some((each) => each.loss_of_function)) draft.findings.push({ ...blankFinding("", severity), loss_of_function: true });
  keep(draft);
}

function blankFinding(subject, severity) {
  return { id: crypto.randomUUID(), subject, severity, failure_mode: "", mechanism: "", cause: "", loss_of_function: false, lasting: false, recheck_on: "", note: "" };
}

export function findingView(fan, form, draft, row, redraw) {
  const terms = form.terms ?? {};
  const unknown = [["", W.notKnown]];
  const causes = el("div", { "aria-live": "polite" });
  const again = lastingView(draft, row);
  const set = (name) => (value) => { row[name] = value; keep(draft); tell(); };
  function tell() {
    const next = row.loss_of_function ? causesOf(fan, form, row) : null;
    causes.replaceChildren(...(next ? [el("p", {}, el("b", {}, next.lead || W.mayHave)), list(next.causes ?? []), el("p", {}, el("b", {}, W.lookNext)), list(next.next ?? []), list(next.cautions ?? [], { class: "caution" })].filter(Boolean) : []));
  }
  tell();
  return el("fieldset", { class: "finding" },
    el("legend", {}, W.finding),
    labelled(W.what, choice([["", W.choose], ...subjectsOf(form)], row.subject || row.item, (code) => { delete row.item; set("subject")(code); })),
    el("p", { class: "name" }, W.severity),
    pick(terms.severities ?? W.severities, row.severity, (code) => { delete row.verdict; set("severity")(code); again.draw(); }, { "aria-label": W.severity, stays: true }),
    again.shown,
    el("p", { class: "name" }, W.lossAsked),
    pick([["yes", W.lossYes], ["no", W.lossNo]], row.loss_of_function ? "yes" : "no", (code) => set("loss_of_function")(code === "yes"), { "aria-label": W.lossAsked, stays: true }),
    causes,
    labelled(W.mode, choice([...unknown, ...(terms.failure_modes ?? [])], row.failure_mode, set("failure_mode"))),
    labelled(W.mechanism, choice([...unknown, ...(terms.mechanisms ?? [])], row.mechanism, set("mechanism"))),
    labelled(W.cause, choice([...unknown, ...(terms.causes ?? [])], row.cause, set("cause")), W.causeHint),
    labelled(W.note, el("textarea", { rows: "2", value: row.note, oninput: (event) => set("note")(event.target.value) })),
    photoAdder(draft, { finding: row.id }),
    button(W.remove, () => { draft.findings = draft.findings.filter((each) => each !== row); keep(draft); redraw(); }, { class: "quiet" }));
}

// What the server worked out for a failure of that item, under the item's or the subject's name.
function causesOf(fan, form, row) {
  const item = form.fields[row.subject]?.item ?? form.items?.[row.subject] ?? (row.subject || row.item);
  return fan.causes?.[item] ?? fan.causes?.[row.subject] ?? null;
}
