/** What each tool or method of an answer does: the wood it works on, how much of its reach is left, and the minutes. */

import { joined } from "../parts/listing.js";
import { sentence, words } from "./naming.js";

const DOES = { buck: "cuts to length", split: "splits", saw: "saws", chop: "chops", carve: "carves" };
const TIMES = { buck: ["cut", "cuts"], split: ["round", "rounds"], saw: ["cut", "cuts"], chop: ["cut", "cuts"], carve: ["piece", "pieces"] };
const TOTAL = 0.995; // a share that counts as all of it

/** Stated work and camp work of one tool. */
function stated(need, id, figures, naming) {
  return need.done_with
    .filter((part) => part.id === id && need.diameter_mm !== null)
    .map(({ share, spare_mm: spare }) => {
      const tight = need.parts.find((part) => part.done_with.some((one) => one.id === id && one.spare_mm === spare));
      const { diameter_mm: mm } = tight ?? need;
      const [one, several] = TIMES[need.task] ?? ["piece", "pieces"];
      const often = `${figures.format(need.per_day)} ${need.per_day === 1 ? one : several} a day`;
      const what = need.because?.facts.stated ? "" : ` for ${naming.work(need.id)}`;
      const part = share < TOTAL ? `, ${figures.format(100 * share, 0)}% of it` : "";
      return { brief: figures.length(mm) + what, does: DOES[need.task] ?? words(need.task), mm, spare, minutes: share * (need.minutes_per_day ?? 0), split: need.task === "split", what: `${figures.length(mm)}${what}`, amount: often + part };
    });
}

/** Firewood of one tool or method. */
function firewood(working, id, figures) {
  const told = (part, does, mm, split, what) => ({ brief: figures.length(working.diameter_mm), does, mm, spare: part.spare_mm, minutes: part.minutes_per_day, split, what, amount: `${figures.firewood(part.kg_per_day)} a day` });
  const across = working.buck
    .filter((part) => part.id === id)
    .map((part) => told(part, part.ways?.some(({ way }) => way === "saw") ? "saws" : "cuts to length", working.diameter_mm, false, `firewood of ${figures.length(working.diameter_mm)}`));
  const along = working.split
    .filter((part) => part.id === id)
    .map((part) => {
      const pieces = part.part === "pieces";
      const mm = pieces ? working.diameter_mm / 2 : working.diameter_mm;
      return told(part, "splits", mm, true, `${pieces ? "pieces of firewood" : "firewood"} of ${figures.length(working.diameter_mm)}`);
    });
  return [...across, ...along];
}

/** Every use of a tool or method: {does, what, mm, spare, minutes, amount, split}, the tightest first. */
function usesOf(answer, id, figures, naming) {
  const found = [...answer.needs.flatMap((need) => stated(need, id, figures, naming)), ...answer.workings.flatMap((working) => firewood(working, id, figures))];
  return found.sort((a, b) => a.spare - b.spare || b.minutes - a.minutes);
}

const spareOf = (use, figures) => (use.spare > 0 ? `${figures.length(use.spare)} to spare` : "nothing to spare");

/** One use as a sentence. */
function toldUse(use, figures) {
  return sentence(`${use.does} ${use.what}: ${use.amount}, ${figures.minutes(use.minutes)}, ${spareOf(use, figures)}.`);
}

/** Which of the wood that the trip names is burnt, where it is not all; else nothing. */
function leftLying({ workings, gaps }, { wood }, figures) {
  const burnt = workings.filter((one) => one.kg_per_day > 0).map((one) => one.diameter_mm);
  const rest = (wood?.diameters_mm ?? []).filter((mm) => !burnt.includes(mm));
  if (gaps.length || !burnt.length || !rest.length) return "";
  const told = (sizes) => joined(sizes.map((mm) => figures.length(mm)));
  return `Burns wood of ${told(burnt)}, of which there is enough; that of ${told(rest)} stays where it lies.`;
}

/** Why a tool is in the pack, in one line. */
function because(answer, tool, uses, figures, naming) {
  const [tightest] = uses;
  if (tightest) return sentence(`${tightest.does} ${tightest.brief}, ${spareOf(tightest, figures)}`);
  const reason = (answer.reasons ?? []).find((one) => one.tool === tool.id);
  const said = reason?.text.replace(`${tool.name}: `, "");
  return said ? sentence(naming.told(said)) : "";
}

export { because, leftLying, spareOf, toldUse, usesOf };
