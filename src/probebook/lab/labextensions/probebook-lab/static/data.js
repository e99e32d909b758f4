// @ts-check
// Plain data that was written by others.

/**
 * What a value holds under a key of its own.
 * @param {unknown} value anything
 * @param {string} key
 * @returns {unknown} undefined where the value is no object or holds no such key
 */
export function held(value, key) {
  if (value === null || typeof value !== "object" || !Object.hasOwn(value, key)) return undefined;
  return /** @type {Record<string, unknown>} */ (value)[key];
}
