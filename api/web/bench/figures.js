/** Figures as people write and read them, in the units of their choice. */

import { digits } from "../page/parts/digits.js";

const MM_PER_INCH = 25.4; // international inch
const G_PER_OUNCE = 28.349523125; // international avoirdupois ounce
const DIGITS = 1e4;

const SCALE = { mm: MM_PER_INCH, g: G_PER_OUNCE };
const US = { mm: "in", g: "oz" };

let units = "metric";

function useUnits(chosen) {
  units = chosen;
}

const isUs = () => units === "us";

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

/** The figure in a text; undefined where it is empty, the text itself where it is no number. A comma is a point. */
function read(text, unit) {
  const trimmed = text.trim();
  if (!trimmed) return undefined;
  const value = /^[-+\u2212]?\d+([.,]\d*)?$|^[-+\u2212]?[.,]\d+$/.test(trimmed) ? Number(trimmed.replace(",", ".").replace("\u2212", "-")) : Number.NaN;
  if (Number.isNaN(value)) return trimmed;
  return isUs() && SCALE[unit] ? Math.round(value * SCALE[unit] * DIGITS) / DIGITS : value;
}

/** A number with so many significant figures, without needless zeros. */
function short(value, figures = 2) {
  const whole = Math.abs(value) >= 10 ** figures;
  return whole ? digits(value, 0) : digits(Number(value.toPrecision(figures)), 3);
}

function grams(value) {
  return isUs() ? `${(value / G_PER_OUNCE).toFixed(1)} oz` : `${digits(value, 0)} g`;
}

/** A length with its unit; thin ones to 0.01 mm. */
function length(value) {
  if (isUs()) return `${(value / MM_PER_INCH).toFixed(value < MM_PER_INCH ? 3 : 1)} in`;
  return `${digits(value, value < 10 ? 2 : 0)} mm`;
}

const SIZED = /(?<![\w.,-])(\d[\d,]*(?:\.\d+)?)(?:( to |-)(\d[\d,]*(?:\.\d+)?))? (mm|g)(?![\w^²³/])/g;

/** A sentence of the service or the name of a tool, which are metric, in the units of the reader. */
function told(text) {
  if (!isUs()) return text;
  const shown = (figure, unit) => (unit === "mm" ? length : grams)(Number(figure.replaceAll(",", ""))).replace(/\.0+(?= )/, "");
  const end = (figure, unit) => digits(Number(figure.replaceAll(",", "")) / SCALE[unit], 2);
  return text.replace(SIZED, (_, low, between, high, unit) => (high ? `${end(low, unit)}${between}${end(high, unit)} ${US[unit]}` : shown(low, unit)));
}

const minutes = (value) => `${Math.round(value)} min`;

/** A margin as a share more, or a share too little. */
function margin(value) {
  const share = Math.round(Math.abs(value) * 100);
  return value < 0 ? `${share} % short` : `${share} % to spare`;
}

export { grams, isUs, length, margin, minutes, read, short, told, unitOf, useUnits, written };
