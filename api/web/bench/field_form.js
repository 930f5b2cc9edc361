/** The figures and choices of one drawing: a slider and a number each, faults beside the field that they name. */

import { node } from "./dom.js";
import { FORMS, settle } from "./fields.js";
import { read, unitOf, written } from "./figures.js";
import { at, put } from "./paths.js";

const idOf = (path) => `f-${path.replaceAll(".", "-")}`;

class FieldForm {
  /** `changed` is told after each change of the design that is shown. */
  constructor(root, { choices, hardness, changed }) {
    this.root = root;
    this.choices = choices;
    this.hardness = hardness;
    this.changed = changed;
    this.isComplete = false;
  }

  /** Show a design; its object is changed in place from now on. Until `complete` is called, its first group alone. */
  show(design, allOpen = false) {
    this.allOpen = allOpen;
    this.opened = new Set([...this.root.querySelectorAll("details[open] > summary")].map((one) => one.textContent));
    this.design = design;
    this.form = FORMS[design.drawing.form];
    this.controls = new Map();
    const [first, ...others] = this.form.groups;
    this.root.replaceChildren(...[first, ...(this.isComplete ? others : [])].map((group) => this.#group(group)));
    this.refresh();
  }

  /** Show the other groups too, from now on. */
  complete() {
    this.isComplete = true;
    this.root.append(...this.form.groups.slice(1).map((group) => this.#group(group)));
    this.refresh();
  }

  /** Write the values of the design into the fields, but not into the one that is typed in. */
  refresh() {
    for (const [path, { row, write, holder }] of this.controls) {
      holder.hidden = row.when !== undefined && !row.when(this.design);
      write(at(this.design, path));
    }
    this.#hintHardness();
  }

  /** Show faults beside their fields; those that name none are returned. */
  mark(faults) {
    for (const { faultLine, input } of this.controls.values()) {
      faultLine.hidden = true;
      faultLine.textContent = "";
      input.removeAttribute("aria-invalid");
    }
    return faults.filter(({ pointer, detail }) => !this.#place(pointer.replace(/^#\/(design\/)?/, "").replaceAll("/", "."), detail));
  }

  #place(path, detail) {
    const found = [...this.controls.keys()].filter((one) => one === path || one.startsWith(`${path}.`));
    const shown = found.map((one) => this.controls.get(one)).filter(({ holder }) => !holder.hidden);
    const [field] = path.split(".").length > 2 ? shown : [];
    if (!field) return false;
    field.faultLine.textContent = detail;
    field.faultLine.hidden = false;
    field.input.setAttribute("aria-invalid", "true");
    field.holder.closest("details").open = true;
    return true;
  }

  #group([title, rows]) {
    const made = rows.map((row) => this.#field(row));
    const open = this.allOpen || this.form.groups[0][0] === title || this.opened.has(title);
    const group = node("details", { open }, node("summary", { textContent: title }), node("div", { className: "fields" }, ...made));
    return group;
  }

  #field(row) {
    if (row.tick) return this.#tick(row);
    const id = idOf(row.path);
    const faultLine = node("p", { className: "fault", id: `${id}-fault`, hidden: true });
    const label = node("label", { htmlFor: id, textContent: row.label });
    const unit = row.unit ? node("span", { className: "unit", textContent: unitOf(row.unit) }) : null;
    const made = row.choices ? this.#choice(row, id) : this.#number(row, id);
    made.input.setAttribute("aria-describedby", `${id}-fault`);
    const hint = row.path === "drawing.hardness_hrc" ? node("p", { className: "help", id: "hardness-hint" }) : null;
    const holder = node("div", { className: row.from === undefined ? "field" : "field slides" }, label, made.slider, node("span", { className: "typed" }, made.input, unit), hint, faultLine);
    this.controls.set(row.path, { row, holder, faultLine, ...made });
    return holder;
  }

  #choice(row, id) {
    const rows = Array.isArray(row.choices) ? row.choices : this.choices[row.choices];
    const input = node("select", { id }, ...(row.none ? [node("option", { value: "", textContent: row.none })] : []), ...rows.map(([value, name]) => node("option", { value, textContent: name })));
    const write = (value) => {
      const shown = value ?? row.usual ?? "";
      if (shown && ![...input.options].some((one) => one.value === shown)) input.append(node("option", { value: shown, textContent: shown }));
      input.value = shown;
    };
    input.addEventListener("change", () => this.#set(row.path, input.value || undefined));
    return { input, slider: null, write };
  }

  #number(row, id) {
    const input = node("input", { id, type: "text", inputMode: "decimal", placeholder: typeof row.usual === "string" ? row.usual : (row.empty ?? "") });
    const slider = row.from === undefined ? null : node("input", { type: "range", min: row.from, max: row.to, step: row.step, set: { "aria-label": `${row.label}, slider` } });
    const slide = (value) => {
      if (!slider || typeof value !== "number") return;
      slider.min = Math.min(row.from, value);
      slider.max = Math.max(row.to, value);
      slider.value = value;
      slider.setAttribute("aria-valuetext", `${written(value, row.unit)} ${unitOf(row.unit)}`.trim());
    };
    const write = (value) => {
      const held = value ?? (typeof row.usual === "number" ? row.usual : undefined);
      if (document.activeElement !== input) input.value = written(held, row.unit);
      if (document.activeElement !== slider) slide(held);
    };
    input.addEventListener("input", () => {
      const value = read(input.value, row.unit);
      slide(value);
      this.#set(row.path, value);
    });
    input.addEventListener("change", () => write(at(this.design, row.path)));
    slider?.addEventListener("input", () => {
      const value = Number(slider.value);
      input.value = written(value, row.unit);
      slider.setAttribute("aria-valuetext", `${input.value} ${unitOf(row.unit)}`.trim());
      this.#set(row.path, value);
    });
    return { input, slider, write };
  }

  #tick(row) {
    const id = idOf(row.path);
    const input = node("input", { id, type: "checkbox" });
    const faultLine = node("p", { className: "fault", hidden: true });
    const holder = node("div", { className: "field tick" }, node("label", { htmlFor: id }, input, ` ${row.label}`), faultLine);
    const write = (value) => {
      input.checked = value === true;
    };
    input.addEventListener("change", () => this.#set(row.path, input.checked || undefined));
    this.controls.set(row.path, { row, holder, faultLine, input, slider: null, write });
    return holder;
  }

  #set(path, value) {
    put(this.design, path, value);
    settle(this.design, path);
    this.refresh();
    this.changed();
  }

  #hintHardness() {
    const hint = this.root.querySelector("#hardness-hint");
    const usual = this.hardness[this.design.drawing.steel];
    if (hint) hint.textContent = usual ? `${this.design.drawing.steel} is usually ${usual[0]} to ${usual[1]} HRC.` : "";
  }
}

export { FieldForm };
