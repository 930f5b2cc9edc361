/** What this device keeps between visits; a browser that keeps nothing is served all the same. */

const TRIP = "kitwright-trip";
const UNITS = "kitwright-units";

function recall(key) {
  try {
    return JSON.parse(localStorage.getItem(key));
  } catch {
    return null;
  }
}

function remember(key, value) {
  try {
    localStorage.setItem(key, JSON.stringify(value));
  } catch {
    // full, or forbidden: the visit goes on without
  }
}

export { recall, remember, TRIP, UNITS };
