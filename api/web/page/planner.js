/** The planner: the sentence and its folds, the kit that follows while one types, and what goes beyond the kit. */

import { Assumed } from "./answer/assumed.js";
import { BadNight } from "./answer/bad_night.js";
import { Care } from "./answer/care.js";
import { Headline, isPartial } from "./answer/headline.js";
import { HowSure } from "./answer/how_sure.js";
import { idsOf, Naming } from "./answer/naming.js";
import { NextKits } from "./answer/next_kits.js";
import { OwnKit } from "./answer/own_kit.js";
import { Pack } from "./answer/pack.js";
import { PackingSheet } from "./answer/packing_sheet.js";
import { PinStory } from "./answer/pin_story.js";
import { Relief } from "./answer/relief.js";
import { SideBySide } from "./answer/side_by_side.js";
import { Upgrades } from "./answer/upgrades.js";
import { KeptTrips } from "./device/kept_trips.js";
import { BEFORE, BESIDE, recall, remember, TRIP, UNITS } from "./device/memory.js";
import { keepPage, tellNetwork } from "./device/offline.js";
import { Past } from "./device/past.js";
import { readerUnits } from "./device/reader_units.js";
import { post, Refusal } from "./device/service.js";
import { fragmentOf, tripOf } from "./device/share_link.js";
import { Figures } from "./parts/figures.js";
import { afterFirstFrame } from "./parts/first_frame.js";
import { bringIn } from "./parts/held_back.js";
import { nextTask } from "./parts/next_task.js";
import { node } from "./parts/node.js";
import { FrontPlot } from "./plots/front_plot.js";
import { ReachPlot } from "./plots/reach_plot.js";
import { firstTrip, isTold } from "./trip/first_trip.js";
import { TripForm } from "./trip/trip_form.js";

const DRAWS = 64; // few, so that it is there while the kit is read
const USUAL_WORK_MIN = 90; // what the service takes where the trip names no limit
const TYPING_MS = 250; // a pause in typing after which a plan is asked for
const THINKING_MS = 1200; // the same where a field is empty, or holds no figure yet
const BUSY_MS = 300; // a shorter wait needs no sign
const SURE_ONLY = "It is told where grams are made least, and without a second kit for safety.";

/** Whether the service tells how sure the kit of a trip is. */
const tellsSure = (trip) => !trip.robust && (trip.aim ?? "mass") === "mass";

