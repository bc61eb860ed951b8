// While a week is planned its page looks again by itself, until that is done. Whoever has a form
// open, or reads further down, is told and left alone; without this script a link does the same.

const FIRST_MS = 2000;
const LATER_MS = 15000;
const asked = document.getElementById("asked");
let wait = FIRST_MS;

setTimeout(look, wait);

// Nothing is answered while the search goes on; then we are sent on to what came of it.
async function look() {
  try {
    const answer = await fetch(asked.dataset.look, { redirect: "manual" });
    if (answer.type === "opaqueredirect") return document.hidden ? whenSeen() : done();
    if (!answer.ok && answer.status < 500) return;
  } catch {
    // no network for now
  }
  wait = Math.min(wait * 1.25, LATER_MS);
  setTimeout(look, wait);
}

function whenSeen() {
  document.addEventListener("visibilitychange", done, { once: true });
}

function done() {
  if (isBusy()) tell();
  else show();
}

function isBusy() {
  const seen = asked.getBoundingClientRect();
  const isInView = seen.bottom > 0 && seen.top < innerHeight;
  const isInForm = document.activeElement.closest("form, details");
  return !isInView || isInForm || document.querySelector("details.change[open], .dragging");
}

function tell() {
  asked.replaceChildren(document.getElementById("planned").content.cloneNode(true));
  asked.classList.add("ready");
}

function show() {
  location.assign(asked.dataset.look);
}
