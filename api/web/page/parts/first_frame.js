/** The first frame: a reader sees the page before its modules run. `drawn.js`, which stands in the page, says when it is drawn, the browser when it is on the screen. */

const LONGEST_MS = 1000; // a slow phone draws its first frame by then

/** Run something once the first frame is drawn, or where none comes; what it returns. */
function afterFirstFrame(run) {
  return new Promise((resolve) => {
    let gone = false; // both may be due at once
    function go() {
      if (gone) return;
      gone = true;
      resolve(run());
    }
    if ("drawn" in document.documentElement.dataset) return go();
    addEventListener("drawn", go, { once: true });
    setTimeout(go, document.hidden ? 0 : LONGEST_MS); // a page that is not looked at has no frames
  });
}

/** Resolves once the first frame is on the screen, or where none comes: what is not needed sooner does not hold it up. */
function afterFirstPaint() {
  return new Promise((resolve) => {
    if (document.hidden || !PerformanceObserver.supportedEntryTypes.includes("paint")) return resolve();
    setTimeout(resolve, LONGEST_MS);
    const seen = new PerformanceObserver((entries) => {
      if (!entries.getEntriesByName("first-contentful-paint").length) return;
      seen.disconnect();
      resolve();
    });
    seen.observe({ type: "paint", buffered: true });
  });
}

export { afterFirstFrame, afterFirstPaint };
