// One row of a board: what is solved for, symbol, name, slider, number, unit, and a note.
import { text } from "./curve.js";
import { escape, symbol } from "./equation.js";
import { formatInput, formatNumber, onGrid, parseNumber, resultDigits, roundBelow } from "./numbers.js";

export function rowMarkup({ words, symbol: letters, units, sentence }, group, id) {
  const name = escape(words);
  const choice = units.length > 1
    ? `<select class="cw-unit" aria-label="unit of ${name}">${units.map(([label], i) => `<option value="${i}">${escape(label || "–")}</option>`).join("")}</select>`
    : `<span class="cw-unit">${escape(units[0][0])}</span>`;
  return `<div class="cw-row"><input type="radio" name="${group}" class="cw-pick" aria-label="Solve for ${name}" title="Solve for ${name}">
<label class="cw-words" for="${id}" title="${escape(sentence ?? "")}"><span class="cw-symbol" aria-hidden="true"><math>${symbol(letters)}</math></span> <span>${name}</span></label>
<input type="range" class="cw-slider" aria-label="${name}, slider"><input type="text" inputmode="decimal" autocomplete="off" spellcheck="false" class="cw-number" id="${id}" aria-describedby="${id}-note">${choice}
<p class="cw-note" id="${id}-note"></p></div>`;
}

// `on` tells the board what was done: pick, give, refuse, restore, settle, unit.
export class Row {
  constructor(element, name, state, words, on, point) {
    Object.assign(this, { element, name, state, words, on });
    const part = (selector) => element.querySelector(selector);
    this.pick = part(".cw-pick");
    this.slider = part(".cw-slider");
    this.number = part(".cw-number");
    this.unit = part("select.cw-unit");
    this.note = part(".cw-note");
    this.align = fieldAlignment(this.number, point);
    this.pick.addEventListener("change", () => on.pick(name));
    this.slider.addEventListener("input", () => this.slide(Number(this.slider.value)));
    this.slider.addEventListener("change", () => on.settle());
    this.number.addEventListener("input", () => this.type());
    this.number.addEventListener("change", () => { this.show(true); on.settle(); });
    this.number.addEventListener("keydown", (event) => this.key(event));
    this.unit?.addEventListener("change", () => on.unit(name, Number(this.unit.value)));
  }

  slide(value) { this.on.give(this.name, this.step ? onGrid(value, this.step) : value, null); }

  type() {
    const value = parseNumber(this.number.value);
    if (Number.isFinite(value)) this.on.give(this.name, value, this.number.value);
    else this.on.refuse(this.name, this.number.value);
  }

  key(event) {
    if (this.number.readOnly) return;
    const nonsense = this.state.problem[this.name]?.text !== undefined;
    if (event.key === "Escape" && nonsense && this.state.given[this.name]) {
      this.on.restore(this.name);
      this.show(true);
    } else if ((event.key === "ArrowUp" || event.key === "ArrowDown") && this.step && !nonsense) {
      event.preventDefault();
      this.slide(this.state.value(this.name) + (event.key === "ArrowUp" ? this.step : -this.step));
      this.show(true);
    }
  }

  // After a change of the wanted or of the unit: what can be moved, and over which span.
  build() {
    const { name, state } = this;
    const wanted = name === state.wanted;
    const { usual, whole } = state.quantity(name);
    this.element.classList.toggle("cw-wanted", wanted);
    this.pick.checked = wanted;
    // a row that cannot be turned round stays a given one
    this.pick.disabled = !state.program.plans[name];
    this.number.readOnly = wanted;
    this.slider.disabled = wanted;
    if (this.unit) this.unit.value = String(state.unit[name]);
    this.step = 0;
    if (!usual) { this.slider.style.visibility = "hidden"; return; }
    this.usual = usual.map((si) => state.fromSI(name, si)).sort((u, v) => u - v);
    const [low, high] = this.usual;
    this.step = roundBelow((high - low) / 190);
    if (whole) this.step = Math.max(1, Math.round(this.step));
    const end = (round, value, dust) => onGrid(round(value / this.step + dust) * this.step, this.step);
    Object.assign(this.slider, { min: end(Math.floor, low, 1e-6), max: end(Math.ceil, high, -1e-6), step: this.step });
  }

  show(rewrite = false) {
    const { name, state } = this;
    const value = state.value(name);
    const wanted = name === state.wanted;
    const typing = !rewrite && document.activeElement === this.number && !wanted;
    if (!typing && state.problem[name]?.text === undefined) {
      const given = state.given[name];
      const typed = !wanted && given?.text && given.unit === state.unit[name];
      const field = value === null ? "–" : wanted ? formatNumber(value, resultDigits(value, state.quantity(name).whole)) : typed ? given.text : formatInput(value);
      if (this.number.value !== field) this.number.value = field;
    }
    this.align();
    if (this.usual && value !== null && Number.isFinite(value)) {
      this.slider.value = String(value);
      const said = this.words.spoken(name, value, wanted ? 4 : 0);
      if (this.slider.getAttribute("aria-valuetext") !== said) this.slider.setAttribute("aria-valuetext", said);
    }
    this.slider.classList.toggle("cw-nowhere", value === null);
    this.showNote(value);
  }

  showNote(value) {
    const { name, state, usual } = this;
    const problem = name !== state.wanted && state.problem[name];
    this.element.classList.toggle("cw-bad", Boolean(problem));
    this.number.setAttribute("aria-invalid", problem ? "true" : "false");
    const room = usual ? 1e-9 * (usual[1] - usual[0]) : 0;
    const unusual = !problem && usual && value !== null && (value < usual[0] - room || value > usual[1] + room);
    this.element.classList.toggle("cw-unusual", Boolean(unusual));
    if (problem) return text(this.note, this.words.problem(name));
    if (!usual) return text(this.note, "");
    const span = this.words.usual(name, usual);
    const broken = state.quantity(name).whole && value !== null && name !== state.wanted && value !== Math.round(value);
    text(this.note, broken ? "a count is a whole number" : unusual ? `outside the usual ${span}` : `usual ${span}`);
  }
}

// Numbers in the rows stand with their decimal points below one another: the room to the right of a
// number makes up for the decimals that it does not have.
// font -> width of a decimal point in digits
const points = new Map();

// Asked of the element around the board: inside it, a style hangs on the width, and so on a whole layout.
export function pointWidth(around) {
  const { fontWeight, fontFamily } = getComputedStyle(around);
  const font = `${fontWeight} 16px ${fontFamily}`;
  if (!points.has(font)) {
    const context = document.createElement("canvas").getContext("2d");
    context.font = font;
    points.set(font, context.measureText("0.0").width / context.measureText("0").width - 2);
  }
  return points.get(font);
}

function fieldAlignment(input, point) {
  return () => {
    const decimals = /^[−-]?[\d\u202f]*(?:\.(\d*))?$/.exec(input.value);
    let room = 0;
    if (decimals) room = Math.max(0, 4 - (decimals[1]?.length ?? 0)) + (decimals[1] === undefined ? point : 0);
    // A long number needs its room for itself; the bold digits of a result are a little wider.
    if (input.value.length > 6) room = Math.min(room, Math.max(0, 9.9 - 1.05 * input.value.length));
    const css = `calc(${room.toFixed(2)}ch + 2px)`;
    if (input.style.paddingRight !== css) input.style.paddingRight = css;
  };
}
