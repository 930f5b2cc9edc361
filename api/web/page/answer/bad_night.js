/** What the kit does when something goes wrong: asked when its fold is opened, each case with the lightest kit that bears it. */

import { post, Refusal } from "../device/service.js";
import { node } from "../parts/node.js";
import { sentence } from "./naming.js";

const CASES = { longer: "A night longer", colder: "Colder air", wet: "All wood is wet outside", "all-weather": "Longer, colder and wet at once", lost: "The most used tool is lost", hurt: "One of you is hurt" };
const DOES = { covered: ["does", "Does it"], late: ["late", "Does it late"], cannot: ["fails", "Not all of it"] };

class BadNight {
  #asked = null; // the trip that is shown or asked for

  /** `tripOf` gives the trip of the answer with the signal that ends with it, or null; `onTake` is given ids of a kit to carry. */
  constructor(root, { tripOf, onTake }) {
    Object.assign(this, { root, tripOf, onTake });
    this.fold = root.closest("details");
    this.fold.addEventListener("toggle", () => this.ask());
  }

  /** Ask for the trip of the answer, where the fold is open and it is not asked for yet. */
  async ask() {
    const found = this.tripOf();
    if (!this.fold.open || !found || found.trip === this.#asked) return;
    const { trip, signal, figures, naming } = found;
    this.#asked = trip;
    this.#say("Trying the kit on a bad night …");
    try {
      const answer = await post("/v1/kits/bad-night", { trip }, figures.us ? "us" : "metric", signal);
      if (!signal.aborted) this.show(answer, figures, naming);
    } catch (error) {
      if (signal.aborted) return;
      if (!(error instanceof Refusal)) throw error;
      this.#asked = null;
      this.#say(`${error.problem.title}.`);
    }
  }

  /** Show an answer, again after a change of units. */
  show(answer, figures, naming) {
    this.shown = answer;
    const { kit, cases, bears_all: all } = answer;
    const told = cases.filter(({ applies }) => applies).map((one) => this.#case(one, kit, figures, naming));
    const rest = cases.filter(({ applies }) => !applies).map(({ case: name, changes }) => `${CASES[name] ?? sentence(name)}: ${naming.told(changes)}`);
    const take = all.kit && all.kit.more_g > 0 ? [this.#take(all.kit.ids)] : [];
    this.root.replaceChildren(
      node("p", { id: "bears-all" }, node("strong", { textContent: `${this.#every(all, figures, naming)} ` }), ...take),
      node("ul", { className: "cases" }, ...told),
      ...rest.map((textContent) => node("p", { className: "help", textContent })),
      node("p", { className: "help", textContent: "An injury changes more than the work: turn back early, and carry what calls for help." }),
    );
  }

  /** Draw what is shown in other units. */
  redraw(figures, naming) {
    if (this.shown) this.show(this.shown, figures, naming);
  }

  /** Another trip: what is shown is of the one before. */
  wait() {
    this.shown = this.#asked = null;
    this.#say("A night longer, colder, wet wood, a lost tool, an injury.");
  }

  #every({ status, kit, leaves_out: left, text }, figures, naming) {
    if (!kit) return naming.told(text);
    const but = left.length ? ` but ${left.map((name) => `“${CASES[name] ?? name}”`).join(" and ")}, which no kit bears` : "";
    const more = kit.more_g > 0 ? `${figures.mass(kit.mass_g)} (${figures.mass(kit.more_g)} more)` : "This kit";
    return `${more} ${status === "feasible" ? "bears" : kit.more_g > 0 ? "is the least that bears" : "bears"} all of it${but}${kit.more_g > 0 ? `: ${naming.briefs(kit.ids)}` : ""}.`;
  }

  #take(ids) {
    const button = node("button", { type: "button", className: "small", textContent: "Take it" });
    button.addEventListener("click", () => this.onTake(ids));
    return button;
  }

  #case({ case: name, changes, status, outcome, lightest, no_kit: none, closest }, kit, figures, naming) {
    const [className, does] = DOES[status] ?? ["", "Not settled"];
    const lines = [naming.told(changes), outcome ? naming.told(outcome.text) : ""];
    if (lightest && lightest.more_g > 0) lines.push(`The least that bears it: ${figures.mass(lightest.mass_g)}, ${naming.briefs(lightest.ids)}.`);
    else if (none) lines.push(`${naming.told(none)}${closest ? ` ${figures.mass(closest.mass_g)} does what can be done: ${naming.briefs(closest.ids)}.` : ""}`);
    const inside = node("ul", {}, ...lines.filter(Boolean).map((text) => node("li", { textContent: sentence(text) })));
    return node("li", {}, node("details", {}, node("summary", {}, `${CASES[name] ?? sentence(name)}: `, node("strong", { className, textContent: does.toLowerCase() }), lightest && lightest.more_g > 0 ? `, ${figures.mass(lightest.more_g)} more would do` : ""), inside));
  }

  #say(text) {
    this.root.replaceChildren(node("p", { role: "status", textContent: text }));
  }
}

export { BadNight };
