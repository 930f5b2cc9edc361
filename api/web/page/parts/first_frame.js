/** The first frame: a reader sees the page before its modules run. */

const PAINTED = "first-contentful-paint";
const LONGEST_MS = 1000; // a slow phone draws its first frame by then

/** Run something once the first frame is on the screen, or where none comes; what it returns. */
function afterFirstFrame(run) {
  return new Promise((resolve) => {
    const none = document.hidden || !PerformanceObserver.supportedEntryTypes.includes("paint");
    const late = setTimeout(go, none ? 0 : LONGEST_MS); // a page that is not looked at has no frames
    const frames = new PerformanceObserver((list) => list.getEntriesByName(PAINTED).length && go());
    frames.observe({ type: "paint", buffered: true });
    function go() {
      frames.disconnect(); // both may be due at once
      clearTimeout(late);
      resolve(run());
    }
  });
}

export { afterFirstFrame };
