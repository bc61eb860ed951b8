// The view drawn anew for what another page told, and what stands open in it meanwhile: never under
// a finger, nor while somebody types.

const TYPED = "input:not([type=checkbox]), textarea, select";

let isDue = false;
let isPressed = false;
let free = () => false;
let act = () => {};

// `main` holds the view; `show` draws it anew.
export function drawWhenFree(main, show) {
  free = () => !isPressed && !(document.hasFocus() && main.contains(document.activeElement) && document.activeElement.matches(TYPED));
  act = show;
  main.addEventListener("focusout", later);
  for (const [name, pressed] of [["pointerdown", true], ["pointerup", false], ["pointercancel", false]]) {
    document.addEventListener(name, () => { isPressed = pressed; later(); });
  }
}

export function drawOver() {
  isDue = true;
  later();
}

// After whatever the same tap does.
const later = () => setTimeout(() => {
  if (!isDue || !free()) return;
  isDue = false;
  act();
});

// What was open and where one was, to be put back where the view is still made of the same.
export function heldOver(main) {
  const all = (what) => [...main.querySelectorAll(what)];
  const open = all("details").map((each) => each.open);
  const parts = "a, button, input, select, textarea, summary";
  const before = all(parts);
  const place = before.indexOf(document.activeElement);
  const top = window.scrollY;
  return () => {
    const made = all("details");
    if (made.length === open.length) made.forEach((each, number) => (each.open = open[number]));
    const now = all(parts);
    if (now.length === before.length) now[place]?.focus({ preventScroll: true });
    if (open.includes(true)) setTimeout(() => window.scrollTo(0, top)); // opened, some are made only now
  };
}
