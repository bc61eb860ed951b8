// Two states of one draft that grew from one before: what each page told since goes into the first,
// in place, for the page on view holds its parts. Where both told the same part, the first stays.

const isObject = (value) => value !== null && typeof value === "object" && !Array.isArray(value);
const same = (one, other) => JSON.stringify(one) === JSON.stringify(other);

// Tells whether anything came of it. `base` is the state that both began from, undefined for none.
export function mergeInto(mine, base, theirs) {
  if (Array.isArray(mine)) return mergeRows(mine, base ?? [], theirs);
  const names = new Set([...Object.keys(mine), ...Object.keys(theirs)]);
  return [...names].map((name) => mergePart(mine, name, base?.[name], theirs[name])).some(Boolean);
}

function mergePart(mine, name, before, told) {
  const own = mine[name];
  if (same(told, before) || same(told, own)) return false;
  if ((isObject(own) && isObject(told)) || (Array.isArray(own) && Array.isArray(told))) return mergeInto(own, before, told);
  if (!same(own, before)) return false;
  if (told === undefined) delete mine[name];
  else mine[name] = structuredClone(told);
  return true;
}

// Rows are known by their id, else by their place; words in a list by themselves. What one page took
// out stays out, unless the other wrote in it since.
function mergeRows(mine, base, theirs) {
  const [own, before, told] = [mine, base, theirs].map(byKey);
  let isNew = false;
  for (const [key, row] of told) {
    if (own.has(key)) isNew = (isObject(row) && isObject(own.get(key)) && mergeInto(own.get(key), before.get(key), row)) || isNew;
    else if (!same(row, before.get(key))) isNew = mine.push(structuredClone(row)) > 0;
  }
  for (const [key, row] of own) {
    if (told.has(key) || !same(row, before.get(key))) continue;
    mine.splice(mine.indexOf(row), 1);
    isNew = true;
  }
  return isNew;
}

const byKey = (rows) => new Map(rows.map((row, place) => [isObject(row) ? row.id ?? place : row, row]));
