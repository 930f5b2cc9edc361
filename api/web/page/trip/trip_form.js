/** The form: a trip in, a trip out. What it has no field for is kept as it came. */

import { Figures } from "../parts/figures.js";
import { node } from "../parts/node.js";
import { figureIn, figuresIn, Misread, said, shown, unitName, unitOfOne } from "./measure.js";
import { partyAsText, partyIn } from "./party.js";

const SINGLE = ":is(input, select)[data-path]";
const NO_FIELD = ["route", "field_methods", "life", "upkeep", "robust", "alternatives", "ask_about", "tools", "assumptions"];
const KEPT_AS = { assumptions: "your own figures" };
const BOOLEANS = { true: true, false: false };

const at = (trip, path) => path.split("/").reduce((value, step) => value?.[step], trip);

function put(trip, path, value) {
  const steps = path.split("/");
  const last = steps.pop();
  steps.reduce((part, step) => (part[step] ??= {}), trip)[last] = value;
}

/** Choose a value, offered or not: the service says what it thinks of it. */
function choose(select, value) {
  if (![...select.options].some((option) => option.value === value)) select.append(node("option", { value, textContent: value }));
  select.value = value;
}

/** Whether a person changed a control before this module came. */
function touched(control) {
  if (control.type === "checkbox") return control.checked !== control.defaultChecked;
  if (control.tagName !== "SELECT") return control.value !== control.defaultValue;
  const usual = [...control.options].find((option) => option.defaultSelected) ?? control.options[0];
  return control.selectedOptions[0] !== usual;
}

class TripForm {
  #trip = {};
  #units = "metric";
  #figures = new Figures("metric");

  /** `onEdit` is called whenever a person changes something; with true where the change is complete. */
  constructor(form, { onEdit, nameOf }) {
    Object.assign(this, { form, onEdit, nameOf, folds: null });
    this.singles = [...form.querySelectorAll(SINGLE)];
    this.early = this.singles.filter(touched).map((control) => [control, control.type === "checkbox" ? "checked" : "value", control.type === "checkbox" ? control.checked : control.value]);
    const edited = ({ type, target }) => {
      if (target.closest("[data-aside]")) return; // a box to search in, a name to keep a trip by
      delete this.#trip.name; // it was the name of another trip
      if (type === "change") this.#tidy(target);
      this.#choose();
      onEdit(type === "change");
    };
    for (const kind of ["input", "change"]) form.addEventListener(kind, edited);
    form.addEventListener("submit", (event) => event.preventDefault());
  }

