/** Sentences and names of the service, which are metric, in the units of the reader. */

const NUMBER = "[+\\u2212-]?\\d+(?:,\\d{3})*(?:\\.\\d+)?";
// A unit ends its word, has no power, and is no part of another unit, as in `g/cm3`.
const MEASURED = new RegExp(`(?<![\\w.,])(${NUMBER})(?:( to | and |-)(${NUMBER}))? (mm|g|kg|km|m|l|C)(?![\\w^²³/])`, "g");
const KM_PER_MILE = 1.609344; // international mile
const M_PER_FOOT = 0.3048; // international foot
const L_PER_QUART = 0.946352946; // US liquid quart
const F_PER_C = 1.8;
const F_AT_0_C = 32;
const KG_PER_LB = 0.45359237; // international avoirdupois pound
const MM_PER_IN = 25.4; // international inch
const THIN_MM = 10; // what is thinner is a part of a tool
const FIGURES = 3; // significant: judged figures have no more
// Units of assumed figures that hold others: how many of the US unit, and its name; what follows it stays.
const COMPOUND = [
  [/^kg\/h$/, 1 / KG_PER_LB, "lb/h"],
  [/^minutes a kg$/, KG_PER_LB, "minutes a lb"],
  [/^kg\/m3$/, M_PER_FOOT ** 3 / KG_PER_LB, "lb/ft3"],
  [/^m2$/, M_PER_FOOT ** -2, "ft2"],
  [/^mm\/s$/, 1 / MM_PER_IN, "in/s"],
  [/^kW per degree$/, 1 / F_PER_C, "kW per \u00b0F"],
  [/^cm2(?= )/, 100 / MM_PER_IN ** 2, "sq in"],
  [/^cm3(?= |$)/, 1000 / MM_PER_IN ** 3, "cu in"],
];

/** How each unit is told to a reader of US units; a nominal length is that in a name. */
function usFigure(value, unit, figures, nominal) {
  const scaled = (by, name) => `${figures.format(value / by, 2)} ${name}`;
  const known = {
    mm: () => (nominal ? figures.nominal(value) : value < THIN_MM ? figures.drawn(value) : figures.length(value)),
    g: () => (value < 0 ? `-${figures.mass(-value)}` : figures.mass(value)),
    kg: () => figures.firewood(value),
    km: () => scaled(KM_PER_MILE, "mi"),
    m: () => scaled(M_PER_FOOT, "ft"),
    l: () => scaled(L_PER_QUART, "qt"),
    C: () => `${figures.format(value * F_PER_C + F_AT_0_C, 0)} °F`,
  };
  return known[unit]();
}

/** The values of a figure and its unit, as a reader of US units has them where the unit holds others. */
function compoundUs(values, unit) {
  const known = COMPOUND.find(([pattern]) => pattern.test(unit));
  return known ? [values.map((value) => Number((value * known[1]).toPrecision(FIGURES))), unit.replace(known[0], known[2])] : [values, unit];
}

/** A sentence, or a name with its nominal sizes, in the units of the reader; where they are metric, only degrees get their sign. */
function inUnits(text, figures, { nominal = false } = {}) {
  const tell = (whole, low, between, high, unit) => {
    if (!figures.us) return unit === "C" ? whole.replace(/C$/, "°C") : whole;
    const read = (number) => Number(number.replaceAll(",", "").replace("\u2212", "-"));
    const ends = [low, high].filter((end) => end !== undefined).map((end) => usFigure(read(end), unit, figures, nominal));
    if (between === "-") ends[0] = ends[0].replace(/ \S+$/, ""); // 1.34-1.57 in
    return ends.join(between);
  };
  return text.replace(MEASURED, tell);
}

export { compoundUs, inUnits };
