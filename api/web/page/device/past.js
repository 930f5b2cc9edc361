/** What was planned before: steps back and forth through the trips of this visit. */

const MOST = 200; // of some kilobytes each

class Past {
  #steps = []; // trips as text, the oldest first
  #at = -1;

  /** Add a trip behind the one that is shown; what came after it is let go. */
  keep(trip) {
    const text = JSON.stringify(trip);
    if (text === this.#steps[this.#at]) return;
    this.#steps = [...this.#steps.slice(0, this.#at + 1), text].slice(-MOST);
    this.#at = this.#steps.length - 1;
  }

  /** The trip that is shown, worded otherwise: it is the same step. */
  retell(before, after) {
    if (JSON.stringify(before) === this.#steps[this.#at]) this.#steps[this.#at] = JSON.stringify(after);
  }

  get hasBefore() {
    return this.#at > 0;
  }

  get hasAfter() {
    return this.#at < this.#steps.length - 1;
  }

  /** The trip one step back (-1) or forth (1). */
  step(by) {
    this.#at = Math.min(this.#steps.length - 1, Math.max(0, this.#at + by));
    return JSON.parse(this.#steps[this.#at]);
  }
}

export { Past };
