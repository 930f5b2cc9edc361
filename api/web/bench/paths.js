/** Values inside a design by their path, as `drawing.blade.length_mm`; a number is a place in a list. */

function at(place, path) {
  return path.split(".").reduce((found, step) => found?.[step], place);
}

/** Put a value at a path; undefined takes it away. Parts on the way are made. */
function put(place, path, value) {
  const steps = path.split(".");
  const last = steps.pop();
  let found = place;
  steps.forEach((step, index) => {
    if (found[step] === undefined || found[step] === null) found[step] = Number.isInteger(Number(steps[index + 1] ?? last)) ? [] : {};
    found = found[step];
  });
  if (value === undefined) delete found[last];
  else found[last] = value;
}

export { at, put };
