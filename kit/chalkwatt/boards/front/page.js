// Several boards on one page: they share quantities and laws, a quantity that two of them are given
// moves in both, and the address of the page keeps what was typed, so that it can be passed on.
import { mount } from "./board.js";
import { text } from "./curve.js";
import { parseNumber } from "./numbers.js";

const LONGEST_ADDRESS = 20000;
const UNREAD = "A part of this page’s address could not be read and was left out.";
const HOW_TO_SHARE = "The address of this page holds what you have typed: copy it to share the page as it stands.";

// A board's own program out of what all of the page's boards share.
function expand({ quantities, relations, steps }, { names, units, plans, ...program }) {
  const own = Object.fromEntries(names.map((name, i) => {
    const entry = quantities[name];
    return [name, { ...entry, units: entry.units.slice(0, units[i]) }];
  }));
  const made = Object.entries(plans).map(([name, plan]) => [name, { ...plan, steps: plan.steps.map((i) => steps[i]) }]);
  return { ...program, quantities: own, relations, plans: Object.fromEntries(made) };
}

// One value as it stands in the address: "110 km/h", and after a semicolon the unit it is shown in.
function written(state, name) {
  const { value, unit } = state.given[name];
  const { label } = state.units(name, unit);
  const shown = state.unit[name] === unit ? "" : `;${state.units(name).label}`;
  return `${value}${label && ` ${label}`}${shown}`;
}

function read(state, name, wording) {
  const [, digits, label = "", , shown = label] = /^(\S+?)(?: ([^;]*))?(;(.*))?$/.exec(wording) ?? [];
  const value = parseNumber(digits ?? "");
  const [unit, seen] = [label, shown].map((one) => state.quantity(name).units.findIndex(([known]) => known === one));
  return Number.isFinite(value) && unit >= 0 && seen >= 0 ? { value, unit, seen } : null;
}

const readable = (part) => encodeURIComponent(part).replaceAll("%2F", "/").replaceAll("%20", "+").replaceAll("%3B", ";");

export class Page {
  constructor({ linked, boards, ...shared }) {
    this.linked = linked;
    this.shared = shared;
    this.waiting = boards.map((one) => ({ ...one, place: document.getElementById(one.id) }));
    for (const { place } of this.waiting) place.dataset.told = place.firstElementChild.getAttribute("aria-label");
    // id -> board
    this.open = new Map();
    // quantity -> what boards that open later are to follow
    this.moved = new Map();
    this.saved = this.readAddress();
    this.next();
    this.shareNote();
    addEventListener("hashchange", () => this.recall());
    addEventListener("beforeprint", () => this.print(true));
    addEventListener("afterprint", () => this.print(false));
  }

  // The first board opens at once, the others one by one while the reader looks at it.
  next() {
    this.openOne();
    if (this.waiting.length) requestAnimationFrame(() => setTimeout(() => this.next()));
  }

  openAll() {
    while (this.waiting.length) this.openOne();
  }

  openOne() {
    const one = this.waiting.shift();
    if (!one) return;
    const host = {
      heading: one.heading,
      given: (board, name) => this.follow(board, name),
      settle: () => this.writeAddress(),
    };
    const board = mount(one.place, expand(this.shared, one.program), host);
    one.place.classList.remove("cw-hidden");
    board.section.setAttribute("aria-label", one.place.dataset.told);
    this.open.set(one.id, board);
    this.quietly(() => {
      if (this.saved.has(one.id)) board.recall(this.reading(board.state, this.saved.get(one.id)));
      else for (const [name, known] of this.moved) board.take(name, known);
    });
    text(this.note(), this.unread ? UNREAD : "");
  }

  quietly(work) {
    const before = this.busy;
    this.busy = true;
    try { work(); } finally { this.busy = before; }
  }

  // ---- what moves together

  follow(source, name) {
    if (this.busy || !(this.linked === true || this.linked?.includes?.(name))) return;
    const { value, unit } = source.state.given[name];
    const { label, factor, offset } = source.state.units(name, unit);
    const known = { value, label, si: value * factor + offset };
    this.moved.set(name, known);
    this.quietly(() => { for (const board of this.open.values()) if (board !== source) board.take(name, known); });
  }

  // ---- the address

  // What the address says of each board: id -> Map of key -> wording. Never more than text.
  readAddress() {
    const found = new Map();
    const said = location.hash.slice(1);
    this.unread = said.length > LONGEST_ADDRESS;
    if (!said || this.unread || document.getElementById(said)) return found;
    const ids = [...this.waiting.map(({ id }) => id), ...this.open?.keys() ?? []];
    for (const [key, wording] of new URLSearchParams(said)) {
      const [id, name] = key.split(".");
      if (!ids.includes(id) || !name) { this.unread = true; continue; }
      if (!found.has(id)) found.set(id, new Map());
      found.get(id).set(name, wording);
    }
    return found;
  }

  // The same in a board's own terms; whatever is not known to it is left out.
  reading(state, said) {
    const { cast, plans } = state.program;
    const made = { wanted: null, values: {}, shown: {} };
    for (const [name, wording] of said) {
      if (name === "wanted") {
        const [wanted, ...label] = wording.split(" ");
        const known = cast.includes(wanted) && Object.hasOwn(plans, wanted);
        const unit = known ? state.quantity(wanted).units.findIndex(([one]) => one === label.join(" ")) : -1;
        if (unit < 0) this.unread = true;
        else { made.wanted = wanted; made.shown[wanted] = unit; }
        continue;
      }
      const value = cast.includes(name) ? read(state, name, wording) : null;
      if (!value) { this.unread = true; continue; }
      made.values[name] = value;
      made.shown[name] ??= value.seen;
    }
    return made;
  }

  recall() {
    if (location.hash === this.written) return;
    this.openAll();
    this.saved = this.readAddress();
    // a place on the page
    if (location.hash.length > 1 && !this.saved.size && !this.unread) return;
    this.quietly(() => {
      for (const [id, board] of this.open) board.recall(this.reading(board.state, this.saved.get(id) ?? new Map()));
    });
    text(this.note(), this.unread ? UNREAD : "");
  }

  writeAddress() {
    if (this.busy) return;
    this.openAll();
    const parts = [];
    for (const [id, { state }] of this.open) {
      if (!state.touched) continue;
      const { wanted } = state;
      parts.push([`${id}.wanted`, `${wanted} ${state.units(wanted).label}`.trim()]);
      for (const name of state.program.cast) if (name !== wanted && state.given[name]) parts.push([`${id}.${name}`, written(state, name)]);
    }
    this.written = parts.length ? `#${parts.map((pair) => pair.map(readable).join("=")).join("&")}` : "";
    try {
      history.replaceState(history.state, "", this.written || location.href.split("#")[0]);
    } catch (error) {
      // a page inside another one may have no address
      if (error.name !== "SecurityError") throw error;
    }
  }

  note() { return this.noted ??= document.querySelector(".cw-address"); }

  shareNote() {
    text(document.querySelector(".cw-share"), HOW_TO_SHARE);
  }

  // ---- on paper everything is open

  print(now) {
    this.openAll();
    if (now) for (const board of this.open.values()) board.show();
    for (const one of document.querySelectorAll("main details")) {
      if (now && !one.open) { one.open = true; one.dataset.shut = ""; }
      else if (!now && "shut" in one.dataset) { one.open = false; delete one.dataset.shut; }
    }
  }
}
