// Asks the server; tells apart that it was not reached, that nobody is signed in, and what it says.

export class Unreached extends Error {}
export class SignedOut extends Error {}

const PATIENCE_MS = 60000;
export const clock = { skewMs: null };

function csrf() {
  return document.cookie.match(/(?:^|; )csrftoken=([^;]+)/)?.[1] ?? "";
}

// How far the phone's clock is ahead of the server's, by the Date header (whole seconds).
function noteClock(answer, sentAt) {
  const date = Date.parse(answer.headers.get("Date") ?? "");
  if (!Number.isNaN(date)) clock.skewMs = (sentAt + Date.now()) / 2 - date;
}

export async function ask(address, options = {}) {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), PATIENCE_MS);
  const sentAt = Date.now();
  try {
    const answer = await fetch(address, {
      credentials: "same-origin", cache: "no-store", signal: stop.signal, ...options,
    });
    noteClock(answer, sentAt);
    return answer;
  } catch (error) {
    throw new Unreached(String(error));
  } finally {
    clearTimeout(timer);
  }
}

// The cookie is read at the moment of sending: signing in again changes it.
export async function post(address, body, headers = {}) {
  if (!csrf()) await ask("/round/", { redirect: "manual" });
  const whole = { Accept: "application/json", "X-CSRFToken": csrf(), ...headers };
  return ask(address, { method: "POST", body, headers: whole });
}

export async function read(address, headers = {}) {
  const answer = await ask(address, { headers: { Accept: "application/json", ...headers } });
  if (answer.status === 401 || answer.status === 403) throw new SignedOut();
  return answer;
}

// Whose session this browser has; SignedOut where nobody's.
export async function whoIsSignedIn() {
  const answer = await read("/api/v1/round/person");
  const who = answer.ok ? await toldBy(answer) : null;
  if (!Number.isInteger(who?.id)) throw new Unreached(String(answer.status));
  return who;
}

// What it says; a page that some other network puts in between is no answer.
export async function toldBy(answer) {
  try {
    return await answer.json();
  } catch (error) {
    throw new Unreached(String(error));
  }
}

export async function problemOf(answer) {
  try {
    return { status: answer.status, ...(await answer.json()) };
  } catch {
    return { status: answer.status, detail: "" };
  }
}
