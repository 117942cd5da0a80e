// Equations as MathML, in the author's order of terms. In a line of numbers every number is a slot:
// a moving slider replaces the text in the slots and leaves the structure alone.
import { numberParts } from "./numbers.js";

const SUM = 1, PRODUCT = 2, POWER = 3, ATOM = 4;
const INVISIBLE_TIMES = "<mo>&#x2062;</mo>";

export const escape = (text) => String(text).replace(/[&<>"]/g, (c) => `&#${c.charCodeAt(0)};`);

export function symbol([base, subscript]) {
  const letter = `<mi>${escape(base)}</mi>`;
  return subscript ? `<msub>${letter}<mi mathvariant="normal">${escape(subscript)}</mi></msub>` : letter;
}

const plainNumber = (x) => numberMarkup(numberParts(x, 6, true));

function numberMarkup({ sign, digits, power }) {
  const minus = sign && `<mo form="prefix">${sign}</mo>`;
  const ten = power === null ? "" : `<mo>×</mo><msup><mn>10</mn>${power < 0 ? `<mrow><mo>−</mo><mn>${-power}</mn></mrow>` : `<mn>${power}</mn>`}</msup>`;
  return `${minus}<mn>${digits}</mn>${ten}`;
}

// A row of a number, a thin space and a unit.
export function amount(parts, label, guard = false) {
  const unit = label && `<mspace width="0.17em"></mspace><mtext>${escape(label)}</mtext>`;
  const inner = numberMarkup(parts) + unit;
  return guard ? `<mo>(</mo>${inner}<mo>)</mo>` : inner;
}

// An equation on a line of its own, whose top-level pieces are where it may break.
export function line(markup, kind = "") {
  const pieces = markup.replaceAll(INVISIBLE_TIMES, INVISIBLE_TIMES.replace("<mo>", "<mo class=\"cw-times\">"));
  return `<math display="block" class="cw-eq ${kind}">${pieces}</math>`;
}

// `leaf(name, role)` writes a quantity: its symbol, or a slot for its number; `written` names functions.
export class Printer {
  constructor(leaf, written, numeric = false) {
    Object.assign(this, { leaf, written });
    this.times = numeric ? "<mo>×</mo>" : INVISIBLE_TIMES;
    this.numeric = numeric;
  }

  // The pieces of an expression between which a line may break.
  pieces(tree) {
    if (Array.isArray(tree) && tree[0] === "+") return this.sum(tree);
    if (Array.isArray(tree) && tree[0] === "*") return this.product(tree);
    return this.print(tree);
  }

  print(tree, least = 0, role = "") {
    if (typeof tree === "number") {
      // a number with a power of ten is a product of two
      const tens = numberParts(tree, 6, true).power !== null;
      const loose = (tree < 0 && least > SUM) || (tens && (least >= ATOM || role === "under"));
      return loose ? this.fence(plainNumber(tree)) : plainNumber(tree);
    }
    if (typeof tree === "string") return this.leaf(tree, least >= ATOM ? "base" : role);
    const [level, markup] = this.operation(tree, role);
    return level < least ? this.fence(markup) : level === ATOM ? markup : `<mrow>${markup}</mrow>`;
  }

  fence(markup) { return `<mrow><mo>(</mo>${markup}<mo>)</mo></mrow>`; }

  // The role is that of the leading factor.
  operation([op, ...parts], role = "") {
    const [first, second] = parts;
    switch (op) {
      case "+": return [SUM, this.sum([op, ...parts])];
      case "-": return [SUM, `<mo form="prefix">−</mo>${this.print(first, PRODUCT, "factor")}`];
      case "*": return [PRODUCT, this.product([op, ...parts], role)];
      case "/": return [ATOM, this.fraction(first, second)];
      case "^": return [POWER, this.power(first, second)];
      case "sqrt": return [ATOM, `<msqrt>${this.print(first)}</msqrt>`];
      case "cbrt": return [ATOM, `<mroot><mrow>${this.print(first)}</mrow><mn>3</mn></mroot>`];
      case "abs": return [ATOM, `<mrow><mo form="prefix">|</mo>${this.print(first)}<mo form="postfix">|</mo></mrow>`];
      case "exp": return [POWER, `<msup><mi>e</mi><mrow>${this.print(first)}</mrow></msup>`];
    }
    const name = `<mi>${this.written[op] ?? op}</mi><mo>&#x2061;</mo>`;
    const args = parts.map((part) => this.print(part)).join("<mo>,</mo>");
    return [PRODUCT, `<mrow>${name}${this.fence(args)}</mrow>`];
  }

  sum([, ...parts]) {
    return parts.map((part, i) => {
      const minus = Array.isArray(part) && part[0] === "-";
      if (i === 0) return minus ? `<mrow>${this.operation(part)[1]}</mrow>` : this.print(part, SUM);
      if (minus) return "<mo>−</mo>" + this.print(part[1], PRODUCT, "factor");
      if (typeof part === "number" && part < 0) return "<mo>−</mo>" + plainNumber(-part);
      return "<mo>+</mo>" + this.print(part, PRODUCT, "factor");
    }).join("");
  }

  product([, ...parts], role = "") {
    return parts.map((part, i) => {
      const factor = this.print(part, PRODUCT, i ? "factor" : role);
      return i === 0 ? factor : this.between(parts[i - 1], part) + factor;
    }).join("");
  }

  between(left, right) {
    const digits = (part) => typeof part === "number";
    return !this.numeric && digits(right) ? "<mo>×</mo>" : digits(left) && digits(right) ? "<mo>×</mo>" : this.times;
  }

  fraction(over, under) {
    const markup = `<mfrac><mrow>${this.bare(over)}</mrow><mrow>${this.bare(under)}</mrow></mfrac>`;
    const small = typeof over === "number" && typeof under === "number";
    return small ? `<mstyle displaystyle="false">${markup}</mstyle>` : markup;
  }

  bare(tree) { return Array.isArray(tree) ? this.operation(tree)[1] : this.print(tree); }

  power(base, exponent) {
    // The base first: slots are filled in the order in which they are written.
    const fenced = Array.isArray(base) && base[0] === "/";
    const lower = fenced ? this.fence(this.print(base)) : this.print(base, ATOM);
    return `<msup>${lower}<mrow>${this.print(exponent)}</mrow></msup>`;
  }
}

// The numbers of a working: `slot` writes the markup, `fill` keeps it up to date.
export class Slots {
  constructor(describe) {
    // name, unit -> { label, value(state) }
    this.describe = describe;
    this.leaves = [];
  }

  leaf = (name, role, unit) => {
    this.leaves.push([name, role, unit]);
    return "<mrow class=\"cw-slot\"></mrow>";
  };

  attach(root) {
    this.items = [...root.querySelectorAll(".cw-slot")].map((element, i) => {
      const [name, role, unit] = this.leaves[i];
      return { element, kind: "", role, text: null, ...this.describe(name, unit) };
    });
  }

  fill(state) {
    for (const item of this.items) {
      const parts = item.parts(item.value(state));
      const kind = parts.sign + (parts.power ?? "");
      const guard = item.role === "base" || (item.role === "factor" && parts.sign !== "");
      if (item.text === null || kind !== item.kind) {
        item.element.innerHTML = amount(parts, item.label, guard);
        item.text = item.element.querySelector("mn").firstChild;
        item.kind = kind;
      } else if (item.text.data !== parts.digits) item.text.data = parts.digits;
    }
  }
}
