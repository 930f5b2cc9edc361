/**
 * <kitwright-kit>: describe a trip, see the lightest kit of wood-cutting tools that covers it.
 *
 * Attributes: service, units (metric|us), lang, trip (JSON), form ("none" hides the built-in form).
 * Properties: trip, units, answer (read only). Method: plan() -> the answer, or null where there is none.
 * Events: kitwright-trip {trip}, kitwright-answer {trip, answer}, kitwright-problem {trip, problem}.
 *
 * One file, no dependency. It writes text nodes only, so it runs under `require-trusted-types-for 'script'`
 * and needs no `style-src`.
 */

const HOME = new URL("../../", import.meta.url).href;
const MOST_WAIT_MS = 180_000; // a service may search for 30 s, more than once
const MM_PER_INCH = 25.4; // international inch
const G_PER_OUNCE = 28.349523125; // international avoirdupois ounce
const OUNCES_PER_POUND = 16;
const SVG = "http://www.w3.org/2000/svg";

const FIRST_TRIP = {
  people: 2,
  nights: 3,
  tasks: [
    { task: "buck", diameter_mm: 80, per_day: 8 },
    { task: "split", diameter_mm: 80, per_day: 8 },
    { task: "carve", diameter_mm: 30, per_day: 2 },
  ],
  limits: { work_min_per_day: 60 },
  detail: "kit",
};

const TASKS = {
  buck: { choice: "Cut to length", unit: ["cut", "cuts"], by: "cut to length" },
  split: { choice: "Split rounds", unit: ["round", "rounds"], by: "split" },
  saw: { choice: "Saw", unit: ["cut", "cuts"], by: "saw" },
  chop: { choice: "Chop", unit: ["cut", "cuts"], by: "chop" },
  carve: { choice: "Carve pieces", unit: ["piece", "pieces"], by: "carve" },
};
const WOOD_STATES = { "dead-dry": "Dead and dry", "dead-wet": "Dead, wet outside", green: "Green" };
const AIMS = { effort: "Least effort, proven", work_time: "Least work time, proven" };

