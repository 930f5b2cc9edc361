/** The planner: the sentence and its folds, the kit that follows while one types, and what goes beyond the kit. */

import { Care } from "./answer/care.js";
import { Headline, isPartial } from "./answer/headline.js";
import { idsOf, Naming } from "./answer/naming.js";
import { Pack } from "./answer/pack.js";
import { BEFORE, BESIDE, recall, remember, TRIP, UNITS } from "./device/memory.js";
import { keepPage, tellNetwork } from "./device/offline.js";
import { Past } from "./device/past.js";
import { readerUnits } from "./device/reader_units.js";
import { post, Refusal } from "./device/service.js";
import { fragmentOf, tripOf } from "./device/share_link.js";
import { Figures } from "./parts/figures.js";
import { afterFirstFrame, afterFirstPaint } from "./parts/first_frame.js";
import { bringIn } from "./parts/held_back.js";
import { nextTask } from "./parts/next_task.js";
import { node } from "./parts/node.js";
import { firstTrip, isTold } from "./trip/first_trip.js";
import { TripForm } from "./trip/trip_form.js";

const DRAWS = 64; // few, so that it is there while the kit is read
const USUAL_WORK_MIN = 90; // what the service takes where the trip names no limit
const TYPING_MS = 250; // a pause in typing after which a plan is asked for
const THINKING_MS = 1200; // the same where a field is empty, or holds no figure yet
const BUSY_MS = 300; // a shorter wait needs no sign
const WIDE = "(min-width: 60rem)"; // as in page.css
const MISSING = "The rest of this page did not come. It is asked for again with the next plan.";

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
  #shown = {}; // what the last plan gave: trip, quick, full (as far as it is told), front, sure; `failed` says by part why it has not come
  #problem = false; // whether there is no plan of the trip as it stands
  #asksBeyond = true; // at the start, once the first frame is on the screen
  #tries = 0;
  #naming = new Naming();
  #past = new Past();
  #units = "metric";

  constructor() {
    this.form = new TripForm(place("trip"), { onEdit: (complete) => this.#edited(complete), nameOf: (id) => this.#naming.tool(id) });
    this.head = new Headline({ line: place("line"), panel: place("head"), heard: place("heard"), onTake: (ids, minutes) => this.#take(ids, minutes), onFree: () => this.#free() });
    this.pack = new Pack(place("pack"));
    this.care = new Care(place("care"));
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
    if (matchMedia(WIDE).matches) place("more").open = true;
    const pressed = document.querySelector("[name=units]:checked");
    if (pressed && !pressed.defaultChecked) remember(UNITS, pressed.value); // before this module came
    this.#useUnits(readerUnits());
    this.#showFirst();
    if (this.form.takeEarly()) this.#keepDraft();
    if (!isTold(this.form.trip)) this.head.clear();
    performance.mark("heard"); // from now on, what is typed is planned
    await nextTask();
    const beyond = afterFirstPaint().then(() => this.#bringBeyond());
    if (this.form.trip.catalog) await beyond; // the folds keep its key
    await Promise.all([this.plan(), beyond]);
    keepPage();
    await this.#loadTables();
  }

  /** Bring what is beyond the sentence and the kit; where it does not come, the next plan asks for it again. */
  async #bringBeyond() {
    this.#asksBeyond = true;
    bringIn(document.head); // the style of all that is beyond the first sight
    const tried = this.#tries++ ? `?${this.#tries}` : ""; // a browser keeps a failure under its address
    const brought = await import(`./beyond.js${tried}`).catch(() => null);
    this.#asksBeyond = false;
    if (brought) {
      this.#unfold(brought.TripFolds);
      this.#goBeyond(brought.Beyond);
    } else Object.assign(place("unsettled"), { hidden: false, textContent: MISSING });
  }

  /** The folds of the form: the trip is the same, its fields may stand in another order. */
  #unfold(TripFolds) {
    const before = this.form.trip; // a field that is there is asked what it says
    bringIn(document.body);
    if (matchMedia(WIDE).matches) document.querySelector(".fold").open = true;
    this.form.unfold(TripFolds, before, (rows) => this.#learn(rows));
    const { trip } = this.form;
    this.#past.retell(before, trip);
    if (JSON.stringify(before) === JSON.stringify(this.#shown.trip)) this.#shown.trip = trip;
    if (this.#problem) this.plan(); // what is wrong may have its field now
  }

  #goBeyond(Beyond) {
    this.beyond = new Beyond({
      form: this.form,
      answered: () => this.#answered,
      plan: (trip, signal) => this.#try(trip, signal),
      onTake: (ids, minutes) => this.#take(ids, minutes),
      onCompare: (ids) => this.#compare(ids),
      onOpen: (trip) => this.#open(trip),
      onGoOn: (trip) => this.#goOn(trip),
      onRefusal: (problem) => this.#refuse(problem),
    });
    this.beyond.tell(this.#figures, this.#naming);
    this.beyond.wait();
    if (this.#shown.quick) this.#drawBeyond(null);
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
    this.#problem = false;
    if (faults.length) {
      this.#refuse({ title: "", errors: faults });
      return;
    }
    this.form.mark([]);
    const quick = await this.#askQuick(trip, signal);
    if (!quick || signal.aborted) return;
    this.#shown = { trip, quick, sureIsTold: tellsSure(trip), failed: {} };
    this.beyond?.wait();
    place("unsettled").hidden = true;
    this.#draw();
    this.#askBeyond(trip, signal); // the kit does not wait for it
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
  async #askBeyond(trip, signal) {
    await this.#ask("full", "/v1/kits", trip, signal, (answer) => this.#come("full", answer));
    if (signal.aborted) return;
    if (!this.beyond && !this.#asksBeyond) this.#bringBeyond().then(() => this.#loadTables());
    const { sure: _, ...bare } = trip;
    if (tellsSure(trip)) this.#ask("sure", "/v1/kits/sure", { trip: { ...bare, alternatives: 0 }, sure: { draws: DRAWS } }, signal);
    this.#ask("front", "/v1/kits/front", { trip }, signal);
    this.beyond?.night.ask();
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
      else {
        this.#shown.failed[name] = error.problem.title;
        if (name === "sure") this.head.failSure(error.problem.title);
        this.#drawBeyond(name);
      }
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
    const { trip, quick, full, sure } = this.#shown;
    if (!quick) return;
    bringIn(document.head);
    const [figures, naming] = [this.#figures, this.#naming];
    naming.learn(quick.kit.tools);
    naming.learn([...(trip.tools ?? []), ...(trip.extra_tools ?? [])], { own: true });
    if (!only) this.#drawKit(quick, trip, figures, naming);
    if (full && (!only || only === "full" || only === "ends")) this.#tellUnsettled(full.not_settled ?? []); // nothing is told early that is not settled
    if (full && (!only || only === "full")) this.pack.show(full, trip, figures, naming);
    if (sure && !isPartial(quick) && (!only || only === "sure")) this.head.showSure(sure);
    this.#drawBeyond(only);
  }

  #drawBeyond(only) {
    const asked = this.#answered;
    this.beyond?.draw(only, this.#shown, { ...asked, link: this.#link(asked.trip) });
  }

  #drawKit(quick, trip, figures, naming) {
    this.head.age(false);
    this.head.show(quick, trip, { figures, naming, asked: tellsSure(trip) });
    this.form.mine?.timings?.tell(quick.trials, (text) => naming.told(text));
    this.pack.show(quick, trip, figures, naming);
    this.care.show(quick, figures, naming);
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
    this.beyond?.tell(this.#figures, this.#naming);
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
    this.#problem = true;
    const errors = (problem.errors ?? []).map(inTheForm);
    const ofCatalog = this.form.mine?.catalog?.faultOf(problem);
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
    this.beyond.beside.show(idsOf(quick.kit.tools), ids, trip, this.#figures, this.#naming, this.#abort.signal);
  }

  #tellPast() {
    place("undo").disabled = !this.#past.hasBefore;
    place("redo").disabled = !this.#past.hasAfter;
  }

  /** Load what one may choose from; without it the sentence still plans. */
  async #loadTables() {
    if (!this.beyond) return;
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
    this.#naming.learn(rows, { own: Boolean(this.form.mine?.catalog?.used) });
    this.beyond?.offer(rows);
    this.beyond?.tell(this.#figures, this.#naming);
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

afterFirstFrame(() => {
  tellNetwork(place("offline"));
  new Planner().start();
});
