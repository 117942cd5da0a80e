// From known numbers to every solution: trees become closures once, plans are walked step by step.
// A state is an array of SI numbers, one place a quantity. Nothing is ever evaluated from text.

import { formatNumber } from "./numbers.js";

// As in Python, where each is explained.
const BOUND_SLACK = 1e-12, ROUNDING = 1e-10, SAME = 1e-9, SMALL = 1e-6, NEAREST = 1e-6,
  FLAT = 1e-13, SUSPECT = 1e-9, WIDE = 1e-3, NOISE = 8, SNAP = 1e-3, TOUCH = 1e-11;
const BESIDE = [1e-12, 1e-9, 1e-7, 1e-5, 1e-4, 1e-3, 3e-3, 0.01, 0.02, 0.04, 0.08, 0.15, 0.3];

export function compile(tree, place) {
  if (typeof tree === "number") return () => tree;
  if (typeof tree === "string") {
    const i = place[tree];
    if (i === undefined) throw new Error("unknown quantity " + tree);
    return (x) => x[i];
  }
  const [op, ...parts] = tree;
  if (op === "^") return power(compile(parts[0], place), parts[1], place);
  const args = parts.map((part) => compile(part, place));
  const [a, b, c] = args;
  switch (op) {
    case "+":
      if (args.length === 2) return (x) => a(x) + b(x);
      if (args.length === 3) return (x) => a(x) + b(x) + c(x);
      return (x) => { let s = a(x); for (let i = 1; i < args.length; i++) s += args[i](x); return s; };
    case "*":
      if (args.length === 2) return (x) => a(x) * b(x);
      if (args.length === 3) return (x) => a(x) * b(x) * c(x);
      return (x) => { let p = a(x); for (let i = 1; i < args.length; i++) p *= args[i](x); return p; };
    case "/": return (x) => a(x) / b(x);
    case "-": return (x) => -a(x);
    case "min": return (x) => Math.min(...args.map((f) => f(x)));
    case "max": return (x) => Math.max(...args.map((f) => f(x)));
  }
  // A function goes by the name that it has in Math.
  const f = Object.hasOwn(Math, op) && Math[op];
  if (f?.length !== 1) throw new Error("unknown operation " + op);
  return (x) => f(a(x));
}

function power(base, exponent, place) {
  if (exponent === 2) return (x) => { const v = base(x); return v * v; };
  if (exponent === 3) return (x) => { const v = base(x); return v * v * v; };
  const e = compile(exponent, place);
  return (x) => base(x) ** e(x);
}

// Every real t with a t³ + b t = c.
export function cubicRoots(a, b, c) {
  if (!(Number.isFinite(a) && Number.isFinite(b) && Number.isFinite(c))) return [];
  if (a === 0) return b === 0 ? [] : [c / b];
  const p = b / a, q = c / a;
  if (c === 0) return p < 0 ? [-Math.sqrt(-p), 0, Math.sqrt(-p)] : [0];
  const s = Math.sqrt(Math.abs(p) / 3);
  const h = q / 2 / s / s / s;
  let roots;
  if (!Number.isFinite(h)) roots = [Math.cbrt(q)];
  else if (p > 0) roots = [2 * s * Math.sinh(Math.asinh(h) / 3)];
  else if (Math.abs(h) > 1 + TOUCH) roots = [Math.sign(h) * 2 * s * Math.cosh(Math.acosh(Math.abs(h)) / 3)];
  else {
    const near = Math.max(-1, Math.min(1, h)), third = Math.acos(near) / 3;
    // the middle root may be far smaller than the others; a sine keeps all its digits
    const middle = -2 * s * Math.sin(Math.asin(near) / 3);
    roots = [2 * s * Math.cos(third), middle, 2 * s * Math.cos(third + (2 * Math.PI) / 3)];
  }
  const f = (t) => (a * t * t + b) * t - c;
  roots = roots.map((t) => polish(t, f, (u) => 3 * a * u * u + b)).sort((u, v) => u - v);
  return roots.filter((t, i) => i === 0 || Math.abs(t - roots[i - 1]) > 1e-12 * Math.abs(t));
}

