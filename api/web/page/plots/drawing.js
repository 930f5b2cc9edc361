/** What the plots share: the chart library under this page's policy, their table, and how they fit their place. */

import { node } from "../parts/node.js";

/** The library under this page's policy: it writes a style attribute, which style-src without 'unsafe-inline' refuses; the CSSOM may. */
function tamed(library) {
  const { prototype } = library.Svg;
  const { attr } = prototype;
  prototype.attr = function (given, namespace) {
    if (typeof given !== "object" || given.style === undefined) return attr.call(this, given, namespace);
    const { style, ...rest } = given;
    this.getNode().style.cssText = style;
    return attr.call(this, rest, namespace);
  };
  return library;
}

let library = null;

/** Give the chart library once it is there: no answer waits for it, since every plot has a table. */
function withCharts(use) {
  library ??= import("./chartist-1.5.0.js").then(() => tamed(globalThis.Chartist));
  library.then(use, () => { library = null; }); // without a network: asked for again
}

/** A plain table; `cells` are rows of texts. */
function tableOf(heads, cells) {
  const line = (name, texts) => node("tr", {}, ...texts.map((text) => node(name, { textContent: text, ...(name === "th" ? { scope: "col" } : {}) })));
  return node("table", {}, node("thead", {}, line("th", heads)), node("tbody", {}, ...cells.map((texts) => line("td", texts))));
}

/** Let a drawing shrink with its place, as on paper. */
function scalable(svg) {
  const drawn = svg.getNode();
  const { width, height } = drawn.getBoundingClientRect();
  if (width && height) drawn.setAttribute("viewBox", `0 0 ${width} ${height}`);
}

export { scalable, tableOf, withCharts };
