/**
 * <kitwright-kit>: describe a trip, see the lightest kit of wood-cutting tools that covers it.
 *
 * Attributes: service, units (metric|us), lang, trip (JSON), form ("none" hides the built-in form).
 * Properties: trip, units, answer (read only). Method: plan() -> the answer, or null where there is none.
 * Events: kitwright-trip {trip}, kitwright-answer {trip, answer}, kitwright-problem {trip, problem}.
 *
 * One file, no dependency, nothing that moves. It writes text nodes only, so it runs under `require-trusted-types-for 'script'`
 * and needs no `style-src`.
 */

const HOME = new URL("../../", import.meta.url).href;
const MOST_WAIT_MS = 180_000; // a service may search for 30 s, more than once
const MM_PER_INCH = 25.4; // international inch
const G_PER_OUNCE = 28.349523125; // international avoirdupois ounce
const OUNCES_PER_POUND = 16;
const L_PER_QUART = 0.946352946; // US liquid quart
const KM_PER_MILE = 1.609344; // international mile
const M_PER_FOOT = 0.3048; // international foot
const LENGTH = { scale: MM_PER_INCH, fine: 10 };
const VOLUME = { scale: L_PER_QUART, fine: 1000 };
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
const HINT = "Say what wood is worked in a day. The lightest kit that can do it is shown here, with what each tool is for.";
const PARTS_OF_A_DAY = { cutting: "cutting", handling: "handling", gathering: "gathering", rest: "rest" };
const LEAST_MIN = 0.05; // minutes are told to one decimal
const AIMS = { effort: "Least effort, proven", work_time: "Least work time, proven" };

