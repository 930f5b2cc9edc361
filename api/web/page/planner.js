/** The planner: the form, the element that shows the kit, and what goes beyond the kit. */

import { Figures, node } from "./kitwright.js";
import { FrontPlot } from "./front_plot.js";
import { recall, remember, TRIP, UNITS } from "./memory.js";
import { HowSure } from "./how_sure.js";
import { idsOf, Naming } from "./naming.js";
import { NextKits } from "./next_kits.js";
import { keepPage, tellNetwork } from "./offline.js";
import { OwnKit } from "./own_kit.js";
import { PinStory } from "./pin_story.js";
import { ReachPlot } from "./reach_plot.js";
import { post, Refusal, rows } from "./service.js";
import { fragmentOf, tripOf } from "./share_link.js";
import { TripForm } from "./trip_form.js";
import { Shares } from "./shares.js";
import { Upgrades } from "./upgrades.js";

const FIRST_TRIP = { people: 2, nights: 3, air_c: 8, fire: { hot_water_l_per_person: 2, warmth_h: 1 }, camp_work: [{ id: "peg", per_trip: 6 }], limits: { work_min_per_day: 60 } };
const DRAWS = 64; // few, so that it is there while the kit is read
const USUAL_WORK_MIN = 90; // what the service takes where the trip names no limit

const place = (id) => document.getElementById(id);

class Planner {
  #abort = null;
  #shown = {}; // what the last plan gave: trip, quick, full (as far as it is told), front, sure
  #naming = new Naming();
  #tools = [];

