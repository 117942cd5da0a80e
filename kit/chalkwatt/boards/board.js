// The board of a topic: rows of quantities, working, every solution, a curve. The same module serves a
// notebook (default export, for anywidget) and a page (`mount`).
import { Curve, strands, text } from "./curve.js";
import { Printer, Slots, amount, escape, line, symbol } from "./equation.js";
import { formatInput, formatNumber, numberParts, onGrid, parseNumber, roundBelow } from "./numbers.js";
import { State } from "./state.js";

let boards = 0;
const SETTLE = 250; // ms without a move before a value counts as settled

export class Board {
  constructor(root, program, host = {}) {
    this.root = root;
    this.program = program;
    this.host = host;
    this.id = `cw${++boards}`;
    this.state = new State(program);
    this.rows = {};
    this.against = null;
    this.build();
    this.want();
  }

  find(selector) { return this.root.querySelector(selector); }

  symbol(name) { return symbol(this.state.quantity(name).symbol); }

  words(name) { return this.state.quantity(name).words; }

  shown(name, value, digits) { return this.measure(name, digits ? formatNumber(value, digits) : formatInput(value)); }

  measure(name, number, unit) {
    const { label } = this.state.units(name, unit);
    return label ? number + (label === "°" ? "" : "\u00a0") + label : number;
  }

  spoken(name, value, digits) {
    const { spoken } = this.state.units(name);
    return `${digits ? formatNumber(value, digits) : formatInput(value)} ${spoken}`.trim();
  }

  // ---- structure, once

  build() {
    const { title, caution, cast } = this.program;
    const heading = this.host.heading ?? "h2";
    this.root.innerHTML = `<section class="chalkwatt" aria-label="${escape(title)}"><div class="cw-sheet">
<header class="cw-head"><${heading}>${escape(title)}</${heading}>${caution ? `<p class="cw-caution">${escape(caution)}</p>` : ""}</header>
<div class="cw-result"><p class="cw-big"></p><p class="cw-further"></p></div>
<div class="cw-working"></div>
<figure class="cw-curve"><figcaption><span class="cw-against"></span> <select aria-label="Curve against"></select></figcaption><div class="cw-canvas"></div></figure>
<div class="cw-side"><div class="cw-rows" role="group" aria-label="Quantities; one of them is solved for">${cast.map((name, i) => this.row(name, i)).join("")}<p class="cw-feet"><button type="button" class="cw-reset">Reset</button></p></div>
<details class="cw-more"><summary>Assumptions and sources</summary><div></div></details></div>
<p class="cw-live" aria-live="polite"></p></div></section>`;
    this.section = this.root.firstElementChild;
    // Jupyter turns arrow keys into notebook commands unless they stop here.
    for (const kind of ["keydown", "keyup", "keypress"]) this.section.addEventListener(kind, (event) => event.stopPropagation());
    for (const name of cast) this.wire(name);
    this.find(".cw-reset").addEventListener("click", () => this.reset());
    this.select = this.find("figure select");
    this.select.addEventListener("change", () => { this.against = this.select.value; this.curve.forget(); this.describeCurve(); this.drawCurve(); });
    this.curve = new Curve(this.find(".cw-canvas"));
    this.dragCurve();
    this.observer = new ResizeObserver(() => {
      if (this.curve.resize(this.find(".cw-canvas").clientWidth)) this.drawCurve();
      this.fit();
    });
    this.find(".cw-more").addEventListener("toggle", () => this.fit());
    this.observer.observe(this.find(".cw-canvas"));
    this.alignment = fieldAlignment(this.section);
  }

  row(name, i) {
    const { words, symbol: letters, units, sentence } = this.state.quantity(name);
    const id = `${this.id}-${i}`;
    const choice = units.length > 1
      ? `<select class="cw-unit" aria-label="unit of ${escape(words)}">${units.map(([label], k) => `<option value="${k}">${escape(label || "–")}</option>`).join("")}</select>`
      : `<span class="cw-unit">${escape(units[0][0])}</span>`;
    return `<div class="cw-row"><input type="radio" name="${this.id}" class="cw-pick" aria-label="Solve for ${escape(words)}" title="Solve for ${escape(words)}">
<label class="cw-words" for="${id}" title="${escape(sentence ?? "")}"><span class="cw-symbol" aria-hidden="true"><math>${symbol(letters)}</math></span> <span>${escape(words)}</span></label>
<input type="range" class="cw-slider" aria-label="${escape(words)}, slider"><input type="text" inputmode="decimal" autocomplete="off" spellcheck="false" class="cw-number" id="${id}" aria-describedby="${id}-note">${choice}
<p class="cw-note" id="${id}-note"></p></div>`;
  }

