// @ts-check
// How a job on a table stands: the start, what is dead, what is wanting, what can be reached, what ends the job.

import { filled, listed } from "./table-words.js";

/** @typedef {import("./table-types").BenchTable} BenchTable */
/** @typedef {import("./table-types").Stand} Stand */
/** @typedef {import("./table-types").Shown} Shown */

// Pairs to be tested for dead where there is one line; a table of three lines names its own.
const PAIRS = ["L-N", "L-E", "N-E"];
export const FUNCTIONS = ["ohms", "continuity", "insulation"];
const NONE = /** @type {ReadonlySet<string>} */ (new Set());

/**
 * On arrival: appliance whole, supply on.
 * @param {BenchTable} table
 * @returns {Stand}
 */
export function start(table) {
  return {
    isolated: false,
    locked: false,
    proved: false,
    pairs: table.job.pairs ?? PAIRS,
    tested: NONE,
    provedAgain: false,
    untried: false,
    uncovered: NONE,
    lifted: NONE,
    position: table.job.position,
    calling: true,
    function: "",
    nulled: false,
    dried: false,
    earth: NONE,
    insulated: NONE,
    bad: null,
    seen: NONE,
    minutes: 0,
    safetyMinutes: 0,
    provedDead: false,
    trials: 0,
    safetyTrials: 0,
    failure: "",
    conclusion: null,
  };
}

/** @param {Stand} stand */
export const isOver = (stand) => stand.failure !== "" || stand.conclusion !== null;

/** Readings that count: those for working safely are not among them. @param {Stand} stand */
export const workTrials = (stand) => stand.trials - stand.safetyTrials;

/** Minutes of work, without those for working safely. @param {Stand} stand */
export const workMinutes = (stand) => stand.minutes - stand.safetyMinutes;

/** @param {Stand} stand */
const isTested = (stand) => stand.pairs.every((pair) => stand.tested.has(pair));

/** @param {Stand} stand */
export const isDead = (stand) => stand.isolated && stand.locked && stand.provedAgain && isTested(stand);

/**
 * Live conductors by terminal, neutral first: N and L, or those of three phases.
 * @param {BenchTable["job"]} job
 * @returns {Readonly<Record<string, string>>}
 */
export const sidesOf = (job) => job.sides ?? { [job.neutral]: "N", [job.line]: "L" };

/**
 * Whether the insulation of every live conductor was read, and with three lines that of every load.
 * @param {BenchTable["job"]} job
 * @param {ReadonlySet<string>} insulated
 */
export const isInsulated = (job, insulated) =>
  [...Object.values(sidesOf(job)), ...Object.keys(job.loads ?? {})].every((name) => insulated.has(name));

/**
 * What insulation was not read of: lines, neutral, and with three lines loads.
 * @param {BenchTable["job"]} job
 * @param {ReadonlySet<string>} insulated
 */
export function unreadSides(job, insulated) {
  const left = Object.values(sidesOf(job)).filter((side) => !insulated.has(side));
  const loads = Object.entries(job.loads ?? {}).filter(([name]) => !insulated.has(name));
  const lines = left.filter((side) => side !== "N");
  return [...lines, ...left.filter((side) => side === "N"), ...loads.map(([, title]) => title)];
}

/**
 * A set with one more, or one fewer.
 * @param {ReadonlySet<string>} set
 * @param {string} item
 */
export const withItem = (set, item) => /** @type {ReadonlySet<string>} */ (new Set([...set, item]));
/** @param {ReadonlySet<string>} set @param {string} item */
export const without = (set, item) =>
  /** @type {ReadonlySet<string>} */ (new Set([...set].filter((one) => one !== item)));

/**
 * Nothing is done, and why.
 * @param {Stand} stand
 * @param {string | undefined} text
 * @returns {readonly [Stand, Shown]}
 */
export const no = (stand, text) => [stand, { text: text ?? "", done: false }];

/**
 * Minutes pass; those for working safely are kept apart.
 * @param {Stand} stand
 * @param {number | undefined} minutes
 * @param {boolean} [safety]
 * @returns {Stand}
 */
export function spend(stand, minutes = 0, safety = false) {
  const more = safety ? minutes : 0;
  return { ...stand, minutes: stand.minutes + minutes, safetyMinutes: stand.safetyMinutes + more };
}

/**
 * The job ends by a slip that can kill.
 * @param {BenchTable} table
 * @param {Stand} stand
 * @param {string} slip
 * @param {string} what
 * @returns {readonly [Stand, Shown]}
 */
export function stop({ says }, stand, slip, what) {
  return [
    { ...stand, failure: slip },
    { text: filled(says.stop.stop, { what }), done: true, what },
  ];
}

/**
 * Which step of isolating and proving dead is wanting: its slip and what it means; empty when none is.
 * @param {BenchTable} table
 * @param {Stand} stand
 * @returns {readonly [string, string]}
 */
export function notDead({ says }, stand) {
  const [slip, key] = wanting(stand);
  const pairs = listed(
    says.list,
    stand.pairs.filter((pair) => !stand.tested.has(pair)),
  );
  return [slip, slip === "" ? "" : filled(says.wanting[key], { pairs })];
}

/**
 * @param {Stand} stand
 * @returns {readonly [string, string]}
 */
function wanting(stand) {
  if (!stand.isolated) return ["not-proved-dead", "supply-on"];
  if (!stand.locked) return ["not-locked", "not-locked"];
  const isMissing = !isTested(stand);
  if (stand.untried && (isMissing || !stand.proved)) return ["not-proved-first", "not-proved-first"];
  if (stand.tested.size === 0) return ["not-proved-dead", "not-tested"];
  if (!stand.proved) return ["not-proved-first", "not-proved-first"];
  if (isMissing) return ["no-reference", "pairs"];
  return stand.provedAgain ? ["", ""] : ["prove-once", "prove-once"];
}

/**
 * Whether a place is free: no cover over it is on.
 * @param {Stand} stand
 * @param {string | undefined} cover
 */
const isFree = (stand, cover) => cover === undefined || cover === "" || stand.uncovered.has(cover);

/**
 * Terminals that can be reached, in order.
 * @param {BenchTable} table
 * @param {Stand} stand
 */
export function reachable({ job }, stand) {
  return Object.keys(job.terminals).filter((name) => isFree(stand, job.terminals[name]));
}

/**
 * Whether a part, or one end of a wire, is free to the hand.
 * @param {BenchTable} table
 * @param {Stand} stand
 * @param {string} mark
 */
export function canReach({ job }, stand, mark) {
  const wire = job.wires.find((one) => one.mark === mark);
  if (wire !== undefined) return wire.ends.some((end) => isFree(stand, job.terminals[end]));
  return Object.hasOwn(job.parts, mark) && isFree(stand, job.parts[mark]);
}

/**
 * Whether the leads of the instrument in use can be nulled.
 * @param {BenchTable} table
 * @param {Stand} stand
 */
export const canNull = ({ job }, stand) => job.meters[stand.function]?.[1] === true;
