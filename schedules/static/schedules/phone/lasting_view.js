// When somebody looks at a thing again: by a day, or not before it gets worse.

import { el, labelled, pick } from "./dom.js";
import { keep } from "./drafts.js";
import { fill } from "./gettext.js";
import { W, weeksWords } from "./words.js";

const DAYS = [7, 14, 28];

// A day by which another look is wanted, counted from the visit.
export function recheckView(draft, row, hint = "") {
  const began = draft.began_at.slice(0, 10);
  const day = (days) => new Date(Date.parse(began) + days * 864e5).toISOString().slice(0, 10);
  const put = (value) => { row.recheck_on = value; keep(draft); };
  const input = el("input", { type: "date", min: began, value: row.recheck_on ?? "", oninput: () => put(input.value) });
  const near = pick(DAYS.map((days) => [day(days), weeksWords(days / 7)]), row.recheck_on ?? "", (code) => { put(code); input.value = code; }, { "aria-label": W.lookAgain });
  return el("div", {}, el("p", { class: "name" }, W.lookAgain), near, labelled(W.anotherDay, input, hint));
}

// A fault that lasts brings nobody back, so it takes no day; a critical one cannot last.
export function lastingView(draft, row) {
  const shown = el("div");
  const draw = () => shown.replaceChildren(...(row.severity === "critical" ? [recheckView(draft, row)] : [asked(), row.lasting ? el("small", {}, W.lastingHint) : recheckView(draft, row)]));
  function asked() {
    const put = (code) => { Object.assign(row, { lasting: code === "yes" }, code === "yes" ? { recheck_on: "" } : {}); keep(draft); draw(); };
    return el("div", {}, el("p", { class: "name" }, W.lasting), pick([["yes", W.lastingYes], ["no", W.no]], row.lasting ? "yes" : "no", put, { "aria-label": W.lasting }));
  }
  draw();
  return { shown, draw };
}

// In the summary, as the owner will read it.
export function againWords(row, dayWords) {
  if (row.lasting && row.severity !== "critical") return W.sumLasting;
  return row.recheck_on ? fill(W.sumRecheck, { day: dayWords(row.recheck_on) }) : "";
}
