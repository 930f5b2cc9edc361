/** The invented trip that a reader without one begins with, in whole figures of the reader's units. */

const METRIC = { people: 2, nights: 3, air_c: 8, fire: { hot_water_l_per_person: 1, warmth_h: 2 }, wood: { state: "dead-wet", diameters_mm: [100] }, limits: { work_min_per_day: 60 } };
// 45 °F, a quart, 4 inches.
const US = { ...METRIC, air_c: 7.222222, fire: { ...METRIC.fire, hot_water_l_per_person: 0.946353 }, wood: { ...METRIC.wood, diameters_mm: [101.6] } };

function firstTrip(units) {
  return units === "us" ? US : METRIC;
}

export { firstTrip };
