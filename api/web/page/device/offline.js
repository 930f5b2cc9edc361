/** Use without a network: the worker that keeps the page, and a line that says when the service is out of reach. */

const WORKER = "/page/worker.js";

function keepPage() {
  if (!navigator.serviceWorker) return;
  const policy = globalThis.trustedTypes?.createPolicy("kitwright-page", { createScriptURL: () => WORKER });
  navigator.serviceWorker.register(policy ? policy.createScriptURL("") : WORKER, { scope: "/" }).catch(() => {});
}

/** Show in `line` whether the device has a network. */
function tellNetwork(line) {
  const tell = () => {
    line.hidden = navigator.onLine;
    line.textContent = navigator.onLine ? "" : "No network. You can describe the trip and read this page. You can plan when the service can be reached again.";
  };
  for (const kind of ["online", "offline"]) globalThis.addEventListener(kind, tell);
  tell();
}

export { keepPage, tellNetwork };
