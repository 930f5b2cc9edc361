/** Work that was timed with a stopwatch: each record says how quick a tool is, and the trip is planned with it. */

import { halfTyped, HalfTyped, keepHalf } from "../device/half_typed.js";
import { node } from "../parts/node.js";
import { figureIn, unitName } from "./measure.js";
import { optionsByKind, select } from "./work_rows.js";

const S_PER_MIN = 60;
const MS_PER_S = 1000;
const TENTHS = 10;
const LONGEST_MS = 86_400_000; // a stopwatch that was left running for a day is forgotten
const RUNNING = "stopwatch"; // since when it runs, as the wall clock has it
const TASKS = { saw: ["Sawing", "cut", "cuts"], split: ["Splitting", "cleft", "clefts"], chop: ["Chopping", "cut", "cuts"], carve: ["Carving", "piece", "pieces"] };

/** A stopwatch that a thumb can start and stop; it runs on while the page is loaded anew. */
class Stopwatch {
  #since = null;

  /** `onStop` is given the seconds that passed. */
  constructor(onStop) {
    this.onStop = onStop;
    this.button = node("button", { type: "button", className: "small" });
    this.button.addEventListener("click", () => (this.#since === null ? this.#start() : this.#stop()));
    const passed = Date.now() - halfTyped()[RUNNING];
    if (passed >= 0 && passed < LONGEST_MS) this.#run(passed);
    else this.#tell();
  }

  #start() {
    keepHalf(RUNNING, Date.now());
    this.#run(0);
  }

  #run(passed) {
    this.#since = performance.now() - passed;
    this.timer = setInterval(() => this.#tell(), MS_PER_S);
    this.#tell();
  }

  #stop() {
    const passed = (performance.now() - this.#since) / MS_PER_S;
    clearInterval(this.timer);
    this.#since = null;
    keepHalf(RUNNING, null);
    this.#tell();
    this.onStop(passed);
  }

  #tell() {
    this.button.textContent = this.#since === null ? "Start the stopwatch" : `Stop at ${Math.floor((performance.now() - this.#since) / MS_PER_S)} s`;
  }
}

class Timings {
  #rows = [];
  #offered = []; // rows of tools
  #told = []; // what the answer says of the tools that were timed

