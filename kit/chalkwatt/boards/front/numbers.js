// Numbers as people read them. The strings equal those of chalkwatt.wording.numbers in Python.

const MINUS = "\u2212";
const THIN = "\u202f";
const SUPERSCRIPT = "⁰¹²³⁴⁵⁶⁷⁸⁹";

// Sign, decimal text and power of ten (null for plain notation) of a number.
// With a common power it is written with that one, or with its own where that is null.
export function numberParts(x, digits = 4, trim = false, common = undefined) {
  if (Number.isNaN(x)) return { sign: "", digits: "–", power: null };
  if (!Number.isFinite(x)) return { sign: x < 0 ? MINUS : "", digits: "∞", power: null };
  if (x === 0) return { sign: "", digits: "0", power: null };
  const [mantissa, exponent] = Math.abs(x).toExponential(digits - 1).split("e");
  const power = Number(exponent);
  const all = mantissa.replace(".", "");
  const shared = common === undefined ? (power >= -3 && power < 6 ? 0 : power) : (common ?? power);
  const plain = shared === 0 && common !== null;
  const before = power - shared + 1;
  let whole, rest;
  if (before <= 0) [whole, rest] = ["0", "0".repeat(-before) + all];
  else [whole, rest] = [all.slice(0, before).padEnd(before, "0"), all.slice(before)];
  if (trim) rest = rest.replace(/0+$/, "");
  if (whole.length >= 5) whole = whole.replace(/\B(?=(\d{3})+$)/g, THIN);
  return {
    sign: x < 0 ? MINUS : "",
    digits: rest ? whole + "." + rest : whole,
    power: plain ? null : shared,
  };
}

export function superscript(n) {
  return (n < 0 ? "⁻" : "") + String(Math.abs(n)).replace(/\d/g, (d) => SUPERSCRIPT[d]);
}

function joined({ sign, digits, power }) {
  return sign + digits + (power === null ? "" : "×10" + superscript(power));
}

// Four digits, but a count as it comes: two after the point, or none where it is a whole number.
export function resultDigits(x, whole) {
  if (!whole || !Number.isFinite(x) || Math.abs(x) < 1) return 4;
  const before = Math.floor(Math.log10(Math.abs(x))) + 1;
  return Math.abs(x - Math.round(x)) < 1e-9 * Math.abs(x) ? before : Math.min(before + 2, 15);
}

// A result: trailing zeros say how well it is known.
export const formatNumber = (x, digits = 4) => joined(numberParts(x, digits));

// A given value: no trailing zeros.
export const formatInput = (x, digits = 6) => joined(numberParts(x, digits, true));

// Numbers that are read together, such as both ends of a range, in one notation.
export function formatAlike(all, digits = 6, trim = true) {
  const real = all.filter((x) => x && Number.isFinite(x));
  if (new Set(real.map((x) => numberParts(x, digits).power)).size <= 1) return all.map((x) => joined(numberParts(x, digits, trim)));
  const sizes = real.map((x) => Number(Math.abs(x).toExponential(digits - 1).split("e")[1]));
  const [low, high] = [Math.min(...sizes), Math.max(...sizes)];
  const common = low >= -6 && high < 9 ? 0 : high - low <= 3 ? high : null;
  return all.map((x) => joined(numberParts(x, digits, trim, common)));
}

// What a person types, or NaN. Accepts everything that the formatter writes.
export function parseNumber(text) {
  const plain = text
    .trim()
    .replace(/[\u2212\u2013]/g, "-")
    .replace(/(\d)[\s\u202f\u2009_](?=\d{3}(?!\d))/g, "$1")
    .replace(/\s*[×x*·]\s*10\^?([⁻\-+]?[⁰¹²³⁴⁵⁶⁷⁸⁹\d]+)$/, (_, power) =>
      "e" + power.replace("⁻", "-").replace(/[⁰¹²³⁴⁵⁶⁷⁸⁹]/g, (d) => SUPERSCRIPT.indexOf(d)));
  return /^[-+]?(\d+\.?\d*|\.\d+)(e[-+]?\d+)?$/i.test(plain) ? Number(plain) : NaN;
}

// The largest of 1, 2, 5 times a power of ten that is not above x.
export function roundBelow(x) {
  const power = 10 ** Math.floor(Math.log10(x) + 1e-9);
  const lead = x / power + 1e-9;
  return (lead >= 5 ? 5 : lead >= 2 ? 2 : 1) * power;
}

// A number on a grid without the dust of binary fractions: 3 * 0.1 is 0.3.
export function onGrid(x, step) {
  const places = Math.max(0, Math.min(15, -Math.floor(Math.log10(step) + 1e-9)));
  return Number((Math.round(x / step) * step).toFixed(places));
}
