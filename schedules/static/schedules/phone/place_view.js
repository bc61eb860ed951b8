// A place where one stands: what is looked at there, and one button that says in words all that it
// answers, for what is not answered yet.

import { el, list } from "./dom.js";
import { keep } from "./drafts.js";
import { seenRow, stateOf } from "./field_views.js";
import { W } from "./words.js";

export function placeView({ title, cautions = [] }, codes, context) {
  const { form, draft } = context;
  const answer = title ? answerFor(codes, context) : null;
  const rows = codes.map((code) => seenRow(code, form.fields[code], { ...context, onpicked: answer?.tell }));
  if (answer) {
    context.tellPlaces.push(answer.tell);
    answer.shown.addEventListener("click", () => {
      if (answer.give()) keep(draft);
      for (const row of rows) row.tell();
      answer.tell();
    });
  }
  return el("section", { class: "place" },
    title ? el("h2", {}, title) : null,
    cautions.length ? list(cautions, { class: "caution" }) : null,
    rows.map((row) => row.shown),
    answer?.shown);
}

// What was said otherwise, is open from before or could not be reached is picked by itself, or left.
function answerFor(codes, { fan, form, draft }) {
  const good = new Map(codes.map((code) => [code, stateWithin(form.fields[code], fan.fields[code])]));
  const shown = el("button", { type: "button", class: "all-so" });
  const stands = (code) => good.get(code) && draft.seen[code] === good.get(code).code;
  const isOpen = (code) => good.get(code) && !isTold(code, form, draft) && !isByItself(code, fan, form, draft);
  const wordsOf = (code) => `${form.fields[code].label}: ${good.get(code).label.toLowerCase()}`;
  let means = [];
  function tell() {
    means = codes.filter(isOpen);
    const said = means.length ? means : codes.filter(stands);
    shown.hidden = !said.length;
    shown.setAttribute("aria-disabled", String(!means.length));
    shown.textContent = [W.allSo, ...said.map(wordsOf)].join("\n");
  }
  function give() {
    const given = means.filter(isOpen); // read elsewhere meanwhile, it is answered
    for (const code of given) draft.seen[code] = good.get(code).code;
    return given.length;
  }
  tell();
  return { shown, tell, give };
}

// The one state in which it is as it should be; none where several are, or none is. What only this
// fan's past lets pass, as vibration felt slight before, is not how it should be.
function stateWithin(field, known) {
  const within = field.states.filter(({ code, verdict }) => verdict === "within" && stateOf(field, code, known).verdict === "within");
  return within.length === 1 ? within[0] : null;
}

// By itself, or by a reading of what it stands for.
function isTold(code, form, draft) {
  const also = Object.values(form.lists ?? {}).filter((names) => names.includes(code)).flat();
  return Boolean(draft.seen[code]) || also.some((name) => draft.readings[name]?.text?.trim());
}

function isByItself(code, fan, form, draft) {
  const { item } = form.fields[code];
  return (fan.findings ?? []).some((each) => each.subject === code)
    || draft.findings.some((each) => each.subject === code)
    || draft.not_reached.some((each) => !each.item || each.item === item);
}
