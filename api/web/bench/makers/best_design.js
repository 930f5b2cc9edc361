/** The best measures for a trip, or for the trips of a population: a search, its front, and a way to draw what it found. */

import { percent } from "./adoption_picture.js";
import { node, shape } from "../dom.js";
import { grams, margin } from "../figures.js";
import { digits } from "../../page/parts/digits.js";
import { askLong, LongAsk } from "./long_ask.js";

const DRAWN = 12; // trips of a population: each design is weighed on each of them
const TRIES = 150; // of a search that a person waits for
const [WIDE, HIGH, LEFT, BELOW, ABOVE] = [320, 190, 52, 30, 14];
const TIGHT = 0.1; // judged: a margin below it is told as tight

class BestDesign {
  /** `asked` gives the design that is shown and the trip; `draw` puts a design in its place. */
  constructor(root, { populations, asked, draw }) {
    Object.assign(this, { populations, asked, draw });
    const option = (value, textContent) => node("option", { value, textContent });
    this.whose = node("select", { id: "best-whose" }, option("", "The trip above"), ...populations.map(({ id, name }) => option(id, `${DRAWN} trips of ${name.replace(/^Invented: /, "")} (invented)`)));
    this.long = new LongAsk("Search the best measures", (signal) => this.#go(signal));
    this.told = node("div", { id: "best-told" });
    this.whose.addEventListener("change", () => this.age());
    root.append(node("div", { className: "field" }, node("label", { htmlFor: this.whose.id, textContent: "For" }), this.whose), ...this.long.parts, this.told);
  }

  /** The drawing that is shown is asked for when a search begins. */
  show() {}

  /** What was found is of another drawing or of another trip. */
  age() {
    this.long.stop();
    if (!this.told.childElementCount) return;
    this.told.replaceChildren();
    this.long.say("Something has changed. Search again.");
  }

  async #go(signal) {
    const { design, trip } = this.asked();
    const people = this.populations.find(({ id }) => id === this.whose.value);
    this.long.say("Trying designs …");
    const priced = "bill" in design ? design : { ...design, making: design.making ?? {} };
    const trips = people ? { population: people, count: DRAWN } : { trips: [{ trip }] };
    const answer = await askLong("/v1/designs/best", { design: priced, tries: TRIES, ...trips }, signal, ({ solves, seconds }) => {
      this.long.say(`Trying designs: ${digits(solves, 0)} kits in ${Math.round(seconds)} s …`);
    });
    this.long.say(answer.not_settled.length ? `Ended early: ${answer.not_settled.join(", ")}.` : "");
    this.#tell(answer);
  }

