/** What to do where a trip can't be covered whole: what is missing, in plain words, and the two least changes that help. */

import { node } from "../parts/node.js";
import { bannedOf, isPartial, quickestOf } from "./headline.js";
import { joined } from "../parts/listing.js";
import { sentence, words } from "./naming.js";

const LEAST_MIN = 0.05; // told to one decimal
const MOST = 2;
const LIMITS = { work_min_per_day: "minutes", mass_g: "grams", tools_at_most: "tools" };
const RULES = { only: "your list of tools", leave_home: "what you leave at home", banned_kinds: "the kinds that stay at home", edge_mm: "the longest blade", packed_mm: "the longest packed tool" };
const WHOLE_DAY_MIN = 1440;
const HOME = / Your rules keep home: (.*)\.$/;
const KNIFE_FIELD = ", unless the trip's field `knife` is none.";
const MOST_NAMED = 2;
const UNABLE = /: nothing that may go can (\w+) /;
const WORK = { buck: "cut it to length", split: "split it", saw: "saw it", chop: "chop it", carve: "carve it" };

const copy = (trip) => structuredClone(trip);

/** A trip with a rule let go, or put where it lets a kit. */
function eased(trip, { pointer, least }) {
  const made = copy(trip);
  const [, place, field, index] = pointer.split("/");
  if (place !== "limits") delete made[place];
  else if (field === "banned_kinds") made.limits.banned_kinds = made.limits.banned_kinds.filter((_, at) => at !== Number(index));
  else if (least === null) delete made.limits[field];
  else made.limits[field] = Math.ceil(least);
  return made;
}

/** A trip with each limit that is short of something raised by it. */
function raised(trip, gaps) {
  const made = copy(trip);
  for (const { field, short_by: short } of gaps) {
    if (field === "members") for (const one of made.members) one.carries_at_most_g = Math.ceil(one.carries_at_most_g + short);
    else made.limits[field] = Math.ceil(made.limits[field] + short);
  }
  return made;
}

/** The tools that could do what is missing and that a rule keeps home, as the service words them: [[id, rule]]. */
const keptBy = ({ text }) => [...(text.match(HOME)?.[1] ?? "").matchAll(/([^ ,]+) \((\w+)\)/g)].map(([, id, rule]) => [id, rule]);

/** Trips on which one more tool may go than the lists of the trip let, the lightest that could do what is missing first. */
function withOneMore(answer, trip, naming) {
  const kept = new Map(answer.gaps.flatMap(keptBy).filter(([, rule]) => rule === "only" || rule === "leave_home"));
  return [...kept].map(([id, rule]) => {
    const ids = rule === "only" ? [...trip.only, id] : trip.leave_home.filter((one) => one !== id);
    return { what: `Let ${naming.brief(id)} come too`, one: true, trip: { ...copy(trip), [rule]: ids } };
  });
}

