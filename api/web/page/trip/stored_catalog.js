/** A catalog that is stored on the service: its name goes with the trip, its key stays in this tab. */

import { node } from "../parts/node.js";
import { recall, remember, TAB_KEY } from "../device/memory.js";
import { get, Refusal, useKey } from "../device/service.js";

const [NO_KEY, TOO_LITTLE, NOT_THERE] = [401, 403, 404]; // RFC 9110

class StoredCatalog {
  #name = null; // of the catalog that the trip uses
  #loaded = null;

  /** `onChange` is called when another catalog is used, `onTools` with its rows once they are there, or null for the table. */
  constructor(root, { onChange, onTools }) {
    Object.assign(this, { onChange, onTools });
    this.name = node("input", { type: "text", id: "catalog-name", maxLength: 80, autocapitalize: "none", spellcheck: false });
    this.key = node("input", { type: "password", id: "catalog-key", maxLength: 200, autocomplete: "off" });
    this.told = node("p", { className: "help", role: "status" });
    this.fault = node("p", { className: "fails", role: "alert", hidden: true });
    const use = node("button", { type: "button", textContent: "Use this catalog" });
    this.leave = node("button", { type: "button", textContent: "Use the table again", hidden: true });
    use.addEventListener("click", () => this.#use());
    this.leave.addEventListener("click", () => this.#leave());
    const field = (label, control) => node("div", { className: "field" }, node("label", { htmlFor: control.id, textContent: label }), control);
    root.append(
      node("p", { className: "help", textContent: "Its tools take the place of the table. The name goes into your link, the key does not: it is forgotten when you close this tab." }),
      node("div", { className: "fields" }, field("Name of the catalog", this.name), field("Key, if the service asks for one", this.key)),
      node("p", { className: "actions" }, use, this.leave),
      this.fault,
      this.told,
    );
    this.key.value = recall(TAB_KEY, sessionStorage) ?? "";
  }

  /** Show what a trip names. */
  show(name) {
    if (name === this.#name || (!name && !this.#name)) return;
    this.#name = name || null;
    this.name.value = name ?? "";
    this.#showKey();
    this.#tell();
    if (this.#name) this.#load();
    else this.onTools(null);
  }

  /** The key goes along where a catalog is used: a wrong one is refused with whatever is asked. */
  #showKey() {
    useKey(this.#name ? this.key.value.trim() : "");
  }

  get used() {
    return this.#name;
  }

  /** What a problem says of the catalog that is used, or null where it says nothing of it. */
  faultOf({ status, detail }) {
    return this.#name ? this.#ofKey(status, detail) : null;
  }

  /** What is wrong with the key, or null where it is not the key. */
  #ofKey(status, detail) {
    if (status === NO_KEY) return this.key.value.trim() ? "The service does not know this key; it may have expired." : "This catalog needs a key. Write it here.";
    return status === TOO_LITTLE ? `${detail}.` : null;
  }

  async #use() {
    const name = this.name.value.trim();
    if (!name) return this.#refuse("Write the name of a catalog.", this.name);
    const key = this.key.value.trim();
    remember(TAB_KEY, key, sessionStorage);
    this.#loaded = null;
    const before = this.#name;
    this.#name = name;
    this.#showKey();
    const wrong = await this.#load();
    if (!wrong) return this.onChange();
    this.#name = before;
    this.#showKey();
    this.#tell();
    return wrong.focus(); // only where a person asked: a link that is opened takes no focus
  }

  #leave() {
    this.#name = this.#loaded = null;
    this.name.value = "";
    this.#showKey();
    this.#refuse("");
    this.#tell();
    this.onTools(null);
    this.onChange();
    this.name.focus();
  }

  /** Fetch the rows of the catalog; null, or the field that has to change. */
  async #load() {
    this.#refuse("");
    const name = this.#name;
    const [stem, revision] = name.split("@");
    const path = `/v1/catalogs/${encodeURIComponent(stem)}${revision ? `/revisions/${encodeURIComponent(revision)}` : ""}`;
    try {
      const { tools } = await get(path);
      if (name !== this.#name) return null;
      this.#loaded = tools.length;
      this.onTools(tools);
      this.#tell();
      return null;
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      const { status, title, detail } = error.problem;
      const ofKey = this.#ofKey(status, detail);
      this.#refuse(ofKey ?? (status === NOT_THERE ? `There is no catalog ${name}.` : `${title}.`));
      return ofKey ? this.key : this.name;
    }
  }

  #tell() {
    this.leave.hidden = !this.#name;
    this.told.textContent = this.#name && this.#loaded !== null ? `In use: ${this.#name}, ${this.#loaded} ${this.#loaded === 1 ? "tool" : "tools"}.` : "";
  }

  #refuse(why, control = null) {
    this.fault.hidden = !why;
    this.fault.textContent = why;
    control?.focus();
  }
}

export { StoredCatalog };
