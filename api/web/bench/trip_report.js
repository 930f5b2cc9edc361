/** What the drawn tools are worth on a trip: against other tools, what each may weigh, and the lightest kit with and without. */

import { node, shape } from "./dom.js";
import { grams, length, minutes, short, told } from "./figures.js";
import { joined } from "../page/parts/listing.js";

const capital = (text) => text[0].toUpperCase() + text.slice(1);

const namesOf = (tools, nameOf) => joined(tools.map(({ id }) => nameOf(id)));

/** What is missing, in words; ids give way to names. */
function gapText(gap, nameOf) {
  if (gap.kind === "limit" && gap.field === "work_min_per_day") return `The work takes ${short(gap.short_by)} minutes a day more than the trip allows.`;
  if (gap.kind === "need" && gap.field === "diameter_mm" && gap.closest) return `${told(gap.need.replace(/-(\d+)$/, " $1 mm").replaceAll("-", " "))}: ${nameOf(gap.closest)} comes closest, ${length(gap.short_by)} of wood short.`;
  return told(gap.text).replace(/\b[a-z]+(?:-[a-z0-9]+)+\b/g, (word) => nameOf(word));
}

function shortOf(answer, nameOf) {
  return node("ul", {}, ...answer.gaps.map((gap) => node("li", { textContent: gapText(gap, nameOf) })));
}

/** The headline, a sentence, and what is missing. */
function verdict({ own, rival, nameOf }) {
  const yours = own.kit.tools.length > 1 ? "Your tools" : "Your tool";
  const does = own.kit.tools.length > 1 ? "do" : "does";
  const time = minutes(own.kit.work_min_per_day);
  if (!rival) {
    return own.covered
      ? [grams(own.kit.mass_g), `${yours} ${does} this trip’s wood work in ${time} a day.`]
      : ["Not yet", `${yours} (${grams(own.kit.mass_g)}) can’t do all of this trip’s wood work.`, shortOf(own, nameOf)];
  }
  const less = rival.kit.mass_g - own.kit.mass_g;
  const difference = `${grams(Math.abs(less))} ${less < 0 ? "heavier" : "lighter"}`;
  const others = `${namesOf(rival.kit.tools, nameOf)}, ${grams(rival.kit.mass_g)}`;
  const these = `${yours} (${grams(own.kit.mass_g)})`;
  if (own.covered && rival.covered) return [difference, `${these} ${does} this trip’s wood work in ${time} a day. The others (${others}) take ${minutes(rival.kit.work_min_per_day)}.`];
  if (own.covered) return ["Yours alone", `${these} ${does} this trip’s wood work in ${time} a day, ${difference}. It is too much for the others (${others}):`, shortOf(rival, nameOf)];
  if (rival.covered) return ["Not yet", `${these}: ${difference}, but not enough for this trip. The others (${others}) do it in ${minutes(rival.kit.work_min_per_day)} a day. Still missing:`, shortOf(own, nameOf)];
  return ["Neither", `Neither ${these[0].toLowerCase()}${these.slice(1)} nor the others (${others}) can do all of this trip’s wood work. Yours lack:`, shortOf(own, nameOf)];
}

/** Mass and allowance on one line. */
function massLine(packed, most, sure) {
  const end = Math.max(packed, most, sure) * 1.05 || 1;
  const x = (value) => (100 * value) / end;
  return shape("svg", { viewBox: "0 0 100 14", class: "score tall", "aria-hidden": "true", preserveAspectRatio: "none" },
    shape("rect", { x: 0, y: 4, width: x(most), height: 6, class: "interval" }),
    shape("rect", { x: 0, y: 4, width: x(sure), height: 6, class: "sure" }),
    shape("rect", { x: x(packed) - 0.7, y: 0, width: 1.4, height: 14, class: packed > most ? "median bad" : "median" }));
}

function mayWeigh({ allowance, packed, design }) {
  const name = design.name ?? design.id;
  const [trip] = allowance.trips;
  if (allowance.allowance_g === null) return [node("p", { textContent: `${name}: ${trip?.text ?? allowance.reason}` })];
  const { allowance_g: most, allowance_p20_g: sure } = allowance;
  const over = packed - most;
  const state = over > 0 ? `${grams(over)} too heavy` : `${grams(-over)} to spare`;
  return [
    node("p", {}, node("strong", { textContent: `Up to ${grams(most)} packed` }), `, and it is in a lightest kit of this trip. It weighs ${grams(packed)}: ${state}.`),
    massLine(packed, most, sure ?? most),
    node("p", { className: "help", textContent: sure === null ? "" : `${grams(sure)} in four of five draws of the scores, which are not known exactly (the inner part of the bar). The upright mark is what this one weighs.` }),
  ];
}

function kitColumn(title, { kit, status }, nameOf) {
  if (!kit) return node("div", {}, node("h3", { textContent: title }), node("p", { textContent: "No kit does this trip’s work." }));
  const rows = kit.tools.map(({ id, count, mass_g: mass }) => node("li", {}, `${count > 1 ? `${count} × ` : ""}${nameOf(id)} `, node("span", { textContent: grams(mass * (count || 1)) })));
  return node("div", {}, node("h3", { textContent: title }),
    node("p", {}, node("strong", { textContent: grams(kit.mass_g) }), `, ${minutes(kit.work_min_per_day)} a day${status === "uncovered" ? " (not all of the work)" : ""}`),
    node("ul", { className: "kit" }, ...rows));
}

function compared({ without, together, nameOf }) {
  const own = together.kit?.tools.filter(({ id }) => id.startsWith("drawn-")) ?? [];
  const less = without.kit && together.kit ? without.kit.mass_g - together.kit.mass_g : 0;
  const alone = without.status === "uncovered" && together.status !== "uncovered";
  const gain = alone ? "; without yours no kit does all of the work" : less > 0 ? `, which saves ${grams(less)}` : "";
  const text = own.length ? `${capital(namesOf(own, nameOf))}: in the lightest kit${gain}.` : "None of your tools is in the lightest kit of this trip.";
  return [node("p", { textContent: text }), node("div", { className: "two" }, kitColumn("Without yours", without, nameOf), kitColumn("With yours", together, nameOf))];
}

/** Show what was found on a trip, each part in its place. */
function tellTrip(places, found) {
  const [headline, ...told] = verdict(found);
  places.verdict.replaceChildren(node("strong", { className: "big", textContent: headline }), ...told.map((one) => (typeof one === "string" ? node("p", { textContent: one }) : one)));
  places.bar.textContent = `${headline} · ${capital(found.nameOf(found.design.id))} ${grams(found.packed)}`;
  places.bar.hidden = false;
  places.allowance.replaceChildren(...mayWeigh(found));
  places.kits.replaceChildren(...compared(found));
}

export { tellTrip };
