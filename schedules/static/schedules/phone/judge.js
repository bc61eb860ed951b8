// Numbers held against what the server worked out for this fan; no rule of its own.

const NUMBER = /^[-+]?(\d+([.,]\d*)?|[.,]\d+)$/;

// The number somebody typed, its decimals behind a point or a comma; null where it is none yet.
export function numberOf(text) {
  const trimmed = String(text ?? "").trim();
  return NUMBER.test(trimmed) ? Number(trimmed.replace(",", ".")) : null;
}

// What somebody typed that is no number: it goes into the notes, never away.
export function isNoNumber(reading) {
  return Boolean(reading?.text?.trim()) && numberOf(reading.text) === null;
}

// What a meter shows over its range.
export function isOverRange(text) {
  return /^[o0]\.?l\.?$/i.test(text.trim());
}

// The value in the registry's unit; null where nothing is typed.
export function canonical(field, reading) {
  const value = numberOf(reading?.text);
  if (value === null) return null;
  const unit = (field?.units ?? []).find((each) => each.unit === reading.unit);
  return unit ? value * unit.factor + (unit.offset ?? 0) : value;
}

export function isImplausible(field, value) {
  return value !== null && (value < (field.low ?? -Infinity) || value > (field.high ?? Infinity));
}

// By what a reading is judged as it was typed: the way that fits its unit, its meter and the lines,
// else the usual one.
export function wayOf(known, reading, draft, form) {
  const context = { ...known?.context, ...filled(draft.context) };
  const told = (when) => Object.entries(when).every(([name, wanted]) => {
    if (name === "unit") return reading?.unit === wanted;
    if (name === "volts") return linesFit(wanted, draft, form);
    if (name === "less") return exact(wanted, draft, form) !== null;
    return (context[name] ?? "") === wanted;
  });
  const fitting = (known?.variants ?? []).filter((way) => told(way.when));
  const beside = fitting.find((way) => way.when.volts || way.when.less);
  return beside ?? fitting.sort((a, b) => keys(b) - keys(a))[0] ?? known ?? {};
}

const keys = (way) => Object.keys(way.when).length;
const filled = (object) => Object.fromEntries(Object.entries(object ?? {}).filter(([, value]) => value !== ""));

// A figure that was read as it stands; null for none, and for one above or below which it lies.
function exact(name, draft, form) {
  const reading = draft.readings?.[name];
  return reading?.qualifier ? null : canonical(form.fields[name], reading);
}

function linesFit({ fields, mean: [low, high], near }, draft, form) {
  const volts = fields.map((name) => exact(name, draft, form)).filter((value) => value !== null);
  if (!volts.length) return false;
  const middle = mean(volts);
  if (middle <= (low ?? -Infinity) || middle > (high ?? Infinity)) return false;
  return !near || near.fields.every((name) => isBetween(exact(name, draft, form), near.between, form.nearly));
}

const isBetween = (value, [low, high], nearly) =>
  value !== null && value >= low * (1 - nearly) && value <= high * (1 + nearly);

// What must be said before a reading can be judged, and is not: rms or peak, which meter.
export function unsaid(known, draft) {
  const wanted = Object.entries(known?.context ?? {}).filter(([, usual]) => usual);
  return wanted.map(([name]) => name).filter((name) => !draft.context?.[name]);
}

// The verdict on a reading as typed; "" where none is told or its sign leaves it open.
export function judged(known, field, reading, draft, form) {
  const way = wayOf(known, reading, draft, form);
  const less = way.when?.less ? exact(way.when.less, draft, form) : 0;
  const shown = way.when?.unit ? numberOf(reading?.text) : canonical(field, reading);
  const value = shown === null ? null : shown - less;
  const { qualifier = "" } = reading ?? {};
  if (qualifier === "over" && value === null) return way.over ?? "";
  return unsaid(known, draft).length ? "" : verdictOf(way.bounds, value, qualifier, form.nearly);
}

// Bands rise without a gap: the first that a value does not pass is its own.
function verdictOf(bounds, value, qualifier = "", nearly = 0) {
  if (value === null || !bounds?.length || qualifier === "unstable") return "";
  return verdictBetween(bounds, qualifier ? spanOf(value, qualifier) : [value, value], nearly);
}

// What a reading leaves open: no quantity is below nothing, and an unstable one says nothing.
function spanOf(value, qualifier) {
  if (qualifier === "<") return [0, value ?? Infinity];
  return [qualifier === "unstable" ? 0 : value ?? 0, Infinity];
}

// The verdict that all values between have in common; a band of a single value counts for none of
// them.
function verdictBetween(bounds, [low, high], nearly) {
  if (low === high) return bounds[placeOf(bounds, low, nearly)]?.verdict ?? "";
  const wide = bounds.filter((band) => band.low === null || band.low !== band.high);
  const reached = wide.filter((band) => high > (band.low ?? 0) * (1 + nearly) && (band.high === null || low < band.high * (1 - nearly)));
  return reached.length === 1 ? reached[0].verdict : "";
}

