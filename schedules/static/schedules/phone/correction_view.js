// A correction on the page: why it is made, what somebody else corrected meanwhile, the way to it.

import { button, choice, el, labelled, list, pick } from "./dom.js";
import { correctionsOf, isOvertaken, mayPutRight, putRight, putRightVisit } from "./corrections.js";
import { keep } from "./drafts.js";
import { dayWords } from "./moments.js";
import { takeFan, taken } from "./packs.js";
import { fill } from "./gettext.js";
import { W } from "./words.js";

// Tapped, it says why nothing opens.
function opener(open, words = W.putRight) {
  const told = el("p", { role: "status" });
  const act = async () => { told.textContent = (await open()) ?? ""; };
  return el("div", {}, button(words, act, { class: "quiet" }), told);
}

export const itemOpener = (item, words) => opener(() => putRight(item), words);

export function visitOpener(fan, form, visit) {
  return mayPutRight(visit) ? opener(() => putRightVisit(fan, form, visit)) : null;
}

// Why it is put right; the record takes no correction without.
export function reasonView(draft) {
  if (!draft.supersedes) return null;
  const input = el("input", { maxlength: "250", autocomplete: "off", value: draft.correction_reason, oninput: (event) => put(event.target.value) });
  const ready = W.reasons.map((words) => [words, words]);
  const row = pick(ready, draft.correction_reason, (words) => { input.value = words; put(words); }, { "aria-label": W.reason });
  function put(words) {
    draft.correction_reason = words;
    keep(draft);
  }
  return el("section", { class: "correction" }, el("h2", {}, W.correction), el("p", {}, W.correctionHint), row, labelled(W.reason, input));
}

// Once sent, a machine replaced is in the register: no visit becomes a replacement then, or none.
const REPLACED = "replacement";

export function kindView(draft, form, redraw) {
  if (draft.supersedes && draft.kind === REPLACED) return null;
  const kinds = (form.terms?.kinds ?? []).filter(([code]) => !draft.supersedes || code !== REPLACED);
  const put = (kind) => { draft.kind = kind; keep(draft); redraw(); };
  return kinds.length ? labelled(W.kind, choice(kinds, draft.kind, put)) : null;
}

export const lacksReason = (draft) => Boolean(draft.supersedes) && !draft.correction_reason.trim();

// What stands in its way: somebody else was quicker, and what theirs says.
export function overtakenView(item) {
  if (!isOvertaken(item)) return null;
  const told = el("div", { role: "status" }, el("p", {}, W.lookingUp));
  tell();
  async function tell() {
    const chain = await correctionsOf(item);
    if (!chain) return told.replaceChildren(el("p", {}, W.needsNetwork));
    await takeFan(item.fan).catch(() => false);
    const lines = taken.fans.get(item.fan)?.record?.find((each) => each.id === chain.at(-1)?.id)?.lines ?? [];
    const words = chain.map((each) => fill(W.correctedBy, { name: each.recorded_by || "—", day: dayWords(each.received_at), why: each.reason }));
    told.replaceChildren(...[list(words), lines.length ? el("p", {}, W.nowSays) : null, list(lines)].filter(Boolean));
  }
  return el("div", { class: "warning" }, el("p", {}, W.overtaken), told);
}