const STYLE = `
:host {
  color-scheme: light dark;
  display: block;
  min-inline-size: min(100%, 18rem);
  --_text: var(--kitwright-text, light-dark(#23292c, #e6e8e5));
  --_muted: var(--kitwright-muted, light-dark(#525c5d, #a9b3b3));
  --_surface: var(--kitwright-surface, light-dark(#f6f4ef, #1b2124));
  --_raised: var(--kitwright-raised, light-dark(#fffefb, #242c30));
  --_line: var(--kitwright-line, light-dark(#d4d1c8, #3d484d));
  --_edge: var(--kitwright-edge, light-dark(#7b817e, #839095));
  --_accent: var(--kitwright-accent, light-dark(#7b4719, #dda871));
  --_on-accent: var(--kitwright-on-accent, light-dark(#ffffff, #21180d));
  --_slate: var(--kitwright-slate, light-dark(#2e3a40, #101618));
  --_on-slate: var(--kitwright-on-slate, light-dark(#f5f1e8, #f1ece1));
  --_wood: var(--kitwright-wood, light-dark(#c89b66, #b58a58));
  --_warning: var(--kitwright-warning, light-dark(#96330f, #ffab85));
  --_radius: var(--kitwright-radius, 0.4rem);
  --_font: var(--kitwright-font, system-ui, sans-serif);
}
:host([hidden]) { display: none; }
* { box-sizing: border-box; }
[hidden] { display: none !important; }
.whole {
  background: var(--_surface);
  border: 1px solid var(--_line);
  border-radius: var(--_radius);
  color: var(--_text);
  container-type: inline-size;
  font: 1rem/1.5 var(--_font);
  overflow-wrap: anywhere;
  text-align: start;
}
.columns { display: grid; gap: 1.25rem; padding: 1rem; }
h2, h3, p, ul, ol, dl, dd, fieldset { margin: 0; padding: 0; }
h2 { font-size: 1.05rem; line-height: 1.3; }
h3 { font-size: 1rem; font-weight: 600; line-height: 1.35; }
ul, ol { list-style: none; }
fieldset { border: 0; min-inline-size: 0; }
form { align-content: start; display: grid; gap: 1.25rem; }
legend { font-weight: 600; margin-block-end: 0.5rem; padding: 0; }
.fields { display: grid; gap: 0.6rem 0.75rem; grid-template-columns: repeat(auto-fit, minmax(min(100%, 7.5rem), 1fr)); }
.rows { display: grid; gap: 0.75rem; }
.row {
  align-items: end;
  border-block-end: 1px solid var(--_line);
  display: grid;
  gap: 0.4rem 0.6rem;
  grid-template-columns: 1fr 1fr;
  padding-block-end: 0.75rem;
}
.row > :first-child { grid-column: 1 / -1; }
.row > .remove { grid-column: 1 / -1; justify-self: end; }
.field { align-content: start; align-self: start; display: grid; gap: 0.2rem; }
.field.tick { align-self: center; }
label { color: var(--_muted); font-size: 0.875rem; line-height: 1.3; }
.tick label { align-items: center; color: var(--_text); display: flex; font-size: 1rem; gap: 0.5rem; min-block-size: 2.5rem; }
input:not([type="checkbox"]), select {
  background: var(--_raised);
  border: 1px solid var(--_edge);
  border-radius: var(--_radius);
  color: inherit;
  font: inherit;
  inline-size: 100%;
  min-block-size: 2.5rem;
  min-inline-size: 0;
  padding: 0.35rem 0.6rem;
}
input[type="checkbox"] { accent-color: var(--_accent); block-size: 1.25rem; flex: none; inline-size: 1.25rem; margin: 0; }
[aria-invalid="true"] { border-color: var(--_warning) !important; outline: 1px solid var(--_warning); }
button {
  background: none;
  border: 1px solid var(--_edge);
  border-radius: var(--_radius);
  color: var(--_text);
  cursor: pointer;
  font: inherit;
  min-block-size: 2.5rem;
  padding: 0.35rem 0.9rem;
}
button.main { background: var(--_accent); border-color: var(--_accent); color: var(--_on-accent); font-weight: 600; inline-size: 100%; min-block-size: 3rem; }
button.add { border-style: dashed; inline-size: 100%; margin-block-start: 0.75rem; }
button.remove { color: var(--_muted); font-size: 0.875rem; min-block-size: 2rem; }
:focus-visible { outline: 3px solid var(--_accent); outline-offset: 2px; }
.fault, .problem strong, .gaps h2 { color: var(--_warning); }
.fault { font-size: 0.875rem; line-height: 1.35; }
.news { color: var(--_muted); min-block-size: 1.5em; }
.problem, .gaps {
  background: var(--_raised);
  border: 1px solid var(--_warning);
  border-inline-start-width: 0.35rem;
  border-radius: var(--_radius);
  display: grid;
  gap: 0.35rem;
  padding: 0.75rem 1rem;
}
.result { align-content: start; display: grid; gap: 1.25rem; min-inline-size: 0; }
.result > * { min-inline-size: 0; }
.old { opacity: 0.75; }
.total { background: var(--_slate); border-radius: var(--_radius); color: var(--_on-slate); display: grid; gap: 0.15rem; padding: 1rem 1.1rem; }
.total :focus-visible { outline-color: currentColor; }
.mass { font-size: clamp(2.25rem, 14cqi, 3.25rem); font-variant-numeric: tabular-nums; font-weight: 650; letter-spacing: -0.02em; line-height: 1.1; }
.status { display: flex; flex-wrap: wrap; font-weight: 600; gap: 0 0.5rem; }
.status::before { content: ""; align-self: center; background: currentColor; block-size: 0.6rem; border-radius: 50%; flex: none; inline-size: 0.6rem; }
.status.feasible::before { background: none; border: 2px solid currentColor; }
.status.uncovered::before { border-radius: 0; transform: rotate(45deg); }
.block { display: grid; gap: 0.5rem; }
.tool { background: var(--_raised); border: 1px solid var(--_line); border-inline-start: 0.3rem solid var(--_wood); border-radius: var(--_radius); display: grid; gap: 0.5rem; padding: 0.75rem 0.9rem; }
.tools { display: grid; gap: 0.6rem; }
.name { align-items: baseline; display: flex; gap: 1rem; justify-content: space-between; }
.name span { flex: none; font-variant-numeric: tabular-nums; font-weight: 600; white-space: nowrap; }
.uses { display: grid; gap: 0.5rem; }
.use { align-items: center; display: grid; gap: 0.1rem 0.7rem; grid-template-columns: 2.5rem 1fr; }
.use svg { block-size: 2.5rem; inline-size: 2.5rem; }
.use > :last-child { grid-column: 2; }
.small { color: var(--_muted); font-size: 0.875rem; }
.notes { display: grid; gap: 0.4rem; list-style: square; padding-inline-start: 1.1rem; }
.notes ::marker { color: var(--_wood); }
summary { cursor: pointer; font-weight: 600; min-block-size: 2rem; }
details > :last-child { margin-block-start: 0.5rem; }
.reach { fill: none; stroke: var(--_edge); stroke-dasharray: 3 2.5; stroke-width: 1.5; }
.log { fill: var(--_wood); stroke: var(--_accent); stroke-width: 1.5; }
.ring { fill: none; opacity: 0.55; stroke: var(--_accent); stroke-width: 0.9; }
@container (min-inline-size: 30rem) {
  .row { grid-template-columns: minmax(0, 1.6fr) minmax(0, 1fr) minmax(0, 1fr) auto; }
  .row > :first-child, .row > .remove { grid-column: auto; }
  .row > .remove { min-block-size: 2.5rem; }
  .columns { padding: 1.5rem; }
}
@container (min-inline-size: 52rem) {
  .columns.both { gap: 2.25rem; grid-template-columns: minmax(0, 5fr) minmax(0, 6fr); }
}
@media (prefers-reduced-motion: no-preference) {
  .result { transition: opacity 150ms; }
}
@media (forced-colors: active) {
  .total { border: 1px solid CanvasText; }
  .status::before { forced-color-adjust: none; background: CanvasText; }
  .log { fill: GrayText; stroke: CanvasText; }
  .reach, .ring { stroke: CanvasText; }
}
@media print {
  form, .news { display: none; }
  details::details-content { content-visibility: visible; }
}
`;

