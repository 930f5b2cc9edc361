/*
 * Functions for cells of a sheet in the cloud: paste all of this into the script editor of the sheet.
 * The servers of the sheet fetch, not your machine: the service needs a public https address.
 */
const KITWRIGHT_SERVICE_ = "http://127.0.0.1:8321";
const KITWRIGHT_MOST_TRIPS_ = 500; // of one request
const KITWRIGHT_NOT_OURS_ = "What came from this address is not an answer of the service.";

/**
 * Tells fields of the lightest kit for one trip. Numbers come as numbers, failures as words.
 *
 * @param {string} fields What to tell: kit.mass_g, or status|kit.mass_g, or cells that each hold a field.
 * @param {string} names Cells that name what stands in the values: saw_mm, nights, work_min_per_day...
 * @param {string} values Cells of the trip, as many as there are names.
 * @param {string} units us: fields in ounces, pounds and inches too. Empty: grams and millimetres.
 * @customfunction
 */
function KITWRIGHT(fields, names, values, units) {
  const shape = kitwrightGrid_(fields);
  try {
    const listed = shape.flat().map(kitwrightText_);
    if (listed.length > 1 && !listed.every(text => /^[^,|()\s]+$/.test(text))) {
      throw new Error("Each of several cells of fields holds one field, as kit.mass_g.");
    }
    const said = kitwrightPairs_(names, kitwrightGrid_(values).flat().map(kitwrightText_));
    const query = [["fields", listed.join(",")], ...kitwrightUnits_(units), ...said.filter(pair => pair[1])];
    const lines = kitwrightAsked_("/v1/sheet/values", query).split("\n");
    if (lines.pop() !== "end" || (listed.length > 1 && lines.length !== listed.length)) {
      throw new Error(KITWRIGHT_NOT_OURS_);
    }
    const found = lines.map(kitwrightValue_);
    return listed.length === 1 ? [found] : shape.map(row => row.map(() => found.shift()));
  } catch (error) {
    return shape.map((row, down) => row.map((_, across) => (down + across ? "" : error.message)));
  }
}

/**
 * Tells fields of many trips, a row each, in one request for up to 500 trips.
 *
 * @param {string} fields What to tell: kit.mass_g, or status|kit.mass_g, or cells that each hold a field.
 * @param {string} names Cells that name what stands in the values: saw_mm, nights, work_min_per_day...
 * @param {string} rows Cells of the trips: a row a trip, as wide as there are names.
 * @param {string} units us: fields in ounces, pounds and inches too. Empty: grams and millimetres.
 * @customfunction
 */
function KITWRIGHT_TRIPS(fields, names, rows, units) {
  const wanted = kitwrightGrid_(fields).flat().flatMap(one => kitwrightText_(one).split(/[|,\s]+/)).filter(Boolean);
  const told = kitwrightGrid_(rows).map(() => wanted.map(() => ""));
  try {
    const read = kitwrightGrid_(rows).map(row => kitwrightPairs_(names, row.map(kitwrightText_)));
    const filled = [...read.keys()].filter(place => read[place].some(pair => pair[1]));
    for (let start = 0; start < filled.length; start += KITWRIGHT_MOST_TRIPS_) {
      const part = filled.slice(start, start + KITWRIGHT_MOST_TRIPS_);
      const answers = kitwrightToldOf_(part.map(place => read[place]), wanted, units);
      part.forEach((place, i) => { told[place] = answers[i]; });
    }
  } catch (error) {
    told[0] = [error.message, ...wanted.slice(1).map(() => "")];
  }
  return told;
}

/**
 * Tells which service is asked, and whether it is ready.
 *
 * @param {string} again Anything: a new value asks again.
 * @customfunction
 */
function KITWRIGHT_STATE(again) {
  try {
    const ready = JSON.parse(kitwrightAsked_("/readyz", [])).status === "ready";
    return `${KITWRIGHT_SERVICE_} is ${ready ? "ready" : "not ready"}`;
  } catch (error) {
    return error instanceof SyntaxError ? `${KITWRIGHT_SERVICE_}: ${KITWRIGHT_NOT_OURS_}` : error.message;
  }
}

// The rest is for the three above. Names that end with an underscore are no functions of the sheet.

function kitwrightToldOf_(trips, wanted, units) {
  const keys = trips.flat().filter(pair => pair[0] === "key" && pair[1]).slice(0, 1);
  const rows = trips.map(pairs => pairs.filter(pair => pair[0] !== "key"));
  const table = [rows[0].map(pair => pair[0]), ...rows.map(pairs => pairs.map(pair => pair[1]))];
  const quoted = table.map(row => row.map(text => `"${text.replace(/"/g, '""')}"`).join(",")).join("\r\n");
  const query = [["fields", wanted.join("|")], ...kitwrightUnits_(units), ...keys];
  const [header, ...found] = Utilities.parseCsv(kitwrightAsked_("/v1/sheet/trips", query, quoted));
  if (header[0] !== "row" || header[header.length - 1] !== "error" || found.length !== trips.length) {
    throw new Error(KITWRIGHT_NOT_OURS_);
  }
  return found.map(row => {
    const error = row[row.length - 1];
    return error ? [error, ...wanted.slice(1).map(() => "")] : row.slice(2, -1).map(kitwrightValue_);
  });
}

function kitwrightAsked_(path, query, table) {
  const said = query.map(pair => pair.map(encodeURIComponent).join("=")).join("&");
  const options = {muteHttpExceptions: true, followRedirects: false};
  if (table !== undefined) {
    Object.assign(options, {method: "post", contentType: "text/csv; charset=utf-8", payload: table});
  }
  let answer;
  try {
    answer = UrlFetchApp.fetch(`${KITWRIGHT_SERVICE_}${path}?${said}`, options);
  } catch (_) { // what it says would show the address, and a key in it
    throw new Error(`No answer from ${KITWRIGHT_SERVICE_}: is it running, at an address that is open to all?`);
  }
  if (answer.getResponseCode() !== 200) throw new Error(kitwrightRefused_(answer));
  return answer.getContentText();
}

function kitwrightRefused_(answer) {
  try {
    const problem = JSON.parse(answer.getContentText());
    const faults = problem.errors.map(one => `wrong ${one.pointer.replace(/^#\//, "")}: ${one.detail}`);
    return faults.slice(0, 5).join("; ") || `${problem.title}: ${problem.detail}`;
  } catch (_) {
    return `${KITWRIGHT_NOT_OURS_} It says ${answer.getResponseCode()}.`;
  }
}

function kitwrightPairs_(names, values) {
  const named = kitwrightGrid_(names).flat().map(kitwrightText_);
  if (named.length !== values.length) {
    throw new Error(`There are ${named.length} names, but ${values.length} values.`);
  }
  if (values.some((value, place) => value && !named[place])) throw new Error("A value has no name beside it.");
  return named.map((name, place) => [name, values[place]]).filter(pair => pair[0]);
}

function kitwrightUnits_(units) {
  const text = kitwrightText_(units);
  return text ? [["units", text]] : [];
}

function kitwrightGrid_(cells) {
  return Array.isArray(cells) ? cells : [[cells]];
}

function kitwrightText_(value) {
  if (value === null || value === undefined) return "";
  if (value instanceof Date) throw new Error("A cell holds a date: write it as a number or a text.");
  if (typeof value === "boolean") return value ? "yes" : "no";
  return String(value).trim();
}

function kitwrightValue_(text) {
  return /^-?(0|[1-9]\d*)(\.\d+)?$/.test(text) ? Number(text) : text;
}
