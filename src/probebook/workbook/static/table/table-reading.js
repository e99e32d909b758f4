// @ts-check
// Dial, leads and probes, and what a reading says of earth and insulation before the supply may go back.

import { readingOf } from "./table-readings.js";
import {
  canNull,
  isInsulated,
  no,
  notDead,
  reachable,
  sidesOf,
  spend,
  stop,
  withItem,
  without,
} from "./table-standing.js";
import { filled, inOrder } from "./table-words.js";

/** @typedef {import("./table-types").BenchTable} BenchTable */
/** @typedef {import("./table-types").Stand} Stand */
/** @typedef {import("./table-types").Doer} Doer */

/** @type {Doer} */
export function doMeter({ job, says }, stand, name) {
  const meter = job.meters[name];
  if (meter === undefined) return no(stand, says.refused["no-function"]);
  const isSame = job.meters[stand.function]?.[0] === meter[0];
  const after = { ...stand, function: name, nulled: stand.nulled && isSame };
  return [after, { text: says.seen[`meter ${name}`] ?? "", done: true }];
}

/** @type {Doer} */
export function doNull(table, stand) {
  const { job, says } = table;
  if (!canNull(table, stand)) return no(stand, says.refused["no-null"]);
  return [
    spend({ ...stand, nulled: true }, job.minutes.null_leads),
    { text: says.seen["null leads"] ?? "", done: true },
  ];
}

/** @type {Doer} */
export function doProbe(table, stand, what) {
  const { job, says, readings } = table;
  const ends = what.split(/\s+/).filter((end) => end !== "");
  const [a = "", b = ""] = ends;
  if (ends.length !== 2 || a === b || !Object.hasOwn(job.terminals, a) || !Object.hasOwn(job.terminals, b))
    return no(stand, says.refused["two-terminals"]);
  if (stand.function === "") return no(stand, says.refused["no-meter"]);
  if (!stand.isolated) return stop(table, stand, "live-ohms", says.stop.live);
  const [slip, why] = notDead(table, stand);
  if (slip !== "") return stop(table, stand, "live-ohms", filled(says.stop["not-dead"], { why }));
  const free = reachable(table, stand);
  const hidden = ends.find((end) => !free.includes(end));
  if (hidden !== undefined) return no(stand, says.covered.terminal[hidden]);
  const terminals = Object.keys(job.terminals);
  const asked = { ...stand, nulled: stand.nulled && canNull(table, stand) };
  const told = readingOf(readings, terminals, a, b, asked);
  const name = nameOf(stand, terminals, a, b);
  const isHigh = stand.function === "insulation";
  const isNew = loadsOf(table, stand, ends).some((load) => !stand.insulated.has(load));
  const isOfUse = isNew || earthed(table, stand, ends) !== "" || sideOf(table, stand, ends) !== "";
  const isSafety = !stand.seen.has(name) && isOfUse;
  const key = told.beeps === null ? "reading" : told.beeps ? "reading-beeps" : "reading-silent";
  const seen = { ...stand, seen: withItem(stand.seen, name), trials: stand.trials + 1 };
  const judged = insulationSeen(table, earthSeen(table, seen, ends, told), ends, told);
  const after = { ...judged, safetyTrials: judged.safetyTrials + Number(isSafety) };
  const minutes = (job.minutes.probe ?? 0) + (isHigh ? (job.minutes.insulation_test ?? 0) : 0);
  const text = filled(says.seen[key], { a, b, display: told.text });
  return [spend(after, minutes, isSafety), { text, done: true, display: told.text, beeps: told.beeps }];
}

/**
 * What a reading is known by: the same reading taken again is no new one.
 * @param {Stand} stand
 * @param {readonly string[]} terminals
 * @param {string} a
 * @param {string} b
 */
function nameOf(stand, terminals, a, b) {
  const pair = [a, b].sort((one, other) => terminals.indexOf(one) - terminals.indexOf(other));
  const { position, calling, dried } = stand;
  return JSON.stringify([stand.function, position, calling, dried, inOrder(stand.lifted), pair]);
}

/**
 * The metalwork whose earth path a reading reads; empty where it reads none.
 * @param {BenchTable} table
 * @param {Stand} stand
 * @param {readonly string[]} ends
 */
