/** Names in a row of words. No Intl.ListFormat: its first costs a browser as much as all other modules. */

/** Names as a list; those that hold commas are parted by more than a comma. `word` stands before the last. */
function joined(names, word = "and") {
  if (names.length < 3) return names.join(` ${word} `);
  const mark = names.some((name) => name.includes(", ")) ? ";" : ",";
  return `${names.slice(0, -1).join(`${mark} `)}${mark} ${word} ${names.at(-1)}`;
}

export { joined };