const STYLE = `
:host {
  color-scheme: light dark;
  display: block;
  min-inline-size: min(100%, 288px);
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
  --_bark: var(--kitwright-bark, light-dark(#7b4719, #65431f));
  --_warning: var(--kitwright-warning, light-dark(#96330f, #ffab85));
  --_radius: var(--kitwright-radius, 6.4px);
  --_font: var(--kitwright-font, system-ui, sans-serif);
  --_size: var(--kitwright-size, medium);
}
:host([hidden]) { display: none; }
* { box-sizing: border-box; }
[hidden] { display: none !important; }
.whole {
  all: initial;
  color-scheme: inherit;
  pointer-events: inherit;
  visibility: inherit;
  --_kitwright-unit: 1em;
  background: var(--_surface);
  border: 1px solid var(--_line);
  border-radius: var(--_radius);
  color: var(--_text);
  container-type: inline-size;
  display: block;
  font: var(--_size)/1.5 var(--_font);
  overflow-wrap: anywhere;
  text-align: start;
}
.columns { display: grid; gap: calc(1.25 * var(--_kitwright-unit)); padding: var(--_kitwright-unit); }
h2, h3, p, ul, ol, dl, dd, fieldset { margin: 0; padding: 0; }
h2 { font-size: calc(1.05 * var(--_kitwright-unit)); line-height: 1.3; }
h3 { font-size: var(--_kitwright-unit); font-weight: 600; line-height: 1.35; }
ul, ol { list-style: none; }
fieldset { border: 0; min-inline-size: 0; }
form { align-content: start; display: grid; gap: calc(1.25 * var(--_kitwright-unit)); }
legend { font-weight: 600; margin-block-end: calc(0.5 * var(--_kitwright-unit)); padding: 0; }
.fields { display: grid; gap: 0 calc(0.75 * var(--_kitwright-unit)); grid-template-columns: 1fr 1fr; }
.rows { display: grid; gap: calc(0.6 * var(--_kitwright-unit)); }
.row { border-block-end: 1px solid var(--_line); display: grid; gap: 0 calc(0.75 * var(--_kitwright-unit)); grid-template-columns: 1fr 1fr; }
.row > :first-child { grid-row: 1 / span 3; }
.row > .field:not(:first-child) { grid-row: 4 / span 3; }
.row > .remove { grid-column: 2; grid-row: 2; justify-self: end; }
.fields > .broad { grid-column: 1 / -1; }
.field { display: grid; gap: calc(0.2 * var(--_kitwright-unit)); grid-row: span 3; grid-template-rows: subgrid; padding-block-end: calc(0.6 * var(--_kitwright-unit)); }
.field > label { align-self: end; }
.field.tick { padding-block-end: 0; }
.field.tick > label { align-self: center; grid-row: 2; }
label { color: var(--_muted); font-size: calc(0.875 * var(--_kitwright-unit)); line-height: 1.3; }
.tick label { align-items: center; color: var(--_text); display: flex; font-size: var(--_kitwright-unit); gap: calc(0.5 * var(--_kitwright-unit)); min-block-size: calc(2.5 * var(--_kitwright-unit)); }
input:not([type="checkbox"]), select {
  background: var(--_raised);
  border: 1px solid var(--_edge);
  border-radius: var(--_radius);
  color: inherit;
  font: inherit;
  inline-size: 100%;
  min-block-size: calc(2.5 * var(--_kitwright-unit));
  min-inline-size: 0;
  padding: calc(0.35 * var(--_kitwright-unit)) calc(0.6 * var(--_kitwright-unit));
}
input[type="checkbox"] { accent-color: var(--_accent); font: inherit; block-size: calc(1.25 * var(--_kitwright-unit)); flex: none; inline-size: calc(1.25 * var(--_kitwright-unit)); margin: 0; }
[aria-invalid="true"] { border-color: var(--_warning) !important; outline: 1px solid var(--_warning); }
button {
  background: none;
  border: 1px solid var(--_edge);
  border-radius: var(--_radius);
  color: var(--_text);
  cursor: pointer;
  font: inherit;
  min-block-size: calc(2.5 * var(--_kitwright-unit));
  padding: calc(0.35 * var(--_kitwright-unit)) calc(0.9 * var(--_kitwright-unit));
}
button.main { background: var(--_accent); border-color: var(--_accent); color: var(--_on-accent); font-weight: 600; inline-size: 100%; min-block-size: calc(3 * var(--_kitwright-unit)); }
button.add { border-style: dashed; inline-size: 100%; }
.rows:not(:empty) + .add { margin-block-start: calc(0.75 * var(--_kitwright-unit)); }
button.remove { align-self: center; color: var(--_muted); font-size: calc(0.875 * var(--_kitwright-unit)); }
:focus-visible { outline: 3px solid var(--_accent); outline-offset: 2px; }
.fault, .problem h2, .gaps h2 { color: var(--_warning); }
.fault { font-size: calc(0.875 * var(--_kitwright-unit)); line-height: 1.35; }
.heard { block-size: 1px; clip-path: inset(50%); inline-size: 1px; margin: 0; overflow: hidden; position: absolute; white-space: nowrap; }
.problem, .gaps {
  background: var(--_raised);
  border: 1px solid var(--_warning);
  border-inline-start-width: calc(0.35 * var(--_kitwright-unit));
  border-radius: var(--_radius);
  display: grid;
  gap: calc(0.35 * var(--_kitwright-unit));
  padding: calc(0.75 * var(--_kitwright-unit)) var(--_kitwright-unit);
}
.result { align-content: start; display: grid; gap: calc(1.25 * var(--_kitwright-unit)); min-inline-size: 0; }
.result > * { min-inline-size: 0; }
.old .total { background: none; border: 1px dashed var(--_edge); color: var(--_text); }
.total { background: var(--_slate); border-radius: var(--_radius); color: var(--_on-slate); display: grid; gap: calc(0.15 * var(--_kitwright-unit)); padding: var(--_kitwright-unit) calc(1.1 * var(--_kitwright-unit)); }
.total :focus-visible { outline-color: currentColor; }
.mass { font-size: clamp(calc(2.25 * var(--_kitwright-unit)), 14cqi, calc(3.25 * var(--_kitwright-unit))); font-variant-numeric: tabular-nums; font-weight: 650; letter-spacing: -0.02em; line-height: 1.1; }
.parts { font-size: calc(0.875 * var(--_kitwright-unit)); }
.mass.words { font-size: clamp(calc(1.5 * var(--_kitwright-unit)), 8cqi, calc(2 * var(--_kitwright-unit))); letter-spacing: 0; line-height: 1.2; }
.status { display: flex; flex-wrap: wrap; font-weight: 600; gap: 0 calc(0.5 * var(--_kitwright-unit)); }
.status::before { content: ""; align-self: center; background: currentColor; block-size: calc(0.6 * var(--_kitwright-unit)); border-radius: 50%; flex: none; inline-size: calc(0.6 * var(--_kitwright-unit)); }
.status.feasible::before { background: none; border: 2px solid currentColor; }
.status.uncovered::before { border-radius: 0; transform: rotate(45deg); }
.block { display: grid; gap: calc(0.6 * var(--_kitwright-unit)); }
h3, li, .fault { unicode-bidi: plaintext; }
.tool { background: var(--_raised); border: 1px solid var(--_line); border-inline-start: calc(0.3 * var(--_kitwright-unit)) solid var(--_wood); border-radius: var(--_radius); display: grid; gap: calc(0.5 * var(--_kitwright-unit)); padding: calc(0.75 * var(--_kitwright-unit)) calc(0.9 * var(--_kitwright-unit)); }
.tools { display: grid; gap: calc(0.6 * var(--_kitwright-unit)); }
.name { align-items: baseline; display: flex; gap: var(--_kitwright-unit); justify-content: space-between; }
.name span { flex: none; font-variant-numeric: tabular-nums; font-weight: 600; white-space: nowrap; }
.uses { display: grid; gap: calc(0.5 * var(--_kitwright-unit)); }
.use { align-items: center; display: grid; gap: calc(0.1 * var(--_kitwright-unit)) calc(0.7 * var(--_kitwright-unit)); grid-template-columns: calc(2.5 * var(--_kitwright-unit)) 1fr; }
.use svg { block-size: calc(2.5 * var(--_kitwright-unit)); inline-size: calc(2.5 * var(--_kitwright-unit)); }
.use > :last-child { grid-column: 2; }
.small { color: var(--_muted); font-size: calc(0.875 * var(--_kitwright-unit)); }
.notes { display: grid; gap: calc(0.4 * var(--_kitwright-unit)); list-style: square; padding-inline-start: calc(1.1 * var(--_kitwright-unit)); }
.plain { display: grid; gap: calc(0.25 * var(--_kitwright-unit)); }
.notes ::marker { color: var(--_wood); }
summary { cursor: pointer; font-weight: 600; min-block-size: calc(2 * var(--_kitwright-unit)); }
details > :last-child { margin-block-start: calc(0.5 * var(--_kitwright-unit)); }
.reach { fill: none; stroke: var(--_muted); stroke-dasharray: 3 2.5; stroke-width: 1.5; }
.log { fill: var(--_wood); stroke: var(--_bark); stroke-width: 1.5; }
.ring { fill: none; opacity: 0.6; stroke: var(--_bark); stroke-width: 0.9; }
@container (min-inline-size: 30em) {
  .row { grid-template-columns: minmax(0, 1.6fr) minmax(0, 1fr) minmax(0, 1fr) auto; }
  .row > .field:not(:first-child) { grid-row: 1 / span 3; }
  .row > .remove { grid-column: 4; }
  .fields > .broad { grid-column: auto; }
  .columns { padding: calc(1.5 * var(--_kitwright-unit)); }
}
@container (min-inline-size: 64em) {
  .columns.both { gap: calc(2.25 * var(--_kitwright-unit)); grid-template-columns: minmax(0, 5fr) minmax(0, 6fr); }
}
@media (forced-colors: active) {
  .total, .old .total { border: 1px solid CanvasText; color: CanvasText; }
  .status::before { forced-color-adjust: none; background: CanvasText; }
  .log { fill: Canvas; stroke: CanvasText; }
  .reach, .ring { stroke: CanvasText; }
}
@media print {
  form, .news { display: none; }
}
`;

