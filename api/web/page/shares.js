/** Who carries what: the tools of each of the party, with the name of each where the trip gives it. */

import { node } from "./kitwright.js";

class Shares {
  /** `root` is hidden, with its heading, where there is nothing to share out. */
  constructor(root) {
    this.root = root;
    this.card = root.closest("section");
  }

  show({ share }, figures, naming) {
    this.card.hidden = !share.length;
    const lines = share.map(({ ids, mass_g: mass, name, spare_g: spare }, place) =>
      node("li", {}, node("strong", { textContent: `${name ?? `Person ${place + 1}`}: ${figures.mass(mass)}` }), ...this.#spare(spare, figures), node("br"), naming.tools(ids)),
    );
    this.root.replaceChildren(node("ul", { className: "kits" }, ...lines));
  }

  /** How far below, or above, what someone may carry. */
  #spare(spare, figures) {
    if (spare === null) return [];
    return [spare < 0 ? `, ${figures.mass(-spare)} too much` : `, could carry ${figures.mass(spare)} more`];
  }
}

export { Shares };
