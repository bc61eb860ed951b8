// A stop, or a site left out, dragged to a place in a round or to somebody's day. What is let go of
// fills in a copy of its own form and sends that: the page then tells what it costs and breaks.

const EDGE_PX = 70; // so near an edge the page begins to move
const FASTEST_PX = 18; // and by no more than this in each picture
const SLACK_PX = 5; // a hand that trembles drags nothing yet

const words = document.getElementById("drag");
const [grip, hint] = words.content.children;
let drag = null;

for (const form of document.querySelectorAll("details.change form")) {
  if (form.elements.technician) giveGrip(form);
}

function giveGrip(form) {
  const item = form.closest("li");
  const handle = grip.cloneNode(true);
  (item.querySelector(".clock") ?? item.querySelector("h3")).append(handle);
  handle.addEventListener("pointerdown", (event) => {
    if (event.button !== 0 || drag) return;
    event.preventDefault();
    handle.setPointerCapture(event.pointerId);
    drag = { form, item, handle, pointer: event.pointerId, x: event.clientX, y: event.clientY };
  });
  handle.addEventListener("pointermove", follow);
  handle.addEventListener("pointerup", letGo);
  handle.addEventListener("lostpointercapture", end);
  handle.addEventListener("contextmenu", (event) => event.preventDefault());
}

document.addEventListener("keydown", (event) => {
  if (event.key === "Escape" && drag) end();
});

function follow(event) {
  if (!drag || event.pointerId !== drag.pointer) return;
  const far = Math.hypot(event.clientX - drag.x, event.clientY - drag.y);
  if (!drag.tray && far < SLACK_PX) return;
  if (!drag.tray) begin();
  drag.x = event.clientX;
  drag.y = event.clientY;
  aim();
}

function begin() {
  const { item } = drag;
  item.classList.add("dragged");
  document.body.classList.add("dragging");
  drag.carried = document.createElement("p");
  drag.carried.className = "carried";
  drag.carried.textContent = item.querySelector("h4 a, h3 a").textContent;
  drag.tray = document.createElement("div");
  drag.tray.className = "tray glance";
  drag.tray.append(hint.cloneNode(true));
  // nobody works on the days left: then there is only the sheet to let go over
  const days = document.querySelector(".glance dl");
  if (days) drag.tray.append(days.cloneNode(true));
  for (const added of [drag.tray, drag.carried]) {
    added.setAttribute("aria-hidden", "true");
    document.body.append(added);
  }
  requestAnimationFrame(scroll);
}

function aim() {
  const under = document.elementFromPoint(drag.x, drag.y);
  carry(under?.closest(".tray")?.getBoundingClientRect());
  drag.mark?.classList.remove("here", "before", "after");
  drag.target = targetAt(under);
  drag.mark = drag.target?.mark;
  drag.mark?.classList.add(drag.target.how);
}

// By the pointer; over the tray beside that, so as not to lie on the names.
function carry(tray) {
  const isBelow = tray?.left === 0;
  const side = drag.x > innerWidth / 2 ? "-100% - 2rem" : "0px";
  const x = `${tray && !isBelow ? tray.left : drag.x}px + ${side}`;
  const y = isBelow ? `${tray.top}px - 1.75rem` : `${drag.y}px`;
  drag.carried.style.transform = `translate(calc(${x}), calc(${y}))`;
}

// Where it would go: a place in a round's order, or with none a day of somebody, wherever is best.
function targetAt(element) {
  const named = element?.closest(".glance [data-technician]");
  if (named) return known({ ...named.dataset, mark: named, how: "here" });
  const list = element?.closest(".round")?.querySelector(".stops[data-technician]");
  if (!list) return null;
  const rows = [...list.children].filter((row) => row !== drag.item);
  const place = rows.filter((row) => middle(row) < drag.y).length;
  const own = [...list.children].indexOf(drag.item);
  if (!rows.length || place === own) return null;
  const mark = rows[place] ?? rows.at(-1);
  return known({ ...list.dataset, place, mark, how: rows[place] ? "before" : "after" });
}

function middle(row) {
  const box = row.getBoundingClientRect();
  return box.top + box.height / 2;
}

// Only what the form itself could ask for.
function known(target) {
  const offers = (name) =>
    [...drag.form.elements[name].options].some((option) => option.value === target[name]);
  return offers("technician") && offers("day") ? target : null;
}

function scroll() {
  if (!drag?.tray) return;
  const box = drag.tray.getBoundingClientRect();
  const isOver = document.elementFromPoint(drag.x, drag.y)?.closest(".tray");
  const isBelow = box.left === 0;
  const [moved, top, bottom] = isOver
    ? [drag.tray, box.top, box.bottom]
    : [window, 0, isBelow ? box.top : innerHeight];
  const over = Math.min(0, drag.y - top - EDGE_PX) + Math.max(0, drag.y - bottom + EDGE_PX);
  if (over) {
    const step = Math.sign(over) * Math.min(FASTEST_PX, Math.abs(over) / 3);
    moved.scrollBy({ top: step, behavior: "instant" });
    aim();
  }
  requestAnimationFrame(scroll);
}

function letGo(event) {
  if (!drag || event.pointerId !== drag.pointer) return;
  const { form, target } = drag;
  end();
  if (target) send(form, target);
}

function end() {
  if (!drag) return;
  const { handle, item, carried, tray, mark, pointer } = drag;
  drag = null;
  if (handle.hasPointerCapture(pointer)) handle.releasePointerCapture(pointer);
  mark?.classList.remove("here", "before", "after");
  item.classList.remove("dragged");
  document.body.classList.remove("dragging");
  carried?.remove();
  tray?.remove();
}

// A copy, so that the form is as it was for whoever comes back to this page.
function send(form, { technician, day, place }) {
  const copy = form.cloneNode(true);
  copy.hidden = true;
  document.body.append(copy);
  copy.elements.technician.value = technician;
  copy.elements.day.value = day;
  if (place !== undefined) {
    const position = document.createElement("input");
    position.type = "hidden";
    position.name = "position";
    position.value = place;
    copy.append(position);
  }
  copy.requestSubmit(copy.querySelector(".to button"));
}
