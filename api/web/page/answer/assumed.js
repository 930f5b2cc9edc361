/** What is assumed, not known: every figure with its band. */

import { node } from "../parts/node.js";
import { sentence } from "./naming.js";

class Assumed {
  constructor(root) {
    this.root = root;
  }

  show({ assumptions }, figures, naming) {
    const lines = assumptions.map((one) => {
      const band = `(${one.yours ? "yours; assumed " : ""}${naming.range(one.low, one.high, one.unit)})`;
      return node("li", {}, `${sentence(naming.told(one.used_for))}: ${naming.figure(one.value, one.unit)} `, node("span", { className: "help", textContent: band }));
    });
    this.root.replaceChildren(node("ul", {}, ...lines));
  }
}

export { Assumed };
