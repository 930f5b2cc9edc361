/** The drawing as a picture, to scale: side view and section, before any answer of the service. */

import { shape } from "./dom.js";

const TIP_POINTS = 24;
const SECTION_POINTS = 16;
const ROOM = 0.06; // of the longer side, around the drawing
const HALF_TURN = 180;

const points = (list) => list.map(([x, y]) => `${x.toFixed(2)},${(-y).toFixed(2)}`).join(" ");
const polygon = (list, name) => shape("polygon", { points: points(list), class: name });
const line = ([x1, y1], [x2, y2], name) => shape("line", { x1, y1: -y1, x2, y2: -y2, class: name });
const bar = (x, y, width, height, name, radius = 0) => shape("rect", { x, y: -y - height, width, height, rx: radius, class: name });
const sloped = (degrees) => Math.tan((degrees / 2 / HALF_TURN) * Math.PI);

/** Measures of a knife's blade, with the usual ones where the drawing is silent. */
function bladeOf(blade, tips) {
  const tip = tips[blade.tip ?? "drop point"];
  const length = blade.length_mm;
  const ricasso = blade.ricasso_mm ?? 0;
  const point = tip.widths === 0 ? 0 : Math.min(blade.tip_length_mm ?? tip.widths * blade.width_mm, length - ricasso);
  const fall = (x) => (point > 0 && x > length - point ? Math.min(1, (x - length + point) / point) ** tip.power : 0);
  const width = (x) => blade.width_mm * (1 - fall(x));
  const edge = (x) => (1 - tip.share) * blade.width_mm * fall(x);
  return { ...blade, length, ricasso, point, width, edge, ground: blade.grind_height_mm ?? blade.width_mm };
}

function stationsOf({ length, point }, from) {
  const start = length - point;
  const curve = point > 0 ? Array.from({ length: TIP_POINTS + 1 }, (_, i) => start + (point * i) / TIP_POINTS) : [length];
  return [from, ...curve.filter((x) => x > from)];
}

function knifeView({ blade: drawn, handle, tang, pins }, tips) {
  const blade = bladeOf(drawn, tips);
  const middle = blade.width_mm / 2;
  const all = stationsOf(blade, 0);
  const outline = [...all.map((x) => [x, blade.edge(x)]), ...all.toReversed().map((x) => [x, blade.edge(x) + blade.width(x)])];
  const parts = [bar(-handle.length_mm, middle - handle.width_mm / 2, handle.length_mm, handle.width_mm, "wood", Math.min(handle.width_mm / 3, 8))];
  if (tang.kind !== "full") {
    const inside = tang.kind === "through" ? handle.length_mm : tang.length_mm;
    parts.push(bar(-inside, middle - tang.width_mm / 2, inside, tang.width_mm, "hidden"));
  }
  const [pin] = pins ?? [];
  for (let i = 1; i <= (pin?.count ?? 0); i++) {
    parts.push(shape("circle", { cx: (-handle.length_mm * i) / (pin.count + 1), cy: -middle, r: pin.diameter_mm / 2, class: "pin" }));
  }
  parts.push(polygon(outline, "steel"));
  if (blade.ground < blade.width_mm) {
    const ground = stationsOf(blade, blade.ricasso).map((x) => [x, blade.edge(x) + Math.min(blade.ground, blade.width(x))]);
    parts.push(shape("polyline", { points: points(ground), class: "grind" }));
  }
  if (blade.ricasso > 0) parts.push(line([blade.ricasso, 0], [blade.ricasso, Math.min(blade.ground, blade.width_mm)], "grind"));
  const rise = Math.max(0, ...outline.map(([, y]) => y));
  const tall = Math.max(rise, middle + handle.width_mm / 2);
  return { parts, box: [-handle.length_mm, Math.min(0, middle - handle.width_mm / 2), blade.length, tall] };
}

/** Half the thickness of a blade at a height above the edge, of a spine. */
function halfThickness(blade, spine) {
  const edge = blade.edge_mm ?? 0;
  const bevel = sloped(blade.edge_angle_deg ?? 30);
  return (y) => {
    const share = Math.min(1, y / Math.min(blade.ground, blade.width_mm));
    const swell = blade.grind === "convex" ? 2 * share - share ** 2 : blade.grind === "hollow" ? share ** 1.5 : share; // hollow: drawn freely
    return Math.min(edge + (spine - edge) * swell, 2 * y * bevel) / 2;
  };
}

function knifeSection({ blade: drawn }, tips, least) {
  const blade = bladeOf(drawn, tips);
  const profile = (spine) => {
    const half = halfThickness(blade, spine);
    const heights = [0, ...Array.from({ length: SECTION_POINTS }, (_, i) => (blade.width_mm * (i + 1)) / SECTION_POINTS)];
    if (blade.edge_mm) heights.push(blade.edge_mm / 2 / sloped(blade.edge_angle_deg ?? 30));
    heights.push(Math.min(blade.ground, blade.width_mm));
    heights.sort((a, b) => a - b);
    return [...heights.map((y) => [half(y), y]), ...heights.toReversed().map((y) => [-half(y), y])];
  };
  const parts = [polygon(profile(blade.spine_mm), "steel")];
  if (least && least !== blade.spine_mm) parts.push(polygon(profile(least), "least"));
  const wide = Math.max(blade.spine_mm, least ?? 0);
  return { parts, box: [-wide / 2, 0, wide / 2, blade.width_mm] };
}

