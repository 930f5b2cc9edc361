/** What goes beyond the sentence and the kit: a bundle of its own, which comes once the page hears. */

import { Assumed } from "./answer/assumed.js";
import { BadNight } from "./answer/bad_night.js";
import { isPartial } from "./answer/headline.js";
import { HowSure } from "./answer/how_sure.js";
import { idsOf } from "./answer/naming.js";
import { NextKits } from "./answer/next_kits.js";
import { OwnKit } from "./answer/own_kit.js";
import { PackingSheet } from "./answer/packing_sheet.js";
import { PinStory } from "./answer/pin_story.js";
import { Relief } from "./answer/relief.js";
import { SideBySide } from "./answer/side_by_side.js";
import { Upgrades } from "./answer/upgrades.js";
import { KeptTrips } from "./device/kept_trips.js";
import { FrontPlot } from "./plots/front_plot.js";
import { ReachPlot } from "./plots/reach_plot.js";
import { TripFolds } from "./trip/trip_folds.js";

const USUAL_WORK_MIN = 90; // what the service takes where the trip names no limit
const SURE_ONLY = "It is told where grams are made least, and without a second kit for safety.";

const place = (id) => document.getElementById(id);

class Beyond {
  /** `form` is the form, `onTake` is given ids of a kit to carry, `onCompare` one to set beside, `onOpen` and `onGoOn` a trip, `onRefusal` a problem; `answered` gives the trip of the answer, `plan` the kit of another. */
  constructor({ form, answered, plan, onTake, onCompare, onOpen, onGoOn, onRefusal }) {
    this.relief = new Relief(place("relief"), { plan, onTake: onGoOn });
    this.upgrades = new Upgrades(place("better"), place("more-upgrades"), onTake);
    this.front = new FrontPlot(place("front"), (point) => onTake(point.ids, point.work_min_per_day), (point) => onCompare(point.ids));
    this.beside = new SideBySide(place("beside"), onTake);
    this.sure = new HowSure(place("sure"));
    this.night = new BadNight(place("night"), { tripOf: answered, onTake });
    this.reach = new ReachPlot(place("reach"));
    this.next = new NextKits(place("next"), onCompare);
    this.pins = new PinStory(place("pins"));
    this.assumed = new Assumed(place("assumed"));
    this.own = new OwnKit(place("own"), () => form.trip, onRefusal);
    this.sheet = new PackingSheet(place("sheet"));
    this.trips = new KeptTrips(place("trips"), { tripOf: () => form.trip, onOpen });
    this.parts = { front: [this.front], sure: [this.sure], full: [this.next, this.pins] };
  }

  /** Another trip was planned: what stands here is of the one before. */
  wait() {
    for (const part of [this.front, this.next, this.pins, this.sure, this.night]) part.wait();
    this.upgrades.hide();
    this.beside.hide();
  }

  /** Draw all that is known, or the part that has come; `failed` says by part why it has not. */
  draw(only, shown, asked) {
    const { quick, full, front, sure, failed } = shown;
    if (!only) this.#drawKit(shown, asked);
    if (full && (!only || only === "full" || only === "ends")) this.#drawFull(only, shown, asked);
    const { trip, figures, naming } = asked;
    const limit = trip.limits?.work_min_per_day ?? USUAL_WORK_MIN;
    if (front && (!only || only === "front")) this.front.show(front, { limit, ids: idsOf(quick.kit.tools), figures, naming });
    if (sure && (!only || only === "sure")) this.sure.show(sure, figures, naming);
    for (const [name, title] of Object.entries(failed)) if (!only || only === name) for (const part of this.parts[name]) part.fail(title);
  }

  #drawKit({ quick, sureIsTold }, { trip, link, figures, naming }) {
    place("beyond").hidden = false;
    if (!sureIsTold) this.sure.leave(SURE_ONLY);
    if (isPartial(quick)) this.relief.tell(quick, figures, naming);
    else this.relief.hide();
    for (const part of [this.reach, this.assumed]) part.show(quick, figures, naming);
    this.night.redraw(figures, naming);
    this.sheet.show(quick, trip, link, figures, naming);
    place("take-along").hidden = false;
  }

  #drawFull(only, { full }, { trip, link, figures, naming, signal }) {
    if (only === "ends") this.pins.showEnds(full, figures, naming);
    else {
      for (const part of [this.next, this.pins]) part.show(full, figures, naming);
      if (isPartial(full)) this.relief.show(full, trip, figures, naming, signal);
      else this.upgrades.show(full, figures, naming);
    }
    this.sheet.show(full, trip, link, figures, naming);
  }

  /** Tell the table of tools in these units. */
  tell(figures, naming) {
    this.own.tell(figures, naming);
  }

  /** Other rows to choose from. */
  offer(rows) {
    this.own.picker.offer(rows);
  }
}

export { Beyond, TripFolds };