  constructor() {
    this.element = place("kit");
    this.form = new TripForm(place("trip"), () => this.#edited());
    this.reach = new ReachPlot(place("reach"));
    this.front = new FrontPlot(place("front"), (point) => this.#pick(point));
    this.shares = new Shares(place("shares"));
    this.upgrades = new Upgrades(place("upgrades"));
    this.next = new NextKits(place("next"));
    this.pins = new PinStory(place("pins"));
    this.sure = new HowSure(place("sure"), () => this.#askHowSure());
    this.own = new OwnKit(place("own"), () => this.form.trip, (problem) => this.#refuse(problem));
    this.element.addEventListener("kitwright-problem", ({ detail }) => this.#refuse(detail.problem));
    place("trip").addEventListener("submit", (event) => {
      event.preventDefault();
      this.plan();
    });
    for (const radio of document.querySelectorAll("[name=units]")) radio.addEventListener("change", () => this.#setUnits(radio.value));
    place("share").addEventListener("click", () => this.#share());
    place("print").addEventListener("click", () => globalThis.print());
    globalThis.addEventListener("hashchange", () => this.#restore());
  }

  async start() {
    this.#setUnits(recall(UNITS) ?? (/-(US|LR|MM)$/.test(navigator.language) ? "us" : "metric"));
    const linked = this.#restore({ plan: false });
    if (!linked) this.#showRemembered();
    await Promise.all([this.#loadExamples(), this.#loadTables()]);
    if (linked) await this.plan();
  }

  /** Plan the trip of the form: the kit first, then what goes beyond it. */
  async plan() {
    this.#abort?.abort();
    const abort = (this.#abort = new AbortController());
    const { trip } = this.form;
    this.form.mark([]);
    place("strays").hidden = true;
    place("invitation").hidden = true;
    place("outcome").hidden = false;
    this.element.trip = { ...trip, detail: "kit" };
    const quick = await this.element.plan();
    if (abort.signal.aborted || !quick) return;
    this.#remember(trip);
    this.#shown = { trip, quick };
    place("beyond").hidden = false;
    place("unsettled").hidden = true;
    for (const part of [this.front, this.upgrades, this.next, this.pins]) part.wait();
    this.sure.offer();
    place("sure").closest("section").hidden = Boolean(trip.robust) || (trip.aim ?? "mass") !== "mass";
    this.#draw();
    place("answer").focus({ preventScroll: true });
    if (matchMedia("(max-width: 59.99rem)").matches) place("answer").scrollIntoView();
    const early = (answer) => this.#come("full", answer);
    await Promise.all([this.#ask("full", "/v1/kits", trip, abort.signal, early), this.#ask("front", "/v1/kits/front", { trip }, abort.signal)]);
  }

  /** Ask how sure the kit is; it takes many plans, so only where the reader wants it. */
  #askHowSure() {
    const { trip } = this.#shown;
    this.sure.wait();
    return this.#ask("sure", "/v1/kits/sure", { trip: { ...trip, alternatives: 0 }, sure: { draws: DRAWS } }, this.#abort.signal);
  }

  /** Draw an answer that has come; one that was told early is only completed. */
  #come(name, answer) {
    const completes = this.#shown[name]?.to_come;
    this.#shown[name] = answer;
    this.#draw(completes ? "ends" : name);
  }

  async #ask(name, path, body, signal, early) {
    try {
      const answer = await post(path, body, this.element.units, signal, early);
      if (signal.aborted) return;
      this.#come(name, answer);
    } catch (error) {
      if (signal.aborted) return;
      if (!(error instanceof Refusal)) throw error;
      if (this.#shown[name]) this.#come(name, { ...this.#shown[name], failed: error.problem.title });
      else for (const part of { front: [this.front], sure: [this.sure] }[name] ?? [this.upgrades, this.next, this.pins]) part.fail(error.problem.title);
    }
  }

  /** Draw all that is known, or the part that has come. */
  #draw(only = null) {
    const { trip, quick, full, front, sure } = this.#shown;
    if (!quick) return;
    const [figures, naming] = [this.#figures, this.#naming];
    naming.learn([...this.#tools, ...(trip.tools ?? []), ...(trip.extra_tools ?? []), ...quick.kit.tools]);
    if (!only) this.reach.show(quick, figures, naming);
    if (!only) this.shares.show(quick, figures, naming);
    if (!only) place("trip-line").textContent = this.#tripLine(trip);
    const whole = full && (!only || only === "full");
    if (whole || only === "ends") this.#tellUnsettled(full.not_settled ?? []); // nothing is told early that is not settled
    if (whole) for (const part of [this.upgrades, this.next, this.pins]) part.show(full, figures, naming);
    if (only === "ends") this.pins.showEnds(full, figures, naming);
    if (sure && (!only || only === "sure")) this.sure.show(sure, figures, naming);
    const limit = trip.limits?.work_min_per_day ?? USUAL_WORK_MIN;
    if (front && (!only || only === "front")) this.front.show(front, { limit, ids: idsOf(quick.kit.tools), figures, naming });
  }

  /** Say what the time allowed did not suffice for: those parts stand empty or are cut short. */
  #tellUnsettled(parts) {
    const line = place("unsettled");
    line.hidden = !parts.length;
    line.textContent = `The time allowed did not suffice for: ${parts.map((part) => part.replaceAll("_", " ")).join(", ")}. They are missing or cut short.`;
  }

  #tripLine({ name, people = 1, nights = 1 }) {
    const party = `${people} ${people === 1 ? "person" : "people"}, ${nights} ${nights === 1 ? "night" : "nights"}`;
    return name ? `${name} (${party})` : `A trip of ${party}`;
  }

  get #figures() {
    return new Figures("en", this.element.units);
  }

  #setUnits(units) {
    const known = units === "us" ? "us" : "metric";
    remember(UNITS, known);
    document.querySelector(`[name=units][value=${known}]`).checked = true;
    this.element.units = known;
    this.form.units = known;
    this.own.tell(this.#figures, this.#naming);
    this.#draw();
  }

  #edited() {
    const { trip } = this.form;
    if (this.#shown.quick) this.element.trip = { ...trip, detail: "kit" };
  }

  /** Show a problem: what has a field goes beside it, the rest above the button. */
  #refuse(problem) {
    const errors = (problem.errors ?? []).map((fault) => ({ ...fault, pointer: fault.pointer.replace(/^#\/trip\//, "#/") }));
    const strays = this.form.mark(errors);
    const lines = strays.map(({ pointer, detail }) => node("li", { textContent: `${pointer.replace(/^#\//, "")}: ${detail}` }));
    const box = place("strays");
    box.hidden = Boolean(problem.errors?.length) && !lines.length;
    box.replaceChildren(node("strong", { textContent: `${problem.title}.` }), node("p", { textContent: problem.detail ?? "" }), node("ul", {}, ...lines));
  }

  async #pick(point) {
    const { aim, ...trip } = this.form.trip;
    const minutes = Math.ceil(100 * point.work_min_per_day) / 100;
    this.form.show({ ...trip, limits: { ...trip.limits, work_min_per_day: minutes } });
    await this.plan();
  }

  async #loadExamples() {
    const response = await fetch(new URL("examples.json", import.meta.url));
    const chips = (await response.json()).map(({ id, trip }) => {
      const chip = node("button", { type: "button", textContent: id.replaceAll("-", " "), title: trip.name });
      chip.addEventListener("click", () => {
        this.form.show(trip);
        this.plan();
      });
      return chip;
    });
    place("examples").replaceChildren(...chips);
  }

  async #loadTables() {
    try {
      const [woods, campWork, tools] = await Promise.all([rows("/v1/woods"), rows("/v1/camp-work"), rows("/v1/tools")]);
      this.#tools = tools;
      this.#naming.learn(tools);
      this.form.offer({ woods, campWork, tools });
      this.own.picker.offer(tools);
      this.own.tell(this.#figures, this.#naming);
      this.form.units = this.element.units;
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      this.#refuse(error.problem);
    }
  }

  #restore({ plan = true } = {}) {
    try {
      const trip = tripOf(location.hash);
      if (!trip) return false;
      this.form.show(trip);
      if (plan) this.plan();
      return true;
    } catch {
      this.#refuse({ title: "The link contains no readable trip", detail: "The link may be incomplete.", errors: [] });
      return false;
    }
  }

  #showRemembered() {
    try {
      this.form.show(recall(TRIP) ?? FIRST_TRIP);
    } catch {
      this.form.show(FIRST_TRIP); // what was kept is no trip
    }
  }

  #remember(trip) {
    remember(TRIP, trip);
    history.replaceState(null, "", fragmentOf(trip));
  }

  async #share() {
    const link = location.origin + location.pathname + fragmentOf(this.form.trip);
    const told = place("shared");
    try {
      await navigator.clipboard.writeText(link);
      told.textContent = "Copied. The link itself contains the trip. No server stores it.";
    } catch {
      told.replaceChildren("Copy this link: ", node("a", { href: link, textContent: link }));
    }
  }
}

keepPage();
tellNetwork(place("offline"));
await new Planner().start();
