// The board in a notebook: its values and the widget's traits follow each other. Traits are in the first
// unit of their quantity; while a slider moves they change in the browser only, and Python hears the
// settled value.
import { mount } from "./board.js";

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
    move({ state, against, words, program: { cast } }) {
      if (quiet) return;
      quiet = true;
      set("wanted", state.wanted);
      for (const name of cast) {
        if (name !== state.wanted && state.problem[name]) continue;
        set(name, state.value(name, 0));
      }
      set("error", state.best ? "" : words.result(against));
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