const sheet = new CSSStyleSheet();
sheet.replaceSync(STYLE);
let lastId = 0;

/** An element with properties, attributes (names with a dash, role, part, for) and children; texts become text nodes. */
function node(name, given = {}, ...children) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(given)) {
    if (value === undefined || value === null) continue;
    if (key.includes("-") || ["role", "part", "for", "lang", "dir"].includes(key)) made.setAttribute(key, value);
    else made[key] = value;
  }
  made.append(...children.filter((child) => child !== null && child !== undefined));
  return made;
}

/** A shape; `given` are attributes. */
function shape(name, given, ...children) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(given)) made.setAttribute(key, value);
  made.append(...children);
  return made;
}

const isObject = (value) => typeof value === "object" && value !== null && !Array.isArray(value);
const objectOr = (value) => (isObject(value) ? value : {});
const listOr = (value) => (Array.isArray(value) ? value : []);
const words = (id) => String(id).replaceAll("-", " ");
const sentence = (text) => text.charAt(0).toUpperCase() + text.slice(1);

/** Numbers with their units, as the language writes them. */
class Figures {
  constructor(language, units) {
    this.language = language;
    this.us = units === "us";
    this.decimal = this.format(1.5).includes(",") ? "," : ".";
  }

  format(value, options = {}) {
    return new Intl.NumberFormat(this.language, { maximumFractionDigits: 1, ...options }).format(value);
  }

  unit(value, unit, digits) {
    return this.format(value, { style: "unit", unit, unitDisplay: "short", maximumFractionDigits: digits });
  }

  mass(grams) {
    if (!this.us) return this.unit(grams, "gram", grams < 10 ? 1 : 0);
    const ounces = Math.round((10 * grams) / G_PER_OUNCE) / 10;
    const pounds = Math.floor(ounces / OUNCES_PER_POUND);
    const rest = this.unit(ounces - pounds * OUNCES_PER_POUND, "ounce", 1);
    return pounds ? `${this.unit(pounds, "pound", 0)} ${rest}` : rest;
  }

  firewood(kilograms) {
    return this.us ? this.unit((1000 * kilograms) / G_PER_OUNCE / OUNCES_PER_POUND, "pound", 1) : this.unit(kilograms, "kilogram", 1);
  }

  length(mm) {
    return this.us ? this.unit(mm / MM_PER_INCH, "inch", 2) : this.unit(mm, "millimeter", 0);
  }

  minutes(value) {
    return this.unit(value, "minute", value < 9.5 ? 1 : 0);
  }

  /** The short name of the unit of lengths, as `mm`. */
  get lengthName() {
    const unit = this.us ? "inch" : "millimeter";
    const parts = new Intl.NumberFormat(this.language, { style: "unit", unit, unitDisplay: "short" }).formatToParts(2);
    return parts.find((part) => part.type === "unit")?.value ?? unit;
  }

  /** A shortfall of the service in its unit (mm, g, min, ...). */
  shortfall(value, unit) {
    const known = { mm: () => this.length(value), g: () => this.mass(value), kg: () => this.firewood(value), "kg a day": () => this.firewood(value) };
    const minutes = /^min/.test(unit) ? () => this.minutes(value) : null;
    return (known[unit] ?? minutes ?? (() => `${this.format(value, { maximumFractionDigits: 2 })} ${unit}`))();
  }

  /** The text of a number to be edited. */
  editable(value) {
    const options = { useGrouping: false, maximumFractionDigits: 2, numberingSystem: "latn" };
    return Number.isFinite(value) ? this.format(value, options) : "";
  }

  /** The number that a person wrote, or NaN; `1,500` where a comma groups is refused, not guessed at. */
  read(text) {
    const plain = text.trim();
    if (this.decimal === "," && /^\d{1,3}(\.\d{3})+$/.test(plain)) return NaN;
    const dotted = this.decimal === "," ? plain.replace(",", ".") : plain;
    return /^-?(\d+\.?\d*|\.\d+)$/.test(dotted) ? Number(dotted) : NaN;
  }
}

