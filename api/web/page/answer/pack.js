/** The pack, heaviest first, each tool with why it is there; who carries what; what is done without a tool. */

import { node } from "../parts/node.js";
import { logEnd } from "../plots/log_end.js";
import { quickestOf } from "./headline.js";
import { copies, massOf, sentence, words } from "./naming.js";
import { because, leftLying, toldUse, usesOf } from "./uses.js";

const LEAST_MIN = 0.05; // told to one decimal
const PARTS_OF_A_DAY = ["cutting", "handling", "gathering", "rest"];


class Pack {
  constructor(root) {
    this.root = root;
  }

  show(answer, trip, figures, naming) {
    const { tools, methods } = answer.kit;
    this.root.hidden = false;
    const kit = tools.map(({ id }) => id).join();
    const open = kit === this.kit ? [...this.root.querySelectorAll("details[open]")].map(({ id }) => id) : [];
    this.kit = kit;
    const rows = [...tools].sort((a, b) => massOf(b) - massOf(a)).map((tool) => this.#tool(answer, tool, figures, naming));
    this.root.replaceChildren(
      node("h2", { id: "pack-title", textContent: quickestOf(answer) ? "The quickest kit, whatever it weighs" : "In the pack" }),
      rows.length ? node("ul", { className: "tools-taken" }, ...rows) : node("p", { textContent: answer.status === "uncovered" ? "No tool." : "Nothing has to be carried." }),
      ...this.#left(leftLying(answer, trip, figures)),
      ...this.#hearth(answer, figures),
      node("details", { id: "who-how" }, node("summary", { textContent: this.#told(answer, figures) }), ...this.#shares(answer, figures, naming), ...this.#without(answer, methods, figures, naming), ...this.#day(answer, figures)),
    );
    for (const id of open) this.root.querySelector(`#${CSS.escape(id)}`)?.setAttribute("open", "");
  }

  #tool(answer, tool, figures, naming) {
    const uses = usesOf(answer, tool.id, figures, naming);
    const count = copies(tool);
    const named = naming.brief(tool.id); // the rest is told where it is opened
    const name = count === 1 ? named : `${figures.format(count)} × ${named}`;
    const [tight] = uses;
    const head = [
      tight ? logEnd(tight) : node("span", { className: "log-end" }),
      node("span", { className: "name" }, node("strong", { textContent: name }), node("span", { className: "help", textContent: because(answer, tool, uses, figures, naming) })),
      node("span", { className: "grams", textContent: figures.mass(massOf(tool)) }),
    ];
    const whole = naming.tool(tool.id);
    const lines = [...(named === whole ? [] : [`${whole}.`]), ...uses.map((use) => toldUse(use, figures))];
    if (tool.does?.includes("knife")) lines.push("Stays in the pack as the knife.");
    if (count > 1) lines.push(`${figures.mass(tool.mass_g)} each.`);
    if (typeof tool.price_g === "number") lines.push(`Left at home, the lightest kit weighs ${figures.mass(tool.price_g)} more.`);
    const inside = node("ul", {}, ...lines.map((line) => node("li", { textContent: line })));
    return node("li", {}, node("details", { id: `of-${tool.id}` }, node("summary", {}, ...head), inside));
  }

  #shares({ share }, figures, naming) {
    if (share.length < 2) return [];
    const lines = share.map(({ ids, mass_g: mass, name, spare_g: spare }, place) => {
      const limit = spare === null ? "" : spare < 0 ? `, ${figures.mass(-spare)} too much` : spare === 0 ? ", no more" : `, could carry ${figures.mass(spare)} more`;
      return node("li", {}, node("strong", { textContent: `${name ?? `Person ${place + 1}`}: ${figures.mass(mass)}` }), `${limit}. ${ids.length ? sentence(naming.tools(ids)) : "Nothing"}`);
    });
    return [node("h3", { textContent: "Who carries what" }), node("ul", { id: "shares" }, ...lines)];
  }

  /** What the trip need not burn: else a reader would miss it among the tools' work. */
  #left(told) {
    return told ? [node("p", { className: "help", id: "left-lying", textContent: told })] : [];
  }

  /** What the wood burns in, where it takes pieces of a size or has grams of its own. */
  #hearth({ hearth }, figures) {
    if (!hearth?.name || !(hearth.mass_g > 0 || hearth.longest_mm)) return [];
    const long = hearth.longest_mm ? ` and ${figures.length(hearth.longest_mm)} long` : "";
    const own = hearth.mass_g > 0 ? ` It weighs some ${figures.mass(hearth.mass_g)} (${figures.mass(hearth.mass_low_g)} to ${figures.mass(hearth.mass_high_g)}), which the kit does not count.` : "";
    return [node("p", { className: "help", textContent: `${sentence(hearth.name)}: pieces up to ${figures.length(hearth.thickest_mm)} thick${long}.${own}` })];
  }

  #without(answer, methods, figures, naming) {
    const gather = answer.needs.find((need) => need.task === "gather" && need.minutes_per_day !== null);
    const lines = methods.flatMap((id) => {
      const uses = usesOf(answer, id, figures, naming).map((use) => node("li", { textContent: `${naming.tool(id)}: ${use.does} ${use.what}, ${figures.minutes(use.minutes)} a day.` }));
      return uses.length ? uses : [node("li", { textContent: `${sentence(words(naming.tool(id)))}.` })];
    });
    if (gather) lines.push(node("li", { textContent: `Gather ${figures.firewood(gather.per_day)} of firewood a day: ${figures.minutes(gather.minutes_per_day)}.` }));
    return lines.length ? [node("h3", { textContent: "Without a tool" }), node("ul", { id: "without" }, ...lines)] : [];
  }

  /** What the minutes of a day are spent on. */
  #day({ kit }, figures) {
    const parts = PARTS_OF_A_DAY.filter((part) => (kit.minutes?.[part] ?? 0) >= LEAST_MIN).map((part) => node("li", { textContent: `${sentence(part)}: ${figures.minutes(kit.minutes[part])} a day.` }));
    return parts.length ? [node("h3", { textContent: "Minutes of the whole party" }), node("ul", { id: "day-parts" }, ...parts)] : [];
  }

  #told({ share }, figures) {
    if (share.length < 2) return "What needs no tool, and the minutes";
    return `Who carries what: at most ${figures.mass(Math.max(...share.map((one) => one.mass_g)))} each`;
  }
}

export { Pack };
