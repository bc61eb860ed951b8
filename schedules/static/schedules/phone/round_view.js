// The day: where to go in which order, every fan of it, and ways to find another.

import { button, el, labelled, more } from "./dom.js";
import { draftOf, drafts } from "./drafts.js";
import { clockWords, dayWords, today, withOffset } from "./moments.js";
import { fansOf, findFans, findSites, taken, takeRound, takeSite } from "./packs.js";
import { planView } from "./plan_view.js";
import { queue } from "./queue.js";
import { siteFacts } from "./site_facts.js";
import { fill } from "./gettext.js";
import { W } from "./words.js";

export function roundView(show) {
  const { round } = taken;
  const stops = round?.stops ?? [];
  return [
    el("h1", {}, round ? dayWords(round.day) : W.round),
    round && round.day !== today() ? el("p", { class: "warning" }, fill(W.oldRound, { day: dayWords(round.day) })) : null,
    stops.length ? el("ol", { class: "stops" }, stops.map(stop)) : el("p", {}, W.noRound),
    others(stops),
    finder(),
    el("p", {}, button(W.takeAgain, () => again(show), { class: "quiet" })),
    taken.at ? el("p", { class: "faded" }, fill(W.takenAt, { at: takenWords() })) : null,
  ];
}

async function again(show) {
  await takeRound().catch(() => null);
  show();
}

function stop(each) {
  const site = taken.sites.get(each.site);
  return el("li", {},
    el("h2", {}, el("span", { class: "clock" }, each.arrive ?? ""), ` ${site.name}`),
    siteFacts(site),
    each.note ? el("p", {}, each.note) : null,
    planView(site),
    fanRows(fansOf(site.id), new Set(each.fans), each.why));
}

function takenWords() {
  const at = withOffset(new Date(taken.at));
  return `${dayWords(at)} ${clockWords(at)}`;
}

// What is to be done there, as the round says it behind the fan's tag.
function workWords(fan, why = []) {
  const found = why.find((each) => each.startsWith(`${fan.tag} `));
  return [found?.slice(fan.tag.length + 1), dueWords(fan)].filter(Boolean).join(", ");
}

function fanRows(fans, wanted = new Set(), why = []) {
  const ordered = [...fans].sort((a, b) => wanted.has(b.id) - wanted.has(a.id));
  return el("ul", { class: "fans" }, ordered.map((fan) =>
    el("li", {}, el("a", { href: `#/fan/${fan.id}` },
      el("b", {}, fan.tag), el("span", {}, wanted.has(fan.id) || !wanted.size ? workWords(fan, why) : W.notPlanned),
      el("span", { class: "stand" }, standWords(fan))))));
}

function dueWords(fan) {
  return fan.due?.on ? fill(W.dueOn, { day: dayWords(fan.due.on) }) : "";
}

function standWords(fan) {
  if (draftOf(fan.id)) return W.begun;
  const items = queue.items.filter((item) => item.fan === fan.id);
  const last = items.at(-1);
  if (!last) return "";
  const at = clockWords(last.made_at);
  return { waiting: W.keptHere, refused: W.needsYou, accepted: fill(W.sentAt, { at }) }[last.state];
}

// Sites taken along, and fans begun that no stop shows.
function others(stops) {
  const planned = new Set(stops.map((each) => each.site));
  const sites = [...taken.sites.values()].filter((site) => taken.along.has(site.id) && !planned.has(site.id));
  const shown = new Set([...planned, ...taken.along]);
  const lost = drafts().filter((draft) => !shown.has(draft.site));
  return [
    ...sites.map((site) => el("section", {}, el("h2", {}, site.name), siteFacts(site), planView(site), fanRows(fansOf(site.id)))),
    lost.length ? el("section", {}, el("h2", {}, W.begunElsewhere), el("ul", { class: "fans" }, lost.map((draft) =>
      el("li", {}, el("a", { href: `#/fan/${draft.fan}` }, el("b", {}, draft.tag), el("span", {}, taken.sites.get(draft.site)?.name ?? ""), el("span", { class: "stand" }, W.begun)))))) : null,
  ];
}

function finder() {
  const found = el("div", { role: "status" });
  const search = el("input", { type: "search", autocomplete: "off", enterkeyhint: "search", oninput: look });
  function look() {
    const fans = findFans(search.value).slice(0, 20);
    found.replaceChildren(fans.length ? foundRows(fans) : search.value.trim() ? el("p", {}, W.noFan) : "");
  }
  return el("section", {}, el("h2", {}, W.find), labelled(W.findFan, search), found, more(W.takeSite, siteFinder()));
}

function foundRows(fans) {
  return el("ul", { class: "fans" }, fans.map((fan) =>
    el("li", {}, el("a", { href: `#/fan/${fan.id}` }, el("b", {}, fan.tag), el("span", {}, taken.sites.get(fan.site)?.name ?? "")))));
}

function siteFinder() {
  const found = el("div", { role: "status" });
  const text = el("input", { type: "search", autocomplete: "off" });
  async function ask() {
    try {
      const sites = await findSites(text.value);
      const rows = sites.map((site) => button(`${site.name}, ${site.owner}`, () => along(site), { class: "quiet wide" }));
      found.replaceChildren(...(rows.length ? rows : [el("p", {}, W.noSite)]));
    } catch {
      found.replaceChildren(el("p", {}, W.needsNetwork));
    }
  }
  async function along(site) {
    const pack = await takeSite(site.id).catch(() => null);
    found.replaceChildren(pack ? fanRows(fansOf(site.id)) : el("p", {}, W.needsNetwork));
  }
  return el("div", {}, labelled(W.siteName, text), button(W.search, ask), found);
}
