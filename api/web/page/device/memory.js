/** What this device keeps between visits; a browser that keeps nothing is served all the same. */

const TRIP = "kitwright-trip";
const BESIDE = "kitwright-beside"; // the address that the trip was typed beside
const TRIPS = "kitwright-trips"; // those with a name
const UNITS = "kitwright-units";

function recall(key) {
  try {
    return JSON.parse(localStorage.getItem(key));
  } catch {
    return null;
  }
}

/** Keep a value; whether the browser does. */
function remember(key, value) {
  try {
    localStorage.setItem(key, JSON.stringify(value));
    return true;
  } catch {
    return false; // full, or forbidden: the visit goes on without
  }
}

export { BESIDE, recall, remember, TRIP, TRIPS, UNITS };
