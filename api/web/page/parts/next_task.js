/** The next task: what a reader did meanwhile is heard before it. */

/** Resolves in the next task of the browser. */
function nextTask() {
  return new Promise((resolve) => {
    setTimeout(resolve, 0);
  });
}

export { nextTask };
