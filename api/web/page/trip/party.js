/** Who carries what at most, as one line: `Ann 4000; Ben 2500`, `Ann 4000, Ben 2500` or `Ann:4000|Ben:2500`. Cells are read the same way, in `api/sheet/cell.py`. */

const TWO_AMOUNTS = /^(.*\S)\s([1-9]\d{0,2})\s(\d{3}(?:[.,]\d+)?)$/s; // `Ann 1 200`: 1200, or 200 of Ann 1
const SEPARATOR = /[|;]|(?<=\d)\s*,\s+(?=\D)/; // a comma behind an amount, with a space before the next name

/** The members of a party as a line. */
function partyAsText(members, figure) {
  if (!Array.isArray(members)) return String(members);
  return members.map(({ name, carries_at_most_g: most }) => `${name} ${figure(most)}`).join("; ");
}

/** The name and the amount in a part of such a line: the amount follows the last colon, else the last space. Throws an Error where it may be one number or two. */
function memberIn(part) {
  const [, name, amount] = part.match(/^(?:(.*):)?\s*([^:]*)$/s);
  if (name !== undefined) return [name.trim(), amount];
  const two = part.match(TWO_AMOUNTS);
  if (two) throw new Error(`${part} may end with ${two[2]}${two[3]} or with ${two[3]}; write ${two[1]}:${two[2]}${two[3]}, or ${two[1]} ${two[2]}:${two[3]}`);
  const last = amount.match(/^(?:(.*)\s)?(\S+)$/s);
  return [(last[1] ?? "").trim().replace(/\s+/g, " "), last[2]];
}

/**
 * The members in a line.
 *
 * `figure` gives the grams of a text, or the text where it is no number; `unit` and `form` say how a member is written.
 * Throws an Error that names the part which is no name with an amount, or the name that stands twice.
 */
function partyIn(line, { figure, unit, form }) {
  const found = new Map();
  for (const part of line.split(SEPARATOR).map((one) => one.trim()).filter(Boolean)) {
    const [name, amount] = memberIn(part);
    const most = figure(amount);
    if (name.includes(",")) throw new Error(`${part} holds a comma; separate the members with | or ;`);
    if (typeof most !== "number") throw new Error(`${part} does not end with ${unit}; write ${form}`);
    if (!name) throw new Error(`${part} has no name before it; write ${form}`);
    if (found.has(name)) throw new Error(`${name} stands twice; give each member a name of their own`);
    found.set(name, most);
  }
  return [...found].map(([name, most]) => ({ name, carries_at_most_g: most }));
}

export { partyAsText, partyIn };
