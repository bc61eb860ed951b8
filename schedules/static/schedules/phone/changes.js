// Two bells for the whole page: what is kept or sent has changed; what another page told of a fan
// has come in.

const bell = new EventTarget();

export function changed() {
  bell.dispatchEvent(new Event("change"));
}

export function whenChanged(act) {
  bell.addEventListener("change", act);
}

export function tookOver(fan) {
  bell.dispatchEvent(new CustomEvent("over", { detail: fan }));
}

export function whenTookOver(act) {
  bell.addEventListener("over", ({ detail }) => act(detail));
}