/** The built-in form: a view of one trip that writes into it what a person changes, and nothing else. */
class TripForm {
  constructor(owner) {
    this.owner = owner;
    this.fields = new Map(); // JSON pointer -> {control, box}
    this.unread = new Map(); // JSON pointer -> the text that is no number
    this.root = node("form", { part: "form", noValidate: true, autocomplete: "off", "aria-label": "Trip" });
    this.root.addEventListener("submit", (event) => {
      event.preventDefault();
      this.owner.plan();
    });
  }

  show(trip, figures) {
    this.trip = trip;
    this.figures = figures;
    this.fields.clear();
    this.unread.clear();
    this.root.replaceChildren(
      this.work(),
      this.group("Fire each day", "#/fire", [
        this.number("Hot water, litres a person", ["fire", "hot_water_l_per_person"], { absent: 0 }),
        this.number("Warmth, hours", ["fire", "warmth_h"], { absent: 0 }),
        this.tick("Melt snow for the water", ["fire", "melt_snow"]),
      ]),
      this.group("Party, wood, time", "#/wood", [
        this.number("People", ["people"], { absent: 1, whole: true }),
        this.number("Nights", ["nights"], { absent: 1, whole: true }),
        this.number("Wood work a day, minutes at most", ["limits", "work_min_per_day"], { absent: 90 }),
        this.choice("Wood", ["wood", "state"], WOOD_STATES, "dead-dry"),
      ]),
      node("button", { type: "submit", className: "main", part: "button", textContent: "Find the lightest kit" }),
    );
  }

  work() {
    const rows = node("div", { className: "rows" }, ...listOr(this.trip.tasks).map((_, index) => this.row(index)));
    const add = node("button", { type: "button", className: "add", part: "add", textContent: "Add work" });
    add.addEventListener("click", () => {
      const tasks = listOr(this.trip.tasks);
      const last = tasks.at(-1) ?? FIRST_TRIP.tasks[0];
      this.put(["tasks"], [...tasks, { task: last.task, diameter_mm: last.diameter_mm, per_day: last.per_day }]);
      this.again(`#/tasks/${tasks.length}/task`);
    });
    return this.group("Wood work each day", "#/tasks", [rows], add);
  }

  row(index) {
    const label = `Work ${index + 1}`;
    const remove = node("button", { type: "button", className: "remove", part: "remove", textContent: "Remove", "aria-label": `Remove work ${index + 1}` });
    remove.addEventListener("click", () => {
      this.put(["tasks"], this.trip.tasks.filter((_, other) => other !== index));
      this.again(this.trip.tasks.length ? `#/tasks/${Math.max(0, index - 1)}/task` : null);
    });
    const choices = Object.fromEntries(Object.entries(TASKS).map(([task, { choice }]) => [task, choice]));
    return node(
      "div",
      { className: "row", role: "group", "aria-label": label, part: "task" },
      this.choice("Work", ["tasks", index, "task"], choices, "split"),
      this.number(`Thickness, ${this.figures.lengthName}`, ["tasks", index, "diameter_mm"], { length: true }),
      this.number("Times a day", ["tasks", index, "per_day"], { absent: 1 }),
      remove,
    );
  }

  group(title, pointer, inside, ...after) {
    const box = node("fieldset", {}, node("legend", { textContent: title }));
    box.append(pointer === "#/tasks" ? inside[0] : node("div", { className: "fields" }, ...inside), ...after);
    this.fields.set(pointer, { control: box, box });
    return box;
  }

  number(label, path, { absent, whole = false, length = false }) {
    const { figures } = this;
    const scale = length && figures.us ? MM_PER_INCH : 1;
    const held = this.get(path) ?? absent;
    const value = typeof held === "number" ? figures.editable(held / scale) : String(held ?? "");
    const input = node("input", { type: "text", inputMode: whole ? "numeric" : "decimal", value });
    input.addEventListener("input", () => {
      const read = figures.read(input.value);
      const pointer = pointerOf(path);
      if (Number.isNaN(read)) this.unread.set(pointer, input.value);
      else this.unread.delete(pointer);
      if (!Number.isNaN(read)) this.put(path, scale === 1 ? read : Math.round(10 * read * scale) / 10);
    });
    return this.field(label, input, path);
  }

  choice(label, path, choices, absent) {
    const select = node("select", {}, ...Object.entries(choices).map(([value, text]) => node("option", { value, textContent: text })));
    const held = this.get(path) ?? absent;
    if (!(held in choices)) select.append(node("option", { value: String(held), textContent: String(held) }));
    select.value = String(held);
    select.addEventListener("change", () => this.put(path, select.value));
    return this.field(label, select, path);
  }

