/** The one step up: much less work for few grams. */

import { node } from "../parts/node.js";

class Upgrades {
  /** The best stands in `root`, the rest in `others`; `onTake` is given the ids of a kit to carry. */
  constructor(root, others, onTake) {
    Object.assign(this, { root, others, onTake });
  }

  hide() {
    this.root.hidden = this.others.hidden = true;
  }

  show({ upgrades, kit }, figures, naming) {
    this.root.hidden = !upgrades.length;
    if (!upgrades.length) return;
    const [best, ...others] = [...upgrades].sort((a, b) => b.saves_min_per_day - a.saves_min_per_day);
    this.others.hidden = !others.length;
    this.others.replaceChildren(node("h3", { textContent: "Other steps up that save much work" }), node("ul", {}, ...others.map((one) => node("li", {}, ...this.#told(one, kit, figures, naming)))));
    this.root.replaceChildren(node("h2", { id: "better-title", className: "quiet", textContent: "Worth its weight" }), node("p", {}, ...this.#told(best, kit, figures, naming)));
  }

  #told({ add, leave, more_g: more, saves_min_per_day: saves }, kit, figures, naming) {
    const take = node("button", { type: "button", className: "small", textContent: "Take it" });
    const kept = kit.tools.map(({ id }) => id).filter((id) => !leave.includes(id));
    take.addEventListener("click", () => this.onTake([...kept, ...add]));
    const what = `${naming.briefs(add)}${leave.length ? " instead" : " too"}`;
    return [node("strong", { textContent: `${figures.mass(more)} more saves ${figures.minutes(saves)} a day` }), `: ${what}. `, take];
  }
}

export { Upgrades };
