/** The service that this page came from. */

const MOST_WAIT_MS = 180_000; // it may search for 30 s, more than once

/** What kept an answer away: a problem of the service (RFC 9457), or no network. */
class Refusal extends Error {
  constructor(problem) {
    super(problem.title);
    this.problem = problem;
  }
}

const UNREACHABLE = {
  title: "The service can’t be reached",
  detail: "Your trip is stored on this device. Planning needs a network. Try again when you have one.",
  errors: [],
};

async function asked(path, options, signal) {
  const signals = [AbortSignal.timeout(MOST_WAIT_MS), ...(signal ? [signal] : [])];
  let response;
  try {
    response = await fetch(path, { credentials: "omit", ...options, signal: AbortSignal.any(signals) });
  } catch (error) {
    if (signal?.aborted) throw error;
    throw new Refusal(UNREACHABLE);
  }
  const body = await response.json().catch(() => null);
  if (response.ok && body !== null) return body;
  throw new Refusal(body ?? { title: "The answer of the service can’t be read", detail: `Status ${response.status}.`, errors: [] });
}

/** POST a JSON body; the answer, or a Refusal thrown that tells its faults in these units. */
async function post(path, body, units, signal) {
  const headers = { "Content-Type": "application/json" };
  const options = { method: "POST", headers, body: JSON.stringify(body) };
  try {
    return await asked(path, options, signal);
  } catch (error) {
    const told = error instanceof Refusal && units === "us" && error.problem.errors?.length;
    if (!told) throw error;
    return asked(`${path}?units=us`, options, signal);
  }
}

/** Every row of a table. */
async function rows(path) {
  const { items } = await asked(`${path}?limit=1000`, {});
  return items;
}

export { post, Refusal, rows, UNREACHABLE };
