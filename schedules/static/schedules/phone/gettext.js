// The words of one language: a catalogue as Django serves it, loaded before anything asks for one.

let catalogue = {};

export async function loadWords(language) {
  try {
    const answer = await fetch(`/round/words/${language}.json`);
    if (answer.ok) catalogue = (await answer.json()).catalog ?? {};
  } catch {
    catalogue = {}; // English is written in the code
  }
  document.documentElement.lang = language;
}

export function gettext(text) {
  const found = catalogue[text];
  return (Array.isArray(found) ? found[0] : found) || text;
}

export function ngettext(one, many, count) {
  const found = catalogue[one];
  if (Array.isArray(found)) return found[count === 1 ? 0 : 1] || many;
  return count === 1 ? one : many;
}

// "{count} unsent" with {count: 3}: "3 unsent".
export function fill(text, values) {
  return text.replace(/\{(\w+)\}/g, (whole, name) => (name in values ? String(values[name]) : whole));
}
