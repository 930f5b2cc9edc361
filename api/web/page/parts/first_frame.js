/** The first frame: a reader sees the page before its modules run. `drawn.js`, which stands in the page, says when. */

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

export { afterFirstFrame };
