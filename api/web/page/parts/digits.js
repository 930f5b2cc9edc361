/** Numbers in digits, as English writes them. No Intl.NumberFormat: its first costs a browser as much as all other modules. */

/** A number with so many decimals at most, its thousands separated by commas. */
function digits(value, decimals) {
  const [whole, rest] = String(Number(Number(value).toFixed(decimals))).split(".");
  const separated = whole.replace(/\B(?=(\d{3})+$)/g, ",");
  return rest ? `${separated}.${rest}` : separated;
}

export { digits };
