/**
 * The page inside an iframe: takes units and lang from the query and the trip from the fragment, and tells the
 * page around it its height and its events by postMessage. Who may be around it, frame-ancestors says.
 */

const kit = document.querySelector("kitwright-kit");
const asked = new URLSearchParams(location.search);
const sheet = new CSSStyleSheet();
sheet.replaceSync("body { margin: 0; }");
document.adoptedStyleSheets = [sheet];

for (const name of ["units", "lang", "form"]) {
  if (asked.has(name)) kit.setAttribute(name, asked.get(name));
}

const tell = (message) => window.parent.postMessage({ source: "kitwright", ...message }, "*");
for (const name of ["kitwright-trip", "kitwright-answer", "kitwright-problem"]) {
  kit.addEventListener(name, (event) => tell({ type: name, detail: event.detail }));
}
new ResizeObserver(() => tell({ type: "kitwright-height", height: Math.ceil(document.body.getBoundingClientRect().height) })).observe(document.body);

function readFragment() {
  const trip = new URLSearchParams(location.hash.slice(1)).get("trip");
  if (trip !== null) kit.setAttribute("trip", trip);
}
window.addEventListener("hashchange", readFragment);
readFragment();