  wire(name) {
    const element = this.root.querySelectorAll(".cw-row")[this.program.cast.indexOf(name)];
    const part = (selector) => element.querySelector(selector);
    const row = (this.rows[name] = {
      element, pick: part(".cw-pick"), slider: part(".cw-slider"), number: part(".cw-number"), unit: part("select.cw-unit"), note: part(".cw-note"),
    });
    row.pick.addEventListener("change", () => { this.state.want(name); this.want(); this.moved(true); });
    row.slider.addEventListener("input", () => this.slide(name, Number(row.slider.value)));
    row.slider.addEventListener("change", () => this.settle());
    row.number.addEventListener("input", () => this.type(name));
    row.number.addEventListener("change", () => { this.tidy(name); this.settle(); });
    row.number.addEventListener("keydown", (event) => this.fieldKey(name, event));
    row.unit?.addEventListener("change", () => {
      this.state.unit[name] = Number(row.unit.value);
      this.state.problem[name] &&= this.state.judge(name, this.state.value(name), this.state.unit[name]);
      this.host.unit?.(name, this.state.unit[name]);
      this.want();
      this.moved(true);
    });
  }

  // ---- what people do

  slide(name, value) {
    const { step } = this.rows[name];
    this.change(name, step ? onGrid(value, step) : value);
  }

  change(name, value, textTyped = null) {
    this.state.give(name, value, this.state.unit[name], textTyped);
    this.state.solve();
    this.update();
    this.moved();
  }

  type(name) {
    const field = this.rows[name].number;
    const value = parseNumber(field.value);
    if (Number.isFinite(value)) return this.change(name, value, field.value);
    this.state.refuse(name, { text: field.value });
    this.state.solve();
    this.update();
    this.moved();
  }

  tidy(name) {
    const given = this.state.given[name];
    if (given && !this.state.problem[name]) this.showRow(name, true);
  }

  fieldKey(name, event) {
    const row = this.rows[name];
    if (row.number.readOnly) return;
    if (event.key === "Escape") {
      const given = this.state.given[name];
      if (given && this.state.problem[name]?.text !== undefined) { this.state.give(name, given.value, given.unit, given.text); this.state.solve(); this.update(); this.showRow(name, true); this.moved(true); }
    } else if ((event.key === "ArrowUp" || event.key === "ArrowDown") && row.step) {
      event.preventDefault();
      const value = this.state.value(name);
      if (value !== null && !this.state.problem[name]?.text) { this.slide(name, value + (event.key === "ArrowUp" ? row.step : -row.step)); this.showRow(name, true); }
    }
  }

  dragCurve() {
    const { svg } = this.curve;
    const move = (event) => {
      const name = this.against;
      const row = this.rows[name];
      const value = this.curve.toValue?.(event.clientX - svg.getBoundingClientRect().left);
      if (!name || !row.step || !Number.isFinite(value)) return;
      const { bounds } = this.state.quantity(name);
      const low = bounds[0] === null ? -Infinity : this.state.fromSI(name, bounds[0]), high = bounds[1] === null ? Infinity : this.state.fromSI(name, bounds[1]);
      const next = onGrid(value, row.step);
      if (next > low && next < high) this.change(name, next);
    };
    svg.addEventListener("pointerdown", (event) => { if (event.button === 0) { svg.setPointerCapture(event.pointerId); move(event); } });
    svg.addEventListener("pointermove", (event) => { if (svg.hasPointerCapture(event.pointerId)) move(event); });
    svg.addEventListener("pointerup", () => this.settle());
  }

  reset() {
    this.state.reset();
    this.against = null;
    this.curve.forget();
    for (const name of this.program.cast) this.host.unit?.(name, this.state.unit[name]);
    this.want();
    this.moved(true);
  }

