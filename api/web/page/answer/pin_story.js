/** How far each figure may change before another kit is the lightest, in plain words. */

import { node } from "../parts/node.js";
import { idsOf, sentence } from "./naming.js";

const LARGEST_MM = 3000; // the service's range of a diameter: beyond it nothing is asked
const REACH = { split: "splits", saw: "saws", carve: "carves", chop: "chops" };

class PinStory {
  #ends = null; // what is told of the assumptions: it may come later than the rest

  constructor(root) {
    this.root = root;
    this.wait();
  }

  wait() {
    this.root.replaceChildren(node("p", { textContent: "Checking how far each figure may change …" }));
  }

  fail(title) {
    this.root.replaceChildren(node("p", { textContent: `${title}.` }));
  }

  show(answer, figures, naming) {
    if (!answer.pins) {
      this.root.replaceChildren(node("p", { textContent: "This is known only for a kit that covers the whole trip. See what is missing." }));
      return;
    }
    const told = [
      ["The tools", answer.kit.tools.map((tool) => this.#tool(tool, answer.pins, figures, naming))],
      ["The work", answer.needs.map((need) => this.#need(need, answer.pins, figures, naming)).filter(Boolean)],
    ].filter(([, lines]) => lines.length);
    const parts = told.flatMap(([title, lines]) => [node("h3", { textContent: title }), node("ul", {}, ...lines.map((line) => node("li", { textContent: line })))]);
    this.#ends = this.#assumed(answer, figures, naming);
    this.root.replaceChildren(...parts, this.#ends, this.#proof(answer, figures, naming));
  }

  /** Put what the assumptions change in its place, and leave the rest as the reader has it. */
  showEnds(answer, figures, naming) {
    const before = this.#ends;
    this.#ends = this.#assumed(answer, figures, naming);
    before.replaceWith(this.#ends);
  }

  #tool(tool, pins, figures, naming) {
    const pin = pins.tools.find((one) => one.id === tool.id);
    const name = naming.tool(tool.id);
    const grows = pin.mass_may_grow_g;
    const weight = grows === null ? "stays in the kit whatever it weighs" : grows > 0 ? `stays in the kit until it weighs ${figures.mass(grows)} more` : "would leave the kit if it weighed more";
    const falls = pin.abilities
      .filter((one) => one.max_may_fall_to_mm > 0)
      .map((one) => `${REACH[one.task]} ${figures.length(one.max_may_fall_to_mm)} (now ${figures.length(one.max_mm)})`);
    return falls.length ? `${name} ${weight}, as long as it ${falls.join(" and ")}.` : `${name} ${weight}.`;
  }

  #need(need, pins, figures, naming) {
    const pin = pins.needs.find((one) => one.id === need.id);
    const parts = [];
    if (pin && pin.may_grow_to_mm >= LARGEST_MM) parts.push("at any thickness this kit stays the lightest");
    else if (pin && pin.may_grow_to_mm > pin.diameter_mm) parts.push(`up to ${figures.length(pin.may_grow_to_mm)} this kit stays the lightest`);
    else if (pin) parts.push("if it were thicker, another kit would be the lightest");
    if (typeof need.price_g === "number" && need.price_g > 0) parts.push(`without it the kit would weigh ${figures.mass(need.price_g)} less`);
    return parts.length ? `${naming.need(need, figures)}: ${parts.join("; ")}.` : null;
  }

  #assumed({ pins, assumptions, kit, not_settled: left, failed }, figures, naming) {
    if (failed) return node("p", { textContent: `What the assumptions change is not known. ${failed}.` });
    if (!pins.assumptions) return node("p", { textContent: "Checking what the assumptions change …" });
    if (left.includes("assumption_pins")) return node("p", { textContent: "The time allowed did not suffice to check what the assumptions change." });
    const now = idsOf(kit.tools).sort().join();
    const moved = pins.assumptions.filter((pin) => pin.changes).map((pin) => {
      const { used_for: what, unit } = assumptions.find((one) => one.id === pin.id);
      const say = (value, brief) => {
        if (brief && [...brief.ids].sort().join() === now) return null;
        const result = brief ? `${naming.tools(brief.ids)} (${figures.mass(brief.mass_g)})` : "no kit within the limits";
        return `at ${naming.figure(value, unit)}: ${result}`;
      };
      const ends = [say(pin.low, pin.at_low), say(pin.high, pin.at_high)].filter(Boolean);
      return `${sentence(naming.told(what))}, ${ends.join("; ")}.`;
    });
    const all = pins.assumptions.filter((pin) => !pin.yours).length;
    if (!moved.length) return node("p", { textContent: `This kit stays the lightest over the whole band of each of the ${all} assumptions.` });
    const summary = `${moved.length} of ${all} assumptions can change the kit within their band`;
    return node("details", {}, node("summary", { textContent: summary }), node("ul", {}, ...moved.map((line) => node("li", { textContent: line }))));
  }

  /** The proof as the service words it, with names for ids, and figures as the reader has them. */
  #proof({ proof, needs }, figures, naming) {
    const told = proof.facts.reduce((text, fact) => {
      const need = needs.find(({ id }) => id === fact.need);
      return need ? text.replace(fact.text, () => fact.text.replace(fact.need, () => naming.need(need, figures))) : text;
    }, proof.text);
    const text = sentence(naming.told(told));
    return node("details", {}, node("summary", { textContent: "Why no lighter kit works" }), node("p", { textContent: text }));
  }
}

export { PinStory };
