/** Which tools may go, which must, those of one's own, what a stopwatch said of them, and a stored catalog to choose from. */

import { node } from "../parts/node.js";
import { AddedTools } from "./added_tools.js";
import { StoredCatalog } from "./stored_catalog.js";
import { Timings } from "./timings.js";
import { ToolPicker } from "./tool_picker.js";

const OWN_KIND = "my own";
const CHOICES = [["any", "Any tool of the table"], ["only", "Only tools that I tick"], ["leave_home", "Any tool except those that I tick"]];
const FIELDS = ["only", "leave_home", "must_carry", "extra_tools", "trials", "catalog"]; // of a trip
const listed = (value) => (Array.isArray(value) ? value : []);

/** The controls are made when the fold is opened, or where a trip says something of tools: most trips do neither. */
class MyTools {
  #made = false;
  #shown = null; // what was to be shown last
  #built = []; // the rows of the service's table
  #table = []; // the rows to choose from: of the table, or of a stored catalog

  /** `woodOf` gives the wood of the trip, `onChange` is called when something is changed, `onTable` with rows to choose from. */
  constructor(root, { woodOf, onChange, onTable }) {
    Object.assign(this, { root, woodOf, onChange, onTable, units: "metric", massOf: String, nameOf: (id) => id, lengthOf: String });
    this.fold = root.closest("details");
    this.fold.addEventListener("toggle", () => {
      if (!this.#made && this.#shown) this.show(...this.#shown);
    });
  }

  #make() {
    const { root, woodOf, onChange } = this;
    this.#made = true;
    const changed = () => {
      this.refresh();
      onChange();
    };
    const fold = (title, path, help, ...inside) => {
      const count = node("span", { className: "count" });
      const made = node("details", { className: "part", "data-path": path }, node("summary", {}, title, " ", count), help ? node("p", { className: "help", textContent: help }) : null, ...inside);
      return { made, count };
    };
    const radio = ([value, text]) => node("label", {}, node("input", { type: "radio", name: "choice", value, checked: value === "any" }), ` ${text}`);
    this.picker = new ToolPicker("My tools");
    this.none = node("p", { className: "help", textContent: "Until you tick a tool, any may go." });
    this.own = node("div", { "data-path": "only", hidden: true }, this.picker.root, this.none);
    this.mustPicker = new ToolPicker("Tools that must come along");
    this.must = fold("Must come along", "must_carry", "These go in the pack in any case. The rest of the kit is chosen around them.", this.mustPicker.root);
    const [ofOwn, ofTimes, ofCatalog] = [0, 0, 0].map(() => node("div", { "data-aside": "", className: "stack" }));
    this.mine = fold("A tool that the table lacks", "extra_tools", "", ofOwn);
    this.timed = fold("Timed with a stopwatch", "trials", "", ofTimes);
    this.stored = fold("A catalog of mine on the service", "catalog", "", ofCatalog);
    root.append(node("div", { className: "ticks", id: "choice", role: "radiogroup", "aria-label": "Which tools may go" }, ...CHOICES.map(radio)), this.own, ...[this.must, this.mine, this.timed, this.stored].map(({ made }) => made));
    this.added = new AddedTools(ofOwn, (row) => {
      this.#offer(row?.id);
      changed();
    });
    this.timings = new Timings(ofTimes, woodOf, changed);
    this.catalog = new StoredCatalog(ofCatalog, { onChange: changed, onTools: (rows) => this.#choose(rows) });
    this.#table = this.#built;
    this.added.offer(this.#table);
  }

  /** Offer the table of the service. */
  offer(tools) {
    this.#built = tools;
    if (!this.#made) this.onTable(tools);
    else if (!this.catalog.used) this.#choose(null);
  }

  /** Show what a trip says of tools. */
  show(trip, { units, massOf, nameOf, lengthOf }) {
    this.#shown = [trip, { units, massOf, nameOf, lengthOf }];
    if (!this.#made && !this.fold.open && !FIELDS.some((field) => trip[field] !== undefined)) return;
    if (!this.#made) this.#make();
    Object.assign(this, { units, massOf, lengthOf });
    this.nameOf = (id) => this.added.rows.find((row) => row.id === id)?.name || nameOf(id);
    const before = this.picker.ids.length ? "any" : this.#choice; // chosen, but nothing is ticked yet
    const choice = Array.isArray(trip.only) ? "only" : trip.leave_home?.length ? "leave_home" : before;
    for (const radio of this.root.querySelectorAll("[name=choice]")) radio.checked = radio.value === choice;
    const own = listed(trip.extra_tools);
    const always = listed(trip.must_carry).filter((id) => own.some((row) => row.id === id));
    this.added.show(own, always, units, massOf, this.nameOf);
    this.#offer();
    this.picker.ids = trip[choice] ?? [];
    this.mustPicker.ids = listed(trip.must_carry).filter((id) => !always.includes(id));
    this.timings.show(trip.trials, units, this.nameOf, lengthOf);
    this.catalog.show(trip.catalog ?? null);
    this.refresh();
  }

  /** Write what is chosen into a trip. */
  write(trip) {
    if (!this.#made) return;
    const choice = this.#choice;
    if (choice !== "any" && this.picker.ids.length) trip[choice] = this.picker.ids;
    const must = [...this.mustPicker.ids, ...this.added.always];
    if (must.length) trip.must_carry = must;
    if (this.added.rows.length) trip.extra_tools = this.added.rows;
    if (this.timings.rows.length) trip.trials = this.timings.rows;
    if (this.catalog.used) trip.catalog = this.catalog.used;
  }

  /** Show the list to tick where it is needed, and on closed folds how much in them is set. */
  refresh() {
    if (!this.#made) return;
    this.own.hidden = this.#choice === "any";
    this.none.hidden = this.picker.ids.length > 0;
    this.#count();
  }

  /** Write masses and names anew, as after a change of units. */
  weigh() {
    for (const picker of [this.picker, this.mustPicker]) picker.weigh(this.massOf, this.nameOf);
  }

  get #choice() {
    return this.root.querySelector("[name=choice]:checked")?.value ?? "any";
  }

  /** Choose from these rows, or from the table. */
  #choose(rows) {
    this.#table = rows ?? this.#built;
    this.onTable(this.#table);
    this.added.offer(this.#table);
    this.added.show(this.added.rows, this.added.always, this.units, this.massOf, this.nameOf);
    this.#offer();
  }

  /** Offer the rows with those of one's own before them; a new one is ticked where only ticked tools may go. */
  #offer(fresh = null) {
    const own = this.added.rows.map((row) => ({ ...row, kind: OWN_KIND }));
    const all = [...own, ...this.#table];
    this.picker.offer(all);
    if (fresh && this.#choice === "only") this.picker.ids = [...this.picker.ids, fresh];
    this.mustPicker.offer(this.#table);
    this.timings.offer(all);
    if (fresh) this.timings.choose(fresh);
    this.weigh();
  }

  #count() {
    const say = ({ count }, told) => {
      count.textContent = told;
    };
    const { length: must } = this.mustPicker.ids;
    const { length: mine } = this.added.rows;
    const { length: timed } = this.timings.rows;
    say(this.must, must ? `${must} ticked` : "");
    say(this.mine, mine ? `${mine} added` : "");
    say(this.timed, timed ? `${timed} timed` : "");
    say(this.stored, this.catalog.used ?? "");
    const choice = this.#choice;
    const parts = [!this.picker.ids.length || choice === "any" ? "" : choice === "only" ? "only some" : "some stay home", must ? `${must} must go` : "", mine ? `${mine} added` : "", timed ? `${timed} timed` : "", this.catalog.used ?? ""];
    this.fold.querySelector("#mine-count").textContent = parts.filter(Boolean).join(", ");
  }
}

export { MyTools };