  tick(label, path) {
    const input = node("input", { type: "checkbox", checked: this.get(path) === true });
    input.addEventListener("change", () => this.put(path, input.checked));
    const box = node("div", { className: "field tick", part: "field" }, node("label", {}, input, label));
    this.fields.set(pointerOf(path), { control: input, box });
    return box;
  }

  field(label, control, path) {
    control.id = `field-${++lastId}`;
    control.setAttribute("part", "control");
    const box = node("div", { className: "field", part: "field" }, node("label", { for: control.id, textContent: label }), control);
    this.fields.set(pointerOf(path), { control, box });
    return box;
  }

  get(path) {
    return path.reduce((found, step) => found?.[step], this.trip);
  }

  put(path, value) {
    let place = this.trip;
    path.slice(0, -1).forEach((step) => {
      if (typeof place[step] !== "object" || place[step] === null) place[step] = {};
      place = place[step];
    });
    place[path.at(-1)] = value;
    const fire = objectOr(this.trip.fire);
    if (this.trip.fire && !Object.entries(fire).some(([key, asked]) => key === "allowed" || asked)) delete this.trip.fire;
    this.owner.changed();
  }

  /** Draw anew and put the focus on a field. */
  again(pointer) {
    this.show(this.trip, this.figures);
    const target = this.fields.get(pointer)?.control ?? this.root.querySelector(".add");
    target.focus();
  }

  /** What cannot be sent: fields whose text is no number. */
  unreadFaults() {
    const detail = `a number is needed, written as ${this.figures.editable(1.5)}`;
    return [...this.unread].map(([pointer, value]) => ({ pointer, value, range: "a number", detail }));
  }

  /** Show faults beside their fields and return those that have no field here; the first that has one gets the focus. */
  mark(faults) {
    for (const { control, box } of this.fields.values()) {
      box.querySelectorAll(":scope > .fault").forEach((old) => old.remove());
      control.removeAttribute("aria-invalid");
      control.removeAttribute("aria-describedby");
    }
    const strays = [];
    let first = null;
    for (const fault of faults) {
      const pointer = String(fault.pointer ?? "");
      const place = this.fields.get(this.nearest(pointer));
      if (!place) {
        strays.push(fault);
        continue;
      }
      const told = node("p", { className: "fault", part: "fault", id: `fault-${++lastId}`, dir: "auto", textContent: String(fault.detail) });
      place.box.append(told);
      if (place.control.matches("input, select")) place.control.setAttribute("aria-invalid", "true");
      place.control.setAttribute("aria-describedby", `${place.control.getAttribute("aria-describedby") ?? ""} ${told.id}`.trim());
      first ??= place.control.matches("input, select") ? place.control : place.box.querySelector("button, input, select");
    }
    first?.focus();
    return strays;
  }

  /** The pointer of the field that a fault belongs to: its own or the closest above it. */
  nearest(pointer) {
    let at = pointer;
    while (at && !this.fields.has(at)) at = at.slice(0, Math.max(0, at.lastIndexOf("/")));
    return at;
  }
}

function pointerOf(path) {
  return `#${path.map((step) => `/${step}`).join("")}`;
}

/** The answer as a person reads it. */
class AnswerView {
  constructor(answer, trip, figures) {
    this.answer = answer;
    this.trip = trip;
    this.figures = figures;
  }

  parts() {
    return [this.total(), this.gaps(), this.tools(), this.weightless(), this.cautions(), this.assumptions()];
  }

  /** One sentence for people who hear the page. */
  spoken() {
    const { kit } = this.answer;
    const count = kit.tools.length === 1 ? "1 tool" : `${this.figures.format(kit.tools.length)} tools`;
    return `${this.status()}: ${this.figures.mass(kit.mass_g)}, ${count}, ${this.figures.minutes(kit.work_min_per_day)} of wood work a day.`;
  }

  status() {
    const { status, effort } = this.answer;
    if (status === "uncovered") return "Not all of it can be covered";
    if (status === "feasible") return "Best found, not proven";
    return AIMS[effort?.aim] ?? "The lightest, proven";
  }

  total() {
    const { answer, figures } = this;
    const { kit, proof } = answer;
    const limit = objectOr(this.trip.limits).work_min_per_day;
    const within = typeof limit === "number" ? `, of at most ${figures.minutes(limit)}` : "";
    const rest = answer.status === "uncovered" ? " for what can be covered" : "";
    const weighed = `${figures.format(proof.tools_considered)} tools weighed`;
    const open = answer.status === "feasible" && proof.gap_g !== null ? `; ${figures.mass(proof.gap_g)} less is not ruled out` : "";
    return node(
      "div",
      { className: "total", part: "total" },
      node("p", { className: "mass", part: "mass", textContent: figures.mass(kit.mass_g) }),
      node("p", {}, `packed${rest}, ${figures.minutes(kit.work_min_per_day)} of wood work a day${within}`),
      node("p", { className: `status ${answer.status}`, part: "status" }, node("span", {}, this.status()), node("span", {}, `(${weighed}${open})`)),
    );
  }