/** Sizes are of the reader's own letters, whatever size the page gives its root: a length that is reckoned once, in the element. */
try {
  CSS.registerProperty({ name: "--_kitwright-unit", syntax: "<length>", inherits: true, initialValue: "16px" });
} catch {
  // another copy of this module has done it
}

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

/** Units as the words around them have them, which are English; the signs of a number are those of the page's language. */
const UNITS = { gram: "g", kilogram: "kg", ounce: "oz", pound: "lb", millimeter: "mm", inch: "in", minute: "min" };

const NUMBER = "[+\\u2212-]?\\d+(?:,\\d{3})*(?:\\.\\d+)?";
// A measured figure or range in a sentence of the service, which is metric; a unit ends its word and is no part of another.
const MEASURED = new RegExp(`(?<![\\w.,])(${NUMBER})(?:( to | and |-)(${NUMBER}))? (mm|g|kg|km|m|l|C)(?![\\w^\u00b2\u00b3/])`, "g");
const FIGURES = 3; // significant, of an assumed figure in another unit: judged ones have no more
// Units of assumed figures: how many of the US unit one is, its name, and where its zero lies; what follows it stays.
const ASSUMED = [
  [/^kg\/h$/, 1000 / G_PER_OUNCE / OUNCES_PER_POUND, "lb/h"],
  [/^minutes a kg$/, (G_PER_OUNCE * OUNCES_PER_POUND) / 1000, "minutes a lb"],
  [/^kg\/m3$/, (1000 * M_PER_FOOT ** 3) / G_PER_OUNCE / OUNCES_PER_POUND, "lb/ft3"],
  [/^kg(?= |$)/, 1000 / G_PER_OUNCE / OUNCES_PER_POUND, "lb"],
  [/^g(?= |$)/, 1 / G_PER_OUNCE, "oz"],
  [/^C$/, 1.8, "\u00b0F", 32],
  [/^km(?= |$)/, 1 / KM_PER_MILE, "mi"],
  [/^m2$/, M_PER_FOOT ** -2, "ft2"],
  [/^m(?= |$)/, 1 / M_PER_FOOT, "ft"],
  [/^mm\/s$/, 1 / MM_PER_INCH, "in/s"],
  [/^mm(?= |$)/, 1 / MM_PER_INCH, "in"],
  [/^kW per degree$/, 1 / 1.8, "kW per \u00b0F"],
  [/^cm2(?= |$)/, 100 / MM_PER_INCH ** 2, "sq in"],
  [/^cm3(?= |$)/, 1000 / MM_PER_INCH ** 3, "cu in"],
];

/** Numbers with their units. */
class Figures {
  constructor(language, units) {
    this.language = language;
    this.us = units === "us";
    this.decimal = this.format(1.5).includes(",") ? "," : ".";
  }

