// The way through a fan's form: where one is, and the large buttons on.

import { button, el } from "./dom.js";
import { here } from "./device.js";
import { draftOf } from "./drafts.js";
import { W } from "./words.js";

const ORDER = ["", "look", "live", "dead", "leave", "tell", "sum"];

function stepsOf() {
  return here.person?.may_work_live ? ORDER : ORDER.filter((step) => !["live", "dead"].includes(step));
}

export function head(fan, site, step) {
  const draft = draftOf(fan.id);
  return [
    el("h1", {}, fan.tag, el("span", { class: "of" }, [site?.name, site?.owner].filter(Boolean).join(", "))),
    draft?.supersedes ? el("p", { class: "warning" }, W.correcting) : null,
    draft ? el("nav", { class: "steps", "aria-label": W.steps }, stepsOf().map((each) =>
      el("a", { href: address(fan, each), "aria-current": each === step ? "step" : null }, W.step[each]))) : null,
  ];
}

export function address(fan, step) {
  return `#/fan/${fan.id}${step ? `/${step}` : ""}`;
}

// Back and on, at the foot of the page where a thumb is.
export function nextBar(back, ...on) {
  return el("div", { class: "next" },
    back ? el("a", { class: "button quiet", href: back }, W.back) : null,
    on.filter(Boolean).map(([words, act], place) => button(words, act, { class: place ? "quiet" : null })));
}

export function to(fan, step) {
  return () => (location.hash = address(fan, step));
}