  // ---- the other side of the host: values that arrive from outside, in the first unit

  receive(name, value) {
    if (name === this.state.wanted || typeof value !== "number") return;
    if (this.state.value(name, 0) === value && !this.state.problem[name]) return;
    this.state.give(name, value, 0);
    this.state.solve();
    this.update(true);
    this.moved();
  }

  receiveWanted(name) {
    if (name === this.state.wanted || !this.program.plans[name]) return;
    this.state.want(name);
    this.want();
    this.moved(true);
  }

  moved(now = false) {
    this.host.move?.(this);
    clearTimeout(this.timer);
    if (now) this.settle();
    else this.timer = setTimeout(() => this.settle(), SETTLE);
  }

  settle() {
    clearTimeout(this.timer);
    text(this.find(".cw-live"), this.sayResult());
    this.host.settle?.(this);
  }

  // ---- what the board shows

  // After a change of the wanted or of a unit: new structure, then numbers.
  want() {
    const { cast } = this.program;
    const { wanted } = this.state;
    const others = cast.filter((name) => name !== wanted);
    if (!this.against || this.against === wanted) this.against = this.favourite(others);
    this.select.innerHTML = others.map((name) => `<option value="${name}">${escape(this.words(name))}</option>`).join("");
    for (const name of cast) this.structureRow(name);
    this.curve.forget();
    this.describeCurve();
    this.buildWorking();
    this.buildResult();
    this.buildSources();
    this.update(true);
    this.fit();
    this.lastWanted = wanted;
  }

  favourite(others) {
    if (this.lastWanted && others.includes(this.lastWanted)) return this.lastWanted;
    const matters = (name) => {
      const used = new Set();
      const walk = (tree) => { if (typeof tree === "string") used.add(tree); else if (Array.isArray(tree)) tree.slice(1).forEach(walk); };
      for (const step of this.program.plans[this.state.wanted].steps) [...(step.forms ?? []), ...(step.residual ?? [])].forEach(walk);
      return used.has(name);
    };
    return others.find(matters) ?? others[0];
  }

  structureRow(name) {
    const row = this.rows[name];
    const wanted = name === this.state.wanted;
    const { usual, whole } = this.state.quantity(name);
    row.element.classList.toggle("cw-wanted", wanted);
    row.pick.checked = wanted;
    row.pick.disabled = !this.program.plans[name]; // a row that cannot be turned round stays a given one
    row.number.readOnly = wanted;
    row.slider.disabled = wanted;
    if (row.unit) row.unit.value = String(this.state.unit[name]);
    row.step = 0;
    if (!usual) { row.slider.style.visibility = "hidden"; return; }
    const [low, high] = usual.map((si) => this.state.fromSI(name, si)).sort((u, v) => u - v);
    row.step = roundBelow((high - low) / 190);
    if (whole) row.step = Math.max(1, Math.round(row.step));
    row.low = onGrid(Math.floor(low / row.step + 1e-6) * row.step, row.step);
    row.high = onGrid(Math.ceil(high / row.step - 1e-6) * row.step, row.step);
    row.usual = [low, high];
    Object.assign(row.slider, { min: row.low, max: row.high, step: row.step });
  }

  buildResult() {
    const { wanted } = this.state;
    this.find(".cw-big").innerHTML = `<span class="cw-name">${escape(this.words(wanted))}</span> <span class="cw-equals"><math>${this.symbol(wanted)}<mo>=</mo></math></span> <span class="cw-answer"><span class="cw-digits"></span>\u202f<span class="cw-of">${escape(this.state.units(wanted).label)}</span></span>`;
  }

