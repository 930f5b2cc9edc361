/** Share of kits over mass as steps, a line an offer; and maps of who wants it, as tables. */

import { node, shape } from "../dom.js";
import { grams, length, unitOf } from "../figures.js";

const [WIDE, HIGH, LEFT, BELOW, ABOVE] = [320, 190, 40, 30, 12];
const ROOM = 1.08; // past the heaviest, so that the last step is seen
const LEAST_TOP = 0.05; // of the axis: a share of nothing has a scale too
const FEW = 5; // judged: below so many trips a share tells next to nothing
const SHADES = 5;
const NAMES = { nights: "Nights", air_c: "Air", thickest_mm: "Thickest wood", work_min_per_day: "Wood work a day" };

const percent = (share) => `${Number((100 * share).toPrecision(share < 0.1 ? 2 : 3))} %`;

/** The share of an offer from mass to mass: the first mass, the last, the share. */
function stepsOf({ curve, at_every_mass: always }, end) {
  const steps = [];
  let from = 0;
  for (const { mass_g: mass, adoption } of curve) {
    if (mass <= from) continue;
    steps.push([from, Math.min(mass, end), adoption]);
    from = mass;
  }
  if (from < end) steps.push([from, end, always]);
  return steps;
}

/** The picture with a legend: the first offer is drawn full, the others dashed. */
function sharePicture(offers) {
  const heaviest = offers.flatMap(({ curve, mass_g: mass }) => [mass, ...curve.filter(({ adoption }) => adoption > 0).map((one) => one.mass_g)]);
  const end = ROOM * Math.max(...heaviest, 1);
  const top = Math.max(LEAST_TOP, ...offers.flatMap(({ curve, high, within_50_g: near }) => [high, near, ...curve.map(({ adoption }) => adoption)])) * ROOM;
  const x = (mass) => LEFT + ((WIDE - LEFT - ABOVE) * mass) / end;
  const y = (share) => HIGH - BELOW - ((HIGH - BELOW - ABOVE) * share) / top;
  const text = (content, given) => {
    const made = shape("text", { class: "said", ...given });
    made.textContent = content;
    return made;
  };
  const marks = offers.flatMap((one, place) => {
    const name = `offer offer-${place}`;
    const d = stepsOf(one, end).map(([from, to, share], step) => `${step ? "L" : "M"}${x(from).toFixed(1)} ${y(share).toFixed(1)} H${x(to).toFixed(1)}`).join(" ");
    return [
      shape("path", { class: name, d }),
      shape("path", { class: name, d: `M${x(one.mass_g).toFixed(1)} ${y(one.low).toFixed(1)} V${y(one.high).toFixed(1)}` }),
      shape("circle", { class: `${name} dot`, cx: x(one.mass_g).toFixed(1), cy: y(one.adoption).toFixed(1), r: 4.5 }),
      shape("circle", { class: `${name} near`, cx: x(one.mass_g).toFixed(1), cy: y(one.within_50_g).toFixed(1), r: 4.5 }),
    ];
  });
  const told = offers.map((one) => `${one.name}: ${percent(one.adoption)} at ${grams(one.mass_g)}`).join("; ");
  const picture = shape("svg", { viewBox: `0 0 ${WIDE} ${HIGH}`, class: "shares", role: "img", "aria-label": `Share of kits over packed mass. ${told}` },
    shape("path", { class: "axis", d: `M${LEFT} ${ABOVE} V${HIGH - BELOW} H${WIDE - ABOVE}` }),
    text(percent(top / ROOM), { x: LEFT - 5, y: y(top / ROOM) + 4, "text-anchor": "end" }),
    text("0 %", { x: LEFT - 5, y: HIGH - BELOW + 4, "text-anchor": "end" }),
    text(grams(0), { x: LEFT, y: HIGH - ABOVE, "text-anchor": "start" }),
    text(grams(end / ROOM), { x: WIDE - ABOVE, y: HIGH - ABOVE, "text-anchor": "end" }),
    text("packed mass", { x: (LEFT + WIDE - ABOVE) / 2, y: HIGH - 2, "text-anchor": "middle" }),
    ...marks);
  const sample = (place) => shape("svg", { viewBox: "0 0 28 8", class: "shares sample", "aria-hidden": "true" }, shape("path", { class: `offer offer-${place}`, d: "M0 4 H28" }));
  const row = (one, place) => node("li", {}, sample(place), node("span", {}, `${one.name}, ${grams(one.mass_g)}: `, node("strong", { textContent: percent(one.adoption) }), ` (${percent(one.low)} to ${percent(one.high)}); ${percent(one.within_50_g)} within ${grams(50)}`));
  return [picture, node("ul", { className: "legend" }, ...offers.map(row)), node("p", { className: "help", textContent: "Full dot: share of lightest kits as it weighs, with the 90 % interval. Hollow dot: share of trips where a kit with it is within that distance of the lightest." })];
}

const show = (figure, value) => figure === "thickest_mm" ? length(value) : figure === "air_c" ? `${value} °C`.replace("-", "−") : figure === "work_min_per_day" ? `${value} min` : String(value);

/** A band in figures; the unit stands at its end. */
function bandText(figure, [low, high]) {
  if (low === high) return show(figure, low);
  const unit = figure === "air_c" ? " °C" : figure === "thickest_mm" ? ` ${unitOf("mm")}` : figure === "work_min_per_day" ? " min" : "";
  return `${show(figure, low).replace(unit, "")} to ${show(figure, high)}`;
}

const bandsOf = (cells, name) => [...new Map(cells.map((cell) => [cell[`${name}_low`], [cell[`${name}_low`], cell[`${name}_high`]]])).values()].sort((a, b) => a[0] - b[0]);

function cellOf(cell) {
  if (!cell) return node("td", { className: "none", textContent: "–" });
  const few = cell.trips < FEW;
  const most = cell.median_allowance_g;
  const allows = most === null ? "any mass" : most === 0 ? "no mass" : `to ${grams(most)}`;
  const shade = few ? "few" : `shade-${Math.ceil(SHADES * cell.adoption)}`;
  return node("td", { className: shade }, node("strong", { textContent: percent(cell.adoption) }), node("span", { textContent: allows }), node("span", { textContent: `${cell.trips} ${cell.trips === 1 ? "trip" : "trips"}` }));
}

/** One map as a table: what is colder or shorter stands below. */
function mapTable({ across, down, cells }) {
  if (!cells.length) return null;
  const columns = bandsOf(cells, "across");
  const rows = bandsOf(cells, "down").reverse();
  const at = (row, column) => cells.find((cell) => cell.down_low === row[0] && cell.across_low === column[0]);
  return node("div", { className: "scroll" }, node("table", { className: "map" },
    node("caption", { textContent: `${NAMES[across]} across, ${NAMES[down].toLowerCase()} down` }),
    node("thead", {}, node("tr", {}, node("td"), ...columns.map((band) => node("th", { scope: "col", textContent: bandText(across, band) })))),
    node("tbody", {}, ...rows.map((row) => node("tr", {}, node("th", { scope: "row", textContent: bandText(down, row) }), ...columns.map((column) => cellOf(at(row, column))))))));
}

/** Both maps. */
function mapTables(maps) {
  return [...maps.map(mapTable).filter(Boolean), node("p", { className: "help", textContent: `Share of lightest kits; the mass that half of these trips allow; trips. Pale: fewer than ${FEW} trips tell next to nothing.` })];
}

export { mapTables, percent, sharePicture };
