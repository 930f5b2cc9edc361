/** Trips with a name, kept on this device: open one, keep this one, let one go. */

import { node } from "../parts/node.js";
import { HalfTyped } from "./half_typed.js";
import { recall, remember, TRIPS } from "./memory.js";

const LONGEST = 200; // characters of a name that the service takes

class KeptTrips {
  /** `tripOf` gives the trip of the form; `onOpen` is given one to show. */
  constructor(root, { tripOf, onOpen }) {
    Object.assign(this, { root, tripOf, onOpen });
    this.told = node("p", { className: "help", role: "status" });
    this.name = node("input", { type: "text", id: "trip-name", maxLength: LONGEST });
    this.list = node("ul", { className: "kept" });
    const keep = node("button", { type: "button", textContent: "Keep this trip" });
    keep.addEventListener("click", () => this.#keep());
    root.append(this.list, node("div", { className: "ask" }, node("div", { className: "field" }, node("label", { htmlFor: this.name.id, textContent: "A name for this trip" }), this.name), keep), this.told);
    this.#draw();
    this.half = new HalfTyped(root);
  }

  get #trips() {
    const kept = recall(TRIPS);
    return Array.isArray(kept) ? kept.filter((one) => typeof one?.name === "string" && typeof one.trip === "object" && one.trip !== null) : [];
  }

  #say(told) {
    this.told.textContent = told;
  }

  #keep() {
    const name = this.name.value.trim();
    if (!name) {
      this.#say("Give the trip a name first.");
      this.name.focus();
      return;
    }
    const others = this.#trips.filter((one) => one.name !== name);
    const kept = remember(TRIPS, [...others, { name, trip: { ...this.tripOf(), name } }]);
    this.#say(kept ? `Kept on this device: ${name}.` : "This browser keeps nothing. Copy the link instead.");
    this.#draw();
  }

  #letGo(name) {
    remember(TRIPS, this.#trips.filter((one) => one.name !== name));
    this.#say(`Removed from this device: ${name}.`);
    this.#draw();
    this.name.focus();
  }

  #draw() {
    const lines = this.#trips.map(({ name, trip }) => {
      const open = node("button", { type: "button", textContent: name });
      const remove = node("button", { type: "button", className: "remove", textContent: "Remove", "aria-label": `Remove ${name}` });
      open.addEventListener("click", () => this.onOpen(trip));
      remove.addEventListener("click", () => this.#letGo(name));
      return node("li", {}, open, remove);
    });
    this.list.hidden = !lines.length;
    this.list.replaceChildren(...lines);
  }
}

export { KeptTrips };
