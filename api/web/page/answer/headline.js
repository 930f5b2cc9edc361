/** The answer in figures: the line that stays in sight, and the panel with both lines of grams and the minutes. */

import { joined } from "../parts/listing.js";
import { node } from "../parts/node.js";
import { massOf, sentence } from "./naming.js";

const HUNDRED = 100;
const TOO_LITTLE = { work_min_per_day: "no kit is quick enough", mass_g: "no kit is light enough", tools_at_most: "no kit has so few tools", members: "nobody can carry it within what each may carry" };
const WHOLE = 0.95; // of the panel
const AIMS = { mass: "the lightest, proven", effort: "the least effort, proven", work_time: "the least work, proven" };
const MOST_NAMES = 2; // in the line
const LEAST_MIN = 0.05; // told to one decimal

/** What carrying a kit and working with it takes each person a day [kcal]. */
const kcalOf = (one) => one.carry_kcal_per_person_day + one.work_kcal_per_person_day;

/** A share of trips in plain words, never all or none. */
function odds(share) {
  if (share > 1 - 1 / HUNDRED) return "more than 99 trips in 100";
  return share < 1 / HUNDRED ? "fewer than 1 trip in 100" : `${Math.round(share * HUNDRED)} trips in 100`;
}

/** What the trip wants of a fire that may not be lit. */
const bannedOf = (answer) => answer.cautions.filter((caution) => caution.code === "fire-not-allowed");

/** Whether the kit does only a part of what was asked. */
const isPartial = (answer) => answer.status === "uncovered" || bannedOf(answer).length > 0;

/** Where only time is too short: in which longer day what lighter kit is enough; else undefined. */
const quickestOf = (answer) => answer.reasons.find(({ code }) => code === "quickest-kit")?.facts;

class Headline {
  #sure = null;

  /** `onTake` is given ids of a kit to carry, `onFree` is called to let the service choose again. */
  constructor({ line, panel, heard, onTake, onFree }) {
    Object.assign(this, { line, panel, heard, onTake, onFree });
    [this.mass, this.rest] = line.querySelectorAll("span");
    const seen = ([{ isIntersecting: is }]) => line.toggleAttribute("data-seen", is);
    new IntersectionObserver(seen, { threshold: WHOLE }).observe(panel); // then the line would say the same once more
  }

  /** Show no kit: the one that stands there is of another trip. */
  clear() {
    this.mass.textContent = "";
    this.rest.textContent = "Fill in the sentence: the kit follows.";
    this.panel.replaceChildren();
  }

  /** Say in the line that an answer is on its way; the old one stays, dimmed. */
  busy(is) {
    this.line.toggleAttribute("data-busy", is);
    this.panel.setAttribute("aria-busy", String(is));
  }

  /** Say that what is shown is to an older trip. */
  age(is) {
    for (const part of [this.line, this.panel]) part.toggleAttribute("data-old", is);
  }

  /** Say in the line why there is no new answer. */
  refuse(name, told) {
    this.mass.textContent = "";
    this.rest.textContent = name ? `${name}: ${told}` : told;
    this.line.dataset.wrong = "fault";
    this.heard.textContent = this.rest.textContent;
  }