/** Trips that differ in one thing from one that is not covered: [{what, trip}], the nearest first. */
function nearTrips(answer, trip, figures, naming) {
  const found = withOneMore(answer, trip, naming);
  const longer = quickestOf(answer);
  if (longer) {
    const made = { ...copy(trip), limits: { ...trip.limits, work_min_per_day: longer.with_min_per_day } };
    found.push({ what: sentence(allowance({ field: "work_min_per_day" }, made, figures)), trip: made });
  }
  const short = answer.gaps.filter(({ kind, field }) => kind === "limit" && (field === "members" || trip.limits?.[field] !== undefined));
  if (short.length) {
    const made = raised(trip, short);
    found.push({ what: sentence(joined(short.map((gap) => allowance(gap, made, figures)))), trip: made });
  }
  const rules = answer.conflict.filter(({ pointer }) => !short.some(({ field }) => pointer.split("/").includes(field)));
  found.push(...rules.map((one) => ({ what: named(one, figures), trip: eased(trip, one) })));
  if (rules.length > 1) found.push({ what: "Let all these rules go", trip: [...rules].reverse().reduce(eased, trip) });
  const { limits, wood } = trip;
  if (limits?.mass_g !== undefined || limits?.work_min_per_day !== undefined) {
    const freed = copy(trip);
    delete freed.limits.mass_g;
    freed.limits.work_min_per_day = WHOLE_DAY_MIN * (trip.people ?? 1);
    found.push({ what: "Take the lightest kit, however long the work takes", trip: freed, settle: true });
  }
  if (rules.length) {
    const free = copy(trip);
    for (const field of Object.keys(RULES)) delete free[field];
    free.limits = { work_min_per_day: WHOLE_DAY_MIN * (trip.people ?? 1) };
    found.push({ what: "Let all your limits go", trip: free, settle: true });
  }
  const gap = answer.gaps.find(({ field, closest, short_by: short }) => field === "diameter_mm" && closest && short > 0);
  const thickest = Math.max(...(wood?.diameters_mm ?? []));
  if (gap && Number.isFinite(thickest) && !gap.need.startsWith("task")) {
    const reach = Math.floor(thickest - gap.short_by);
    if (reach > 0) found.push({ what: `Burn wood of ${figures.length(reach)}`, trip: { ...copy(trip), wood: { ...wood, diameters_mm: [reach] } } });
  }
  if (wood?.diameters_mm) {
    const usual = copy(trip);
    delete usual.wood.diameters_mm;
    found.push({ what: "Burn the usual wood near a camp, thin as well as thick", trip: usual });
  }
  if (trip.fire?.warmth_h > 1) found.push({ what: "Keep the fire for one hour", trip: { ...copy(trip), fire: { ...trip.fire, warmth_h: 1 } } });
  if (trip.fire?.warmth_h > 0) {
    const { warmth_h: _, ...cooking } = trip.fire;
    found.push({ what: "Go without a fire for warmth", trip: { ...copy(trip), fire: cooking } });
  }
  return found;
}

/** Trips that differ in one thing from one whose fire may not be lit. */
function withoutFire(trip) {
  const { allowed: _, ...fire } = trip.fire;
  const none = Object.fromEntries(["warmth_h", "drying_h", "hot_water_l_per_person"].filter((want) => fire[want]).map((want) => [want, 0]));
  return [
    { what: "Burn no wood: boil on another stove, do without the warmth", trip: { ...copy(trip), fire: { ...trip.fire, ...none } } },
    { what: "Go where a wood fire is allowed", trip: { ...copy(trip), fire } },
  ];
}

/** A raised limit in words. */
function allowance({ field, short_by: short }, { limits }, figures) {
  if (field === "members") return `let each carry ${figures.mass(Math.ceil(short))} more`;
  if (field === "mass_g") return `allow ${figures.mass(limits.mass_g)}`;
  if (field === "work_min_per_day") return `allow ${figures.minutes(limits.work_min_per_day)} of work a day`;
  return `allow ${figures.format(limits[field])} ${LIMITS[field] ?? words(field)}`;
}

function named({ pointer, least, value }, figures) {
  const [, place, field] = pointer.split("/");
  if (field === "banned_kinds") return `Let ${value} come along`;
  if (field === "edge_mm" || field === "packed_mm") return least === null ? `Drop ${RULES[field]}` : `Allow ${figures.length(Math.ceil(least))}`;
  return `Drop ${RULES[place] ?? RULES[field] ?? words(field ?? place)}`;
}

/** What is missing, as a sentence. */
const missing = (gap, answer, figures, naming) => naming.told(lack(gap, answer, figures, naming));

/** The same with figures of the service as they came. */
function lack(gap, answer, figures, naming) {
  const { kind, field, need, short_by: short, unit, closest, text } = gap;
  if (kind === "limit" && field === "members") return `What each of you may carry is too little: each would have to carry ${figures.mass(short)} more.`;
  if (kind === "limit" && field in LIMITS) {
    const over = field === "tools_at_most" ? `${figures.format(Math.ceil(short))} more` : `${figures.shortfall(short, unit)} more`;
    return `No kit keeps to the ${LIMITS[field]} that you allow: the least that works needs ${over}.`;
  }
  const what = answer.needs.find((one) => one.id === need);
  const told = need?.startsWith("firewood-") ? `Firewood of ${figures.length(Number(need.split("-")[1]))}` : what ? naming.need(what, figures) : sentence(words(need ?? ""));
  if (field === "diameter_mm" && closest) return `${told}: ${naming.tool(closest)} comes nearest, and reaches ${figures.length(short)} too little.${keptHome(text, naming)}`;
  if (kind !== "need") return sentence(text);
  const [, task] = text.match(UNABLE) ?? [];
  if (task) return `${told}: nothing that may go can ${WORK[task] ?? "do it"}.${keptHome(text, naming)}`;
  if (need === "knife") return sentence(text).replace(KNIFE_FIELD, ", unless you choose None under “Knife that stays in the pack”.");
  const named = closest ? text.replace(closest, () => naming.tool(closest)) : text;
  return sentence(named.replace(need, () => told).replace(HOME, "")) + keptHome(text, naming);
}