  buildWorking() {
    const { relations, plans } = this.program;
    const { state } = this;
    this.slots = new Slots((name) => this.describe(name));
    const inSymbols = new Printer((name) => this.symbol(name));
    const steps = plans[state.wanted].steps.map((step) => {
      const titles = [...new Set((step.relations ?? []).map((i) => relations[i].title))];
      const inNumbers = new Printer((name, role) => (step.by !== "formula" && name === step.find ? this.symbol(name) : this.slots.leaf(name, role)), true);
      const left = this.symbol(step.find);
      let lines;
      if (step.by === "formula") {
        lines = step.forms.map((form) => line(`${left}<mo>=</mo>${inSymbols.pieces(form)}`)
          + line(`<mo>=</mo>${inNumbers.pieces(form)}<mo>=</mo>${this.slots.leaf(step.find, "")}`, "cw-numbers")).join("");
      } else {
        const both = (printer) => `${printer.pieces(step.residual[0])}<mo>=</mo>${printer.pieces(step.residual[1])}`;
        lines = line(both(inSymbols)) + line(both(inNumbers), "cw-numbers") + `<div class="cw-roots" data-find="${step.find}"></div>`;
      }
      return `<div class="cw-step"><p class="cw-law">${escape(together(titles))}</p>${lines}</div>`;
    });
    const working = this.find(".cw-working");
    working.innerHTML = steps.join("") + this.assumedLine();
    breakBeforeOperators(working);
    this.slots.attach(working);
    this.roots = [...working.querySelectorAll(".cw-roots")];
  }

  assumedLine() {
    const { assumed = [], exact = [] } = this.program.plans[this.state.wanted];
    if (!assumed.length) return "";
    const items = assumed.map((name) => `<span class="cw-assumed"><math>${this.symbol(name)}<mo>=</mo>${amount(numberParts(this.state.fromSI(name, this.program.assumed[name], this.state.unit[name] ?? 0), ...(exact.includes(name) ? [6, true] : [])), this.state.units(name).label)}</math></span>`);
    return `<p class="cw-assumptions">Assumed: ${items.join(" ")}</p>`;
  }

  describe(name) {
    const { state } = this;
    const { factor, label } = state.formulaUnit(name);
    const at = state.place[name];
    const { exact = [] } = this.program.plans[state.wanted];
    const given = name !== state.wanted && (this.program.cast.includes(name) || exact.includes(name));
    return { label, digits: given ? 6 : 4, trim: given, value: (x) => x[at] / factor };
  }

  buildSources() {
    const { relations, plans } = this.program;
    const used = [...new Set(plans[this.state.wanted].steps.flatMap((step) => step.relations ?? []))];
    const printer = new Printer((name) => this.symbol(name));
    this.find(".cw-more div").innerHTML = used.map((i) => {
      const { title, equation, source, assumptions = [] } = relations[i];
      const given = assumptions.length ? `<ul>${assumptions.map((one) => `<li>${escape(one)}</li>`).join("")}</ul>` : "";
      return `<div class="cw-source"><p class="cw-cited">${escape(title)}</p>${line(`${printer.pieces(equation[0])}<mo>=</mo>${printer.pieces(equation[1])}`)}${given}<p>${escape(source ?? "")}</p></div>`;
    }).join("");
    breakBeforeOperators(this.find(".cw-more"));
  }

  // An equation too wide for its column is set smaller, and scrolls if that is not enough.
  fit() {
    const equations = [...this.root.querySelectorAll("math.cw-eq")];
    for (const one of equations) { one.style.fontSize = ""; one.removeAttribute("tabindex"); }
    const parts = equations.map((one) => {
      const room = one.clientWidth - parseFloat(getComputedStyle(one).paddingInlineStart || 0);
      const widest = Math.max(0, ...[...one.children].map((child) => child.getBoundingClientRect().width));
      return room > 0 ? room / widest : 1;
    });
    equations.forEach((one, i) => {
      if (parts[i] >= 1) return;
      one.style.fontSize = `${Math.max(0.85, 1.33 * parts[i] * 0.97).toFixed(3)}rem`;
      if (1.33 * parts[i] * 0.97 < 0.85) one.setAttribute("tabindex", "0");
    });
  }

  describeCurve() {
    text(this.find(".cw-against"), `${this.words(this.state.wanted)} against`);
    this.select.value = this.against;
  }

  // After every move: numbers only.
  update(all = false) {
    const { state } = this;
    for (const name of this.program.cast) this.showRow(name, all);
    const { best } = state;
    this.section.classList.toggle("cw-unsolved", !best);
    if (best) {
      this.slots.fill(best);
      for (const holder of this.roots) this.showRoots(holder);
    }
    this.showResult();
    this.drawCurve();
  }