// Every real t with a t² + b t = c, without cancellation.
export function quadraticRoots(a, b, c) {
  const inside = b * b + 4 * a * c;
  if (a === 0) return b === 0 ? [] : [c / b];
  if (inside < 0 && inside >= -TOUCH * b * b) return [-b / 2 / a];
  if (!(inside >= 0)) return [];
  const big = -(b + (b < 0 ? -1 : 1) * Math.sqrt(inside)) / 2;
  const roots = [big / a, big === 0 ? 0 : -c / big].sort((u, v) => u - v);
  return roots[0] === roots[1] ? [roots[0]] : roots;
}

// Newton steps as long as they help.
function polish(t, f, slope) {
  let best = Math.abs(f(t));
  for (let i = 0; i < 4 && best > 0; i++) {
    const next = t - f(t) / slope(t);
    const off = Math.abs(f(next));
    if (!(off < best)) break;
    [t, best] = [next, off];
  }
  return t;
}

// Places to look for sign changes: evenly over the usual range and the bounds, and by decades.
export function searchGrid([low, high], usual, coarse) {
  const size = Math.max(Math.abs(usual[0]), Math.abs(usual[1])) || 1;
  const bottom = Math.max(low ?? -Infinity, -1e4 * size), top = Math.min(high ?? Infinity, 1e4 * size);
  const points = [0];
  const even = (from, to, n) => { for (let i = 0; i <= n; i++) points.push(from + ((to - from) * i) / n); };
  even(bottom, top, coarse ? 8 : 32);
  even(...usual, coarse ? 16 : 32);
  const decades = coarse ? 13 : 52;
  for (let i = 0; i <= decades; i++) {
    const decade = size * 10 ** (-9 + (13 * i) / decades);
    points.push(decade, -decade);
  }
  return points.filter((t) => t >= bottom && t <= top).sort((u, v) => u - v)
    .filter((t, i, all) => i === 0 || t > all[i - 1]);
}

// Where a kink's function is nought.
function bendsOf(grid, kinks) {
  const found = [];
  for (const kink of kinks) {
    let [t0, f0] = [grid[0], kink(grid[0])];
    if (f0 === 0) found.push(t0);
    for (let i = 1; i < grid.length; i++) {
      const t1 = grid[i], f1 = kink(t1);
      if (f1 === 0) found.push(t1);
      else if (f0 * f1 < 0) found.push(turningPoint(t0, t1, f0, kink));
      [t0, f0] = [t1, f1];
    }
  }
  return found;
}

const rising = (points) => points.sort((u, v) => u - v).filter((t, i, all) => i === 0 || t > all[i - 1]);

// The grid with every kink, the points just beside it, and ever closer ones around it.
function split(grid, bends) {
  if (!bends.length) return grid;
  const low = grid[0], high = grid[grid.length - 1];
  const scale = Math.max(Math.abs(low), Math.abs(high));
  const points = [...grid, ...bends];
  for (const at of bends) {
    const reach = Math.max(Math.abs(at), NEAREST * scale);
    for (const width of BESIDE) points.push(at - width * reach, at + width * reach);
  }
  return rising(points.filter((t) => t >= low && t <= high));
}

// The last of `inside` towards `outside` for which `holds` does.
function lastThat(holds, inside, outside) {
  for (let i = 0; i < 60; i++) {
    const middle = (inside + outside) / 2;
    if (holds(middle)) inside = middle;
    else outside = middle;
  }
  return inside;
}

// The grid with the last points at which f still has a value, next to where it has none.
function bordered(f, grid, values) {
  const has = values.map(Number.isFinite), found = [];
  for (let i = 1; i < grid.length; i++) {
    if (has[i - 1] === has[i]) continue;
    const [inside, outside] = has[i] ? [grid[i], grid[i - 1]] : [grid[i - 1], grid[i]];
    found.push(lastThat((t) => Number.isFinite(f(t)), inside, outside));
  }
  return found.length ? rising([...grid, ...found]) : null;
}

