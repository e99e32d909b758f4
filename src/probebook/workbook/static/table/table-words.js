// @ts-check
// Putting words together: holes filled, lists joined, figures rounded as the core rounds them.

/**
 * Fill the holes of a sentence.
 * @param {string | undefined} text
 * @param {Readonly<Record<string, string>>} told
 */
export function filled(text, told) {
  return (text ?? "").replace(/\{(\w+)\}/g, (hole, name) => told[name] ?? hole);
}

/**
 * Join a list as the language does.
 * @param {import("./table-types").Says["list"]} list
 * @param {readonly string[]} items
 */
export function listed({ two, between, last }, items) {
  if (items.length < 3) return items.join(two);
  return `${items.slice(0, -1).join(between)}${last}${items.at(-1)}`;
}

/**
 * A number to so many decimals, halves to even.
 * @param {number} value
 * @param {0 | 1 | 2} decimals
 */
export function rounded(value, decimals) {
  const scale = 10 ** decimals;
  // A half is met exactly only by odd numbers of halves (no decimal), quarters (one), eighths (two).
  const parts = value * 2 ** (decimals + 1);
  if (Number.isInteger(parts) && parts % 2 !== 0) {
    const below = Math.floor(value * scale);
    return (below % 2 === 0 ? below : below + 1) / scale;
  }
  return Number(value.toFixed(decimals));
}

/**
 * A figure as a sentence shows it: cleared of the edge at which its last digit would turn, then to so many decimals.
 * @param {number} value
 * @param {0 | 1} decimals
 * @param {string} decimal
 */
export function fixed(value, decimals, decimal) {
  return rounded(Number(value.toPrecision(12)), decimals)
    .toFixed(decimals)
    .replace(".", decimal);
}

/**
 * Marks in order: W9 before W10.
 * @param {Iterable<string>} marks
 */
export function inOrder(marks) {
  /** @param {string} mark @returns {[string, number]} */
  const key = (mark) => [mark.replace(/\d+$/, ""), Number(mark.replace(/\D/g, "") || 0)];
  return [...marks].sort((one, other) => {
    const [[a, m], [b, n]] = [key(one), key(other)];
    return a === b ? m - n : a < b ? -1 : 1;
  });
}
