// What stands here while the round comes, while nobody is known on this phone, or a thing is not on it.

import { el } from "./dom.js";
import { W } from "./words.js";

export function takingView() {
  return [el("h1", {}, W.round), el("p", { role: "status" }, W.takingRound)];
}

export function strangerView(words = W.nobodyHere) {
  const next = encodeURIComponent(location.pathname + location.hash);
  return [
    el("h1", {}, W.round),
    el("p", {}, words),
    el("p", {}, el("a", { class: "button", href: `/login/?next=${next}` }, W.signIn), " ", el("a", { class: "button quiet", href: "#/" }, W.backToRound)),
  ];
}
