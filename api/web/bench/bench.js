/** The page: what lies on the bench, and what is done to it. What the service says of it is in `beyond.js`. */

import { Early } from "./early.js";
import { node } from "./dom.js";
import { FORMS } from "./fields.js";
import { FieldForm } from "./field_form.js";
import { grams, told, useUnits } from "./figures.js";
import { isDesign, isFromPlanner, keep, kept } from "./memory.js";
import { recall, remember, TRIP, UNITS } from "../page/device/memory.js";
import { Past } from "../page/device/past.js";
import { afterFirstFrame, afterFirstPaint } from "../page/parts/first_frame.js";
import { bringIn } from "../page/parts/held_back.js";
import { nextTask } from "../page/parts/next_task.js";
import { readerUnits } from "../page/device/reader_units.js";
import { pictures } from "./picture.js";

const PAUSE_MS = 200; // common practice, no source: a pause between two keys
const FIRST = ["long-knife-180", "folding-saw-210"];
const RIVALS = ["hatchet-600", "fixed-knife-90"];
const MOST_TOOLS = 4;
const SHEATH = { material: "thermoplastic-sheath", thickness_mm: 2 }; // judged: typical drawings have none, and no knife travels bare
const WIDE = "(min-width: 60rem)"; // as in bench.css
const MISSING = "The answers of this page did not come. They are asked for again with the next change.";

const byId = (id) => document.getElementById(id);
const copy = (value) => structuredClone(value);

class Bench {
  constructor(tables) {
    this.tables = tables;
    this.reports = new Map(); // by id of a drawing: its last score
    this.form = new FieldForm(byId("fields"), { ...tables, changed: () => this.#changed() });
    this.past = new Past();
    this.beyond = null; // what the service says, once its modules are there
    this.tries = 0;
    this.state = kept() ?? this.#first();
    const planned = recall(TRIP);
    const hasPlanned = planned && typeof planned === "object";
    if (hasPlanned && isFromPlanner()) Object.assign(this.state, { trip: "planner", ownTrip: planned });
    if (hasPlanned && this.state.trip !== "planner") this.planned = planned;
    if (this.state.trip === "planner") this.planned = this.state.ownTrip ?? planned;
    this.#offer();
    this.#fill();
  }

  /** Draw, and put in place what the first sight does not show; then bring what the service says. */
  async build() {
    bringIn();
    this.form.complete();
    this.#fillLists();
    this.#changed(0);
    await afterFirstPaint();
    await this.#bringBeyond();
  }

  /** Bring what the service says of a drawing; where it does not come, the next change asks for it again. */
  async #bringBeyond() {
    if (this.brings) return;
    this.brings = true;
    const tried = this.tries++ ? `?${this.tries}` : ""; // a browser keeps a failure under its address
    const brought = await import(`./beyond.js${tried}`).catch(() => null);
    this.brings = false;
    if (!brought) {
      byId("verdict").replaceChildren(node("p", { textContent: "Not asked yet." }));
      this.#say(MISSING);
      return;
    }
    this.beyond = new brought.Beyond({
      bench: this,
      form: this.form,
      populations: this.tables.populations,
      reports: this.reports,
      nameOf: (id) => this.#nameOf(id),
      onReport: (design) => this.#report(design),
      onTake: (path, value) => this.#take(path, value),
      onDraw: (design) => this.#draws(design),
      onSay: (text) => (text || !this.ofFile) && this.#say(text),
    });
    if (!this.waiting) this.beyond.ask();
  }

  #first() {
    const tools = FIRST.map((id) => this.#drawn(this.tables.typical.find((one) => one.id === id), []));
    return { tools, shown: 0, rivals: [...RIVALS], trip: "bench", ownTrip: null };
  }

  /** A copy of a design under an id that no tool of the catalog and none on the bench has. */
  #drawn(design, others) {
    const made = copy(design);
    if (made.drawing.form === "knife" && this.tables.typical.includes(design)) made.drawing.sheath ??= { ...SHEATH };
    const stem = `drawn-${made.drawing.form.replaceAll(" ", "-")}`;
    const taken = others.map((one) => one.id);
    made.id = stem;
    for (let i = 2; taken.includes(made.id); i++) made.id = `${stem}-${i}`;
    made.name = made.name?.startsWith("Drawn") ? made.name : `Drawn: ${made.name ?? design.id}`;
    return made;
  }

  get design() {
    return this.state.tools[this.state.shown];
  }

  get others() {
    return this.state.tools.filter((one) => one !== this.design);
  }

  get tools() {
    return this.state.tools;
  }

  get rivals() {
    return this.state.rivals;
  }

  get trip() {
    if (this.state.trip === "planner" && this.planned) return this.planned;
    return (this.tables.trips.find(({ id }) => id === this.state.trip) ?? this.tables.trips[0]).trip;
  }

