/** A long question: how far it is, a way to stop, and what is told of both. */

import { ask, asLines, Refusal } from "../ask.js";
import { node } from "../dom.js";

/** A button that asks and then stops, a bar, and a line of text. */
class LongAsk {
  /** `go` is given a signal and does the asking; `name` is what the button says. */
  constructor(name, go) {
    this.name = name;
    this.go = go;
    this.button = node("button", { type: "button", textContent: name });
    this.bar = node("progress", { hidden: true, set: { "aria-label": `${name}: how far it is` } });
    this.said = node("p", { set: { role: "status" } });
    this.parts = [node("p", { className: "row" }, this.button, this.bar), this.said];
    this.button.addEventListener("click", () => (this.running ? this.stop("Stopped.") : this.#run()));
  }

  say(text) {
    this.said.textContent = text;
  }

  /** End what is asked, if anything is. */
  stop(text = "") {
    if (!this.running) return;
    this.running.abort();
    this.running = null;
    this.#rest();
    this.say(`${this.reached ?? ""} ${text}`.trim());
  }

  /** Show a share of the work from 0 to 1; null where it is not known. */
  show(share) {
    if (share === null) this.bar.removeAttribute("value");
    else this.bar.value = Math.min(1, share);
  }

  #rest() {
    this.button.textContent = this.name;
    this.bar.hidden = true;
  }

  async #run() {
    const running = (this.running = new AbortController());
    this.reached = null;
    this.button.textContent = "Stop";
    this.bar.hidden = false;
    this.show(null);
    try {
      await this.go(running.signal);
    } catch (error) {
      if (running.signal.aborted) return;
      if (!(error instanceof Refusal)) throw error;
      const { title, errors, detail } = error.problem;
      this.say([`${title}.`, ...(errors?.length ? errors.map((one) => one.detail) : [detail])].join(" "));
    } finally {
      if (this.running === running) {
        this.running = null;
        this.#rest();
      }
    }
  }
}

/** POST a long question; `progress` is told programs solved and seconds. */
const askLong = (path, body, signal, progress) => ask(path, body, signal, asLines(progress));

export { askLong, LongAsk };
