// Stands in a page itself, at its end: says when the first frame is drawn, and then opens what the device keeps, which the
// browser has to fetch, while the page's modules are still on their way.
requestAnimationFrame(() =>
  setTimeout(() => {
    document.documentElement.dataset.drawn = "";
    dispatchEvent(new Event("drawn"));
    try {
      localStorage.length;
    } catch {
      // a browser that keeps nothing
    }
  }),
);
