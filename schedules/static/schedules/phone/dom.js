// Elements made in one call; texts are texts, never markup.

const SVG = "http://www.w3.org/2000/svg";

export function el(tag, properties = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(properties)) {
    if (value === undefined || value === null || value === false) continue;
    if (name.startsWith("on")) made.addEventListener(name.slice(2), value);
    else if (name === "class") made.className = value;
    else if (name === "value") made.value = value;
    else if (name in made && typeof value === "boolean") made[name] = value;
    else made.setAttribute(name, value);
  }
  made.append(...children.flat(3).filter((child) => child || child === 0));
  return made;
}

export function button(words, act, properties = {}) {
  return el("button", { type: "button", onclick: act, ...properties }, words);
}

// The same of a drawing.
export function svg(tag, properties = {}, ...children) {
  const made = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(properties)) made.setAttribute(name, value);
  made.append(...children.flat(2));
  return made;
}

let serial = 0;

// A label over its field; the field is named by it.
export function labelled(words, field, hint) {
  field.id ||= `field-${++serial}`;
  const told = hint ? el("small", { id: `${field.id}-hint` }, hint) : null;
  if (told) field.setAttribute("aria-describedby", told.id);
  return el("p", { class: "asked" }, el("label", { for: field.id }, words), field, told);
}

export function choice(pairs, chosen, act, properties = {}) {
  return el("select", { onchange: (event) => act(event.target.value), ...properties }, ...options(pairs, chosen));
}

export function options(pairs, chosen) {
  return pairs.map(([code, words]) => el("option", { value: code, selected: code === chosen }, words));
}

// A row of large buttons of which one is pressed; pressing it again lets it go, where it may be left open.
export function pick(pairs, chosen, act, { stays = false, ...properties } = {}) {
  const row = el("div", { class: "picks", role: "group", onclick: press, ...properties }, pairs.map(([code, words]) =>
    el("button", { type: "button", "data-code": code, "aria-pressed": String(code === chosen) }, words)));
  function press({ target }) {
    const pressed = target.closest("button");
    if (!pressed) return;
    const again = pressed.getAttribute("aria-pressed") === "true";
    if (again && stays) return;
    const code = again ? "" : pressed.dataset.code;
    show(row, code);
    act(code);
  }
  return row;
}

// As if it had been pressed by hand.
export function show(row, code) {
  for (const one of row.children) {
    const pressed = String(one.dataset.code === code);
    if (one.getAttribute("aria-pressed") !== pressed) one.setAttribute("aria-pressed", pressed);
  }
}

export function verdict(code, words) {
  const name = code.replace("_", "-");
  const use = document.createElementNS(SVG, "use");
  use.setAttribute("href", `#mark-${name}`);
  const drawn = document.createElementNS(SVG, "svg");
  drawn.setAttribute("aria-hidden", "true");
  drawn.append(use);
  return el("span", { class: `verdict verdict-${name}` }, drawn, words);
}

// Something opened below a line that is always there.
export function more(words, ...children) {
  return el("details", {}, el("summary", {}, words), ...children);
}

// The same for what is long to make: made when it is opened first.
export function moreLater(words, make) {
  const made = el("details", { ontoggle: open }, el("summary", {}, words));
  function open() {
    if (made.open && made.children.length === 1) made.append(...make().flat(3).filter(Boolean));
  }
  return made;
}

export function list(texts, properties = {}) {
  return texts.length ? el("ul", properties, ...texts.map((text) => el("li", {}, text))) : null;
}
