// The phone's time with its offset, as records carry it, and days as people read them.

import { clock } from "./server.js";

const two = (number) => String(Math.floor(Math.abs(number))).padStart(2, "0");

// 2026-11-26T08:12:05-06:00
export function withOffset(at) {
  const offset = -at.getTimezoneOffset();
  const day = `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
  const time = `${two(at.getHours())}:${two(at.getMinutes())}:${two(at.getSeconds())}`;
  return `${day}T${time}${offset < 0 ? "-" : "+"}${two(offset / 60)}:${two(offset % 60)}`;
}

// Today by the server's clock as far as it is known: a phone hours off would ask for another day.
export function today() {
  return withOffset(new Date(Date.now() - (clock.skewMs ?? 0))).slice(0, 10);
}

const DAY = { weekday: "short", day: "numeric", month: "short", year: "numeric", timeZone: "UTC" };
let days; // one for the page's language: making it takes longer than drawing a row

// Thu 26 Nov 2026, of a day as written: no zone moves it.
export function dayWords(iso) {
  if (!iso) return "";
  days ??= new Intl.DateTimeFormat(document.documentElement.lang, DAY);
  const parts = days.formatToParts(new Date(`${iso.slice(0, 10)}T00:00:00Z`));
  const part = (type) => parts.find((each) => each.type === type).value;
  return ["weekday", "day", "month", "year"].map(part).join(" ");
}

export function clockWords(iso) {
  return iso?.slice(11, 16) ?? "";
}

// "3 h 05 min" of milliseconds.
export function spanWords(ms) {
  const minutes = Math.round(Math.abs(ms) / 60000);
  return minutes < 60 ? `${minutes} min` : `${Math.floor(minutes / 60)} h ${two(minutes % 60)} min`;
}
