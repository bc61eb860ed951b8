// A long list to pick from: what is likely here first, then the rest by the alphabet of the language
// shown, then what a fan like this hardly has.

import { el, options } from "./dom.js";
import { W } from "./words.js";

const LAST = ["OTH", "UNK", "other", "unknown"]; // what is picked where nothing else fits
const { compare } = new Intl.Collator(document.documentElement.lang || "en");
const sorted = new WeakMap(); // lists of words stay the same while a round does

function byAlphabet(pairs) {
  const known = sorted.get(pairs);
  if (known) return known;
  const made = [...pairs].sort(([a, aWords], [b, bWords]) => LAST.indexOf(a) - LAST.indexOf(b) || compare(aWords, bWords));
  sorted.set(pairs, made);
  return made;
}

// `blank` is what stands there before anything is picked; `likely` and `hardly` are codes.
export function longChoice(pairs, { blank, likely = [], hardly = [] }, chosen, act) {
  const select = el("select", { onchange: () => act(select.value) });
  fillChoice(select, pairs, { blank, likely, hardly }, chosen);
  return select;
}

export function fillChoice(select, pairs, { blank, likely = [], hardly = [] }, chosen) {
  const groups = [
    [W.likelyHere, likely.flatMap((code) => pairs.filter(([each]) => each === code))],
    [W.allOthers, byAlphabet(pairs).filter(([code]) => !likely.includes(code) && !hardly.includes(code))],
    [W.hardlyHere, byAlphabet(pairs).filter(([code]) => hardly.includes(code) && !likely.includes(code))],
  ].filter(([, codes]) => codes.length);
  const told = groups.length > 1 ? groups.map(([words, codes]) => el("optgroup", { label: words }, options(codes, chosen))) : options(groups[0]?.[1] ?? [], chosen);
  select.replaceChildren(el("option", { value: "" }, blank), ...told);
}
