// What happened at a fan since the last visit: what is known of, and the form for one thing more.

import { itemOpener, lacksReason, reasonView } from "./correction_view.js";
import { isPutRight, putBack } from "./corrections.js";
import { button, el, labelled, more, pick } from "./dom.js";
import { discard, happeningOf, keep, start } from "./drafts.js";
import { blankHappening, eventOf, happeningWords, overAt, systemOf, toldHere, usualWhom } from "./happenings.js";
import { today } from "./moments.js";
import { fansOf } from "./packs.js";
import { enqueue, queue } from "./queue.js";
import { send } from "./sending.js";
import { address, head, nextBar } from "./steps.js";
import { strangerView } from "./stranger_view.js";
import { fill } from "./gettext.js";
import { H } from "./happening_words.js";
import { W } from "./words.js";

export function happenedHere(fan, form) {
  const begun = happeningOf(fan.id);
  const here = toldHere(fan).map((item) => el("li", {}, happeningWords(form, item.draft), itemOpener(item)));
  const known = (fan.happened ?? []).map((each) => [each, queue.items.find((item) => item.id === each.id)]).filter(([, item]) => !item || !isPutRight(item));
  const rows = [...known.map(([each, item]) => el("li", {}, each.words, item ? itemOpener(item) : null)), ...here];
  const tell = () => {
    if (!begun) keep(start(blankHappening(fan, form)));
    location.hash = address(fan, "happened");
  };
  return el("section", {}, el("h2", {}, H.happened), rows.length ? el("ul", { class: "plain" }, rows) : null,
    button(begun ? H.goOnHappening : H.addHappening, tell, { class: "quiet" }));
}

export function happenedView(fan, site, form) {
  const draft = happeningOf(fan.id);
  if (!draft) return strangerView(W.notBegun);
  const told = el("p", { role: "alert" });
  const rest = el("div");
  const draw = () => rest.replaceChildren(...restOf(fan, form, draft).flat(2).filter(Boolean));
  const choose = (kind) => { Object.assign(draft, { kind, whom: usualWhom(kind) }); keep(draft); draw(); };
  draw();
  return [
    head(fan, site, "happened"),
    el("h2", {}, H.happening),
    reasonView(draft),
    field(H.whatHappened, pick(form.terms?.happenings ?? [], draft.kind, choose, { "aria-label": H.whatHappened })),
    rest,
    told,
    nextBar(address(fan, ""), [W.keepAndSend, () => finish(draft, fan, told)]),
    el("p", {}, button(W.discard, () => throwAway(draft, fan), { class: "as-link" })),
  ];
}

const field = (words, ...inner) => el("div", { class: "field" }, el("p", { class: "name" }, words), ...inner);

function restOf(fan, form, draft) {
  if (!draft.kind) return [];
  const set = (name) => (value) => { draft[name] = value; keep(draft); };
  const text = (name, properties) => el("input", { value: draft[name] ?? "", autocomplete: "off", oninput: (event) => set(name)(event.target.value), ...properties });
  const whom = [["fan", fill(H.onlyFan, { tag: fan.tag })], ["system", systemOf(draft)], ["site", H.wholeSite]];
  const until = labelled(H.until, text("until", { type: "date", max: today() }));
  return [
    dayView(draft),
    field(H.whom, pick(whom.filter(([, words]) => words), draft.whom, set("whom"), { "aria-label": H.whom })),
    draft.kind === "hood_cleaning" ? cleaningViews(fan, form, draft, text) : null,
    draft.kind === "breaker_reset" ? labelled(H.resets, text("resets", { inputmode: "numeric", type: "number", min: "0", max: "1000", step: "1" })) : null,
    labelled(W.note, text("note", { maxlength: "3000" })),
    more(W.moreToSay, until, ["storm", "power_event"].includes(draft.kind) ? labelled(H.runningOn, text("running_on", { type: "date", max: today() })) : null),
  ];
}

// A day, or that nobody knows it.
function dayView(draft) {
  const input = el("input", { type: "date", max: today(), value: draft.day, oninput: () => put(input.value, true) });
  const yesterday = new Date(Date.parse(today()) - 864e5).toISOString().slice(0, 10);
  const near = [[today(), H.today], [yesterday, H.yesterday], ["unknown", W.notKnown]];
  const row = pick(near, draft.is_day_known ? draft.day : "unknown", (code) => { put(code === "unknown" ? "" : code, code !== "unknown"); input.value = draft.day; }, { "aria-label": H.whichDay });
  function put(day, isKnown) {
    Object.assign(draft, { day, is_day_known: isKnown });
    keep(draft);
  }
  return field(H.whichDay, row, labelled(H.otherDay, input));
}

const TIPS = () => [["hinge", H.tipHinge], ["no_hinge", H.tipNoHinge], ["no", H.tipNo], ["unknown", W.notKnown]];

function cleaningViews(fan, form, draft, text) {
  const put = (part, name) => (code) => { draft[part][name] = code; keep(draft); };
  const tip = (tag) => field(fill(H.tipped, { tag }), pick(TIPS(), draft.tips[tag] ?? "", put("tips", tag), { "aria-label": fill(H.tipped, { tag }) }));
  const beside = fansOf(fan.site).filter((each) => each.id !== fan.id && each.system === fan.system);
  const places = [...(form.terms?.cleaned_places ?? []), ["wheel", H.wheel]];
  return [
    labelled(H.byWhom, text("crew", { maxlength: "120" })),
    tip(fan.tag),
    beside.length ? more(H.otherFans, beside.map((each) => tip(each.tag))) : null,
    more(H.whatCleaned, places.map(([place, words]) => field(words, pick([["yes", H.wasCleaned], ["no", H.notCleaned_]], draft.cleaned[place] ?? "", put("cleaned", place), { "aria-label": words })))),
  ];
}

// What is missing or cannot be, in words.
function lacking(draft) {
  if (!draft.kind) return H.sayWhat;
  if (draft.is_day_known && !draft.day) return H.sayDay;
  if ([draft.day, draft.until, draft.running_on].some((day) => day > today())) return H.dayAhead;
  if (draft.is_day_known && draft.until && draft.until < draft.day) return H.endsBefore;
  return lacksReason(draft) ? W.reasonFirst : "";
}

let finishing = false; // two taps are one

async function finish(draft, fan, told) {
  told.textContent = lacking(draft);
  if (told.textContent || finishing || happeningOf(fan.id)?.id !== draft.id) return;
  finishing = true;
  draft.at ||= overAt(fan);
  try {
    await enqueue(draft, eventOf(draft));
  } catch {
    told.textContent = W.notQueued;
    return;
  } finally {
    finishing = false;
  }
  location.hash = address(fan, "");
  send();
}

async function throwAway(draft, fan) {
  if (!window.confirm(W.discardAsk)) return;
  await discard(draft, []);
  await putBack(draft);
  location.hash = address(fan, "");
}
