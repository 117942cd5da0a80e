// The working on screen: built once for a wanted and its units, then only its numbers change.
import { coherentUnits, namesIn } from "./coherent.js";
import { text } from "./curve.js";
import { Printer, Slots, amount, escape, line, symbol } from "./equation.js";
import { numberParts, resultDigits } from "./numbers.js";
import { together } from "./words.js";

// rem
const SMALLEST = 0.85, LARGEST = 1.33;

export class Working {
  constructor(state, holder, sources) {
    Object.assign(this, { state, holder, sources });
  }

  symbol(name) { return symbol(this.state.quantity(name).symbol); }

  get plan() { return this.state.program.plans[this.state.wanted]; }

  build() {
    this.slots = new Slots((name, unit) => this.describe(name, unit));
    this.inSymbols = new Printer((name) => this.symbol(name), this.state.program.written);
    // name -> units in which its number has been written so far
    this.said = {};
    this.found = new Set();
    // name -> the unit in which its line gives it
    this.own = {};
    // Slots are filled in the order in which they are written, so the conversions are known first.
    const prepared = this.plan.steps.map((step) => this.prepare(step));
    const first = prepared.flatMap(({ first }) => first);
    const title = first.length ? `<p class="cw-law">Conversions</p>` : "";
    const said = title && `<div class="cw-step">${title}${this.conversions(first)}</div>`;
    this.holder.innerHTML = said + this.plan.steps.map((step, i) => this.step(step, prepared[i])).join("") + this.assumed() + this.way();
    breakBeforeOperators(this.holder);
    this.slots.attach(this.holder);
    this.roots = [...this.holder.querySelectorAll(".cw-roots")];
    this.stale = true;
  }

  // The units of a step's lines, and the conversions that nothing has said yet.
  prepare({ find, by, forms, residual }) {
    const { state, said, found } = this;
    const first = [], way = [];
    const lines = (by === "formula" ? forms.map((form) => [find, form]) : [residual]).map(([left, right]) => {
      const roles = {};
      for (const name of [find, ...namesIn(left), ...namesIn(right)]) {
        roles[name] = { shown: state.units(name), said: said[name] ?? [], kind: name === find ? "result" : found.has(name) ? "way" : "given" };
      }
      const chosen = coherentUnits(state, left, right, roles);
      for (const [name, unit] of Object.entries(chosen)) {
        const has = [state.units(name), ...(said[name] ??= [])].some(({ label }) => label === unit.label);
        if (name === find || has) continue;
        said[name].push(unit);
        (found.has(name) ? way : first).push([name, unit]);
      }
      return chosen;
    });
    found.add(find);
    said[find] = [this.own[find] = lines[0][find]];
    return { lines, first, way };
  }

  conversions(list) {
    return list.map(([name, unit]) => line(`${this.symbol(name)}<mo>=</mo>${this.slots.leaf(name, "", this.state.units(name))}<mo>=</mo>${this.slots.leaf(name, "", unit)}`, "cw-numbers")).join("");
  }

  step(step, { lines, way }) {
    const { relations } = this.state.program;
    const titles = [...new Set((step.relations ?? []).map((i) => relations[i].title))];
    const written = step.by === "formula" ? step.forms.map((form, i) => this.formula(step, form, lines[i], way)).join("") : this.equation(step, lines[0], way);
    return `<div class="cw-step"><p class="cw-law">${escape(together(titles))}</p>${written}</div>`;
  }

  inNumbers({ find }, units, letter) {
    return new Printer((name, role) => (letter && name === find ? this.symbol(name) : this.slots.leaf(name, role, units[name])), this.state.program.written, true);
  }

  formula(step, form, units, way) {
    const { find } = step;
    const symbols = line(`${this.symbol(find)}<mo>=</mo>${this.inSymbols.pieces(form)}`) + this.conversions(way.splice(0));
    const shown = this.state.units(find);
    const ends = units[find].label === shown.label ? [shown] : [units[find], shown];
    // Where a quantity is simply another one, its number is not said twice.
    const numbers = units[form]?.label === ends[0].label && !this.given(form) ? "" : "<mo>=</mo>" + this.inNumbers(step, units).pieces(form);
    return symbols + line(numbers + ends.map((unit) => "<mo>=</mo>" + this.slots.leaf(find, "", unit)).join(""), "cw-numbers");
  }

  // An equation that is not turned round: the unknown stays a letter in the line of numbers.
  equation(step, units, way) {
    const both = (printer) => step.residual.map((side) => printer.pieces(side)).join("<mo>=</mo>");
    return line(both(this.inSymbols)) + this.conversions(way) + line(both(this.inNumbers(step, units, true)), "cw-numbers") + `<div class="cw-roots" data-find="${step.find}"></div>`;
  }

  describe(name, { label, factor, offset }) {
    const at = this.state.place[name];
    const parts = this.given(name) ? (number) => numberParts(number, 6, true) : (number) => this.rounded(name, number);
    return { label, parts, value: (x) => (x[at] - offset) / factor };
  }

