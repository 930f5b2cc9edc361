/** Tools of one's own, added to the table: each works like a tool of the table, and has its own name and mass. */

import { HalfTyped } from "../device/half_typed.js";
import { node } from "../parts/node.js";
import { figureIn, unitName } from "./measure.js";
import { optionsByKind } from "./work_rows.js";

const LIKE = "-like-"; // an id tells what the tool works like
const WEIGHS = { cover_g: 0, price: null, mass_source: "invented", note: null };

class AddedTools {
  #table = [];
  #rows = [];
  #always = [];

  /** `onChange` is called when a tool is added (with its row), let go, or must always go. */
  constructor(root, onChange) {
    Object.assign(this, { root, onChange });
    this.units = "metric";
    this.list = node("ul", { className: "kept" });
    this.name = node("input", { type: "text", id: "mine-name", maxLength: 100 });
    this.mass = node("input", { type: "text", id: "mine-mass", inputMode: "decimal" });
    this.massLabel = node("label", { htmlFor: "mine-mass" });
    this.like = node("select", { id: "mine-like" });
    this.told = node("p", { className: "fails", role: "alert", hidden: true });
    const add = node("button", { type: "button", className: "add", textContent: "Add this tool" });
    add.addEventListener("click", () => this.#add());
    const field = (label, control, name) => node("div", { className: name }, label, control);
    root.append(
      this.list,
      node("div", { className: "fields" }, field(node("label", { htmlFor: "mine-name", textContent: "Name" }), this.name, "field"), field(this.massLabel, this.mass, "field"), field(node("label", { htmlFor: "mine-like", textContent: "It works like" }), this.like, "field wide")),
      this.told,
      add,
    );
    this.half = new HalfTyped(root);
  }

  offer(tools) {
    this.#table = tools;
    const alone = tools.filter((tool) => !tool.needs?.length);
    this.like.replaceChildren(node("option", { value: "", textContent: "Choose a tool" }), ...optionsByKind(alone, ({ id, name }) => name || id));
    this.half.putBack();
  }

  /** Show what a trip has of them; `always` are the ids that must go. */
  show(rows, always, units, massOf, nameOf) {
    this.#rows = Array.isArray(rows) ? rows : [];
    this.#always = Array.isArray(always) ? always : [];
    Object.assign(this, { units, massOf, nameOf });
    for (const option of this.like.options) if (option.value) option.textContent = nameOf(option.value);
    this.massLabel.textContent = `Mass with its cover, ${unitName("mass", units)}`;
    this.list.hidden = !this.#rows.length;
    this.list.replaceChildren(...this.#rows.map((row) => this.#line(row)));
  }

  get rows() {
    return this.#rows;
  }

  get always() {
    return this.#always;
  }

  #line(row) {
    const always = node("input", { type: "checkbox", checked: this.#always.includes(row.id) });
    const remove = node("button", { type: "button", className: "remove", textContent: "Remove", "aria-label": `Remove ${row.name}` });
    always.addEventListener("change", () => this.#change(this.#rows, always.checked ? [...this.#always, row.id] : this.#always.filter((id) => id !== row.id)));
    remove.addEventListener("click", () => {
      this.#change(this.#rows.filter(({ id }) => id !== row.id), this.#always.filter((id) => id !== row.id));
      this.name.focus();
    });
    return node("li", {}, node("span", { textContent: `${row.name || row.id}, ${this.massOf(row.mass_g + (row.cover_g ?? 0))}` }), node("label", {}, always, " Always goes along"), remove);
  }

  #add() {
    const base = this.#table.find(({ id }) => id === this.like.value);
    const name = this.name.value.trim();
    this.#refuse("");
    if (!name) return this.#refuse("Give it a name.", this.name);
    let grams;
    try {
      grams = figureIn(this.mass.value, "mass", this.units);
    } catch (error) {
      return this.#refuse(error.message, this.mass);
    }
    if (!(grams >= 0)) return this.#refuse(`${this.mass.value} must be at least 0`, this.mass);
    if (!base) return this.#refuse("Say which tool of the table it works like.", this.like);
    const taken = this.#rows.map(({ id }) => Number(id.match(/^own-(\d+)-/)?.[1] ?? 0));
    const id = `own-${Math.max(0, ...taken) + 1}${LIKE}${base.id}`;
    this.name.value = this.mass.value = this.like.value = "";
    const row = { ...base, ...WEIGHS, id, name, mass_g: grams };
    return this.#change([...this.#rows, row], this.#always, row);
  }

  #refuse(why, control = null) {
    this.told.hidden = !why;
    this.told.textContent = why;
    control?.focus();
  }

  #change(rows, always, added = null) {
    this.show(rows, always, this.units, this.massOf, this.nameOf);
    this.onChange(added);
  }
}

export { AddedTools };