  /** Show a kit; `asked` tells whether how sure it is will follow. */
  show(answer, trip, { figures, naming, asked }) {
    Object.assign(this, { answer, trip, figures, naming, asked });
    this.#sure = null;
    const partial = isPartial(answer);
    const people = trip.people ?? 1;
    const each = figures.minutes(answer.kit.work_min_per_day / people);
    const daily = answer.kit.work_min_per_day < LEAST_MIN ? "no wood work" : people > 1 ? `${each} each a day` : `${each} a day`;
    if (partial) this.line.dataset.wrong = "partial";
    else delete this.line.dataset.wrong;
    const aimed = this.#aimed();
    this.mass.textContent = partial ? "Not all of it" : (aimed?.short ?? figures.mass(answer.kit.mass_g));
    const rest = [aimed ? figures.mass(answer.kit.mass_g) : null, this.#names(), aimed?.aim === "work_time" ? null : daily].filter(Boolean);
    this.rest.textContent = partial ? this.#missing() : rest.join(" · ");
    this.heard.textContent = `${this.#status()}: ${partial ? this.#missing() : [aimed && `${aimed.short} ${aimed.per}`, ...rest].filter(Boolean).join(", ")}.`;
    this.#draw();
  }

  /** Say why nobody knows how sure the kit is. */
  failSure(title) {
    const line = this.panel.querySelector("#as-assumed");
    if (line) line.textContent = `If all is as assumed. How sure that is, is not known: ${title}.`;
  }

  /** Add how sure the kit is, and what one that is sure enough weighs. */
  showSure(sure) {
    this.#sure = sure;
    this.#draw();
  }

  #names() {
    const names = this.naming.shortList([...this.answer.kit.tools].sort((a, b) => massOf(b) - massOf(a)).map(({ id }) => id));
    if (!names.length) return "nothing to carry";
    const rest = names.length - MOST_NAMES;
    return rest > 0 ? `${names.slice(0, MOST_NAMES).join(", ")} and ${rest} more` : joined(names);
  }