  format(value, options = {}) {
    return new Intl.NumberFormat(this.language, { maximumFractionDigits: 1, numberingSystem: "latn", ...options }).format(value);
  }

  unit(value, unit, digits) {
    return `${this.format(value, { maximumFractionDigits: digits })} ${UNITS[unit]}`;
  }

  mass(grams) {
    if (!this.us) return this.unit(grams, "gram", grams < 10 ? 1 : 0);
    const ounces = Math.round((10 * grams) / G_PER_OUNCE) / 10;
    if (grams > 0 && !ounces) return `less than ${this.unit(0.1, "ounce", 1)}`;
    const pounds = Math.floor(ounces / OUNCES_PER_POUND);
    const rest = this.unit(ounces - pounds * OUNCES_PER_POUND, "ounce", 1);
    return pounds ? `${this.unit(pounds, "pound", 0)} ${rest}` : rest;
  }

  firewood(kilograms) {
    const pounds = (1000 * kilograms) / G_PER_OUNCE / OUNCES_PER_POUND;
    if (this.us) return pounds < 1 ? this.mass(1000 * kilograms) : this.unit(pounds, "pound", 1);
    return kilograms < 1 ? this.mass(1000 * kilograms) : this.unit(kilograms, "kilogram", 1);
  }

  length(mm) {
    return this.us ? this.unit(mm / MM_PER_INCH, "inch", 2) : this.unit(mm, "millimeter", 0);
  }

  /** A sentence of the service in the units of the reader; a name tells its sizes to the tenth of an inch. */
  told(text, { nominal = false } = {}) {
    if (!this.us) return text.replace(MEASURED, (whole, low, between, high, unit) => (unit === "C" ? whole.replace(/C$/, "\u00b0C") : whole));
    const known = {
      mm: (value) => this.unit(value / MM_PER_INCH, "inch", nominal ? 1 : 2),
      g: (value) => (value < 0 ? `-${this.mass(-value)}` : this.mass(value)),
      kg: (value) => this.firewood(value),
      km: (value) => `${this.format(value / KM_PER_MILE, { maximumFractionDigits: 2 })} mi`,
      m: (value) => `${this.format(value / M_PER_FOOT, { maximumFractionDigits: 2 })} ft`,
      l: (value) => `${this.format(value / L_PER_QUART, { maximumFractionDigits: 2 })} qt`,
      C: (value) => `${this.format(value * 1.8 + 32, { maximumFractionDigits: 0 })} \u00b0F`,
    };
    const read = (number, unit) => known[unit](Number(number.replaceAll(",", "").replace("\u2212", "-")));
    return text.replace(MEASURED, (_, low, between, high, unit) => (high === undefined ? read(low, unit) : read(low, unit) + between + read(high, unit)));
  }

  minutes(value) {
    return this.unit(value, "minute", value < 9.5 ? 1 : 0);
  }

  /** The short name of the unit of lengths. */
  get lengthName() {
    return UNITS[this.us ? "inch" : "millimeter"];
  }

