/** Two kits side by side for the trip: grams, minutes, what is left undone, how sure each is, price; and one is taken. */

import { post, Refusal } from "../device/service.js";
import { node } from "../parts/node.js";
import { odds } from "./headline.js";

const DRAWS = 64;

class SideBySide {
  /** `onTake` is given the ids of a kit to carry. */
  constructor(root, onTake) {
    Object.assign(this, { root, onTake });
    this.fold = root.closest("details");
  }

  hide() {
    this.fold.hidden = true;
  }

  /** Compare kits by their ids: the one of the answer, and another. */
  async show(mine, other, trip, figures, naming, signal) {
    this.fold.hidden = false;
    this.fold.open = true;
    this.root.replaceChildren(node("p", { role: "status", textContent: "Comparing …" }));
    this.fold.scrollIntoView({ block: "nearest" });
    try {
      const checks = await Promise.all([mine, other].map((ids) => this.#check(ids, trip, figures, signal)));
      if (!signal.aborted) this.#draw(checks, [mine, other], trip, figures, naming);
    } catch (error) {
      if (signal.aborted) return;
      if (!(error instanceof Refusal)) throw error;
      this.root.replaceChildren(node("p", { textContent: `${error.problem.title}.` }));
    }
  }

  #check(ids, trip, figures, signal) {
    const { must_carry: _, ...free } = trip;
    const sure = (trip.aim ?? "mass") === "mass" && !trip.robust ? { sure: { draws: DRAWS } } : {};
    return post("/v1/kits/check", { kit: ids, trip: { ...free, ...sure } }, figures.us ? "us" : "metric", signal);
  }

  #draw(checks, kits, trip, figures, naming) {
    const people = trip.people ?? 1;
    const rows = [
      ["Tools", ...kits.map((ids) => naming.briefs(ids))],
      ["Packed", ...checks.map(({ kit }) => figures.mass(kit.mass_g))],
      ["Work a day, each", ...checks.map(({ kit }) => figures.minutes(kit.work_min_per_day / people))],
      ["Does it all", ...checks.map(({ covered, gaps }) => (covered ? "yes" : `no: ${gaps.length} missing`))],
      ["Suffices in", ...checks.map(({ sure }) => (sure ? odds(sure.fresh.probability) : "not asked"))],
      ...(checks.some(({ kit }) => kit.price !== null) ? [["Price", ...checks.map(({ kit }) => (kit.price === null ? "not known" : figures.format(kit.price)))]] : []),
    ];
    const line = ([head, ...cells]) => node("tr", {}, node("th", { scope: "row", textContent: head }), ...cells.map((textContent) => node("td", { textContent })));
    const heads = node("tr", {}, node("td"), ...["This kit", "The other"].map((textContent) => node("th", { scope: "col", textContent })));
    const take = node("button", { type: "button", textContent: "Take the other" });
    take.addEventListener("click", () => this.onTake(kits[1], checks[1].kit.work_min_per_day));
    this.root.replaceChildren(node("div", { className: "scroll" }, node("table", {}, node("thead", {}, heads), node("tbody", {}, ...rows.map(line)))), node("p", { className: "actions" }, take));
  }
}

export { SideBySide };