/** The tools that could do it if the rules of the trip let them go, as the service words it, by their names. */
function keptHome(text, naming) {
  const names = keptBy({ text }).map(([id]) => naming.brief(id));
  if (!names.length) return "";
  const few = names.length > MOST_NAMED ? [...names.slice(0, MOST_NAMED), "others"] : names;
  return ` Your rules keep home what could: ${joined(few)}.`;
}

class Relief {
  /** `plan(trip, signal)` gives the kit of a trip; `onTake` is given a trip to go on with. */
  constructor(root, { plan, onTake }) {
    Object.assign(this, { root, plan, onTake });
  }

  hide() {
    this.root.hidden = true;
  }

  /** Say what is missing; what helps is still to come. */
  tell(answer, figures, naming) {
    const banned = bannedOf(answer);
    this.root.hidden = false;
    const lines = [...banned.map(({ text }) => naming.told(text)), ...answer.gaps.map((gap) => missing(gap, answer, figures, naming))];
    this.offered = node("ul", { className: "ways" });
    this.waiting = node("p", { className: "help", textContent: "Looking for the least change that helps …" });
    this.root.replaceChildren(node("h2", { id: "relief-title", textContent: "What is missing" }), node("ul", {}, ...lines.map((textContent) => node("li", { textContent }))), this.waiting, this.offered);
  }

  /** Say what is missing, and what helps: each way is planned before it is offered. */
  async show(answer, trip, figures, naming, signal) {
    this.tell(answer, figures, naming);
    const { offered, waiting } = this;
    const banned = bannedOf(answer);
    const near = banned.length ? withoutFire(trip) : nearTrips(answer, trip, figures, naming);
    const seen = new Set();
    let untried = false;
    let hasOneMore = false; // one such tool is enough
    for (const one of near) {
      if (one.one && hasOneMore) continue;
      const kit = await this.plan(one.trip, signal);
      if (signal.aborted) return;
      untried ||= kit === null;
      if (!kit || isPartial(kit) || seen.has(one.what)) continue;
      const told = one.settle ? { ...one, trip: settledAt(one.trip, trip, kit) } : one;
      const same = JSON.stringify(told.trip);
      if (seen.has(same)) continue;
      seen.add(one.what).add(same);
      hasOneMore ||= Boolean(one.one);
      offered.append(this.#way(told, kit, trip, figures, naming));
      if (offered.children.length === MOST) break;
    }
    waiting.textContent = offered.children.length ? "One tap makes it work:" : untried ? "Not every change could be tried: no answer from the service." : "No single change makes it work.";
  }

  #way({ what, trip }, { kit }, before, figures, naming) {
    const button = node("button", { type: "button", textContent: what });
    button.addEventListener("click", () => this.onTake(trip));
    const minutes = `${figures.minutes(kit.work_min_per_day)} of work a day${(trip.people ?? 1) > 1 ? " together" : ""}`;
    const work = kit.work_min_per_day < LEAST_MIN ? "no wood work" : minutes;
    return node("li", {}, button, node("span", { className: "help", textContent: ` ${figures.mass(kit.mass_g)}, ${work}: ${naming.tools(kit.tools.map(({ id }) => id))}` }));
  }
}

/** A trip with its limits put where a kit just keeps them. */
function settledAt(trip, before, { kit }) {
  const made = copy(trip);
  const minutes = Math.max(before.limits?.work_min_per_day ?? 0, Math.ceil(kit.work_min_per_day));
  made.limits.work_min_per_day = minutes;
  if (before.limits?.mass_g !== undefined) made.limits.mass_g = Math.max(before.limits.mass_g, Math.ceil(kit.mass_g));
  return made;
}

export { missing, Relief };
