// @ts-check
// What the meter shows, looked up: from the setting and the pair to a root, from there by the wires that are off to a
// class of displays. It works out nothing: every display was worked out beforehand by the core.

/** @typedef {import("./table-types").ReadingsTable} ReadingsTable */

/**
 * The class that a root leads to.
 * @param {readonly number[]} nodes
 * @param {number} root
 * @param {(wire: number) => boolean} isOff
 */
function followed(nodes, root, isOff) {
  let at = root;
  while (at < 0) {
    const node = 3 * (-1 - at);
    at = /** @type {number} */ (nodes[node + (isOff(/** @type {number} */ (nodes[node])) ? 2 : 1)]);
  }
  return at;
}

/**
 * The place of a pair among all pairs of so many terminals, in order.
 * @param {number} count
 * @param {number} one
 * @param {number} other
 */
export function placeOfPair(count, one, other) {
  const [a, b] = one < other ? [one, other] : [other, one];
  return a * count - (a * (a + 1)) / 2 + (b - a - 1);
}

/**
 * @param {ReadingsTable} table
 * @param {readonly string[]} terminals
 * @param {string} a
 * @param {string} b
 * @param {import("./table-types").Asked} asked
 * @returns {import("./table-types").Told}
 */
export function readingOf(table, terminals, a, b, asked) {
  const name = `${asked.function}${asked.nulled ? " nulled" : ""}`;
  const half = table.low.shown.includes(name) ? table.low : table.high;
  const circuit = half.settings[`${asked.position}|${Number(asked.calling)}|${Number(asked.dried)}`] ?? 0;
  const pair = placeOfPair(terminals.length, terminals.indexOf(a), terminals.indexOf(b));
  const root = half.roots[circuit]?.[pair] ?? 0;
  const found = followed(table.nodes, root, (wire) => asked.lifted.has(table.wires[wire] ?? ""));
  const display = half.displays[half.classes[found]?.[half.shown.indexOf(name)] ?? -1];
  if (display === undefined) throw new RangeError(`${name} ${a} ${b}`);
  const [text, beeps, judged] = display;
  return { text, beeps, judged };
}
