/** What is half typed beside the trip, such as a tool that is not added yet: kept on this device until it is. */

import { HALF, recall, remember } from "./memory.js";

/** What is kept: values by the ids of controls. */
function halfTyped() {
  const kept = recall(HALF);
  return kept && typeof kept === "object" && !Array.isArray(kept) ? kept : {};
}

/** Keep a value under a name; null drops it. */
function keepHalf(name, value) {
  const { [name]: _, ...others } = halfTyped();
  remember(HALF, value === null ? others : { ...others, [name]: value });
}

/** The controls of one part of the page. */
class HalfTyped {
  /** What is typed, chosen or pressed in `root` is kept from now on; what was kept is put back. */
  constructor(root) {
    this.root = root;
    for (const kind of ["input", "change", "click"]) root.addEventListener(kind, () => this.#keep());
    this.putBack();
    const written = [...this.#controls].some((control) => control.tagName === "INPUT" && control.value);
    const fold = root.closest("details.part");
    if (written && fold) fold.open = true;
  }

  /** Put back what is kept: again once a list to choose from has its options. */
  putBack() {
    const kept = halfTyped();
    for (const control of this.#controls) {
      const value = kept[control.id];
      const known = control.tagName === "INPUT" || [...control.options].some((option) => option.value === value);
      if (typeof value === "string" && known) control.value = value;
    }
  }

  get #controls() {
    return this.root.querySelectorAll("input[type=text][id], select[id]");
  }

  #keep() {
    const others = halfTyped();
    for (const { id, value } of this.#controls) {
      if (value) others[id] = value;
      else delete others[id];
    }
    remember(HALF, others);
  }
}

export { halfTyped, HalfTyped, keepHalf };
