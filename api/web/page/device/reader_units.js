/** The units of a reader: those chosen on this device, else those of the reader's country. */

import { recall, UNITS } from "./memory.js";

function readerUnits() {
  return recall(UNITS) ?? (/-(US|LR|MM)$/.test(navigator.language) ? "us" : "metric");
}

export { readerUnits };