// How far a function moves from a number to the ones next to it.
function scatter(f, t) {
  const step = t === 0 ? 5e-324 : 2 ** (Math.max(-1022, Math.floor(Math.log2(Math.abs(t)))) - 52);
  const here = f(t);
  let most = 0;
  for (const k of [-3, -2, -1, 1, 2, 3]) {
    const moved = Math.abs(f(t + k * step) - here);
    if (moved > most) most = moved;
  }
  return most;
}

// Whether f is nought as far as its rounding lets one see, beside terms of that size.
const faint = (value, terms) => Number.isFinite(value) && Math.abs(value) <= SUSPECT * terms;
const isNought = (f, t, terms) => {
  const value = f(t);
  return faint(value, terms) && Math.abs(value) <= Math.max(FLAT * terms, NOISE * scatter(f, t));
};

// Every root of f on the grid's span; slope is its derivative. `size` says how large the terms of f are: a
// change of sign where f is not small beside them is a pole or a jump. At a kink f bends sharply.
export function allRoots(f, slope, grid, { size = null, kinks = [] } = {}) {
  const [bottom, top] = [grid[0], grid[grid.length - 1]];
  let bends = bendsOf(grid, kinks);
  // A kink with another inside it may turn twice beside that one, between two points of the grid.
  if (bends.length && kinks.length > 1) bends = bendsOf(split(grid, bends), kinks);
  grid = split(grid, bends);
  let values = grid.map(f), roots = [];
  const closer = bordered(f, grid, values);
  if (closer) [grid, values] = [closer, closer.map(f)];
  // Nor does it count where rounding alone moves f by more than that. Endless beside endless is a pole, too.
  const nought = (t) => Number.isFinite(f(t)) && (!size || Math.max(Math.abs(f(t)), scatter(f, t)) <= SMALL * Math.abs(size(t)));
  const add = (t) => { if (nought(t) && !roots.some((r) => Math.abs(r - t) <= 1e-12 * Math.abs(t))) roots.push(t); };
  // A pole changes sign too, but there the function grows without end.
  const cross = (u, v, fu, fv) => {
    const t = refine(u, v, fu, f, slope);
    if (Math.abs(f(t)) <= Math.max(Math.abs(fu), Math.abs(fv), Math.abs(f(u + (v - u) / 2)))) add(t);
  };
  const stretches = size ? flatStretches(f, size, grid, values, bends) : [];
  const noise = (t) => stretches.some(([first, last]) => t >= first - SNAP * Math.abs(first) && t <= last + SNAP * Math.abs(last));
  let t0 = grid[0], f0 = values[0], g0 = slope(t0);
  if (f0 === 0 && !noise(t0)) add(t0);
  for (let i = 1; i < grid.length; i++) {
    const t1 = grid[i], f1 = values[i], g1 = slope(t1);
    if (noise(t0) && noise(t1)) { [t0, f0, g0] = [t1, f1, g1]; continue; }
    if (f1 === 0) add(t1);
    if (Number.isFinite(f0) && Number.isFinite(f1)) {
      // just beside a root on the grid, the slope says what sign the function has
      const after = f0 === 0 ? g0 : f0, before = f1 === 0 ? -g1 : f1;
      if (after !== 0 && before !== 0 && after > 0 !== before > 0) cross(t0, t1, after, before);
      // towards zero on the left, away from it on the right: two roots may hide in between
      else if (f0 * g0 < 0 && f1 * g1 > 0) {
        const tip = turningPoint(t0, t1, g0, slope);
        const ft = f(tip);
        if (ft === 0) add(tip);
        else if (ft > 0 !== f0 > 0) { cross(t0, tip, f0, ft); cross(tip, t1, ft, f1); }
        else if (isNought(f, tip, size ? Math.abs(size(tip)) : Math.max(Math.abs(f0), Math.abs(f1)))) add(tip);
      }
      // it falls between two points at which it rises: something is hidden there, look closer
      else if (g0 * g1 > 0 && (f1 - f0) * g0 < 0) {
        let [u, fu] = [t0, f0];
        for (let k = 1; k <= 32; k++) {
          const v = t0 + ((t1 - t0) * k) / 32, fv = f(v);
          if (fu > 0 !== fv > 0 && fu !== 0 && fv !== 0) cross(u, v, fu, fv);
          else if (fv === 0 && k < 32) add(v);
          [u, fu] = [v, fv];
        }
      }
    }
    [t0, f0, g0] = [t1, f1, g1];
  }
  roots = roots.filter((t) => !noise(t));
  // An end of the search is no end of a stretch.
  for (const [first, last] of stretches) {
    if (first > bottom) roots.push(first);
    if (last < top) roots.push(last);
  }
  return roots.sort((u, v) => u - v);
}

