/** One figure of the drawing tried over a range: the lightest kit of the trip with each design that holds, drawn. */

import { ask, Refusal } from "./ask.js";
import { node, shape } from "./dom.js";
import { FORMS } from "./fields.js";
import { grams, length, margin, minutes, read, short, unitOf, written } from "./figures.js";

const STEPS = 12; // designs of a range: enough to see where the curve bends
const [WIDE, HIGH, LEFT, BELOW, ABOVE] = [320, 170, 52, 30, 14]; // of the picture
const AS_DRAWN = 1e-9;
const FIRST = ["drawing.blade.spine_mm", "drawing.blade.length_mm", "drawing.head_mass_g"]; // what makers ask for first
const PINS = /^drawing\.pins/; // a list has no place in a range

class Sweep {
  /** `asked` gives the design with its trip, `take` draws a value at a path. */
  constructor(root, { asked, take }) {
    Object.assign(this, { root, asked, take });
    this.what = node("select", { id: "sweep-what" });
    this.low = node("input", { id: "sweep-low", type: "text", inputMode: "decimal" });
    this.high = node("input", { id: "sweep-high", type: "text", inputMode: "decimal" });
    this.units = [node("span"), node("span")];
    const go = node("button", { type: "button", textContent: "Try the range" });
    this.told = node("div", { id: "sweep-told" });
    this.said = node("p", { set: { role: "status" } });
    this.what.addEventListener("change", () => this.#ends());
    go.addEventListener("click", () => this.#go());
    const field = (text, control, unit) => node("div", { className: "field" }, node("label", { htmlFor: control.id }, text, unit), control);
    root.append(node("div", { className: "fields" }, field("Figure", this.what, null), field("From ", this.low, this.units[0]), field("To ", this.high, this.units[1])), node("p", { className: "row" }, go), this.said, this.told);
  }

  /** Offer the figures of the drawing that is shown. */
  show(design) {
    const before = this.what.value;
    const slides = (row) => row.from !== undefined && !PINS.test(row.path) && (row.when?.(design) ?? true);
    const groups = FORMS[design.drawing.form].groups.map(([title, rows]) => [title, rows.filter(slides)]).filter(([, rows]) => rows.length);
    this.rows = new Map(groups.flatMap(([, rows]) => rows.map((row) => [row.path, row])));
    const option = ({ path, label }) => node("option", { value: path, textContent: label });
    this.what.replaceChildren(...groups.map(([title, rows]) => node("optgroup", { label: title }, ...rows.map(option))));
    const usual = FIRST.find((path) => this.rows.has(path)) ?? this.rows.keys().next().value;
    this.what.value = this.rows.has(before) ? before : usual;
    if (!this.rows.has(before) || !this.low.value) this.#ends();
  }

  /** What was tried is of another drawing or trip. */
  age() {
    if (!this.told.childElementCount) return;
    this.told.replaceChildren();
    this.said.textContent = "The drawing or the trip has changed. Try the range again.";
  }

  /** Write the ends of the slider, and the unit. */
  #ends() {
    const row = this.rows.get(this.what.value);
    this.low.value = written(row.from, row.unit);
    this.high.value = written(row.to, row.unit);
    for (const place of this.units) place.textContent = row.unit ? `(${unitOf(row.unit)})` : "";
  }

  async #go() {
    const row = this.rows.get(this.what.value);
    const [low, high] = [this.low, this.high].map((input) => read(input.value, row.unit));
    this.told.replaceChildren();
    if (![low, high].every(Number.isFinite) || low >= high) {
      this.said.textContent = "Write two numbers, the smaller one first.";
      return;
    }
    this.waiting?.abort();
    const { signal } = (this.waiting = new AbortController());
    this.said.textContent = `Trying ${STEPS} designs …`;
    const { design, trip } = this.asked();
    try {
      const told = await ask("/v1/designs/sweep", { design, trip, vary: [{ field: row.path, low, high, steps: STEPS }] }, signal);
      const drawn = this.#tell(told, row, low, high);
      if (!drawn) return;
      const step = (high - low) / (STEPS - 1);
      const inFront = (value) => told.front.some((one) => Math.abs(one.values[row.path] - value) < step / 2);
      const values = Array.from({ length: STEPS }, (_, place) => Number((low + place * step).toFixed(6))).filter((value) => !inFront(value));
      drawn(await this.#others(values, row.path, { design, trip }, signal));
    } catch (error) {
      if (signal.aborted) return;
      if (!(error instanceof Refusal)) throw error;
      const { title, errors, detail } = error.problem;
      this.said.textContent = [`${title}.`, ...(errors?.length ? errors.map((one) => one.detail) : [detail])].join(" ");
    }
  }

  /** The kits with designs that the front leaves out, asked for one by one; a design that would not hold has none. */
  async #others(values, field, asked, signal) {
    const found = [];
    for (const value of values) {
      const { best } = await ask("/v1/designs/sweep", { ...asked, vary: [{ field, values: [value] }] }, signal);
      if (best) found.push({ ...best, beaten: true });
    }
    return found;
  }

