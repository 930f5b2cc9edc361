/** The next lightest kits, and what each costs and gives against the first. */

import { joined } from "../parts/listing.js";
import { node } from "../parts/node.js";
import { idsOf } from "./naming.js";

const BETTER = { tools: "fewer tools", price: "cheaper", length: "shorter to pack", loss: "does all the work after the loss of any tool", backup: "two tools for each need" };
const LEAST_MIN = 0.05; // told to one decimal

function difference(kit, figures) {
  const minutes = Math.abs(kit.more_min_per_day);
  const time = minutes < LEAST_MIN ? "the same time" : `${figures.minutes(minutes)} a day ${kit.more_min_per_day > 0 ? "more" : "less"}`;
  const grams = kit.more_g < 0 ? `${figures.mass(-kit.more_g)} less` : kit.more_g > 0 ? `${figures.mass(kit.more_g)} more` : "as heavy";
  return `${grams}, ${time}`;
}

/** What it gives that its minutes and grams do not tell. */
function better({ better_in: ways }) {
  const told = ways.filter((way) => way in BETTER).map((way) => BETTER[way]);
  return told.length ? `; ${joined(told)}` : "";
}

class NextKits {
  /** `onCompare` is given the ids of a kit to set beside the answer. */
  constructor(root, onCompare) {
    Object.assign(this, { root, onCompare });
    this.wait();
  }

  wait() {
    this.root.replaceChildren(node("p", { textContent: "Searching for the next lightest kits …" }));
  }

  fail(title) {
    this.root.replaceChildren(node("p", { textContent: `${title}.` }));
  }

  show({ alternatives, status, share }, figures, naming) {
    const lines = alternatives.map((kit) => {
      const beside = node("button", { type: "button", className: "small", textContent: "Set beside" });
      beside.addEventListener("click", () => this.onCompare(idsOf(kit.tools)));
      return node("li", {}, node("strong", { textContent: figures.mass(kit.mass_g) }), ` ${naming.tools(idsOf(kit.tools))}`, node("br"), node("span", { className: "help", textContent: `${difference(kit, figures)}${better(kit)} ` }), beside);
    });
    const none = node("p", { textContent: status === "uncovered" ? "No kit covers the whole trip, so there are no next ones." : this.#none(share) });
    this.root.replaceChildren(lines.length ? node("ol", { className: "kits" }, ...lines) : none);
  }

  #none(share) {
    const held = share.some((one) => one.carries_at_most_g !== null) ? "its limits and what each member carries" : "its limits";
    return `No other kit within ${held} is better than this one in anything.`;
  }
}

export { NextKits };
