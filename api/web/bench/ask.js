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

const LINES = "application/x-ndjson";

/** Reads an answer by lines of JSON; hands on how far it is. */
function asLines(progress) {
  return async (response) => {
    if (!response.headers.get("Content-Type")?.startsWith(LINES)) return response.json();
    let rest = "";
    for (const reader = response.body.pipeThrough(new TextDecoderStream()).getReader(); ; ) {
      const { value, done } = await reader.read();
      if (done) return null; // it ended before its last line
      const lines = (rest + value).split("\n");
      rest = lines.pop();
      for (const told of lines.map((line) => JSON.parse(line))) {
        if (told.problem) throw new Refusal(told.problem);
        if (told.answer) return told.answer;
        if (told.progress) progress(told.progress);
      }
    }
  };
}

/** The answer in a response; null where it can't be read. */
async function readBy(reader, response, signal) {
  try {
    return await (reader ? reader(response) : response.json());
  } catch (error) {
    if (error instanceof Refusal || signal.aborted) throw error;
    return null;
  }
}

/** POST a JSON body, or GET where there is none; the answer, or a Refusal thrown. A `reader` asks for lines of JSON. */
async function send(path, body, signal, reader) {
  const accepted = reader ? { Accept: LINES } : {};
  const signals = reader ? [signal] : [signal, AbortSignal.timeout(MOST_WAIT_MS)]; // a long question shows life, and can be stopped
  let response;
  try {
    response = await fetch(isUs() ? `${path}?units=us` : path, {
      credentials: "omit",
      signal: AbortSignal.any(signals),
      ...(body === null ? {} : { method: "POST", headers: { "Content-Type": "application/json", ...accepted }, body: JSON.stringify(body) }),
    });
  } catch (error) {
    if (signal.aborted) throw error;
    throw new Refusal(UNREACHABLE);
  }
  const told = await readBy(reader, response, signal);
  if (response.ok && told) return told;
  throw new Refusal(told ?? { title: "The answer of the service can’t be read", detail: `Status ${response.status}.`, errors: [] });
}

const MOST_KEPT = 60;
const kept = new Map();

/** As `send`; what was asked before word for word is not asked again. */
async function ask(path, body, signal, reader = null) {
  const key = `${isUs()} ${path} ${JSON.stringify(body)}`;
  if (!kept.has(key)) {
    const told = await send(path, body, signal, reader);
    kept.set(key, told);
    if (kept.size > MOST_KEPT) kept.delete(kept.keys().next().value);
  }
  return kept.get(key);
}

export { ask, asLines, Refusal };
