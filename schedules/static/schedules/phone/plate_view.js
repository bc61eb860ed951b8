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
  const shown = plateFields(form).map((field) => [field, plateField(fan, draft, field, ask)]);
  // The field just typed in stays where it is: what its answer makes needless goes, the rest comes.
  function ask() {
    for (const [field, row] of shown) row.hidden = !isAskedOf(field, fan, draft);
  }
  ask();
  return el("div", {},
    el("p", { class: "faded" }, draft.kind === "replacement" ? W.plateNew : W.plateHint),
    photoAdder(draft, { caption: W.plateCaption }),
    shown.map(([, row]) => row));
}

// A part that such a motor or drive has: as just read, else as on record; what was typed stays shown.
function isAskedOf({ field, motors, belt_only: ofBelts }, fan, draft) {
  if (draft.plate[field] || draft.unreadable.includes(field)) return true;
  const motor = draft.plate.motor_type || fan.motor;
  const drive = draft.plate.drive || (fan.belt ? "belt" : "direct");
  return (!motors || !motor || motors.includes(motor)) && (!ofBelts || drive === "belt");
}

const DECIDES = ["motor_type", "drive"]; // which parts there are

function plateField(fan, draft, { field, label, kind, choices: offered, unit }, ask) {
  const choices = kind === "yes_no" ? W.yesNo : offered;
  const before = fan.plate_fields?.[field];
  const told = el("small", { class: "differs", role: "status" });
  const put = (value) => { draft.plate[field] = value; keep(draft); compare(); if (DECIDES.includes(field)) ask(); };
  const named = (code) => choices?.find(([each]) => each === String(code))?.[1] ?? code;
  const value = draft.plate[field] ?? "";
  const input = choices
    ? choice([["", W.notRead], ...choices], value, put)
    : el("input", { value, autocomplete: "off", maxlength: "80", placeholder: W.plateExample[field] ?? "", oninput: (event) => put(event.target.value) });
  const box = el("input", { type: "checkbox", checked: draft.unreadable.includes(field), onchange: mark });
  // Nothing is overwritten: what the register says otherwise stays until the office has decided.
  function compare() {
    const read = (draft.plate[field] ?? "").trim();
    const differs = draft.kind !== "replacement" && known && isOther(before, read, choices);
    told.textContent = differs ? fill(W.plateDiffers, { before: named(saidOf(before)), read: named(read) }) : "";
  }
  function mark() {
    draft.unreadable = draft.unreadable.filter((each) => each !== field);
    if (box.checked) {
      draft.unreadable.push(field);
      delete draft.plate[field];
      input.value = "";
    }
    input.disabled = box.checked;
    keep(draft);
    compare();
  }
  input.disabled = box.checked;
  const known = before === undefined || before === null || before === "" ? "" : fill(W.onRecord, { value: named(saidOf(before)) });
  compare();
  return el("div", { class: "plate-field" }, labelled(unit ? `${label} (${unit})` : label, input, known), told,
    el("label", { class: "tick" }, box, ` ${W.unreadable}`));
}

const saidOf = (before) => ({ true: "yes", false: "no" })[before] ?? String(before);

// As far as the phone can tell: numbers by their value, ratings without spaces, parts nobody read apart.
function isOther(before, read, choices) {
  if (!read || read.includes("?") || String(before).includes("?")) return false;
  if (choices) return saidOf(before) !== read;
  if (typeof before === "number") return Number(read.replace(",", ".")) !== before && !/[a-z/]/i.test(read);
  return plain(before) !== plain(read);
}

const plain = (text) => String(text).replace(/\s+/g, "").replace(/\.0+(?!\d)/g, "").toLowerCase();
