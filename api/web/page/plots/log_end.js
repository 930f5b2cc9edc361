/** The end of a log, drawn inside the circle that a tool reaches; of a piece to be split, a quarter of it. */

import { shape } from "../parts/node.js";

const REACH = 18;
const SIDE = 26; // of a quarter

const circle = (name, r) => shape("circle", { class: name, cx: 20, cy: 20, r: r.toFixed(2) });

function quarter(name, r) {
  const side = (r / Math.SQRT2).toFixed(2);
  return shape("path", { class: name, d: `M20 33 l-${side} -${side} a${r} ${r} 0 0 1 ${2 * side} 0 z` });
}

/** `split` tells whether the wood is split rather than cut across. */
function logEnd({ mm, spare, split }) {
  const [draw, full] = split ? [quarter, SIDE] : [circle, REACH];
  const radius = (full * mm) / (mm + Math.max(0, spare));
  const rings = [0.75, 0.5, 0.25].map((part) => draw("log-ring", part * radius));
  return shape("svg", { viewBox: "0 0 40 40", class: "log-end", "aria-hidden": "true" }, draw("log-reach", full), draw("log-wood", radius), ...rings);
}

export { logEnd };
