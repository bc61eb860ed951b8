// Photos: shrunk on the phone, kept until the server has them.

import { changed } from "./changes.js";
import { here } from "./device.js";
import { withOffset } from "./moments.js";

const LONGEST_PX = 2048; // the server keeps no more
const QUALITY = 0.8;

async function shrink(file) {
  const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
  const scale = Math.min(1, LONGEST_PX / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(picture.width * scale));
  canvas.height = Math.max(1, Math.round(picture.height * scale));
  canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  const small = await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", QUALITY));
  return small && (small.size < file.size || file.type !== "image/jpeg") ? small : file;
}

// Raises where it can be neither drawn nor kept: the caller says so.
export async function addPhoto(draft, file, { caption = "", finding = "", subject = "" } = {}) {
  const bytes = await (await shrink(file)).arrayBuffer();
  const photo = {
    id: crypto.randomUUID(), visit: draft.id, fan: draft.tag, site: draft.site, caption, finding, subject,
    taken_at: withOffset(new Date()), state: "draft", problem: null,
  };
  await here.store.change([["photos", "put", photo], ["pixels", "put", { id: photo.id, bytes }]]);
  changed();
  return photo;
}

export async function photosOf(visitId) {
  return (await here.store.all("photos")).filter((photo) => photo.visit === visitId);
}

export const without = (photo) => [["photos", "delete", photo.id], ["pixels", "delete", photo.id]];

export async function removePhoto(photo) {
  await here.store.change(without(photo));
  changed();
}

export async function pictureOf(photo) {
  const { bytes } = await here.store.get("pixels", photo.id);
  return new Blob([bytes], { type: "image/jpeg" });
}
