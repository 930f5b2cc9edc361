/** The bench between visits: in the part of the address after the #, which browsers keep to themselves, and on this device. */

import { recall, remember } from "../page/device/memory.js";

const KEY = "#bench=";
const SHELF = "kitwright-bench";
const LONGEST = 200_000;
const FROM_PLANNER = "?trip=planner"; // the planner's link asks about the trip that is planned there

/** Text of a value as part of an address (base64url of its JSON). */
function coded(value) {
  let text = "";
  for (const byte of new TextEncoder().encode(JSON.stringify(value))) text += String.fromCharCode(byte);
  return btoa(text).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
}

function decoded(fragment) {
  if (!fragment.startsWith(KEY) || fragment.length > LONGEST) return null;
  try {
    const text = atob(fragment.slice(KEY.length).replaceAll("-", "+").replaceAll("_", "/"));
    return JSON.parse(new TextDecoder("utf-8", { fatal: true }).decode(Uint8Array.from(text, (letter) => letter.charCodeAt(0))));
  } catch {
    return null;
  }
}

const PARTS = { knife: ["blade", "handle", "tang"], axe: ["handle"], "folding saw": ["blade", "handle"], "bow saw": ["blade", "frame"] };

/** Whether a value is a design that the page can show: of a known form, with the parts of that form. The service judges the rest. */
function isDesign(design) {
  const parts = PARTS[design?.drawing?.form];
  return typeof design?.id === "string" && Boolean(parts?.every((part) => typeof design.drawing[part] === "object" && design.drawing[part] !== null));
}

/** A bench that can be shown: its drawings, and texts where texts belong; null where it is none. */
function sound(bench) {
  const tools = bench?.tools;
  if (!Array.isArray(tools) || !tools.length || !tools.every(isDesign)) return null;
  const texts = (list) => (Array.isArray(list) ? list.filter((one) => typeof one === "string") : []);
  const shown = Number.isInteger(bench.shown) && tools[bench.shown] ? bench.shown : 0;
  return { tools, shown, rivals: texts(bench.rivals), trip: typeof bench.trip === "string" ? bench.trip : "bench", ownTrip: bench.ownTrip ?? null };
}

/** The bench of the address, or else of this device; null where there is none. */
function kept() {
  return sound(decoded(location.hash)) ?? sound(recall(SHELF));
}

function keep(bench) {
  remember(SHELF, bench);
  history.replaceState(null, "", `${location.pathname}${KEY}${coded(bench)}`);
}

const isFromPlanner = () => location.search === FROM_PLANNER;

export { coded, isDesign, isFromPlanner, keep, kept };