  gaps() {
    const { gaps } = this.answer;
    if (!gaps.length) return null;
    const rows = gaps.map((gap) => {
      const short = gap.short_by === null ? "" : `Short by ${this.figures.shortfall(gap.short_by, gap.unit)}. `;
      return node("li", { part: "gap", dir: "auto" }, node("strong", {}, short), gap.text);
    });
    return node("section", { className: "gaps", part: "gaps" }, node("h2", { textContent: "What is missing" }), node("ul", { className: "notes" }, ...rows));
  }

  tools() {
    const { tools } = this.answer.kit;
    const inside = tools.length
      ? node("ul", { className: "tools" }, ...tools.map((tool) => this.tool(tool)))
      : node("p", { textContent: "Nothing has to be carried." });
    return node("section", { className: "block", part: "tools" }, node("h2", { textContent: "In the pack" }), inside);
  }

  tool(tool) {
    const { figures } = this;
    const dearer = typeof tool.price_g === "number" ? `Left at home, the lightest kit weighs ${figures.mass(tool.price_g)} more.` : null;
    return node(
      "li",
      { className: "tool", part: "tool" },
      node("div", { className: "name" }, node("h3", { dir: "auto", textContent: tool.name }), node("span", { textContent: figures.mass(tool.mass_g) })),
      node("ul", { className: "uses" }, ...this.uses(tool.id)),
      dearer && node("p", { className: "small", textContent: dearer }),
    );
  }

  /** What a tool or method is for: the stated and camp work it does, and its share of the firewood. */
  uses(id) {
    const stated = this.answer.needs
      .filter((need) => need.diameter_mm !== null && need.done_with.some((share) => share.id === id))
      .map((need) => this.use(need, id));
    const firewood = this.answer.workings.flatMap((working) => [
      ...working.buck.filter((part) => part.id === id).map((part) => this.firewood(working, part, "cut or broken to length")),
      ...working.split.filter((part) => part.id === id).map((part) => this.firewood(working, part, "split")),
    ]);
    return [...stated, ...firewood];
  }

  use(need, id) {
    const { figures } = this;
    const { unit, by } = TASKS[need.task] ?? { unit: ["piece", "pieces"], by: words(need.task) };
    const what = `${by} ${figures.length(need.diameter_mm)}, ${figures.format(need.per_day)} ${need.per_day === 1 ? unit[0] : unit[1]} a day`;
    const name = need.because.facts.stated ? sentence(what) : `${sentence(words(need.id))}: ${what}`;
    const share = need.done_with.find((part) => part.id === id).share;
    const told = [];
    if (share < 0.995) told.push(`${figures.format(share, { style: "percent", maximumFractionDigits: 0 })} of it`);
    else if (need.minutes_per_day !== null) told.push(figures.minutes(need.minutes_per_day));
    if (need.spare_mm !== null) told.push(need.spare_mm > 0 ? `${figures.length(need.spare_mm)} to spare` : "nothing to spare");
    return node("li", { className: "use", part: "use" }, this.log(need), node("span", {}, name, node("br"), node("span", { className: "small", textContent: told.join(", ") })));
  }

  firewood(working, part, done) {
    const { figures } = this;
    const what = `Firewood of ${figures.length(working.diameter_mm)}: ${figures.firewood(part.kg_per_day)} a day ${done}`;
    return node("li", { className: "use" }, node("span", {}, what, node("br"), node("span", { className: "small", textContent: figures.minutes(part.minutes_per_day) })));
  }

  /** The end of a log, drawn inside the circle that the tool reaches. */
  log({ diameter_mm, spare_mm }) {
    if (spare_mm === null) return null;
    const radius = (18 * diameter_mm) / (diameter_mm + Math.max(0, spare_mm));
    const circle = (className, r) => shape("circle", { class: className, cx: 20, cy: 20, r: r.toFixed(2) });
    const rings = [0.75, 0.5, 0.25].map((part) => circle("ring", part * radius));
    return shape("svg", { viewBox: "0 0 40 40", "aria-hidden": "true" }, circle("reach", 18), circle("log", radius), ...rings);
  }

  weightless() {
    const { figures } = this;
    const rows = this.answer.kit.methods.map((id) => node("li", { className: "block" }, node("h3", { textContent: sentence(words(id)) }), node("ul", { className: "uses" }, ...this.uses(id))));
    const gather = this.answer.needs.find((need) => need.task === "gather");
    if (gather && gather.minutes_per_day !== null) {
      rows.push(node("li", {}, `Gather ${figures.firewood(gather.per_day)} of firewood a day: ${figures.minutes(gather.minutes_per_day)}`));
    }
    if (!rows.length) return null;
    return node("section", { className: "block", part: "methods" }, node("h2", { textContent: "Done without a tool" }), node("ul", { className: "block" }, ...rows));
  }