function placeOf(bounds, value, nearly) {
  const at = (end) => Math.abs(value - end) <= Math.abs(end) * nearly;
  return bounds.findIndex(({ high, high_in: closed }) =>
    high === null || high === undefined || (at(high) ? closed : value < high));
}

const mean = (values) => values.reduce((sum, value) => sum + value, 0) / values.length;
const lows = (spans) => spans.map(([low]) => low);
const highs = (spans) => spans.map(([, high]) => high);
const isExact = ([low, high]) => low === high;

// Factors stand by whole degrees; between two of them they grow by the same ratio each part of one.
function factorAt(place, each) {
  const whole = Math.floor(place);
  const low = each[whole];
  return place === whole ? low : low * (each[whole + 1] / low) ** (place - whole);
}

const deviation = (values) => (100 * Math.max(...values.map((value) => Math.abs(value - mean(values))))) / mean(values);

// Of three of which one is only bounded: it lies least apart midway between the others, and the
// deviation grows towards 200 % as it grows.
function deviationBetween(spans) {
  const exact = lows(spans.filter(isExact));
  const [low, high] = spans.find((span) => !isExact(span));
  if (exact.length < 2 || Math.min(...exact) <= 0) return null;
  const at = (end) => (end === Infinity ? 200 : deviation([end, ...exact]));
  const midway = mean(exact);
  const least = low < midway && midway < high ? at(midway) : Math.min(at(low), at(high));
  return [least * (1 - 1e-12), Math.max(at(low), at(high))];
}

function ratio(greater, lesser) {
  if (lesser > 0) return greater / lesser;
  return greater > 0 ? Infinity : 1;
}

// Of each leg over the mean of the others; that of the least is the least.
function shares(spans) {
  const rest = (place, ends) => mean(ends(spans).filter((_, each) => each !== place));
  const most = (place, high) => (rest(place, lows) > 0 ? high / rest(place, lows) : Infinity);
  return spans.map(([low, high], place) => [low / rest(place, highs), most(place, high)]);
}

// One figure of several readings, each of them all the values from one end to the other.
const HOW = {
  greatest_difference_from_mean_percent: (spans) => (spans.every(isExact) ? [deviation(lows(spans)), deviation(lows(spans))] : deviationBetween(spans)),
  greatest_over_least: (spans) => [ratio(Math.max(...lows(spans)), Math.min(...highs(spans))), ratio(Math.max(...highs(spans)), Math.min(...lows(spans)))],
  first_over_64th_of_second: ([first, second]) => scaled(first, second, (by) => 64 / by),
  first_times_factor_at_second: ([first, second], { from, each }) => scaled(first, second, (by) => factorAt(by - from, each)),
  least_over_mean_of_others: (spans) => [Math.min(...lows(shares(spans))), Math.min(...highs(shares(spans)))],
};

// By a figure that must have been read as it stands.
const scaled = ([low, high], by, factorOf) => (isExact(by) ? [low * factorOf(by[0]), high * factorOf(by[0])] : null);

function valueWords(derived, [low, high], form) {
  const words = (value) => figureWords(derived, value, form);
  if (low === high) return words(low);
  if (high === Infinity) return `> ${words(low)}`;
  return low > 0 ? `${words(low)} – ${words(high)}` : `< ${words(high)}`;
}

function figureWords({ how, fields: [first] }, value, form) {
  if (how.endsWith("percent")) return `${value.toFixed(1)} %`;
  if (how === "greatest_over_least") return `${value.toFixed(1)} : 1`;
  const unit = how === "first_times_factor_at_second" ? form.fields[first].units?.[0]?.sign : "";
  return [value.toFixed(2), unit].filter(Boolean).join(" ");
}

// All values that a reading allows, in the registry's unit; null where nothing is typed.
function allowed(name, draft, form) {
  const reading = draft.readings?.[name];
  const value = canonical(form.fields[name], reading);
  if (reading?.qualifier) return value === null ? null : spanOf(value, reading.qualifier);
  return value === null ? null : [value, value];
}

// What follows from several readings, once all are there: {words, verdict} or null.
export function derive(derived, form, draft, known) {
  const context = { running: "runs", ...known, ...filled(draft.context), ...filled(draft.seen) };
  if (!Object.entries(derived.when ?? {}).every(([name, wanted]) => context[name] === wanted)) return null;
  const spans = derived.fields.map((code) => allowed(code, draft, form));
  if (spans.includes(null) || !HOW[derived.how]) return null;
  const between = HOW[derived.how](spans, derived.factors);
  if (!between || Number.isNaN(between[0] + between[1]) || between[0] === Infinity) return null;
  return { words: valueWords(derived, between, form), verdict: verdictBetween(derived.bounds, between, form.nearly) };
}
