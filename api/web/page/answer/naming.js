/** What things are called: tools by the table, needs by what is asked. */

const VERBS = { buck: "Cut", split: "Split", saw: "Saw", chop: "Chop", carve: "Carve" };

const words = (id) => String(id).replaceAll("-", " ");
const sentence = (text) => text.charAt(0).toUpperCase() + text.slice(1);
const joined = (names) => new Intl.ListFormat("en", { type: "conjunction" }).format(names);

const copies = (tool) => tool.count || 1;
const massOf = (tool) => copies(tool) * tool.mass_g; // with its copies [g]

class Naming {
  #tools = new Map();

  /** Learn names from rows of tools, of the table or of a trip. */
  learn(rows) {
    for (const { id, name } of rows) this.#tools.set(id, name || id);
  }

  tool(id) {
    return this.#tools.get(id) ?? sentence(words(id));
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
    const names = [...new Set(ids)].map((id) => this.brief(id));
    return names.length ? joined(names) : "nothing";
  }

  /** Short names of ids. */
  shorts(ids) {
    const names = [...new Set(ids)].map((id) => this.short(id));
    return names.length ? joined(names) : "nothing";
  }

  /** Names of ids that stand as often as a kit holds the tool. */
  tools(ids) {
    const counts = Map.groupBy(ids, (id) => id);
    const names = [...counts].map(([id, { length }]) => (length === 1 ? this.tool(id) : `${length} × ${this.tool(id)}`));
    return names.length ? joined(names) : "nothing";
  }

  need(need, figures) {
    if (need.because?.facts.stated) return `${VERBS[need.task] ?? need.task} ${figures.length(need.diameter_mm)}`;
    return sentence(words(need.id));
  }
}

/** The ids of the tools of a kit, each as often as the kit holds it. */
const idsOf = (tools) => tools.flatMap(({ id, count }) => Array.from({ length: count }, () => id));

export { copies, idsOf, joined, massOf, Naming, sentence, words };
