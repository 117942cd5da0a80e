// The board of a topic: rows of quantities, working, every solution, a curve. It stands in a page by
// itself (`mount`) and in a notebook through widget.js.
import { Curve, strands, text } from "./curve.js";
import { escape, symbol } from "./equation.js";
import { formatNumber, onGrid, resultDigits } from "./numbers.js";
import { Row, pointWidth, rowMarkup } from "./row.js";
import { State } from "./state.js";
import { Words } from "./words.js";
import { Working } from "./working.js";

// of the program, as in rendering/browser_program.py
const VERSION = 1;
// ms without a move before a value counts as settled
const SETTLE = 250;

export class Board {
  constructor(root, program, host = {}) {
    Object.assign(this, { root, program, host });
    this.state = new State(program);
    this.words = new Words(this.state);
    this.against = null;
    // the first curve waits until the browser says how wide it may be
    this.drawn = false;
    this.build();
    this.want();
  }

  find(selector) { return this.root.querySelector(selector); }

  build() {
    const { title, caution, cast } = this.program;
    const heading = this.host.heading ?? "h2";
    // A notebook loads this module anew for every board: a counter would begin again each time.
    const id = `cw${Math.random().toString(36).slice(2, 10)}`;
    const rows = cast.map((name, i) => rowMarkup(this.state.quantity(name), id, `${id}-${i}`));
    this.root.innerHTML = `<section class="chalkwatt" aria-label="${escape(title)}"><div class="cw-sheet">
<header class="cw-head"><${heading}>${escape(title)}</${heading}>${caution ? `<p class="cw-caution">${escape(caution)}</p>` : ""}</header>
<div class="cw-result"><p class="cw-big"></p><p class="cw-further"></p></div>
<div class="cw-working"></div>
<figure class="cw-curve"><figcaption><span class="cw-against"></span> <select aria-label="Curve against"></select></figcaption><div class="cw-canvas"></div></figure>
<div class="cw-side"><div class="cw-rows" role="group" aria-label="Quantities; one of them is solved for">${rows.join("")}<p class="cw-feet"><button type="button" class="cw-reset">Reset</button></p></div>
<details class="cw-more"><summary>Assumptions and sources</summary><div></div></details></div>
<p class="cw-live" aria-live="polite"></p></div></section>`;
    this.section = this.root.firstElementChild;
    // Jupyter turns arrow keys into notebook commands unless they stop here.
    for (const kind of ["keydown", "keyup", "keypress"]) this.section.addEventListener(kind, (event) => event.stopPropagation());
    const elements = this.root.querySelectorAll(".cw-row");
    const point = pointWidth(this.root);
    this.rows = Object.fromEntries(cast.map((name, i) => [name, new Row(elements[i], name, this.state, this.words, this, point)]));
    this.working = new Working(this.state, this.find(".cw-working"), this.find(".cw-more div"));
    this.more = this.find(".cw-more");
    // built on the click, before they show; a browser's own search opens them without one
    this.more.firstElementChild.addEventListener("click", () => this.working.showSources());
    this.more.addEventListener("toggle", () => this.working.showSources());
    this.find(".cw-reset").addEventListener("click", () => this.reset());
    this.buildCurve();
  }

  buildCurve() {
    const canvas = this.find(".cw-canvas");
    this.curve = new Curve(canvas);
    this.select = this.find("figure select");
    this.select.addEventListener("change", () => { this.against = this.select.value; this.curve.forget(); this.drawCurve(); });
    this.curve.onDrag((x) => this.dragTo(x), () => this.settle());
    this.observer = new ResizeObserver(() => {
      const resized = this.curve.resize(canvas.clientWidth);
      if (resized || !this.drawn) {
        this.drawn = true;
        this.drawCurve();
      }
      this.working.fit();
    });
    this.observer.observe(canvas);
  }

  // ---- what people do

  pick(name) {
    this.state.want(name);
    this.want();
    this.moved(true);
  }

  give(name, value, typed, unit = this.state.unit[name]) {
    this.state.give(name, value, unit, typed);
    this.host.given?.(this, name);
    this.changed();
  }

  refuse(name, typed) {
    this.state.refuse(name, { text: typed });
    this.changed();
  }

  restore(name) {
    const { value, unit, text: typed } = this.state.given[name];
    this.give(name, value, typed, unit);
  }

  unit(name, index) {
    this.state.choose(name, index);
    this.host.unit?.(name, index);
    this.want();
    this.moved(true);
  }

  // A point of the curve, dragged: within physical bounds only.
  dragTo(x) {
    const { step } = this.rows[this.against];
    const value = onGrid(x, step);
    if (!this.state.judge(this.against, value, this.state.unit[this.against])) this.give(this.against, value, null);
  }

  reset() {
    this.state.reset();
    this.against = this.lastWanted = null;
    for (const name of this.program.cast) this.host.unit?.(name, this.state.unit[name]);
    for (const name of this.program.cast) if (name !== this.state.wanted) this.host.given?.(this, name);
    this.want();
    this.moved(true);
  }

  // ---- values that arrive from the host, in the first unit

  receive(name, value) {
    const { state } = this;
    if (name === state.wanted || typeof value !== "number") return;
    if (state.value(name, 0) === value && !state.problem[name]) return;
    this.give(name, value, null, 0);
    this.rows[name].show(true);
  }

  // A value of another board on the same page, in the unit that it was typed in there.
  take(name, { value, label, si }) {
    const { state } = this;
    if (name === state.wanted || !this.program.cast.includes(name)) return;
    const same = state.quantity(name).units.findIndex(([one]) => one === label);
    const unit = Math.max(0, same);
    const here = same < 0 ? state.fromSI(name, si, unit) : value;
    if (state.given[name]?.value === here && state.given[name].unit === unit && !state.problem[name]) return;
    this.give(name, here, null, unit);
    this.rows[name].show(true);
  }

