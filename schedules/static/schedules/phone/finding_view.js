// A finding: what of the fan, how bad, how it fails and why as far as known; a failure opens the
// next looks at its causes.

import { button, el, labelled, list, pick } from "./dom.js";
import { keep } from "./drafts.js";
import { toldHere, happeningWords } from "./happenings.js";
import { lastingView } from "./lasting_view.js";
import { hardlyHere, itemOf, likelySubjects, likelyTerms } from "./likely.js";
import { fillChoice, longChoice } from "./picker.js";
import { photoAdder } from "./pictures.js";
import { fill } from "./gettext.js";
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
  const causes = el("div", { "aria-live": "polite" });
  const again = lastingView(draft, row);
  const terms = termViews(form, draft, row);
  const set = (name) => (value) => { row[name] = value; keep(draft); tell(); };
  const tell = () => causes.replaceChildren(...(row.loss_of_function ? causesView(fan, form, row) : []));
  tell();
  return el("fieldset", { class: "finding" },
    el("legend", {}, W.finding),
    labelled(W.what, subjectPicker(fan, form, draft, row, (code) => { delete row.item; set("subject")(code); terms.tell(); })),
    el("p", { class: "name" }, W.severity),
    pick(form.terms?.severities ?? W.severities, row.severity, (code) => { delete row.verdict; set("severity")(code); again.draw(); }, { "aria-label": W.severity, stays: true }),
    again.shown,
    el("p", { class: "name" }, W.lossAsked),
    pick([["yes", W.lossYes], ["no", W.lossNo]], row.loss_of_function ? "yes" : "no", (code) => set("loss_of_function")(code === "yes"), { "aria-label": W.lossAsked, stays: true }),
    causes,
    terms.shown,
    labelled(W.note, el("textarea", { rows: "2", value: row.note, oninput: (event) => set("note")(event.target.value) })),
    photoAdder(draft, { finding: row.id }),
    button(W.remove, () => { draft.findings = draft.findings.filter((each) => each !== row); keep(draft); redraw(); }, { class: "quiet" }));
}

function subjectPicker(fan, form, draft, row, act) {
  return longChoice(subjectsOf(form), { blank: W.choose, likely: likelySubjects(fan, form, draft), hardly: hardlyHere(fan, form) }, row.subject || row.item, act);
}

const TERMS = { failure_mode: "failure_modes", mechanism: "mechanisms", cause: "causes" };

// How it fails, what happened to it and why: those of the part picked first, anew when another is.
function termViews(form, draft, row) {
  const known = (name) => form.terms?.[TERMS[name]] ?? [];
  const order = (name) => ({ blank: W.notKnown, likely: likelyTerms(form, draft, row, TERMS[name]) });
  const put = (name) => (value) => { row[name] = value; keep(draft); };
  const picker = (name) => longChoice(known(name), order(name), row[name], put(name));
  const pickers = { failure_mode: picker("failure_mode"), mechanism: picker("mechanism"), cause: picker("cause") };
  const shown = [labelled(W.mode, pickers.failure_mode), labelled(W.mechanism, pickers.mechanism), labelled(W.cause, pickers.cause, W.causeHint)];
  const tell = () => Object.entries(pickers).forEach(([name, select]) => fillChoice(select, known(name), order(name), row[name]));
  return { shown, tell };
}

// What the server worked out for a failure of that item, under the item's or the subject's name.
function causesView(fan, form, row) {
  const item = itemOf(form, row.subject || row.item);
  const told = fan.causes?.[item] ?? fan.causes?.[row.subject];
  if (!told) return [];
  const since = toldHere(fan).map((each) => happeningWords(form, each.draft));
  return [
    told.causes?.length ? el("p", {}, el("b", {}, told.lead || W.mayHave)) : null, list(told.causes ?? []),
    since.length ? el("p", {}, fill(W.causesBefore, { what: since.join("; ") })) : null,
    el("p", {}, el("b", {}, W.lookNext)), list(told.next ?? []), list(told.cautions ?? [], { class: "caution" }),
  ].filter(Boolean);
}
