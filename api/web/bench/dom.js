/** Elements, made without a word of HTML. */

const SVG = "http://www.w3.org/2000/svg";

function filled(made, children) {
  made.append(...children.filter((child) => child !== null && child !== undefined));
  return made;
}

/** An element with properties, attributes (in `set`) and children. */
function node(name, { set = {}, data = {}, ...properties } = {}, ...children) {
  const made = Object.assign(document.createElement(name), properties);
  for (const [key, value] of Object.entries(set)) made.setAttribute(key, value);
  Object.assign(made.dataset, data);
  return filled(made, children);
}

/** An element of a picture. */
function shape(name, attributes = {}, ...children) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  return filled(made, children);
}

export { node, shape };
