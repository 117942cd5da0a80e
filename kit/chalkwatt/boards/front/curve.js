// The curve of the wanted quantity against one known: thin axes, few round ticks, every branch.
import { formatInput, roundBelow } from "./numbers.js";

const SVG = "http://www.w3.org/2000/svg";
const SAMPLES = 120, SEARCHED_SAMPLES = 56;

function put(parent, kind, attributes = {}) {
  const element = document.createElementNS(SVG, kind);
  set(element, attributes);
  parent.append(element);
  return element;
}

function set(element, attributes) {
  for (const [name, value] of Object.entries(attributes)) {
    const text = typeof value === "number" ? String(Math.round(value * 100) / 100) : value;
    if (element.getAttribute(name) !== text) element.setAttribute(name, text);
  }
}

export function ticks(low, high, most = 5) {
  const raw = (high - low) / most;
  let step = roundBelow(raw);
  for (const factor of [1, 2, 2.5, 5, 10]) if (step * factor >= raw * 0.999) { step *= factor; break; }
  const made = [];
  for (let i = Math.ceil(low / step - 1e-9); i * step <= high + step * 1e-9; i++) made.push(i === 0 ? 0 : Number((i * step).toPrecision(12)));
  return { step, values: made };
}

// Samples of every solution along x, as connected strands of [x, y].
export function strands(solve, xs) {
  const done = [];
  let open = [];
  let before = null;
  for (const x of xs) {
    const ys = solve(x);
    if (before !== null && ys.length !== open.length) {
      const edge = fold(solve, before, x, open.length, ys.length);
      // strands turn sharply at a fold: more points, closer together towards it
      const closer = [0.55, 0.25, 0.08, 0.015];
      for (const part of closer) {
        const near = edge.leftX - (edge.leftX - before) * part;
        open = connect(open, solve(near), near, done);
      }
      open = connect(open, edge.left, edge.leftX, done);
      open = meet(open, edge.right, edge.rightX, done);
      for (const part of closer.toReversed()) {
        const near = edge.rightX + (x - edge.rightX) * part;
        open = connect(open, solve(near), near, done);
      }
    }
    open = connect(open, ys, x, done);
    before = x;
  }
  done.push(...open);
  return done.filter((strand) => strand.length > 1);
}

// Where the number of solutions changes, found by halving.
function fold(solve, from, to, count, otherCount) {
  let left = solve(from), right = solve(to);
  for (let i = 0; i < 22; i++) {
    const middle = (from + to) / 2;
    const ys = solve(middle);
    if (ys.length === count) [from, left] = [middle, ys];
    else { [to, right] = [middle, ys]; if (ys.length !== otherCount) otherCount = ys.length; }
  }
  return { left, leftX: from, right, rightX: to };
}

function connect(open, ys, x, done) {
  if (open.length === ys.length) {
    open.forEach((strand, i) => strand.push([x, ys[i]]));
    return open;
  }
  return meet(open, ys, x, done);
}

// Two strands that end, or begin, together are joined at the fold.
function meet(open, ys, x, done) {
  const left = open.slice();
  const next = ys.map((y) => {
    let nearest = -1, least = Infinity;
    left.forEach((strand, i) => {
      const gap = strand ? Math.abs(strand[strand.length - 1][1] - y) : Infinity;
      if (gap < least) [nearest, least] = [i, gap];
    });
    if (nearest < 0) return [[x, y]];
    const strand = left[nearest];
    left[nearest] = null;
    strand.push([x, y]);
    return strand;
  });
  const ended = left.filter(Boolean);
  if (ended.length === 2 && touch(ended[0].at(-1), ended[1].at(-1))) ended[0].push(ended[1].at(-1));
  done.push(...ended);
  const fresh = next.filter((strand) => strand.length === 1);
  if (fresh.length === 2 && touch(fresh[0][0], fresh[1][0])) fresh[0].unshift(fresh[1][0]);
  return next;
}

const touch = ([, u], [, v]) => Math.abs(u - v) <= 0.05 * Math.max(Math.abs(u), Math.abs(v));

