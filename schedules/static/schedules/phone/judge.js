// Numbers held against what the server worked out for this fan; no rule of its own.

const NUMBER = /^[-+]?(\d+([.,]\d*)?|[.,]\d+)$/;

// The number somebody typed, its decimals behind a point or a comma; null where it is none yet.
export function numberOf(text) {
  const trimmed = String(text ?? "").trim();
  return NUMBER.test(trimmed) ? Number(trimmed.replace(",", ".")) : null;
}

// The value in the registry's unit; null where nothing is typed.
export function canonical(field, reading) {
  const value = numberOf(reading?.text);
  if (value === null) return null;
  const unit = (field.units ?? []).find((each) => each.unit === reading.unit);
  return unit ? value * unit.factor + (unit.offset ?? 0) : value;
}

export function isImplausible(field, value) {
  return value !== null && (value < (field.low ?? -Infinity) || value > (field.high ?? Infinity));
}

// The verdict of the band in which a value lies; "" where none is told or a qualifier leaves it open.
export function verdictOf(bounds, value, qualifier = "") {
  if (value === null || !bounds?.length) return "";
  const at = (where) => bounds.find((band) => holds(band, where))?.verdict ?? "";
  if (qualifier === "unstable") return "";
  if (qualifier === "<") return same(bounds, -Infinity, value) ? at(value) : "";
  if (qualifier === ">" || qualifier === "over") return same(bounds, value, Infinity) ? at(value) : "";
  return at(value);
}

function holds(band, value) {
  return value >= (band.low ?? -Infinity) && value < (band.high ?? Infinity);
}

function same(bounds, low, high) {
  const touched = bounds.filter((band) => (band.low ?? -Infinity) < high && (band.high ?? Infinity) > low);
  return new Set(touched.map((band) => band.verdict)).size === 1;
}

const HOW = {
  greatest_difference_from_mean_percent(values) {
    const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
    if (!mean) return null;
    return (100 * Math.max(...values.map((value) => Math.abs(value - mean)))) / mean;
  },
};

// What follows from several readings, once all are there: {value, verdict} or null.
export function derive(derived, form, readings) {
  const values = derived.fields.map((code) => canonical(form.fields[code] ?? {}, readings[code]));
  if (values.includes(null) || !HOW[derived.how]) return null;
  const value = HOW[derived.how](values);
  return value === null ? null : { value, verdict: verdictOf(derived.bounds, value) };
}
