/** Inches with a fraction, as people write them: `1½`, `½`, `1 1/2"`, `1-1/2`, `3/4`. */

const INCHES = ["in", "inch", "inches", '"'];
const PARTS = { "\u00bc": 1 / 4, "\u00bd": 1 / 2, "\u00be": 3 / 4, "\u215b": 1 / 8, "\u215c": 3 / 8, "\u215d": 5 / 8, "\u215e": 7 / 8 };
// a whole number, a part, a unit
const FRACTION = new RegExp(`^(?:(\\d{1,3})?[ -]?([${Object.keys(PARTS).join("")}])|(?:(\\d{1,3})[ -])?(\\d{1,2})/(2|4|8|16|32))\\s*([a-z"]*)$`, "i");

/** Inches in a text with a fraction; null where it has none, or what is meant is no inches. `bare`: whether a fraction without a unit means them. */
function fractionIn(text, bare) {
  const [, before, sign, whole, above, below, unit] = text.replace(/[\u2033\u201d]$/, '"').match(FRACTION) ?? [];
  if (unit === undefined || Number(above) >= Number(below)) return null;
  if (unit ? !INCHES.includes(unit.toLowerCase()) : !bare) return null;
  return Number(before ?? whole ?? 0) + (PARTS[sign] ?? above / below);
}

export { fractionIn };
