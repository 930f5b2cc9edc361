/** The service that this page came from. */

import { isUs } from "./figures.js";

const MOST_WAIT_MS = 120_000;

/** What kept an answer away: a problem of the service (RFC 9457), or no network. */
class Refusal extends Error {
  constructor(problem) {
    super(problem.title);
    this.problem = problem;
  }
}

const UNREACHABLE = { title: "The service can’t be reached", detail: "You can go on drawing: the picture follows, and your drawings are kept on this device. Masses, scores and kits are of the last drawing that was reckoned.", errors: [] };

/** POST a JSON body; the answer, or a Refusal thrown. */
async function post(path, body, signal) {
  let response;
  try {
    response = await fetch(isUs() ? `${path}?units=us` : path, {
      method: "POST",
      credentials: "omit",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify(body),
      signal: AbortSignal.any([signal, AbortSignal.timeout(MOST_WAIT_MS)]),
    });
  } catch (error) {
    if (signal.aborted) throw error;
    throw new Refusal(UNREACHABLE);
  }
  const told = await response.json().catch(() => null);
  if (response.ok && told) return told;
  throw new Refusal(told ?? { title: "The answer of the service can’t be read", detail: `Status ${response.status}.`, errors: [] });
}

const MOST_KEPT = 60;
const kept = new Map();

/** As `post`; what was asked before word for word is not asked again. */
async function ask(path, body, signal) {
  const key = `${isUs()} ${path} ${JSON.stringify(body)}`;
  if (!kept.has(key)) {
    const told = await post(path, body, signal);
    kept.set(key, told);
    if (kept.size > MOST_KEPT) kept.delete(kept.keys().next().value);
  }
  return kept.get(key);
}

export { ask, Refusal };
