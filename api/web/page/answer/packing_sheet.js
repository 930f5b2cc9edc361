/** The packing sheet: what is printed, on one page that needs no colours. */

import { node } from "../parts/node.js";
import { ofThisKit } from "./care.js";
import { bannedOf, isPartial } from "./headline.js";
import { idsOf, massOf, sentence, words } from "./naming.js";
import { missing } from "./relief.js";
import { because, leftLying, usesOf } from "./uses.js";

const HUNDREDTH = 0.01;
const LEAST_MIN = 0.05; // told to one decimal
const MOST_ASSUMED = 6;
const MOST_LINK = 600; // characters: a longer one is no use on paper
const CUTS = { buck: "cut to length" };
const HEARTHS = { shielded: "in a pit or stone ring", "pot-stove": "in a stove for the pot", "tent-stove": "in a stove in the tent" };
const STATES = { "dead-dry": "dead and dry", "dead-wet": "dead, wet outside", green: "green" };

/** Cutting that the trip states, in words. */
function cutting({ task, diameter_mm: mm, per_day: often = 1 }, figures) {
  return `${figures.format(often)} × ${CUTS[task] ?? words(task)} ${figures.length(mm)} a day`;
}

/** The trip in a sentence. */
function tripLine(trip, figures, naming) {
  const { name, people = 1, nights = 1, air_c: air = 10, fire = {}, wood = {}, camp_work: jobs = [], tasks = [] } = trip;
  const warm = figures.us ? `${figures.format(air * 1.8 + 32, 0)} °F` : `${figures.format(air)} °C`;
  const burns = fire.allowed !== false && [fire.warmth_h, fire.drying_h, fire.hot_water_l_per_person].some(Boolean);
  const thick = burns && wood.diameters_mm?.length ? `, ${wood.diameters_mm.map((mm) => figures.length(mm)).join(" and ")} thick` : "";
  const told = [
    `${people} ${people === 1 ? "person" : "people"}, ${nights} ${nights === 1 ? "night" : "nights"}, ${warm}`,
    fire.warmth_h ? `fire for warmth ${figures.format(fire.warmth_h)} h a day` : "",
    fire.drying_h ? `fire to dry clothes ${figures.format(fire.drying_h)} h a day` : "",
    fire.hot_water_l_per_person ? `${naming.figure(fire.hot_water_l_per_person, "l")} of boiled water each a day${fire.melt_snow ? ", from snow" : ""}` : "",
    fire.allowed === false ? "no wood fire allowed" : burns ? (HEARTHS[fire.hearth] ?? "") : "no wood fire",
    burns || jobs.length || tasks.length ? `wood ${STATES[wood.state] ?? STATES["dead-dry"]}${thick}` : "",
    jobs.length ? `camp jobs: ${jobs.map(({ id, per_day: daily, per_trip: all }) => `${daily ?? all} × ${naming.work(id)}${daily === undefined ? "" : " a day"}`).join(", ")}` : "",
    tasks.length ? `other cutting: ${tasks.map((task) => cutting(task, figures)).join(", ")}` : "",
  ].filter(Boolean);
  return `${name ? `${name}: ` : ""}${told.join("; ")}.`;
}

class PackingSheet {
  constructor(root) {
    this.root = root;
  }

  clear() {
    this.root.replaceChildren();
  }

