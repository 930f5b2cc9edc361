/** What a person types, in the units of their choice, and what the service takes. */

const MM_PER_INCH = 25.4; // international inch
const G_PER_OUNCE = 28.349523125; // international avoirdupois ounce
const M_PER_FOOT = 0.3048; // international foot
const L_PER_QUART = 0.946352946; // US liquid quart
const F_PER_C = 1.8;
const F_AT_0_C = 32;
const DECIMALS = 1e6; // finer than anyone measures, coarser than binary noise

const METRIC = { length: "mm", mass: "g", temperature: "°C", volume: "litres", height: "m" };
const US = { length: "in", mass: "oz", temperature: "°F", volume: "quarts", height: "ft" };
const SCALE = { length: MM_PER_INCH, mass: G_PER_OUNCE, volume: L_PER_QUART, height: M_PER_FOOT };

const rounded = (value) => Math.round(value * DECIMALS) / DECIMALS;

/** The name of the unit of a measure. */
function unitName(measure, units) {
  return (units === "us" ? US : METRIC)[measure];
}

/** A figure of the service as a person of these units reads it. */
function shown(value, measure, units) {
  if (units !== "us" || !measure) return value;
  return measure === "temperature" ? value * F_PER_C + F_AT_0_C : value / SCALE[measure];
}

/** A figure that a person of these units wrote, as the service takes it. */
function taken(value, measure, units) {
  if (units !== "us" || !measure) return value;
  return rounded(measure === "temperature" ? (value - F_AT_0_C) / F_PER_C : value * SCALE[measure]);
}

/** The number in a text, or the text itself where it is none: the service says what is wrong with it. */
function read(text, figures) {
  const value = figures.read(text);
  return Number.isNaN(value) ? text.trim() : value;
}

export { read, shown, taken, unitName };