  showRow(name, rewrite = false) {
    const row = this.rows[name];
    const { state } = this;
    const value = state.value(name);
    const wanted = name === state.wanted;
    const typing = !rewrite && document.activeElement === row.number && !wanted;
    if (!typing && state.problem[name]?.text === undefined) {
      const given = state.given[name];
      const typed = !wanted && given?.text && given.unit === state.unit[name];
      const field = value === null ? "–" : wanted ? formatNumber(value) : typed ? given.text : formatInput(value);
      if (row.number.value !== field) row.number.value = field;
    }
    this.alignment(row.number);
    if (row.usual && value !== null && Number.isFinite(value)) {
      row.slider.value = String(value);
      const said = this.spoken(name, value, wanted ? 4 : 0);
      if (row.slider.getAttribute("aria-valuetext") !== said) row.slider.setAttribute("aria-valuetext", said);
      const part = Math.max(0, Math.min(1, (value - row.low) / (row.high - row.low)));
      row.slider.style.setProperty("--part", part.toFixed(4));
    }
    row.slider.classList.toggle("cw-nowhere", value === null);
    this.showNote(name, value);
  }

  showNote(name, value) {
    const row = this.rows[name];
    const problem = name === this.state.wanted ? null : this.state.problem[name];
    row.element.classList.toggle("cw-bad", Boolean(problem));
    row.number.setAttribute("aria-invalid", problem ? "true" : "false");
    row.element.classList.toggle("cw-unusual", false);
    if (problem) return text(row.note, this.explain(name, problem));
    if (!row.usual) return text(row.note, "");
    const [low, high] = row.usual;
    const span = `${formatInput(low, 3)} to ${this.measure(name, formatInput(high, 3))}`;
    const slack = 1e-9 * (high - low);
    const outsideUsual = value !== null && (value < low - slack || value > high + slack);
    row.element.classList.toggle("cw-unusual", outsideUsual);
    const whole = this.state.quantity(name).whole && value !== null && name !== this.state.wanted && value !== Math.round(value);
    text(row.note, whole ? "a count is a whole number" : outsideUsual ? `outside the usual ${span}` : `usual ${span}`);
  }

  explain(name, problem) {
    const words = this.words(name);
    if (problem.text !== undefined) return problem.text.trim() === "" ? `${words} is empty: type a number, with a point for decimals.` : `${words}: “${problem.text}” is not a number; type one like ${formatInput(this.state.given[name]?.value ?? 1)}, with a point for decimals.`;
    const measure = (value) => this.measure(name, formatInput(value), problem.unit);
    return `${words} = ${measure(problem.value)} is not possible: it must be ${problem.side} ${measure(problem.limit)}.`;
  }

  showResult() {
    const { state } = this;
    const { wanted, best } = state;
    text(this.find(".cw-digits"), best ? formatNumber(state.value(wanted)) : "–");
    const line = this.find(".cw-further");
    text(line, best ? this.sayFurther() : this.sayNone());
  }

  sayFurther() {
    const { state } = this;
    const { wanted } = state;
    const further = state.further().map((si) => this.shown(wanted, state.fromSI(wanted, si), 4));
    if (further.length) return `A further solution: ${further.join(", ")}`;
    if (state.notes.length) return state.notes.join(" ");
    return state.quantity(wanted).whole ? this.sayWhole() : "";
  }

  // A count between two whole numbers: what each of them would give.
  sayWhole() {
    const { state } = this;
    const { wanted } = state;
    const value = state.value(wanted, 0);
    if (Math.abs(value - Math.round(value)) < 1e-9 * Math.abs(value)) return "";
    const given = [Math.floor(value), Math.ceil(value)].map((n) => {
      const x = state.best.slice();
      x[state.place[wanted]] = n;
      const there = this.program.plans[this.against] && state.solver.best(this.against, state.solver.solve(this.against, x));
      return there ? `${n} gives ${this.words(this.against)} ${this.shown(this.against, state.fromSI(this.against, there[state.place[this.against]]), 4)}` : `${n} is not possible`;
    });
    return given.join("; ");
  }

