/** Figures as people write and read them, in the units of their choice. */

import { digits } from "../page/parts/digits.js";
import { Figures } from "../page/parts/figures.js";
import { fractionIn } from "../page/parts/inches.js";
import { inUnits } from "../page/parts/told_units.js";

const MM_PER_INCH = 25.4; // international inch
const G_PER_OUNCE = 28.349523125; // international avoirdupois ounce
const DIGITS = 1e4;

const SCALE = { mm: MM_PER_INCH, g: G_PER_OUNCE };
const US = { mm: "in", g: "oz" };

let figures = new Figures("metric");

/** Tell all in these units; masses in ounces alone, as its fields have them. */
function useUnits(chosen) {
  figures = new Figures(chosen, { pounds: false });
}

const isUs = () => figures.us;

/** The unit that stands beside a figure. */
function unitOf(unit) {
  return (isUs() && US[unit]) || unit;
}

/** A figure of the drawing as it stands in an input. */
function written(value, unit) {
  if (value === undefined || value === null) return "";
  if (typeof value !== "number") return String(value);
  const shown = isUs() && SCALE[unit] ? value / SCALE[unit] : value;
  return String(Math.round(shown * DIGITS) / DIGITS);
}

/** The figure in a text; undefined where it is empty, the text itself where it is no number. A comma is a point, inches may have a fraction. */
function read(text, unit) {
  const trimmed = text.trim();
  if (!trimmed) return undefined;
  const inches = unit === "mm" ? fractionIn(trimmed, isUs()) : null;
  if (inches !== null) return Math.round(inches * MM_PER_INCH * DIGITS) / DIGITS;
  const value = /^[-+\u2212]?\d+([.,]\d*)?$|^[-+\u2212]?[.,]\d+$/.test(trimmed) ? Number(trimmed.replace(",", ".").replace("\u2212", "-")) : Number.NaN;
  if (Number.isNaN(value)) return trimmed;
  return isUs() && SCALE[unit] ? Math.round(value * SCALE[unit] * DIGITS) / DIGITS : value;
}

/** A number with so many significant digits, without needless zeros. */
function short(value, most = 2) {
  const whole = Math.abs(value) >= 10 ** most;
  return whole ? digits(value, 0) : digits(Number(value.toPrecision(most)), 3);
}

/** A mass with its unit, of one tool beside another: ounces alone. */
function grams(value) {
  return isUs() ? `${(value / G_PER_OUNCE).toFixed(1)} oz` : `${digits(value, 0)} g`;
}

/** A length with its unit; thin ones to 0.01 mm. */
const length = (value) => figures.drawn(value);

/** A sentence of the service or the name of a tool, which are metric, in the units of the reader. */
const told = (text, options) => inUnits(text, figures, options);

const minutes = (value) => `${Math.round(value)} min`;

/** A margin as a share more, or a share too little. */
function margin(value) {
  const share = Math.round(Math.abs(value) * 100);
  return value < 0 ? `${share} % short` : `${share} % to spare`;
}

export { grams, isUs, length, margin, minutes, read, short, told, unitOf, useUnits, written };
