// The nameplate read on the roof: a photo, and its fields; a part nobody can read is marked so.

import { choice, el, labelled } from "./dom.js";
import { keep } from "./drafts.js";
import { photoAdder } from "./pictures.js";
import { fill } from "./gettext.js";
import { W } from "./words.js";

export function plateFields(form) {
  return form.plate ?? W.plateFields;
}

export function plateView(fan, form, draft) {
  return el("div", {},
    el("p", { class: "faded" }, draft.kind === "replacement" ? W.plateNew : W.plateHint),
    photoAdder(draft, { caption: W.plateCaption }),
    plateFields(form).map((field) => plateField(fan, draft, field)));
}

function plateField(fan, draft, { field, label, kind, choices, unit }) {
  const put = (value) => { draft.plate[field] = value; keep(draft); };
  const before = fan.plate_fields?.[field];
  const value = draft.plate[field] ?? "";
  const input = kind === "choice"
    ? choice([["", W.notRead], ...choices], value, put)
    : el("input", { value, autocomplete: "off", maxlength: "80", placeholder: W.plateExample[field] ?? "", oninput: (event) => put(event.target.value) });
  const box = el("input", { type: "checkbox", checked: draft.unreadable.includes(field), onchange: mark });
  function mark() {
    draft.unreadable = draft.unreadable.filter((each) => each !== field);
    if (box.checked) {
      draft.unreadable.push(field);
      delete draft.plate[field];
      input.value = "";
    }
    input.disabled = box.checked;
    keep(draft);
  }
  input.disabled = box.checked;
  const known = before === undefined || before === null || before === "" ? "" : fill(W.onRecord, { value: choices?.find(([code]) => code === before)?.[1] ?? before });
  return el("div", { class: "plate-field" }, labelled(unit ? `${label} (${unit})` : label, input, known),
    el("label", { class: "tick" }, box, ` ${W.unreadable}`));
}

// What was read, as a line of the visit's notes: the office enters it in the register.
export function plateWords(form, draft) {
  const labels = Object.fromEntries(plateFields(form).map((each) => [each.field, each.label]));
  const read = Object.entries(draft.plate).filter(([, value]) => value).map(([field, value]) => `${labels[field] ?? field} ${value}`);
  const not = draft.unreadable.map((field) => labels[field] ?? field);
  if (not.length) read.push(fill(W.unreadableParts, { parts: not.join(", ") }));
  return read.length ? fill(W.plateRead, { parts: read.join("; ") }) : "";
}
