/** Cautions: those of this kit and this weather first, a sentence each; the rest, and all of them in full, folded. */

import { node } from "../parts/node.js";

const EVERYWHERE = ["defer", "law-blades", "air-travel", "live-wood", "fire-rules", "cover-edges", "camp-fire"]; // true of any trip
const FIRST = /^.{24,}?[.:](?=\s|$)/; // a sentence, or two where the first says little

const ofThisKit = (cautions) => cautions.filter(({ code }) => !EVERYWHERE.includes(code) && code !== "fire-not-allowed");

class Care {
  constructor(root) {
    this.root = root;
  }

  show({ cautions }, figures, naming) {
    const mine = ofThisKit(cautions);
    this.root.hidden = !cautions.length;
    const line = ({ text }) => node("li", { textContent: naming.told((text.match(FIRST)?.[0] ?? text).replace(/:$/, ".")) });
    this.root.replaceChildren(
      node("h2", { id: "care-title", textContent: "Take care" }),
      mine.length ? node("ul", {}, ...mine.map(line)) : node("p", { textContent: "Nothing beyond what holds for any blade and any fire." }),
      node("details", { id: "all-cautions" }, node("summary", { textContent: `All ${cautions.length} cautions in full` }), node("ul", {}, ...cautions.map(({ text }) => node("li", { textContent: naming.told(text) })))),
    );
  }
}

export { Care, ofThisKit };