function axeView({ head_height_mm: eye = 60, bit_width_mm: bit, bit_reach_mm: reach = 90, handle }) {
  const half = handle.width_mm / 2;
  const head = [[0, half + 2], [-eye, half + 2], [-eye, -half], [-eye / 2 - bit / 2, -half - reach], [-eye / 2 + bit / 2, -half - reach], [0, -half]];
  return {
    parts: [bar(-handle.length_mm, -half, handle.length_mm, handle.width_mm, "wood", half / 2), polygon(head, "steel")],
    box: [-handle.length_mm, -half - reach, Math.max(0, bit / 2 - eye / 2), half + 2],
  };
}

function axeSection({ bit_reach_mm: reach = 90, edge_angle_deg: angle = 30, cheek_angle_deg: cheeks, handle }) {
  const depth = reach / 5;
  const bevel = depth * sloped(angle);
  const back = cheeks ? bevel + (reach - depth) * sloped(cheeks) : Math.max(bevel, handle.thickness_mm / 2 + 4); // drawn freely where no angle is stated
  const side = [[0, 0], [bevel, depth], [back, reach]];
  return { parts: [polygon([...side, ...side.toReversed().map(([x, y]) => [-x, y])], "steel")], box: [-back, 0, back, reach] };
}

function strip({ length_mm: length, width_mm: width, tooth_pitch_mm: pitch, tooth_depth_mm: depth }, from = 0) {
  const count = Math.max(1, Math.min(2000, Math.floor(length / pitch)));
  const step = length / count;
  const edge = Array.from({ length: 2 * count + 1 }, (_, i) => [from + (i * step) / 2, i % 2 ? depth : 0]);
  return polygon([...edge, [from + length, width], [from, width]], "steel");
}

function foldingSawView({ blade, handle }) {
  const tall = Math.max(blade.width_mm, handle.width_mm);
  const radius = handle.width_mm / 3;
  return {
    parts: [strip(blade), bar(-handle.length_mm, 0, handle.length_mm + handle.width_mm / 2, handle.width_mm, "wood", radius), shape("circle", { cx: 0, cy: -handle.width_mm / 2, r: 3, class: "pin" })],
    box: [-handle.length_mm, 0, blade.length_mm, tall],
  };
}

function bowSawView({ blade, frame }) {
  const { outer_mm: outer, clear_depth_mm: clear, leg_extra_mm: extra = 0 } = frame;
  const top = blade.width_mm + clear;
  const legs = [-outer, blade.length_mm].map((x) => bar(x, -extra, outer, top + extra, "wood"));
  return {
    parts: [...legs, bar(-outer, top, blade.length_mm + 2 * outer, outer, "wood"), strip(blade)],
    box: [-outer, -extra, blade.length_mm + outer, top + outer],
  };
}

/** Three teeth from the side, and the plate in its cut. */
function teethSection({ blade }) {
  const long = 3 * blade.tooth_pitch_mm;
  const high = Math.min(blade.width_mm, 3 * blade.tooth_depth_mm);
  const gap = long * 0.25;
  const left = long + gap;
  const spare = (blade.kerf_mm - blade.thickness_mm) / 2;
  const plate = [[left, 0], [left + blade.kerf_mm, 0], [left + spare + blade.thickness_mm, blade.tooth_depth_mm], [left + spare + blade.thickness_mm, high], [left + spare, high], [left + spare, blade.tooth_depth_mm]];
  return { parts: [strip({ ...blade, length_mm: long, width_mm: high }), polygon(plate, "steel")], box: [0, 0, left + blade.kerf_mm, high] };
}

const VIEWS = { knife: knifeView, axe: axeView, "folding saw": foldingSawView, "bow saw": bowSawView };
const SECTIONS = { knife: knifeSection, axe: axeSection, "folding saw": teethSection, "bow saw": teethSection };

function framed({ parts, box }, label, extra = []) {
  const [left, low, right, high] = box;
  const room = ROOM * Math.max(right - left, high - low);
  const view = [left - room, -high - room, right - left + 2 * room, high - low + 2 * room];
  if (!view.every(Number.isFinite) || view[2] <= 0 || view[3] <= 0) return null;
  return shape("svg", { viewBox: view.map((one) => one.toFixed(2)).join(" "), role: "img", "aria-label": label }, ...parts, ...extra);
}

/** A mark under the point where the tool balances on a finger. */
function balance(x, [left, low, right, high]) {
  const size = Math.max(right - left, high - low) / 40;
  return polygon([[x, low], [x - size * 0.8, low - size * 1.4], [x + size * 0.8, low - size * 1.4]], "balance");
}

/** The side view and the section of a drawing; null where a figure that they need is missing. */
function pictures(drawing, { tips, balanceAt = null, least = null, label }) {
  try {
    const side = VIEWS[drawing.form](drawing, tips);
    const marks = Number.isFinite(balanceAt) ? [balance(balanceAt, side.box)] : [];
    const section = SECTIONS[drawing.form](drawing, tips, least);
    const drawn = [framed(side, label, marks), framed(section, sectionLabel(drawing, least))];
    return drawn.includes(null) ? null : drawn;
  } catch {
    return null; // half typed
  }
}

function sectionLabel({ form }, least) {
  if (form === "knife") return least ? "Section; the dashed line is the thinnest spine that stands every case" : "Section";
  return form === "axe" ? "The head from above" : "Three teeth, and the plate in its cut";
}

export { pictures };
