// The page: which view stands under which address, and what goes on whatever is looked at.

import { whenChanged, whenTookOver } from "./changes.js";
import { askToKeep, become, canWorkOffline, here, isSigningOut, noteSignOut, rememberClock } from "./device.js";
import { el } from "./dom.js";
import { recallDrafts } from "./drafts.js";
import { line } from "./line.js";
import { recall, refreshAlong, takeFan, taken, takeRound } from "./packs.js";
import { recallQueue } from "./queue.js";
import { forgetOldAnswers, say, send, sendWhenPossible } from "./sending.js";
import { post, SignedOut, Unreached, whoIsSignedIn } from "./server.js";
import { elsewhere, keeping } from "./store.js";
import { arriveView } from "./arrive_view.js";
import { happenedView } from "./happenings_view.js";
import { roundView } from "./round_view.js";
import { phoneView } from "./phone_view.js";
import { slipView } from "./slip_view.js";
import { deadView, leaveView, liveView, lookView } from "./step_views.js";
import { summaryView } from "./summary_view.js";
import { tellView } from "./tell_view.js";
import { recordView, unsentView } from "./unsent_view.js";
import { takeThumbnails } from "./pictures.js";
import { strangerView, takingView } from "./stranger_view.js";
import { drawOver, drawWhenFree, heldOver } from "./over.js";
import { W } from "./words.js";

const root = document.getElementById("round");
const top = el("header", { class: "top" });
const main = el("main", { id: "page", tabindex: "-1" });

const STEPS = {
  "": arriveView, look: lookView, live: liveView, dead: deadView, leave: leaveView, tell: tellView,
  sum: summaryView, slip: slipView, happened: happenedView,
};
let shown = "";
let said = "";
let asking = true; // whose page this is and which round, as the page begins

export async function start(person) {
  takeAddress();
  root.replaceChildren(top, main);
  await rememberClock();
  if (person) {
    await become(person);
    await recallAll();
  }
  window.addEventListener("hashchange", () => show()); // popstate comes with each: all would be drawn twice
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && takeOver(["drafts"]));
  elsewhere.addEventListener("change", ({ detail }) => takeOver(detail));
  whenTookOver((fan) => showOver(new Set([fan])));
  drawWhenFree(main, () => show());
  whenChanged(showLine);
  keeping.addEventListener("change", showLine);
  show();
  showLine();
  if (canWorkOffline()) await watchForNewPage();
  await morning();
}

// What another page of this browser has kept or sent, in stores of these names.
async function takeOver(stores) {
  if (!here.store) return;
  if (stores.includes("queue")) await recallQueue();
  if (stores.includes("drafts")) showOver(await recallDrafts());
}

function showOver(fans) {
  if (fans.size) showLine();
  if (fans.has(route().id)) drawOver();
}

async function recallAll() {
  await recall();
  await recallDrafts();
  await recallQueue();
  await forgetOldAnswers();
}

// /round/fan/31/ of a label is this page opened at a fan.
function takeAddress() {
  const label = location.pathname.match(/^\/round\/fan\/(\d+)\/$/);
  if (label) history.replaceState(null, "", `/round/#/fan/${label[1]}`);
}

// Whose page this is now, the round of the day, and on with what waits.
async function morning() {
  try {
    if (await isSigningOut()) {
      await post("/logout/", "");
      await noteSignOut(false);
    }
    const who = await whoIsSignedIn();
    const isNew = who.id !== here.person?.id;
    await become(who);
    if (isNew) {
      await recallAll();
      say("idle");
    }
    if (mustSpeakAnew(who.language)) return location.reload();
    await takeRound();
    await recallAll();
    askToKeep();
    refreshAlong().then(() => takeThumbnails([...taken.fans.values()]), () => {}); // another day will do
  } catch (error) {
    if (error instanceof SignedOut) say("signed_out");
    else if (error instanceof Unreached) say("unreached");
    else throw error;
  } finally {
    asking = false;
    show(true);
    await sendWhenPossible();
  }
}

