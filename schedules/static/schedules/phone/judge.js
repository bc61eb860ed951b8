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
export function verdictOf(bounds, value, qualifier = "", nearly = 0) {
  if (value === null || !bounds?.length || qualifier === "unstable") return "";
  if (!qualifier) return bounds[placeOf(bounds, value, nearly)]?.verdict ?? "";
  const reached = bounds.filter((band) => reaches(band, value, qualifier, nearly));
  return reached.length === 1 ? reached[0].verdict : "";
}

// Whether a band has any of the values that lie below this one, or above it; one of a single value
// counts for neither.
function reaches({ low, high }, value, qualifier, nearly) {
  if (low !== null && low === high) return false;
  if (qualifier === "<") return value > (low ?? 0) * (1 + nearly);
  return high === null || value < high * (1 - nearly);
}

function placeOf(bounds, value, nearly) {
  const at = (end) => Math.abs(value - end) <= Math.abs(end) * nearly;
  return bounds.findIndex(({ high, high_in: closed }) =>
    high === null || high === undefined || (at(high) ? closed : value < high));
}

const mean = (values) => values.reduce((sum, value) => sum + value, 0) / values.length;

// Factors stand by whole degrees; between two of them they grow by the same ratio each part of one.
function factorAt(place, each) {
  const whole = Math.floor(place);
  const low = each[whole];
  return place === whole ? low : low * (each[whole + 1] / low) ** (place - whole);
}

const HOW = {
  greatest_difference_from_mean_percent: (values) =>
    (100 * Math.max(...values.map((value) => Math.abs(value - mean(values))))) / mean(values),
  greatest_over_least: (values) => Math.max(...values) / Math.min(...values),
  first_over_64th_of_second: ([first, second]) => first / (second / 64),
  first_times_factor_at_second: ([first, second], { from, each }) => first * factorAt(second - from, each),
  least_over_mean_of_others(values) {
    const [least, ...others] = [...values].sort((a, b) => a - b);
    return least / mean(others);
  },
};

function valueWords({ how, fields: [first] }, value, form) {
  if (how.endsWith("percent")) return `${value.toFixed(1)} %`;
  if (how === "greatest_over_least") return `${value.toFixed(1)} : 1`;
  const unit = how === "first_times_factor_at_second" ? form.fields[first].units?.[0]?.sign : "";
  return [value.toFixed(2), unit].filter(Boolean).join(" ");
}

// What follows from several readings, once all are there: {value, verdict} or null.
export function derive(derived, form, draft, known) {
  const context = { running: "runs", ...known, ...filled(draft.context), ...filled(draft.seen) };
  if (!Object.entries(derived.when ?? {}).every(([name, wanted]) => context[name] === wanted)) return null;
  const values = derived.fields.map((code) => exact(code, draft, form));
  if (values.includes(null) || !HOW[derived.how]) return null;
  const value = HOW[derived.how](values, derived.factors);
  if (!Number.isFinite(value)) return null;
  return { value, words: valueWords(derived, value, form), verdict: verdictOf(derived.bounds, value, "", form.nearly) };
}
