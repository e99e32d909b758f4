// @ts-check
// The two probes: where they stand, which goes next, and that a reading is taken as soon as both stand.

/** @typedef {import("./bench-types").Probe} Probe */

/** @type {readonly Probe[]} */
export const PROBES = ["red", "black"];

/**
 * @param {(a: string, b: string) => void} read called when both stand anew
 * @param {() => void} moved called whenever a probe was moved
 */
export function makeProbes(read, moved) {
  /** @type {Record<Probe, string | null>} */
  const at = { red: null, black: null };
  /** @type {Probe | null} the probe that was chosen to go next */
  let chosen = null;

  /**
   * Put a probe on a terminal. Where none is named, the chosen one goes, else the free one; where both stand, a new pair
   * is begun with red, wherever it is. A probe that stands there alone comes off.
   * @param {string} terminal
   * @param {Probe} [which]
   */
  function place(terminal, which) {
    const isNew = which === undefined && chosen === null && at.red !== null && at.black !== null;
    const there = isNew ? undefined : PROBES.find((one) => at[one] === terminal);
    if (there !== undefined && (which ?? chosen ?? there) === there) {
      at[there] = null;
      chosen = null;
      moved();
      return;
    }
    const goes = which ?? chosen ?? (isNew || at.red === null ? "red" : "black");
    if (isNew) at.black = null;
    if (there !== undefined) at[there] = null;
    at[goes] = terminal;
    chosen = null;
    moved();
    if (at.red !== null && at.black !== null) read(at.red, at.black);
  }

  /** @param {Probe | null} which */
  function off(which) {
    for (const one of which === null ? PROBES : [which]) at[one] = null;
    chosen = null;
    moved();
  }

  return {
    place,
    off,
    at: () => ({ ...at }),
    chosen: () => chosen,
    /** @param {Probe} which */
    choose: (which) => {
      chosen = chosen === which ? null : which;
      moved();
    },
    again: () => {
      if (at.red !== null && at.black !== null) read(at.red, at.black);
    },
    /**
     * Stand where a reading was taken that was not taken here.
     * @param {readonly string[]} pair
     */
    adopt: (pair) => {
      const [red, black] = pair;
      if (red === undefined || black === undefined || (pair.includes(at.red ?? "") && pair.includes(at.black ?? "")))
        return;
      at.red = red;
      at.black = black;
    },
    /**
     * Come off whatever cannot be touched any more.
     * @param {readonly string[]} reached
     */
    keep: (reached) => {
      for (const one of PROBES) if (at[one] !== null && !reached.includes(at[one] ?? "")) at[one] = null;
    },
  };
}
