/** What one drawn tool is: mass and balance, what it can do, what fails first, and how thin it may get. */

import { node, shape } from "./dom.js";
import { grams, length, margin, short, told } from "./figures.js";
import { joined } from "../page/parts/listing.js";

const TASKS = [["split", "Split"], ["saw", "Saw"], ["chop", "Chop"], ["carve", "Carve"]];
const REFERENCE = 10;
const GUIDANCE = "handle: "; // published grips, most for heavy tools: told below, not as a warning
const SCALE_END = 12; // a little past the reference; a quicker tool widens it

const term = (name, ...told) => [node("dt", { textContent: name }), node("dd", {}, ...told)];

function balanceText({ drawing }, at) {
  if (at === null) return null;
  if (drawing.form === "axe") return `${length(-at)} below the top of the head`;
  return `${length(Math.abs(at))} ${at > 0 ? "in front of" : "behind"} the front of the handle`;
}

function facts(design, { tool, balance_mm: balance, cost }) {
  const packed = tool.mass_g + tool.cover_g;
  const balanced = balanceText(design, balance);
  return node("dl", { className: "facts" },
    ...term("Bare", grams(tool.mass_g)),
    ...term("Packed", `${grams(packed)}${tool.cover_g ? `, cover ${grams(tool.cover_g)}` : ""}`),
    ...(balanced ? term("Balance", balanced) : []),
    ...(tool.packed_mm ? term("Longest side", length(tool.packed_mm)) : []),
    ...(cost ? term("Cost of a piece", `${Number(cost.per_piece).toFixed(2)} ${cost.currency}`) : []));
}

/** A score with its 90 % interval on a line; the tick is the reference tool. */
function scoreLine(score, low, high, end) {
  const x = (value) => (100 * value) / end;
  return shape("svg", { viewBox: "0 0 100 12", class: "score", "aria-hidden": "true", preserveAspectRatio: "none" },
    shape("rect", { x: 0, y: 5, width: 100, height: 2, class: "track" }),
    shape("rect", { x: x(low), y: 3, width: Math.max(0.5, x(high - low)), height: 6, class: "interval" }),
    shape("rect", { x: x(REFERENCE) - 0.3, y: 0, width: 0.6, height: 12, class: "reference" }),
    shape("rect", { x: x(score) - 0.7, y: 1, width: 1.4, height: 10, class: "median" }));
}

function scores({ tool, scores: figures }) {
  const able = TASKS.filter(([task]) => tool[`${task}_score`] > 0);
  const end = Math.max(SCALE_END, ...able.map(([task]) => tool[`${task}_score_high`] ?? 0));
  const rows = able.map(([task, name]) => {
    const [score, low, high] = ["", "_low", "_high"].map((part) => tool[`${task}_score${part}`]);
    const most = figures.find((one) => one.name === `${task}_max_mm`);
    return node("tr", {},
      node("th", { scope: "row", textContent: name }),
      node("td", {}, node("strong", { textContent: short(score) }), ` (${short(low)} to ${short(high)})`, scoreLine(score, low, high, end)),
      node("td", { textContent: most ? `${length(most.value)} (${[most.low, most.high].map((one) => length(one).split(" ")[0]).join(" to ")})` : "" }));
  });
  const cannot = TASKS.filter(([task]) => !tool[`${task}_score`]).map(([, name]) => name.toLowerCase());
  return [
    node("h3", { textContent: "What it can do" }),
    node("table", {},
      node("thead", {}, node("tr", {}, ...["Work", "Score, 10 is the reference", "Wood up to"].map((text) => node("th", { scope: "col", textContent: text })))),
      node("tbody", {}, ...rows)),
    node("p", { className: "help", textContent: `In brackets: 90 % intervals. The mark at 10 is the reference tool.${cannot.length ? ` It can’t ${joined(cannot, "or")}.` : ""}` }),
  ];
}

