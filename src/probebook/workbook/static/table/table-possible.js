// @ts-check
// What can be done on a bench that is a table, safe or not, in a fixed order; probing and concluding are left out.

import { canNull, canReach, FUNCTIONS, isOver } from "./table-standing.js";

/**
 * @param {import("./table-types").BenchTable} table
 * @param {import("./table-types").Stand} stand
 * @returns {string[]}
 */
export function possible(table, stand) {
  if (isOver(stand)) return [];
  return [...supply(stand), ...coversAndWires(table, stand), ...settings(table, stand), ...rest(table, stand)];
}

/** @param {string} verb @param {readonly string[]} things */
const each = (verb, things) => things.map((thing) => `${verb} ${thing}`);
/** @param {string} act @param {boolean} can */
const when = (act, can) => (can ? [act] : []);

/** @param {import("./table-types").Stand} stand */
function supply({ isolated, locked, pairs }) {
  return [
    ...when("isolate", !isolated),
    ...when("lock off", isolated && !locked),
    "prove tester",
    ...each("test dead", pairs),
  ];
}

/** @param {import("./table-types").BenchTable} table @param {import("./table-types").Stand} stand */
function coversAndWires(table, stand) {
  const covers = Object.keys(table.job.covers);
  const wires = table.job.wires.map(({ mark }) => mark).filter((mark) => canReach(table, stand, mark));
  return [
    ...each(
      "cover off:",
      covers.filter((name) => !stand.uncovered.has(name)),
    ),
    ...each(
      "cover on:",
      covers.filter((name) => stand.uncovered.has(name)),
    ),
    ...each(
      "lift",
      wires.filter((mark) => !stand.lifted.has(mark)),
    ),
    ...each(
      "refit",
      wires.filter((mark) => stand.lifted.has(mark)),
    ),
  ];
}

/** @param {import("./table-types").BenchTable} table @param {import("./table-types").Stand} stand */
function settings({ job }, stand) {
  const names = job.positions.map(({ name }) => name).filter((name) => name !== stand.position);
  return [
    ...each("controls", names),
    ...when("thermostat calling", job.cycles && !stand.calling),
    ...when("thermostat resting", job.cycles && stand.calling),
  ];
}

/** @param {import("./table-types").BenchTable} table @param {import("./table-types").Stand} stand */
function rest(table, stand) {
  const { job, looks } = table;
  const bridged = job.cut_outs.filter((mark) => stand.uncovered.has(job.parts[mark] ?? ""));
  return [
    ...each(
      "meter",
      FUNCTIONS.filter((name) => name !== stand.function),
    ),
    ...when("null leads", canNull(table, stand) && !stand.nulled),
    ...each(
      "look",
      Object.keys(looks).filter((mark) => canReach(table, stand, mark)),
    ),
    ...when("dry out", stand.isolated && !stand.dried),
    ...when("energise", stand.isolated),
    ...when("watch lamps", !stand.isolated && stand.calling),
    ...when("run", !stand.isolated),
    ...when("record", !stand.isolated && job.records),
    ...each("bypass", bridged),
  ];
}