  /** Tell of the best and of the front; returned is what draws the other designs too, or null where there is no best. */
  #tell({ best, front, outside_limits: outside, not_drawable: none, kit_without: without, designs }, row, low, high) {
    const out = [outside ? `${outside} would not hold or break a usual limit` : "", none ? `${none} can’t be drawn` : ""].filter(Boolean).join(", ");
    const at = (one) => one.values[row.path];
    const say = (value) => (row.unit === "mm" ? length(value) : row.unit === "g" ? grams(value) : `${short(value, 3)} ${unitOf(row.unit)}`.trim());
    if (!best) {
      this.said.textContent = `None of ${designs} designs is in a kit of this trip${out ? `: ${out}` : ""}.`;
      return null;
    }
    const kept = without ? ` Without it the lightest kit weighs ${grams(without.mass_g)}.` : "";
    this.said.textContent = `Lightest at ${say(at(best))}: a kit of ${grams(best.mass_g)}.${kept} Of ${designs} designs, ${front.length} ${front.length === 1 ? "is" : "are"} worth the grams${out ? `; ${out}` : ""}.`;
    const take = node("button", { type: "button", className: "small", textContent: `Draw ${say(at(best))}` });
    take.addEventListener("click", () => this.take(row.path, at(best)));
    const cellsOf = (one) => [say(at(one)), grams(one.design_g), grams(one.mass_g), minutes(one.work_min_per_day), one.margin === null ? "–" : margin(one.margin)];
    const line = (texts, name) => node("tr", {}, ...texts.map((textContent) => node(name, { textContent, ...(name === "th" ? { scope: "col" } : {}) })));
    const [picture, body, hollow] = [node("div"), node("tbody"), node("p", { className: "help", hidden: true, textContent: "Hollow: another design is as strong, in a lighter kit." })];
    const draw = (others) => {
      const points = [...front, ...others].sort((a, b) => at(a) - at(b));
      picture.replaceChildren(this.#picture(points.map((one) => ({ x: at(one), y: one.mass_g, best: one.id === best.id, beaten: one.beaten })), { low, high, label: row.label, say }));
      body.replaceChildren(...points.map((one) => line(cellsOf(one), "td")));
      hollow.hidden = !others.length;
    };
    draw([]);
    this.told.replaceChildren(
      picture,
      hollow,
      node("p", { className: "row" }, this.#isDrawn(row.path, at(best)) ? null : take),
      node("details", {}, node("summary", { textContent: "As a table" }), node("div", { className: "scroll" }, node("table", {}, node("thead", {}, line([row.label, "Tool", "Kit", "Work a day", "Strength"], "th")), body))),
    );
    return draw;
  }

  #isDrawn(path, value) {
    const drawn = path.split(".").reduce((part, step) => part?.[step], this.asked().design);
    return Math.abs(drawn - value) < AS_DRAWN;
  }

  /** Grams of the kit over the figure; the lightest is ringed. */
  #picture(points, { low, high, label, say }) {
    const most = Math.max(...points.map(({ y }) => y));
    const least = Math.min(...points.map(({ y }) => y));
    const room = Math.max(most - least, most / 10);
    const [bottom, top] = [Math.max(0, least - room / 4), most + room / 4];
    const x = (value) => LEFT + ((WIDE - LEFT - ABOVE) * (value - low)) / (high - low);
    const y = (value) => HIGH - BELOW - ((HIGH - BELOW - ABOVE) * (value - bottom)) / (top - bottom);
    const text = (content, given) => {
      const made = shape("text", { class: "said", ...given });
      made.textContent = content;
      return made;
    };
    return shape("svg", { viewBox: `0 0 ${WIDE} ${HIGH}`, class: "sweep", role: "img", "aria-label": `Grams of the lightest kit over ${label.toLowerCase()}, from ${say(points[0].x)} to ${say(points.at(-1).x)}` },
      shape("path", { class: "axis", d: `M${LEFT} ${ABOVE} V${HIGH - BELOW} H${WIDE - ABOVE}` }),
      ...[least, most].filter((value, place) => place === 0 || y(least) - y(value) > ABOVE).map((value) => text(grams(value), { x: LEFT - 6, y: y(value) + 4, "text-anchor": "end" })),
      text(say(low), { x: LEFT, y: HIGH - ABOVE, "text-anchor": "start" }),
      text(say(high), { x: WIDE - ABOVE, y: HIGH - ABOVE, "text-anchor": "end" }),
      text(label, { x: (LEFT + WIDE - ABOVE) / 2, y: HIGH - 2, "text-anchor": "middle" }),
      shape("polyline", { class: "line", points: points.map((one) => `${x(one.x).toFixed(1)},${y(one.y).toFixed(1)}`).join(" ") }),
      ...points.map((one) => shape("circle", { class: one.best ? "dot best" : one.beaten ? "dot beaten" : "dot", cx: x(one.x).toFixed(1), cy: y(one.y).toFixed(1), r: one.best ? 7 : 5 })));
  }
}

export { Sweep };
