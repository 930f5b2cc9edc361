/** What things are called: tools by the table, needs by what is asked; and sentences of the service with these names. */

import { digits } from "../parts/digits.js";
import { joined } from "../parts/listing.js";
import { compoundUs, inUnits } from "../parts/told_units.js";

const VERBS = { buck: "Cut", split: "Split", saw: "Saw", chop: "Chop", carve: "Carve" };

const words = (id) => String(id).replaceAll("-", " ");
const sentence = (text) => text.charAt(0).toUpperCase() + text.slice(1);

const copies = (tool) => tool.count || 1;
const massOf = (tool) => copies(tool) * tool.mass_g; // with its copies [g]

class Naming {
  #tools = new Map();
  #jobs = new Map();
  #figures = null;
  #own = new Set(); // ids whose names stand as their owner wrote them
  #ids = null; // a pattern of the ids that may stand in a sentence
  #names = null; // and one of the names with a size

  /** Learn names from rows of tools; `own` ones are kept as they are written, others are common nouns. */
  learn(rows, { own = false } = {}) {
    for (const { id, name } of rows) {
      this.#tools.set(id, name || id);
      if (own) this.#own.add(id);
    }
    this.#ids = this.#names = null;
  }

  /** The units in which names and sentences are told. */
  set figures(figures) {
    this.#figures = figures;
  }

  tool(id) {
    const name = this.#tools.get(id) ?? sentence(words(id));
    return this.#figures ? inUnits(name, this.#figures, { nominal: true }) : name;
  }

  /** A sentence of the service: ids of tools give way to names, metric figures to the reader's. */
  told(text) {
    this.#ids ??= new RegExp(`(?<![\\w-])(?:${[...this.#tools.keys()].filter((id) => id.includes("-")).sort((a, b) => b.length - a.length).join("|") || "(?!)"})(?![\\w-])`, "g");
    return this.#inUnits(this.#named(text).replace(/\bfirewood-(\d+)/g, "firewood of $1 mm")).replace(this.#ids, (id) => this.brief(id));
  }

  /** A sentence with the sizes in names of tools as those names are told elsewhere. */
  #named(text) {
    if (!this.#figures?.us) return text;
    const sized = () => [...this.#tools.values()].filter((name) => / mm\b/.test(name)).sort((a, b) => b.length - a.length);
    this.#names ??= new RegExp(sized().map((name) => name.replace(/[.*+?^${}()|[\]\\]/g, "\\$&")).join("|") || "(?!)", "g");
    return text.replace(this.#names, (name) => inUnits(name, this.#figures, { nominal: true }));
  }

  /** A figure of the service with its unit. */
  figure(value, unit) {
    return this.#measured([value], unit);
  }

  /** A range with its unit. */
  range(low, high, unit) {
    return this.#measured([low, high], unit);
  }

  #measured(values, unit) {
    const [told, name] = this.#figures?.us ? compoundUs(values, unit) : [values, unit];
    return this.#inUnits(`${told.map((value) => this.#plain(value)).join(" to ")}${name === "-" ? "" : ` ${name}`}`);
  }

  #plain(value) {
    return digits(value, 3);
  }

  #inUnits(text) {
    return this.#figures ? inUnits(text, this.#figures) : text;
  }

  /** A name without its measures: what stands before the first comma. */
  short(id) {
    return this.tool(id).replace(/,.*/, "");
  }

  /** A name with its main measure: what stands before the second comma, without the noun of what is measured. */
  brief(id) {
    return this.tool(id).split(", ").slice(0, 2).join(", ").replace(/( fixed)? (blade|chain|head|wire)$/, "");
  }

  /** Brief names of ids. */
  briefs(ids) {
    const names = this.#following([...new Set(ids)], (id) => this.brief(id));
    return names.length ? joined(names) : "nothing";
  }

  /** Short names of ids. */
  shorts(ids) {
    const names = this.shortList([...new Set(ids)]);
    return names.length ? joined(names) : "nothing";
  }

  /** The short name of each id, as they follow each other in a list. */
  shortList(ids) {
    return this.#following(ids, (id) => this.short(id));
  }

  /** Names in a list: a common noun begins with a capital only where it is the first. */
  #following(ids, nameOf) {
    const small = (name) => name.charAt(0).toLowerCase() + name.slice(1);
    return ids.map((id, place) => (place && !this.#own.has(id) ? small(nameOf(id)) : nameOf(id)));
  }

  /** Names of ids that stand as often as a kit holds the tool. */
  tools(ids) {
    const counts = [...Map.groupBy(ids, (id) => id).values()].map(({ length }) => length);
    const names = this.#following([...new Set(ids)], (id) => this.tool(id)).map((name, place) => (counts[place] === 1 ? name : `${counts[place]} × ${name}`));
    return names.length ? joined(names) : "nothing";
  }

  need(need, figures) {
    if (need.because?.facts.stated) return `${VERBS[need.task] ?? need.task} ${figures.length(need.diameter_mm)}`;
    return sentence(this.work(need.id));
  }

  /** What work is called that the trip did not state by itself: a camp job, the fire's. */
  work(id) {
    return this.#jobs.get(id) ?? words(id);
  }

  /** Learn names of camp jobs. */
  learnJobs(rows) {
    for (const { id, name } of rows) this.#jobs.set(id, name.charAt(0).toLowerCase() + name.slice(1));
  }
}

/** The ids of the tools of a kit, each as often as the kit holds it. */
const idsOf = (tools) => tools.flatMap(({ id, count }) => Array.from({ length: count }, () => id));

export { copies, idsOf, massOf, Naming, sentence, words };