  sayNone() {
    const { state } = this;
    const { broken, wanted } = state;
    if (broken) return `Waiting for ${this.words(broken)}.`;
    const last = state.dropped.at(-1);
    let why = `No ${this.words(wanted)} fits these values.`;
    if (last) {
      const [value, limit] = [last.value, last.limit].map((si) => state.fromSI(last.name, si, state.unit[last.name] ?? 0));
      why = `No solution: ${this.words(last.name)} would be ${this.measure(last.name, formatNumber(value))}, and must be ${last.side} ${this.measure(last.name, formatInput(limit))}.`;
    }
    for (const name of [this.against, ...this.program.cast.filter((one) => one !== wanted && one !== this.against)]) {
      const near = state.nearest(name);
      if (near !== null) return `${why} With all else as it is, the nearest ${this.words(name)} that has one is ${this.shown(name, near)}.`;
    }
    return why;
  }

  sayResult() {
    const { state } = this;
    const { wanted, best, broken } = state;
    if (broken) return this.state.problem[broken] ? this.explain(broken, this.state.problem[broken]) : this.sayNone();
    if (!best) return this.sayNone();
    const others = state.further().map((si) => this.spoken(wanted, state.fromSI(wanted, si), 4));
    return `${this.words(wanted)} ${[this.spoken(wanted, state.value(wanted), 4), ...others].join(", or ")}`;
  }

  showRoots(holder) {
    const name = holder.dataset.find;
    const at = this.state.place[name];
    const values = [...new Set(this.state.solutions.map((x) => x[at]))].sort((u, v) => u - v);
    const parts = values.map((si) => numberParts(this.state.fromSI(name, si, this.state.unit[name] ?? 0)));
    const kind = parts.map((one) => one.sign + one.power).join(" ");
    if (holder.dataset.kind !== kind) {
      const { label } = this.state.units(name);
      holder.innerHTML = parts.map((one, i) => `<math display="block" class="cw-eq cw-numbers">${i ? "<mtext>or</mtext><mspace width=\"0.5em\"></mspace>" : ""}${this.symbol(name)}<mo>=</mo><mrow class="cw-slot">${amount(one, label)}</mrow></math>`).join("");
      holder.dataset.kind = kind;
      return;
    }
    holder.querySelectorAll(".cw-slot").forEach((slot, i) => text(slot.querySelector("mn"), parts[i].digits));
  }

  drawCurve() {
    const { state, against } = this;
    const { wanted } = state;
    if (!against || !state.quantity(against).usual) return;
    const base = state.base(), at = state.place[against], out = state.place[wanted];
    const { usual, bounds } = state.quantity(against);
    const present = base[at];
    const reach = Curve.reach(usual, bounds, state.problem[against] ? null : present);
    const kinds = state.solver.plan(wanted).map((step) => step.by);
    const kind = kinds.includes("roots") ? "roots" : "formula";
    const scratch = new Float64Array(base.length);
    const solve = (x) => {
      scratch.set(base);
      scratch[at] = x;
      return state.solver.solve(wanted, scratch, { coarse: true }).map((one) => one[out]);
    };
    const ux = (si) => state.fromSI(against, si), uy = (si) => state.fromSI(wanted, si);
    const otherwiseBroken = this.program.cast.some((name) => name !== wanted && name !== against && (state.problem[name] || !state.given[name]));
    const found = otherwiseBroken ? [] : strands(solve, Curve.samples(reach, kind, present));
    const paths = found.map((strand) => strand.map(([x, y]) => [ux(x), uy(y)]));
    const label = (name) => { const unit = state.units(name).label; return this.words(name) + (unit ? ` in ${unit}` : ""); };
    this.curve.draw({
      x: { span: reach.map(ux).sort((u, v) => u - v), title: label(against) }, y: { title: label(wanted) }, paths, usual: usual.map(ux).sort((u, v) => u - v),
      present: state.best ? [ux(present), state.value(wanted)] : null, further: state.further().map(uy), stale: !state.best,
      label: `Curve of ${this.words(wanted)} against ${this.words(against)}. ${state.best ? `Now ${this.spoken(wanted, state.value(wanted), 4)} at ${this.spoken(against, ux(present))}.` : ""}`,
    });
  }

  dispose() {
    clearTimeout(this.timer);
    this.observer.disconnect();
  }
}