// The ends of every stretch on which f is nought as far as its rounding lets one see.
function flatStretches(f, size, grid, values, bends) {
  // Endless terms are no measure: where f has no end it is not nought.
  const terms = (t) => Math.abs(size(t)), small = (t) => faint(f(t), terms(t));
  const seen = grid.map((t, i) => faint(values[i], terms(t)));
  if (!seen.some((one, i) => one && seen[i + 1])) return [];
  const nought = (t) => isNought(f, t, terms(t));
  const flat = (i) => seen[i] && seen[i + 1] && nought(grid[i]) && nought(grid[i + 1]) && nought((grid[i] + grid[i + 1]) / 2);
  const made = [], end = grid.length - 1;
  const scale = Math.max(Math.abs(grid[0]), Math.abs(grid[end]));
  for (let i = 0; i < end; i++) {
    if (!flat(i)) continue;
    let k = i + 1;
    while (k < end && flat(k)) k++;
    const far = Math.max(Math.abs(grid[i]), Math.abs(grid[k]));
    if (grid[k] - grid[i] > WIDE * far && far > NEAREST * scale) {
      made.push([[i, i - 1, -1], [k, k + 1, 1]].map(([inside, outside, way]) => {
        let edge = lastThat(nought, grid[inside], grid[Math.min(end, Math.max(0, outside))]);
        const bend = bends.reduce((one, other) => (Math.abs(other - edge) < Math.abs(one - edge) ? other : one), Infinity);
        if (Math.abs(bend - edge) <= SNAP * Math.abs(edge)) edge = bend;
        // Where only rounding lifts it, and hardly, the stretch goes on.
        const probe = Math.min(grid[end], Math.max(grid[0], edge + way * BESIDE[BESIDE.length - 1] * Math.abs(edge)));
        return small(probe) ? way * Infinity : edge;
      }));
    }
    i = k;
  }
  return made;
}

function turningPoint(low, high, slopeLow, slope) {
  for (let i = 0; i < 200; i++) {
    const middle = low + (high - low) / 2;
    if (middle === low || middle === high) break;
    if (slope(middle) > 0 === slopeLow > 0) low = middle;
    else high = middle;
  }
  return low + (high - low) / 2;
}

// Newton's step where it stays inside the bracket, halving where it does not.
function refine(low, high, fLow, f, slope) {
  let t = low + (high - low) / 2;
  for (let i = 0; i < 200; i++) {
    const ft = f(t);
    if (ft === 0) return t;
    if (ft > 0 === fLow > 0) low = t;
    else high = t;
    let next = t - ft / slope(t);
    if (!(next > low && next < high)) next = low + (high - low) / 2;
    if (next === t || Math.abs(next - t) <= 1e-16 * Math.abs(t) || next <= low || next >= high) return polish(t, f, slope);
    t = next;
  }
  return t;
}

// How large the terms of a tree are, which is what its rounding scales with; as in Python, where it is explained.
export function magnitude(tree) {
  if (typeof tree === "number") return Math.abs(tree);
  if (typeof tree === "string") return ["abs", tree];
  const [op, first, ...rest] = tree;
  switch (op) {
    case "-": case "abs": return magnitude(first);
    case "/": return ["/", magnitude(first), ["abs", ...rest]];
    case "+": case "*": return [op, ...tree.slice(1).map(magnitude)];
    case "max": case "min": return ["+", ["abs", tree], ["min", ...tree.slice(1).map(magnitude)]];
    case "^": if (Number.isInteger(rest[0]) && rest[0] > 0) return ["^", magnitude(first), rest[0]];
  }
  return ["abs", tree];
}

