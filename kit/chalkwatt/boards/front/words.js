// What a board says in words: errors, results, further solutions, and why there is none.
import { formatAlike, formatInput, formatNumber } from "./numbers.js";

export class Words {
  constructor(state) { this.state = state; }

  of(name) { return this.state.quantity(name).words; }

  // A number with its unit. Results take a number of digits, given values none.
  measure(name, value, digits, unit) {
    const number = digits ? formatNumber(value, digits) : formatInput(value);
    const { label } = this.state.units(name, unit);
    return label ? number + (label === "°" ? "" : "\u00a0") + label : number;
  }

  spoken(name, value, digits) {
    const { spoken } = this.state.units(name);
    return `${digits ? formatNumber(value, digits) : formatInput(value)} ${spoken}`.trim();
  }

  axis(name) {
    const { label } = this.state.units(name);
    return this.of(name) + (label && ` in ${label}`);
  }

  usual(name, [low, high]) {
    const { label } = this.state.units(name);
    return `${formatAlike([low, high], 3).join(" to ")}${label && "\u00a0" + label}`;
  }

  // What is wrong with a given value.
  problem(name) {
    const { state } = this;
    const { text, value, unit, side, limit } = state.problem[name];
    const words = this.of(name);
    if (text === undefined) return `${words} = ${this.measure(name, value, 0, unit)} is not possible: it must be ${side} ${this.measure(name, limit, 0, unit)}.`;
    if (text.trim() === "") return `${words}: nothing is typed here; type a number, with a point for decimals.`;
    return `${words}: “${text}” is not a number; type one like ${formatInput(state.given[name]?.value ?? 1)}, with a point for decimals.`;
  }

  // The result, for an ear.
  result(against) {
    const { state } = this;
    const { wanted, best, broken } = state;
    if (broken && state.problem[broken]) return this.problem(broken);
    if (!best) return this.nothing(against);
    const others = state.further().map((si) => this.spoken(wanted, state.fromSI(wanted, si), 4));
    return `${this.of(wanted)} ${[this.spoken(wanted, state.value(wanted), 4), ...others].join(", or ")}`;
  }

  // The line under the result.
  beside(against) {
    if (!this.state.best) return this.nothing(against);
    const told = this.told(against), idle = this.idle();
    return told && idle ? `${told.replace(/\.?$/, ".")} ${idle}` : told || idle;
  }

  // Of the rows that nothing is reckoned with, as in Python.
  idle() {
    const { state } = this;
    const { by, words } = state.program.plans[state.wanted].idle ?? {};
    return words ? words[by.filter((name) => state.si(name)).join(" ")].replace(/{(\w+)}/g, (_, name) => {
      const { value, unit } = state.given[name];
      return `${formatInput(value)} ${state.units(name, unit).label}`.trim();
    }) : "";
  }

  told(against) {
    const { state } = this;
    const { wanted } = state;
    const further = state.further().map((si) => this.measure(wanted, state.fromSI(wanted, si), 4));
    const others = further.length ? [`${further.length > 1 ? "Further solutions" : "A further solution"}: ${further.join(", ")}${state.notes.length ? "." : ""}`] : [];
    if (others.length || state.notes.length) return [...others, ...state.notes].join(" ");
    if (state.quantity(wanted).whole) return this.neighbours(against);
    const binding = state.solver.binding(wanted, state.best);
    return binding && `The ${binding}.`;
  }

  // A count between two whole numbers: what each of them would give.
  neighbours(against) {
    const { state } = this;
    const { wanted } = state;
    const value = state.value(wanted, 0);
    if (Math.abs(value - Math.round(value)) < 1e-9 * Math.abs(value) || !state.program.plans[against]) return "";
    return [Math.floor(value), Math.ceil(value)].map((n) => {
      const x = state.best.slice();
      x[state.place[wanted]] = n;
      const there = state.solver.best(against, state.solver.solve(against, x));
      return there ? `${n} gives ${this.of(against)} ${this.measure(against, state.fromSI(against, there[state.place[against]]), 4)}` : `${n} is not possible`;
    }).join("; ");
  }

  // Why there is no solution, and the nearest value of a known that has one.
  nothing(against) {
    const { state } = this;
    const { broken, wanted } = state;
    if (broken) return `Waiting for ${this.of(broken)}.`;
    // As in Python: what the given values alone forbid, then what of the results can be reached, and only then
    // why a value that was tried did not do.
    const { program: { cast, outcomes = [] }, refused, dropped } = state;
    const sure = refused.find((one) => one.sure);
    if (sure) return sure.words;
    const beyond = (one) => {
      if (!one) return `No value of ${this.of(wanted)} fits the others.`;
      const [value, limit] = [one.value, one.limit].map((si) => state.fromSI(one.name, si, state.unit[one.name] ?? 0));
      return `No solution: ${this.of(one.name)} would be ${this.measure(one.name, value, 4)}, and must be ${one.side} ${this.measure(one.name, limit)}.`;
    };
    // One of several roots says little where a result cannot be reached.
    let why = beyond(dropped.filter((one) => one.only).at(-1));
    const results = outcomes.filter((one) => one !== wanted);
    for (const name of new Set([...results, "", against, ...cast])) {
      if (!name && dropped[0]) why = beyond(dropped.at(-1));
      else if (!name && refused[0] && !results[0]) return refused[0].words;
      const near = name && name !== wanted ? state.nearest(name) : null;
      if (near !== null) return `${why} With all else as it is, the nearest value of ${this.of(name)} that has one is ${this.measure(name, near)}.`;
    }
    return why;
  }
}

// "Range, together with drag, rolling and consumption"
export function together([first = "", ...others]) {
  if (!others.length) return first;
  const small = others.map((one) => one[0].toLowerCase() + one.slice(1));
  const last = small.pop();
  return `${first}, together with ${small.join(", ")}${small.length ? " and " : ""}${last}`;
}