  /** The folds stand in the form: until they came the trip kept what they hold. `onTable` is given rows to choose from. */
  unfold(TripFolds, trip, onTable) {
    const folded = [...this.form.querySelectorAll(SINGLE)].filter((control) => !this.singles.includes(control));
    const given = { write: (control, value) => this.#write(control, value), isSet: (control) => this.#read(control) !== undefined };
    const folds = new TripFolds(this.form, { ...given, woodOf: () => this.trip.wood, onEdit: this.onEdit, onTable });
    this.singles = [...this.form.querySelectorAll(SINGLE)];
    this.useUnits(this.#units);
    for (const control of folded) this.#write(control, at(trip, control.dataset.path));
    this.folds = folds;
    this.#showFolds(trip);
  }

  /** One's own tools; null until the folds have come. */
  get mine() {
    return this.folds?.mine ?? null;
  }

  /** Write a figure that is complete as the form writes it: the unit that stands behind the field need not be in it. */
  #tidy(control) {
    if (!this.singles.includes(control) || control.dataset.party !== undefined || !control.dataset.measure || !control.value.trim() || this.#misread(control)) return;
    const value = this.#read(control);
    put(this.#trip, control.dataset.path, value);
    this.#write(control, value);
  }

  /** Put back what a person typed before this module came; whether there was something. */
  takeEarly() {
    for (const [control, property, value] of this.early) control[property] = value;
    return this.early.length > 0;
  }

  /** Whether the text that is being typed may not be complete: an empty field, or no figure yet. */
  get unfinished() {
    const control = document.activeElement;
    if (!control?.matches("input[data-path]:not([type=checkbox])") || !this.form.contains(control)) return false;
    return !control.value.trim() || this.#misread(control) !== null;
  }

  /** What can't be read, as the service tells faults. */
  get faults() {
    const typed = [...this.form.querySelectorAll("input[data-path]:not([type=checkbox])")];
    const told = typed.map((control) => ({ pointer: `#/${control.dataset.path}`, detail: this.#misread(control) }));
    return told.filter(({ detail }) => detail !== null);
  }

  /** Offer what the service knows: kinds of tree, camp work, tools. */
  offer({ woods, campWork, tools }) {
    const trip = this.trip;
    const species = this.form.querySelector("#species");
    const groups = Map.groupBy(woods, (wood) => wood.group);
    const choices = [...groups].map(([group, rows]) =>
      node("optgroup", { label: group === "conifer" ? "Conifers" : "Broadleaves" }, ...rows.map((wood) => node("option", { value: wood.id, textContent: wood.common_name }))),
    );
    species.replaceChildren(species.options[0], ...choices);
    choose(species, trip.wood?.species ?? "");
    this.folds.offer({ campWork, tools });
    this.#showFolds(trip); // never what is being typed in a field of its own
  }

  /** Write figures in these units from the next trip on that is shown. */
  useUnits(units) {
    this.#units = units;
    this.#figures = new Figures(units);
    for (const place of this.form.querySelectorAll("[data-unit]")) place.textContent = unitName(place.dataset.unit, units);
    this.form.querySelector("#thick-example").textContent = units === "us" ? "1.5 3 5" : "40 75 120";
    const members = this.form.querySelector("#members-example");
    if (members) members.textContent = this.#partyForm.form;
  }

  show(trip) {
    this.#trip = structuredClone(trip);
    for (const control of this.singles) this.#write(control, at(trip, control.dataset.path));
    this.#showFolds(trip);
    this.mark([]);
  }

  #showFolds(trip) {
    if (this.folds) {
      const figures = this.#figures;
      this.folds.show(trip, { units: this.#units, massOf: (grams) => figures.mass(grams), nameOf: this.nameOf, lengthOf: (mm) => figures.length(mm) });
      const kept = NO_FIELD.filter((name) => trip[name] !== undefined).map((name) => KEPT_AS[name] ?? name.replaceAll("_", " "));
      const line = this.form.querySelector("#kept");
      line.hidden = !kept.length;
      line.textContent = `This trip also has settings without a field here: ${kept.join(", ")}.`;
    }
    this.#choose();
  }

  /** The trip as the fields say it. */
  get trip() {
    const trip = {};
    for (const name of ["name", ...NO_FIELD]) if (this.#trip[name] !== undefined) trip[name] = this.#trip[name];
    for (const control of this.singles) {
      const value = this.#read(control);
      if (value !== undefined) put(trip, control.dataset.path, value);
    }
    if (this.folds) {
      this.#keepUnshown(trip);
      this.folds.writeInto(trip);
    } else this.#keepFolded(this.#trip, trip, "");
    return trip;
  }

  /** Before the folds have come: what no field says stays as it was. */
  #keepFolded(from, into, above) {
    for (const [name, value] of Object.entries(from)) {
      const path = above + name;
      const [has, within] = [this.form.querySelector(`[data-path="${CSS.escape(path)}"]`), this.form.querySelector(`[data-path^="${CSS.escape(path)}/"]`)];
      if (within && typeof value === "object" && value !== null && !Array.isArray(value)) {
        const part = into[name] ?? {};
        this.#keepFolded(value, part, `${path}/`);
        if (Object.keys(part).length) into[name] = part;
      } else if (!has && into[name] === undefined && !(name === "diameters" && into.diameters_mm)) into[name] = value;
    }
  }

  /** Show the service's complaints beside their fields; those without one are returned. */
  mark(faults) {
    for (const told of this.form.querySelectorAll(".fault")) told.remove();
    for (const place of this.form.querySelectorAll("[data-wrong]")) {
      delete place.dataset.wrong;
      place.removeAttribute("aria-invalid");
      if (this.form.querySelector(`#${place.id || "none"}-help`)) place.setAttribute("aria-describedby", `${place.id}-help`);
      else place.removeAttribute("aria-describedby");
    }
    return faults.filter((fault) => !this.#place(fault));
  }

  /** The first place with a complaint: what it is called, and the complaint. */
  get wrong() {
    const place = this.form.querySelector("[data-wrong]");
    if (!place) return null;
    const label = place.labels?.[0] ?? place.querySelector(":scope > summary, :scope > legend") ?? place;
    return { name: place.getAttribute("aria-label") ?? label.textContent.trim(), told: this.form.querySelector(".fault").textContent };
  }

  /** Lead to the first complaint. */
  attend() {
    const place = this.form.querySelector("[data-wrong]");
    for (let box = place?.closest("details"); box; box = box.parentElement.closest("details")) box.open = true;
    place?.focus();
  }

  #place({ pointer, detail }) {
    const path = pointer.replace(/^#\//, "");
    const found = [...this.form.querySelectorAll("[data-path]")]
      .filter(({ dataset }) => path === dataset.path || path.startsWith(`${dataset.path}/`))
      .sort((a, b) => b.dataset.path.length - a.dataset.path.length)[0];
    if (!found) return false;
    const id = `fault-${path.replaceAll("/", "-")}`;
    const single = found.matches("input, select");
    found.dataset.wrong = "";
    found.setAttribute("aria-describedby", id);
    if (single) found.setAttribute("aria-invalid", "true");
    else found.tabIndex = -1;
    const told = found.dataset.party === undefined ? detail : this.#partyFault(found, path, detail);
    (single ? found.closest(".field, .ticks, .say") : found).append(node("p", { className: "fault", id, textContent: told }));
    return true;
  }

  #write(control, value) {
    const { path, measure, absent, party } = control.dataset;
    const told = measure === "mass" || path.startsWith("limits/") ? shown : said; // what limits a kit stands as it is
    const figure = (one) => (typeof one === "number" ? this.#figures.editable(told(one, measure, this.#units)) : String(one));
    const none = value === undefined || value === null;
    if (control.type === "checkbox") control.checked = value ?? absent === "true";
    else if (control.tagName === "SELECT") choose(control, none ? this.#usual(control) : String(value));
    else {
      const text = none ? "" : party !== undefined ? partyAsText(value, figure) : [value].flat().map(figure).join(" ");
      if (control.value !== text) control.value = text; // writing one lays out the page
    }
    control.dataset.shown = control.value;
  }

  #usual(control) {
    return control.dataset.usual ?? (control.querySelector("option[selected]") ?? control.options[0])?.value ?? "";
  }

  #read(control) {
    const { path, measure, absent, list, party } = control.dataset;
    if (control.type === "checkbox") return String(control.checked) === (absent ?? "false") ? undefined : control.checked;
    const text = control.value.trim();
    if (control.tagName === "SELECT") return text === this.#usual(control) ? undefined : (BOOLEANS[text] ?? text);
    if (!text) return undefined;
    if (control.value === control.dataset.shown && at(this.#trip, path) !== undefined) return at(this.#trip, path);
    if (party !== undefined) return this.#party(text);
    try {
      return list === undefined ? figureIn(text, measure, this.#units) : figuresIn(text, measure, this.#units);
    } catch (error) {
      if (!(error instanceof Misread)) throw error;
      return list === undefined ? text : [text]; // kept as it is typed; `faults` says why it goes nowhere
    }
  }

  /** Why the text of a control can't be read, or null. */
  #misread(control) {
    const { measure, list, party } = control.dataset;
    const text = control.value.trim();
    if (!text) return null;
    try {
      if (party !== undefined) partyIn(text, { figure: this.#grams, ...this.#partyForm });
      else if (list !== undefined) figuresIn(text, measure, this.#units);
      else figureIn(text, measure, this.#units);
      return null;
    } catch (error) {
      return error.message;
    }
  }

  /** Grams of a text, or the text where it is no figure. */
  #grams = (word) => {
    try {
      return figureIn(word, "mass", this.#units);
    } catch {
      return word;
    }
  };

  /** The members in a line; a line that can't be read stays as it is. */
  #party(text) {
    try {
      return partyIn(text, { figure: this.#grams, ...this.#partyForm });
    } catch {
      return text;
    }
  }

  /** What is wrong with a member, by name where one has it. */
  #partyFault(control, path, detail) {
    const members = at(this.trip, control.dataset.path);
    const { name } = Array.isArray(members) ? (members[Number(path.split("/")[1])] ?? {}) : {};
    return name ? `${name}: ${detail}` : detail;
  }

  get #partyForm() {
    return this.#units === "us" ? { unit: "ounces", form: "Ann 140; Ben 90" } : { unit: "grams", form: "Ann 4000; Ben 2500" };
  }

  /** Firewood with a reach of its own has no field: it stays unless thicknesses are written. So do limits without one. */
  #keepUnshown(trip) {
    const diameters = this.#trip.wood?.diameters;
    if (diameters && !trip.wood?.diameters_mm) put(trip, "wood/diameters", diameters);
    for (const [name, limit] of Object.entries(this.#trip.limits ?? {})) {
      const path = `limits/${name}`;
      if (limit !== null && !this.form.querySelector(`[data-path="${CSS.escape(path)}"]`)) put(trip, path, limit);
    }
  }

  #choose() {
    this.folds?.count();
    for (const word of this.form.querySelectorAll("[data-count]")) {
      const [{ unit }, one] = [word.dataset, this.form.querySelector(`#${word.dataset.count}`).value.trim() === "1"];
      word.dataset.many ??= word.textContent;
      if (unit) word.textContent = (one ? unitOfOne : unitName)(unit, this.#units);
      else word.textContent = one ? word.dataset.one : word.dataset.many;
    }
  }
}

export { TripForm };
