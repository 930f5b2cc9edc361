/** Elements of the page: texts become text nodes, never HTML. */

const SVG = "http://www.w3.org/2000/svg";
const ATTRIBUTES = ["role", "part", "for", "lang", "dir"]; // besides names with a dash

/** An element with properties, attributes and children. */
function node(name, given = {}, ...children) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(given)) {
    if (value === undefined || value === null) continue;
    if (key.includes("-") || ATTRIBUTES.includes(key)) made.setAttribute(key, value);
    else made[key] = value;
  }
  made.append(...children.filter((child) => child !== null && child !== undefined));
  return made;
}

/** A shape; `given` are attributes. */
function shape(name, given, ...children) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(given)) made.setAttribute(key, value);
  made.append(...children);
  return made;
}

export { node, shape };
