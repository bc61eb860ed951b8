// A site: its owner, the way up, and whom to call there.

import { el } from "./dom.js";
import { W } from "./words.js";

export function siteFacts(site) {
  return el("div", { class: "facts" },
    el("p", {}, [site.owner, site.address].filter(Boolean).join(", ")),
    (site.access ?? []).map((words) => el("p", {}, words)),
    contacts(site));
}

// A tap calls; whoever keeps the keys first, for without them nobody gets up.
export function contacts(site) {
  const known = site?.contacts ?? [];
  if (!known.length) return null;
  return el("ul", { class: "plain contacts", "aria-label": W.contacts }, known.map(({ duty, name, phone, note }) =>
    el("li", {}, [duty, name].filter(Boolean).join(": "), " ", el("a", { href: `tel:${dialled(phone)}` }, phone), note ? el("small", {}, note) : null)));
}

// What a phone dials (RFC 3966): digits and a leading plus; an extension is for the person's ear.
function dialled(phone) {
  const [number] = phone.split(/\s*(?:x|ext\.?|#)\s*\d/i);
  return number.replace(/(?!^\+)\D/g, "");
}