// "Range, together with drag, rolling and consumption"
function together([first = "", ...others]) {
  if (!others.length) return first;
  const small = others.map((one) => one[0].toLowerCase() + one.slice(1));
  const last = small.pop();
  return `${first}, together with ${small.join(", ")}${small.length ? " and " : ""}${last}`;
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

// Numbers in the rows stand with their decimal points below one another: the room to the right of a
// number makes up for the decimals that it does not have.
function fieldAlignment(section) {
  const field = section.querySelector(".cw-number");
  const style = getComputedStyle(field);
  const context = document.createElement("canvas").getContext("2d");
  context.font = `${style.fontWeight} ${style.fontSize} ${style.fontFamily}`;
  const point = context.measureText("0.0").width / context.measureText("00").width - 1;
  return (input) => {
    const decimals = /^[−-]?[\d\u202f]*(?:\.(\d*))?$/.exec(input.value);
    let room = 0;
    if (decimals) room = Math.max(0, 4 - (decimals[1]?.length ?? 0)) + (decimals[1] === undefined ? 2 * point : 0);
    if (input.value.length > 7) room = Math.min(room, Math.max(0, 10.5 - input.value.length));
    const css = `calc(${room.toFixed(2)}ch + 2px)`;
    if (input.style.paddingRight !== css) input.style.paddingRight = css;
  };
}

export function mount(root, program, host) { return new Board(root, program, host); }

// The still board in the same notebook output makes room for the living one, and comes back after it.
function hideStill(el) {
  let hidden = [];
  let tries = 0;
  const look = () => {
    const output = el.closest(".jp-OutputArea, .output_area, .output");
    if (!output && tries++ < 60) return requestAnimationFrame(look);
    for (const still of output?.querySelectorAll(".cw-still") ?? []) {
      const child = still.closest(".jp-OutputArea-child") ?? still;
      child.style.display = "none";
      hidden.push(child);
    }
  };
  look();
  return () => { tries = Infinity; for (const child of hidden) child.style.display = ""; hidden = []; };
}

function render({ model, el }) {
  let board = null;
  let quiet = false;
  const program = () => {
    const made = structuredClone(model.get("program"));
    const { cast } = made;
    made.wanted = model.get("wanted") || made.wanted;
    made.chosen_units = { ...made.chosen_units, ...model.get("chosen_units") };
    // a synced trait is in the first unit; the value as typed is kept where both say the same
    for (const name of cast) {
      const value = model.get(name);
      if (typeof value !== "number") continue;
      const [, factor, offset] = made.quantities[name].units[made.chosen_units[name] ?? 0];
      const [, first, start] = made.quantities[name].units[0];
      const typed = made.values[name];
      const same = typeof typed === "number" && Math.abs((typed * factor + offset - start) / first - value) <= 1e-12 * Math.abs(value);
      if (!same) made.values[name] = (value * first + start - offset) / factor;
    }
    return made;
  };
  const set = (name, value) => { if (model.get(name) !== value) model.set(name, value); };
  const host = {
    move({ state, program: { cast } }) {
      if (quiet) return;
      quiet = true;
      set("wanted", state.wanted);
      for (const name of cast) {
        if (name !== state.wanted && state.problem[name]) continue;
        set(name, state.value(name, 0));
      }
      set("error", state.best ? "" : board?.sayResult() ?? "");
      quiet = false;
    },
    settle() { model.save_changes(); },
    unit(name, index) { model.set("chosen_units", { ...model.get("chosen_units"), [name]: index }); },
  };
  let listeners = [];
  const listen = (event, act) => { model.on(event, act); listeners.push([event, act]); };
  const stop = () => {
    board?.dispose();
    for (const [event, act] of listeners) model.off(event, act);
    listeners = [];
  };
  const start = () => {
    stop();
    board = mount(el, program(), host);
    for (const name of board.program.cast) listen(`change:${name}`, () => { if (!quiet) board.receive(name, model.get(name)); });
    listen("change:wanted", () => { if (!quiet) board.receiveWanted(model.get("wanted")); });
    listen("change:program", start);
    host.move(board);
    model.save_changes();
  };
  start();
  const showStill = hideStill(el);
  return () => { stop(); showStill(); };
}

export default { render };
