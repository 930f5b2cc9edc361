/** The first frame: a reader sees the page before its modules run. */

const PAINTED = "first-contentful-paint";
const LONGEST_MS = 200; // a page that is not looked at has no frames, and some browsers do not tell of theirs

/** Run something once the first frame is on the screen, or where none comes; what it returns. */
function afterFirstFrame(run) {
  return new Promise((resolve) => {
    const late = setTimeout(go, document.hidden ? 0 : LONGEST_MS);
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
