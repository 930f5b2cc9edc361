/** What a person types, in the units of their choice, and what the service takes. */

import { fractionIn } from "../parts/inches.js";

const MM_PER_INCH = 25.4; // international inch
const G_PER_OUNCE = 28.349523125; // international avoirdupois ounce
const OUNCES_PER_POUND = 16;
const M_PER_FOOT = 0.3048; // international foot
const L_PER_QUART = 0.946352946; // US liquid quart
const MIN_PER_HOUR = 60;
const S_PER_MIN = 60;
const F_PER_C = 1.8;
const F_AT_0_C = 32;
const SAID = { length: 0.02, height: 0.02, volume: 0.06 }; // judged: who says so much means it no closer than this share
const STEPS = [1000, 500, 100, 50, 10, 5, 1, 0.5, 0.1, 0.05, 0.01]; // of round figures, the roundest first
const DECIMALS = 1e6; // finer than anyone measures, coarser than binary noise

const METRIC = { length: "mm", mass: "g", temperature: "°C", volume: "litres", height: "m" };
const US = { length: "in", mass: "oz", temperature: "°F", volume: "quarts", height: "ft" };
const SCALE = { length: MM_PER_INCH, mass: G_PER_OUNCE, volume: L_PER_QUART, height: M_PER_FOOT };

// Units that may stand behind a figure, by measure: how much of the service's unit there is in one.
const WRITTEN = {
  length: { mm: 1, cm: 10, in: MM_PER_INCH, inch: MM_PER_INCH, inches: MM_PER_INCH, '"': MM_PER_INCH },
  mass: { g: 1, gram: 1, grams: 1, kg: 1000, oz: G_PER_OUNCE, lb: OUNCES_PER_POUND * G_PER_OUNCE, lbs: OUNCES_PER_POUND * G_PER_OUNCE },
  volume: { l: 1, litre: 1, litres: 1, liter: 1, liters: 1, ml: 0.001, qt: L_PER_QUART, quart: L_PER_QUART, quarts: L_PER_QUART },
  height: { m: 1, ft: M_PER_FOOT, feet: M_PER_FOOT },
  hours: { h: 1, hour: 1, hours: 1, min: 1 / MIN_PER_HOUR, minutes: 1 / MIN_PER_HOUR },
  seconds: { s: 1, sec: 1, second: 1, seconds: 1, min: S_PER_MIN, minute: S_PER_MIN, minutes: S_PER_MIN },
  minutes: { min: 1, minute: 1, minutes: 1, h: MIN_PER_HOUR, hour: MIN_PER_HOUR, hours: MIN_PER_HOUR },
};
const CELSIUS = ["°c", "c", "°"];
const FAHRENHEIT = ["°f", "f"];

const rounded = (value) => Math.round(value * DECIMALS) / DECIMALS;
const celsius = (fahrenheit) => (fahrenheit - F_AT_0_C) / F_PER_C;

/** A text that is no figure; the message says how to write it. */
class Misread extends Error {}

/** The name of the unit of a measure. */
function unitName(measure, units) {
  return (units === "us" ? US : METRIC)[measure];
}

/** The same of one. */
const unitOfOne = (measure, units) => unitName(measure, units).replace(/s$/, "");

/** A figure of the service as a person of these units reads it. */
function shown(value, measure, units) {
  if (units !== "us" || !(measure in US)) return value;
  return measure === "temperature" ? value * F_PER_C + F_AT_0_C : value / SCALE[measure];
}

/** How many decimals a figure has, binary noise aside. */
const decimals = (value) => String(rounded(value)).split(".")[1]?.length ?? 0;

/**
 * A figure of the service as a person of these units says it: 46 °F for 8 °C, 4 in for 100 mm, 1 quart for 1 l.
 *
 * One that is rounder in these units than in the others was meant in them, and stays as it is.
 */
