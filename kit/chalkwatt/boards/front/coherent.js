// Units in which a line of numbers multiplies out as printed, by the rules of chalkwatt.rendering.coherent in Python.
import { compile } from "./solving.js";

const IN_THE_NUMBER = { "%": 0.01, "‰": 0.001, "°": Math.PI / 180 };
const NOTHING = 1e-9;

const raised = (power, row) => row && Object.fromEntries(Object.entries(row).map(([name, one]) => [name, power * one]));

function summed(rows) {
  const made = {};
  for (const row of rows) for (const name in row) made[name] = (made[name] ?? 0) + row[name];
  return made;
}

export const namesIn = (tree) => typeof tree === "string" ? [tree] : Array.isArray(tree) ? tree.slice(1).flatMap(namesIn) : [];

// The size of a part as powers of those of its quantities, null for nought; the rows must come to nothing.
function sizeOf(tree, rows) {
  if (typeof tree === "string") return { [tree]: 1 };
  if (!Array.isArray(tree)) return tree ? {} : null;
  const [op, ...parts] = tree;
  if (op === "^" && !namesIn(parts[1]).length) return raised(compile(parts[1], {})([]), sizeOf(parts[0], rows));
  const inner = parts.map((part) => sizeOf(part, rows)), known = inner.filter(Boolean);
  if (["+", "min", "max"].includes(op)) {
    rows.push(...known.slice(1).map((one) => summed([one, raised(-1, known[0])])));
    return known[0] ?? null;
  }
  if (op === "*" || op === "/") return known.length < inner.length ? null : summed(known.map((one, i) => raised(i && op === "/" ? -1 : 1, one)));
  if (op === "-" || op === "abs") return inner[0];
  if (op === "sqrt" || op === "cbrt") return raised(op === "sqrt" ? 1 / 2 : 1 / 3, inner[0]);
  if (op !== "sign") rows.push(...known);
  return {};
}

// [unit, cost, logarithm of its size], cheapest first.
function choices({ si, usual, units, offered }, plain = [], { shown, said, kind }) {
  const made = new Map();
  const middle = usual ? Math.abs(usual[0] + usual[1]) / 2 : 1;
  const known = units.map(([label, factor, offset]) => ({ label, factor, offset }));
  const others = plain.map(([label, factor]) => ({ label, factor, offset: 0 }));
  const display = known.slice(0, offered);
  for (const unit of [shown, ...said, ...display, ...others]) {
    const { label, factor, offset } = unit;
    if (offset || made.has(label) || (label in IN_THE_NUMBER && label !== shown.label)) continue;
    let cost = 0;
    if (label !== shown.label && !said.some((one) => one.label === label)) {
      const has = (list) => list.some((one) => one.label === label);
      cost = !has(others) ? 30 : has(display) ? 10 : 13;
      if (kind === "way") cost += 5;
      if (!(middle / factor >= 0.1 && middle / factor < 1e4)) cost += 9;
      if (kind === "result") cost = Math.round(cost * 0.6);
    }
    made.set(label, [unit, cost, Math.log(factor / (IN_THE_NUMBER[label[0]] ?? 1))]);
  }
  return [...made.values()].slice(0, si === "" ? 1 : undefined).sort((a, b) => a[1] - b[1]);
}

function cheapest(rows, bound, free) {
  const closing = bound.map((_, i) => rows.filter((row) => Math.max(...Object.keys(row).map((name) => bound.indexOf(name))) === i));
  const chosen = {}, sizes = {};
  let best = {}, least = Infinity;
  const choose = (i, cost) => {
    if (i === bound.length) return [best, least] = [{ ...chosen }, cost];
    for (const [unit, more, size] of free[bound[i]]) {
      if (cost + more >= least) break;
      chosen[bound[i]] = unit;
      sizes[bound[i]] = size;
      if (closing[i].every((row) => Math.abs(Object.keys(row).reduce((sum, name) => sum + row[name] * sizes[name], 0)) < NOTHING)) choose(i + 1, cost + more);
    }
  };
  choose(0, 0);
  return best;
}

// Quantities that are added to, or compared with, each other.
function added(tree) {
  if (!Array.isArray(tree)) return [];
  const terms = tree.slice(1).map((part) => part[0] === "-" ? part[1] : part).filter((part) => typeof part === "string");
  return [...(["+", "min", "max"].includes(tree[0]) ? [terms] : []), ...tree.slice(1).flatMap(added)];
}

// name -> unit. `roles` says of each quantity what is shown and said of it, and what it is in the line.
export function coherentUnits(state, left, right, roles) {
  const rows = [], free = {}, made = {};
  sizeOf(["+", left, right], rows);
  const kept = rows.map((row) => Object.fromEntries(Object.entries(row).filter(([, power]) => Math.abs(power) > NOTHING)))
    .filter((row) => Object.keys(row).length).sort((a, b) => Object.keys(a).length - Object.keys(b).length);
  for (const name in roles) free[name] = choices(state.quantity(name), state.program.plain?.[state.quantity(name).si], roles[name]);
  const best = cheapest(kept, [...new Set(kept.flatMap(Object.keys))], free);
  for (const name in roles) made[name] = best[name] ?? free[name][0][0];
  for (const terms of [left, right].flatMap(added)) {
    const shares = terms.filter((name) => state.quantity(name).si === "");
    if (!shares.some((name) => made[name].label === "%")) continue;
    for (const name of shares) {
      const percent = state.quantity(name).units.find(([label]) => label === "%");
      if (percent) made[name] = { label: "%", factor: percent[1], offset: 0 };
    }
  }
  return made;
}
