// From known numbers to every solution: trees become closures once, plans are walked step by step.
// A state is an array of SI numbers, one place a quantity. Nothing is ever evaluated from text.

const FUNCTIONS = {
  sqrt: Math.sqrt, cbrt: Math.cbrt, abs: Math.abs, sign: Math.sign, exp: Math.exp, log: Math.log,
  sin: Math.sin, cos: Math.cos, tan: Math.tan, asin: Math.asin, acos: Math.acos, atan: Math.atan,
  sinh: Math.sinh, cosh: Math.cosh, asinh: Math.asinh, acosh: Math.acosh, tanh: Math.tanh,
  atanh: Math.atanh,
};
const BOUND_SLACK = 1e-12;

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
  const f = Object.hasOwn(FUNCTIONS, op) ? FUNCTIONS[op] : null;
  if (!f) throw new Error("unknown operation " + op);
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
  else if (Math.abs(h) > 1 + 1e-14) roots = [Math.sign(h) * 2 * s * Math.cosh(Math.acosh(Math.abs(h)) / 3)];
  else {
    const third = Math.acos(Math.max(-1, Math.min(1, h))) / 3;
    roots = [0, 1, 2].map((k) => 2 * s * Math.cos(third - (2 * Math.PI * k) / 3));
  }
  const f = (t) => (a * t * t + b) * t - c;
  roots = roots.map((t) => polish(t, f, (u) => 3 * a * u * u + b)).sort((u, v) => u - v);
  return roots.filter((t, i) => i === 0 || Math.abs(t - roots[i - 1]) > 1e-12 * Math.abs(t));
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
export function searchGrid(low, high, usual, count) {
  const size = Math.max(Math.abs(usual[0]), Math.abs(usual[1])) || 1;
  const top = high ?? 1e6 * size, bottom = low ?? -1e6 * size;
  const points = [bottom, top];
  const even = (from, to) => { for (let i = 0; i <= count; i++) points.push(from + ((to - from) * i) / count); };
  even(...usual);
  even(bottom, top);
  for (let i = 0; i <= count; i++) {
    const decade = size * 10 ** (-9 + (15 * i) / count);
    points.push(decade, -decade);
  }
  return points.filter((t) => t >= bottom && t <= top).sort((u, v) => u - v)
    .filter((t, i, all) => i === 0 || t > all[i - 1]);
}

// Every root of f on the grid's span; slope is its derivative.
export function allRoots(f, slope, grid) {
  const roots = [];
  const add = (t) => { if (!roots.some((r) => Math.abs(r - t) <= 1e-12 * Math.abs(t))) roots.push(t); };
  const cross = (u, v, fu) => add(refine(u, v, fu, f, slope));
  let t0 = grid[0], f0 = f(t0), g0 = slope(t0);
  if (f0 === 0) add(t0);
  for (let i = 1; i < grid.length; i++) {
    const t1 = grid[i], f1 = f(t1), g1 = slope(t1);
    if (f1 === 0) add(t1);
    else if (Number.isFinite(f0) && Number.isFinite(f1) && f0 !== 0) {
      if (f0 > 0 !== f1 > 0) cross(t0, t1, f0);
      // towards zero on the left, away from it on the right: two roots may hide in between
      else if (f0 * g0 < 0 && f1 * g1 > 0) {
        const tip = turningPoint(t0, t1, g0, slope);
        const ft = f(tip);
        if (ft === 0) add(tip);
        else if (ft > 0 !== f0 > 0) { cross(t0, tip, f0); cross(tip, t1, ft); }
        else if (Math.abs(ft) < 1e-14 * Math.max(Math.abs(f0), Math.abs(f1))) add(tip);
      }
    }
    [t0, f0, g0] = [t1, f1, g1];
  }
  return roots.sort((u, v) => u - v);
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
      made.where = (step.where ?? []).map((one) => {
        const terms = Array.isArray(one) && one[0] === "+" ? one.slice(1).map(tree) : [tree(one)];
        return (x) => {
          let sum = 0, size = 0;
          for (const term of terms) { const v = term(x); sum += v; size += Math.abs(v); }
          return sum >= -1e-12 * size;
        };
      });
      if (step.by === "formula") made.forms = step.forms.map(tree);
      else {
        made.residual = step.residual?.map(tree);
        if (step.by === "cubic") made.cubic = step.cubic.map(tree);
        else {
          made.slope = tree(step.slope);
          made.grids = [60, 24].map((count) => searchGrid(...bounds, usual ?? [0, 1], count));
        }
      }
      return made;
    });
  }

  candidates(step, x, coarse) {
    if (step.by === "formula") return step.forms.map((form) => form(x));
    if (step.by === "cubic") return cubicRoots(...step.cubic.map((f) => f(x)));
    const [left, right] = step.residual;
    const before = x[step.at];
    const at = (t, f) => { x[step.at] = t; return f(x); };
    const found = allRoots((t) => { x[step.at] = t; return left(x) - right(x); },
      (t) => at(t, step.slope), step.grids[coarse ? 1 : 0])
      // a pole changes sign too, but is no root
      .filter((t) => { const l = at(t, left), r = at(t, right); return Math.abs(l - r) <= 1e-6 * Math.max(Math.abs(l), Math.abs(r), 1e-300); });
    x[step.at] = before;
    return found;
  }

  // Every physical solution, as states. `dropped`, if given, collects what was found but cannot be.
  solve(wanted, known, { coarse = false, dropped = null } = {}) {
    let states = [known];
    for (const step of this.plan(wanted)) {
      const next = [];
      for (const x of states) {
        const values = this.candidates(step, x, coarse);
        let used = false;
        for (const value of values) {
          if (!Number.isFinite(value)) continue;
          const limit = outside(value, step.bounds, step.open);
          if (limit) { dropped?.push({ name: step.name, value, ...limit }); continue; }
          const state = used || values.length > 1 ? x.slice() : x;
          state[step.at] = value;
          if (!step.where.every((holds) => holds(state))) continue;
          next.push(state);
          used = true;
        }
      }
      states = next;
      if (!states.length) break;
    }
    const at = this.place[wanted];
    states.sort((u, v) => u[at] - v[at]);
    return states.filter((x, i) => i === 0 || Math.abs(x[at] - states[i - 1][at]) > 1e-12 * Math.abs(x[at]));
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

// The physical bound that a value breaks, or null.
export function outside(value, [low, high], [openLow, openHigh]) {
  if (low !== null && (value < low - BOUND_SLACK * Math.abs(low) || (openLow && value <= low))) return { limit: low, side: openLow ? "above" : "at least" };
  if (high !== null && (value > high + BOUND_SLACK * Math.abs(high) || (openHigh && value >= high))) return { limit: high, side: openHigh ? "below" : "at most" };
  return null;
}
