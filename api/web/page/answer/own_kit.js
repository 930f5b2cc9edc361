/** A kit of one's own, checked against the trip: does it do, how far is it from the lightest, what to swap first. */

import { node } from "../parts/node.js";
import { ReachPlot } from "../plots/reach_plot.js";
import { post, Refusal } from "../device/service.js";
import { missing } from "./relief.js";
import { ToolPicker } from "../trip/tool_picker.js";

class OwnKit {
  #answer = null;

  /** `tripOf` gives the trip of the form; `onRefusal` is given a problem. */
  constructor(root, tripOf, onRefusal) {
    Object.assign(this, { root, tripOf, onRefusal });
    this.picker = new ToolPicker("Tools in my pack");
    this.button = node("button", { type: "button", textContent: "Check my kit" });
    this.verdict = node("div", { className: "verdict", role: "status" });
    this.margins = node("div", { hidden: true });
    this.plot = new ReachPlot(this.margins);
    root.append(node("p", { textContent: "Tick the tools that you carry. See whether they cover the trip in the form." }), this.picker.root, node("p", { className: "actions" }, this.button), this.verdict, this.margins);
    this.button.addEventListener("click", () => this.check());
  }

  tell(figures, naming) {
    Object.assign(this, { figures, naming });
    this.picker.weigh((grams) => figures.mass(grams), (id) => naming.tool(id));
    if (this.#answer) this.#show(this.#answer);
  }

  async check() {
    this.verdict.replaceChildren(node("p", { textContent: "Checking …" }));
    try {
      this.#answer = await post("/v1/kits/check", { kit: this.picker.ids, trip: this.tripOf() }, this.figures.us ? "us" : "metric");
      this.#show(this.#answer);
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      this.margins.hidden = true;
      this.verdict.replaceChildren(node("p", { textContent: `${error.problem.title}. ${error.problem.detail ?? ""}` }));
      this.onRefusal(error.problem);
    }
  }

  #show(answer) {
    const { figures } = this;
    const { kit, covered, gaps, cautions } = answer;
    const banned = cautions.filter((caution) => caution.code === "fire-not-allowed");
    const does = banned.length ? "It covers what needs no fire" : "It covers the trip";
    const head = `${covered ? does : "It does not cover the trip"}: ${figures.mass(kit.mass_g)}, ${figures.minutes(kit.work_min_per_day)} of wood work a day.`;
    const lines = [...banned.map(({ text }) => this.naming.told(text)), ...gaps.map((gap) => missing(gap, answer, figures, this.naming)), ...this.#against(answer)];
    this.verdict.replaceChildren(node("p", { className: covered ? "does" : "fails" }, node("strong", { textContent: head })), node("ul", {}, ...lines.map((line) => node("li", { textContent: line }))));
    this.margins.hidden = false;
    this.plot.show(answer, figures, this.naming);
  }

  #against({ covered, lightest, over_lightest_g: over, first_swap: swap }) {
    const { figures, naming } = this;
    const lines = [];
    if (lightest && over !== null) {
      const other = over > 0 ? `weighs ${figures.mass(over)} less` : over < 0 ? `weighs ${figures.mass(-over)} more` : "weighs as much";
      lines.push(covered && over <= 0 ? "No lighter kit does the same." : `The lightest kit that covers the trip ${other}: ${naming.tools(lightest.ids)}.`);
    }
    if (swap) lines.push(this.#swap(swap));
    return lines;
  }

  #swap({ out, into, saves_g: saves }) {
    const { figures, naming } = this;
    const change = out && into ? `${naming.tool(into)} instead of ${naming.tool(out)}` : out ? `leave ${naming.tool(out)} at home` : `take ${naming.tool(into)} too`;
    const gain = saves >= 0 ? `saves ${figures.mass(saves)}` : `adds ${figures.mass(-saves)}`;
    return `Best first change: ${change}. It ${gain}.`;
  }
}

export { OwnKit };