  given(name) {
    const { wanted, program } = this.state;
    return name !== wanted && (program.cast.includes(name) || !!this.plan.exact?.includes(name));
  }

  rounded(name, number) { return numberParts(number, resultDigits(number, this.state.quantity(name).whole)); }

  assumed() {
    const { state } = this;
    const { assumed = [], exact = [] } = this.plan;
    if (!assumed.length) return "";
    const items = assumed.map((name) => {
      const value = state.fromSI(name, state.program.assumed[name], state.unit[name] ?? 0);
      const parts = exact.includes(name) ? numberParts(value, 6, true) : numberParts(value);
      // In words, too: of a range, they say that the road is level and the air still.
      return `<span class="cw-assumed">${state.quantity(name).words} <math>${this.symbol(name)}<mo>=</mo>${amount(parts, state.units(name).label)}</math></span>`;
    });
    return `<p class="cw-assumptions">Assumed: ${items.join(", ")}</p>`;
  }

  // Which of several ways this is, such as direct or alternating current.
  way() { return this.plan.way ? `<p class="cw-assumptions">${escape(this.plan.way)}</p>` : ""; }

  // Only when somebody opens them: a board is on screen sooner without.
  showSources() {
    if (this.stale) this.buildSources();
    this.stale = false;
    this.fit();
  }

  buildSources() {
    const { relations } = this.state.program;
    const used = [...new Set(this.plan.steps.flatMap((step) => step.relations ?? []))];
    this.sources.innerHTML = used.map((i) => {
      const { title, equation, source, assumptions = [] } = relations[i];
      const given = assumptions.length ? `<ul>${assumptions.map((one) => `<li>${escape(one)}</li>`).join("")}</ul>` : "";
      const sides = equation.map((side) => this.inSymbols.pieces(side)).join("<mo>=</mo>");
      return `<div class="cw-source"><p class="cw-cited">${escape(title)}</p>${line(sides)}${given}<p>${escape(source ?? "")}</p></div>`;
    }).join("");
    breakBeforeOperators(this.sources);
  }

  fill() {
    this.slots.fill(this.state.best);
    for (const holder of this.roots) this.showRoots(holder);
  }

  showRoots(holder) {
    const { state } = this;
    const name = holder.dataset.find;
    const at = state.place[name];
    const values = [...new Set(state.solutions.map((x) => x[at]))].sort((u, v) => u - v);
    const shown = state.units(name), own = this.own[name];
    const units = own.label === shown.label ? [shown] : [own, shown];
    const parts = values.map((si) => units.map(({ factor, offset }) => this.rounded(name, (si - offset) / factor)));
    const kind = parts.flat().map((one) => one.sign + one.power).join(" ");
    if (holder.dataset.kind !== kind) {
      const or = "<mtext>or</mtext><mspace width=\"0.5em\"></mspace>";
      const amounts = (all) => all.map((one, i) => `<mo>=</mo><mrow class="cw-slot">${amount(one, units[i].label)}</mrow>`).join("");
      holder.innerHTML = parts.map((all, i) => line(`${i ? or : ""}${this.symbol(name)}${amounts(all)}`, "cw-numbers")).join("");
      holder.dataset.kind = kind;
      return;
    }
    holder.querySelectorAll(".cw-slot").forEach((slot, i) => text(slot.querySelector("mn"), parts.flat()[i].digits));
  }

  // An equation too wide for its column is set smaller, and scrolls if that is not enough.
  fit() {
    const equations = [this.holder, this.sources].flatMap((one) => [...one.querySelectorAll("math.cw-eq")]);
    for (const one of equations) { one.style.fontSize = ""; one.removeAttribute("tabindex"); }
    const parts = equations.map((one) => {
      const room = one.clientWidth - parseFloat(getComputedStyle(one).paddingInlineStart || 0);
      const widest = Math.max(0, ...[...one.children].map((child) => child.getBoundingClientRect().width));
      return room > 0 ? room / widest : 1;
    });
    equations.forEach((one, i) => {
      if (parts[i] >= 1) return;
      const size = LARGEST * parts[i] * 0.97;
      one.style.fontSize = `${Math.max(SMALLEST, size).toFixed(3)}rem`;
      if (size < SMALLEST) one.setAttribute("tabindex", "0");
    });
  }
}

// A long line breaks before an operator, never after it: operator and operand become one piece.
function breakBeforeOperators(root) {
  for (const equation of root.querySelectorAll("math.cw-eq")) {
    for (const sign of [...equation.children]) {
      const operand = sign.nextElementSibling;
      if (sign.tagName !== "mo" || sign.getAttribute("form") === "prefix" || !operand) continue;
      const piece = document.createElementNS(equation.namespaceURI, "mrow");
      const space = sign.classList.contains("cw-times") ? "0.05em" : "0.24em";
      sign.setAttribute("form", "infix");
      sign.setAttribute("lspace", sign.previousElementSibling ? space : "0");
      sign.setAttribute("rspace", space);
      sign.replaceWith(piece);
      piece.append(sign, operand);
    }
  }
}