function earthed({ job }, stand, ends) {
  const metal = ends.filter((end) => job.metal.includes(end));
  const isPath = stand.function !== "insulation" && ends.includes(job.earth) && metal.length === 1;
  return isPath ? (metal[0] ?? "") : "";
}

/**
 * Whose insulation to earth a reading reads with every wire on: L (or L1 to L3), N or none.
 * @param {BenchTable} table
 * @param {Stand} stand
 * @param {readonly string[]} ends
 */
function sideOf({ job }, stand, ends) {
  const reference = job.earth || (job.metal[0] ?? "");
  if (stand.function !== "insulation" || !ends.includes(reference) || stand.lifted.size > 0) return "";
  const found = Object.entries(sidesOf(job)).find(([terminal]) => ends.includes(terminal));
  return found?.[1] ?? "";
}

/**
 * @param {BenchTable} table
 * @param {Stand} stand
 * @param {readonly string[]} ends
 * @param {import("./table-types").Told} told
 * @returns {Stand}
 */
function earthSeen(table, stand, ends, told) {
  const place = earthed(table, stand, ends);
  if (place === "" || told.judged === "") return stand;
  if (told.judged === "bad")
    return {
      ...stand,
      earth: without(stand.earth, place),
      bad: { insulation: false, a: place, b: "", display: told.text },
    };
  const isMended = stand.bad !== null && !stand.bad.insulation && stand.bad.a === place;
  return { ...stand, earth: withItem(stand.earth, place), bad: isMended ? null : stand.bad };
}

/**
 * @param {BenchTable} table
 * @param {Stand} stand
 * @param {readonly string[]} ends
 * @param {import("./table-types").Told} told
 * @returns {Stand}
 */
function insulationSeen(table, stand, ends, told) {
  const { job } = table;
  const side = sideOf(table, stand, ends);
  const loads = loadsOf(table, stand, ends);
  if (side === "" && loads.length === 0) return stand;
  if (told.judged === "bad") {
    const [a, b] = asNamed(table, ends);
    const bad = { insulation: true, a, b, display: told.text };
    return { ...stand, insulated: [side, ...loads].reduce(without, stand.insulated), bad };
  }
  const counts = side !== "" && (side === "N" || isOn(job, stand, side));
  const names = counts ? [side, ...loads] : loads;
  if (names.length === 0) return stand;
  const insulated = names.reduce(withItem, stand.insulated);
  const isMended = stand.bad?.insulation === true && isInsulated(job, insulated);
  return { ...stand, insulated, bad: isMended ? null : stand.bad };
}

/**
 * The loads of three lines of whose insulation a reading to earth with every wire on tells.
 * @param {BenchTable} table
 * @param {Stand} stand
 * @param {readonly string[]} ends
 * @returns {readonly string[]}
 */
function loadsOf({ job }, stand, ends) {
  const reference = job.earth || (job.metal[0] ?? "");
  if (stand.function !== "insulation" || !ends.includes(reference) || stand.lifted.size > 0) return [];
  const here = job.positions.find((one) => one.name === stand.position);
  const told = (stand.calling ? here?.tells : here?.tells_resting) ?? [];
  return told.find(([terminals]) => terminals.some((end) => end !== reference && ends.includes(end)))?.[1] ?? [];
}

/**
 * Whether the controls stand so that a reading tells of a line: on, and of three lines the line joined to a load.
 * @param {BenchTable["job"]} job
 * @param {Stand} stand
 * @param {string} side
 */
function isOn(job, stand, side) {
  const here = job.positions.find((one) => one.name === stand.position);
  const lines = stand.calling ? here?.reaches : here?.resting;
  return lines === undefined ? here?.heats === true : lines.includes(side);
}

/**
 * The two terminals in the order in which the trade's list of tests names them.
 * @param {BenchTable} table
 * @param {readonly string[]} ends
 * @returns {[string, string]}
 */
function asNamed({ job }, ends) {
  const terminals = Object.keys(job.terminals);
  const [a = "", b = ""] = [...ends].sort((one, other) => terminals.indexOf(one) - terminals.indexOf(other));
  return job.turned.some(([one, other]) => one === b && other === a) ? [b, a] : [a, b];
}
