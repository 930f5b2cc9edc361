/** How thick the wood of each need is, against what each tool of the kit reaches. */

import { scalable, tableOf, withCharts } from "./drawing.js";
import { node } from "../parts/node.js";
import { sentence } from "../answer/naming.js";
import { shown } from "../trip/measure.js";

const DOES = { buck: "cuts", split: "splits", saw: "saws", chop: "chops", carve: "carves" };
const FAR = 3; // a reach beyond so many times the thickest wood is cut off and told, so that it does not shrink the rest
const ROW_PX = 46;
const NARROW_ROW_PX = 60; // room for a name on three lines

/** Who works on what: [{worker, does, mm, spare, what}]. */
function pieces(answer, figures, naming) {
  const stated = answer.needs
    .filter((need) => need.diameter_mm !== null)
    .flatMap((need) => {
      const what = naming.need(need, figures);
      const steps = need.parts.length ? need.parts : [need];
      return steps.flatMap((step) => {
        const mm = step.diameter_mm;
        if (!step.done_with.length) return [{ worker: null, does: DOES[need.task], mm, spare: null, what }];
        const of = step.part === "pieces" ? `${what}: its pieces` : what;
        return step.done_with.map((part) => ({ worker: part.id, does: DOES[need.task], mm, spare: part.spare_mm, what: of }));
      });
    });
  const burned = answer.workings.flatMap((one) =>
    ["buck", "split"].flatMap((task) =>
      one[task].map((part) => ({ worker: part.id, does: DOES[task], mm: part.part === "pieces" ? one.diameter_mm / 2 : one.diameter_mm, spare: part.spare_mm, what: "Firewood" })),
    ),
  );
  return [...burned, ...stated];
}

/** A row for each tool and way of working: its reach, and the wood it works on. */
function rowsOf(answer, figures, naming) {
  const byKey = Map.groupBy(pieces(answer, figures, naming), ({ worker, does, mm, spare }) =>
    worker === null ? `nothing ${does}` : `${worker} ${does} ${mm + spare}`,
  );
  const rows = [...byKey.values()].map((parts) => {
    const [{ worker, does, mm, spare }] = parts;
    const thickest = Math.max(...parts.map((part) => part.mm));
    const reach = worker === null ? 0 : mm + spare;
    return { worker, does, reach, thickest, spare: worker === null ? null : reach - thickest, parts };
  });
  const ids = [null, ...answer.kit.tools.map((tool) => tool.id)];
  const order = ({ worker }) => (ids.includes(worker) ? ids.indexOf(worker) : ids.length);
  for (const row of rows) row.carried = row.worker !== null && ids.includes(row.worker);
  return rows.sort((a, b) => order(a) - order(b));
}

class ReachPlot {
  #chart = null;

  constructor(root) {
    this.said = node("p", {});
    this.picture = node("div", { className: "plot reach", "aria-hidden": "true" });
    this.largest = node("span", { textContent: "largest wood for the tool" });
    this.key = node("p", { className: "key", "aria-hidden": "true" }, node("span", {}, node("i", { className: "key-reach" }), this.largest), node("span", {}, node("i", { className: "key-wood" }), "wood of this trip"));
    this.table = node("div", { className: "scroll" });
    root.append(this.said, this.picture, this.key, node("details", {}, node("summary", { textContent: "As a table" }), this.table));
    const again = () => this.shown && this.show(...this.shown);
    root.closest("details")?.addEventListener("toggle", again); // a closed fold has no room to draw in
  }

  #load() {
    withCharts((library) => {
      this.library = library;
      this.show(...this.shown);
    });
  }

  show(answer, figures, naming) {
    this.shown = [answer, figures, naming];
    if (!this.library) this.#load();
    const rows = rowsOf(answer, figures, naming);
    this.picture.hidden = this.key.hidden = !rows.length;
    this.said.textContent = this.#sentence(rows, figures, naming);
    this.largest.textContent = `largest wood for the tool, ${figures.lengthName}`;
    this.#tabulate(rows, figures, naming);
    this.#chart?.detach();
    this.#chart = this.library && rows.length && this.picture.clientWidth ? this.#draw(rows, figures, naming) : null;
  }

  #sentence(rows, figures, naming) {
    if (!rows.length) return "No wood has to be cut, so there is nothing to compare.";
    const missing = rows.filter((row) => row.worker === null);
    if (missing.length) return `No tool of this kit is large enough for: ${missing.flatMap((row) => row.parts.map((part) => part.what)).join(", ")}.`;
    const carried = rows.filter((row) => row.carried);
    const tightest = (carried.length ? carried : rows).reduce((a, b) => (b.spare < a.spare ? b : a));
    const spare = tightest.spare > 0 ? `has ${figures.length(tightest.spare)} to spare` : "has nothing to spare";
    return `Smallest margin: ${naming.tool(tightest.worker)} ${spare} when it ${tightest.does} ${figures.length(tightest.thickest)}.`;
  }

  #draw(rows, figures, naming) {
    const { AutoScaleAxis, BarChart } = this.library;
    const units = figures.us ? "us" : "metric";
    const scaled = (mm) => shown(mm, "length", units);
    const farthest = FAR * Math.max(...rows.map((row) => row.thickest));
    const end = scaled(Math.max(...rows.map((row) => Math.min(farthest, Math.max(row.reach, row.thickest)))));
    const labels = rows.map((row) => (row.worker === null ? `Nothing ${row.does} it` : `${naming.tool(row.worker)} ${row.does}`));
    const narrow = this.picture.clientWidth < 480;
    this.picture.style.blockSize = `${rows.length * (narrow ? NARROW_ROW_PX : ROW_PX) + 34}px`;
    const chart = new BarChart(this.picture, { labels, series: [rows.map((row) => Math.min(end, scaled(row.reach)))] }, {
      horizontalBars: true,
      reverseData: true,
      high: end,
      low: 0,
      chartPadding: { top: 4, right: 26, bottom: 0, left: 0 },
      axisX: { type: AutoScaleAxis, onlyInteger: !figures.us, scaleMinSpace: 44, labelInterpolationFnc: (value) => figures.format(value) },
      axisY: { offset: narrow ? 140 : 230, showGrid: false },
    });
    chart.on("draw", (drawn) => drawn.type === "bar" && this.#mark(drawn, rows.at(-1 - drawn.index), scaled, end, figures));
    chart.on("created", ({ svg }) => scalable(svg));
    return chart;
  }

  #mark({ group, y1, x2, axisX, chartRect }, row, scaled, end, figures) {
    if (scaled(row.reach) > end) group.elem("text", { x: x2 - 4, y: y1 + 4, "text-anchor": "end" }, "farther").text(`${figures.length(row.reach)} →`);
    for (const part of row.parts) {
      const x = chartRect.x1 + axisX.projectValue(scaled(part.mm));
      group.elem("circle", { cx: x, cy: y1, r: 7 }, "wood");
      group.elem("circle", { cx: x, cy: y1, r: 2.5 }, "heart");
    }
  }

  #tabulate(rows, figures, naming) {
    const cells = rows.flatMap((row) =>
      row.parts.map((part) => [
        row.worker === null ? "Nothing" : naming.tool(row.worker),
        part.what === "Firewood" ? `${sentence(row.does)} firewood` : part.what,
        figures.length(part.mm),
        row.worker === null ? "–" : figures.length(row.reach),
      ]),
    );
    this.table.replaceChildren(tableOf(["Tool or method", "Work", "Wood", "Largest wood"], cells));
  }
}

export { ReachPlot };
