// Made safe: who knows, who holds the lock, what starts it again; shown large and handed on.

import { button, el, labelled, pick } from "./dom.js";
import { draftOf, keep } from "./drafts.js";
import { clockWords, dayWords } from "./moments.js";
import { here } from "./device.js";
import { address, head, nextBar, to } from "./steps.js";
import { strangerView } from "./stranger_view.js";
import { fill } from "./gettext.js";
import { W } from "./words.js";

const EMPTY = { told: "", cook_line_stopped: null, lock_holder: "", restarts_when: "", promised_on: "" };

export function slipView(fan, site) {
  const draft = draftOf(fan.id);
  if (!draft) return strangerView(W.notBegun);
  const row = draft.made_safe ?? { ...EMPTY, lock_holder: here.person.name };
  const text = (name, properties = {}) => el("input", { value: row[name] ?? "", oninput: (event) => set(name, event.target.value), ...properties });
  function set(name, value) {
    Object.assign((draft.made_safe ??= row), { [name]: value });
    keep(draft);
  }
  const stopped = (code) => set("cook_line_stopped", code ? code === "yes" : null);
  const was = { true: "yes", false: "no" }[row.cook_line_stopped] ?? "";
  return [
    head(fan, site, "slip"),
    el("h2", {}, W.madeSafe),
    el("p", { class: "caution" }, W.slipCaution),
    labelled(W.whoTold, text("told", { maxlength: "120" })),
    el("p", { class: "name" }, W.cookLine),
    pick([["yes", W.yes], ["no", W.no]], was, stopped, { "aria-label": W.cookLine }),
    labelled(W.lockHolder, text("lock_holder", { maxlength: "120" })),
    labelled(W.restarts, text("restarts_when", { maxlength: "250" }), W.restartsHint),
    labelled(W.promised, text("promised_on", { type: "date" })),
    el("div", { class: "buttons" }, button(W.showLarge, () => large(fan, site, draft, draft.made_safe ?? row)), button(W.handOn, (event) => handOn(event.target, slipText(fan, site, draft, draft.made_safe ?? row)), { class: "quiet" })),
    draft.made_safe ? button(W.notMadeSafe, () => { draft.made_safe = null; keep(draft); location.hash = address(fan, "tell"); }, { class: "quiet" }) : null,
    nextBar(address(fan, "tell"), [W.nextLeave, to(fan, "leave")]),
  ];
}

function slipText(fan, site, draft, row) {
  return [
    fill(W.slipTitle, { tag: fan.tag, site: site?.name ?? "" }),
    fill(W.slipSince, { day: dayWords(draft.began_at), at: clockWords(draft.began_at), name: here.person.name }),
    fill(W.slipTold, { name: row.told || "—" }),
    row.cook_line_stopped === null ? "" : row.cook_line_stopped ? W.slipStopped : W.slipNotStopped,
    fill(W.slipLock, { name: row.lock_holder || "—" }),
    fill(W.slipRestart, { when: row.restarts_when || "—" }),
    row.promised_on ? fill(W.slipPromised, { day: dayWords(row.promised_on) }) : "",
    W.slipEnd,
  ].filter(Boolean);
}

function large(fan, site, draft, row) {
  const [title, ...lines] = slipText(fan, site, draft, row);
  const sheet = el("dialog", { class: "slip", "aria-label": title }, el("h1", {}, title), lines.map((line) => el("p", {}, line)),
    button(W.close, () => sheet.close()));
  sheet.addEventListener("close", () => sheet.remove());
  document.body.append(sheet);
  sheet.showModal();
}

async function handOn(pressed, lines) {
  const text = lines.join("\n");
  try {
    if (navigator.share) await navigator.share({ title: lines[0], text });
    else {
      await navigator.clipboard.writeText(text);
      pressed.textContent = W.copied;
    }
  } catch {
    // whoever closes the sheet of addresses has changed their mind
  }
}
