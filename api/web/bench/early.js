/** What a person does on the bench before its tables have come: nothing of it is lost. */

import { remember, UNITS } from "../page/device/memory.js";

class Early {
  #pressed = [];

  /** Hear from now on. */
  constructor() {
    this.name = document.getElementById("name");
    document.addEventListener("click", this.#press);
    document.addEventListener("change", this.#choose);
  }

  #press = ({ target }) => {
    const button = target.closest("[data-add], #remove");
    if (button) this.#pressed.push(button);
  };

  #choose = ({ target }) => {
    if (target.name === "units") remember(UNITS, target.value);
  };

  /** Hand over to `start`, and do what was done before; what `start` returns. */
  replay(start) {
    const typed = this.name.value;
    document.removeEventListener("click", this.#press);
    document.removeEventListener("change", this.#choose);
    const started = start();
    for (const button of this.#pressed) button.click();
    if (typed) {
      this.name.value = typed;
      this.name.dispatchEvent(new Event("input", { bubbles: true }));
    }
    return started;
  }
}

export { Early };