function said(value, measure, units) {
  const [exact, other] = [shown(value, measure, units), shown(value, measure, units === "us" ? "metric" : "us")];
  if (exact === other || decimals(exact) <= decimals(other)) return exact;
  if (measure === "temperature") return Math.round(exact);
  const near = STEPS.map((step) => rounded(Math.round(exact / step) * step)).find((round) => Math.abs(round - exact) <= SAID[measure] * Math.abs(exact));
  return near ?? exact;
}

/** A figure that a person of these units wrote without a unit, as the service takes it. */
function taken(value, measure, units) {
  if (units !== "us" || !(measure in US)) return value;
  return rounded(measure === "temperature" ? celsius(value) : value * SCALE[measure]);
}

/** The number in digits with a point or a comma; throws Misread where it may mean two things or nothing. */
function numberIn(digits, text) {
  const grouped = digits.replace(/[\u00a0\u202f'’ ](?=\d{3}(\D|$))/g, "");
  if (/^-?[1-9]\d{0,2},\d{3}$/.test(grouped)) throw new Misread(`${text} may be ${grouped.replace(",", ".")} or ${grouped.replace(",", "")}; write one of these`);
  if (/^-?(\d+[.,]?\d*|[.,]\d+)$/.test(grouped)) return Number(grouped.replace(",", "."));
  throw new Misread(`${text} is no number; write it as 12 or 1.5`);
}

/**
 * The figure in a text, as the service takes it: `1.5`, `1,5`, `-5 °C`, `10 cm`; of a stopwatch also `1:20`,
 * where inches are meant also `1½` and `1 1/2"`.
 *
 * Without a unit it is in that of `units`. Throws Misread.
 */
function figureIn(text, measure, units) {
  const plain = text.trim().replace(/^[\u2212\u2013]\s*/, "-").replace(/[\u2033\u201d]$/, '"');
  const clock = measure === "seconds" && plain.match(/^(\d+):([0-5]\d(?:[.,]\d+)?)$/);
  if (clock) return rounded(S_PER_MIN * Number(clock[1]) + numberIn(clock[2], text.trim()));
  const inches = measure === "length" ? fractionIn(plain, units === "us") : null;
  if (inches !== null) return rounded(inches * MM_PER_INCH);
  const [, digits, unit] = plain.match(/^(-?[\d.,\u00a0\u202f'’ ]*?)\s*([^\d\s.,][^\d]*)?$/) ?? [null, plain, undefined];
  const value = numberIn(digits || plain, text.trim());
  const written = unit?.trim().toLowerCase().replace(/\.$/, "");
  if (!written) return taken(value, measure, units);
  if (measure === "temperature" && CELSIUS.includes(written)) return value;
  if (measure === "temperature" && FAHRENHEIT.includes(written)) return rounded(celsius(value));
  const scale = WRITTEN[measure]?.[written];
  if (scale === undefined) throw new Misread(`${unit.trim()} is not a unit that fits here; write the number alone`);
  return rounded(value * scale);
}

/**
 * The figures in a text: `40 75 120`, `40, 75, 120 mm`, `40; 75`.
 *
 * A comma separates only with a space behind it: `40,75` is refused. Throws Misread.
 */
function figuresIn(text, measure, units) {
  const words = text.trim().replace(/[\u2033\u201d]/g, '"').replace(/(\d)\s+(?=\d{1,2}\/\d)/g, "$1-").replace(/([\d\u00bc-\u00be\u215b-\u215e])\s+(?=[a-z"])/gi, "$1").split(/\s*[;|]\s*|,\s+|\s+/).filter(Boolean);
  const close = words.find((word) => /\d,\d/.test(word));
  if (close) throw new Misread(`${close} may be one size or two; write ${close.replace(",", ".")} or ${close.replace(",", " ")}`);
  const [unit] = words.at(-1)?.match(/[a-z"]+$/i) ?? [""];
  return words.map((word) => figureIn(/[a-z"]$/i.test(word) ? word : word + unit, measure, units));
}

export { figureIn, figuresIn, Misread, said, shown, unitName, unitOfOne };