  cautions() {
    const rows = this.answer.cautions.map((caution) => node("li", { dir: "auto", textContent: caution.text }));
    if (!rows.length) return null;
    return node("section", { className: "block", part: "cautions" }, node("h2", { textContent: "Cautions" }), node("ul", { className: "notes" }, ...rows));
  }

  assumptions() {
    const { figures } = this;
    const number = (value) => figures.format(value, { maximumFractionDigits: 3 });
    const rows = this.answer.assumptions.map((one) => {
      const unit = one.unit === "-" ? "" : ` ${one.unit}`;
      return node("li", { dir: "auto" }, `${sentence(one.used_for)}: ${number(one.value)}${unit} `, node("span", { className: "small", textContent: `(${number(one.low)} to ${number(one.high)})` }));
    });
    if (!rows.length) return null;
    return node("details", { part: "assumptions" }, node("summary", { textContent: `Assumed, not known (${figures.format(rows.length)})` }), node("ul", { className: "notes" }, ...rows));
  }
}

/** Ask the service for a kit: {answer} or {problem}; never throws. */
async function asked(service, trip, signal) {
  let response = null;
  try {
    response = await fetch(new URL("v1/kits", service), {
      method: "POST",
      headers: { "Content-Type": "application/json", Accept: "application/json, application/problem+json" },
      body: JSON.stringify(trip),
      credentials: "omit",
      referrerPolicy: "no-referrer",
      signal: AbortSignal.any([signal, AbortSignal.timeout(MOST_WAIT_MS)]),
    });
    const body = await response.json();
    if (response.ok && isAnswer(body)) return { answer: body };
    if (!response.ok && isObject(body) && typeof body.title === "string") return { problem: body };
  } catch {
    if (response === null) {
      const detail = `${service} does not answer, or does not let pages of ${location.origin} ask it.`;
      return { problem: { title: "The service cannot be reached", detail } };
    }
  }
  return { problem: { title: "The service gave no readable answer", detail: `${service} answered with status ${response.status}.` } };
}

function isAnswer(body) {
  const lists = (from, ...names) => names.every((name) => Array.isArray(from?.[name]));
  return (
    isObject(body) &&
    ["optimal", "feasible", "uncovered"].includes(body.status) &&
    lists(body, "needs", "workings", "gaps", "cautions", "assumptions") &&
    lists(body.kit, "tools", "methods") &&
    Number.isFinite(body.kit.mass_g) &&
    Number.isFinite(body.kit.work_min_per_day) &&
    isObject(body.proof)
  );
}

/** The element. */
class KitwrightKit extends HTMLElement {
  static observedAttributes = ["units", "lang", "trip", "form"];

  #trip = structuredClone(FIRST_TRIP);
  #answer = null;
  #answered = null; // the trip that the answer is to
  #abort = null;
  #newest = Promise.resolve(null);
  #form = new TripForm(this);
  #news = node("p", { className: "news", role: "status", "aria-live": "polite", part: "news" });
  #problem = node("div", { className: "problem", part: "problem", hidden: true });
  #result = node("div", { className: "result", part: "result" });
  #columns = node("div", { className: "columns both" }, this.#form.root, node("div", { className: "result" }, this.#news, this.#problem, this.#result));

