/** Tools to tick, by kind, with a box to search in. */

import { node } from "../parts/node.js";

let made = 0;

class ToolPicker {
  #ticks = new Map(); // id -> {box, row, text}
  #strange = []; // ids that no row offers, or none yet
  #groups = [];

  constructor(label) {
    this.search = node("input", { type: "search", id: `search-${++made}`, placeholder: "knife, saw, axe …" });
    this.list = node("div", { className: "tools", role: "group", "aria-label": label, tabIndex: 0 });
    this.told = node("p", { className: "help", role: "status" });
    this.root = node("div", { className: "picker" }, node("label", { htmlFor: this.search.id, textContent: label }), this.search, this.list, this.told);
    this.search.addEventListener("input", () => this.#filter());
    this.list.addEventListener("change", () => this.#tell());
  }

  /** Offer these rows of the tool table; what was ticked stays so. */
  offer(tools) {
    const before = this.ids;
    this.#ticks.clear();
    const kinds = Map.groupBy(tools, (tool) => tool.kind || "other");
    this.#groups = [...kinds].sort(([a], [b]) => a.localeCompare(b)).map(([kind, rows]) => this.#group(kind, rows));
    this.list.replaceChildren(...this.#groups);
    this.ids = before;
  }

  get ids() {
    return [...[...this.#ticks].filter(([, { box }]) => box.checked).map(([id]) => id), ...this.#strange];
  }

  set ids(wanted) {
    this.#strange = wanted.filter((id) => !this.#ticks.has(id));
    for (const [id, { box }] of this.#ticks) box.checked = wanted.includes(id);
    this.#tell();
  }

  /** Write masses and names anew, as after a change of units. */
  weigh(massOf, nameOf) {
    for (const { mass, name, tool } of this.#ticks.values()) {
      mass.textContent = massOf(tool.mass_g + (tool.cover_g ?? 0));
      name.textContent = nameOf(tool.id);
    }
  }

  #group(kind, rows) {
    const lines = rows.map((tool) => {
      const box = node("input", { type: "checkbox", value: tool.id });
      const mass = node("span", { className: "grams" });
      const name = node("span", { textContent: tool.name || tool.id });
      const row = node("label", {}, box, name, mass);
      this.#ticks.set(tool.id, { box, mass, name, row, tool, text: `${tool.id} ${tool.name} ${kind}`.toLowerCase() });
      return row;
    });
    return node("div", { className: "kind", role: "group", "aria-label": kind }, node("p", { className: "kind-name", textContent: kind }), ...lines);
  }

  #filter() {
    const wanted = this.search.value.toLowerCase().split(/\s+/).filter(Boolean);
    for (const { row, text, box } of this.#ticks.values()) row.hidden = !box.checked && !wanted.every((word) => text.includes(word));
    for (const group of this.#groups) group.hidden = [...group.querySelectorAll("label")].every((row) => row.hidden);
  }

  #tell() {
    const count = this.ids.length;
    this.told.textContent = count === 1 ? "1 tool ticked" : `${count} tools ticked`;
  }
}

export { ToolPicker };
