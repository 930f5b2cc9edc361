// The viewer as the window wants it: dark or light; where no list has room beside, all operations below each other.
const NARROW = "(max-width: 767px)"; // below it the viewer hides its list
const DARK = { theme: "dark", "bg-color": "#1b2124", "text-color": "#e6e8e5", "primary-color": "#dda871", "nav-text-color": "#c9ccc9" };

const viewer = document.querySelector("rapi-doc");
if (matchMedia(NARROW).matches) viewer.setAttribute("render-style", "view");
if (matchMedia("(prefers-color-scheme: dark)").matches) {
  for (const [name, value] of Object.entries(DARK)) viewer.setAttribute(name, value);
}
// Its own style moves the line of the licence out of a narrow window, and it names no part to mend that by.
viewer.addEventListener("spec-loaded", () => {
  const margin = new CSSStyleSheet();
  margin.replaceSync("#api-info { margin-left: 0; }");
  viewer.shadowRoot.adoptedStyleSheets = [...viewer.shadowRoot.adoptedStyleSheets, margin];
});
import("/docs/rapidoc-9.3.8.js");
