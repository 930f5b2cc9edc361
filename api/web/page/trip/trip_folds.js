/** What is folded in the form besides single fields: camp work, stated cutting, kinds that stay home, one's own tools. */

import { node } from "../parts/node.js";
import { figureIn, Misread, unitName } from "./measure.js";
import { MyTools } from "./my_tools.js";
import { field, select, WorkRows } from "./work_rows.js";

/** A kind of tools, or a family of kinds, to tick. */
const kindBox = (kind) => node("label", {}, node("input", { type: "checkbox", value: kind }), ` ${kind}`);

class TripFolds {
  #units = "metric";

  /** `write` puts a value of the trip into a control, `isSet` tells whether a control says something. */
  constructor(form, { write, isSet, woodOf, onEdit, onTable }) {
    Object.assign(this, { form, write, isSet });
    this.campWork = this.#campWork(form.querySelector("#camp-work"), []);
    this.tasks = this.#tasks(form.querySelector("#tasks"));
    this.banned = form.querySelector("#banned");
    this.mine = new MyTools(form.querySelector("#my-tools"), { woodOf, onChange: () => onEdit(true), onTable });
  }

  /** Offer camp work, kinds and tools of the service's tables. */
  offer({ campWork, tools }) {
    this.campWork = this.#campWork(this.form.querySelector("#camp-work"), campWork);
    const kinds = [...new Set(tools.map((tool) => tool.kind).filter(Boolean))].sort();
    this.banned.replaceChildren(...kinds.map(kindBox));
    this.mine.offer(tools);
  }

  /** Show what a trip lists, in the reader's units. */
  show(trip, { units, massOf, nameOf, lengthOf }) {
    this.#units = units;
    this.campWork.show(Array.isArray(trip.camp_work) ? trip.camp_work : []);
    this.tasks.show(Array.isArray(trip.tasks) ? trip.tasks : []);
    const banned = trip.limits?.banned_kinds ?? [];
    const offered = [...this.banned.querySelectorAll("input")].map((box) => box.value);
    this.banned.append(...banned.filter((kind) => !offered.includes(kind)).map(kindBox));
    for (const box of this.banned.querySelectorAll("input")) box.checked = banned.includes(box.value);
    this.mine.show(trip, { units, massOf, nameOf, lengthOf });
  }

  /** Write what is listed into a trip. */
  writeInto(trip) {
    const campWork = this.campWork.rows();
    const tasks = this.tasks.rows();
    if (campWork.length) trip.camp_work = campWork;
    if (tasks.length) trip.tasks = tasks;
    const kinds = [...this.banned.querySelectorAll("input:checked")].map((box) => box.value);
    if (kinds.length) trip.limits = { ...trip.limits, banned_kinds: kinds };
    this.mine.write(trip);
  }

  /** Say on closed folds how much in them is set. */
  count() {
    this.mine.refresh();
    const count = this.banned.querySelectorAll("input:checked").length;
    this.form.querySelector("#banned-count").textContent = count ? `(${count})` : "";
    for (const note of this.form.querySelectorAll("[data-note]")) this.#note(note);
  }

  #note(note) {
    const fold = note.closest("details");
    const rows = fold.querySelectorAll(".row").length;
    const controls = [...fold.querySelectorAll(".field > [data-path]:is(input, select), .ticks [data-path], #banned input")].filter((control) => !control.closest(".row"));
    const set = rows + controls.filter((control) => (control.matches("#banned input") ? control.checked : this.isSet(control))).length;
    note.textContent = set ? `${set} set` : "";
  }

  #number(label, path, value, measure) {
    const control = node("input", { type: "text", inputMode: "decimal" });
    if (measure) control.dataset.measure = measure;
    field(measure ? `${label}, ${unitName(measure, this.#units)}` : label, control, path);
    this.write(control, value);
    return control;
  }

  #amount(control, value) {
    if (control.value === control.dataset.shown && value !== undefined) return value;
    const text = control.value.trim();
    if (!text) return undefined;
    try {
      return figureIn(text, control.dataset.measure, this.#units);
    } catch (error) {
      if (!(error instanceof Misread)) throw error;
      return text;
    }
  }

  #campWork(root, table) {
    const choices = table.map((row) => [row.id, row.name]);
    return new WorkRows(root, {
      path: "camp_work",
      noun: "camp work",
      first: () => ({ id: "peg", per_trip: 6 }),
      fieldsOf: (row, path) => {
        const what = select(choices, row.id);
        const often = select([["per_trip", "whole trip"], ["per_day", "each day"]], row.per_day === undefined ? "per_trip" : "per_day");
        field("What", what, `${path}/id`, "field wide");
        field("When", often, `${path}/when`);
        return { what, amount: this.#number("How many", `${path}/per_trip`, row.per_day ?? row.per_trip), often };
      },
      rowOf: ({ what, amount, often }, row) => ({ id: what.value, [often.value]: this.#amount(amount, row.per_day ?? row.per_trip) }),
    });
  }

  #tasks(root) {
    const choices = JSON.parse(root.dataset.choices);
    return new WorkRows(root, {
      path: "tasks",
      noun: "cutting",
      first: () => ({ task: "buck", diameter_mm: 80, per_day: 6 }),
      fieldsOf: (row, path) => {
        const task = select(choices, row.task);
        field("What", task, `${path}/task`, "field wide");
        const critical = node("input", { type: "checkbox", checked: row.critical === true });
        node("div", { className: "field tick" }, node("label", {}, critical, " Critical"));
        return {
          task,
          thick: this.#number("Thickness", `${path}/diameter_mm`, row.diameter_mm, "length"),
          often: this.#number("Times per day", `${path}/per_day`, row.per_day ?? 1),
          critical,
        };
      },
      rowOf: ({ task, thick, often, critical }, row) => {
        const made = { task: task.value, diameter_mm: this.#amount(thick, row.diameter_mm), per_day: this.#amount(often, row.per_day) };
        if (row.min_score !== undefined) made.min_score = row.min_score;
        if (critical.checked) made.critical = true;
        return made;
      },
    });
  }
}

export { TripFolds };