export class Curve {
  constructor(holder) {
    this.svg = put(holder, "svg", { role: "img", class: "cw-plot" });
    this.band = put(this.svg, "rect", { class: "cw-band" });
    this.bandLabel = put(this.svg, "text", { class: "cw-quiet", "text-anchor": "middle" });
    this.frame = put(this.svg, "path", { class: "cw-axis" });
    this.labels = put(this.svg, "g");
    this.inner = put(this.svg, "svg", { overflow: "hidden" });
    this.line = put(this.inner, "path", { class: "cw-line" });
    this.guides = put(this.svg, "path", { class: "cw-guide" });
    this.others = put(this.svg, "g");
    this.point = put(this.svg, "circle", { class: "cw-point", r: 4.5 });
    this.titleX = put(this.svg, "text", { class: "cw-title", "text-anchor": "end" });
    this.titleY = put(this.svg, "text", { class: "cw-title", x: 0, y: 12 });
    this.width = 480;
    this.span = null;
  }

  resize(width) {
    if (width < 40 || Math.abs(width - this.width) < 1) return false;
    this.width = width;
    return true;
  }

  // Calls `move` with the x under a pressed pointer, and `end` when it is let go.
  onDrag(move, end) {
    const { svg } = this;
    const tell = (event) => {
      const x = this.toValue?.(event.clientX - svg.getBoundingClientRect().left);
      if (Number.isFinite(x)) move(x);
    };
    svg.addEventListener("pointerdown", (event) => {
      if (event.button !== 0) return;
      svg.setPointerCapture(event.pointerId);
      tell(event);
    });
    svg.addEventListener("pointermove", (event) => { if (svg.hasPointerCapture(event.pointerId)) tell(event); });
    svg.addEventListener("pointerup", end);
  }

  forget() { this.span = null; }

  // The span shown along x: the usual range with a margin, and the present value.
  static reach(usual, bounds, present) {
    const margin = (usual[1] - usual[0]) * 0.06;
    let low = usual[0] - margin, high = usual[1] + margin;
    if (present !== null && Number.isFinite(present)) {
      if (present < low) low = present - margin;
      if (present > high) high = present + margin;
    }
    if (bounds[0] !== null) low = Math.max(low, bounds[0]);
    if (bounds[1] !== null) high = Math.min(high, bounds[1]);
    return [low, high];
  }

  static samples([low, high], searched, present) {
    const n = searched ? SEARCHED_SAMPLES : SAMPLES;
    const xs = Array.from({ length: n + 1 }, (_, i) => low + ((high - low) * i) / n);
    if (present > low && present < high) xs.push(present);
    return xs.sort((u, v) => u - v);
  }

  // Axis limits for y that stay put while the curve fits them well.
  limits(ys, must) {
    const sorted = ys.filter(Number.isFinite).sort((u, v) => u - v);
    if (!sorted.length) return this.span ?? [0, 1];
    const at = (part) => sorted[Math.min(sorted.length - 1, Math.floor(part * sorted.length))];
    let low = sorted[0], high = sorted[sorted.length - 1];
    // a pole must not flatten everything else
    if (high > 0 && high > 4 * Math.abs(at(0.85))) high = Math.max(1.6 * at(0.85), ...must);
    if (low < 0 && low < -4 * Math.abs(at(0.15))) low = Math.min(1.6 * at(0.15), ...must);
    if (low > 0 && low < 0.45 * high) low = 0;
    if (high < 0 && high > 0.45 * low) high = 0;
    if (high - low < 1e-9 * Math.max(Math.abs(high), Math.abs(low), 1e-300)) {
      const room = Math.abs(high) * 0.1 || 1;
      [low, high] = [low - room, high + room];
    }
    if (this.span) {
      const [from, to] = this.span;
      if (low >= from && high <= to && high - low > 0.5 * (to - from)) return this.span;
    }
    const { step } = ticks(low, high, 5);
    this.span = [Math.floor(low / step + 1e-9) * step, Math.ceil(high / step - 1e-9) * step];
    return this.span;
  }