  #tell({ best, design, front, holding, tried, share, stock, trips, status, not_settled: early }) {
    if (status !== "found") {
      const why = status === "no_design" ? `None of ${tried} designs tried holds and keeps the usual limits.` : "No kit with a design tried does the work of any of these trips.";
      this.told.replaceChildren(node("p", { textContent: why }));
      return;
    }
    const kits = trips.length === 1 ? "the lightest kit" : `the lightest kits of ${trips.length} trips on average`;
    const goes = trips.length === 1 ? "" : ` It goes on ${percent(share)} of them.`;
    const gains = best.saved_g > 0 ? `${grams(best.saved_g)} off ${kits}` : "Nothing saved";
    const told = best.saved_g > 0 ? `The design weighs ${grams(best.design_g)}.${goes}` : `No design tried makes ${kits} lighter. The nearest weighs ${grams(best.design_g)}.`;
    const take = node("button", { type: "button", className: "small", textContent: "Draw it" });
    take.addEventListener("click", () => this.draw(design));
    const sold = stock.filter(({ found }) => found).map(({ thickness_mm: thick, found }) => node("li", { textContent: `${thick} mm: ${grams(found.saved_g)} saved at ${grams(found.design_g)}` }));
    const list = (title, rows) => (rows.length ? [node("h3", { textContent: title }), node("ul", {}, ...rows)] : []);
    this.told.replaceChildren(
      node("p", {}, node("strong", { className: "big", textContent: gains })),
      node("p", { textContent: `${told} The best of ${digits(tried, 0)} tried: a search, no proof that there is none better.${early.length ? " It ended early." : ""}` }),
      node("p", { className: "row" }, take),
      ...(front.length > 1 ? [this.#picture(front, best), node("p", { className: "help", textContent: `Each dot is a design that none beats in mass, grams saved, strength and price. Ringed: the one above. Hollow: less than ${percent(TIGHT)} strength to spare.` }), this.#table(front)] : []),
      ...list("What holds it", holding.map(({ text }) => node("li", { textContent: text }))),
      ...list("In steel of a thickness that is sold", sold));
  }

  #table(front) {
    const cells = front.map((one) => [grams(one.design_g), grams(one.saved_g), one.margin === null ? "–" : margin(one.margin), one.price === null ? "–" : one.price.toFixed(0)]);
    const line = (texts, name) => node("tr", {}, ...texts.map((textContent) => node(name, { textContent, ...(name === "th" ? { scope: "col" } : {}) })));
    return node("details", {}, node("summary", { textContent: "As a table" }), node("div", { className: "scroll" }, node("table", {}, node("thead", {}, line(["Design", "Saved", "Strength", "Cost"], "th")), node("tbody", {}, ...cells.map((texts) => line(texts, "td"))))));
  }

  /** Grams saved over the mass of the design. */
  #picture(front, best) {
    const span = (values) => {
      const [least, most] = [Math.min(...values), Math.max(...values)];
      const room = Math.max(most - least, most / 20, 1) / 10;
      return [least - room, most + room];
    };
    const [left, right] = span(front.map((one) => one.design_g));
    const [bottom, top] = span(front.map((one) => one.saved_g));
    const x = (value) => LEFT + ((WIDE - LEFT - ABOVE) * (value - left)) / (right - left);
    const y = (value) => HIGH - BELOW - ((HIGH - BELOW - ABOVE) * (value - bottom)) / (top - bottom);
    const text = (content, given) => {
      const made = shape("text", { class: "said", ...given });
      made.textContent = content;
      return made;
    };
    const [least, most] = [Math.min(...front.map((one) => one.saved_g)), Math.max(...front.map((one) => one.saved_g))];
    const [lightest, heaviest] = [Math.min(...front.map((one) => one.design_g)), Math.max(...front.map((one) => one.design_g))];
    return shape("svg", { viewBox: `0 0 ${WIDE} ${HIGH}`, class: "shares", role: "img", "aria-label": `Grams saved over the mass of ${front.length} designs, from ${grams(lightest)} to ${grams(heaviest)}` },
      shape("path", { class: "axis", d: `M${LEFT} ${ABOVE} V${HIGH - BELOW} H${WIDE - ABOVE}` }),
      ...(most > least ? [least, most] : [least]).map((value) => text(grams(value), { x: LEFT - 5, y: y(value) + 4, "text-anchor": "end" })),
      text("saved", { x: LEFT - 5, y: HIGH - BELOW + 4, "text-anchor": "end" }),
      text(grams(lightest), { x: x(lightest), y: HIGH - ABOVE, "text-anchor": "middle" }),
      ...(heaviest > lightest ? [text(grams(heaviest), { x: x(heaviest), y: HIGH - ABOVE, "text-anchor": "middle" })] : []),
      text("packed mass of the design", { x: (LEFT + WIDE - ABOVE) / 2, y: HIGH - 2, "text-anchor": "middle" }),
      ...front.map((one) => shape("circle", { class: one.margin !== null && one.margin < TIGHT ? "offer near" : "offer dot", cx: x(one.design_g).toFixed(1), cy: y(one.saved_g).toFixed(1), r: 4 })),
      shape("circle", { class: "offer offer-0 near", cx: x(best.design_g).toFixed(1), cy: y(best.saved_g).toFixed(1), r: 8 }));
  }
}

export { BestDesign };