/** Every way in which a knife may fail, with what it has to spare, the nearest first. */
function failures({ loads, edge }) {
  const found = loads.flatMap((one) => [
    [`${one.load}: it stays bent`, one.margin_low],
    [`${one.load}: it snaps at the ${one.breaks_at}`, one.break_margin],
  ]);
  if (edge) found.push(["the edge rolls in a hard knot", edge.roll_margin], ["the edge chips in a hard knot", edge.chip_margin]);
  return found.sort((a, b) => a[1] - b[1]);
}

function ending(end, { what, show, path, take }) {
  if (end.least === null) return node("p", { textContent: end.text });
  const stands = end.stands_as_drawn;
  const [now, least] = [show(end.drawn), show(end.least)];
  const same = end.least === end.drawn;
  const text = stands ? `The ${what} may be ${least}${same ? ", as drawn" : `; ${now} is drawn`}.` : `The ${what} must be ${least} at least; ${now} is drawn.`;
  const button = node("button", { type: "button", className: "small", textContent: `Draw ${least}` });
  button.addEventListener("click", () => take(path, end.least));
  return node("p", {}, `${text} `, end.first_case ? `Then the first to fail is: ${end.first_case}. ` : "", same ? null : button);
}

function knifeHolds({ strength }, section, take) {
  if (strength.status !== "computed") return [node("p", { textContent: strength.why })];
  const [[first, spare], ...rest] = failures(strength);
  const degrees = (value) => `${short(value, 3)}°`;
  return [
    node("p", { className: spare < 0 ? "verdict-line bad" : "verdict-line" }, node("strong", { textContent: spare < 0 ? "It fails: " : "First to fail: " }), `${first}, ${margin(spare)}.`),
    section?.spine ? ending(section.spine, { what: "spine", show: length, path: "drawing.blade.spine_mm", take }) : null,
    section?.edge ? ending(section.edge, { what: "edge angle", show: degrees, path: "drawing.blade.edge_angle_deg", take }) : null,
    node("details", {}, node("summary", { textContent: "Every other case" }), node("ul", {}, ...rest.map(([text, value]) => node("li", { textContent: `${text}: ${margin(value)}` })))),
  ];
}

function checkText({ quantity, value, low, high, unit }) {
  const of = (figure) => unit === "mm" ? length(figure) : `${short(figure, 3)}${unit === "-" ? "" : ` ${unit}`}`;
  const ends = [low === null ? null : `at least ${of(low)}`, high === null ? null : `at most ${of(high)}`].filter(Boolean);
  return `${quantity}: ${value === null ? "not known" : of(value)}, ${ends.join(", ")}`;
}

function checksHold({ checks }) {
  const sorted = checks.toSorted((a, b) => Number(a.within) - Number(b.within));
  return [node("ul", { className: "checks" }, ...sorted.map((one) => node("li", { className: one.within ? "" : "bad" }, `${one.within ? "Holds" : "Fails"}: ${checkText(one)}`)))];
}

/** Show a scored drawing in `root`; `take` draws a value at a path instead. */
function tellTool(root, { design, score, section }, take) {
  const knife = design.drawing.form === "knife";
  const list = (title, texts) => (texts.length ? [node("h3", { textContent: title }), node("ul", {}, ...texts.map((textContent) => node("li", { textContent })))] : []);
  root.replaceChildren(
    facts(design, score),
    ...scores(score),
    node("h3", { textContent: "Will it hold?" }),
    ...[...(knife ? knifeHolds(score, section, take) : []), ...(knife ? [] : checksHold(score))].filter(Boolean),
    ...list("Look again at", score.warnings.filter((one) => !one.startsWith(GUIDANCE)).map(told)),
    score.grip.length ? node("details", {}, node("summary", { textContent: "What others say about grips" }), node("ul", {}, ...score.grip.map(({ text }) => node("li", { textContent: told(text) })))) : "",
    node("details", {}, node("summary", { textContent: "Before you make it" }), node("ul", {}, ...score.cautions.map(({ text }) => node("li", { textContent: told(text) })))),
  );
}

export { tellTool };
