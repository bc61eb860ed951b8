// Photos on the page: taken, shown by drawing (no address of a picture is made), taken out.

import { here } from "./device.js";
import { button, el } from "./dom.js";
import { addPhoto, photosOf, pictureOf, removePhoto } from "./photos.js";
import { fill } from "./gettext.js";
import { thumbsOf } from "./store.js";
import { W } from "./words.js";

export async function draw(canvas, blob, longest = 160) {
  try {
    const picture = await createImageBitmap(blob);
    const scale = Math.min(1, longest / Math.max(picture.width, picture.height));
    canvas.width = picture.width * scale;
    canvas.height = picture.height * scale;
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    picture.close();
  } catch {
    canvas.remove();
  }
}

export function photoAdder(draft, words = {}) {
  const shown = el("ul", { class: "pictures" });
  const told = el("p", { role: "status" });
  const input = el("input", { type: "file", accept: "image/*", capture: "environment", class: "unseen", tabindex: "-1", "aria-hidden": "true", onchange: take });
  const belongs = (photo) => (words.finding ? photo.finding === words.finding : !photo.finding && (!words.caption || photo.caption === words.caption));
  async function take() {
    const files = [...input.files];
    input.value = "";
    for (const file of files) await keepOne(file);
    redraw();
  }
  async function keepOne(file) {
    told.textContent = W.photoWorking;
    try {
      await addPhoto(draft, file, words);
      told.textContent = "";
    } catch {
      told.textContent = W.photoNotKept;
    }
  }
  async function redraw() {
    const photos = (await photosOf(draft.id)).filter(belongs);
    shown.replaceChildren(...photos.map((photo) => item(photo, redraw)));
  }
  redraw();
  return el("div", { class: "photos" }, shown, button(W.takePhoto, () => input.click(), { class: "quiet" }), input, told);
}

function item(photo, redraw) {
  const canvas = el("canvas", { role: "img", "aria-label": photo.caption || fill(W.photoOf, { tag: photo.fan }) });
  pictureOf(photo).then((blob) => draw(canvas, blob));
  const out = button(W.remove, async () => { await removePhoto(photo); redraw(); }, { class: "as-link" });
  return el("li", {}, canvas, out);
}

// Small photos of the record, from what was taken along with the round.
export function thumbnails(fan) {
  const each = (fan.thumbnails ?? []).map((one) => {
    const canvas = el("canvas", { role: "img", "aria-label": one.caption || fill(W.photoOf, { tag: fan.tag }) });
    thumbnail(one.url).then((blob) => (blob ? draw(canvas, blob) : canvas.remove()));
    return el("li", {}, canvas, el("small", {}, one.caption ?? ""));
  });
  return each.length ? el("ul", { class: "pictures" }, each) : null;
}

const cacheName = () => thumbsOf(here.person.id);

async function thumbnail(url) {
  const known = await caches.match(url, { cacheName: cacheName() }).catch(() => null);
  const answer = known ?? (await fetch(url).catch(() => null));
  return answer?.ok ? answer.blob() : null;
}

export async function takeThumbnails(fans) {
  if (!("caches" in window)) return;
  const cache = await caches.open(cacheName());
  for (const { url } of fans.flatMap((fan) => fan.thumbnails ?? [])) {
    if (await cache.match(url)) continue;
    const answer = await fetch(url).catch(() => null);
    if (answer?.ok) await cache.put(url, answer);
  }
}

export function wipeThumbnails(personId) {
  return "caches" in window ? caches.delete(thumbsOf(personId)) : null;
}
