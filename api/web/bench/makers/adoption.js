/** Who wants it: the share of kits of a drawn tool, or of a pair, over many trips, with rivals, maps, and what it costs. */

import { ask } from "../ask.js";
import { mapTables, percent, sharePicture } from "./adoption_picture.js";
import { node } from "../dom.js";
import { FORMS } from "../fields.js";
import { grams } from "../figures.js";
import { digits } from "../../page/parts/digits.js";
import { askLong, LongAsk } from "./long_ask.js";

const COUNTS = [100, 300, 1000];
const FIRST = [50, 200]; // fewer trips are told first: they are the first of the many, and take little longer
const MOST_NAME = 80; // letters of an offer
const MOST_WHY = 4;
const USUAL = "weekend-open-fire"; // the population that is offered first

class Adoption {
  /** `asked` gives the design that is shown, the others, and the rivals by id. */
  constructor(root, { populations, asked, nameOf }) {
    Object.assign(this, { populations, asked, nameOf });
    const option = (value, textContent) => node("option", { value, textContent });
    this.whose = node("select", { id: "adoption-whose" }, ...populations.map(({ id, name }) => option(id, `${name.replace(/^Invented: /, "")} (invented)`)));
    if (populations.some(({ id }) => id === USUAL)) this.whose.value = USUAL;
    this.what = node("select", { id: "adoption-what" });
    this.many = node("select", { id: "adoption-many" }, ...COUNTS.map((count) => option(count, `${digits(count, 0)} trips`)));
    this.long = new LongAsk("Who wants it?", (signal) => this.#go(signal));
    this.told = node("div", { id: "adoption-told" });
    const field = (text, control) => node("div", { className: "field" }, node("label", { htmlFor: control.id, textContent: text }), control);
    for (const control of [this.whose, this.what, this.many]) control.addEventListener("change", () => this.age());
    root.append(node("div", { className: "fields" }, field("Whose trips", this.whose), field("What you offer", this.what), field("Of how many trips", this.many)), ...this.long.parts, this.told);
  }

  /** Offer the tool that is shown, alone or with another of the bench. */
  show() {
    const { design, others } = this.asked();
    const before = this.what.value;
    const name = FORMS[design.drawing.form].name.toLowerCase();
    this.what.replaceChildren(node("option", { value: "", textContent: `This ${name} alone` }), ...others.map((one) => node("option", { value: one.id, textContent: `This ${name} and ${this.nameOf(one.id)}, together` })));
    if (others.some(({ id }) => id === before)) this.what.value = before;
  }

  /** What was told is of another drawing, or of other trips. */
  age() {
    this.long.stop();
    if (!this.told.childElementCount) return;
    this.told.replaceChildren();
    this.long.say("Something has changed. Ask again.");
  }

  async #go(signal) {
    const { design, others, rivals } = this.asked();
    const other = others.find(({ id }) => id === this.what.value);
    const most = Number(this.many.value);
    const offer = other ? { name: `${this.nameOf(design.id)} and ${this.nameOf(other.id)}`.slice(0, MOST_NAME), pair: [{ design }, { design: other }] } : { name: this.nameOf(design.id), design };
    this.long.say("Planning the first trips …");
    const body = { ...offer, population: this.populations.find(({ id }) => id === this.whose.value), rivals: await this.#rivals(rivals, signal) };
    const costs = await Promise.all([design, ...(other ? [other] : [])].map((one) => this.#cost(one, signal)));
    let perTrip = null;
    for (const count of [...FIRST.filter((few) => few < most), most]) {
      let solved = 0;
      const answer = await askLong("/v1/designs/adoption", { ...body, count }, signal, ({ solves }) => {
        solved = solves;
        this.long.show(perTrip ? solved / (perTrip * count) : null);
        if (perTrip) this.long.say(`${this.long.reached} Going on to ${digits(count, 0)} trips …`);
      });
      if (solved) perTrip = solved / count;
      const part = answer.trips < count ? ` ${count - answer.trips} were not settled in the time of an answer.` : "";
      this.long.reached = `${digits(answer.trips, 0)} trips planned.${part}`;
      this.long.say(this.long.reached);
      this.#tell(answer, costs);
      if (answer.trips < count) return;
    }
  }

  /** Tools to compare with as offers: two are a pair, as they are carried. */
  async #rivals(ids, signal) {
    const rows = await Promise.all(ids.map((id) => ask(`/v1/tools/${encodeURIComponent(id)}`, null, signal)));
    if (rows.length === 2) return [{ name: rows.map(({ id }) => this.nameOf(id)).join(" and ").slice(0, MOST_NAME), pair: rows.map((tool) => ({ tool })) }];
    return rows.map((tool) => ({ name: this.nameOf(tool.id), tool }));
  }

  /** What a drawing costs its maker, by batch. */
  async #cost(design, signal) {
    const { making } = await ask("/v1/designs/score", "bill" in design ? design : { ...design, making: design.making ?? {} }, signal);
    return making ? { name: this.nameOf(design.id), ...making } : null;
  }

  #tell(answer, costs) {
    const share = `${percent(answer.low)} to ${percent(answer.high)}`;
    const most = Math.max(0, ...answer.curve.filter(({ adoption }) => adoption > 0).map((one) => one.mass_g));
    const twice = answer.doubles_at_g !== null ? ` ${grams(answer.doubles_at_g)} or less would double that.` : !answer.adoption && most ? ` The heaviest that one of the trips takes is ${grams(most)}.` : "";
    const never = ` ${percent(answer.never)} of the trips want it at no mass.`;
    const saved = answer.saves_taken_g ? ` Where it goes, it takes ${grams(answer.saves_taken_g)} off the kit on average.` : "";
    const why = answer.reasons.slice(0, MOST_WHY).map((one) => node("li", { textContent: `${percent(one.share)}: ${this.#whyText(one)}` }));
    const groups = answer.groups.map((one) => node("li", { textContent: `${one.name} (${one.trips} trips): ${percent(one.adoption)}; half of them ${this.#allows(one.median_allowance_g)}` }));
    const list = (title, rows) => (rows.length ? [node("h3", { textContent: title }), node("ul", {}, ...rows)] : []);
    this.told.replaceChildren(
      node("p", {}, node("strong", { className: "big", textContent: percent(answer.adoption) })),
      node("p", { textContent: `of the lightest kits of ${digits(answer.trips, 0)} trips hold ${answer.name} at ${grams(answer.mass_g)} (${share}).${twice}${saved}${never}` }),
      node("p", { className: "help", textContent: "A share of kits, not a sales forecast. The trips are drawn from an invented population." }),
      ...sharePicture([answer, ...answer.rivals]),
      node("h3", { textContent: "Where it is wanted" }),
      ...mapTables(answer.maps),
      ...list("Groups of trips", groups),
      ...list("Why the others do without", why),
      ...list("What it costs to make", costs.filter(Boolean).map((one) => node("li", { textContent: this.#costText(one) }))));
  }

  #whyText({ reason, text, median_allowance_g: most }) {
    return reason === "other_mass" && most !== null ? `They would want it lighter: half of them at ${grams(most)} or less.` : text;
  }

  #allows(most) {
    if (most === null) return "allow any mass";
    return most === 0 ? "want it at no mass" : `allow ${grams(most)}`;
  }

  #costText({ name, batches, per_piece_low: low, per_piece_high: high, pieces }) {
    const whole = (price) => Number(price).toFixed(0);
    const each = batches.map((one) => (one.pieces === 1 ? `${whole(one.per_piece)} for one` : `${whole(one.per_piece)} each of ${one.pieces}`)).join(", ");
    return `${name}: ${each}, with labour; ${pieces === 1 ? "one" : `each of ${pieces}`} from ${whole(low)} to ${whole(high)}, by judged prices and hours.`;
  }
}

export { Adoption };
