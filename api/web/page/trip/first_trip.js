/** The invented trip that a reader without one begins with, in whole figures of the reader's units, as the page has it. */

const { first, units: said } = document.getElementById("trip").dataset;
const trips = JSON.parse(first);

function firstTrip(units) {
  return trips[units];
}

/** Whether this is the trip whose kit stands in the page as it came. */
const isTold = (trip) => JSON.stringify(trip) === JSON.stringify(firstTrip(said));

export { firstTrip, isTold };
