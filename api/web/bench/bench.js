/** The page: what lies on the bench, what is asked when it changes, and where each answer is told. */

import { Adoption } from "./makers/adoption.js";
import { ask, Refusal } from "./ask.js";
import { BestDesign } from "./makers/best_design.js";
import { Early } from "./early.js";
import { node } from "./dom.js";
import { FORMS } from "./fields.js";
import { FieldForm } from "./field_form.js";
import { grams, told, useUnits } from "./figures.js";
import { coded, isDesign, isFromPlanner, keep, kept } from "./memory.js";
import { recall, remember, TRIP, UNITS } from "../page/device/memory.js";
import { Past } from "../page/device/past.js";
import { afterFirstFrame } from "../page/parts/first_frame.js";
import { bringIn } from "../page/parts/held_back.js";
import { nextTask } from "../page/parts/next_task.js";
import { readerUnits } from "../page/device/reader_units.js";
import { pictures } from "./picture.js";
import { Sweep } from "./sweep.js";
import { tellTool } from "./tool_report.js";
import { tellTrip } from "./trip_report.js";

const PAUSE_MS = 200; // common practice, no source: a pause between two keys
const BUSY_MS = 300;
const FIRST = ["long-knife-180", "folding-saw-210"];
const RIVALS = ["hatchet-600", "fixed-knife-90"];
const MOST_TOOLS = 4;
const SHEATH = { material: "thermoplastic-sheath", thickness_mm: 2 }; // judged: typical drawings have none, and no knife travels bare
const WIDE = "(min-width: 60rem)"; // as in bench.css

const byId = (id) => document.getElementById(id);
const copy = (value) => structuredClone(value);