  #missing() {
    const banned = bannedOf(this.answer);
    if (banned.length) return "no fire is allowed";
    const { gaps } = this.answer;
    const limits = gaps.filter(({ kind }) => kind === "limit").map(({ field }) => field);
    if (!limits.length) return gaps.some(({ field }) => field === "diameter_mm") ? "some wood is too thick for every tool that may go" : "some of the work is left";
    return limits.length > 1 ? "no kit keeps all these limits" : (TOO_LITTLE[limits[0]] ?? "no kit keeps this limit");
  }

  /** What the kit below is, where it is not what was asked for. */
  #instead() {
    const { kit, gaps } = this.answer;
    const all = gaps.length > 0 && gaps.every(({ kind }) => kind === "limit");
    const { figures } = this;
    const mass = figures.mass(kit.mass_g);
    const longer = quickestOf(this.answer);
    if (longer) return `With ${figures.minutes(longer.with_min_per_day)} of work a day${this.#together()}, ${figures.mass(longer.mass_g)} is enough. The quickest kit weighs ${mass}.`;
    return `${all ? `The nearest kit weighs ${mass}` : `${mass} does what can be done`}: ${this.naming.briefs(kit.tools.map(({ id }) => id))}.`;
  }

  #together() {
    return (this.trip.people ?? 1) > 1 ? " together" : "";
  }

  #status() {
    const { status, effort, proof } = this.answer;
    if (isPartial(this.answer)) return "not all of it is covered";
    if (status === "feasible") return proof.gap_g === null ? "best found, not proven" : `best found; ${this.figures.mass(proof.gap_g)} less is not ruled out`;
    const aim = effort?.aim ?? "mass";
    if (aim === "mass" && this.trip.must_carry?.length) return "the lightest with what you carry in any case, proven";
    return AIMS[aim] ?? AIMS.mass;
  }

  #draw() {
    const { answer, figures } = this;
    const partial = isPartial(answer);
    const aimed = this.#aimed();
    const big = partial ? [sentence(this.#missing())] : aimed ? [aimed.short, node("span", { className: "per", textContent: ` ${aimed.per}` })] : [figures.mass(answer.kit.mass_g)];
    const beside = aimed ? [node("p", { id: "packed" }, node("strong", { textContent: figures.mass(answer.kit.mass_g) }), " packed")] : [];
    this.panel.replaceChildren(
      ...[
        node("div", { className: "top-line" }, node("h2", { id: "mass", className: partial ? "mass words" : "mass" }, ...big), ...beside, node("p", { className: `status ${partial ? "uncovered" : answer.status}` }, this.#status())),
        partial ? node("p", { textContent: this.#instead() }) : null,
        ...this.#sureLines(),
        ...this.#aim(),
        quickestOf(answer) ? null : this.#minutes(),
        this.#taken(),
      ].filter(Boolean),
    );
  }

  #sureLines() {
    const { figures, naming } = this;
    if (!this.#sure) return this.asked && !isPartial(this.answer) ? [node("p", { id: "as-assumed", textContent: "If all is as assumed. Trying it on trips where it is not …" })] : [];
    if (!this.#sure.at_medians) return [];
    const { at_medians: assumed, at_confidence: enough, longer_day: longer } = this.#sure;
    const lines = [node("p", { id: "as-assumed", textContent: `If all is as assumed: suffices on ${odds(assumed.fresh.probability)}.` })];
    if (longer) lines.push(this.#sureLine("sure-longer", longer.mass_g, `is sure enough with ${figures.minutes(longer.work_min_per_day)} of work a day: ${naming.shorts(longer.ids)}. `, longer.ids, longer.work_min_per_day));
    if (!enough || enough.kit.ids.join() === assumed.kit.ids.join()) return lines;
    lines.push(this.#sureLine("sure-enough", enough.kit.mass_g, `suffices on ${odds(enough.fresh.probability)}${longer ? " without a longer day" : ""}: ${naming.shorts(enough.kit.ids)}. `, enough.kit.ids));
    return lines;
  }

  /** A kit that is sure enough, which may be taken; on a day of so many minutes, where that is longer. */
  #sureLine(id, massG, told, ids, minutes = 0) {
    const take = node("button", { type: "button", textContent: "Take it" });
    take.addEventListener("click", () => this.onTake(ids, minutes));
    return node("p", { id }, node("strong", { textContent: this.figures.mass(massG) }), ` ${told}`, take);
  }

  /** With another aim than grams: the figure that was made least, in words and in short; else null. */
  #aimed() {
    const { effort, kit } = this.answer;
    const aim = effort?.aim ?? "mass";
    if (aim === "mass" || isPartial(this.answer)) return null;
    const { figures } = this;
    const people = this.trip.people ?? 1;
    if (aim === "work_time") return { aim, short: figures.minutes(kit.work_min_per_day), per: "a day" };
    const kcal = `${figures.format(kcalOf(effort.chosen), 0)} kcal`;
    return { aim, short: kcal, per: people > 1 ? "each a day" : "a day" };
  }

  /** With another aim than grams: both kits, what was made least and the lightest. */
  #aim() {
    const { effort, kit } = this.answer;
    if (!this.#aimed()) return [];
    const { figures, naming } = this;
    const { chosen, lightest } = effort;
    const say = (one) => `${figures.mass(one.mass_g)}, ${figures.minutes(one.work_min_per_day)} of work a day, ${figures.format(kcalOf(one), 0)} kcal each a day`;
    const same = chosen.ids.join() === lightest.ids.join();
    const beside = same ? "It is also the lightest kit." : `The lightest kit: ${say(lightest)} (${naming.tools(lightest.ids)}).`;
    return [node("p", { id: "aim-told", textContent: `This kit: ${say({ ...chosen, mass_g: kit.mass_g })}. ${beside}` })];
  }

  #minutes() {
    const { figures, answer, trip } = this;
    const { kit } = answer;
    const people = trip.people ?? 1;
    if (kit.work_min_per_day < LEAST_MIN) return node("p", { id: "day", textContent: "No wood work by hand is planned." });
    const each = figures.minutes(kit.work_min_per_day / people);
    const told = people > 1 ? `${each} of wood work a day each, ${figures.format(Math.round(kit.work_min_per_day))} together` : `${each} of wood work a day`;
    return node("p", { id: "day", textContent: `${told}.` });
  }

  /** What the traveller chose to carry, with the way back. */
  #taken() {
    const { must_carry: ids = [] } = this.trip;
    if (!ids.length) return null;
    const free = node("button", { type: "button", textContent: "Choose freely again" });
    free.addEventListener("click", () => this.onFree());
    return node("p", { id: "taken" }, `You carry in any case: ${this.naming.tools(ids)}. `, free);
  }
}

export { bannedOf, Headline, isPartial, odds, quickestOf };
