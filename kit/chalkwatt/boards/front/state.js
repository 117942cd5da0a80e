// What a board knows: the typed values with the unit they were typed in, the wanted, the solutions.
// A typed value is never rewritten: units and swaps are worked out from it each time.
import { Solver, outside } from "./solving.js";

export class State {
  constructor(program) {
    this.program = program;
    this.solver = new Solver(program);
    this.place = this.solver.place;
    this.reset();
  }

  reset() {
    const { cast, wanted, values, chosen_units: chosen = {} } = this.program;
    this.wanted = wanted;
    this.unit = Object.fromEntries(cast.map((name) => [name, chosen[name] ?? 0]));
    // name -> { value, unit, text }, and name -> words
    this.given = {};
    this.problem = {};
    this.touched = false;
    for (const name of cast) {
      if (typeof values[name] === "number") this.given[name] = { value: values[name], unit: this.unit[name], text: null };
    }
    this.solve();
  }

  quantity(name) {
    return this.program.quantities[name] ?? { words: name.replaceAll("_", " "), symbol: [name, ""], units: [["", 1, 0, ""]], bounds: [null, null], usual: null, open: [false, false] };
  }

  units(name, index = this.unit[name] ?? 0) {
    const [label, factor, offset, spoken] = this.quantity(name).units[index];
    return { label, factor, offset, spoken: spoken ?? label };
  }

  toSI(name, value, unit) {
    const { factor, offset } = this.units(name, unit);
    return value * factor + offset;
  }

  fromSI(name, si, unit) {
    const { factor, offset } = this.units(name, unit);
    return (si - offset) / factor;
  }

  // The value in a unit: exactly as typed in the unit it was typed in.
  value(name, unit = this.unit[name]) {
    if (name === this.wanted) return this.best ? this.fromSI(name, this.best[this.place[name]], unit) : null;
    const given = this.given[name];
    if (!given) return null;
    return given.unit === unit ? given.value : this.fromSI(name, this.toSI(name, given.value, given.unit), unit);
  }

  si(name) {
    const given = this.given[name];
    return given ? this.toSI(name, given.value, given.unit) : NaN;
  }

  // As it was saved: the values in the units they were typed in, the units they are shown in, the wanted.
  recall({ wanted, values, shown }) {
    this.reset();
    this.touched = wanted !== null || Object.keys(values).length > 0;
    const before = this.wanted;
    for (const [name, { value, unit }] of Object.entries(values)) {
      this.given[name] = { value, unit, text: null };
      this.problem[name] = name === before ? null : this.judge(name, value, unit);
    }
    Object.assign(this.unit, shown);
    this.solve();
    if (wanted === null || wanted === before) return;
    if (!values[before]) return this.want(wanted);
    this.problem[before] = this.judge(before, values[before].value, values[before].unit);
    this.problem[wanted] = null;
    this.wanted = wanted;
    this.solve();
  }

  give(name, value, unit = this.unit[name], text = null) {
    this.touched = true;
    this.given[name] = { value, unit, text };
    this.problem[name] = this.judge(name, value, unit);
  }

  refuse(name, problem) { this.problem[name] = problem; }

  choose(name, index) {
    this.unit[name] = index;
    this.touched = true;
    const problem = this.problem[name];
    if (problem && problem.text === undefined) this.problem[name] = this.judge(name, this.value(name), index);
  }

  judge(name, value, unit) {
    const { bounds, open } = this.quantity(name);
    const limit = outside(this.toSI(name, value, unit), bounds, open);
    return limit && { value, unit, ...limit, limit: this.fromSI(name, limit.limit, unit) };
  }

  get broken() {
    return this.program.cast.find((name) => name !== this.wanted && (this.problem[name] || !this.given[name]));
  }

  base() {
    const x = new Float64Array(this.solver.size).fill(NaN);
    for (const [name, value] of Object.entries(this.program.assumed)) x[this.place[name]] = value;
    for (const name of this.program.cast) if (name !== this.wanted) x[this.place[name]] = this.si(name);
    return x;
  }

  solve() {
    this.dropped = [];
    this.refused = [];
    const resting = [];
    this.solutions = this.broken ? [] : this.solver.solve(this.wanted, this.base(), { dropped: this.dropped, refused: this.refused, notes: resting });
    this.best = this.solver.best(this.wanted, this.solutions) ?? null;
    this.notes = this.best ? [...resting, ...this.solver.remarks(this.wanted, this.best)] : [];
  }

  further() {
    return this.solutions.filter((x) => x !== this.best).map((x) => x[this.place[this.wanted]]);
  }

  // Exchange a known and the wanted; what was typed comes back to the last bit if nothing else changed.
  want(name) {
    const old = this.wanted;
    if (name === old) return;
    this.touched = true;
    const typed = this.given[old];
    const found = this.solutions.map((x) => x[this.place[old]]);
    const same = typed && found.some((si) => Math.abs(si - this.si(old)) <= 1e-9 * Math.abs(si));
    if (found.length && !same) this.give(old, this.fromSI(old, this.best[this.place[old]], this.unit[old]));
    else if (!typed) {
      const { usual } = this.quantity(old);
      this.give(old, this.fromSI(old, usual ? (usual[0] + usual[1]) / 2 : 1, this.unit[old]));
    }
    this.problem[old] = this.judge(old, this.given[old].value, this.given[old].unit);
    this.problem[name] = null;
    this.wanted = name;
    this.solve();
  }

  // The value of a known nearest to the present one for which there is a solution, in its chosen unit.
  nearest(name) {
    const { usual, bounds } = this.quantity(name);
    if (!usual) return null;
    const base = this.base(), at = this.place[name], present = base[at];
    const solved = (v) => { const x = base.slice(); x[at] = v; return this.solver.solve(this.wanted, x, { coarse: true }).length > 0; };
    const low = Math.max(Math.min(usual[0], present), bounds[0] ?? -Infinity), high = Math.min(Math.max(usual[1], present), bounds[1] ?? Infinity);
    let good = null;
    for (let i = 0; i <= 80; i++) {
      const v = low + ((high - low) * i) / 80;
      if ((good === null || Math.abs(v - present) < Math.abs(good - present)) && solved(v)) good = v;
    }
    if (good === null) return null;
    let bad = present;
    for (let i = 0; i < 48; i++) {
      const middle = (good + bad) / 2;
      if (solved(middle)) good = middle;
      else bad = middle;
    }
    // four digits, rounded to the side that has a solution
    const shown = this.fromSI(name, good, this.unit[name]);
    const unit = 10 ** (Math.floor(Math.log10(Math.abs(shown) || 1)) - 3);
    const below = Number((Math.floor(shown / unit) * unit).toPrecision(4)), above = Number((Math.ceil(shown / unit) * unit).toPrecision(4));
    return [below, above].find((v) => solved(this.toSI(name, v, this.unit[name]))) ?? shown;
  }
}