  /** The text of a number to be edited. */
  editable(value) {
    const options = { useGrouping: false, maximumFractionDigits: 2 };
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
  constructor({ changed, submitted }) {
    this.changed = changed;
    this.fields = new Map(); // JSON pointer -> {control, box}
    this.unread = new Map(); // JSON pointer -> the text that is no number
    this.root = node("form", { part: "form", noValidate: true, autocomplete: "off", "aria-label": "Trip" });
    this.root.addEventListener("submit", (event) => {
      event.preventDefault();
      submitted();
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
        this.number(`Hot water, ${this.figures.us ? "quarts" : "litres"} each`, ["fire", "hot_water_l_per_person"], { absent: 0, us: VOLUME }),
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
      this.choice("Kind of work", ["tasks", index, "task"], choices, "split"),
      this.number(`Thickness, ${this.figures.lengthName}`, ["tasks", index, "diameter_mm"], { us: LENGTH }),
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

  /** A field for a number; `us` says how much of the service's unit there is in one of the US unit, and how finely it is sent. */
  number(label, path, { absent, whole = false, us = null }) {
    const { figures } = this;
    const { scale, fine } = us && figures.us ? us : { scale: 1, fine: 1 };
    const held = this.get(path) ?? absent;
    const value = typeof held === "number" ? figures.editable(held / scale) : String(held ?? "");
    const input = node("input", { type: "text", inputMode: whole ? "numeric" : "decimal", value });
    input.addEventListener("input", () => {
      const read = figures.read(input.value);
      const pointer = pointerOf(path);
      if (Number.isNaN(read)) this.unread.set(pointer, input.value);
      else this.unread.delete(pointer);
      if (!Number.isNaN(read)) this.put(path, scale === 1 ? read : Math.round(fine * read * scale) / fine);
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
    const box = node("div", { className: "field tick broad", part: "field" }, node("label", {}, input, label));
    this.fields.set(pointerOf(path), { control: input, box });
    return box;
  }

  field(label, control, path) {
    control.id = `field-${++lastId}`;
    control.setAttribute("part", "control");
    const broad = path[0] === "limits" || path[0] === "wood";
    const box = node("div", { className: broad ? "field broad" : "field", part: "field" }, node("label", { for: control.id, textContent: label }), control);
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
    this.changed();
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

  /** Show faults beside their fields and return those that have no field here. */
  mark(faults) {
    for (const { control, box } of this.fields.values()) {
      box.querySelectorAll(":scope > .fault").forEach((old) => old.remove());
      control.removeAttribute("aria-invalid");
      control.removeAttribute("aria-describedby");
    }
    const strays = [];
    for (const fault of faults) {
      const pointer = String(fault.pointer ?? "");
      const place = this.fields.get(this.nearest(pointer));
      if (!place) {
        strays.push(fault);
        continue;
      }
      const told = node("p", { className: "fault", part: "fault", id: `fault-${++lastId}`, textContent: String(fault.detail) });
      place.box.append(told);
      if (place.control.matches("input, select")) place.control.setAttribute("aria-invalid", "true");
      place.control.setAttribute("aria-describedby", `${place.control.getAttribute("aria-describedby") ?? ""} ${told.id}`.trim());
    }
    return strays;
  }

  /** Put the focus on the first field with a fault, or where one may be mended. */
  attend() {
    const marked = this.root.querySelector("[aria-describedby]");
    (marked?.matches("fieldset") ? marked.querySelector("button, input, select") : marked)?.focus();
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

/** What a cleft runs through: the round where it is opened, half of it in its pieces [mm]. */
function cleftOf(working, part) {
  return part.part === "pieces" ? working.diameter_mm / 2 : working.diameter_mm;
}

/** How many of a tool the kit holds. */
function copiesOf(tool) {
  return Number.isInteger(tool.count) && tool.count > 0 ? tool.count : 1;
}

/** The answer as a person reads it. */
class AnswerView {
  constructor(answer, trip, figures) {
    this.answer = answer;
    this.trip = trip;
    this.figures = figures;
  }

  parts() {
    return [this.total(), this.gaps(), this.tools(), this.hearth(), this.weightless(), this.cautions(), this.assumptions()];
  }

  /** One sentence for people who hear the page. */
  spoken() {
    const { kit } = this.answer;
    if (this.partial) return `${this.headline()}. ${this.missing().map(([text]) => text).join(" ")}`;
    const carried = kit.tools.reduce((sum, tool) => sum + copiesOf(tool), 0);
    const count = carried === 1 ? "1 tool" : `${this.figures.format(carried)} tools`;
    return `${this.status()}: ${this.figures.mass(kit.mass_g)}, ${count}, ${this.figures.minutes(kit.work_min_per_day)} of wood work a day.`;
  }

  /** What the trip wants of a fire that may not be lit. */
  get banned() {
    return this.answer.cautions.filter((caution) => caution.code === "fire-not-allowed");
  }

  /** Whether the kit does only a part of what was asked. */
  get partial() {
    return this.answer.status === "uncovered" || this.banned.length > 0;
  }

  status() {
    const { status, effort } = this.answer;
    if (status === "optimal" && this.partial) return "Not all of it is covered; the rest proven";
    if (status === "uncovered") return "Not all of it can be covered";
    if (status === "feasible") return "Best found, not proven";
    return AIMS[effort?.aim] ?? "The lightest, proven";
  }

  total() {
    const { answer, figures } = this;
    const { kit, proof } = answer;
    const limit = objectOr(this.trip.limits).work_min_per_day;
    const within = typeof limit === "number" ? `, of at most ${figures.minutes(limit)}` : "";
    const carried = this.partial ? `${figures.mass(kit.mass_g)} packed for what can be covered` : "packed";
    const weighed = `${figures.format(proof.tools_considered)} tools weighed`;
    const open = answer.status === "feasible" && proof.gap_g !== null ? `; ${figures.mass(proof.gap_g)} less is not ruled out` : "";
    return node(
      "div",
      { className: "total", part: "total" },
      node("p", { className: this.partial ? "mass words" : "mass", part: "mass", textContent: this.partial ? this.headline() : figures.mass(kit.mass_g) }),
      node("p", {}, `${carried}, ${figures.minutes(kit.work_min_per_day)} of wood work a day${within}`),
      this.minutes(),
      node("p", { className: `status ${answer.status}`, part: "status" }, node("span", {}, this.status()), node("span", {}, `(${weighed}${open})`)),
    );
  }

  /** What the minutes of a day are spent on; null where it is one thing alone. */
  minutes() {
    const told = Object.entries(PARTS_OF_A_DAY).filter(([part]) => objectOr(this.answer.kit.minutes)[part] >= LEAST_MIN);
    if (told.length < 2) return null;
    const parts = told.map(([part, name]) => `${name} ${this.figures.minutes(this.answer.kit.minutes[part])}`);
    return node("p", { className: "parts", part: "minutes", textContent: sentence(parts.join(", ")) });
  }

  headline() {
    return this.banned.length ? "No fire allowed: not all covered" : "Not all covered";
  }

  /** What no allowed kit gives. */
  missing() {
    return [...this.banned, ...this.answer.gaps].map(({ text }) => this.figures.told(text));
  }

  gaps() {
    const missing = this.missing();
    if (!missing.length) return null;
    const rows = missing.map((textContent) => node("li", { part: "gap", textContent }));
    return node("section", { className: "gaps", part: "gaps" }, node("h2", { textContent: "What is missing" }), node("ul", { className: "notes" }, ...rows));
  }

  tools() {
    const { tools } = this.answer.kit;
    const inside = tools.length
      ? node("ul", { className: "tools" }, ...tools.map((tool) => this.tool(tool)))
      : node("p", { textContent: this.partial ? "No tool." : "Nothing has to be carried." });
    return node("section", { className: "block", part: "tools" }, node("h2", { textContent: "In the pack" }), inside);
  }

  tool(tool) {
    const { figures } = this;
    const without = tool.price_g > 0 ? `the lightest kit weighs ${figures.mass(tool.price_g)} more` : "another kit weighs no more";
    const dearer = typeof tool.price_g === "number" ? `Left at home, ${without}.` : null;
    return node(
      "li",
      { className: "tool", part: "tool" },
      node("div", { className: "name" }, node("h3", { textContent: this.counted(tool) }), node("span", { textContent: figures.mass(copiesOf(tool) * tool.mass_g) })),
      this.purpose(tool.id),
      dearer && node("p", { className: "small", textContent: dearer }),
    );
  }

  /** The name of a tool; with their number and what one weighs, where there are several. */
  counted(tool) {
    const { figures } = this;
    const copies = copiesOf(tool);
    const name = figures.told(tool.name, { nominal: true });
    return copies === 1 ? name : `${figures.format(copies)} \u00d7 ${name}, ${figures.mass(tool.mass_g)} each`;
  }

  /** Its uses; a tool that only serves others (a knife for carved wedges, a sharpener) has the service's reason. */
  purpose(id) {
    const uses = this.uses(id);
    if (uses.length) return node("ul", { className: "uses" }, ...uses);
    const reason = listOr(this.answer.reasons).find((one) => one.tool === id);
    return reason ? node("p", { className: "small", textContent: this.figures.told(reason.text) }) : null;
  }

  /** What a tool or method is for: the stated and camp work it does, and its share of the firewood. */
  uses(id) {
    const stated = this.answer.needs
      .filter((need) => need.diameter_mm !== null && need.done_with.some((share) => share.id === id))
      .map((need) => this.use(need, id));
    const firewood = this.answer.workings.flatMap((working) => [
      ...working.buck.filter((part) => part.id === id).map((part) => this.firewood(working, part, "to length", this.log(working.diameter_mm, part.spare_mm))),
      ...working.split.filter((part) => part.id === id).map((part) => this.firewood(working, part, part.part === "pieces" ? "split smaller" : "split", this.billet(cleftOf(working, part), part.spare_mm))),
    ]);
    return [...stated, ...firewood];
  }

  use(need, id) {
    const { figures } = this;
    const { unit, by } = TASKS[need.task] ?? { unit: ["piece", "pieces"], by: words(need.task) };
    const what = `${by} ${figures.length(need.diameter_mm)}, ${figures.format(need.per_day)} ${need.per_day === 1 ? unit[0] : unit[1]} a day`;
    const name = need.because.facts.stated ? sentence(what) : `${sentence(words(need.id))}: ${what}`;
    const { share, spare_mm } = need.done_with.find((part) => part.id === id);
    const partly = share < 0.995;
    const amount = partly ? `${figures.format(100 * share, { maximumFractionDigits: 0 })} % of it` : figures.minutes(need.minutes_per_day);
    const tight = listOr(need.parts).find((part) => part.done_with.some((one) => one.id === id && one.spare_mm === spare_mm));
    return this.told(name, [amount, this.spare(spare_mm)], this.log((tight ?? need).diameter_mm, spare_mm));
  }

  firewood(working, part, done, picture) {
    const { figures } = this;
    const what = `Firewood ${done}: ${figures.length(working.diameter_mm)}, ${figures.firewood(part.kg_per_day)} a day`;
    return this.told(what, [figures.minutes(part.minutes_per_day), this.spare(part.spare_mm)], picture);
  }

  told(what, figures, picture) {
    const small = node("span", { className: "small", textContent: figures.join(", ") });
    return node("li", { className: "use", part: "use" }, picture, node("span", {}, what, node("br"), small));
  }

  spare(mm) {
    return mm > 0 ? `${this.figures.length(mm)} to spare` : "nothing to spare";
  }

  /** The end of a log, drawn inside the circle that the tool reaches. */
  log(diameter_mm, spare_mm) {
    const radius = (18 * diameter_mm) / (diameter_mm + Math.max(0, spare_mm));
    const circle = (className, r) => shape("circle", { class: className, cx: 20, cy: 20, r: r.toFixed(2) });
    const rings = [0.75, 0.5, 0.25].map((part) => circle("ring", part * radius));
    return shape("svg", { viewBox: "0 0 40 40", "aria-hidden": "true" }, circle("reach", 18), circle("log", radius), ...rings);
  }

  /** The same for a piece that is split: a quarter of the log. */
  billet(diameter_mm, spare_mm) {
    const reach = 26;
    const radius = (reach * diameter_mm) / (diameter_mm + Math.max(0, spare_mm));
    const quarter = (className, r) => {
      const side = (r / Math.SQRT2).toFixed(2);
      return shape("path", { class: className, d: `M20 33 l-${side} -${side} a${r} ${r} 0 0 1 ${2 * side} 0 z` });
    };
    const rings = [0.75, 0.5, 0.25].map((part) => quarter("ring", part * radius));
    return shape("svg", { viewBox: "0 0 40 40", "aria-hidden": "true" }, quarter("reach", reach), quarter("log", radius), ...rings);
  }

  /** What the wood burns in, where it takes pieces of a size or has grams of its own. */
  hearth() {
    const hearth = objectOr(this.answer.hearth);
    if (typeof hearth.name !== "string" || !(hearth.mass_g > 0 || hearth.longest_mm)) return null;
    const { figures } = this;
    const long = hearth.longest_mm ? ` and ${figures.length(hearth.longest_mm)} long` : "";
    const pieces = `Takes pieces up to ${figures.length(hearth.thickest_mm)} thick${long}.`;
    const own = hearth.mass_g > 0 ? ` Some ${figures.mass(hearth.mass_g)} of its own (${figures.mass(hearth.mass_low_g)} to ${figures.mass(hearth.mass_high_g)}), which this kit does not count.` : "";
    return node("section", { className: "block", part: "hearth" }, node("h2", { textContent: sentence(figures.told(hearth.name, { nominal: true })) }), node("p", { textContent: pieces + own }));
  }

  weightless() {
    const { figures } = this;
    const rows = this.answer.kit.methods.map((id) => node("li", { className: "tool", part: "method" }, node("h3", { textContent: sentence(words(id)) }), this.purpose(id)));
    const gather = this.answer.needs.find((need) => need.task === "gather");
    const gathered = gather && gather.minutes_per_day !== null ? `${figures.firewood(gather.per_day)} of firewood to gather a day: ${figures.minutes(gather.minutes_per_day)}.` : null;
    if (!rows.length && !gathered) return null;
    return node(
      "section",
      { className: "block", part: "methods" },
      node("h2", { textContent: "Done without a tool" }),
      rows.length ? node("ul", { className: "tools" }, ...rows) : null,
      gathered && node("p", { textContent: gathered }),
    );
  }

  cautions() {
    const rows = this.answer.cautions.filter((caution) => !this.banned.includes(caution)).map((caution) => node("li", { textContent: this.figures.told(caution.text) }));
    if (!rows.length) return null;
    return node("section", { className: "block", part: "cautions" }, node("h2", { textContent: "Cautions" }), node("ul", { className: "notes" }, ...rows));
  }

  assumptions() {
    const { figures } = this;
    const rows = this.answer.assumptions.map((one) => {
      const [pattern, scale, name, zero = 0] = (figures.us && ASSUMED.find(([known]) => known.test(one.unit))) || [null, 1, ""];
      const number = (value) => figures.format(pattern ? Number((value * scale + zero).toPrecision(FIGURES)) : value, { maximumFractionDigits: 3 });
      const unit = one.unit === "-" ? "" : ` ${figures.told(pattern ? one.unit.replace(pattern, name) : one.unit)}`;
      const band = `(${one.yours ? "yours; assumed " : ""}${number(one.low)} to ${number(one.high)})`;
      return node("li", {}, `${sentence(figures.told(one.used_for))}: ${number(one.value)}${unit} `, node("span", { className: "small", textContent: band }));
    });
    if (!rows.length) return null;
    return node("details", { part: "assumptions" }, node("summary", { textContent: `Assumed, not known (${figures.format(rows.length)})` }), node("ul", { className: "notes" }, ...rows));
  }
}

/** Ask the service for a kit: {answer} or {problem}, what is refused told in these units; never throws. */
async function asked(service, trip, units, signal) {
  const outcome = await askedAt("v1/kits", service, trip, signal);
  return units === "us" && listOr(outcome.problem?.errors).length ? askedAt("v1/kits?units=us", service, trip, signal) : outcome;
}

async function askedAt(path, service, trip, signal) {
  let response = null;
  try {
    response = await fetch(new URL(path, service), {
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
  #given = false; // whether the attribute holds a trip
  #abort = null;
  #newest = Promise.resolve(null);
  #form = new TripForm({ changed: () => this.#changed(), submitted: () => this.#submitted() });
  #news = node("div", { className: "heard", role: "status", "aria-live": "polite", part: "news" });
  #result = node("div", { className: "result", part: "result" });
  #columns = node("div", { className: "columns both" }, this.#form.root, node("div", { className: "result" }, this.#news, this.#result));

  constructor() {
    super();
    const root = this.attachShadow({ mode: "open" });
    root.adoptedStyleSheets = [sheet];
    root.append(node("div", { className: "whole", part: "whole", lang: "en", dir: "ltr" }, this.#columns));
  }

  connectedCallback() {
    for (const name of ["trip", "units"]) {
      if (!Object.hasOwn(this, name)) continue; // set before the element was defined
      const value = this[name];
      delete this[name];
      this[name] = value;
    }
    this.#draw();
    if (this.#bare && this.#given) this.plan();
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
    if (name === "trip") {
      this.#given = this.#readTrip(value);
      if (this.#given && this.#bare && this.isConnected) this.plan();
    } else if (this.isConnected) {
      this.#draw();
    }
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

  #changed() {
    this.#age();
    this.#tell("kitwright-trip", { trip: this.trip });
  }

  /** Plan at the press of the form's button, and lead the eye to what came of it. */
  async #submitted() {
    if (await this.plan()) this.#result.firstElementChild.scrollIntoView({ block: "nearest" });
    else this.#form.attend();
  }

  async #plan() {
    this.#abort?.abort();
    const abort = new AbortController();
    this.#abort = abort;
    const { trip } = this;
    const unread = this.#bare ? [] : this.#form.unreadFaults();
    this.#say("news", "Planning …");
    this.#columns.setAttribute("aria-busy", "true");
    const outcome = unread.length
      ? { problem: { title: "A number can't be read", detail: "The marked fields need a number.", errors: unread } }
      : await asked(this.#base(), trip, this.units, abort.signal);
    if (this.#abort !== abort) return this.#newest;
    this.#abort = null;
    this.#columns.removeAttribute("aria-busy");
    return outcome.answer ? this.#take(outcome.answer, trip) : this.#refuse(outcome.problem, trip);
  }

  #take(answer, trip) {
    this.#answer = answer;
    this.#answered = trip;
    this.#form.mark([]);
    this.#drawAnswer();
    this.#tell("kitwright-answer", { trip, answer });
    return answer;
  }

  /** Show a problem: what has a field beside it, the rest as news. */
  #refuse(problem, trip) {
    const faults = listOr(problem.errors);
    const strays = this.#bare ? faults : this.#form.mark(faults);
    const rows = strays.map((fault) => node("li", {}, `${fault.pointer}: ${fault.detail}`));
    this.#say(
      "problem",
      node("h2", { textContent: problem.title }),
      node("p", { textContent: problem.detail ?? "" }),
      rows.length ? node("ul", { className: "notes" }, ...rows) : null,
    );
    this.#tell("kitwright-problem", { trip, problem });
    return null;
  }

  /** Put something into the live region: as `news`, as a `problem`, or to be `heard` only where it is seen below. */
  #say(how, ...what) {
    this.#news.className = how;
    this.#news.setAttribute("part", how === "problem" ? "news problem" : "news");
    this.#news.replaceChildren(...what.filter((one) => one !== null));
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

  /** Take the trip of the attribute; whether there was one to take. */
  #readTrip(text) {
    if (text === null) return false;
    let value = null;
    try {
      value = JSON.parse(text);
    } catch {
      // told below, with every other value that is no object
    }
    if (isObject(value)) this.trip = value;
    else this.#refuse({ title: "The trip can't be read", detail: "The attribute trip must hold a JSON object." }, this.trip);
    return isObject(value);
  }

  #draw() {
    this.#form.root.hidden = this.#bare;
    this.#columns.classList.toggle("both", !this.#bare);
    this.#drawForm();
    if (this.#answer) this.#drawAnswer();
    else this.#result.replaceChildren(...(this.#bare ? [] : [node("p", { className: "small", textContent: HINT })]));
  }

  #drawForm() {
    if (!this.#bare) this.#form.show(this.#trip, this.#figures);
  }

  #drawAnswer() {
    const view = new AnswerView(this.#answer, this.#answered, this.#figures);
    this.#result.replaceChildren(...view.parts().filter(Boolean));
    this.#say("heard", view.spoken());
    this.#age();
  }

  /** Mark an answer that is to another trip than the one shown. */
  #age() {
    if (!this.#answer) return;
    const old = JSON.stringify(this.#trip) !== JSON.stringify(this.#answered);
    this.#result.classList.toggle("old", old);
    if (old && !this.#abort) this.#say("news", "The trip has changed since this kit was planned.");
    else if (!old && this.#news.className === "news" && !this.#abort) this.#say("heard");
  }

  #tell(name, detail) {
    this.dispatchEvent(new CustomEvent(name, { bubbles: true, composed: true, detail }));
  }
}

if (!customElements.get("kitwright-kit")) customElements.define("kitwright-kit", KitwrightKit);

export { Figures, KitwrightKit, node };
