/** What this device keeps between visits; a browser that keeps nothing is served all the same. */

const TRIP = "kitwright-trip";
const BESIDE = "kitwright-beside"; // the address that the trip was typed beside
const BEFORE = "kitwright-before"; // the address before that: a reload that began as it changed comes back to it
const TRIPS = "kitwright-trips"; // those with a name
const UNITS = "kitwright-units";
const HALF = "kitwright-half-typed"; // beside the trip, such as a tool that is not added yet
const TAB_KEY = "kitwright-key"; // of a stored catalog: kept as long as the tab

/** What is kept under a key, or null. */
function recall(key, store = localStorage) {
  try {
    return JSON.parse(store.getItem(key));
  } catch {
    return null;
  }
}

/** Keep a value; whether the browser does. */
function remember(key, value, store = localStorage) {
  try {
    store.setItem(key, JSON.stringify(value));
    return true;
  } catch {
    return false; // full, or forbidden: the visit goes on without
  }
}

export { BEFORE, BESIDE, HALF, recall, remember, TAB_KEY, TRIP, TRIPS, UNITS };
