/** A trip in the part of the address after the #, which browsers keep to themselves. */

const KEY = "#trip=";
const LONGEST = 200_000;

function textOf(bytes) {
  let text = "";
  for (const byte of bytes) text += String.fromCharCode(byte);
  return btoa(text).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
}

/** The fragment that holds a trip. */
function fragmentOf(trip) {
  return KEY + textOf(new TextEncoder().encode(JSON.stringify(trip)));
}

/** The trip of a fragment; null where it holds none. Throws where it holds something else. */
function tripOf(fragment) {
  if (!fragment.startsWith(KEY)) return null;
  if (fragment.length > LONGEST) throw new Error("the link is too long");
  const text = atob(fragment.slice(KEY.length).replaceAll("-", "+").replaceAll("_", "/"));
  const bytes = Uint8Array.from(text, (letter) => letter.charCodeAt(0));
  const trip = JSON.parse(new TextDecoder("utf-8", { fatal: true }).decode(bytes));
  if (typeof trip !== "object" || trip === null || Array.isArray(trip)) throw new Error("the link holds no trip");
  return trip;
}

export { fragmentOf, tripOf };