  // Everything here is in the units shown.
  draw({ x, y, paths, usual, present, further, stale, label }) {
    const ys = paths.flatMap((path) => path.map((point) => point[1]));
    const [low, high] = this.limits(ys, present ? [present[1], ...further] : []);
    const yTicks = ticks(low, high, 5).values;
    const longest = Math.max(...yTicks.map((tick) => formatInput(tick).length));
    const width = this.width, height = Math.round(Math.max(190, Math.min(330, width * 0.58)));
    const box = { left: 12 + 8.2 * Math.max(4, longest), top: 28, right: width - 12, bottom: height - 44 };
    const [from, to] = x.span;
    const px = (v) => box.left + ((v - from) / (to - from)) * (box.right - box.left);
    const py = (v) => box.bottom - ((v - low) / (high - low)) * (box.bottom - box.top);
    set(this.svg, { width, height, viewBox: `0 0 ${width} ${height}`, "aria-label": label });
    const bandFrom = Math.max(box.left, px(usual[0])), bandTo = Math.min(box.right, px(usual[1]));
    set(this.band, { x: bandFrom, y: box.top, width: Math.max(0, bandTo - bandFrom), height: box.bottom - box.top });
    set(this.bandLabel, { x: (bandFrom + bandTo) / 2, y: box.top - 6 });
    text(this.bandLabel, "usual range");
    this.bandLabel.style.display = bandTo - bandFrom > 90 && this.titleWidth(y.title) < (bandFrom + bandTo) / 2 - 40 ? "" : "none";
    const xTicks = ticks(from, to, width < 360 ? 4 : 6).values;
    this.axes(box, xTicks.map((v) => [px(v), formatInput(v)]), yTicks.map((v) => [py(v), formatInput(v)]));
    text(this.titleX, x.title);
    set(this.titleX, { x: box.right, y: height - 6 });
    text(this.titleY, y.title);
    set(this.inner, { x: box.left, y: box.top - 2, width: box.right - box.left, height: box.bottom - box.top + 4 });
    const round = (v) => Math.round(v * 10) / 10;
    const clip = (v) => Math.max(-4000, Math.min(8000, v));
    set(this.line, { d: paths.map((path) => "M" + path.map((p) => round(px(p[0]) - box.left) + " " + round(clip(py(p[1]) - box.top + 2))).join("L")).join("") });
    this.mark(box, px, py, stale ? null : present, stale ? [] : further);
    this.toValue = (offset) => from + ((offset - box.left) / (box.right - box.left)) * (to - from);
    this.svg.classList.toggle("cw-stale", stale);
  }

  titleWidth(title) { return title.length * 7.2; }

  mark(box, px, py, present, further) {
    this.point.style.display = present ? "" : "none";
    while (this.others.childNodes.length > further.length) this.others.lastChild.remove();
    while (this.others.childNodes.length < further.length) put(this.others, "circle", { class: "cw-further", r: 4.5 });
    if (!present) return set(this.guides, { d: "" });
    const x = px(present[0]), y = py(present[1]);
    further.forEach((v, i) => set(this.others.childNodes[i], { cx: x, cy: py(v) }));
    set(this.point, { cx: x, cy: y });
    set(this.guides, { d: `M${Math.round(x * 10) / 10} ${box.bottom}V${Math.round(y * 10) / 10}H${box.left}` });
  }

  axes(box, xs, ys) {
    let d = `M${box.left} ${box.top}V${box.bottom}H${box.right}`;
    const wanted = [];
    for (const [x, label] of xs) { d += `M${Math.round(x * 10) / 10} ${box.bottom}v5`; wanted.push([x, box.bottom + 19, "middle", label]); }
    for (const [y, label] of ys) { d += `M${box.left} ${Math.round(y * 10) / 10}h-5`; wanted.push([box.left - 9, y + 4.5, "end", label]); }
    set(this.frame, { d });
    while (this.labels.childNodes.length > wanted.length) this.labels.lastChild.remove();
    wanted.forEach(([x, y, anchor, label], i) => {
      const item = this.labels.childNodes[i] ?? put(this.labels, "text", { class: "cw-tick" });
      set(item, { x, y, "text-anchor": anchor });
      text(item, label);
    });
  }
}

export function text(element, content) {
  if (element.textContent !== content) element.textContent = content;
}