  /** `woodOf` gives the wood of the trip; `onChange` is called when a record is added or let go. */
  constructor(root, woodOf, onChange) {
    Object.assign(this, { woodOf, onChange, units: "metric", nameOf: (id) => id });
    this.list = node("ul", { className: "kept" });
    this.says = node("ul", { id: "timed" });
    this.tool = node("select", { id: "timed-tool" });
    this.task = select(Object.entries(TASKS).map(([id, [name]]) => [id, name]), "saw");
    this.thick = node("input", { type: "text", inputMode: "decimal" });
    this.count = node("input", { type: "text", inputMode: "numeric" });
    this.seconds = node("input", { type: "text", inputMode: "text" });
    this.rounds = node("input", { type: "text", inputMode: "numeric" });
    this.clock = select([["cutting", "the cutting alone"], ["whole", "the whole job, piece by piece"]], "cutting");
    this.watch = new Stopwatch((seconds) => {
      this.seconds.value = String(Math.round(TENTHS * seconds) / TENTHS);
      this.seconds.focus();
    });
    this.fault = node("p", { className: "fails", role: "alert", hidden: true });
    const add = node("button", { type: "button", className: "add", textContent: "Add this time" });
    add.addEventListener("click", () => this.#add());
    this.tool.addEventListener("change", () => this.#suit());
    for (const control of [this.task, this.clock]) control.addEventListener("change", () => this.#ask());
    root.append(
      node("p", { className: "help", textContent: "Time some minutes of work in wood like that of the trip. The plan then takes as long as you did." }),
      this.list,
      this.says,
      node("div", { className: "fields" }, this.#field("tool", "Tool", this.tool, "field wide"), this.#field("task", "Work", this.task), this.#field("thick", "", this.thick), this.#field("count", "", this.count), this.#field("seconds", "Seconds in all", this.seconds), this.#field("clock", "What was timed", this.clock, "field long"), this.#field("rounds", "Rounds that these clefts split", this.rounds)),
      node("p", { className: "actions" }, this.watch.button, add),
      this.fault,
    );
    this.half = new HalfTyped(root);
    this.#ask();
  }

  /** Choose a tool, as one that was just added. */
  choose(id) {
    this.tool.value = id;
    this.tool.dispatchEvent(new Event("change", { bubbles: true })); // it is kept as what is half typed
  }

  /** Offer tools by kind. */
  offer(tools) {
    const before = this.tool.value;
    this.#offered = tools;
    this.tool.replaceChildren(node("option", { value: "", textContent: "Choose a tool" }), ...optionsByKind(tools, ({ id }) => this.nameOf(id)));
    if (tools.some(({ id }) => id === before)) this.tool.value = before;
    this.half.putBack();
  }

  /** Show the records of a trip. */
  show(rows, units, nameOf, lengthOf) {
    this.#rows = Array.isArray(rows) ? rows : [];
    Object.assign(this, { units, nameOf, lengthOf });
    for (const option of this.tool.options) if (option.value) option.textContent = nameOf(option.value);
    this.list.hidden = !this.#rows.length;
    this.list.replaceChildren(...this.#rows.map((row, place) => this.#line(row, place)));
    this.#ask();
    this.tell(this.#told, this.saidOf ?? ((text) => text));
  }

  get rows() {
    return this.#rows;
  }

  /** Say what the records make of the tools; `saidOf` puts a sentence of the service into words of the page. */
  tell(told, saidOf) {
    this.#told = told;
    this.saidOf = saidOf;
    const timed = this.#rows.length ? told : [];
    this.says.hidden = !timed.length;
    this.says.replaceChildren(...timed.map(({ text }) => node("li", { textContent: saidOf(text) })));
  }

  #field(name, label, control, className = "field") {
    control.id = `timed-${name}`;
    return node("div", { className }, node("label", { htmlFor: control.id, textContent: label }), control);
  }

  /** Take a work that the tool can do. */
  #suit() {
    const row = this.#offered.find(({ id }) => id === this.tool.value);
    const able = Object.keys(TASKS).filter((task) => row?.[`${task}_score`] > 0);
    if (able.length && !able.includes(this.task.value)) [this.task.value] = able;
    this.#ask();
  }

  /** Ask for what the work is counted in. */
  #ask() {
    const [, , several] = TASKS[this.task.value];
    const thick = this.task.value === "carve" ? "Thickness of a piece" : "Thickness of the wood";
    this.thick.labels[0].textContent = `${thick}, ${unitName("length", this.units)}`;
    this.count.labels[0].textContent = `How many ${several}`;
    this.rounds.closest(".field").hidden = !this.#needsRounds;
  }

  get #needsRounds() {
    return this.task.value === "split" && this.clock.value === "whole";
  }

  #line({ tool, task, diameter_mm: mm, count, minutes }, place) {
    const [name, one, several] = TASKS[task] ?? [task, "piece", "pieces"];
    const seconds = Math.round(TENTHS * S_PER_MIN * minutes) / TENTHS;
    const told = `${this.nameOf(tool)}: ${name.toLowerCase()} ${this.lengthOf(mm)}, ${count} ${count === 1 ? one : several} in ${seconds} s`;
    const remove = node("button", { type: "button", className: "remove", textContent: "Remove", "aria-label": `Remove ${told}` });
    remove.addEventListener("click", () => {
      this.#change(this.#rows.filter((_, other) => other !== place));
      this.tool.focus();
    });
    return node("li", {}, node("span", { textContent: told }), remove);
  }

  #add() {
    this.#refuse("");
    if (!this.tool.value) return this.#refuse("Say which tool was timed.", this.tool);
    const figure = (control, measure, least) => {
      const value = figureIn(control.value, measure, this.units);
      if (!(value >= least)) throw new Error(`${control.value} must be at least ${least}`);
      if (measure === null && !Number.isInteger(value)) throw new Error(`${control.value} must be a whole number`);
      return value;
    };
    const asked = [[this.thick, "length", 1], [this.count, null, 1], [this.seconds, "seconds", 0.1], ...(this.#needsRounds ? [[this.rounds, null, 1]] : [])];
    const values = [];
    for (const [control, measure, least] of asked) {
      try {
        values.push(figure(control, measure, least));
      } catch (error) {
        return this.#refuse(control.value.trim() ? error.message : `${control.labels[0].textContent}: write a figure.`, control);
      }
    }
    const [mm, count, seconds, rounds] = values;
    const { species, state } = this.woodOf() ?? {};
    const wood = { ...(species ? { wood: species } : {}), ...(state ? { state } : {}) };
    const record = { tool: this.tool.value, task: this.task.value, ...wood, diameter_mm: mm, count, minutes: seconds / S_PER_MIN, clock: this.clock.value, ...(rounds ? { rounds } : {}) };
    this.seconds.value = "";
    return this.#change([...this.#rows, record]);
  }

  #refuse(why, control = null) {
    this.fault.hidden = !why;
    this.fault.textContent = why;
    control?.focus();
  }

  #change(rows) {
    this.show(rows, this.units, this.nameOf, this.lengthOf);
    this.onChange();
  }
}

export { Timings };
