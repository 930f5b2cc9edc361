/** The next lightest kits, and what each costs and gives against the first. */

import { node } from "./kitwright.js";

const LEAST_MIN = 0.05; // told to one decimal

function difference(kit, figures) {
  const minutes = Math.abs(kit.more_min_per_day);
  const time = minutes < LEAST_MIN ? "the same time" : `${figures.minutes(minutes)} a day ${kit.more_min_per_day > 0 ? "more" : "less"}`;
  return `${figures.mass(kit.more_g)} more, ${time}`;
}

class NextKits {
  constructor(root) {
    this.root = root;
    this.wait();
  }

  wait() {
    this.root.replaceChildren(node("p", { textContent: "Searching for the next lightest kits …" }));
  }

  fail(title) {
    this.root.replaceChildren(node("p", { textContent: `${title}.` }));
  }

  show({ alternatives }, figures, naming) {
    const lines = alternatives.map((kit) =>
      node("li", {}, node("strong", { textContent: figures.mass(kit.mass_g) }), ` ${naming.tools(kit.tools.map((tool) => tool.id))}`, node("br"), node("span", { className: "help", textContent: difference(kit, figures) })),
    );
    const none = node("p", { textContent: "No other kit covers the trip within its limits." });
    this.root.replaceChildren(lines.length ? node("ol", { className: "kits" }, ...lines) : none);
  }
}

export { NextKits };
