/** The first frame: a reader sees the page before its modules run. */

const LONGEST_MS = 200; // a page that is not looked at has no frames

/** Run something once the first frame is drawn, or where none comes; what it returns. */
function afterFirstFrame(run) {
  return new Promise((resolve) => {
    let drawn = 0;
    const frame = requestAnimationFrame(() => {
      drawn = setTimeout(go);
    });
    const late = setTimeout(go, document.hidden ? 0 : LONGEST_MS);
    function go() {
      cancelAnimationFrame(frame);
      for (const timer of [drawn, late]) clearTimeout(timer); // both may be due at once
      resolve(run());
    }
  });
}

export { afterFirstFrame };
