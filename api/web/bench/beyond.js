/** What the service says of a drawing, and what may be asked of it further: a bundle of its own, which comes once the page hears. */

import { ask, Refusal } from "./ask.js";
import { node } from "./dom.js";
import { FORMS } from "./fields.js";
import { Adoption } from "./makers/adoption.js";
import { BestDesign } from "./makers/best_design.js";
import { coded } from "./memory.js";
import { Sweep } from "./sweep.js";
import { tellTool } from "./tool_report.js";
import { tellTrip } from "./trip_report.js";

const BUSY_MS = 300;

const byId = (id) => document.getElementById(id);

class Beyond {
  /** `bench` gives what lies on it: `design`, `others`, `tools`, `trip`, `rivals`; `reports` is filled by id of a drawing, and `onReport` told of it; `onTake` is given a value at a path, `onDraw` a design, `onSay` a notice. */
  constructor({ bench, form, populations, reports, nameOf, onReport, onTake, onDraw, onSay }) {
    Object.assign(this, { bench, form, reports, nameOf, onReport, onTake, onSay });
    const asked = () => ({ design: bench.design, trip: this.#withOthers });
    const sweep = new Sweep(byId("sweep"), { asked, take: onTake });
    const adoption = new Adoption(byId("adoption"), { populations, nameOf, asked: () => ({ design: bench.design, others: bench.others, rivals: bench.rivals }) });
    const best = new BestDesign(byId("best"), { populations, asked, draw: onDraw });
    this.further = [sweep, adoption, best];
    this.show();
  }

  /** Another drawing is shown, or the same anew. */
  show() {
    for (const card of this.further) card.show(this.bench.design);
  }

  /** What stands here is of another drawing or trip, and so is what is asked. */
  age() {
    for (const card of this.further) card.age();
    this.asking?.abort();
  }

  /** Ask about what lies on the bench: each drawing, then the trip. */
  async ask() {
    this.asking?.abort();
    const { signal } = (this.asking = new AbortController());
    const busy = setTimeout(() => byId("busy").classList.add("on"), BUSY_MS);
    try {
      await this.#askTools(signal);
      this.onSay("");
      await this.#askTrip(signal);
    } catch (error) {
      if (!signal.aborted) this.#refused(error);
    } finally {
      clearTimeout(busy);
      if (!signal.aborted) byId("busy").classList.remove("on");
    }
  }

  /** Score every drawing, the one that is shown first; its faults stand beside their fields. */
  async #askTools(signal) {
    const { design: shown, others } = this.bench;
    for (const design of [shown, ...others]) {
      const [score, section] = await this.#scored(design, signal);
      const { mass_g: mass, cover_g: cover } = score.tool;
      this.reports.set(design.id, { score, section, packed: mass + cover });
      if (design === shown) {
        this.form.mark([]);
        byId("strays").hidden = true;
        tellTool(byId("tool"), { design, score, section }, this.onTake);
      }
      this.onReport(design);
    }
  }

  async #scored(design, signal) {
    try {
      return await Promise.all([
        ask("/v1/designs/score", design, signal),
        design.drawing.form === "knife" ? ask("/v1/designs/minimum-section", { design }, signal) : null,
      ]);
    } catch (error) {
      if (error instanceof Refusal && design !== this.bench.design) {
        error.problem = { ...error.problem, title: `${FORMS[design.drawing.form].name}: this cannot be drawn`, errors: [], detail: error.problem.errors?.[0]?.detail ?? error.problem.detail };
      }
      throw error;
    }
  }

  /** The trip with tools added that were drawn. */
  #more(tools) {
    const { trip } = this.bench;
    return { ...trip, extra_tools: [...(trip.extra_tools ?? []), ...tools], ...(trip.only ? { only: [...trip.only, ...tools.map(({ id }) => id)] } : {}) };
  }

  /** The trip with the other drawn tools, as far as they are scored. */
  get #withOthers() {
    const others = this.bench.others.filter(({ id }) => this.reports.has(id));
    return this.#more(others.map(({ id }) => this.reports.get(id).score.tool));
  }

  async #askTrip(signal) {
    const { design, rivals, tools, trip } = this.bench;
    const rows = tools.map(({ id }) => this.reports.get(id).score.tool);
    const ids = rows.map(({ id }) => id);
    const plain = (asked) => ({ ...asked, detail: "kit" });
    const others = rows.filter(({ id }) => id !== design.id);
    const [own, rival, without, together, allowance] = await Promise.all([
      ask("/v1/kits/check", { kit: ids, trip: this.#more(rows) }, signal),
      rivals.length ? ask("/v1/kits/check", { kit: rivals, trip }, signal) : null,
      ask("/v1/kits", plain(trip), signal),
      ask("/v1/kits", plain(this.#more(rows)), signal),
      ask("/v1/designs/allowance", { design, trip: this.#more(others) }, signal),
    ]);
    const { packed } = this.reports.get(design.id);
    tellTrip({ verdict: byId("verdict"), bar: byId("bar"), allowance: byId("allowance"), kits: byId("kits") }, { own, rival, without, together, allowance, packed, nameOf: this.nameOf, design });
    byId("plan").href = `/#trip=${coded(this.#more(rows))}`;
  }

  #refused(error) {
    const { title, detail, errors } = error instanceof Refusal ? error.problem : { title: "Something went wrong on this page", detail: String(error), errors: [] };
    const ofDrawing = (errors ?? []).filter(({ pointer }) => /^#\/(design\/)?(drawing|id|name|kind)/.test(pointer));
    if (ofDrawing.length && ofDrawing.length === errors.length) {
      const strays = this.form.mark(errors);
      byId("strays").hidden = !strays.length;
      byId("strays").replaceChildren(...strays.map((one) => node("p", { textContent: one.detail })));
      this.onSay("This cannot be drawn. The answers below are of the last drawing that can be.");
      return;
    }
    this.onSay([`${title}.`, ...(errors?.length ? errors.map((one) => one.detail) : [detail])].join(" "));
  }
}

export { Beyond };
