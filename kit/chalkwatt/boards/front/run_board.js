// The board of a run: rows of numbers on one side; figure and result, which Python makes when a row has
// settled, on the other. While a slider moves only its number follows.

function nice(span) {
  const rough = span / 200;
  const ten = 10 ** Math.floor(Math.log10(rough));
  return ten * [1, 2, 5, 10].find((one) => one * ten >= rough);
}

function element(kind, made = {}, children = []) {
  const one = Object.assign(document.createElement(kind), made);
  one.append(...children);
  return one;
}

function makeRow(model, entry, number) {
  const id = `cw-run-${entry.name}-${number}`;
  const step = nice(entry.high - entry.low);
  const digits = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
  const unit = entry.unit || "";
  const subscript = element("sub", { textContent: entry.symbol[1] });
  const symbol = element("i", { textContent: entry.symbol[0] }, entry.symbol[1] ? [subscript] : []);
  const label = element("label", { htmlFor: id }, [symbol, ` ${entry.words}`]);
  const typed = element("input", { id, type: "number", step: "any", title: entry.sentence });
  const slider = element("input", { type: "range", min: entry.low, max: entry.high, step });
  slider.setAttribute("aria-label", entry.words);
  const show = (value) => {
    typed.value = value;
    slider.value = value;
    slider.setAttribute("aria-valuetext", `${value} ${entry.spoken}`);
  };
  const settle = (value) => { model.set(entry.name, value); model.save_changes(); };
  const follow = () => { const value = model.get(entry.name); if (typeof value === "number") show(value); };
  slider.addEventListener("input", () => show(Number(Number(slider.value).toFixed(digits))));
  slider.addEventListener("change", () => settle(Number(Number(slider.value).toFixed(digits))));
  typed.addEventListener("change", () => {
    const value = typed.valueAsNumber;
    if (Number.isFinite(value)) { show(value); settle(value); } else follow();
  });
  follow();
  model.on(`change:${entry.name}`, follow);
  const row = element("div", { className: "row" }, [label, typed, element("span", { textContent: unit }), slider]);
  return [row, () => model.off(`change:${entry.name}`, follow)];
}

// The still board in the same notebook output makes room for the living one.
function hideStill(el) {
  let tries = 0;
  const look = () => {
    const output = el.closest(".jp-OutputArea, .output_area, .output");
    if (!output) { if (tries++ < 60) requestAnimationFrame(look); return; }
    for (const still of output.querySelectorAll(".cw-still")) (still.closest(".jp-OutputArea-child") ?? still).style.display = "none";
  };
  look();
}

let boards = 0;

function render({ model, el }) {
  const number = ++boards;
  const root = element("section", { className: "cw-run" });
  // JupyterLab would take arrow keys for its own.
  root.addEventListener("keydown", (event) => event.stopPropagation());
  const rows = model.get("rows").map((entry) => makeRow(model, entry, number));
  const result = element("p", { className: "result" });
  result.setAttribute("role", "status");
  const light = element("img", { className: "light" });
  const dark = element("img", { className: "dark" });
  const wait = () => root.setAttribute("aria-busy", "true");
  const show = () => {
    root.removeAttribute("aria-busy");
    const error = model.get("error");
    result.classList.toggle("wrong", Boolean(error));
    result.textContent = error || model.get("result");
    for (const [image, theme] of [[light, "light"], [dark, "dark"]]) {
      const picture = model.get("pictures")[theme];
      image.hidden = Boolean(error) || !picture;
      if (picture) image.src = picture;
      image.alt = model.get("result");
    }
  };
  for (const entry of model.get("rows")) model.on(`change:${entry.name}`, wait);
  const shown = ["result", "error", "pictures", "settled"];
  for (const name of shown) model.on(`change:${name}`, show);
  const caution = model.get("caution");
  const note = caution ? [element("p", { className: "caution" }, [element("b", { textContent: "Caution." }), ` ${caution}`])] : [];
  root.append(
    element("h2", { textContent: model.get("title") }),
    ...note,
    element("div", { className: "sides" }, [
      element("div", { className: "rows" }, rows.map(([row]) => row)),
      element("div", { className: "shown" }, [result, light, dark]),
    ]),
  );
  show();
  el.append(root);
  hideStill(el);
  return () => {
    for (const [, leave] of rows) leave();
    for (const entry of model.get("rows")) model.off(`change:${entry.name}`, wait);
    for (const name of shown) model.off(`change:${name}`, show);
    root.remove();
  };
}

export default { render };