export class Solver {
  constructor(program) {
    this.program = program;
    this.place = Object.fromEntries(Object.keys(program.quantities).map((name, i) => [name, i]));
    for (const name of Object.keys(program.assumed)) this.place[name] ??= Object.keys(this.place).length;
    this.size = Object.keys(this.place).length;
    this.plans = {};
  }

  plan(wanted) {
    return (this.plans[wanted] ??= this.compilePlan(this.program.plans[wanted]));
  }

  compilePlan({ steps }) {
    const tree = (one) => compile(one, this.place);
    return steps.map((step) => {
      const { bounds, usual, open } = this.program.quantities[step.find];
      const made = { name: step.find, at: this.place[step.find], by: step.by, bounds, open };
      made.near = usual ? SAME * Math.max(Math.abs(usual[0]), Math.abs(usual[1])) : 0;
      made.slack = usual ? BOUND_SLACK * Math.max(Math.abs(usual[0]), Math.abs(usual[1])) : 0;
      const met = (where = []) => where.map((one) => ({ value: tree(one), size: tree(magnitude(one)) }));
      made.where = met(step.where);
      const remark = (one) => ({ ...one, surplus: tree(one.surplus), at: one.at && tree(one.at) });
      made.remarks = (step.remarks ?? []).map(remark);
      made.refusals = (step.refusals ?? []).map(remark);
      made.cost = step.worth && tree(step.worth);
      made.floor = met(step.below_nought ? [step.worth] : []);
      made.below = step.below_nought;
      made.rests = (step.rest ?? []).map((rest) => ({ ...rest, surplus: tree(rest.surplus) }));
      made.least = (step.least ?? []).map((part) => ({ ...part, value: tree(part.tree) }));
      if (step.by === "roots") {
        made.residual = step.residual.map(tree);
        made.slope = tree(step.slope);
        made.kinks = (step.kinks ?? []).map(tree);
        made.terms = tree(["+", ...step.residual.map(magnitude)]);
        made.grids = [false, true].map((coarse) => searchGrid(bounds, usual ?? [0, 1], coarse));
      } else if (step.by === "pieces") {
        made.pieces = step.pieces.map((one) => ({ by: one.by, forms: (one.cubic ?? one.forms).map(tree), where: met(one.where) }));
      } else made.forms = (step.cubic ?? step.forms).map(tree);
      return made;
    });
  }

  // Which of several limits binds, in words: the last of the plan, and what that one itself is bound by.
  binding(wanted, x) {
    const told = [];
    let steps = this.plan(wanted).filter((step) => step.least.length);
    for (let step = steps.at(-1); step; step = steps.find((one) => one.name === told.at(-1).tree)) {
      told.push(step.least.reduce((one, other) => (other.value(x) < one.value(x) ? other : one)));
      steps = steps.filter((one) => one !== step);
    }
    return told.map(({ words }, i) => (i ? words : `${words} binds`)).join(": ");
  }

  // Whether a plan has to look for roots, which takes longer than a formula.
  searches(wanted) { return this.plan(wanted).some((step) => step.by === "roots"); }

  values({ by, forms }, x) {
    const made = forms.map((form) => form(x));
    return by === "cubic" ? cubicRoots(...made) : by === "quadratic" ? quadraticRoots(...made) : made;
  }

  candidates(step, x, coarse) {
    const before = x[step.at];
    const at = (f) => (t) => { x[step.at] = t; return f(x); };
    let found;
    if (step.by === "roots") {
      const [left, right] = step.residual;
      found = allRoots(at((y) => left(y) - right(y)), at(step.slope), step.grids[coarse ? 1 : 0],
        { size: at(step.terms), kinks: step.kinks.map(at) });
    } else if (step.by === "pieces") {
      // Case by case; a solution counts where its case is the case, and once.
      found = [];
      for (const piece of step.pieces) {
        for (const value of this.values(piece, x)) {
          if (!Number.isFinite(value) || found.some((other) => Math.abs(value - other) <= SAME * Math.abs(value))) continue;
          x[step.at] = value;
          if (piece.where.every((one) => met(one, x))) found.push(value);
        }
      }
    } else return this.values(step, x);
    x[step.at] = before;
    return found;
  }

