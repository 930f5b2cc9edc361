/** A list of work in the form, a row each, with a button to add one: camp work, or stated cutting. */

import { node } from "../parts/node.js";

let made = 0;

/** A labelled control whose fault the form can show. */
function field(label, control, path, className = "field") {
  control.id = `row-${++made}`;
  control.dataset.path = path;
  return node("div", { className }, node("label", { htmlFor: control.id, textContent: label }), control);
}

function select(choices, value) {
  const known = choices.some(([id]) => id === value) || value === undefined ? choices : [...choices, [value, value]];
  const control = node("select", {}, ...known.map(([id, text]) => node("option", { value: id, textContent: text })));
  if (value !== undefined) control.value = value;
  return control;
}

/** Options of tools under the kinds that they are of; `nameOf` is given a row. */
function optionsByKind(tools, nameOf) {
  const kinds = Map.groupBy(tools, (tool) => tool.kind || "other");
  return [...kinds]
    .sort(([a], [b]) => a.localeCompare(b))
    .map(([kind, rows]) => node("optgroup", { label: kind }, ...rows.map((row) => node("option", { value: row.id, textContent: nameOf(row) }))));
}

class WorkRows {
  /** `fieldsOf(row, path)` makes the controls of a row, `rowOf(controls, row)` reads them back, `first` is a new row. */
  constructor(root, { path, noun, first, fieldsOf, rowOf }) {
    Object.assign(this, { root, path, noun, first, fieldsOf, rowOf });
    this.lines = [];
    this.add = node("button", { type: "button", className: "add", textContent: `Add ${noun}` });
    this.add.addEventListener("click", () => {
      this.show([...this.rows(), this.first()]);
      this.lines.at(-1).box.querySelector("select").focus();
      this.root.dispatchEvent(new Event("change", { bubbles: true })); // a new row counts as it stands
    });
  }

  show(rows) {
    this.lines = rows.map((row, index) => this.#line(row, index));
    this.root.replaceChildren(...this.lines.map((line) => line.box), this.add);
  }

  rows() {
    return this.lines.map(({ controls, row }) => this.rowOf(controls, row));
  }

  #line(row, index) {
    const controls = this.fieldsOf(row, `${this.path}/${index}`);
    const name = `${this.noun} ${index + 1}`;
    const remove = node("button", { type: "button", className: "remove", textContent: "Remove", "aria-label": `Remove ${name}` });
    remove.addEventListener("click", () => {
      this.show(this.rows().filter((_, other) => other !== index));
      this.add.focus();
      this.root.dispatchEvent(new Event("change", { bubbles: true }));
    });
    const fields = Object.values(controls).map((control) => control.closest(".field"));
    const box = node("div", { className: "row", role: "group", "aria-label": name, "data-path": `${this.path}/${index}` }, ...fields, remove);
    return { box, controls, row };
  }
}

export { field, optionsByKind, select, WorkRows };
