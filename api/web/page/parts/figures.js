/** Figures with their units, as a reader of these units has them. */

import { digits } from "./digits.js";

const MM_PER_INCH = 25.4; // international inch
const G_PER_OUNCE = 28.349523125; // international avoirdupois ounce
const OUNCES_PER_POUND = 16;
const LEAST_WHOLE_MIN = 9.5; // from here on minutes are told without decimals
const LEAST_WHOLE_G = 10;
const FINE_MM = 10; // thinner parts of a drawing are told to 0.01 mm
const HUNDREDTHS = 100;

class Figures {
  /** `units` are metric or us; without `pounds` masses are told in ounces alone. */
  constructor(units, { pounds = true } = {}) {
    this.us = units === "us";
    this.pounds = pounds;
  }

  format(value, decimals = 1) {
    return digits(value, decimals);
  }

  #unit(value, unit, decimals) {
    return `${digits(value, decimals)} ${unit}`;
  }

  mass(grams) {
    if (!this.us) return this.#unit(grams, "g", grams < LEAST_WHOLE_G ? 1 : 0);
    const ounces = Math.round((10 * grams) / G_PER_OUNCE) / 10;
    const pounds = this.pounds ? Math.floor(ounces / OUNCES_PER_POUND) : 0;
    const rest = this.#unit(ounces - pounds * OUNCES_PER_POUND, "oz", 1);
    return pounds ? `${this.#unit(pounds, "lb", 0)} ${rest}` : rest;
  }

  firewood(kilograms) {
    const pounds = (1000 * kilograms) / G_PER_OUNCE / OUNCES_PER_POUND;
    if (this.us) return pounds < 1 ? this.mass(1000 * kilograms) : this.#unit(pounds, "lb", 1);
    return kilograms < 1 ? this.mass(1000 * kilograms) : this.#unit(kilograms, "kg", 1);
  }

  length(mm) {
    return this.us ? this.#unit(mm / MM_PER_INCH, "in", 2) : this.#unit(mm, "mm", 0);
  }

  /** A length of a drawing: one below 10 mm to 0.01 mm, one below an inch to 0.001 in. */
  drawn(mm) {
    return this.us ? this.#unit(mm / MM_PER_INCH, "in", mm < MM_PER_INCH ? 3 : 1) : this.#unit(mm, "mm", mm < FINE_MM ? 2 : 0);
  }

  /** The size in the name of a tool, such as the length of its blade. */
  nominal(mm) {
    return this.us ? this.#unit(mm / MM_PER_INCH, "in", 1) : this.length(mm);
  }

  minutes(value) {
    return this.#unit(value, "min", value < LEAST_WHOLE_MIN ? 1 : 0);
  }

  /** The short name of the unit of lengths. */
  get lengthName() {
    return this.us ? "in" : "mm";
  }

  /** A shortfall of the service in its unit (mm, g, min, ...). */
  shortfall(value, unit) {
    const known = { mm: () => this.length(value), g: () => this.mass(value), kg: () => this.firewood(value), "kg a day": () => this.firewood(value) };
    const minutes = /^min/.test(unit) ? () => this.minutes(value) : null;
    return (known[unit] ?? minutes ?? (() => `${digits(value, 2)} ${unit}`))();
  }

  /** The text of a number to be edited. */
  editable(value) {
    return Number.isFinite(value) ? String(Math.round(value * HUNDREDTHS) / HUNDREDTHS) : "";
  }
}

export { Figures };