  // Every physical solution, as states. `dropped`, if given, collects what was found but cannot be, `refused`
  // why there is none, and whether what was tried has no part in that, and `notes` what has to be said beside the number.
  solve(wanted, known, { coarse = false, dropped = null, refused = null, notes = null } = {}) {
    let states = [known];
    for (const step of this.plan(wanted)) {
      const next = [];
      for (const x of states) {
        let made = [];
        const found = this.candidates(step, x, coarse);
        const refuse = (state) => refused?.push(...step.refusals.filter((one) => one.surplus(state) <= 0).map((one) => ({ words: told(one, state), sure: one.surplus(x) <= 0 })));
        for (const value of found) {
          if (!Number.isFinite(value)) continue;
          const limit = outside(value, step.bounds, step.open, step.slack);
          if (limit) {
            dropped?.push({ name: step.name, only: step.by === "formula", value, ...limit });
            refuse(x);
            continue;
          }
          const state = x.slice();
          state[step.at] = value;
          if (step.where.every((one) => met(one, state))) made.push(state);
          else refuse(state);
        }
        // Of several the one at which what is worth least is meant.
        if (step.cost && made.length > 1) {
          const low = Math.min(...made.map(step.cost));
          made = made.filter((state) => step.cost(state) - low <= SAME * Math.abs(low));
        }
        // Where even that is below nought, no other is meant in its place.
        for (const one of step.floor) {
          const least = made.filter((state) => met(one, state));
          if (made.length && !least.length) refused?.push({ words: step.below, sure: false });
          made = least;
        }
        const states = step.rests.length ? rested(step, x, made, notes, found) : made;
        if (!states.length && !found.some(Number.isFinite)) refuse(x);
        next.push(...states);
      }
      states = next;
      if (!states.length) break;
    }
    const at = this.place[wanted];
    states.sort((u, v) => u[at] - v[at]);
    return states.filter((x, i) => i === 0 || Math.abs(x[at] - states[i - 1][at]) > 1e-12 * Math.abs(x[at]));
  }

  // What the relations of a plan have to say beside a result.
  remarks(wanted, x) {
    const every = this.plan(wanted).flatMap((step) => step.remarks);
    return [...new Set(every.filter((one) => one.surplus(x) > 0).map((one) => told(one, x)))];
  }

  // Of the solutions inside the usual range the largest; if none is inside, the largest.
  best(wanted, states) {
    const at = this.place[wanted];
    const usual = this.program.quantities[wanted].usual;
    const inside = usual ? states.filter((x) => x[at] >= usual[0] && x[at] <= usual[1]) : [];
    const among = inside.length ? inside : states;
    return among[among.length - 1];
  }
}

// A remark, with the value at which it is so where it names one.
function told({ words, at, label }, x) {
  return at ? words.replace("{at}", `${formatNumber(at(x))} ${label}`) : words;
}

// Whether what must not be negative is not, beyond what rounding can have done to its terms.
function met({ value, size }, x) {
  const made = value(x);
  return made >= 0 || made >= -ROUNDING * size(x);
}

// The value by definition where there is no surplus and no root beyond it. Where there is no surplus, rest
// itself solves the balance, but a root beyond it, and be it beyond all bounds, says that something else moves the
// vehicle.
function rested(step, x, made, notes, found) {
  for (const rest of step.rests) {
    if (!(rest.surplus(x) <= 0)) continue;
    const near = rest.value + step.near;
    if (found.some((value) => value > near)) { made = made.filter((state) => state[step.at] > near); continue; }
    const state = x.slice();
    state[step.at] = rest.value;
    notes?.push(rest.words);
    made = [state];
  }
  return made;
}

// The physical bound that a value breaks, or null.
export function outside(value, [low, high], [openLow, openHigh], slack = 0) {
  if (low !== null && (openLow ? value <= low : value < low - slack)) return { limit: low, side: openLow ? "above" : "at least" };
  if (high !== null && (openHigh ? value >= high : value > high + slack)) return { limit: high, side: openHigh ? "below" : "at most" };
  return null;
}
