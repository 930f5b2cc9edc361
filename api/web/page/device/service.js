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

const LINES = "application/x-ndjson";

let key = "";

/** Show this key of the service with all that is asked from now on. */
function useKey(given) {
  key = given;
}

async function asked(path, options, signal, read = (response) => response.json().catch(() => null)) {
  const signals = [AbortSignal.timeout(MOST_WAIT_MS), ...(signal ? [signal] : [])];
  let response;
  try {
    const headers = { ...options.headers, ...(key ? { Authorization: `Bearer ${key}` } : {}) };
    response = await fetch(path, { credentials: "omit", ...options, headers, signal: AbortSignal.any(signals) });
  } catch (error) {
    if (signal?.aborted) throw error;
    throw new Refusal(UNREACHABLE);
  }
  const body = await read(response);
  if (response.ok && body !== null) return body;
  throw new Refusal(body ?? { title: "The answer of the service can’t be read", detail: `Status ${response.status}.`, errors: [] });
}

/** The lines of a response, one after the other. */
async function* linesOf(response) {
  let rest = "";
  for (const reader = response.body.pipeThrough(new TextDecoderStream()).getReader(); ; ) {
    const { value, done } = await reader.read();
    if (done) return;
    const lines = (rest + value).split("\n");
    rest = lines.pop();
    yield* lines;
  }
}

/** Reads an answer by lines of JSON: hands on what is told early, and returns the answer. */
function byLines(early, signal) {
  return async (response) => {
    if (!response.headers.get("Content-Type")?.startsWith(LINES)) return response.json().catch(() => null);
    try {
      for await (const line of linesOf(response)) {
        const told = JSON.parse(line);
        if (told.problem) throw new Refusal(told.problem);
        if (told.answer) return told.answer;
        if (told.early && !signal.aborted) early(told.early);
      }
    } catch (error) {
      if (error instanceof Refusal || signal.aborted) throw error;
    }
    return null; // it ended before its last line
  };
}

/** GET an address; the answer, or a Refusal thrown. */
const get = (path) => asked(path, {});

/** POST a JSON body; the answer, or a Refusal thrown that tells its faults in these units. What is told `early` comes first. */
async function post(path, body, units, signal, early = null) {
  const headers = { "Content-Type": "application/json", ...(early ? { Accept: LINES } : {}) };
  const options = { method: "POST", headers, body: JSON.stringify(body) };
  const read = early ? byLines(early, signal) : undefined;
  try {
    return await asked(path, options, signal, read);
  } catch (error) {
    const told = error instanceof Refusal && units === "us" && error.problem.errors?.length;
    if (!told) throw error;
    return asked(`${path}?units=us`, options, signal, read);
  }
}

export { get, post, Refusal, useKey };
