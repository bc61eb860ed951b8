// One bell for the whole page: what is kept or sent has changed.

const bell = new EventTarget();

export function changed() {
  bell.dispatchEvent(new Event("change"));
}

export function whenChanged(act) {
  bell.addEventListener("change", act);
}