/** A fault where and as a reader of the form needs it. */
function inTheForm({ pointer, detail }) {
  if (pointer === "#/tasks" && detail.includes("no work")) return { pointer: "#/fire/warmth_h", detail: "There is nothing to cut: write hours of fire or litres to boil, or add camp jobs below" };
  return { pointer: pointer.replace(/^#\/trip\//, "#/"), detail };
}

const place = (id) => document.getElementById(id);

class Planner {
  #abort = null; // what ends the questions about the trip before
  #timer = 0;
  #shown = {}; // what the last plan gave: trip, quick, full (as far as it is told), front, sure
  #naming = new Naming();
  #past = new Past();
  #units = "metric";

  constructor() {
    const take = (ids, minutes) => this.#take(ids, minutes);
    const beside = (ids) => this.#compare(ids);
    this.form = new TripForm(place("trip"), { onEdit: (complete) => this.#edited(complete), onTable: (rows) => this.#learn(rows), nameOf: (id) => this.#naming.tool(id) });
    this.head = new Headline({ line: place("line"), panel: place("head"), heard: place("heard"), onTake: take, onFree: () => this.#free() });
    this.relief = new Relief(place("relief"), { plan: (trip, signal) => this.#try(trip, signal), onTake: (trip) => this.#goOn(trip) });
    this.pack = new Pack(place("pack"));
    this.care = new Care(place("care"));
    this.upgrades = new Upgrades(place("better"), place("more-upgrades"), take);
    this.front = new FrontPlot(place("front"), (point) => take(point.ids, point.work_min_per_day), (point) => beside(point.ids));
    this.beside = new SideBySide(place("beside"), take);
    this.sure = new HowSure(place("sure"));
    this.night = new BadNight(place("night"), { tripOf: () => this.#answered, onTake: take });
    this.reach = new ReachPlot(place("reach"));
    this.next = new NextKits(place("next"), beside);
    this.pins = new PinStory(place("pins"));
    this.assumed = new Assumed(place("assumed"));
    this.own = new OwnKit(place("own"), () => this.form.trip, (problem) => this.#refuse(problem));
    this.sheet = new PackingSheet(place("sheet"));
    this.trips = new KeptTrips(place("trips"), { tripOf: () => this.form.trip, onOpen: (trip) => this.#open(trip) });
    this.#listen();
  }

  #listen() {
    for (const radio of document.querySelectorAll("[name=units]")) radio.addEventListener("change", () => this.#setUnits(radio.value));
    place("line").addEventListener("click", () => this.#lead());
    document.querySelector(".skip").addEventListener("click", (event) => {
      event.preventDefault(); // the part of the address after # is the trip
      this.#toAnswer();
    });
    for (const [id, by] of [["undo", -1], ["redo", 1]]) place(id).addEventListener("click", () => this.#open(this.#past.step(by)));
    place("share").addEventListener("click", () => this.#share());
    place("print").addEventListener("click", () => globalThis.print());
    globalThis.addEventListener("hashchange", () => this.#restore() && this.plan());
    globalThis.addEventListener("online", () => this.plan());
  }

  async start() {
    if (matchMedia("(min-width: 60rem)").matches) for (const fold of [place("more"), document.querySelector(".fold")]) fold.open = true;
    const pressed = document.querySelector("[name=units]:checked");
    if (pressed && !pressed.defaultChecked) remember(UNITS, pressed.value); // before this module came
    this.#useUnits(readerUnits());
    this.#showFirst();
    if (this.form.takeEarly()) this.#keepDraft();
    if (!isTold(this.form.trip)) this.head.clear();
    performance.mark("heard"); // from now on, what is typed is planned
    await nextTask();
    await this.plan();
    keepPage();
    await this.#loadTables();
  }

  /** Plan the trip of the form: the kit first, then what goes beyond it. */
  async plan() {
    clearTimeout(this.#timer);
    this.#abort?.abort();
    const { signal } = (this.#abort = new AbortController());
    const { trip, faults } = this.form;
    this.#past.keep(trip);
    this.#tellPast();
    this.#remember(trip);
    place("strays").hidden = true;
    if (faults.length) {
      this.#refuse({ title: "", errors: faults });
      return;
    }
    this.form.mark([]);
    const quick = await this.#askQuick(trip, signal);
    if (!quick || signal.aborted) return;
    this.#shown = { trip, quick };
    this.#draw();
    this.#beyond(trip, signal); // the kit does not wait for it
  }

  async #askQuick(trip, signal) {
    const sign = setTimeout(() => this.head.busy(true), BUSY_MS);
    signal.addEventListener("abort", () => clearTimeout(sign));
    try {
      return await post("/v1/kits", { ...trip, detail: "kit" }, this.#units, signal);
    } catch (error) {
      if (signal.aborted) return null;
      if (!(error instanceof Refusal)) throw error;
      this.#refuse(error.problem);
      return null;
    } finally {
      clearTimeout(sign);
      if (!signal.aborted) this.head.busy(false);
    }
  }

  /** Ask for what goes beyond the kit: prices and next kits, how sure it is, the front. */
  async #beyond(trip, signal) {
    place("beyond").hidden = false;
    place("unsettled").hidden = true;
    for (const part of [this.front, this.next, this.pins, this.sure, this.night]) part.wait();
    this.upgrades.hide();
    this.beside.hide();
    await this.#ask("full", "/v1/kits", trip, signal, (answer) => this.#come("full", answer));
    if (signal.aborted) return;
    const { sure: _, ...bare } = trip;
    if (!tellsSure(trip)) this.sure.leave(SURE_ONLY);
    else this.#ask("sure", "/v1/kits/sure", { trip: { ...bare, alternatives: 0 }, sure: { draws: DRAWS } }, signal);
    this.#ask("front", "/v1/kits/front", { trip }, signal);
    this.night.ask();
  }

  /** Draw an answer that has come; one that was told early is only completed. */
  #come(name, answer) {
    const completes = this.#shown[name]?.to_come;
    this.#shown[name] = answer;
    this.#draw(completes ? "ends" : name);
  }

  async #ask(name, path, body, signal, early) {
    try {
      const answer = await post(path, body, this.#units, signal, early);
      if (!signal.aborted) this.#come(name, answer);
    } catch (error) {
      if (signal.aborted) return;
      if (!(error instanceof Refusal)) throw error;
      if (this.#shown[name]) this.#come(name, { ...this.#shown[name], failed: error.problem.title });
      else if (name === "sure") this.head.failSure(error.problem.title);
      if (!this.#shown[name]) for (const part of { front: [this.front], sure: [this.sure] }[name] ?? [this.next, this.pins]) part.fail(error.problem.title);
    }
  }

  /** The kit of another trip, or null; nothing is shown of it. */
  async #try(trip, signal) {
    try {
      return await post("/v1/kits", { ...trip, detail: "kit" }, this.#units, signal);
    } catch {
      return null;
    }
  }

  /** Draw all that is known, or the part that has come. */
  #draw(only = null) {
    const { trip, quick, full, front, sure } = this.#shown;
    if (!quick) return;
    const [figures, naming] = [this.#figures, this.#naming];
    naming.learn(quick.kit.tools);
    naming.learn([...(trip.tools ?? []), ...(trip.extra_tools ?? [])], { own: true });
    if (!only) this.#drawKit(quick, trip, figures, naming);
    const whole = full && (!only || only === "full");
    if (whole || only === "ends") this.#tellUnsettled(full.not_settled ?? []); // nothing is told early that is not settled
    if (whole) {
      this.pack.show(full, trip, figures, naming);
      for (const part of [this.next, this.pins]) part.show(full, figures, naming);
      if (isPartial(full)) this.relief.show(full, trip, figures, naming, this.#abort.signal);
      else this.upgrades.show(full, figures, naming);
    }
    if (only === "ends") this.pins.showEnds(full, figures, naming);
    if (whole || only === "ends") this.sheet.show(full, trip, this.#link(trip), figures, naming);
    if (!only) this.night.redraw(figures, naming);
    if (sure && (!only || only === "sure")) this.sure.show(sure, figures, naming);
    if (sure && !isPartial(quick) && (!only || only === "sure")) this.head.showSure(sure);
    const limit = trip.limits?.work_min_per_day ?? USUAL_WORK_MIN;
    if (front && (!only || only === "front")) this.front.show(front, { limit, ids: idsOf(quick.kit.tools), figures, naming });
  }

  #drawKit(quick, trip, figures, naming) {
    this.head.age(false);
    this.head.show(quick, trip, { figures, naming, asked: tellsSure(trip) });
    if (isPartial(quick)) this.relief.tell(quick, figures, naming);
    else this.relief.hide();
    this.form.mine.timings?.tell(quick.trials, (text) => naming.told(text));
    this.pack.show(quick, trip, figures, naming);
    for (const part of [this.care, this.reach, this.assumed]) part.show(quick, figures, naming);
    this.sheet.show(quick, trip, this.#link(trip), figures, naming);
    place("take-along").hidden = false;
    place("shared").textContent = "";
  }

  /** The trip that is answered, and what a further question about it takes; null where there is none. */
  get #answered() {
    const { trip } = this.#shown;
    return trip ? { trip, signal: this.#abort.signal, figures: this.#figures, naming: this.#naming } : null;
  }

  /** Say what the time allowed did not suffice for: those parts stand empty or are cut short. */
  #tellUnsettled(parts) {
    const line = place("unsettled");
    line.hidden = !parts.length;
    line.textContent = `The time allowed did not suffice for: ${parts.map((part) => part.replaceAll("_", " ")).join(", ")}. They are missing or cut short.`;
  }

  get #figures() {
    return new Figures(this.#units);
  }

  #useUnits(units) {
    this.#units = units === "us" ? "us" : "metric";
    document.querySelector(`[name=units][value=${this.#units}]`).checked = true;
    this.#naming.figures = this.#figures;
    this.form.useUnits(this.#units);
    this.own.tell(this.#figures, this.#naming);
  }

  /** Tell all in these units, from now on and on this device. */
  #setUnits(units) {
    const { trip } = this.form;
    this.#useUnits(units);
    remember(UNITS, this.#units);
    this.form.show(trip);
    this.#draw();
  }

  /** Something was changed: keep it at once, and plan when the typing pauses. */
  #edited(complete) {
    this.#keepDraft();
    place("broken").hidden = true;
    this.head.age(true);
    clearTimeout(this.#timer);
    if (JSON.stringify(this.form.trip) === JSON.stringify(this.#shown.trip) && !this.form.faults.length) {
      this.form.mark([]);
      this.head.age(false);
    } else this.#timer = setTimeout(() => this.plan(), complete ? 0 : this.form.unfinished ? THINKING_MS : TYPING_MS);
  }

  /** Show a problem: what has a field beside it, the rest above the folds; the line says where to look. */
  #refuse(problem) {
    const errors = (problem.errors ?? []).map(inTheForm);
    const ofCatalog = this.form.mine.catalog?.faultOf(problem);
    if (ofCatalog) errors.push({ pointer: "#/catalog", detail: ofCatalog });
    const strays = this.form.mark(errors);
    const lines = strays.map(({ pointer, detail }) => node("li", { textContent: `${pointer.replace(/^#\//, "").replaceAll(/[_/]/g, " ")}: ${detail}` }));
    const box = place("strays");
    box.hidden = errors.length > 0 && !lines.length;
    box.replaceChildren(node("strong", { textContent: `${problem.title}.` }), node("p", { textContent: problem.detail ?? "" }), node("ul", {}, ...lines));
    this.head.age(true);
    const { name, told } = this.form.wrong ?? { name: "", told: `${problem.title}.` };
    this.head.refuse(name, told);
  }

  /** Where the line leads: to what is wrong, or to the kit. */
  #lead() {
    if (this.form.wrong) this.form.attend();
    else this.#toAnswer();
  }

  #toAnswer() {
    place("answer").focus({ preventScroll: true });
    place("answer").scrollIntoView();
  }

  /** Go on with another trip. */
  #open(trip) {
    this.form.show(trip);
    this.#keepDraft();
    this.plan();
  }

  /** Go on with another trip that was chosen among the answers, and look at its kit. */
  #goOn(trip) {
    this.#open(trip);
    this.#toAnswer();
  }

  /** Carry these tools in any case; a kit that takes longer than allowed raises the limit. */
  #take(ids, minutes = 0) {
    const { aim: _, ...trip } = this.form.trip;
    const limit = trip.limits?.work_min_per_day ?? USUAL_WORK_MIN;
    const limits = minutes > limit ? { limits: { ...trip.limits, work_min_per_day: Math.ceil(minutes) } } : {};
    this.#goOn({ ...trip, ...limits, must_carry: [...new Set(ids)] });
  }

  #free() {
    const { must_carry: _, ...trip } = this.form.trip;
    this.#open(trip);
  }

  #compare(ids) {
    const { quick, trip } = this.#shown;
    this.beside.show(idsOf(quick.kit.tools), ids, trip, this.#figures, this.#naming, this.#abort.signal);
  }

  #tellPast() {
    place("undo").disabled = !this.#past.hasBefore;
    place("redo").disabled = !this.#past.hasAfter;
  }

  /** Load what one may choose from; without it the sentence still plans. */
  async #loadTables() {
    const response = await fetch(new URL("tables.json", import.meta.url)).catch(() => null);
    if (!response?.ok) return;
    const { examples, woods, camp_work: campWork, methods, tools } = await response.json();
    place("examples").replaceChildren(...examples.map((example) => this.#chip(example)));
    this.#naming.learn([...methods, ...tools]);
    this.#naming.learnJobs(campWork);
    this.form.offer({ woods, campWork, tools });
  }

  /** Other rows to choose from have come: of the table, or of a stored catalog. */
  #learn(rows) {
    this.#naming.learn(rows, { own: Boolean(this.form.mine.catalog?.used) });
    this.own.picker.offer(rows);
    this.own.tell(this.#figures, this.#naming);
    this.#draw();
  }

  #chip({ id, trip }) {
    const chip = node("button", { type: "button", textContent: id.replaceAll("-", " "), title: trip.name });
    chip.addEventListener("click", () => {
      this.#goOn(trip);
    });
    return chip;
  }

  /** Show the trip of the address; whether there is one. */
  #restore() {
    try {
      const trip = tripOf(location.hash);
      if (trip) this.form.show(trip);
      return trip !== null;
    } catch {
      this.form.show(firstTrip(readerUnits()));
      place("broken").hidden = false;
      return true;
    }
  }

  /** Show what was typed last on this device where the address still is the one beside it; else the trip of the address. */
  #showFirst() {
    const draft = recall(TRIP);
    const reloaded = performance.getEntriesByType("navigation")[0]?.type === "reload";
    const beside = [recall(BESIDE), reloaded ? recall(BEFORE) : null];
    const kept = draft && (!location.hash || beside.includes(location.hash));
    if (!kept && this.#restore()) return;
    try {
      this.form.show(draft ?? firstTrip(readerUnits()));
    } catch {
      this.form.show(firstTrip(readerUnits())); // what was kept is no trip
    }
  }

  /** Keep what is typed, as it is typed. */
  #keepDraft() {
    remember(TRIP, this.form.trip);
    remember(BESIDE, location.hash);
  }

  #remember(trip) {
    const link = fragmentOf(trip);
    if (link !== location.hash) remember(BEFORE, location.hash);
    history.replaceState(null, "", link);
    this.#keepDraft();
  }

  #link(trip) {
    return location.origin + location.pathname + fragmentOf(trip);
  }

  async #share() {
    const link = this.#link(this.form.trip);
    try {
      await navigator.clipboard.writeText(link);
      place("shared").textContent = "Copied. The link itself contains the trip. No server stores it.";
    } catch {
      place("shared").replaceChildren("Copy this link: ", node("a", { href: link, textContent: link }));
    }
  }
}

await afterFirstFrame(() => {
  bringIn();
  tellNetwork(place("offline"));
  new Planner().start();
});
