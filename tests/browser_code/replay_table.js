// Run by tests in Python: looks readings up, and does acts, on benches that are tables; says on its output what came of it.
import { readFileSync } from "node:fs";
import { TableBench } from "../../src/probebook/workbook/static/table/table-bench.js";
import { readingOf } from "../../src/probebook/workbook/static/table/table-readings.js";

const { table, walks = [], every = false, lifts } = JSON.parse(readFileSync(process.argv[2] ?? "", "utf-8"));

/** The state after each act of a walk. @param {string[]} acts */
function walked(acts) {
  const bench = new TableBench(table, {});
  return acts.map((act) => {
    bench.do(act);
    return bench.state();
  });
}

/** No wire off, each one, every two, all. */
function fewLifts() {
  const wires = /** @type {string[]} */ (table.readings.wires);
  const twos = wires.flatMap((one, place) => wires.slice(place + 1).map((other) => [one, other]));
  return [[], ...wires.map((one) => [one]), ...twos, wires];
}

/** What is shown for every setting, pair and function with these wires off. @param {string[][]} off */
function everyReading(off) {
  const { readings, job } = table;
  const terminals = Object.keys(job.terminals);
  const found = [];
  for (const half of [readings.low, readings.high])
    for (const setting of Object.keys(half.settings))
      for (const name of half.shown)
        for (const lifted of off) {
          const [position, calling, dried] = setting.split("|");
          const [func, nulled] = name.split(" ");
          const asked = {
            function: func ?? "",
            nulled: nulled !== undefined,
            position: position ?? "",
            calling: calling === "1",
            dried: dried === "1",
            lifted: new Set(lifted),
          };
          const shown = [];
          for (const [at, a] of terminals.entries())
            for (const b of terminals.slice(at + 1)) shown.push(readingOf(readings, terminals, a, b, asked).text);
          found.push(`${setting};${name};${lifted.join(",")};${shown.join("|")}`);
        }
  return found;
}

const read = lifts ?? (every ? fewLifts() : null);
process.stdout.write(JSON.stringify({ walks: walks.map(walked), every: read === null ? [] : everyReading(read) }));