// Words are taken once, as the page begins: another language begins it again, once where even that
// does not help because nothing is kept here.
function mustSpeakAnew(language) {
  if (!language || language === document.documentElement.lang) return false;
  const known = sessionStorage.getItem("spoken");
  sessionStorage.setItem("spoken", language);
  return known !== language;
}

function route() {
  const [, place = "", id = "", step = "", field = ""] = location.hash.split("/");
  return { place, id: Number(id), step, field };
}

async function show(again = false) {
  const { place, id, step } = route();
  // Whoever types is not interrupted by what arrives meanwhile.
  if (again && (shown === location.hash) && main.contains(document.activeElement) && document.activeElement !== main) return;
  const address = location.hash;
  const made = await viewOf(place, id, step);
  if (location.hash !== address) return; // gone on meanwhile
  const restore = shown === address ? heldOver(main) : () => {};
  draw([made].flat(2).filter(Boolean), shown === address);
  restore();
  main.dataset.at = address;
  document.title = `${main.querySelector("h1")?.textContent ?? W.round} · Roofround`;
  if (shown !== location.hash) {
    window.scrollTo(0, 0);
    main.focus({ preventScroll: true });
  }
  shown = location.hash;
}

const FIRST = 6; // parts of a view that fill the first screen of a phone
let drawn = 0;

// What lies below the first screen comes after it, a part at a time, so that no tap waits for the
// whole: what a view hands over as a function is made then too. Drawn anew all comes at once, or
// the page would jump.
function draw(parts, atOnce) {
  const mine = ++drawn;
  const isLater = (part, place) => part instanceof Function || (place >= FIRST && !part.classList?.contains("next"));
  const later = [];
  main.replaceChildren(...parts.map((part, place) => {
    if (!isLater(part, place)) return part;
    later.push([document.createComment(""), part]);
    return later.at(-1)[0];
  }));
  main.setAttribute("aria-busy", "true");
  function next() {
    if (mine !== drawn) return;
    const [mark, part] = later.shift() ?? [];
    if (!mark) return allDrawn();
    mark.replaceWith(...[part instanceof Function ? part() : part].flat());
    if (atOnce) next();
    else setTimeout(next);
  }
  if (atOnce || !later.length) next();
  else requestAnimationFrame(() => setTimeout(next));
}

// An address may name the field that is wanted: #/fan/31/look/hinge.
function allDrawn() {
  main.removeAttribute("aria-busy");
  const wanted = main.querySelector(`[data-field="${CSS.escape(route().field)}"]`);
  if (!wanted) return;
  wanted.scrollIntoView({ block: "center" });
  wanted.querySelector("button, input")?.focus({ preventScroll: true });
}

async function viewOf(place, id, step) {
  if (!here.person) return asking ? takingView() : strangerView();
  if (place === "unsent") return id ? recordView(id, show) : unsentView(show);
  if (place === "phone") return phoneView(show);
  if (place !== "fan") return asking && !taken.sites.size ? takingView() : roundView(show);
  if (!taken.fans.has(id) && !(await fetchFan(id))) return strangerView(W.fanNotHere);
  const fan = taken.fans.get(id);
  const view = STEPS[step] ?? arriveView;
  return view(fan, taken.sites.get(fan.site), taken.form, show);
}

async function fetchFan(id) {
  try {
    return await takeFan(id);
  } catch {
    return false;
  }
}

// Told anew only where it says something else: it is read out to whoever listens.
function showLine() {
  const made = line(send);
  const told = made.map((each) => each.outerHTML).join("");
  if (told !== said) top.replaceChildren(...made);
  said = told;
}

// A new version takes its place at once; whoever is typing reloads when it suits.
async function watchForNewPage() {
  let had = Boolean(navigator.serviceWorker.controller);
  navigator.serviceWorker.addEventListener("controllerchange", () => {
    if (had) document.documentElement.dataset.newer = "yes";
    had = true;
    showLine();
  });
  const known = await navigator.serviceWorker.register("/round/sw.js", { scope: "/round/" }).catch(() => null);
  document.documentElement.dataset.offline = known ? "yes" : "no";
  if (known) navigator.serviceWorker.ready.then(() => showLine());
}
