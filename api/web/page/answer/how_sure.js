/** How sure the lightest kit is, the lightest that is sure enough, the biggest unknowns, and what to time first. */

import { node } from "../parts/node.js";
import { odds } from "./headline.js";

const MOST_UNKNOWNS = 4; // the largest first; the rest matters little

function list(title, rows) {
  if (!rows.length) return [];
  return [node("h3", { textContent: title }), node("ul", {}, ...rows.map((row) => node("li", { textContent: row })))];
}

class HowSure {
  constructor(root) {
    this.root = root;
    this.wait();
  }

  /** Say why nothing is asked. */
  leave(why) {
    this.root.replaceChildren(node("p", { textContent: why }));
  }

  wait() {
    this.root.replaceChildren(node("p", { role: "status", textContent: "Trying kits on figures that nobody knows exactly …" }));
  }

  fail(title) {
    this.root.replaceChildren(node("p", { textContent: `${title}.` }));
  }

  show(answer, figures, naming) {
    const { at_medians: assumed, at_confidence: sure, draws, confidence } = answer;
    const lines = [];
    if (assumed) lines.push(this.#line("If all is as assumed", assumed, figures, naming), ...assumed.fails.map((one) => node("p", { className: "help", textContent: naming.told(one.text) })));
    if (answer.longer_day) lines.push(node("p", { textContent: naming.told(answer.longer_day.text) }));
    if (!sure) lines.push(node("p", { textContent: naming.told(this.#none(answer)) }));
    else if (!assumed || sure.kit.ids.join() !== assumed.kit.ids.join()) lines.push(this.#line(answer.longer_day ? "Without a longer day" : "Sure enough", sure, figures, naming));
    if (answer.status === "feasible") lines.push(node("p", { className: "help", textContent: "A lighter kit may be as sure: the time allowed did not suffice to rule it out." }));
    const curve = answer.curve.map((step) => `${figures.mass(step.mass_g)} in ${Math.round(step.probability * draws)} of ${draws}: ${naming.tools(step.ids)}`);
    this.root.replaceChildren(
      ...lines,
      ...list("Biggest unknowns", answer.what_matters.slice(0, MOST_UNKNOWNS).map((one) => naming.told(one.text))),
      ...list("Time these first", answer.suggested_trials.map((one) => naming.told(one.text))),
      ...list("Grams against how often they do", curve),
      ...(answer.curve_exact_to_g === null ? [] : [node("p", { className: "help", textContent: `Beyond ${figures.mass(answer.curve_exact_to_g)} not every kit was looked at: a heavier one may do more often.` })]),
      node("p", { className: "help", textContent: `Rates, woods and scores were drawn ${draws} times from what is known of them; a kit is sure enough if it does in ${confidence} of these. How often it does was then counted in ${(sure ?? assumed)?.fresh.draws ?? draws} other draws.` }),
    );
  }

  #line(title, { kit, fresh }, figures, naming) {
    return node("p", {}, node("strong", { textContent: `${title}: ${figures.mass(kit.mass_g)}` }), ` ${naming.tools(kit.ids)}. It suffices in ${odds(fresh.probability)}.`);
  }

  #none({ status, gaps, confidence, draws }) {
    if (status === "not_settled") return "The time allowed did not suffice to find a kit that is sure enough.";
    return [`No kit in which each tool has work of its own suffices in ${confidence} of the ${draws} draws.`, ...gaps.map((gap) => gap.text)].join(" ");
  }
}

export { HowSure };