  /** Fill the lists of drawings and of rivals, which nobody opens in the first moment. */
  #fillLists() {
    const option = ({ id, name = id }) => {
      const named = node("option", { value: id, textContent: told(name, { nominal: true }) });
      named.dataset.named = name;
      return named;
    };
    const of = (forms) => this.tables.typical.filter(({ drawing }) => forms.includes(drawing.form)).map(option);
    byId("start").append(
      node("optgroup", { label: "Knives" }, ...of(["knife"])),
      node("optgroup", { label: "Saws" }, ...of(["folding saw", "bow saw"])),
      node("optgroup", { label: "Axes" }, ...of(["axe"])),
      node("optgroup", { label: "Examples" }, ...this.tables.examples.map(option)),
    );
    byId("rival").append(...this.tables.tools.map(option));
  }

  #offer() {
    const start = byId("start");
    start.replaceChildren(node("option", { value: "", textContent: "Choose a drawing" }));
    start.addEventListener("change", () => this.#replace([...this.tables.typical, ...this.tables.examples].find(({ id }) => id === start.value)));
    for (const button of document.querySelectorAll("[data-add]")) {
      button.addEventListener("click", () => this.#add(this.tables.typical.find(({ id }) => id === button.dataset.add)));
    }
    byId("remove").addEventListener("click", () => this.#remove());
    for (const [id, by] of [["undo", -1], ["redo", 1]]) byId(id).addEventListener("click", () => this.#step(by));
    byId("download").addEventListener("click", () => this.#download());
    byId("open").addEventListener("change", ({ target }) => this.#open(target));
    byId("name").addEventListener("input", ({ target }) => {
      this.design.name = target.value.trim() || undefined;
      this.#tabs();
      this.#changed();
    });
    const trip = byId("trip");
    const trips = this.tables.trips.map(({ id, name }) => node("option", { value: id, textContent: name.replace(/^Invented: /, "") }));
    const own = this.planned ? [node("option", { value: "planner", textContent: `Your trip${this.planned.name ? `: ${this.planned.name}` : ""}` })] : [];
    trip.replaceChildren(...own, ...trips);
    trip.value = this.state.trip;
    if (!trip.value) trip.value = this.state.trip = this.tables.trips[0].id;
    trip.addEventListener("change", () => {
      this.state.trip = trip.value;
      this.state.ownTrip = trip.value === "planner" ? this.planned : null;
      this.#changed(0);
    });
    const rival = byId("rival");
    rival.replaceChildren(node("option", { value: "", textContent: "Add a tool" }));
    rival.addEventListener("change", () => {
      if (rival.value && !this.state.rivals.includes(rival.value)) this.state.rivals.push(rival.value);
      rival.value = "";
      this.#rivals();
      this.#changed(0);
    });
    for (const input of document.querySelectorAll("[name=units]")) {
      input.checked = input.value === readerUnits();
      input.addEventListener("change", () => {
        useUnits(input.value);
        remember(UNITS, input.value);
        for (const named of document.querySelectorAll("[data-named]")) named.textContent = told(named.dataset.named, { nominal: true });
        this.#show();
        this.#changed(0);
      });
    }
    document.addEventListener("visibilitychange", () => document.hidden && keep(this.state));
  }

  #replace(design) {
    byId("start").value = "";
    if (!design) return;
    this.state.tools[this.state.shown] = this.#drawn(design, this.others);
    this.#show();
    this.#changed(0);
  }

  /** Take measures that were found in the place of those drawn. */
  #draws({ drawing }) {
    this.design.drawing = copy(drawing);
    this.#show();
    this.#changed(0);
  }

  #add(design) {
    if (this.state.tools.length >= MOST_TOOLS) return;
    this.state.tools.push(this.#drawn(design, this.state.tools));
    this.state.shown = this.state.tools.length - 1;
    this.#show();
    this.#changed(0);
  }

  #remove() {
    if (this.state.tools.length < 2) return;
    this.state.tools.splice(this.state.shown, 1);
    this.state.shown = Math.max(0, this.state.shown - 1);
    this.#show();
    this.#changed(0);
    byId("tabs").querySelector("[aria-pressed=true]").focus();
  }

  #download() {
    const address = URL.createObjectURL(new Blob([`${JSON.stringify(this.design, null, 1)}\n`], { type: "application/json" }));
    const link = node("a", { href: address, download: `${this.design.id}.json` });
    link.click();
    setTimeout(() => URL.revokeObjectURL(address), PAUSE_MS);
  }

  async #open(target) {
    const [file] = target.files;
    target.value = "";
    if (!file) return;
    try {
      const design = JSON.parse(await file.text());
      if (!isDesign({ id: "", ...design })) throw new Error("not a design");
      this.#replace({ id: "", ...design });
      this.#say("");
      this.ofFile = false;
    } catch {
      this.ofFile = true; // stays until the drawing changes, whatever answers come meanwhile
      this.#say(`${file.name} holds no drawing of a knife, saw or axe.`);
    }
  }

  #say(text) {
    byId("told").textContent = text;
    byId("told").hidden = !text;
    if (text) Object.assign(byId("bar"), { textContent: text, hidden: false }); // on a phone the notice is out of sight
  }

  /** Go a step back or forth through what lay on the bench. */
  #step(by) {
    this.state = this.past.step(by);
    byId("trip").value = this.state.trip;
    this.#show();
    this.#changed(0);
  }

  #tellPast() {
    byId("undo").disabled = !this.past.hasBefore;
    byId("redo").disabled = !this.past.hasAfter;
  }

  #show() {
    this.#fill();
    this.#draw();
  }

  /** Write what lies on the bench into the page, all but its picture. */
  #fill() {
    this.beyond?.show();
    this.#tabs();
    this.#rivals();
    byId("name").value = this.design.name ?? "";
    byId("remove").disabled = this.state.tools.length < 2;
    for (const button of document.querySelectorAll("[data-add]")) button.disabled = this.state.tools.length >= MOST_TOOLS;
    this.form.show(this.design, matchMedia(WIDE).matches);
  }

  #tabs() {
    const root = byId("tabs");
    while (root.children.length > this.state.tools.length) root.lastElementChild.remove();
    while (root.children.length < this.state.tools.length) root.append(this.#tab(root.children.length));
    this.state.tools.forEach((design, index) => {
      const mass = this.reports.get(design.id)?.packed;
      const button = root.children[index]; // the same one, so that it keeps the focus
      button.textContent = `${FORMS[design.drawing.form].name}${mass === undefined ? "" : `, ${grams(mass)}`}`;
      button.title = design.name ?? "";
      button.setAttribute("aria-pressed", index === this.state.shown);
    });
  }

  #tab(index) {
    const button = node("button", { type: "button" });
    button.addEventListener("click", () => {
      this.state.shown = index;
      this.#show();
      this.#changed(0);
    });
    return button;
  }

  #rivals() {
    const chips = this.state.rivals.map((id) => {
      const name = this.#nameOf(id);
      const button = node("button", { type: "button", textContent: `${name} ×`, set: { "aria-label": `Do not compare with ${name}` } });
      button.addEventListener("click", () => {
        this.state.rivals = this.state.rivals.filter((one) => one !== id);
        this.#rivals();
        this.#changed(0);
        byId("rival").focus();
      });
      return button;
    });
    byId("rivals").replaceChildren(...chips);
  }

  #nameOf(id) {
    const own = this.state.tools.find((one) => one.id === id);
    if (own) return `your ${FORMS[own.drawing.form].name.toLowerCase()}${/-(\d+)$/.exec(id)?.[0].replace("-", " ") ?? ""}`;
    const [kind, size] = (this.tables.tools.find((one) => one.id === id)?.name ?? id).split(", ");
    return told(`${kind[0].toLowerCase()}${kind.slice(1)}${size ? ` ${size}` : ""}`, { nominal: true });
  }

  #draw() {
    const design = this.design;
    const report = this.reports.get(design.id);
    const drawn = pictures(design.drawing, {
      tips: this.tables.tips,
      balanceAt: report?.score.balance_mm,
      least: report?.section?.spine?.least,
      label: `${FORMS[design.drawing.form].name} from the side, to scale`,
    });
    if (drawn) byId("picture").replaceChildren(...drawn);
  }

  #changed(pause = PAUSE_MS) {
    this.ofFile = false;
    keep(this.state);
    this.beyond?.age();
    this.#draw();
    clearTimeout(this.waiting);
    this.waiting = setTimeout(() => this.#ask(), pause);
  }

  #ask() {
    this.waiting = 0;
    this.past.keep(this.state);
    this.#tellPast();
    if (this.beyond) this.beyond.ask();
    else if (this.tries) this.#bringBeyond(); // it did not come
  }

  /** A drawing is scored: its mass stands on its tab, and its balance in the picture. */
  #report(design) {
    if (design === this.design) this.#draw();
    this.#tabs();
  }

  #take(path, value) {
    this.form.controls.get(path).input.value = "";
    let place = this.design;
    const steps = path.split(".");
    for (const step of steps.slice(0, -1)) place = place[step];
    place[steps.at(-1)] = value;
    this.form.refresh();
    this.#changed(0);
  }
}

/** The tables of the service, or an error thrown. */
async function offered() {
  const response = await fetch(new URL("tables.json", import.meta.url));
  return response.json();
}

async function start() {
  const [tables, early] = await Promise.all([
    offered(),
    afterFirstFrame(() => {
      bringIn(byId("drawing"));
      return new Early();
    }),
  ]);
  const bench = early.replay(() => {
    useUnits(readerUnits());
    return new Bench(tables);
  });
  document.documentElement.dataset.ready = "";
  performance.mark("heard"); // from now on, what is drawn is reckoned
  await nextTask();
  await bench.build();
}

start().catch((error) => {
  byId("told").hidden = false;
  byId("told").textContent = `The bench can’t be shown: ${error.message}.`;
}); // not awaited: the second bundle runs once this module has