  show(answer, trip, link, figures, naming) {
    const { kit, share } = answer;
    const people = trip.people ?? 1;
    const carriers = (id) => share.filter(({ ids }) => ids.includes(id)).map(({ name }) => name ?? `Person ${share.findIndex(({ ids }) => ids.includes(id)) + 1}`);
    const rows = [...kit.tools].sort((a, b) => massOf(b) - massOf(a)).map((tool) => [
      "☐",
      tool.count > 1 ? `${tool.count} × ${naming.tool(tool.id)}` : naming.tool(tool.id),
      figures.mass(massOf(tool)),
      ...(people > 1 ? [carriers(tool.id).join(", ")] : []),
      because(answer, tool, usesOf(answer, tool.id, figures, naming), figures, naming),
    ]);
    const heads = ["", "Tool", "Mass", ...(people > 1 ? ["Carried by"] : []), "For"];
    const table = node("table", {}, node("thead", {}, node("tr", {}, ...heads.map((textContent) => (textContent ? node("th", { scope: "col", textContent }) : node("td"))))), node("tbody", {}, ...rows.map((cells) => node("tr", {}, ...cells.map((textContent) => node("td", { textContent }))))));
    const work = kit.work_min_per_day < LEAST_MIN ? "no wood work" : `${figures.minutes(kit.work_min_per_day / people)} of wood work a day${people > 1 ? " for each" : ""}`;
    const head = isPartial(answer) ? `NOT ALL OF THE TRIP IS COVERED. ${figures.mass(kit.mass_g)} for what can be done` : `${figures.mass(kit.mass_g)} packed`;
    const lacking = [...bannedOf(answer).map(({ text }) => naming.told(text)), ...answer.gaps.map((gap) => missing(gap, answer, figures, naming))];
    const left = leftLying(answer, trip, figures);
    this.root.replaceChildren(
      node("h1", { textContent: "Packing sheet: tools for wood" }),
      node("p", { textContent: tripLine(trip, figures, naming) }),
      node("p", {}, node("strong", { textContent: `${head}; ${work}.` })),
      ...this.#list("Missing", lacking),
      table,
      left ? node("p", { textContent: left }) : "",
      ...this.#list("Without a tool", kit.methods.map((id) => sentence(naming.tool(id)))),
      ...this.#list("Edges", this.#edges(kit.tools, trip, naming)),
      ...this.#list("Take care", [...ofThisKit(answer.cautions), ...answer.cautions.filter(({ code }) => ["law-blades", "fire-rules", "camp-fire", "cover-edges"].includes(code))].map(({ text }) => naming.told(text))),
      ...this.#list("Assumed, not known", this.#assumed(answer, figures, naming)),
      node("p", { className: "link" }, link.length > MOST_LINK ? node("a", { href: link, textContent: "This trip in the planner" }) : node("a", { href: link, textContent: link })),
    );
  }

  #list(title, lines) {
    return lines.length ? [node("h2", { textContent: title }), node("ul", {}, ...lines.map((textContent) => node("li", { textContent })))] : [];
  }

  /** When each edge wants sharpening: a life is spent evenly over the nights. */
  #edges(tools, { nights = 1 }, naming) {
    return tools
      .filter(({ lives_spent: spent }) => spent > 0)
      .map(({ id, lives_spent: spent, lives_spent_edge: edge, lives_spent_teeth: teeth }) => {
        if (Math.max(edge, teeth) <= 1) return `${naming.tool(id)}: sharp from home, it lasts the trip (${spent < HUNDREDTH ? "less than 1" : Math.round(spent / HUNDREDTH)} % of its edge).`;
        const days = Math.max(1, Math.floor(nights / spent));
        return `${naming.tool(id)}: sharpen every ${days === 1 ? "day" : `${days} days`}.`;
      });
  }

  /** Assumptions that decide: those that change the kit within their band, else how many there are. */
  #assumed({ assumptions, kit, pins }, figures, naming) {
    const now = idsOf(kit.tools).sort().join();
    const other = (brief) => !brief || [...brief.ids].sort().join() !== now;
    const moving = (pins?.assumptions ?? []).filter((pin) => pin.changes).map((pin) => ({ ...assumptions.find((one) => one.id === pin.id), ends: [[pin.low, pin.at_low], [pin.high, pin.at_high]].filter(([, brief]) => other(brief)).map(([value]) => value) })).filter(({ ends }) => ends.length);
    const lines = moving.slice(0, MOST_ASSUMED).map((one) => `${sentence(naming.told(one.used_for))}: ${naming.figure(one.value, one.unit)}; at ${one.ends.map((end) => naming.figure(end, one.unit)).join(" or ")} it would not be this kit.`);
    return [...lines, `${assumptions.length} figures are assumed in all; the planner lists them.`];
  }
}

export { PackingSheet, tripLine };
