/** Every kit that none beats in grams and minutes a day: a plot to hover, and to pick from. */

import { scalable, tableOf, withCharts } from "./drawing.js";
import { node } from "../parts/node.js";
import { shown } from "../trip/measure.js";

const HEIGHT_PX = 300;
const FAR = 2; // a limit beyond so many times the slowest kit is left out, so that it does not squeeze the rest
const SLACK_MIN = 0.01; // a work limit is written no finer than this
const LITTLE = 0.1; // the share of all saving that is left where the bend ends

/** How many of the points, lightest first, hold where the curve bends: beyond them little time is left to save. */
function bend(points, chosen) {
  const [first, last] = [points[0].work_min_per_day, points.at(-1).work_min_per_day];
  const flat = points.findIndex((point) => point.work_min_per_day - last <= LITTLE * (first - last));
  return Math.min(points.length, Math.max(flat, chosen) + 2);
}

class FrontPlot {
  #chart = null;
  #points = [];
  #dots = [];

  /** `onPick` is given the point that a person takes, `onCompare` one to set beside the answer. */
  constructor(root, onPick, onCompare) {
    this.said = node("p", { role: "status" });
    this.picture = node("div", { className: "plot front", "aria-hidden": "true" });
    this.slider = node("input", { type: "range", id: "front-kit", min: 0, step: 1 });
    this.told = node("div", { className: "picked" });
    this.pick = node("button", { type: "button", textContent: "Take this kit" });
    this.compare = node("button", { type: "button", textContent: "Set beside" });
    this.whole = node("input", { type: "checkbox" });
    this.table = node("div", { className: "scroll" });
    this.inside = node(
      "div",
      { className: "front-inside" },
      this.picture,
      node("div", { className: "slide" }, node("label", { htmlFor: "front-kit", textContent: "Move through the kits, lightest first" }), this.slider),
      this.told,
      node("p", { className: "actions" }, this.pick, " ", this.compare),
      node("label", { className: "whole" }, this.whole, " Draw the heavy kits too"),
      node("details", {}, node("summary", { textContent: "As a table" }), this.table),
    );
    root.append(this.said, this.inside);
    this.slider.addEventListener("input", () => this.#point(Number(this.slider.value)));
    this.pick.addEventListener("click", () => onPick(this.#points[Number(this.slider.value)]));
    this.compare.addEventListener("click", () => onCompare(this.#points[Number(this.slider.value)]));
    this.whole.addEventListener("change", () => this.#redraw());
    root.closest("details").addEventListener("toggle", () => this.#redraw());
    for (const kind of ["pointermove", "pointerdown"]) this.picture.addEventListener(kind, (event) => this.#near(event));
    this.wait();
  }

  wait() {
    this.inside.hidden = true;
    this.said.textContent = "Calculating how much time more grams would save …";
  }

  fail(title) {
    this.inside.hidden = true;
    this.said.textContent = `${title}.`;
  }

  /** `front` is the service's answer; `limit` the minutes a day that the trip allows, `ids` the kit that was chosen. */
  show(front, { limit, ids, figures, naming }) {
    Object.assign(this, { limit, figures, naming });
    if (!this.library) {
      withCharts((library) => {
        this.library = library;
        this.#redraw();
      });
    }
    this.#points = front.points;
    this.inside.hidden = !front.points.length;
    this.said.textContent = this.#sentence(front);
    if (!front.points.length) return;
    this.slider.max = front.points.length - 1;
    const chosen = front.points.findIndex((point) => [...point.ids].sort().join() === [...ids].sort().join());
    this.chosen = chosen;
    this.near = bend(front.points, chosen);
    this.whole.parentElement.hidden = this.near === front.points.length;
    const line = (point) => [this.#name(point), figures.mass(point.mass_g), figures.minutes(point.work_min_per_day)];
    this.table.replaceChildren(tableOf(["Kit", "Packed", "Wood work a day"], front.points.map(line)));
    this.slider.value = Math.max(0, chosen);
    this.#redraw();
    this.#point(Math.max(0, chosen));
  }

  /** Draw anew, where there is room to: a closed fold has none. */
  #redraw() {
    this.#chart?.detach();
    this.#chart = this.library && this.#points.length && this.picture.clientWidth ? this.#draw() : null;
  }

  /** The points that are drawn. */
  get #drawn() {
    return this.whole.checked ? this.#points : this.#points.slice(0, this.near);
  }

  #sentence({ points, status }) {
    if (!points.length) return "No kit covers the trip, so there is nothing to compare.";
    const partly = { feasible: " The list may be incomplete.", uncovered: " No kit covers the whole trip: what is missing is let go here." };
    const whole = partly[status] ?? "";
    if (points.length === 1) return `One kit is both the lightest and the quickest.${whole}`;
    const [light] = points;
    const quick = points.at(-1);
    const say = (point) => `${this.figures.mass(point.mass_g)} at ${this.figures.minutes(point.work_min_per_day)} a day`;
    return `${points.length} kits, from ${say(light)} to ${say(quick)}. No other kit is both lighter and quicker than one of these.${whole}`;
  }

  #name(point) {
    return point.ids.length ? this.naming.tools(point.ids) : "No tools";
  }

  #draw() {
    const { figures } = this;
    const { AutoScaleAxis, Interpolation, LineChart } = this.library;
    const units = figures.us ? "us" : "metric";
    const grams = (point) => shown(point.mass_g, "mass", units);
    const data = [...this.#drawn].reverse().map((point) => ({ x: point.work_min_per_day, y: grams(point) }));
    const slowest = Math.max(...data.map(({ x }) => x));
    const near = this.limit <= FAR * slowest;
    const farthest = near ? Math.max(slowest, this.limit) : slowest;
    this.picture.style.blockSize = `${HEIGHT_PX}px`;
    const chart = new LineChart(this.picture, { series: [{ data }] }, {
      low: 0,
      showPoint: false, // the library also marks the corners of the steps
      lineSmooth: Interpolation.step({ postpone: true }),
      chartPadding: { top: 42, right: 26, bottom: 18, left: 0 },
      axisX: { type: AutoScaleAxis, low: 0, high: 1.04 * farthest, onlyInteger: farthest > FAR, scaleMinSpace: 40, labelInterpolationFnc: (value) => figures.format(value) },
      axisY: { type: AutoScaleAxis, low: 0, onlyInteger: true, scaleMinSpace: 36, offset: 56, labelInterpolationFnc: (value) => figures.format(value) },
    });
    chart.on("created", (made) => this.#finish(made, near));
    return chart;
  }

  #finish({ svg, chartRect, axisX, axisY }, near) {
    scalable(svg);
    this.#dots = this.#drawn.map((point, place) => {
      const cx = chartRect.x1 + axisX.projectValue(point.work_min_per_day);
      const cy = chartRect.y1 - axisY.projectValue(shown(point.mass_g, "mass", this.figures.us ? "us" : "metric"));
      const beyond = point.work_min_per_day > this.limit + SLACK_MIN;
      const dot = svg.elem("circle", { cx, cy, r: 6 }, `dot${beyond ? " beyond" : ""}${place === this.chosen ? " chosen" : ""}`);
      return { x: cx, y: cy, shape: dot.getNode() };
    });
    if (near) this.#drawLimit(svg, chartRect, chartRect.x1 + axisX.projectValue(this.limit));
    svg.elem("text", { x: 8, y: chartRect.y2 - 24 }, "said").text(this.figures.us ? "oz packed" : "g packed");
    svg.elem("text", { x: chartRect.x2, y: chartRect.y1 + 38, "text-anchor": "end" }, "said").text("minutes of wood work a day");
    this.#light(Number(this.slider.value));
  }

  #drawLimit(svg, chartRect, x) {
    svg.elem("line", { x1: x, x2: x, y1: chartRect.y1, y2: chartRect.y2 }, "limit");
    const left = x > (chartRect.x1 + chartRect.x2) / 2;
    svg.elem("text", { x: left ? x - 5 : x + 5, y: chartRect.y2 - 8, "text-anchor": left ? "end" : "start" }, "said").text(`your limit ${this.figures.minutes(this.limit)}`);
  }

  #near({ clientX, clientY }) {
    const box = this.picture.getBoundingClientRect();
    const far = ({ x, y }) => Math.hypot(x - (clientX - box.left), y - (clientY - box.top));
    const near = this.#dots.reduce((best, dot, place) => (best < 0 || far(dot) < far(this.#dots[best]) ? place : best), -1);
    if (near < 0 || near === Number(this.slider.value)) return;
    this.slider.value = near;
    this.#point(near);
  }

  #point(place) {
    const point = this.#points[place];
    const { figures } = this;
    const over = point.work_min_per_day > this.limit + SLACK_MIN ? " It is above your work limit." : "";
    const mine = place === this.chosen ? " This is the kit above." : "";
    const figure = `${figures.mass(point.mass_g)}, ${figures.minutes(point.work_min_per_day)} a day`;
    this.slider.setAttribute("aria-valuetext", `${figure}: ${this.#name(point)}.${over}${mine}`);
    this.told.replaceChildren(node("strong", { textContent: figure }), node("span", { textContent: `${this.#name(point)}.${over}${mine}` }));
    this.pick.disabled = this.compare.disabled = place === this.chosen;
    if (place >= this.near && !this.whole.checked) {
      this.whole.checked = true;
      this.#redraw();
    }
    this.#light(place);
  }

  #light(place) {
    this.#dots.forEach((dot, other) => dot.shape.classList.toggle("lit", other === place));
  }
}

export { FrontPlot };
