/** What is assumed, not known: every figure with its band. */

import { node } from "../kitwright.js";
import { sentence } from "./naming.js";

class Assumed {
  constructor(root) {
    this.root = root;
  }

  show({ assumptions }, figures) {
    const number = (value) => figures.format(value, { maximumFractionDigits: 3 });
    const lines = assumptions.map((one) => {
      const unit = one.unit === "-" ? "" : ` ${one.unit}`;
      const band = `(${one.yours ? "yours; assumed " : ""}${number(one.low)} to ${number(one.high)})`;
      return node("li", {}, `${sentence(one.used_for)}: ${number(one.value)}${unit} `, node("span", { className: "help", textContent: band }));
    });
    this.root.replaceChildren(node("ul", {}, ...lines));
  }
}

export { Assumed };