class Bench {
  constructor(tables) {
    this.tables = tables;
    this.reports = new Map(); // by id of a drawing: its last score
    this.form = new FieldForm(byId("fields"), { ...tables, changed: () => this.#changed() });
    this.past = new Past();
    this.further = []; // the cards below, each with what it does when the drawing changes
    this.state = kept() ?? this.#first();
    const planned = recall(TRIP);
    const hasPlanned = planned && typeof planned === "object";
    if (hasPlanned && isFromPlanner()) Object.assign(this.state, { trip: "planner", ownTrip: planned });
    if (hasPlanned && this.state.trip !== "planner") this.planned = planned;
    if (this.state.trip === "planner") this.planned = this.state.ownTrip ?? planned;
    this.#offer();
    this.#fill();
  }

  /** Draw and ask; fill the lists, and build the cards below the answer, which ask only when they are told to. */
  build() {
    this.#changed(0);
    this.#fillLists();
    const { populations } = this.tables;
    const asked = () => ({ design: this.#design, trip: this.#withOthers });
    const sweep = new Sweep(byId("sweep"), { asked, take: (path, value) => this.#take(path, value) });
    const adoption = new Adoption(byId("adoption"), { populations, nameOf: (id) => this.#nameOf(id), asked: () => ({ design: this.#design, others: this.#others, rivals: this.state.rivals }) });
    const best = new BestDesign(byId("best"), { populations, asked, draw: (design) => this.#draws(design) });
    this.further = [sweep, adoption, best];
    for (const card of this.further) card.show(this.#design);
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

  get #design() {
    return this.state.tools[this.state.shown];
  }

  get #others() {
    return this.state.tools.filter((one) => one !== this.#design);
  }

  get #trip() {
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
      this.#design.name = target.value.trim() || undefined;
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
    this.state.tools[this.state.shown] = this.#drawn(design, this.#others);
    this.#show();
    this.#changed(0);
  }

  /** Take measures that were found in the place of those drawn. */
  #draws({ drawing }) {
    this.#design.drawing = copy(drawing);
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
    const address = URL.createObjectURL(new Blob([`${JSON.stringify(this.#design, null, 1)}\n`], { type: "application/json" }));
    const link = node("a", { href: address, download: `${this.#design.id}.json` });
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
    for (const card of this.further) card.show(this.#design);
    this.#tabs();
    this.#rivals();
    byId("name").value = this.#design.name ?? "";
    byId("remove").disabled = this.state.tools.length < 2;
    for (const button of document.querySelectorAll("[data-add]")) button.disabled = this.state.tools.length >= MOST_TOOLS;
    this.form.show(this.#design, matchMedia(WIDE).matches);
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
    const design = this.#design;
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
    for (const card of this.further) card.age();
    this.#draw();
    this.asking?.abort();
    clearTimeout(this.waiting);
    this.waiting = setTimeout(() => this.#ask(), pause);
  }

  async #ask() {
    this.past.keep(this.state);
    this.#tellPast();
    this.asking = new AbortController();
    const { signal } = this.asking;
    const busy = setTimeout(() => byId("busy").classList.add("on"), BUSY_MS);
    try {
      await this.#askTools(signal);
      if (!this.ofFile) this.#say("");
      await this.#askTrip(signal);
    } catch (error) {
      if (!signal.aborted) this.#refused(error);
    } finally {
      clearTimeout(busy);
      if (!signal.aborted) byId("busy").classList.remove("on");
    }
  }

  /** Score every drawing, the one that is shown first; its faults stand beside their fields. */
  async #askTools(signal) {
    const shown = this.#design;
    for (const design of [shown, ...this.state.tools.filter((one) => one !== shown)]) {
      const [score, section] = await this.#scored(design, signal);
      const { mass_g: mass, cover_g: cover } = score.tool;
      this.reports.set(design.id, { score, section, packed: mass + cover });
      if (design !== shown) continue;
      this.form.mark([]);
      byId("strays").hidden = true;
      tellTool(byId("tool"), { design, score, section }, (path, value) => this.#take(path, value));
      this.#draw();
      this.#tabs();
    }
    this.#tabs();
  }

  async #scored(design, signal) {
    try {
      return await Promise.all([
        ask("/v1/designs/score", design, signal),
        design.drawing.form === "knife" ? ask("/v1/designs/minimum-section", { design }, signal) : null,
      ]);
    } catch (error) {
      if (error instanceof Refusal && design !== this.#design) {
        error.problem = { ...error.problem, title: `${FORMS[design.drawing.form].name}: this cannot be drawn`, errors: [], detail: error.problem.errors?.[0]?.detail ?? error.problem.detail };
      }
      throw error;
    }
  }

  /** The trip with tools added that were drawn. */
  #more(tools) {
    const trip = this.#trip;
    return { ...trip, extra_tools: [...(trip.extra_tools ?? []), ...tools], ...(trip.only ? { only: [...trip.only, ...tools.map(({ id }) => id)] } : {}) };
  }

  /** The trip with the other drawn tools, as far as they are scored. */
  get #withOthers() {
    const others = this.#others.filter(({ id }) => this.reports.has(id));
    return this.#more(others.map(({ id }) => this.reports.get(id).score.tool));
  }

  async #askTrip(signal) {
    const trip = this.#trip;
    const rows = this.state.tools.map(({ id }) => this.reports.get(id).score.tool);
    const ids = rows.map(({ id }) => id);
    const plain = (asked) => ({ ...asked, detail: "kit" });
    const others = rows.filter(({ id }) => id !== this.#design.id);
    const { rivals } = this.state;
    const [own, rival, without, together, allowance] = await Promise.all([
      ask("/v1/kits/check", { kit: ids, trip: this.#more(rows) }, signal),
      rivals.length ? ask("/v1/kits/check", { kit: rivals, trip }, signal) : null,
      ask("/v1/kits", plain(trip), signal),
      ask("/v1/kits", plain(this.#more(rows)), signal),
      ask("/v1/designs/allowance", { design: this.#design, trip: this.#more(others) }, signal),
    ]);
    const nameOf = (id) => this.#nameOf(id);
    const packed = this.reports.get(this.#design.id).packed;
    tellTrip({ verdict: byId("verdict"), bar: byId("bar"), allowance: byId("allowance"), kits: byId("kits") }, { own, rival, without, together, allowance, packed, nameOf, design: this.#design });
    byId("plan").href = `/#trip=${coded(this.#more(rows))}`;
  }

  #take(path, value) {
    this.form.controls.get(path).input.value = "";
    let place = this.#design;
    const steps = path.split(".");
    for (const step of steps.slice(0, -1)) place = place[step];
    place[steps.at(-1)] = value;
    this.form.refresh();
    this.#changed(0);
  }

  #refused(error) {
    const { title, detail, errors } = error instanceof Refusal ? error.problem : { title: "Something went wrong on this page", detail: String(error), errors: [] };
    const ofDrawing = (errors ?? []).filter(({ pointer }) => /^#\/(design\/)?(drawing|id|name|kind)/.test(pointer));
    if (ofDrawing.length && ofDrawing.length === errors.length) {
      const strays = this.form.mark(errors);
      byId("strays").hidden = !strays.length;
      byId("strays").replaceChildren(...strays.map((one) => node("p", { textContent: one.detail })));
      this.#say("This cannot be drawn. The answers below are of the last drawing that can be.");
      return;
    }
    this.#say([`${title}.`, ...(errors?.length ? errors.map((one) => one.detail) : [detail])].join(" "));
  }
}

/** The tables of the service, or an error thrown. */
async function offered() {
  const response = await fetch(new URL("tables.json", import.meta.url));
  return response.json();
}

try {
  const [tables, early] = await Promise.all([
    offered(),
    afterFirstFrame(() => {
      bringIn();
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
  bench.build();
} catch (error) {
  byId("told").hidden = false;
  byId("told").textContent = `The bench can’t be shown: ${error.message}.`;
}
