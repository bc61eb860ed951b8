// Something that happened between visits, as the documented record of an event
// (visits/payload/__init__.py); what that has no place for is told in its note.

import { appVersion } from "./device.js";
import { draftOf } from "./drafts.js";
import { dayWords, today, withOffset } from "./moments.js";
import { taken } from "./packs.js";
import { queue } from "./queue.js";
import { fill } from "./gettext.js";
import { H } from "./happening_words.js";

const LONGEST_UNKNOWN_DAYS = 30; // the record takes a cleaning of at most 31
const WHOM = { hood_cleaning: "system", breaker_reset: "fan" };

export const usualWhom = (kind) => WHOM[kind] ?? "site";

export function blankHappening(fan, form) {
  return {
    id: crypto.randomUUID(), type: "event", fan: fan.id, tag: fan.tag, site: fan.site, system: fan.system,
    kind: "", whom: "", day: "", is_day_known: true, until: "", since: sinceOf(fan), crew: "", tips: {}, cleaned: {}, resets: "",
    running_on: "", note: "", at: "", form_version: form.version, app_version: appVersion(),
  };
}

// Since when a day that nobody knows may lie: the last visit, but no longer than records take.
function sinceOf(fan) {
  const oldest = new Date(Date.parse(today()) - LONGEST_UNKNOWN_DAYS * 864e5).toISOString().slice(0, 10);
  const last = fan.record?.[0]?.on ?? "";
  return last > oldest && last <= today() ? last : oldest;
}

// When it was over at the latest: a minute before one came, so that the look that is begun sees what
// it left.
export function overAt(fan) {
  const began = draftOf(fan.id)?.began_at ?? "";
  return withOffset(new Date((began.length > 10 ? Date.parse(began) : Date.now()) - 60000));
}

export function eventOf(draft) {
  const record = {
    type: "event", id: draft.id, kind: draft.kind, site_id: draft.site, ...whom(draft), ...times(draft),
    ...(draft.kind === "hood_cleaning" ? cleaning(draft) : {}),
    resets: draft.kind === "breaker_reset" && draft.resets !== "" ? Number(draft.resets) : "",
    running_on: draft.running_on, note: noteOf(draft), supersedes: draft.supersedes ?? "", correction_reason: draft.correction_reason ?? "",
  };
  return Object.fromEntries(Object.entries(record).filter(([, value]) => value !== "" && !(Array.isArray(value) && !value.length)));
}

function whom(draft) {
  if (draft.whom === "fan") return { fan: draft.tag };
  return draft.whom === "system" ? { system: systemOf(draft) } : {};
}

export function systemOf(draft) {
  return taken.sites.get(draft.site)?.systems?.find((each) => each.id === draft.system)?.name ?? "";
}

function times(draft) {
  if (!draft.is_day_known) return { started: draft.since, ended: draft.at };
  const last = draft.until || draft.day;
  return { started: draft.day, ended: last === draft.at.slice(0, 10) ? draft.at : draft.until };
}

const HINGED = ["hinge", "no_hinge"];

function cleaning(draft) {
  const places = (wanted) => Object.entries(draft.cleaned).filter(([place, was]) => was === wanted && place !== "wheel").map(([place]) => place);
  return {
    crew: draft.crew.trim(), places_cleaned: places("yes"), places_not_cleaned: places("no"),
    wheel_cleaned: draft.cleaned.wheel === "yes" || "", tipped: Object.keys(draft.tips).filter((tag) => HINGED.includes(draft.tips[tag])),
  };
}

function noteOf(draft) {
  const tips = draft.kind === "hood_cleaning" ? Object.entries(draft.tips).filter(([, how]) => ["no_hinge", "no"].includes(how)) : [];
  const told = tips.map(([tag, how]) => fill(how === "no" ? H.noteNotTipped : H.noteNoHinge, { tag }));
  const isWheelLeft = draft.kind === "hood_cleaning" && draft.cleaned.wheel === "no";
  return [draft.note.trim(), draft.is_day_known ? "" : H.noteNoDay, ...told, isWheelLeft ? H.noteWheel : ""].filter(Boolean).join("\n");
}

// "Hood cleaning, Fri 20 Nov 2026", for whoever looks whether it was told.
export function happeningWords(form, draft) {
  const kind = (form?.terms?.happenings ?? []).find(([code]) => code === draft.kind)?.[1] ?? draft.kind;
  return [kind, draft.is_day_known ? dayWords(draft.day) : H.dayUnknown].filter(Boolean).join(", ");
}

// Those told on this phone that are about a fan and did not come with the round yet.
export function toldHere(fan) {
  const known = new Set((fan.happened ?? []).map((each) => each.id));
  const replaced = new Set(queue.items.map((item) => item.draft.supersedes).filter(Boolean));
  return queue.items.filter((item) => item.type === "event" && isAbout(item.draft, fan) && !known.has(item.id) && !replaced.has(item.id));
}

// What is to be looked at after those, as the server asks it once it knows of them.
export function looksAfter(fan, form) {
  return toldHere(fan).flatMap((item) => form.after?.[item.kind] ?? []);
}

function isAbout(draft, fan) {
  if (draft.site !== fan.site) return false;
  return draft.whom === "site" || (draft.whom === "system" ? draft.system === fan.system : draft.fan === fan.id);
}