  constructor() {
    super();
    const root = this.attachShadow({ mode: "open" });
    root.adoptedStyleSheets = [sheet];
    root.append(node("div", { className: "whole", part: "whole", lang: "en" }, this.#columns));
  }

  connectedCallback() {
    for (const name of ["trip", "units"]) {
      if (!Object.hasOwn(this, name)) continue; // set before the element was defined
      const value = this[name];
      delete this[name];
      this[name] = value;
    }
    this.#draw();
    if (this.#bare && this.hasAttribute("trip")) this.plan();
  }

  disconnectedCallback() {
    queueMicrotask(() => {
      if (this.isConnected) return; // only moved
      this.#newest = Promise.resolve(null);
      this.#abort?.abort();
      this.#abort = null;
    });
  }

  attributeChangedCallback(name, before, value) {
    if (before === value) return;
    if (name === "trip") this.#readTrip(value);
    if (this.isConnected) this.#draw();
    if (name === "trip" && this.isConnected && this.#bare && value !== null) this.plan();
  }

  /** The trip as POST /v1/kits takes it; a copy. */
  get trip() {
    return structuredClone(this.#trip);
  }

  set trip(value) {
    if (!isObject(value)) throw new TypeError("a trip is an object as POST /v1/kits takes it");
    this.#trip = JSON.parse(JSON.stringify(value));
    this.#age();
    if (this.isConnected) this.#drawForm();
  }

  /** The last answer, or null. */
  get answer() {
    return this.#answer;
  }

  get units() {
    return this.getAttribute("units") === "us" ? "us" : "metric";
  }

  set units(value) {
    this.setAttribute("units", value);
  }

  /** Where the service is; the place that this module came from where nothing is said. */
  get service() {
    return this.getAttribute("service") || HOME;
  }

  set service(value) {
    this.setAttribute("service", value);
  }

  /** Plan the trip: the answer, or null where there is none; a call that is overtaken gives what the newest one gives. */
  plan() {
    this.#newest = this.#plan();
    return this.#newest;
  }

  /** Tell that the form has changed the trip. */
  changed() {
    this.#age();
    this.#tell("kitwright-trip", { trip: this.trip });
  }

  async #plan() {
    this.#abort?.abort();
    const abort = new AbortController();
    this.#abort = abort;
    const { trip } = this;
    const unread = this.#bare ? [] : this.#form.unreadFaults();
    this.#news.textContent = "Planning …";
    this.#columns.setAttribute("aria-busy", "true");
    const outcome = unread.length
      ? { problem: { title: "A number can't be read", detail: "The marked fields need a number.", errors: unread } }
      : await asked(this.#base(), trip, abort.signal);
    if (this.#abort !== abort) return this.#newest;
    this.#abort = null;
    this.#columns.removeAttribute("aria-busy");
    return outcome.answer ? this.#take(outcome.answer, trip) : this.#refuse(outcome.problem, trip);
  }

  #take(answer, trip) {
    this.#answer = answer;
    this.#answered = trip;
    this.#showProblem(null);
    this.#drawAnswer();
    this.#tell("kitwright-answer", { trip, answer });
    return answer;
  }

  #refuse(problem, trip) {
    this.#news.textContent = "";
    this.#showProblem(problem);
    this.#tell("kitwright-problem", { trip, problem });
    return null;
  }

  /** Show a problem, or none: what has a field goes beside it, the rest above the result. */
  #showProblem(problem) {
    const faults = listOr(problem?.errors);
    const strays = this.#bare ? faults : this.#form.mark(faults);
    this.#problem.hidden = problem === null;
    this.#problem.replaceChildren();
    if (problem === null) return;
    const told = strays.map((fault) => node("li", { dir: "auto" }, `${fault.pointer}: ${fault.detail}`));
    this.#news.textContent = `${problem.title}. ${problem.detail ?? ""}`;
    this.#problem.append(node("strong", { textContent: "Not planned" }), node("ul", { className: "notes", hidden: !told.length }, ...told));
    if (!told.length) this.#problem.hidden = true;
  }

  #base() {
    try {
      return new URL(this.service.replace(/\/*$/, "/"), document.baseURI).href;
    } catch {
      return this.service;
    }
  }

  get #bare() {
    return this.getAttribute("form") === "none";
  }

  get #figures() {
    const named = this.closest("[lang]")?.lang || document.documentElement.lang || navigator.language;
    let language = "en";
    try {
      [language] = Intl.getCanonicalLocales(named);
    } catch {
      // not a language tag: the default serves
    }
    return new Figures(language, this.units);
  }

  #readTrip(text) {
    if (text === null) return;
    let value = null;
    try {
      value = JSON.parse(text);
    } catch {
      // told below, with every other value that is no object
    }
    if (isObject(value)) this.trip = value;
    else this.#refuse({ title: "The trip can't be read", detail: "The attribute trip must hold a JSON object." }, this.trip);
  }

  #draw() {
    this.#form.root.hidden = this.#bare;
    this.#columns.classList.toggle("both", !this.#bare);
    this.#drawForm();
    if (this.#answer) this.#drawAnswer();
  }

  #drawForm() {
    if (!this.#bare) this.#form.show(this.#trip, this.#figures);
  }

  #drawAnswer() {
    const view = new AnswerView(this.#answer, this.#answered, this.#figures);
    this.#result.replaceChildren(...view.parts().filter(Boolean));
    this.#news.textContent = view.spoken();
    this.#age();
  }

  /** Mark an answer that is to another trip than the one shown. */
  #age() {
    if (!this.#answer) return;
    const old = JSON.stringify(this.#trip) !== JSON.stringify(this.#answered);
    this.#result.classList.toggle("old", old);
    if (old && !this.#abort) this.#news.textContent = "The trip has changed since this kit was planned.";
  }

  #tell(name, detail) {
    this.dispatchEvent(new CustomEvent(name, { bubbles: true, composed: true, detail }));
  }
}

if (!customElements.get("kitwright-kit")) customElements.define("kitwright-kit", KitwrightKit);

export { KitwrightKit };
