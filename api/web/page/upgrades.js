/** Kits that save much work for few grams. */

import { node } from "./kitwright.js";

class Upgrades {
  constructor(root) {
    this.root = root;
    this.wait();
  }

  wait() {
    this.root.replaceChildren(node("p", { textContent: "Searching for quicker kits …" }));
  }

  fail(title) {
    this.root.replaceChildren(node("p", { textContent: `${title}.` }));
  }

  show({ upgrades }, figures, naming) {
    const lines = upgrades.map(({ add, leave, more_g: more, saves_min_per_day: saves }) =>
      node("li", {}, node("strong", { textContent: `${figures.mass(more)} more, ${figures.minutes(saves)} a day less` }), node("br"), leave.length ? `${naming.tools(add)} instead of ${naming.tools(leave)}` : `Add ${naming.tools(add)}`),
    );
    const none = node("p", { textContent: "No kit saves much of the work for few grams." });
    this.root.replaceChildren(lines.length ? node("ul", { className: "kits" }, ...lines) : none);
  }
}

export { Upgrades };