  recall(saved) {
    this.state.recall(saved);
    this.against = this.lastWanted = null;
    this.want();
  }

  // On paper the sources are there without a click, and a curve that nobody has scrolled to yet.
  show() {
    this.drawn = true;
    this.curve.resize(this.find(".cw-canvas").clientWidth);
    this.drawCurve();
    this.working.showSources();
  }

  receiveWanted(name) {
    if (name !== this.state.wanted && this.program.plans[name]) this.pick(name);
  }

  changed() {
    this.state.solve();
    this.update();
    this.moved();
  }

  moved(now = false) {
    this.host.move?.(this);
    clearTimeout(this.timer);
    if (now) this.settle();
    else this.timer = setTimeout(() => this.settle(), SETTLE);
  }

  settle() {
    clearTimeout(this.timer);
    text(this.find(".cw-live"), this.words.result(this.against));
    this.host.settle?.(this);
  }

  // ---- what the board shows

  // After a change of the wanted or of a unit: new structure, then numbers.
  want() {
    const { wanted } = this.state;
    const others = this.program.cast.filter((name) => name !== wanted);
    if (!this.against || this.against === wanted) this.against = this.favourite(others);
    this.select.innerHTML = others.map((name) => `<option value="${name}">${escape(this.words.of(name))}</option>`).join("");
    this.select.value = this.against;
    text(this.find(".cw-against"), `${this.words.of(wanted)} against`);
    const { steps } = this.program.plans[wanted];
    const one = ({ by, forms = [], rest }) => by === "formula" && forms.length === 1 && !rest;
    this.section.classList.toggle("cw-single", steps.every(one) && !this.state.quantity(wanted).whole);
    for (const row of Object.values(this.rows)) row.build();
    this.curve.forget();
    this.working.build();
    if (this.more.open) this.working.showSources();
    this.buildResult();
    this.update(true);
    if (this.drawn) this.working.fit();
    this.lastWanted = wanted;
  }

  // The known along the curve: what was solved for before, a result of the topic that is given now, or
  // the first that matters.
  favourite(others) {
    if (others.includes(this.lastWanted)) return this.lastWanted;
    const { outcomes = [] } = this.program;
    const used = new Set();
    const walk = (tree) => { if (typeof tree === "string") used.add(tree); else if (Array.isArray(tree)) tree.slice(1).forEach(walk); };
    for (const { forms = [], residual = [] } of this.program.plans[this.state.wanted].steps) [...forms, ...residual].forEach(walk);
    const useful = others.filter((name) => used.has(name));
    const given = outcomes.includes(this.state.wanted) ? undefined : outcomes.find((name) => useful.includes(name));
    return given ?? useful[0] ?? others[0];
  }

  buildResult() {
    const { wanted } = this.state;
    const letters = symbol(this.state.quantity(wanted).symbol);
    this.find(".cw-big").innerHTML = `<span class="cw-name">${escape(this.words.of(wanted))}</span> <span class="cw-equals"><math>${letters}<mo>=</mo></math></span> <span class="cw-answer"><span class="cw-digits"></span>\u202f<span class="cw-of">${escape(this.state.units(wanted).label)}</span></span>`;
  }

  // After every move: numbers only.
  update(rewrite = false) {
    const { best, wanted } = this.state;
    for (const row of Object.values(this.rows)) row.show(rewrite);
    this.section.classList.toggle("cw-unsolved", !best);
    if (best) this.working.fill();
    text(this.find(".cw-digits"), best ? formatNumber(this.state.value(wanted), resultDigits(this.state.value(wanted), this.state.quantity(wanted).whole)) : "–");
    text(this.find("p.cw-further"), this.words.beside(this.against));
    if (this.drawn) this.drawCurve();
  }

  drawCurve() {
    const { state, against, words } = this;
    const { wanted, best } = state;
    const { usual, bounds } = state.quantity(against);
    if (!usual) return;
    const base = state.base(), at = state.place[against], out = state.place[wanted];
    const present = base[at];
    const reach = Curve.reach(usual, bounds, state.problem[against] ? null : present);
    const scratch = new Float64Array(base.length);
    const solve = (x) => {
      scratch.set(base);
      scratch[at] = x;
      return state.solver.solve(wanted, scratch, { coarse: true }).map((one) => one[out]);
    };
    const othersBroken = this.program.cast.some((name) => name !== wanted && name !== against && (state.problem[name] || !state.given[name]));
    const found = othersBroken ? [] : strands(solve, Curve.samples(reach, state.solver.searches(wanted), present));
    const ux = (si) => state.fromSI(against, si), uy = (si) => state.fromSI(wanted, si);
    const rising = (u, v) => u - v;
    const now = best ? ` Now ${words.spoken(wanted, state.value(wanted), 4)} at ${words.spoken(against, ux(present))}.` : "";
    this.curve.draw({
      x: { span: reach.map(ux).sort(rising), title: words.axis(against) },
      y: { title: words.axis(wanted) },
      paths: found.map((strand) => strand.map(([x, y]) => [ux(x), uy(y)])),
      usual: usual.map(ux).sort(rising),
      present: best ? [ux(present), state.value(wanted)] : null,
      further: state.further().map(uy),
      stale: !best,
      label: `Curve of ${words.of(wanted)} against ${words.of(against)}.${now}`,
    });
  }

  dispose() {
    clearTimeout(this.timer);
    this.observer.disconnect();
  }
}

export function mount(root, program, host) {
  if (program.version === VERSION) return new Board(root, program, host);
  const told = `Made for version ${program.version} of the board format; what should show it knows version ${VERSION}: make the board anew.`;
  root.textContent = told;
  throw new Error(told);
}
